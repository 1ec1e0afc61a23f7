"""What would keep `serve` from working, each fault with its cure: `nudgebot check`.

Nothing is created or changed. It never prints the token, nor anything that a runner wrote.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import sqlite3
import stat
import zoneinfo
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import Final, TextIO

import tzdata
from sqlalchemy import Engine

from nudgebot.app import health
from nudgebot.channels.settings import Settings, read_settings
from nudgebot.channels.telegram.bot_api import CallDone, NotFound, Probe, probe
from nudgebot.channels.telegram.updates import VOICE
from nudgebot.storage import due_queue, inbox, owners
from nudgebot.storage.database import file_of, named, on_a_server, opened, reading, server
from nudgebot.storage.faults import NotMadeYet, OlderVersion, StoreFault
from nudgebot.storage.holding import holder, lock_of, was_there

DONE, FAILED, BAD_SETTINGS = 0, 1, 2
CLOCK_APART: Final = timedelta(seconds=60)  # a reminder comes by the minute
ROOM: Final = 50 * 2**20  # bytes that should be free beside the database
ZONES_OLD: Final = 2  # years after which rules of zones have surely changed: some do each year (IANA tz NEWS)


class Severity(StrEnum):
    """How much it matters."""

    OK = "ok"
    NOTE = "note"
    FAULT = "fault"


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing that was looked at; `cure` is what to do, "" if there is nothing to be done."""

    level: Severity
    about: str
    text: str
    cure: str = ""

    def __str__(self) -> str:
        return f"{self.level.value:<5} {self.about}: {self.text}" + (f"\n      -> {self.cure}" if self.cure else "")


_ok = partial(Observation, Severity.OK)
_note = partial(Observation, Severity.NOTE)
_fault = partial(Observation, Severity.FAULT)


def run(environ: Mapping[str, str], platform: str, now: datetime, out: TextIO, *, running: bool, offline: bool) -> int:
    """Prints what was found at `now`: 0 without a fault, 2 with one of the settings, else 1."""
    settings = read_settings(environ, platform)
    if not isinstance(settings, Settings):
        faults = (_fault(each.name, each.wanted, "docs/telegram.md lists them all") for each in settings)
        out.writelines(f"{fault}\n" for fault in faults)
        return BAD_SETTINGS
    findings = [
        _ok("settings", "all can be used"),
        *(() if offline else _platform(asyncio.run(probe(settings.token, settings.api_base)), now)),
        *_zones(now),
        *_store(settings, now, running=running),
    ]
    out.writelines(f"{finding}\n" for finding in findings)
    return FAILED if any(finding.level is Severity.FAULT for finding in findings) else DONE


def _platform(found: Probe, now: datetime) -> Iterator[Observation]:
    me, webhook = found.me, found.webhook
    if isinstance(me, NotFound):
        yield _fault("token", "the server refuses it", "ask the platform's bot for bots for a new one")
        return
    if not isinstance(me, CallDone):
        cure = "look at network, proxy and NUDGEBOT_API_BASE"
        yield _fault("token", f"the server was not reached ({me})", cure)
        return
    name = me.result.get("username", "") if isinstance(me.result, dict) else ""
    yield _ok("token", f"the bot is @{name}" if name else "the server takes it")
    yield _webhook(webhook)
    apart = None if found.its_time is None else now - found.its_time
    if apart is None:
        yield _note("clock", "the server does not say what time it is", "compare it with a clock you trust")
    elif abs(apart) > CLOCK_APART:
        off = f"{apart.total_seconds():+.0f} s from the server's"
        yield _fault("clock", off, "switch on time synchronisation: timedatectl set-ntp true")
    else:
        yield _ok("clock", "agrees with the server's to the minute")


def _webhook(came: object) -> Observation:
    if not isinstance(came, CallDone) or not isinstance(came.result, dict):
        return _note("webhook", "the server does not say whether one is set")
    said = came.result
    waiting = f"{said.get('pending_update_count', 0)} updates wait at the server"
    if not said.get("url"):
        return _ok("webhook", f"none is set; {waiting}")
    if trouble := said.get("last_error_message"):
        cure = "look at the address, its certificate, and the way from it to NUDGEBOT_LISTEN"
        return _fault("webhook", f"the server cannot deliver: {trouble}; {waiting}", cure)
    return _ok("webhook", f"one is set; {waiting}")


def _zones(now: datetime) -> Iterator[Observation]:
    in_use = _system_zones() or tzdata.IANA_VERSION
    text = f"rules of {in_use}"
    if in_use < tzdata.IANA_VERSION:
        cure = "update the system's tzdata, or set PYTHONTZPATH= (to nothing) to use those that came with nudgebot"
        yield _note("zones", f"{text} from the system; {tzdata.IANA_VERSION} is installed", cure)
    elif now.year - int(in_use[:4]) >= ZONES_OLD:
        yield _note("zones", text, "update the package tzdata")
    else:
        yield _ok("zones", text)


