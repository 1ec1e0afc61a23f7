"""The door: reads the command line and the clock, wires the rest together.

Exit status: 0 done, 1 failed while running, 2 bad usage, setting or input, with one line on standard error; 130 if
somebody pressed Ctrl-C.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from time import process_time
from typing import BinaryIO, Final, TextIO

from nudgebot.arguments import BAD_USAGE, parser

DONE, FAILED, INTERRUPTED = 0, 1, 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit status."""
    options = parser().parse_args(arguments)
    # Modules and tables of words are many objects that stay: looking through them meanwhile is a third of a start.
    gc.set_threshold(50_000)
    try:
        return RUNS[options.run](options)
    except BrokenPipeError:
        # Whoever read our output has gone; nothing is wrong with the work.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:
        from nudgebot.storage.faults import BadAddress, StoreFault

        if not isinstance(error, StoreFault):
            raise
        return _fail(str(error), BAD_USAGE if isinstance(error, BadAddress) else FAILED)


def _now() -> datetime:
    return datetime.now(UTC)  # noqa: TID251 - the one place that reads the clock


def _fail(text: str, status: int) -> int:
    sys.stderr.write(f"nudgebot: {text}\n")
    return status


def _utf8(newline: str | None = None) -> TextIO:
    """Standard output, in UTF-8 whatever the terminal is set to."""
    sys.stdout.reconfigure(encoding="utf-8", newline=newline)  # type: ignore[union-attr]
    return sys.stdout


def _opened(name: str) -> BinaryIO | None:
    """Standard input for "-", else the file; None, and one line said, where it cannot be opened."""
    if name == "-":
        return sys.stdin.buffer
    try:
        return Path(name).open("rb")
    except OSError as error:
        _fail(f"cannot read {name}: {error.strerror}", BAD_USAGE)
        return None


def _replan(options: argparse.Namespace) -> int:
    from nudgebot.tools import replan

    stream = _opened(options.file)
    return BAD_USAGE if stream is None else replan.run(stream, sys.stdout, sys.stderr)


def _understand(options: argparse.Namespace) -> int:
    from nudgebot.tools import understand

    stream = _opened(options.file)
    if stream is None:
        return BAD_USAGE
    return understand.run(stream, _utf8(), options.today or _now().astimezone().date())


def _read(options: argparse.Namespace) -> int:
    from nudgebot.tools import run_files

    return run_files.read(options.files, options.zone, options.band, _now(), _utf8(), sys.stderr, as_json=options.json)


def _import(options: argparse.Namespace) -> int:
    from nudgebot.storage.database import opened
    from nudgebot.storage.holding import hold
    from nudgebot.tools import run_files

    stream = _opened(options.file)
    if stream is None:
        return BAD_USAGE
    try:
        text = stream.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        return _fail(f"{options.file} is no text in UTF-8", BAD_USAGE)
    url = _database(options)
    with opened(url, create=False) as engine, hold(url, alone=True):
        return run_files.import_runs(engine, options.runner, text, _now(), _utf8(), sys.stderr, write=options.write)


def _signs(options: argparse.Namespace) -> int:
    from nudgebot.tools import signs

    reviewed = None
    if options.reviewed is not None:
        try:
            reviewed = options.reviewed.read_text(encoding="utf-8-sig").splitlines(keepends=True)
        except (OSError, UnicodeDecodeError) as fault:
            return _fail(f"cannot read {options.reviewed}: {fault}", BAD_USAGE)
    return signs.run(as_csv=options.csv, reviewed=reviewed, out=_utf8(newline=""), err=sys.stderr)


def _talk(options: argparse.Namespace) -> int:
    from nudgebot.channels.terminal.console import VOICE, Talk, ToldClock
    from nudgebot.storage import due_queue
    from nudgebot.storage.database import file_of, on_a_server, opened
    from nudgebot.storage.holding import hold

    path = None if on_a_server(options.db) else file_of(options.db)
    if path is not None and not path.parent.is_dir():
        return _fail(f"there is no folder {path.parent}", BAD_USAGE)
    with hold(options.db, alone=False), opened(options.db) as engine:
        with engine.begin() as conn:
            last = due_queue.time_of(conn, VOICE)
        start = options.at and (options.at if options.at.tzinfo else options.at.replace(tzinfo=options.zone))
        if start is not None and last is not None and start < last:
            return _fail(f"time only moves forward, and this database stands at {last:%Y-%m-%dT%H:%M} UTC", BAD_USAGE)
        begin = start or last
        talk = Talk(
            engine,
            _utf8(),
            sys.stderr,
            ToldClock(begin.astimezone(UTC)) if begin else _now,
            options.speaker,
            options.zone,
            as_json=options.json,
            echo=not options.json and not sys.stdin.isatty(),
            open_door=options.join == "open",
            owner=options.owner,
            folder=options.pictures,
        )
        return talk.play(_lines())


def _lines() -> Iterator[str]:
    """Standard input line by line: with a prompt for a person, as it is for a script."""
    if not sys.stdin.isatty():
        yield from (raw.decode("utf-8", errors="replace") for raw in sys.stdin.buffer)
        return
    with suppress(EOFError):
        while True:
            yield input("> ")


