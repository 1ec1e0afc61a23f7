"""Life that repeats: read in plain words, shown back as dates, held by the plan, ended by itself.

The dates are held to RFC 5545's recurrence rules as python-dateutil works them out.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from dateutil.rrule import MONTHLY, WEEKLY, rrule, weekday
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.messages.common import MONTHS
from nudgebot.domain.messages.plan.repeats import dates_words
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.repeat import Repeat, repeat_of
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.profile.intake_codec import as_rows, from_rows
from nudgebot.domain.profile.sentences.repeat_words import days_but, free_again, given_up, repeat_in, swap_in
from tests.domain.plans import MONDAY, every_session_run, steady

TODAY = date(2027, 3, 10)  # a Wednesday
dates = st.dates(date(2026, 1, 1), date(2029, 12, 31))
weekdays = st.sets(st.integers(0, 6), min_size=1).map(lambda days: tuple(sorted(days)))
rules = st.builds(
    Repeat,
    start=dates,
    weekdays=weekdays,
    minutes=st.integers(0, 120),
    end=st.none() | dates,
    weeks=st.integers(1, 4),
    why=st.sampled_from(["", "late shift", "school holidays"]),
)


def on(*days: str) -> tuple[date, ...]:
    """Dates of 2027, as "5 Apr"."""
    return tuple(date(2027, MONTHS.index(day.split()[1]) + 1, int(day.split()[0])) for day in days)


@pytest.mark.parametrize(
    ("said", "minutes", "dates", "sure"),
    [
        ("the second Tuesday of every month I can't run", 0, on("13 Apr", "11 May", "8 Jun"), True),
        ("every last Thursday of the month is choir", 0, on("25 Mar", "29 Apr", "27 May"), False),
        ("am ersten Samstag im Monat geht nicht", 0, on("3 Apr", "1 May", "5 Jun"), True),
        ("el tercer viernes del mes no puedo", 0, on("19 Mar", "16 Apr", "21 May"), True),
        ("we have the kids every other weekend", 0, on("13 Mar", "14 Mar", "27 Mar"), False),
        ("every second Thursday I'm on duty", 0, on("11 Mar", "25 Mar", "8 Apr"), False),
        ("no Tuesdays for three weeks", 0, on("16 Mar", "23 Mar", "30 Mar"), True),
        ("can't do Tuesdays for the next month", 0, on("16 Mar", "23 Mar", "30 Mar"), True),
        ("not Saturdays in May", 0, on("1 May", "8 May", "15 May"), True),
        ("30 min at most on Thursdays until the end of April", 30, on("11 Mar", "18 Mar", "25 Mar"), True),
        ("night shifts next week", 0, on("15 Mar", "16 Mar", "17 Mar"), False),
        ("half term from 29 March to 2 April", 0, on("29 Mar", "30 Mar", "31 Mar"), False),
        ("2 on 2 off from Friday", 0, on("12 Mar", "13 Mar", "16 Mar"), False),
        ("turno de noche la semana que viene, sin lunes", 0, (), True),
        ("un samedi sur deux je travaille, pas de course", 0, on("13 Mar", "27 Mar", "10 Apr"), True),
        ("sábados alternos tengo turno", 0, on("13 Mar", "27 Mar", "10 Apr"), False),
        ("im April keine Sonntage", 0, on("4 Apr", "11 Apr", "18 Apr"), True),
    ],
)
def test_a_rule_is_read_in_plain_words(said: str, minutes: int, dates: tuple[date, ...], sure: bool) -> None:
    told = repeat_in(said, TODAY)
    if not dates:
        assert told is None
        return
    assert told is not None
    assert (told.repeat.dates(TODAY, 3), told.repeat.minutes, told.sure) == (dates, minutes, sure)


@pytest.mark.parametrize(
    "said",
    [
        "ran 30 with the kids",
        "busy on Thursday and Friday",
        "no run today, the kids are ill",
        "can't make Monday",
        "20 min at most tomorrow",
        "is every other day enough?",
        "not sure about Sunday",
        "first run this month!",
    ],
)
def test_what_is_said_of_single_days_is_no_rule(said: str) -> None:
    assert repeat_in(said, TODAY) is None
    assert swap_in(said) is None
    assert not given_up(said)


def test_a_week_but_for_a_day_is_the_other_days() -> None:
    assert days_but("can't run next week apart from Tuesday", TODAY) == on(
        "15 Mar", "17 Mar", "18 Mar", "19 Mar", "20 Mar", "21 Mar"
    )
    assert days_but("busy on Friday", TODAY) == ()


@pytest.mark.parametrize(
    ("said", "old", "new"),
    [
        ("from now on Friday instead of Monday", 0, 4),
        ("move Tuesday to Thursday for good", 1, 3),
        ("ab jetzt Donnerstag statt Mittwoch", 2, 3),
        ("a partir de ahora el jueves en vez de martes", 1, 3),
    ],
)
def test_one_weekday_takes_the_place_of_another_for_good(said: str, old: int, new: int) -> None:
    assert swap_in(said) == (old, new)


@pytest.mark.parametrize(
    ("said", "days"),
    [
        ("donnerstags nie wieder", (3,)),
        ("ab sofort nie mehr freitags", (4,)),
        ("nunca más los martes", (1,)),
        ("plus jamais le samedi", (5,)),
        ("désormais jamais le vendredi", (4,)),
        ("a partir de agora nunca aos domingos", (6,)),
        ("never again on a Monday", (0,)),
        ("je ne peux pas vendredi", ()),
        ("nie wieder so schnell", ()),
    ],
)
def test_days_are_given_up_in_five_languages(said: str, days: tuple[int, ...]) -> None:
    assert given_up(said) == days
    assert free_again(said) is None


def test_days_are_given_up_and_free_again() -> None:
    assert given_up("no runs on Mondays") == (0,)
    assert given_up("never on Fridays from now on") == (4,)
    assert free_again("Tuesdays work again") == (1,)
    assert free_again("the late shifts are over") == ()
    assert free_again("ran again today") is None


@settings(max_examples=40)
@given(rules, dates)
def test_weekly_rules_are_those_of_rfc_5545(rule: Repeat, day: date) -> None:
    plain = replace(rule, end=None)
    start = datetime.combine(plain.start, datetime.min.time())
    theirs = rrule(WEEKLY, dtstart=start, interval=plain.weeks, byweekday=plain.weekdays, count=12)
    assert [each.date() for each in theirs] == list(plain.dates(plain.start, 12))
    ends = rule.end is not None and day > rule.end
    assert not (rule.holds(day) and (ends or day < rule.start))


@given(dates, st.integers(0, 6), st.sampled_from([1, 2, 3, 4, 5, -1]))
def test_monthly_rules_are_those_of_rfc_5545(start: date, day: int, nth: int) -> None:
    first = datetime.combine(start, datetime.min.time())
    theirs = rrule(MONTHLY, dtstart=first, byweekday=weekday(day)(nth), count=4)
    assert [each.date() for each in theirs] == list(Repeat(start, (day,), nth=nth).dates(start, 4))


@given(dates, st.integers(1, 6), st.integers(1, 6))
def test_a_cycle_of_shifts_is_so_many_days_on_and_so_many_off(start: date, on: int, off: int) -> None:
    held = [Repeat(start, on=on, cycle=on + off).holds(start + timedelta(days=n)) for n in range(3 * (on + off))]
    assert held == ([True] * on + [False] * off) * 3


@given(rules)
def test_a_rule_is_stored_as_it_is_told(rule: Repeat) -> None:
    assert repeat_of(rule.text) == rule
    assert from_rows(as_rows(Intake(repeats=(rule,)))).repeats == (rule,)


@given(st.text(max_size=40))
def test_any_other_text_is_no_rule(text: str) -> None:
    rule = repeat_of(text)
    assert rule is None or rule.text == text


def test_dates_are_shown_all_of_them_where_they_end_and_the_first_where_they_go_on() -> None:
    assert dates_words(Repeat(TODAY, (6,), end=date(2027, 4, 1)), TODAY) == "Sunday, Sun 21 Mar and Sun 28 Mar"
    assert dates_words(Repeat(TODAY, (6,), nth=1), TODAY).endswith("and so on")
    assert dates_words(Repeat(TODAY, end=date(2027, 3, 14)), TODAY) == "Wed 10 Mar to Sun 14 Mar"


@settings(max_examples=12)
@given(weekdays.filter(lambda days: len(days) <= 3), st.integers(1, 2), st.sampled_from([0, 20, 30]))
def test_no_week_to_come_asks_more_of_a_day_than_its_rules_allow(
    days: tuple[int, ...], weeks: int, minutes: int
) -> None:
    book = steady()
    rule = Repeat(MONDAY, days, minutes, MONDAY + timedelta(days=400), weeks)
    book = replace(every_session_run(book), intake=replace(book.intake, repeats=(rule,)))
    for week in planner.forecast(book, book.weeks[-1].start, 3):
        for session in week.sessions:
            assert session.minutes <= open_on(book, session.day)
            assert minutes or not rule.holds(session.day)


def test_a_rule_with_an_end_comes_off_by_itself_and_a_newer_word_on_a_day_goes_before_it() -> None:
    book = steady()
    until = MONDAY + timedelta(days=20)
    book = replace(book, intake=replace(book.intake, repeats=(Repeat(MONDAY, (5,), end=until),)))
    saturday = MONDAY + timedelta(days=5)
    assert open_on(book, saturday) == 0
    assert open_on(book, saturday + timedelta(days=21)) > 0
