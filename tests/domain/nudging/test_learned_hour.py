"""The hour of a reminder that was left to us follows the runner's first words, within its rules and nothing else."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nudgebot.domain.messages.nudges import write_nudge
from nudgebot.domain.model.actions import SetTo
from nudgebot.domain.model.intake import Intake, LearnedHour, YesNoSkip
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.runner import Book, OnHold, at_wall
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.learned_hour import says_moved, why_that_hour, with_learned_hour
from nudgebot.domain.nudging.times import quiet_until
from nudgebot.domain.profile import intake
from nudgebot.domain.profile.intake_codec import as_rows, from_rows
from tests.domain.drawn_weeks import MONDAY, does, drawn, run_to

PLAN = ", ".join(f"{week}{day} 30" for week in ("", "2", "3", "4", "5", "6", "7", "8") for day in ("Mon", "Wed", "Fri"))
TURN = time(3)
LEFT = Intake(remind_at=YesNoSkip.SKIP)


def joined() -> Book:
    """Eight weeks of Mon-Wed-Fri; the reminder is left to us, and the runner has joined on the first Monday."""
    book = replace(drawn(PLAN, weeks=8), intake=LEFT)
    return replace(book, runner=replace(book.runner, joined_at=at_wall(MONDAY, TURN, book.profile)))


def lived(book: Book, clock: str, weeks: int, *, says: str = "hello") -> list[tuple[datetime, Book]]:
    """The books of the mornings at 03:00 where each session's day has a word at `clock`."""
    now, mornings = at_wall(MONDAY, TURN, book.profile), []
    for n in range(7 * weeks):
        day = MONDAY + timedelta(days=n)
        turn = at_wall(day, TURN, book.profile)
        book, now = run_to(book, now, turn)
        book = with_learned_hour(book, turn)
        mornings.append((turn, book))
        if book.session_on(day) is not None:
            at = at_wall(day, time.fromisoformat(clock), book.profile)
            book, now = run_to(book, now, at)
            book = does(book, says, at)
    return mornings


def hours(mornings: list[tuple[datetime, Book]]) -> list[str]:
    """The hours of the reminder, each with the day from which on it holds."""
    found: list[str] = []
    for n, (_, book) in enumerate(mornings):
        hour = f"{book.profile.remind_at:%H:%M}"
        if not found or not found[-1].endswith(hour):
            found.append(f"{n} {hour}")
    return found


@pytest.mark.parametrize(
    ("clock", "moves"),
    [
        ("07:10", ["0 07:00"]),
        ("07:25", ["0 07:00", "21 07:25"]),
        ("08:20", ["0 07:00", "21 07:30", "35 08:00", "49 08:20"]),
        ("09:55", ["0 07:00", "21 07:30", "35 08:00", "49 08:30"]),
        ("12:30", ["0 07:00"]),  # so late a word is no answer to a morning's reminder
    ],
)
def test_the_hour_moves_after_three_weeks_a_step_a_fortnight(clock: str, moves: list[str]) -> None:
    assert hours(lived(joined(), clock, 8)) == moves


def test_runs_told_before_the_reminder_bring_it_earlier_but_not_into_quiet_hours() -> None:
    assert hours(lived(joined(), "06:35", 8, says="ran 30")) == ["0 07:00", "21 06:35"]
    assert hours(lived(joined(), "06:05", 8, says="ran 30")) == ["0 07:00", "21 06:30"]


@pytest.mark.parametrize("chosen", [time(7), time(6, 45), time(8)])
def test_a_chosen_hour_stays(chosen: time) -> None:
    book = joined()
    told = replace(book.intake, remind_at=chosen)
    book = replace(book, intake=told, profile=replace(book.profile, remind_at=chosen))
    assert len(hours(lived(book, "08:40", 6))) == 1


def test_a_learned_hour_leaves_an_hour_before_the_usual_run() -> None:
    book = joined()
    book = replace(book, profile=replace(book.profile, run_time=time(8, 20)))
    assert hours(lived(book, "08:10", 8)) == ["0 07:00"]


def test_few_words_teach_nothing() -> None:
    book = lived(joined(), "08:20", 3)[-1][1]
    few = [n for n in book.nudges if n.kind is NudgeKind.MORNING][-4:]
    at = at_wall(MONDAY + timedelta(days=21), TURN, book.profile)
    assert with_learned_hour(replace(book, nudges=tuple(few)), at).intake == LEFT
    assert with_learned_hour(replace(book, standing=OnHold(at, "urgent", "calf", "")), at).intake == LEFT


def test_the_first_reminder_at_the_new_hour_says_so_once_with_a_way_back() -> None:
    day = MONDAY + timedelta(days=21)
    book = lived(joined(), "08:20", 4)[21][1]
    at = at_wall(day, time(7, 30), book.profile)
    verdict = next(v for v in nudges.settle_due(book, at) if v.payload is not None)
    said = write_nudge(book, verdict, at)
    assert "07:30" in said.text
    assert SetTo("remind_at", "07:00") in [button.action for button in said.buttons]
    later = replace(book, nudges=(*book.nudges, verdict.nudged))
    assert says_moved(later, day + timedelta(days=2)) is None
    assert "07:30" in why_that_hour(book)
    assert "chose" in why_that_hour(replace(book, intake=Intake(remind_at=time(7))))


def test_what_was_learned_is_kept_and_gives_way_to_a_chosen_hour() -> None:
    told = replace(LEFT, learned_hour=LearnedHour(MONDAY, time(7, 30), time(7)))
    assert from_rows(as_rows(told)) == told
    assert intake.profile(told).remind_at == time(7, 30)
    assert intake.profile(replace(told, remind_at=time(7))).remind_at == time(7)
    assert from_rows({"remind_at": "skip", "learned_hour": "2027-01-04 dawn-07:00"}) == LEFT


@settings(max_examples=60, deadline=None)
@given(
    minutes=st.lists(st.integers(-180, 240), min_size=9, max_size=9),
    quiet=st.sampled_from([("21:30", "06:30"), ("21:30", "07:15"), ("08:00", "16:00"), ("00:00", "06:50")]),
    run_time=st.sampled_from([time(6), time(7, 30), time(12), time(18)]),
)
def test_whatever_is_said_a_move_is_small_never_quiet_and_touches_no_plan(
    minutes: list[int], quiet: tuple[str, str], run_time: time
) -> None:
    book = joined()
    first, last = (time.fromisoformat(wall) for wall in quiet)
    book = replace(book, profile=replace(book.profile, quiet_from=first, quiet_to=last, run_time=run_time))
    days = [MONDAY + timedelta(days=7 * week + n) for week in range(3) for n in (0, 2, 4)]
    for day, away in zip(days, minutes, strict=True):
        at = at_wall(day, time(7), book.profile) + timedelta(minutes=away)
        book = does(book, "ran 30", at) if at_wall(day, TURN, book.profile) <= at else book
    turn = at_wall(MONDAY + timedelta(days=21), TURN, book.profile)
    moved = with_learned_hour(book, turn)
    assert replace(moved, intake=book.intake, profile=book.profile) == book
    if moved == book:
        return
    learned = moved.intake.learned_hour
    assert learned is not None
    assert moved.profile == replace(book.profile, remind_at=learned.at)
    assert quiet_until(moved, at_wall(learned.day, learned.at, moved.profile)) is None
    step = [60 * wall.hour + wall.minute for wall in (learned.at, learned.before)]
    assert 0 < abs(step[0] - step[1]) <= 30
    assert with_learned_hour(moved, turn + timedelta(days=13)) == moved
