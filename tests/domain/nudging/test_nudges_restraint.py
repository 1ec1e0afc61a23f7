"""Restraint: how many, how close, how often without an answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from nudgebot.domain.model.nudged import Nudged, NudgeKind, Outcome
from nudgebot.domain.model.runner import Book, at_wall
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.payloads import Call
from nudgebot.domain.nudging.throttle import A_DAY, A_WEEK, Reason, is_said_already, why_too_much
from tests.domain.drawn_weeks import BERLIN, MONDAY, drawn, play, sent, unsent

DAY = timedelta(days=1)
SUNDAY = MONDAY + 6 * DAY
OTHERS = (NudgeKind.HOW_ARE_YOU, NudgeKind.MORNING, NudgeKind.CHECK_IN)
RESERVE = (NudgeKind.GAP_WARNING, NudgeKind.WEEK_REVIEW)


def wall(day: date, clock: str) -> datetime:
    """An instant on the Berlin clock."""
    return at_wall(day, time.fromisoformat(clock), BERLIN)


def told(kind: NudgeKind, at: datetime, answered: bool = True, reason: str = "due") -> Nudged:
    """A nudge that was sent at `at`, or skipped where the reason says so."""
    outcome = Outcome.SENT if reason == "due" else Outcome.HELD_BACK
    return Nudged(kind, at.date(), f"{at:%H%M}", at, at, outcome, reason, at if answered else None)


def after(*nudged: Nudged, heard: datetime | None = None) -> Book:
    """A book with these nudges behind it; the runner was heard just before `heard`, else long ago."""
    book = drawn("")
    runner = replace(book.runner, last_heard=heard or wall(MONDAY - 20 * DAY, "12:00"))
    return replace(book, nudges=nudged, runner=runner)


@pytest.mark.parametrize("kind", [*OTHERS, *RESERVE])
def test_at_most_two_a_day(kind: NudgeKind) -> None:
    book = after(told(NudgeKind.MORNING, wall(SUNDAY, "07:00")), told(NudgeKind.CHECK_IN, wall(SUNDAY, "12:00")))
    assert len(book.nudges) == A_DAY
    at = wall(SUNDAY, "19:00")
    assert why_too_much(book, Call(kind, SUNDAY, "", at), at) is Reason.DAY_FULL
    tomorrow = wall(SUNDAY + DAY, "07:00")
    assert why_too_much(book, Call(kind, SUNDAY + DAY, "", tomorrow), tomorrow) is None


def test_a_day_lasts_until_the_runners_day_turns() -> None:
    book = after(told(NudgeKind.MORNING, wall(SUNDAY, "12:00")), told(NudgeKind.CHECK_IN, wall(SUNDAY, "20:00")))
    night = wall(SUNDAY + DAY, "02:30")
    assert why_too_much(book, Call(NudgeKind.MORNING, SUNDAY + DAY, "", night), night) is Reason.DAY_FULL


@pytest.mark.parametrize("kind", [NudgeKind.SAFETY_FOLLOWUP, NudgeKind.SNOOZED])
def test_follow_ups_and_snoozes_are_in_no_limit(kind: NudgeKind) -> None:
    full = [told(NudgeKind.MORNING, wall(SUNDAY, "12:00") - n * timedelta(hours=12), answered=False) for n in range(9)]
    at = wall(SUNDAY, "12:30")
    assert why_too_much(after(*reversed(full)), Call(kind, SUNDAY, "1", at), at) is None
    spent = [replace(n, kind=kind) for n in full]
    later = wall(SUNDAY, "16:00")
    assert why_too_much(after(*reversed(spent)), Call(NudgeKind.GAP_WARNING, SUNDAY, "", later), later) is None


@pytest.mark.parametrize(
    ("others", "reserved", "kind", "reason"),
    [
        (6, 0, NudgeKind.MORNING, Reason.RESERVED),
        (6, 0, NudgeKind.GAP_WARNING, None),
        (6, 1, NudgeKind.WEEK_REVIEW, None),
        (6, 2, NudgeKind.WEEK_REVIEW, Reason.WEEK_FULL),
        (5, 2, NudgeKind.CHECK_IN, None),
        (5, 3, NudgeKind.CHECK_IN, Reason.WEEK_FULL),
        (0, 8, NudgeKind.GAP_WARNING, Reason.WEEK_FULL),
        (0, 7, NudgeKind.MORNING, None),
    ],
)
def test_at_most_eight_a_week_two_of_them_for_gap_warning_and_review(
    others: int, reserved: int, kind: NudgeKind, reason: Reason | None
) -> None:
    kinds = [NudgeKind.CHECK_IN] * others + [NudgeKind.GAP_WARNING] * reserved
    assert len(kinds) <= A_WEEK
    at = wall(SUNDAY, "19:00")
    spread = [told(k, at - timedelta(hours=20 * (n + 1))) for n, k in enumerate(kinds)]
    book = after(*reversed(spread), heard=at - timedelta(hours=5))
    assert why_too_much(book, Call(kind, SUNDAY, "", at), at) is reason


@pytest.mark.parametrize("late", [0, 20, 59])  # s; how far behind a round may be
def test_the_same_time_a_week_ago_is_a_week_ago_however_late_the_round_was(late: int) -> None:
    at = wall(SUNDAY, "19:00")
    week_ago = told(NudgeKind.GAP_WARNING, at - timedelta(days=7) + timedelta(seconds=late))
    spread = [told(NudgeKind.GAP_WARNING, at - timedelta(hours=20 * (n + 1))) for n in range(A_WEEK - 1)]
    book = after(week_ago, *reversed(spread), heard=at - timedelta(hours=5))
    assert why_too_much(book, Call(NudgeKind.GAP_WARNING, SUNDAY, "", at), at) is None


def test_while_nothing_is_heard_one_place_stays_free_for_the_first_word() -> None:
    at = wall(SUNDAY, "19:00")
    spread = [told(NudgeKind.CHECK_IN, at - timedelta(hours=28 * (n + 1)), answered=True) for n in range(5)]
    book = after(*reversed(spread))
    assert why_too_much(book, Call(NudgeKind.MORNING, SUNDAY, "", at), at) is Reason.RESERVED
    assert why_too_much(book, Call(NudgeKind.SILENCE, SUNDAY, "first", at), at) is None


@pytest.mark.parametrize(
    ("sent_at", "asked_at", "reason"),
    [
        ("16:30", "19:00", Reason.TOO_CLOSE),
        ("16:00", "19:00", Reason.TOO_CLOSE),
        ("15:59", "19:00", None),
    ],
)
def test_of_nudges_within_three_hours_only_one_goes_out(sent_at: str, asked_at: str, reason: Reason | None) -> None:
    book, at = after(told(NudgeKind.MORNING, wall(SUNDAY, sent_at))), wall(SUNDAY, asked_at)
    assert why_too_much(book, Call(NudgeKind.GAP_WARNING, SUNDAY, "", at), at) is reason


def test_of_nudges_within_three_hours_it_is_the_strongest_even_if_it_comes_later() -> None:
    late = replace(BERLIN, remind_at=time(17, 30))
    book = play(drawn("Mon 45, Thu 45", profile=late, past="Sun"), "Mon 18:00 ran 45", days=4)
    assert sent(book) == ["Mon 17:30 morning", "Thu 20:00 gap_warning"]
    assert "Thu 17:30 morning: stronger" in unsent(book)


def test_a_check_in_soon_after_the_reminder_stays_unsent() -> None:
    early = replace(BERLIN, run_time=time(7, 30))
    book = play(drawn("Mon 45", profile=early, past="Sun"), days=1)
    assert sent(book) == ["Mon 07:00 morning"]
    assert unsent(book) == ["Mon 09:30 check_in: too close"]


@pytest.mark.parametrize(
    ("history", "reason"),
    [
        # The kinds' latest, oldest first: a answered, u unanswered, s skipped.
        ("", None),
        ("u", None),
        ("uu", Reason.UNANSWERED),
        ("au", None),
        ("ua", None),
        ("uua", None),
        ("uus", None),
        ("uusu", Reason.UNANSWERED),
        ("uusus", None),
        ("uusa", None),
        ("uusau", None),
    ],
)
@pytest.mark.parametrize("kind", [NudgeKind.MORNING, NudgeKind.CHECK_IN, NudgeKind.GAP_WARNING])
def test_after_two_without_an_answer_every_second_one_is_skipped(
    kind: NudgeKind, history: str, reason: Reason | None
) -> None:
    at = wall(SUNDAY, "19:00")
    days = [at - (len(history) - n) * 8 * DAY for n in range(len(history))]
    past = [
        told(kind, day, answered=mark == "a", reason="unanswered" if mark == "s" else "due")
        for day, mark in zip(days, history, strict=True)
    ]
    book = after(*past)
    book = replace(book, runner=replace(book.runner, last_heard=at - timedelta(days=400)))
    assert why_too_much(book, Call(kind, SUNDAY, "evening", at), at) is reason


def test_the_gap_warnings_morning_call_is_never_skipped() -> None:
    at = wall(SUNDAY, "07:00")
    book = after(*(told(NudgeKind.GAP_WARNING, at - n * 8 * DAY, answered=False) for n in (3, 2, 1)))
    book = replace(book, runner=replace(book.runner, last_heard=at - timedelta(days=400)))
    assert why_too_much(book, Call(NudgeKind.GAP_WARNING, SUNDAY, "morning", at), at) is None
    assert why_too_much(book, Call(NudgeKind.GAP_WARNING, SUNDAY, "evening", at), at) is Reason.UNANSWERED


def test_any_reply_restores_the_full_measure() -> None:
    at = wall(SUNDAY, "07:00")
    silent = tuple(told(NudgeKind.MORNING, at - n * DAY, answered=False) for n in (3, 2))
    call = Call(NudgeKind.MORNING, SUNDAY, "", at)
    assert why_too_much(after(*silent), call, at) is Reason.UNANSWERED
    assert why_too_much(after(*silent, heard=at - timedelta(hours=12)), call, at) is None


def test_an_unanswered_nudge_is_one_at_the_end_of_the_day_not_before() -> None:
    # One was yesterday, the other is of this very morning: its day is not over.
    at = wall(SUNDAY, "19:00")
    book = after(
        told(NudgeKind.GAP_WARNING, at - DAY, answered=False),
        told(NudgeKind.GAP_WARNING, at - timedelta(hours=12), answered=False),
    )
    assert why_too_much(book, Call(NudgeKind.GAP_WARNING, SUNDAY + DAY, "evening", at), at) is None


def test_every_second_morning_in_a_silent_fortnight() -> None:
    plan = ", ".join(f"{week}{day} 45" for week in ("", "2") for day in ("Mon", "Wed", "Fri"))
    book = play(replace(drawn(plan, past="Sun"), weeks=()), days=12)
    marks = [(f"{n.for_day:%a}", n.outcome is Outcome.SENT) for n in book.nudges if n.kind is NudgeKind.MORNING]
    assert marks == [("Mon", True), ("Wed", True), ("Fri", False), ("Mon", True), ("Wed", False), ("Fri", True)]


def test_one_review_a_week_and_one_gap_warning_a_day() -> None:
    evening = Nudged(
        NudgeKind.WEEK_REVIEW, SUNDAY, "evening", wall(SUNDAY, "19:30"), wall(SUNDAY, "19:30"), Outcome.SENT, "due"
    )
    morning = Call(NudgeKind.WEEK_REVIEW, SUNDAY, "morning", wall(SUNDAY + DAY, "07:00"))
    assert is_said_already(after(evening), morning)
    assert not is_said_already(after(replace(evening, outcome=Outcome.HELD_BACK)), morning)
    warned = replace(evening, kind=NudgeKind.GAP_WARNING, slot="morning")
    assert is_said_already(after(warned), Call(NudgeKind.GAP_WARNING, SUNDAY, "evening", wall(SUNDAY, "19:00")))


def test_every_reason_has_its_sentence() -> None:
    assert all(reason.text.endswith(".") for reason in Reason)
    verdict = nudges.settle_due(drawn("Mon 45", past="Sun"), wall(MONDAY, "10:30"))[0]
    assert Reason(verdict.nudged.reason).text == "It could not go out in time to help."
