"""The door: reads the command line and the clock, wires the rest together.

Exit status: 0 done, 1 failed while running, 2 bad usage, setting or input, with one line on standard error; 130 where
somebody pressed Ctrl-C.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from functools import partial
from pathlib import Path
from time import process_time
from typing import BinaryIO, NoReturn
from zoneinfo import ZoneInfo, available_timezones

from nudgebot import __version__

DONE, FAILED, BAD_USAGE, INTERRUPTED = 0, 1, 2, 130
RUNNERS, WEEKS = range(1, 100_001), range(1, 105)  # of a simulation
KEEP_DAYS = range(1, 3_651)  # of copies


class _Parser(argparse.ArgumentParser):
    """Says a usage fault in one line."""

    def error(self, message: str) -> NoReturn:
        self.exit(BAD_USAGE, f"{self.prog}: {message} (see {self.prog} --help)\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Runs one command and returns its exit status."""
    options = _parser().parse_args(arguments)
    # Modules and tables of words are many objects that stay: looking through them meanwhile is a third of a start.
    gc.set_threshold(50_000)
    try:
        return int(options.run(options))
    except BrokenPipeError:
        # Whoever read our output has gone; nothing is wrong with the work.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as error:
        from nudgebot.storage.database import BadAddress, StoreFault

        if not isinstance(error, StoreFault):
            raise
        return _fail(str(error), BAD_USAGE if isinstance(error, BadAddress) else FAILED)


