"""The sentences in five languages: each row has all of them, every row is said somewhere, and no other is asked for."""

import re
from pathlib import Path
from string import Formatter

import pytest

import nudgebot
from nudgebot.domain.messages.common import in_all, in_language, rows
from nudgebot.domain.text.line.vocabulary import LANGUAGES
from nudgebot.domain.text.symptoms.table import table

SOURCES = "\n".join(path.read_text("utf-8") for path in Path(nudgebot.__file__).parent.rglob("*.py"))


@pytest.mark.parametrize("row", rows())
def test_a_sentence_is_there_in_every_language_with_the_same_gaps(row: str) -> None:
    said = in_all(row)
    assert set(said) == set(LANGUAGES)
    gaps = {frozenset(name for _, name, _, _ in Formatter().parse(text) if name is not None) for text in said.values()}
    assert len(gaps) == 1


def test_a_language_that_is_none_of_ours_gets_english() -> None:
    assert in_language("stay", "fi") == in_all("stay")["en"]


@pytest.mark.parametrize("row", rows())
def test_every_sentence_is_said_somewhere(row: str) -> None:
    aid = row.removeprefix("aid_")
    assert re.search(rf"[\"']({row}|{aid})[\"']", SOURCES) or aid in {sign.aid for sign in table()}


def test_no_sentence_is_asked_for_that_is_not_there() -> None:
    asked = re.findall(r"in_(?:language|all)\([\"'](\w+)[\"']", SOURCES)
    asked += re.findall(r"in_language\(\"(?:\w+)\" if [\w.]+ else \"(\w+)\"", SOURCES)
    assert asked
    assert set(asked) <= set(rows())
