"""Triage held to the measure of the contract, on both parts of the corpus and in five languages."""

import re
from pathlib import Path

import pytest

from nudgebot.domain.profile import conditions
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES, kinds, lexicon
from nudgebot.domain.text.symptoms.table import firsts, table
from nudgebot.domain.text.triage import Level
from tests.corpus.symptoms import Figures, figures, lines


@pytest.fixture(scope="module", params=["look", "held", "third", "fourth", "fifth"])
def english(request: pytest.FixtureRequest) -> Figures:
    return figures(lines(request.param))


def test_every_emergency_is_recognised(english: Figures) -> None:
    right, all_of_them = english.recall[Level.EMERGENCY]
    assert all_of_them >= 30
    assert right == all_of_them


def test_nobody_is_told_two_levels_too_little(english: Figures) -> None:
    assert english.two_under == 0


def test_few_harmless_lines_are_answered_with_a_level(english: Figures) -> None:
    assert english.harmless >= 15
    assert english.alarmed <= 0.03 * english.harmless
    assert english.levelled <= 0.05 * english.harmless


@pytest.mark.parametrize("language", [each for each in LANGUAGES if each != "en"])
def test_emergencies_are_recognised_in_the_other_languages(language: str) -> None:
    got = figures(lines(language))
    right, all_of_them = got.recall[Level.EMERGENCY]
    assert all_of_them >= 30
    assert right >= 0.95 * all_of_them
    assert got.alarmed <= 0.03 * got.harmless


def test_the_corpus_is_as_large_as_it_says() -> None:
    assert sum(len(lines(part)) for part in ("look", "held")) >= 600
    assert not {line.text for line in lines("look")} & {line.text for line in lines("held")}


def test_every_row_of_the_table_names_words_that_some_lexicon_has() -> None:
    measured = {"PAIN_HIGH", "PAIN_MID", "PAIN_LOW", "TEMP_40", "FEVER_NUMBER", "BP_CRISIS", "BP_HIGH", "BP_RAISED"}
    measured |= {"PREG_WEEKS", "SUGAR_LOW_NUMBER", "SUGAR_VERY_LOW", "SUGAR_HIGH_NUMBER", "HR_ODD"}
    measured.add("PREGNANT_TOLD")  # told before, in the book
    known = {concept for language in LANGUAGES for concept in lexicon(language).kinds} | measured
    unknown = {
        concept
        for row in table()
        for pattern in row.patterns
        for concept in (*(c for group in pattern.groups for atom in group for c in atom), *pattern.absent)
        if concept not in known
    }
    assert not unknown


def test_every_row_has_a_level_a_source_and_how_it_was_checked() -> None:
    ids = [row.id for row in table()]
    assert len(ids) == len(set(ids))
    for row in table():
        assert Level(row.level) is not Level.NONE
        assert row.source
        assert row.seen in {"seen", "seen in copies", "from memory"}
        assert row.past in {"chest", "stays", "fades", "drops", "event"}


# What is said after a sign and beside a told condition has its source on the page, too.
SAID = {"crisis lines", "waiting for help", "stroke, waiting", "chest, waiting"}


def test_the_page_of_sources_has_every_key_of_a_sign_or_a_condition_and_no_other() -> None:
    page = (Path(__file__).parents[3] / "docs" / "sources-safety.md").read_text("utf-8")
    keys = re.findall(r"^\| ([^|]+) \|[^|]+\|[^|]+\| (?:seen|seen in copies|from memory) \|$", page, re.MULTILINE)
    assert len(keys) == len(set(keys))
    assert set(keys) == {row.source for row in table()} | {row.source for row in conditions.table()} | SAID


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_concept_is_of_one_kind_in_every_language(language: str) -> None:
    assert lexicon(language).kinds.items() <= kinds().items()


def test_no_sign_begins_with_a_denial_a_person_or_a_time() -> None:
    assert "cue" not in {kinds().get(concept) for concept in firsts()}
