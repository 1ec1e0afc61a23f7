"""Plays a script through the terminal voice on a real store, and reads what came out."""

from __future__ import annotations

import io
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Engine

from nudgebot.channels.terminal.console import Talk, ToldClock
from nudgebot.storage.database import opened

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
    if engine is None:
        with opened("sqlite://") as own:
            return talk(lines, at=at, engine=own, speaker=speaker, zone=zone, as_json=as_json, owner=owner)
    out, err = io.StringIO(), io.StringIO()
    sitting = Talk(
        engine,
        out,
        err,
        ToldClock(at),
        speaker,
        ZoneInfo(zone),
        as_json=as_json,
        echo=not as_json,
        owner=owner,
    )
    status = sitting.play(lines.splitlines() if isinstance(lines, str) else lines)
    return Played(out.getvalue(), err.getvalue(), status)


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
