"""Whole conversations, as files that a coach can read: played again, they must come out the same to the letter.

A file's first line names the speaker, whether they are new, have joined as in joining.txt on 3 January 2027, or coach
such runners (and host the bot), and the time it starts in which zone; then every line that begins with "> " is typed,
and all else is what the bot answers.
`python -m tests.test_dialogues` writes the answers anew, those of month/ too, to be read before they are committed;
`python -m tests.test_dialogues NAME ...` writes only the files of these names, like joining or hold/FILE.
"""

from __future__ import annotations

import argparse
import re
import sys
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from tests.memory import in_memory
from tests.talking import coached, marta, talk

HERE = Path(__file__).parent / "dialogues"
FILES = sorted(path for path in HERE.rglob("*.txt") if path.parent.name not in {"month", "quarter"})
HEAD = re.compile(r"# (\S+), (new|joined|coach of [\w ]+), from (\S+) in (\S+): .+")


def again(text: str) -> str:
    """The dialogue of `text` as it comes out now."""
    first, *rest = text.splitlines()
    head = HEAD.fullmatch(first)
    assert head, f"the first line says who speaks and when, like {HEAD.pattern}"
    speaker, kind, at, zone = head.groups()
    start = datetime.fromisoformat(at).replace(tzinfo=ZoneInfo(zone))
    typed = [line[2:] for line in rest if line.startswith("> ")]
    engine = marta(speaker) if kind == "joined" else in_memory()
    owner = ""
    if kind.startswith("coach of "):
        owner = speaker
        coached(speaker, kind.removeprefix("coach of ").split(" and "), engine=engine, zone=zone.rpartition("/")[2])
    played = talk(typed, at=start, engine=engine, speaker=speaker, zone=zone, as_json=False, owner=owner)
    assert not played.err
    return f"{first}\n{played.out}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(HERE)))
def test_a_conversation_goes_as_it_is_written_down(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert again(text) == text


def test_there_are_conversations_to_read() -> None:
    assert len(FILES) >= 8


def test_no_conversation_holds_a_hard_word() -> None:
    # Said to nobody: words that blame or count what was not done. (docs/nudges.md, "Promises")
    for path in FILES:
        said = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith(">")]
        for word in ("missed", "failed", "breach", "only", "streak"):
            assert not re.search(rf"\b{word}\b", "\n".join(said[1:]), re.IGNORECASE), (path.name, word)


def write(names: list[str]) -> None:
    """Writes the answers anew, of the files of these names, or of all files and the month; ValueError for no such."""
    by_name = {path.relative_to(HERE).with_suffix("").as_posix(): path for path in FILES}
    if unknown := [name for name in names if name not in by_name]:
        raise ValueError(f"no such dialogue: {', '.join(unknown)}")
    for name in names or by_name:
        path = by_name[name]
        path.write_text(again(path.read_text(encoding="utf-8")), encoding="utf-8")
        sys.stdout.write(f"{name}\n")
    if not names:
        from tests.app import test_group_month

        test_group_month.write()


if __name__ == "__main__":
    parser = argparse.ArgumentParser("python -m tests.test_dialogues", description="Writes the answers anew.")
    parser.add_argument(
        "names", nargs="*", metavar="NAME", help="write only this file, like joining or hold/FILE; without: all of them"
    )
    try:
        write(parser.parse_args().names)
    except ValueError as error:
        parser.error(str(error))