def _system_zones() -> str:
    """Version of the rules that Python takes from the system, before those of the package; "" if it is not known."""
    for folder in zoneinfo.TZPATH:
        rules = Path(folder) / "tzdata.zi"
        if rules.is_file():
            with rules.open(encoding="utf-8") as lines:
                found = re.fullmatch(r"# version ([0-9]{4}[a-z]+)\s*", lines.readline())
            return found[1] if found else ""
    return ""


def _store(settings: Settings, now: datetime, *, running: bool) -> Iterator[Observation]:
    if on_a_server(settings.database):
        yield from _on_server(settings, now, running=running)
        return
    path = file_of(settings.database)
    if path is None or not path.exists():
        yield _not_made(path, path, running=running)
        return
    if path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        yield _fault("database", f"{path} can be read by others", f"chmod 600 {path}")
    free = shutil.disk_usage(path.parent).free
    if free < ROOM:
        yield _fault("disk", f"{free // 2**20} MB left beside the database", "make room")
    try:
        sound = _sound(path)
        with opened(settings.database, create=False) as engine:
            yield _ok("database", f"{path} is of this version")
            if not sound:
                yield _fault("database", "it is damaged", "nudgebot restore COPY, with serve stopped")
            process = holder(path)
            if process is not None and not process[1]:
                cure = "stop serve; it keeps what it had as a file .rescued-… beside it"
                yield _fault("serve", f"process {process[0]} uses a file that is no longer at {path}", cure)
            gone = process is not None and not process[1]
            yield from _held(settings, engine, now, process is not None, running=running and not gone)
    except NotMadeYet:
        yield _not_made(path, path, running=running)
    except OlderVersion as older:
        yield _note("database", str(older), "nudgebot backup FOLDER first")
    except StoreFault as fault:
        yield _fault("database", str(fault), "docs/operations.md says what to do about each")


def _on_server(settings: Settings, now: datetime, *, running: bool) -> Iterator[Observation]:
    try:
        with opened(settings.database, create=False) as engine:
            its_time, workers = server().present(engine)
            yield _ok("database", f"{named(settings.database)} is of this version, and {workers} workers use it")
            if abs(now - its_time) > CLOCK_APART:
                off = f"{(now - its_time).total_seconds():+.0f} s from the database server's, which all workers go by"
                yield _note("clock", off, "switch on time synchronisation on both")
            yield from _held(settings, engine, its_time, workers > 0, running=running)
    except NotMadeYet:
        yield _not_made(None, named(settings.database), running=running)
    except StoreFault as fault:
        yield _fault("database", str(fault), "docs/scaling.md says how to set PostgreSQL up")


def _not_made(path: Path | None, place: object, *, running: bool) -> Observation:
    if path is not None and was_there(path):
        cure = f"nudgebot restore COPY; or remove {lock_of(path)} to begin with nothing"
        return _fault("database", f"{path} was in use and is gone", cure)
    if running:
        return _fault("database", f"there is none at {place}, so serve does not run on it", "start serve")
    return _note("database", f"there is none at {place}; serve makes it as it starts")


def _sound(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as conn:
            return bool(conn.execute("PRAGMA quick_check").fetchone() == ("ok",))
    except sqlite3.DatabaseError:
        return True  # said in one line by who opens it


def _held(settings: Settings, engine: Engine, now: datetime, runs: bool, *, running: bool) -> Iterator[Observation]:
    with reading(engine) as conn:
        keeps_up = health.look(conn, VOICE, now)
        hosted = bool(settings.owner) or owners.host(conn, VOICE) is not None
        aside = inbox.put_aside(conn)
        last = due_queue.time_of(conn, VOICE)
    if hosted:
        yield _ok("owner", "somebody hosts the bot")
    else:
        yield _note("owner", "nobody hosts the bot yet, and everybody may join", "nudgebot owner")
    for key, why, at in aside:
        text = f"{key} of {at:%Y-%m-%d %H:%M} UTC: {why}"
        yield _note("put aside", text, "a bug: report the place it names; its words are kept for 8 days")
    if last is not None and last - now > health.ROUND_LATE:
        yield _fault("clock", f"a round was made at {last:%Y-%m-%d %H:%M} UTC", "set the clock right")
    if running and not runs:
        yield _fault("serve", "it does not run on this database", "start it")
    elif running:
        late = keeps_up.faults()
        for each in late:
            yield _fault("serve", each, "look at its log; restart it if it says nothing")
        if not late:
            yield _ok("serve", "it runs and keeps up")
