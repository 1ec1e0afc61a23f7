"""What can be typed on the command line: commands, options, and how each value is read; a fault is one line."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Final, NoReturn
from zoneinfo import ZoneInfo, available_timezones

from nudgebot import __version__

BAD_USAGE: Final = 2  # the exit status
RUNNERS, WEEKS = range(1, 100_001), range(1, 105)  # of a simulation
KEEP_DAYS = range(1, 3_651)  # of copies


class _Parser(argparse.ArgumentParser):
    """Says a usage fault in one line."""

    def error(self, message: str) -> NoReturn:
        self.exit(BAD_USAGE, f"{self.prog}: {message} (see {self.prog} --help)\n")


def parser() -> argparse.ArgumentParser:
    """Every command with its options; `run` is the command's name."""
    found = _Parser(
        prog="nudgebot",
        description="Keeps a busy runner's small weekly dose of easy running on its feet, by chat.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    found.add_argument("--version", action="version", version=f"%(prog)s {__version__}")
    commands = found.add_subparsers(required=True, metavar="COMMAND")

    def add(name: str, what: str, example: str) -> argparse.ArgumentParser:
        command = commands.add_parser(
            name,
            help=what,
            description=what[:1].upper() + what[1:] + ".",
            epilog=f"example:\n  {example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        command.set_defaults(run=name)
        return command

    add("demo", "play two weeks of an invented runner, no token and no server needed", "nudgebot demo")

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

    add("serve", "the chat on Telegram; settings come from the environment", "NUDGEBOT_TOKEN=… nudgebot serve")

    replan = add("replan", "solve replanning problems, one JSON object a line", "nudgebot replan week.jsonl")
    replan.add_argument("file", metavar="FILE", help="a file of problems, or - for standard input")

    understand = add(
        "understand",
        "read runners' lines, one JSON object each",
        "echo '42 easy' | nudgebot understand --today 2027-01-06",
    )
    understand.add_argument("--today", type=_date, metavar="DATE", help="the runner's date (default: today)")
    understand.add_argument("file", metavar="FILE", nargs="?", default="-", help="a file of lines, or - (default)")

    _add_files(add)

    signs = add(
        "signs",
        "print the tables of warning signs for review, or say what a reviewed file changes",
        "nudgebot signs --csv > signs.csv",
    )
    signs.add_argument("--csv", action="store_true", help="one CSV instead of a page to read")
    signs.add_argument("--reviewed", type=Path, metavar="FILE", help="a CSV that came back: what was changed, by whom")

    why_nudge = add("why-nudge", "explain the nudges of one runner on one day", "nudgebot why-nudge Ana 2027-01-06")
    why_nudge.add_argument("runner", metavar="RUNNER", help="a runner's number or name")
    why_nudge.add_argument("day", metavar="DATE", type=_date, help="the runner's date, like 2027-01-06")
    _of_serve(why_nudge)

    lines = add(
        "lines",
        "print the lines that runners let be used to train the reader, one JSON object a line",
        "nudgebot lines > lines.jsonl",
    )
    lines.add_argument("--db", metavar="URL", help="the database (default: the one of serve)")

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
    _for_the_host(add)
    return found


def _add_files(add: Callable[[str, str, str], argparse.ArgumentParser]) -> None:
    """The commands that read files of runs."""
    read = add("read", "say what activity files (GPX) hold; nothing is stored", "nudgebot read sunday.gpx")
    read.add_argument("files", metavar="FILE", nargs="+", type=Path, help="GPX 1.1, also gzipped or alone in a ZIP")
    read.add_argument("--zone", type=_zone, default=ZoneInfo("UTC"), help="the zone of dates and times (default: UTC)")
    read.add_argument("--band", type=_band, metavar="LOW-HIGH", help="an easy range of heart rates, like 118-141")
    read.add_argument("--json", action="store_true", help="one JSON object a file")

    past = add("import", "show past runs in a CSV, or put them into a runner's log", "nudgebot import runs.csv Ana")
    past.add_argument("file", metavar="FILE", help="a CSV with date, minutes and maybe kind, heart_rate, effort; or -")
    past.add_argument("runner", metavar="RUNNER", help="a runner's number or name")
    past.add_argument("--write", action="store_true", help="write them; without it they are only shown")
    _of_serve(past)


def _for_the_host(add: Callable[[str, str, str], argparse.ArgumentParser]) -> None:
    """Commands of whoever runs the bot."""
    owner = add("owner", "make a one-time code that lets whoever writes it to the bot host it", "nudgebot owner")
    _of_serve(owner)

    check = add("check", "look for what would keep serve from working, and say how to mend it", "nudgebot check")
    check.add_argument("--running", action="store_true", help="also whether serve runs, and keeps up")
    check.add_argument("--offline", action="store_true", help="ask the platform nothing")

    backup = add("backup", "copy the database while serve runs, and read the copy back", "nudgebot backup copies")
    backup.add_argument("folder", metavar="FOLDER", type=Path, help="where the copies lie; made if it is not there")
    backup.add_argument(
        "--keep", type=_whole(KEEP_DAYS), metavar="DAYS", default=30, help="delete older copies (default: 30 days)"
    )
    _of_serve(backup)

    moved = add(
        "move",
        "copy a stopped bot into another, empty database, and compare every row",
        "nudgebot move sqlite:////var/lib/nudgebot/nudgebot.db postgresql+psycopg://nudgebot@/nudgebot",
    )
    moved.add_argument("source", metavar="FROM", help="URL of the database, which stays as it is")
    moved.add_argument("target", metavar="TO", help="URL of an empty one: a new file, or a database of PostgreSQL's")

    restore = add("restore", "put a copy in the place of the database", "nudgebot restore copies/nudgebot-20270104.db")
    restore.add_argument("copy", metavar="COPY", type=Path, help="a file that nudgebot backup made")
    _of_serve(restore)


def _of_serve(command: argparse.ArgumentParser) -> None:
    command.add_argument("--db", metavar="URL", help="the database (default: that of serve)")


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
