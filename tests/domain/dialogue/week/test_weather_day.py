"""What is said of the weather holds for the rest of the day, whatever is said and however often we look."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.messages.nudges import write_nudge
from nudgebot.domain.model.nudged import NudgeKind, Outcome, Snooze
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, LimitReason
from nudgebot.domain.nudging import nudges
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.gap import open_session
from tests.domain import plans

OFF = (
    "the air is awful",
    "AQI 190, run?",
    "-24 C and 45 km/h wind",
    "34 degrees and 65 % humidity, ok?",
    "so much smoke from the forest fire",
    "feels like -33",
    "-30 this morning",
    "hay 39 grados, ¿puedo correr?",
)
LATER = (
    "/week", "20 min at most today", "move saturday to today", "later", "in 2 h", "this evening", "back", "hello",
    "busy tomorrow", "it is 12 degrees now, ok to run?", "the smoke is gone", "undo", "10 min walk", "why",
    "run today after all", "legs a bit sore", "no run today", "what's next?", "calm", "strong wind",
)  # fmt: skip
# Words by which a run is offered for today.
OFFERED = re.compile(
    r"(?:Today|starts today): \d+ min (?!brisk walk)|today, \d+ min (?:easy|long|walk-run)|tonight|"
    r"No word yet about today|Today is the last day[^:]*: \d+ min|[Tt]oday as planned|a short one keeps"
)


def told(book: Book, line: str, at: datetime, seen: list[str]) -> Book:
    book = nudges.note_heard(planner.roll(book, book.today(at)), at)
    done = answer(book, Heard(f"{at:%d%H%M%S}{len(seen)}", line, at, at))
    seen.extend(say.text for say in done.says)
    return done.book


def nudged(book: Book, until: datetime, at: datetime, seen: list[str]) -> Book:
    """The book with every nudge that falls due from `at` to `until` sent, its words in `seen`."""
    look: datetime | None = at
    while look is not None and look <= until:
        book = planner.roll(book, book.today(look))
        for verdict in nudges.settle_due(book, look):
            book = replace(book, nudges=(*book.nudges, verdict.nudged))
            if verdict.payload is not None:
                seen.append(write_nudge(book, verdict, look).text)
        look = nudges.next_look(book, look)
    return book


@st.composite
def days(draw: st.DrawFn) -> tuple[int, list[tuple[int, str]], str, bool]:
    line = draw(st.sampled_from(OFF))
    hour = draw(st.integers(5, 17))
    later = draw(st.lists(st.tuples(st.integers(hour, 21), st.sampled_from(LATER)), max_size=4))
    return hour, sorted(later), line, draw(st.booleans())


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 6), st.booleans(), days())
def test_after_no_running_outside_no_message_of_the_day_offers_a_run_outside(
    weekday: int, ran: bool, day: tuple[int, list[tuple[int, str]], str, bool]
) -> None:
    hour, later, line, walks = day
    book = steady()
    morning = plans.MONDAY + timedelta(days=7 * 5 + weekday)
    book = planner.roll(book, morning)
    if ran and weekday:
        book = plans.ran(book, morning - timedelta(days=1), 30)
    if walks:
        book = replace(book, runner=replace(book.runner, last_heard=at(morning, 0) - timedelta(days=1)))
    seen: list[str] = []
    book = told(book, line, at(morning, hour), seen)
    assert open_session(book, morning) is None
    look = at(morning, hour)
    for n, (when, words) in enumerate(later):
        moment = max(look, at(morning, when)) + timedelta(minutes=n)
        book = nudged(book, moment, look, seen)
        book = told(book, words, moment, seen)
        look = moment
        assert open_session(book, morning) is None, words
    nudged(book, at(morning, 23), look, seen)
    assert [text for text in seen if OFFERED.search(text)] == []


@cache
def steady() -> Book:
    return plans.steady(weeks=5)


def at(day: date, hour: int) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


def test_the_words_that_offer_a_run_are_found_on_a_day_of_fair_weather() -> None:
    # The check above can fail: without the weather, the same day is full of such words.
    seen: list[str] = []
    monday = plans.MONDAY + timedelta(days=35)
    book = planner.roll(steady(), monday)
    day = next(session.day for session in book.plan)
    nudged(told(book, "hello", at(day, 5), []), at(day, 23), at(day, 5), seen)
    assert any(OFFERED.search(text) for text in seen)


def test_a_day_called_off_moves_its_run_as_calling_it_off_would() -> None:
    book = planner.roll(steady(), plans.MONDAY + timedelta(days=35))
    day = book.plan[0].day
    called = told(book, "no run today", at(day, 9), [])
    smoky = told(book, "the air is full of smoke outside", at(day, 9), [])
    assert smoky.plan == called.plan
    assert smoky.limits[-1].reason is LimitReason.WEATHER


def test_the_next_day_is_open_again() -> None:
    book = planner.roll(steady(), plans.MONDAY + timedelta(days=35))
    day = book.plan[0].day
    smoky = told(book, "thick smoke in the air, should I run", at(day, 9), [])
    assert smoky.off_outside(day)
    assert not smoky.off_outside(day + timedelta(days=1))


@pytest.mark.parametrize(("asked", "line"), [(Ask.WIND, "-17, ok to run?"), (Ask.HUMIDITY, "30 degrees, ok to run?")])
def test_while_the_deciding_question_is_open_no_run_is_asked_for(asked: Ask, line: str) -> None:
    book = planner.roll(steady(), plans.MONDAY + timedelta(days=35))
    day = book.plan[0].day
    after = told(book, line, at(day, 5), [])
    assert after.asked is not None
    assert after.asked.what is asked
    assert open_session(after, day) is None
    seen: list[str] = []
    nudged(after, at(day, 23), at(day, 5), seen)
    assert [text for text in seen if OFFERED.search(text)] == []


@pytest.mark.parametrize(("line", "reply"), [("-17, ok to run?", "no wind"), ("30 degrees, ok to run?", "dry")])
def test_a_mild_answer_leaves_the_plan_as_it_was(line: str, reply: str) -> None:
    book = planner.roll(steady(), plans.MONDAY + timedelta(days=35))
    day = book.plan[0].day
    after = told(told(book, line, at(day, 6), []), reply, at(day, 6), [])
    assert after.plan == book.plan
    assert not after.off_outside(day)


def test_a_gap_warning_put_off_to_a_day_of_smoke_names_a_walk_indoors() -> None:
    book = planner.roll(steady(), plans.MONDAY + timedelta(days=36))
    day = plans.MONDAY + timedelta(days=36)
    book = replace(book, snoozes=(Snooze("k", NudgeKind.GAP_WARNING, day, at(day, 16)),))
    smoky = told(book, "smoke everywhere from the fires", at(day, 9), [])
    seen: list[str] = []
    settled = nudged(smoky, at(day, 17), at(day, 9), seen)
    assert [n.kind for n in settled.nudges if n.outcome is Outcome.SENT][-1:] == [NudgeKind.SNOOZED]
    assert "a 10-minute walk indoors" in seen[-1]
