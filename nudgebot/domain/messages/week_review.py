"""The week's review, said: what was run, what comes next and why, and what is said again from time to time."""

from __future__ import annotations

from datetime import date, timedelta

from nudgebot.domain.messages.common import SESSION_WORDS, on_day, short_day, sums
from nudgebot.domain.messages.health import safety
from nudgebot.domain.messages.plan.plan_pages import (
    AFTER_A_JUMP,
    AFTER_LIGHTER,
    FROM_THE_PLAN,
    GOAL_WORDS,
    STEP_FROM_PLAN,
    WEEK_REASONS,
    first_reason,
    week_reason,
)
from nudgebot.domain.model.actions import LimitDay
from nudgebot.domain.model.parameters import HOLIDAY_ROOM, MORE_WEEK
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import Button
from nudgebot.domain.model.week import Week, WeekKind
from nudgebot.domain.nudging.payloads import WeekReview
from nudgebot.domain.planning.planner import Review
from nudgebot.domain.profile.places import public_holidays


def week_review(book: Book, week: Review, about: WeekReview, today: date) -> str:
    """The review of the week `about` is about, with what comes next."""
    lines = [f"The week is done: {_sums(week)}."]
    if _has_just_joined(book, week, about):
        reason = first_reason(book, week.next) if week.next.kind is WeekKind.FIRST else week_reason(book, week.next)
        lines = [f"In the log so far: {week.done} min."] if week.done else []
        lines.append(f"Your first whole week: {week.next.target} min. {reason}")
        return "\n".join([*lines, *_public_holidays(book, week.next), *_begins(about, today)])
    walks = about.week.kind is WeekKind.WALKING
    event = book.intake.event
    if event is not None and about.week.holds(event.day) and week.done >= week.target:
        lines = [f"The week is done: {week.done} min, your event and all."]
    elif not week.target and week.done:
        lines = [f"The week is done: {week.done} min."]
    elif not week.target:
        lines = ["A week without runs is over; nothing of it is carried over."]
    elif week.done * 10 < week.target * 9:
        let_go = "What was not walked" if walks else "What was not run"
        lines[0] += f" {let_go} is let go; it does not follow you into the next week."
    lines.append(f"Next week: {week.next.target} min. {_next_reason(book, week)}")
    if week.done < week.target:
        lines.append(f"If a {'walk' if walks else 'run'} is not in the log yet, write it and I count again.")
    lines += _public_holidays(book, week.next)
    lines += _from_time_to_time(book, about)
    return "\n".join([*lines, *_begins(about, today)])


def _sums(week: Review) -> str:
    """What was run, beside what was planned; where the two are far apart it is what was run that is named."""
    if not week.target or week.done <= MORE_WEEK.of(week.target):
        return sums(week.done, week.target)
    how = "more than twice the" if week.done > 2 * week.target else "well over the"
    return f"{week.done} min, {how} {week.target} that were planned"


def _has_just_joined(book: Book, week: Review, about: WeekReview) -> bool:
    """Whether the week was joined at its end: then there is little to look back on, and nothing to be let go."""
    walks = about.week.kind is week.next.kind is WeekKind.WALKING and not week.done
    late = book.today(book.runner.joined_at) > about.week.start + timedelta(days=3)
    return late and (walks or about.week.kind is week.next.kind is WeekKind.FIRST)


def _next_reason(book: Book, week: Review) -> str:
    """Why the next week is what it is; after a week of far more than was planned it is no step up from that."""
    reason = week_reason(book, week.next)
    if week.target and week.done > MORE_WEEK.of(week.target) and week.next.kind in {WeekKind.STEP, WeekKind.STEADY}:
        before = next((each for each in reversed(book.weeks) if each.start < week.next.start), None)
        if before is not None and before.target < before.base <= week.next.target:
            return AFTER_LIGHTER
        return reason if reason == AFTER_A_JUMP else FROM_THE_PLAN
    return STEP_FROM_PLAN if reason == WEEK_REASONS[WeekKind.STEP] and week.done >= week.next.target else reason


def _begins(about: WeekReview, today: date) -> list[str]:
    if (first := about.session) is None:
        return []
    return [f"It starts {on_day(first.day, today)}: {first.minutes} min {SESSION_WORDS[first.kind]}."]


def _public_holidays(book: Book, week: Week) -> list[str]:
    """Public holidays of the week to come, and whether each is a day for a run."""
    return [
        f"{short_day(day)} is a public holiday ({name}): "
        + (
            "open for a run, as planned."
            if book.profile.open_minutes[day.weekday()]
            else "open it for a run if you like."
        )
        for day, name in _holidays_that_matter(book, week)
    ]


def holiday_buttons(book: Book, week: Week) -> list[Button]:
    """Each public holiday the other way round: closed where its weekday is open, open where it is closed."""
    return [
        Button(f"{short_day(day)}: no run", LimitDay(day))
        if book.profile.open_minutes[day.weekday()]
        else Button(f"{short_day(day)}: open", LimitDay(day, HOLIDAY_ROOM.value))
        for day, _ in _holidays_that_matter(book, week)
    ]


def _holidays_that_matter(book: Book, week: Week) -> list[tuple[date, str]]:
    """Those on days that a plan could use, and those that free a working day."""
    coming = public_holidays(book.profile.country, week.start)
    return [(day, name) for day, name in coming if book.profile.open_minutes[day.weekday()] or day.weekday() < SATURDAY]


SATURDAY = 5
CAUTION_WEEKS, GOAL_WEEKS, SCREENING_WEEKS = 8, 12, 52  # how often each is said again (house)


def _from_time_to_time(book: Book, about: WeekReview) -> list[str]:
    """The usual cautions every eight weeks, the goal every twelve, the screening every year."""
    weeks = (about.week.end - book.runner.joined_at.date()).days // 7
    lines: list[str] = []
    if weeks and weeks % CAUTION_WEEKS == 0:
        lines.append(safety.CAUTION)
    if weeks and weeks % GOAL_WEEKS == 0:
        goal = GOAL_WORDS[book.profile.goal]
        lines.append(f"Does the goal still fit ({goal})? If not, write it: goal endurance, for instance.")
    if weeks and weeks % SCREENING_WEEKS == 0:
        lines.append("A year on: has anything changed with your heart, your health or your medicine? Write: signs")
    return lines
