"""The files of words and patterns: every section is read by some module, and every module finds what it reads."""

import re
from pathlib import Path

import pytest

import nudgebot.domain.text
from nudgebot.domain.text.word_files import Patterns, Words, sections

HOME = Path(nudgebot.domain.text.__file__).parent
FILES = tuple(sorted(path.stem for path in (HOME / "words").glob("*.txt")))
SOURCES = {path: path.read_text("utf-8") for path in HOME.parent.rglob("*.py")}
ASSIGNED, LOADED = re.compile(r"^([A-Z_, ]+) = (.+)$", re.MULTILINE), re.compile(r"\b(words|patterns)\(\"(\w+)\"\)")
LOADS = [
    (text, name, kind, file)
    for text in SOURCES.values()
    for names, calls in ASSIGNED.findall(text)
    for name, (kind, file) in zip(names.split(", "), LOADED.findall(calls), strict=False)
]
SAYINGS = [re.findall(r"\"(\w+)\"", row) for row in re.findall(r"= saying\((.+)\)", SOURCES[HOME / "sayings.py"])]
KINDS = {file: kind for _, _, kind, file in LOADS} | {file: "patterns" for file, *_ in SAYINGS}


def read_of(file: str) -> set[str]:
    """The sections of a file that modules read."""
    return {
        name for text, value, _, loaded in LOADS if loaded == file for name in re.findall(rf"\b{value}\.(\w+)", text)
    } | {name for of, *names in SAYINGS if of == file for name in names}


@pytest.mark.parametrize("file", [name for name in FILES if name not in {"sign_turns", "regional"}])
def test_every_section_is_read_and_every_section_read_is_there(file: str) -> None:
    listed = {name.partition(" ")[0] for name in sections(file)}
    inner = set(re.findall(r"\{([a-z_]+)\}", (HOME / "words" / f"{file}.txt").read_text("utf-8")))
    assert read_of(file) <= listed
    assert listed <= read_of(file) | inner


def test_every_turn_of_phrase_is_looked_for_and_every_one_looked_for_is_listed() -> None:
    looked_for = {name for text in SOURCES.values() for name in re.findall(r"turn_ends\(\w+, \"(\w+)\"\)", text)}
    assert looked_for == set(sections("sign_turns"))


@pytest.mark.parametrize("name", ["no_such_words", "was "])
def test_a_set_or_a_pattern_that_is_not_listed_is_an_error(name: str) -> None:
    with pytest.raises(AttributeError):
        getattr(Words("taking_back"), name)
    with pytest.raises(AttributeError):
        getattr(Patterns("illness"), name)


def test_every_pattern_is_a_regular_expression() -> None:
    found = [
        getattr(Patterns(file), name.partition(" ")[0])
        for file in (name for name, kind in KINDS.items() if kind == "patterns")
        for name in sections(file)
    ]
    assert len(found) > 50


def test_words_are_folded_as_lines_are() -> None:
    for file in (name for name, kind in KINDS.items() if kind == "words"):
        for name, lines in sections(file).items():
            said = " ".join(lines)
            assert said.isascii(), f"{file}: {name}"
            assert said == said.lower() or said == said.upper(), f"{file}: {name}"  # words, or names of concepts
