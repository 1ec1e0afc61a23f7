"""When a nudge falls due on the runner's clock, when it is not wanted or may not go out, and when it comes too late.

Every instant is UTC and comes from a wall time on a calendar date in the runner's zone: a wall time that summer
time skips falls after the gap, a repeated one is its first occurrence (RFC 5545 section 3.3.5).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Final, assert_never

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.actions import Later
from nudgebot.domain.model.intake import YesNoSkip
from nudgebot.domain.model.nudged import AS_USUAL, DayPart, NudgeAmount, NudgeKind, NudgeWish
from nudgebot.domain.model.runner import Book, Profile, at_wall
from nudgebot.domain.model.week import Session

CHECK_IN_AFTER = rules.CHECK_IN_WAITS.span
# What goes out whatever was asked for, and what still does where fewer are wanted.
ALWAYS: Final = frozenset({NudgeKind.SAFETY_FOLLOWUP, NudgeKind.SNOOZED, NudgeKind.COACH_DIGEST})
KINDS: Final = {
    NudgeAmount.FEWER: frozenset({NudgeKind.GAP_WARNING, NudgeKind.WEEK_REVIEW}),
    NudgeAmount.WEEKLY: frozenset({NudgeKind.WEEK_REVIEW}),
}


def stale_at(kind: NudgeKind, due_at: datetime) -> datetime:
    """The last instant at which a nudge that fell due at `due_at` still helps."""
    return due_at + rules.TOO_LATE[kind].span


def chosen_reminder(book: Book) -> bool:
    """Whether the runner chose the reminder time; only a chosen one ends the quiet hours, and no other is learned."""
    if isinstance(book.intake.remind_at, YesNoSkip):
        return False
    learned = book.intake.learned_hour
    left_to_us = rules.USUAL_REMINDER.clock if learned is None else learned.at
    return book.intake.remind_at is not None or book.profile.remind_at != left_to_us


def quiet_parts(book: Book) -> tuple[tuple[time, time | None], ...]:
    """The quiet hours of one calendar date as wall times, from and to; None stands for the end of the date.

    A reminder time that the runner chose inside them ends them there that day.
    """
    profile = book.profile
    start, end = profile.quiet_from, profile.quiet_to
    if start == end:
        return ()
    parts: tuple[tuple[time, time | None], ...] = ((start, end),)
    if start > end:
        parts = ((time(0), end), (start, None)) if end > time(0) else ((start, None),)
    if not chosen_reminder(book):
        return parts
    remind = profile.remind_at
    return tuple((a, remind if a <= remind and (b is None or remind < b) else b) for a, b in parts)


def quiet_until(book: Book, at: datetime) -> datetime | None:
    """The end of the quiet hours that hold the instant `at`; None if `at` is in none."""
    parts, free = quiet_parts(book), at
    # Two parts may touch at midnight; a third step would mean that all of the day is quiet.
    for _ in range(3):
        end = _part_end(parts, book.profile, free)
        if end is None:
            break
        free = end
    return None if free == at else free


def before_quiet(book: Book, at: datetime) -> datetime:
    """Just before the quiet hours that hold the instant `at` began."""
    wall = at.astimezone(book.profile.tz)
    day, clock = wall.date(), wall.time()
    parts = quiet_parts(book)
    start = next((a for a, b in parts if a <= clock and (b is None or clock < b)), clock)
    if start == time(0) and parts[-1][1] is None:
        day, start = day - timedelta(days=1), parts[-1][0]
    return at_wall(day, start, book.profile) - rules.JUST_BEFORE.span


def reminder_at(book: Book, day: date) -> datetime:
    """When the morning reminder of `day` falls due.

    One that nobody chose gives way to the quiet hours: by night it waits for their end, by day it comes before.
    """
    at = at_wall(day, book.profile.remind_at, book.profile)
    until = quiet_until(book, at)
    if until is None:
        return at
    by_day = book.profile.quiet_from < book.profile.quiet_to
    return before_quiet(book, at) if by_day else until


def at_or_before_quiet(book: Book, day: date, wall: time) -> datetime:
    """When something usual at `wall` on `day` falls due: there, or just before quiet hours that hold it."""
    at = at_wall(day, wall, book.profile)
    return at if quiet_until(book, at) is None else before_quiet(book, at)


def run_over_at(book: Book, session: Session) -> datetime:
    """When the session can be over and told: the usual run time, its minutes, and a quarter of an hour."""
    return _after_run_time(book, session.day, timedelta(minutes=session.minutes) + rules.TIME_TO_TELL.span)


def check_in_at(book: Book, session: Session) -> datetime | None:
    """When to ask about `session`: two hours after the usual run time.

    Inside quiet hours: just before them, unless the run could not be over by then; then at their end, if that is
    still the runner's day. None if no such moment is left.
    """
    at = _after_run_time(book, session.day, CHECK_IN_AFTER)
    until = quiet_until(book, at)
    if until is None:
        return at
    earlier = before_quiet(book, at)
    if earlier >= run_over_at(book, session):
        return earlier
    return until if until < day_turn_after(book, session.day) else None


def warn_at(book: Book, day: date, session: Session | None) -> datetime | None:
    """When the evening's gap warning falls due: at 19:00, or two hours after the usual run time if that is later.

    Inside quiet hours: just before them; None if that day's open session cannot be over by then.
    """
    at = max(at_wall(day, rules.WARN_AT.clock, book.profile), _after_run_time(book, day, CHECK_IN_AFTER))
    if quiet_until(book, at) is None:
        return at
    earlier = before_quiet(book, at)
    return None if session is not None and earlier < run_over_at(book, session) else earlier


def day_turn_after(book: Book, day: date) -> datetime:
    """The instant at which the runner's day `day` ends."""
    return at_wall(day + timedelta(days=1), book.profile.day_turn, book.profile)


