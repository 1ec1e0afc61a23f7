"""The plain way reads a plain log as the long way does, takes the ordinary ones, and leaves every other line alone."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nudgebot.domain.dialogue.intents import TypedLine, change_named_setting
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.dialogue.week.queries import answer_reviewed
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import line_of
from nudgebot.domain.text.line.phrase_tree import Node
from nudgebot.domain.text.line.vocabulary import LANGUAGES, Entry, lexicon
from nudgebot.domain.text.plain_log import MOST_WORDS, W, plain_log
from nudgebot.domain.text.reply import Intent, Reading, read, read_in_full
from nudgebot.domain.text.triage import Level, triage
from nudgebot.domain.text.weather import NO_WEATHER, weather_in
from tests.bench.footprint import of_one_line
from tests.corpus import lines, replies, symptoms
from tests.corpus.lines import COMPLAINT, TODAY
from tests.domain.chats import marta

# What plain logs are made of, and words beside it that they are not: other days, hills, effort of another kind.
HINTS = frozenset((Cue.RUN, Cue.RAN, Cue.DID, Cue.SOFT, Cue.DAY, Cue.PART_OF_DAY))
PLAIN = frozenset((Cue.RUN, Cue.RAN, Cue.DID))


def plainly(text: str) -> Reading | None:
    """What the plain way makes of a line."""
    return plain_log(line_of(text), TODAY)


@cache
def phrases(language: str) -> tuple[tuple[str, frozenset[Cue]], ...]:
    """Every phrase of a language with its hints."""

    def below(node: Node[Entry], words: tuple[str, ...]) -> Iterator[tuple[str, frozenset[Cue]]]:
        if node.said:
            yield " ".join(words), node.said[0].cues
        for word, after in node.after.items():
            yield from below(after, (*words, word))

    return tuple(sorted(below(lexicon(language).root, ())))


@cache
def hinting(language: str, hints: frozenset[Cue]) -> tuple[str, ...]:
    """The phrases of a language that hint at one of `hints`."""
    return tuple(phrase for phrase, cues in phrases(language) if cues & hints)


def made(number: int, unit: str, words: list[str], place: int, sign: str, end: str) -> str:
    """A line of a number and words, the number at `place`, with signs between and behind them."""
    return sign.join([*words[:place], f"{number}{unit}", *words[place:]]) + end


def lines_in(language: str) -> st.SearchStrategy[str]:
    """Lines of a number, most with a unit, and up to three phrases of a language, many of them plain."""
    nearly = hinting(language, HINTS)
    easy = tuple(word for word in nearly if word in W.easy)
    words = (*nearly, *(9 * hinting(language, PLAIN)), *(50 * easy))
    units = ("", *(9 * (" min", "min")), *(f" {word}" for word in hinting(language, frozenset((Cue.MINUTE,)))))
    return st.builds(
        made, st.integers(9, 121), st.sampled_from(units), st.lists(st.sampled_from(words), max_size=3),
        st.integers(0, 3), st.sampled_from((" ", " ", ", ")), st.sampled_from(("", "", "", ".", "!")),
    )  # fmt: skip


MADE = st.one_of([lines_in(language) for language in LANGUAGES])


class TestThePlainWayReadsAsTheLongWay:
    """ "reads a plain log alike, by test" """

    def test_every_labelled_line(self) -> None:
        texts = {line.text for line in lines.all_lines()} | {
            row.text for part in replies.PARTS for row in replies.rows(part)
        }
        short = sorted(text for text in texts if len(text.split()) <= MOST_WORDS.value)
        told = {text: reading for text in short if (reading := plainly(text)) is not None}
        assert len(told) >= 75
        assert told == {text: read_in_full(text, TODAY) for text in told}

    @settings(max_examples=400)
    @given(MADE)
    def test_lines_made_of_the_vocabulary(self, text: str) -> None:
        reading = plainly(text)
        assume(reading is not None)
        assert reading == read_in_full(text, TODAY)

    @pytest.mark.parametrize("minutes", range(1, 131, 3))
    def test_any_number_of_minutes(self, minutes: int) -> None:
        for text in (f"{minutes}", f"{minutes} min", f"{minutes} easy", f"ran {minutes} minutes today"):
            assert plainly(text) in {None, read_in_full(text, TODAY)}


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("42 min easy", 42), ("ran 30", 30), ("easy 45 min run today", 45), ("Done, 25 minutes!", 25), ("38", 38),
        ("30 Minuten locker gejoggt", 30), ("heute 40 min gelaufen", 40), ("corrí 35 minutos", 35),
        ("hoy 30 min trote suave", 30), ("j'ai couru 40 min", 40), ("30 minutes de footing", None),
        ("footing tranquille 30 min", 30), ("corri 50 minutos hoje", 50), ("corrida leve 45 min", 45),
    ],
)  # fmt: skip
def test_ordinary_lines(text: str, minutes: int | None) -> None:
    reading = plainly(text)
    assert (None if reading is None else reading.minutes) == minutes
    assert read(text, TODAY).plain == (minutes is not None)


@pytest.mark.parametrize("language", LANGUAGES)
def test_most_ways_to_say_that_one_ran_are_plain(language: str) -> None:
    ways = hinting(language, frozenset((Cue.RUN,)))
    assert sum(plainly(f"{way} 42 min") is not None for way in ways) >= 0.6 * len(ways)
    easy = [word for word in hinting(language, frozenset((Cue.SOFT,))) if word in W.easy]
    assert len(easy) >= 6
    assert all(plainly(f"42 min {word}") is not None for word in easy)


def test_each_word_for_easy_describes_a_run_in_the_vocabulary() -> None:
    known = {word for language in LANGUAGES for word in hinting(language, frozenset((Cue.SOFT,)))}
    assert known >= W.easy


@pytest.mark.parametrize(
    "text",
    [
        "42 min easy?", "no 42 min", "didn't run 42 min", "42 min tomorrow", "42 min yesterday", "42 min tonight",
        "42 min on monday", "will run 42 min", "want to run 42 min", "42 min planned", "30 or 40 min", "30 min 40 min",
        "30-40 min", "42 min easy knee", "42 min easy, chest tight", "tired 42 min", "42 min hot", "42 min walk",
        "42 min bike", "42 min hard", "42 km", "42 bpm", "42 min easi", "42 mni", "42 min blorp", "he ran 42 min",
        "42 min easy. back on friday", "9 min", "121 min", "61", "42.5 min", "1:05", "half an hour", "38 c'est fait",
        "42 min got through", "make it 42 min", "42 min not easy", "nicht 42 min", "mañana 42 min", "demain 42 min", "",
        "easy", "ran", "morgen 42 min", "42 min easy ran 42 min", "42 min ran easy jog run done today easy ran",
    ],
)  # fmt: skip
def test_lines_that_say_more_or_something_else_take_the_long_way(text: str) -> None:
    assert plainly(text) is None
    assert not read(text, TODAY).plain


def test_no_labelled_complaint_is_a_plain_log() -> None:
    told = [line.text for part in symptoms.PARTS for line in symptoms.lines(part) if line.level is not Level.NONE]
    labelled = lines.all_lines()
    told += [one.text for one in labelled if one.triage != Level.NONE or one.traffic == COMPLAINT or one.fever]
    told += [one.text for one in labelled if Intent.SYMPTOM in one.intents]
    short = [text for text in told if len(text.split()) <= MOST_WORDS.value]
    assert len(short) > 1000
    assert [text for text in short if plainly(text) is not None] == []


@given(MADE)
def test_what_a_plain_log_is_not_asked_for_it_does_not_hold(text: str) -> None:
    reading = read(text, TODAY)
    assume(reading.plain)
    chat = marta()
    heard = Heard("key", text, chat.now, chat.now)
    verdict = triage(text)
    assert verdict.level is Level.NONE
    assert weather_in(text) == NO_WEATHER
    assert change_named_setting(TypedLine(chat.book, heard, verdict, reading)) is None
    assert answer_reviewed(chat.book, heard, reading.intent) is None


def test_a_plain_log_enters_no_learned_reader_and_no_other_does_without() -> None:
    def entered(text: str) -> set[str]:
        return {Path(file).parent.name for file in of_one_line(text).files}

    assert {"learned", "log_lines"}.isdisjoint(entered("42 min easy"))
    assert {"learned", "log_lines"} <= entered("42 min by the lake")