def _parser() -> _Parser:
    parser = _Parser(
        prog="nudgebot",
        description="Keeps a busy runner's small weekly dose of easy running on its feet, by chat.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    def add(name: str, what: str, example: str) -> argparse.ArgumentParser:
        return commands.add_parser(
            name,
            help=what,
            description=what[:1].upper() + what[1:] + ".",
            epilog=f"example:\n  {example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )

    demo = add("demo", "play two weeks of an invented runner, no token and no server needed", "nudgebot demo")
    demo.set_defaults(run=_demo)

    talk = add(
        "talk",
        "the chat in the terminal, with a clock that moves when told",
        "printf '/start\\nyes\\n' | nudgebot talk --as Ana --at 2027-01-04T06:30",
    )
    talk.add_argument("--db", metavar="URL", default="sqlite://", help="a database of its own (default: in memory)")
    talk.add_argument("--as", dest="speaker", metavar="NAME", default="you", help="who speaks first (default: you)")
    talk.add_argument("--at", type=_wall, metavar="TIME", help="the time it starts, like 2027-01-04T06:30")
    talk.add_argument("--zone", type=_zone, default=ZoneInfo("UTC"), help="the zone of --at (default: UTC)")
    talk.add_argument("--join", choices=("open", "invited"), default="open", help="who may join (default: open)")
    talk.add_argument("--owner", metavar="NAME", default="", help="who hosts the bot and can name coaches")
    talk.add_argument("--pictures", type=_folder, metavar="FOLDER", help="keep each picture there, as it is sent")
    talk.add_argument("--json", action="store_true", help="one JSON object a message")
    talk.set_defaults(run=_talk)

    serve = add("serve", "the chat on Telegram; settings come from the environment", "NUDGEBOT_TOKEN=… nudgebot serve")
    serve.set_defaults(run=_serve)

    replan = add("replan", "solve replanning problems, one JSON object a line", "nudgebot replan week.jsonl")
    replan.add_argument("file", metavar="FILE", help="a file of problems, or - for standard input")
    replan.set_defaults(run=_replan)

    understand = add(
        "understand",
        "read runners' lines, one JSON object each",
        "echo '42 easy' | nudgebot understand --today 2027-01-06",
    )
    understand.add_argument("--today", type=_date, metavar="DATE", help="the runner's date (default: today)")
    understand.add_argument("file", metavar="FILE", nargs="?", default="-", help="a file of lines, or - (default)")
    understand.set_defaults(run=_understand)

    _add_files(add)

    signs = add(
        "signs",
        "print the tables of warning signs for review, or say what a reviewed file changes",
        "nudgebot signs --csv > signs.csv",
    )
    signs.add_argument("--csv", action="store_true", help="one CSV instead of a page to read")
    signs.add_argument("--reviewed", type=Path, metavar="FILE", help="a CSV that came back: what was changed, by whom")
    signs.set_defaults(run=_signs)

    why_nudge = add("why-nudge", "explain the nudges of one runner on one day", "nudgebot why-nudge Ana 2027-01-06")
    why_nudge.add_argument("runner", metavar="RUNNER", help="a runner's number or name")
    why_nudge.add_argument("day", metavar="DATE", type=_date, help="the runner's date, like 2027-01-06")
    _of_serve(why_nudge)
    why_nudge.set_defaults(run=_why_nudge)

    lines = add(
        "lines",
        "print the lines that runners let be used to train the reader, one JSON object a line",
        "nudgebot lines > lines.jsonl",
    )
    lines.add_argument("--db", metavar="URL", help="the database (default: the one of serve)")
    lines.set_defaults(run=_trained_lines)

    simulate = add(
        "simulate",
        "send invented runners through weeks of life and look for what must never happen",
        "nudgebot simulate --runners 70 --weeks 20 --seed 1",
    )
    simulate.add_argument("--runners", type=_whole(RUNNERS), metavar="N", default=70, help="how many (default: 70)")
    simulate.add_argument("--weeks", type=_whole(WEEKS), metavar="N", default=20, help="weeks each (default: 20)")
    simulate.add_argument("--seed", type=int, metavar="N", default=1, help="the same seed, the same lives (default: 1)")
    simulate.add_argument("--json", action="store_true", help="one JSON object instead of a page")
    simulate.add_argument("--picture", type=Path, metavar="FILE", help="draw it, to a name that ends in .svg or .png")
    simulate.add_argument("--keep", type=_folder, metavar="FOLDER", help="keep what is done there, and go on from it")
    simulate.add_argument("--once", action="store_true", help="leave out the comparison with weeks left alone")
    simulate.set_defaults(run=_simulate)
    _for_the_host(add)
    return parser


def _add_files(add: Callable[[str, str, str], argparse.ArgumentParser]) -> None:
    """The commands that read files of runs."""
    read = add("read", "say what activity files (GPX) hold; nothing is stored", "nudgebot read sunday.gpx")
    read.add_argument("files", metavar="FILE", nargs="+", type=Path, help="GPX 1.1, also gzipped or alone in a ZIP")
    read.add_argument("--zone", type=_zone, default=ZoneInfo("UTC"), help="the zone of dates and times (default: UTC)")
    read.add_argument("--band", type=_band, metavar="LOW-HIGH", help="an easy range of heart rates, like 118-141")
    read.add_argument("--json", action="store_true", help="one JSON object a file")
    read.set_defaults(run=_read)

    past = add("import", "show past runs in a CSV, or put them into a runner's log", "nudgebot import runs.csv Ana")
    past.add_argument("file", metavar="FILE", help="a CSV with date, minutes and maybe kind, heart_rate, effort; or -")
    past.add_argument("runner", metavar="RUNNER", help="a runner's number or name")
    past.add_argument("--write", action="store_true", help="write them; without it they are only shown")
    _of_serve(past)
    past.set_defaults(run=_import)


def _for_the_host(add: Callable[[str, str, str], argparse.ArgumentParser]) -> None:
    """Commands of whoever runs the bot."""
    owner = add("owner", "make a one-time code that lets whoever writes it to the bot host it", "nudgebot owner")
    _of_serve(owner)
    owner.set_defaults(run=_owner)

    check = add("check", "look for what would keep serve from working, and say how to mend it", "nudgebot check")
    check.add_argument("--running", action="store_true", help="also whether serve runs, and keeps up")
    check.add_argument("--offline", action="store_true", help="ask the platform nothing")
    check.set_defaults(run=_check)

    backup = add("backup", "copy the database while serve runs, and read the copy back", "nudgebot backup copies")
    backup.add_argument("folder", metavar="FOLDER", type=Path, help="where the copies lie; made if it is not there")
    backup.add_argument(
        "--keep", type=_whole(KEEP_DAYS), metavar="DAYS", default=30, help="delete older copies (default: 30 days)"
    )
    _of_serve(backup)
    backup.set_defaults(run=_backup)

    moved = add(
        "move",
        "copy a stopped bot into another, empty database, and compare every row",
        "nudgebot move sqlite:////var/lib/nudgebot/nudgebot.db postgresql+psycopg://nudgebot@/nudgebot",
    )
    moved.add_argument("source", metavar="FROM", help="URL of the database, which stays as it is")
    moved.add_argument("target", metavar="TO", help="URL of an empty one: a new file, or a database of PostgreSQL's")
    moved.set_defaults(run=_move)

    restore = add("restore", "put a copy in the place of the database", "nudgebot restore copies/nudgebot-20270104.db")
    restore.add_argument("copy", metavar="COPY", type=Path, help="a file that nudgebot backup made")
    _of_serve(restore)
    restore.set_defaults(run=_restore)


def _of_serve(command: argparse.ArgumentParser) -> None:
    command.add_argument("--db", metavar="URL", help="the database (default: that of serve)")


def _now() -> datetime:
    return datetime.now(UTC)  # noqa: TID251 - the one place that reads the clock


def _wall(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no date and time (like 2027-01-04T06:30)") from None


def _date(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no date (like 2027-01-04)") from None


def _folder(text: str) -> Path:
    path = Path(text)
    if not path.is_dir():
        raise argparse.ArgumentTypeError(f"{text!r} is no folder")
    return path


def _zone(text: str) -> ZoneInfo:
    if text not in available_timezones():
        raise argparse.ArgumentTypeError(f"{text!r} is no time zone (like Europe/Lisbon)")
    return ZoneInfo(text)


def _band(text: str) -> tuple[int, int]:
    low, _, high = text.partition("-")
    if not (low.isdecimal() and high.isdecimal() and text.isascii() and len(text) <= 7 and int(low) <= int(high)):
        raise argparse.ArgumentTypeError(f"{text!r} is no range of heart rates (like 118-141)")
    return int(low), int(high)


def _whole(allowed: range) -> Callable[[str], int]:
    def read(text: str) -> int:
        if not text.isascii() or not text.isdecimal() or int(text) not in allowed:
            raise argparse.ArgumentTypeError(f"{text!r} is no whole number from {allowed[0]} to {allowed[-1]}")
        return int(text)

    return read


def _fail(text: str, status: int) -> int:
    sys.stderr.write(f"nudgebot: {text}\n")
    return status


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
    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    return understand.run(stream, sys.stdout, options.today or _now().astimezone().date())


def _read(options: argparse.Namespace) -> int:
    from nudgebot.tools import read

    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    return read.run(options.files, options.zone, options.band, _now(), sys.stdout, sys.stderr, as_json=options.json)


def _import(options: argparse.Namespace) -> int:
    from nudgebot.storage.database import opened
    from nudgebot.storage.holding import hold
    from nudgebot.tools import import_runs

    stream = _opened(options.file)
    if stream is None:
        return BAD_USAGE
    try:
        text = stream.read().decode("utf-8-sig")
    except UnicodeDecodeError:
        return _fail(f"{options.file} is no text in UTF-8", BAD_USAGE)
    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    url = _database(options)
    with opened(url, create=False) as engine, hold(url, alone=True):
        return import_runs.run(engine, options.runner, text, _now(), sys.stdout, sys.stderr, write=options.write)


def _signs(options: argparse.Namespace) -> int:
    from nudgebot.tools import signs

    sys.stdout.reconfigure(encoding="utf-8", newline="")  # type: ignore[union-attr]
    reviewed = None
    if options.reviewed is not None:
        try:
            reviewed = options.reviewed.read_text(encoding="utf-8-sig").splitlines(keepends=True)
        except (OSError, UnicodeDecodeError) as fault:
            return _fail(f"cannot read {options.reviewed}: {fault}", BAD_USAGE)
    return signs.run(as_csv=options.csv, reviewed=reviewed, out=sys.stdout, err=sys.stderr)


def _talk(options: argparse.Namespace) -> int:
    from nudgebot.channels.terminal.console import VOICE, Talk, ToldClock
    from nudgebot.storage import clock
    from nudgebot.storage.database import file_of, on_a_server, opened
    from nudgebot.storage.holding import hold

    path = None if on_a_server(options.db) else file_of(options.db)
    if path is not None and not path.parent.is_dir():
        return _fail(f"there is no folder {path.parent}", BAD_USAGE)
    with hold(options.db, alone=False), opened(options.db) as engine:
        with engine.begin() as conn:
            last = clock.read(conn, VOICE)
        start = options.at and (options.at if options.at.tzinfo else options.at.replace(tzinfo=options.zone))
        if start is not None and last is not None and start < last:
            return _fail(f"time only moves forward, and this database stands at {last:%Y-%m-%dT%H:%M} UTC", BAD_USAGE)
        begin = start or last
        sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
        talk = Talk(
            engine,
            sys.stdout,
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


def _lines() -> Iterable[str]:
    """Standard input line by line: with a prompt for a person, as it is for a script."""
    if sys.stdin.isatty():
        return _typed()
    return (raw.decode("utf-8", errors="replace") for raw in sys.stdin.buffer)


def _typed() -> Iterator[str]:
    while True:
        try:
            yield input("> ")
        except EOFError:
            return


def _serve(_options: argparse.Namespace) -> int:
    from nudgebot.app.handle_message import take
    from nudgebot.channels.settings import Settings, read_settings
    from nudgebot.channels.telegram.serve import serve

    settings = read_settings(os.environ, sys.platform)
    if not isinstance(settings, Settings):
        for fault in settings:
            _fail(str(fault), BAD_USAGE)
        return BAD_USAGE
    return serve(
        settings, _now, partial(take, open_door=settings.open_door, owner=settings.owner, feeds=settings.web_url)
    )


def _database(options: argparse.Namespace) -> str:
    """URL of the database of `serve`, or of the one that was named."""
    from nudgebot.channels.settings import default_database

    return options.db or os.environ.get("NUDGEBOT_DATABASE") or default_database(os.environ, sys.platform)


def _owner(options: argparse.Namespace) -> int:
    import secrets

    from nudgebot.app import ownership
    from nudgebot.channels.telegram.updates import VOICE
    from nudgebot.domain.messages.host import printed
    from nudgebot.storage import owners
    from nudgebot.storage.database import named, opened

    if os.environ.get("NUDGEBOT_OWNER"):
        return _fail("NUDGEBOT_OWNER is set and says who hosts the bot; a code would not change it", BAD_USAGE)
    url = _database(options)
    with opened(url, create=False) as engine, engine.begin() as conn:
        hosted = owners.host(conn, VOICE) is not None
        code = ownership.new_code(conn, _now(), secrets.token_bytes)
    sys.stdout.write(f"For the bot with the database {named(url)}.\n{printed(code, hosted=hosted)}")
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
        sys.stdout.write(f"What was there before is {kept}; delete it when you no longer need it.\n")
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
    from nudgebot.channels.settings import default_database
    from nudgebot.storage.database import BadAddress, StoreFault, opened
    from nudgebot.tools import lines

    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    url = options.db or os.environ.get("NUDGEBOT_DATABASE") or default_database(os.environ, sys.platform)
    try:
        with opened(url) as engine:
            return lines.run(engine, sys.stdout)
    except StoreFault as fault:
        return _fail(str(fault), BAD_USAGE if isinstance(fault, BadAddress) else FAILED)


def _simulate(options: argparse.Namespace) -> int:
    from nudgebot.tools.simulate import command, picture

    if options.picture is not None:
        if options.picture.suffix not in picture.ENDINGS or not options.picture.parent.is_dir():
            return _fail(f"cannot draw to {options.picture}: a name in a folder that is there, .svg or .png", BAD_USAGE)
        if not picture.can_draw():
            return _fail(
                "a picture needs matplotlib, which is not installed (README.md, the extra `pictures`)", BAD_USAGE
            )
    return command.run(
        options.runners,
        options.weeks,
        options.seed,
        sys.stdout,
        sys.stderr,
        process_time,
        as_json=options.json,
        drawn=options.picture,
        keep=options.keep,
        twice=not options.once,
    )


def _demo(_options: argparse.Namespace) -> int:
    from nudgebot.tools.demo import play

    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    return play(sys.stdout)