def _serve(_options: argparse.Namespace) -> int:
    from nudgebot.app.access import Host
    from nudgebot.app.handle_message import take
    from nudgebot.channels.settings import Settings, read_settings
    from nudgebot.channels.telegram.serve import serve

    settings = read_settings(os.environ, sys.platform)
    if not isinstance(settings, Settings):
        for fault in settings:
            _fail(str(fault), BAD_USAGE)
        return BAD_USAGE
    host = Host(settings.owner, settings.open_door, feeds=settings.web_url)
    return serve(settings, _now, partial(take, host=host))


def _database(options: argparse.Namespace) -> str:
    """URL of the database of `serve`, or of the one that was named."""
    from nudgebot.channels.settings import default_database

    return options.db or os.environ.get("NUDGEBOT_DATABASE") or default_database(os.environ, sys.platform)


def _owner(options: argparse.Namespace) -> int:
    import secrets

    from nudgebot.app import ownership
    from nudgebot.channels.telegram.updates import VOICE
    from nudgebot.domain.messages.group.host import print_code
    from nudgebot.storage import owners
    from nudgebot.storage.database import named, opened

    if os.environ.get("NUDGEBOT_OWNER"):
        return _fail("NUDGEBOT_OWNER is set and says who hosts the bot; a code would not change it", BAD_USAGE)
    url = _database(options)
    with opened(url, create=False) as engine, engine.begin() as conn:
        hosted = owners.host(conn, VOICE) is not None
        code = ownership.new_code(conn, _now(), secrets.token_bytes)
    sys.stdout.write(f"For the bot with the database {named(url)}.\n{print_code(code, hosted=hosted)}")
    return DONE


def _check(options: argparse.Namespace) -> int:
    from nudgebot.tools import check

    asked = {"running": options.running, "offline": options.offline}
    return check.run(os.environ, sys.platform, _now(), sys.stdout, **asked)


def _backup(options: argparse.Namespace) -> int:
    from nudgebot.storage.backup import backup

    copy, gone = backup(_database(options), options.folder, _now(), timedelta(days=options.keep))
    sys.stdout.write(f"{copy}\n")
    if gone:
        sys.stderr.write(f"{gone} copies older than {options.keep} days are deleted\n")
    return DONE


def _restore(options: argparse.Namespace) -> int:
    from nudgebot.storage.backup import restore

    kept = restore(_database(options), options.copy, _now())
    sys.stdout.write(f"The database is what {options.copy} holds. Lines that came after it are lost.\n")
    if kept is not None:
        sys.stdout.write(f"What was there before is {kept}, with its log beside it: delete {kept.name}* in time.\n")
    return DONE


def _move(options: argparse.Namespace) -> int:
    from nudgebot.storage.database import named
    from nudgebot.storage.moving import move

    rows = sum(move(options.source, options.target).values())
    sys.stdout.write(f"{rows} rows are in {named(options.target)}, each compared with where it came from.\n")
    return DONE


def _why_nudge(options: argparse.Namespace) -> int:
    from nudgebot.storage.database import named, opened
    from nudgebot.tools import why_nudge

    url = _database(options)
    with opened(url, create=False) as engine:
        status = why_nudge.run(engine, options.runner, options.day, _now(), sys.stdout, sys.stderr)
    return status if status == DONE else _fail(f"no runner {options.runner} in {named(url)}", status)


def _trained_lines(options: argparse.Namespace) -> int:
    from nudgebot.storage.database import opened
    from nudgebot.tools import lines

    with opened(_database(options), create=False) as engine:
        return lines.run(engine, _utf8())


def _simulate(options: argparse.Namespace) -> int:
    from nudgebot.tools.simulate import command, report

    if options.picture is not None:
        if options.picture.suffix not in report.ENDINGS or not options.picture.parent.is_dir():
            return _fail(f"cannot draw to {options.picture}: a name in a folder that is there, .svg or .png", BAD_USAGE)
        if not report.can_draw():
            return _fail(
                "a picture needs matplotlib, which is not installed (README.md, the extra `pictures`)", BAD_USAGE
            )
    how = {"as_json": options.json, "drawn": options.picture, "keep": options.keep, "twice": not options.once}
    lives = (options.runners, options.weeks, options.seed)
    return command.run(*lives, sys.stdout, sys.stderr, process_time, **how)


def _demo(_options: argparse.Namespace) -> int:
    from nudgebot.tools.demo import play

    return play(_utf8())


RUNS: Final[Mapping[str, Callable[[argparse.Namespace], int]]] = {
    "demo": _demo,
    "talk": _talk,
    "serve": _serve,
    "replan": _replan,
    "understand": _understand,
    "signs": _signs,
    "why-nudge": _why_nudge,
    "lines": _trained_lines,
    "simulate": _simulate,
    "read": _read,
    "import": _import,
    "owner": _owner,
    "check": _check,
    "backup": _backup,
    "move": _move,
    "restore": _restore,
}
