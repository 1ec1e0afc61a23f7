"""Plays a script through the terminal voice on a real store, and reads what came out."""

from __future__ import annotations

import io
import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Engine

from nudgebot.channels.terminal.console import Talk, ToldClock
from tests.memory import in_memory, kept, made_once, memory

START = datetime(2027, 1, 3, 17, 0, tzinfo=UTC)  # a Sunday evening
MARTA = """/start
yes
yes
no
no
no
no
endurance
75
35
bike 60
mon 45, tue 45, wed 45, thu 45, sat 90, sun 90
sat
Lisbon
18:00
06:45
21:30-06:30
Portugal
1975"""


@dataclass(frozen=True)
class Played:
    """What a sitting printed on either stream, and its exit status."""

    out: str
    err: str
    status: int

    @property
    def objects(self) -> list[dict[str, Any]]:
        """The messages and dumps of a sitting with JSON, in order."""
        return [json.loads(line) for line in self.out.splitlines()]

    @property
    def messages(self) -> list[dict[str, Any]]:
        """The messages alone."""
        return [each for each in self.objects if "n" in each]

    @property
    def texts(self) -> list[str]:
        """The messages' texts."""
        return [message["text"] for message in self.messages]

    @property
    def dump(self) -> dict[str, Any]:
        """The last dump."""
        return [each for each in self.objects if "runner" in each][-1]


def talk(
    lines: str | Iterable[str],
    *,
    at: datetime = START,
    engine: Engine | None = None,
    speaker: str = "Marta",
    zone: str = "UTC",
    as_json: bool = True,
    owner: str = "",
) -> Played:
    """Plays `lines` from the time `at` on, on a database in memory unless `engine` is given."""
    typed = lines.splitlines() if isinstance(lines, str) else list(lines)
    if engine is not None:
        return _played(_sitting(engine, at, speaker, zone, as_json=as_json, owner=owner), typed)
    if not as_json or typed[: len(_INTAKE)] != _INTAKE:
        with memory() as own:
            return _played(_sitting(own, at, speaker, zone, as_json=as_json, owner=owner), typed)
    begun = _begun(at, speaker, zone, owner)
    with memory(begun.store) as own:
        sitting = _sitting(own, at, speaker, zone, as_json=True, owner=owner, out=begun.out)
        sitting.sent, sitting.made, sitting.last = begun.sitting.sent, begun.sitting.made, begun.sitting.last
        sitting.buttons |= begun.sitting.buttons
        sitting.inputs |= begun.sitting.inputs
        # An empty line does nothing, and the lines that follow keep their numbers.
        return _played(sitting, [""] * len(_INTAKE) + typed[len(_INTAKE) :])


_INTAKE = MARTA.splitlines()


@dataclass(frozen=True)
class _Begun:
    """A sitting in which Marta's intake is over: what it had printed, and its store."""

    sitting: Talk
    out: str
    store: sqlite3.Connection


@cache
def _begun(at: datetime, speaker: str, zone: str, owner: str) -> _Begun:
    with made_once() as engine:
        sitting = _sitting(engine, at, speaker, zone, as_json=True, owner=owner)
        played = _played(sitting, _INTAKE)
        assert not played.err
        return _Begun(sitting, played.out, kept(engine))


def marta(speaker: str = "Marta") -> Engine:
    """A store in memory in which `speaker` has joined with Marta's answers."""
    return in_memory(_begun(START, speaker, "UTC", "").store)


def _sitting(
    engine: Engine, at: datetime, speaker: str, zone: str, *, as_json: bool, owner: str, out: str = ""
) -> Talk:
    printed = io.StringIO()
    printed.write(out)
    return Talk(
        engine,
        printed,
        io.StringIO(),
        ToldClock(at),
        speaker,
        ZoneInfo(zone),
        as_json=as_json,
        echo=not as_json,
        owner=owner,
    )


def _played(sitting: Talk, lines: Iterable[str]) -> Played:
    status = sitting.play(lines)
    assert isinstance(sitting.out, io.StringIO)
    assert isinstance(sitting.err, io.StringIO)
    return Played(sitting.out.getvalue(), sitting.err.getvalue(), status)


def joined(more: str, **options: Any) -> Played:
    """Marta's intake, then `more`; the intake's messages are left out."""
    played = talk(f"{MARTA}\n{more}", **options)
    kept = played.out.splitlines()[len(MARTA.splitlines()) :]
    return Played("\n".join(kept), played.err, played.status)


def coached(coach: str, runners: Iterable[str], *, engine: Engine, zone: str) -> None:
    """A group in `engine`: `coach`, with a clock of their own, and runners who have joined by invitation."""
    invited = talk(f"/coach\n/zone {zone}\n/invite", engine=engine, speaker=coach, owner=coach).texts[-1]
    code = invited.partition("/start ")[2].split()[0]
    for name in runners:
        talk([f"/start {code}", *MARTA.splitlines()[1:]], engine=engine, speaker=name)