def next_day_turn(book: Book, now: datetime) -> datetime:
    """The first turn of the runner's day after `now`."""
    day = book.local(now).date() - timedelta(days=1)
    while (turn := day_turn_after(book, day)) <= now:
        day += timedelta(days=1)
    return turn


def snoozed_until(book: Book, later: Later, now: datetime) -> datetime:
    """When a nudge that the runner put off at `now` is sent again; never in quiet hours.

    "This evening" is 19:00, or two hours on once that is past or near; "tomorrow" the reminder time.
    """
    match later:
        case Later.HALF_HOUR:
            at = now + timedelta(minutes=30)
        case Later.ONE_HOUR:
            at = now + timedelta(hours=1)
        case Later.TWO_HOURS:
            at = now + timedelta(hours=2)
        case Later.THIS_EVENING:
            evening = at_or_before_quiet(book, book.today(now), rules.WARN_AT.clock)
            at = evening if evening > now + timedelta(minutes=30) else now + timedelta(hours=2)
        case Later.TOMORROW:
            at = reminder_at(book, book.today(now) + timedelta(days=1))
        case _:
            assert_never(later)
    return quiet_until(book, at) or at


def wish_in_force(book: Book) -> NudgeWish:
    """What the runner asked for, or the usual."""
    return book.intake.nudges or AS_USUAL


def evening_before(book: Book) -> bool:
    """Whether reminders come the evening before."""
    wish = wish_in_force(book)
    return wish.eve or wish.part is DayPart.EVENINGS


def reminder_due(book: Book, day: date) -> datetime:
    """When the reminder of the session on `day` falls due: that morning, or the evening before where that is wanted."""
    if not evening_before(book):
        return reminder_at(book, day)
    chosen = book.profile.remind_at
    wall = chosen if chosen >= rules.EVENING_FROM.clock else rules.WARN_AT.clock
    return at_or_before_quiet(book, day - timedelta(days=1), wall)


def question_due(book: Book, day: date) -> datetime:
    """When the question how the runner is falls due on `day`: at the reminder time, or in the evening."""
    if wish_in_force(book).part is DayPart.EVENINGS:
        return at_or_before_quiet(book, day, rules.WARN_AT.clock)
    return reminder_at(book, day)


def is_unwanted(book: Book, kind: NudgeKind, at: datetime) -> bool:
    """Whether the runner asked not to get a nudge of `kind` at `at`; safety follow-ups and snoozes always go out."""
    wish = wish_in_force(book)
    if wish == AS_USUAL or kind in ALWAYS:
        return False
    if wish.amount in KINDS and kind not in KINDS[wish.amount]:
        return True
    wall = book.local(at)
    if wish.silent_to is not None and wall.date() <= wish.silent_to:
        return True
    if wall.weekday() in wish.without:
        return True
    match wish.part:
        case DayPart.MORNINGS:
            return wall.time() >= rules.NOON.clock
        case DayPart.EVENINGS:
            return wall.time() < rules.NOON.clock
        case DayPart.ANY:
            return False


def _part_end(parts: tuple[tuple[time, time | None], ...], profile: Profile, at: datetime) -> datetime | None:
    wall = at.astimezone(profile.tz)
    clock = wall.time()
    for start, end in parts:
        if start <= clock and (end is None or clock < end):
            if end is None:
                return at_wall(wall.date() + timedelta(days=1), time(0), profile)
            first = at_wall(wall.date(), end, profile)
            if first > at:
                return first
            # The clocks went back between the two: the second occurrence is the end.
            return datetime.combine(wall.date(), end.replace(fold=1), profile.tz).astimezone(UTC)
    return None


def _after_run_time(book: Book, day: date, after: timedelta) -> datetime:
    profile = book.profile
    # A run time before the day turns is in the small hours that still belong to `day`.
    late = profile.run_time < profile.day_turn
    wall = datetime.combine(day + timedelta(days=late), profile.run_time) + after
    return at_wall(wall.date(), wall.time(), profile)
