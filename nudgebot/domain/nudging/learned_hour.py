"""The hour of a morning reminder that was left to us: it follows the hour at which the runner is first heard.

A time that the runner chose is never moved. What is learned changes when the reminder comes and nothing else: no
session, no limit, no other nudge.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from statistics import median_low

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.intake import LearnedHour
from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.domain.model.runner import Book, Training, Walking, at_wall
from nudgebot.domain.model.week import floor5
from nudgebot.domain.nudging import times
from nudgebot.domain.nudging.times import evening_before


def with_learned_hour(book: Book, now: datetime) -> Book:
    """The book with the reminder a step nearer to the first words of the last mornings; `book` where it stays.

    It is moved before it could fall due that day, so that no day has two.
    """
    today, held = book.today(now), book.intake.learned_hour
    if times.chosen_reminder(book) or evening_before(book) or not isinstance(book.standing, Training | Walking):
        return book
    since = book.today(book.runner.joined_at) if held is None else held.day
    if (today - since).days < (rules.HOUR_AFTER if held is None else rules.HOUR_EVERY).value:
        return book
    usual = book.local(times.reminder_at(book, today)).time()
    hour = _nearer(usual, first_words(book, today, usual))
    if not _suits(book, today, usual, hour) or book.local(now).date() != today:
        return book
    if book.local(now).time() >= min(usual, hour):
        return book
    told = replace(book.intake, learned_hour=LearnedHour(today, hour, usual))
    return replace(book, intake=told, profile=replace(book.profile, remind_at=hour))


def first_words(book: Book, today: date, usual: time) -> tuple[time, ...]:
    """When the runner was first heard on those of the last mornings on which a reminder came, or a run came first.

    Only what was said within three hours of the `usual` hour tells anything of it.
    """
    first = today - timedelta(days=rules.HOUR_AFTER.value)
    heard: dict[date, list[datetime]] = {}
    for nudged in book.nudges:
        came = nudged.kind is NudgeKind.MORNING and book.local(nudged.at).date() == nudged.for_day >= first
        if came and nudged.answered_at is not None:
            heard.setdefault(nudged.for_day, []).append(nudged.answered_at)
    for entry in book.log:
        if entry.day >= first and entry.noted_at is not None:
            heard.setdefault(entry.day, []).append(entry.noted_at)
    near = rules.TOO_LATE[NudgeKind.MORNING].span
    firsts = {day: min(instants) for day, instants in heard.items()}
    return tuple(
        book.local(at).time()
        for day, at in firsts.items()
        if day < today and abs(at - at_wall(day, usual, book.profile)) <= near
    )


def says_moved(book: Book, day: date) -> LearnedHour | None:
    """The learned hour where the reminder of `day` is the first to come at it: then it says so."""
    learned = book.intake.learned_hour
    if learned is None or times.chosen_reminder(book) or day < learned.day:
        return None
    sent = (n for n in book.nudges if n.kind is NudgeKind.MORNING and n.outcome is Outcome.SENT)
    return None if any(n.for_day >= learned.day and n.for_day != day for n in sent) else learned


def why_that_hour(book: Book) -> str:
    """Where the hour of the morning reminder comes from, in plain words."""
    learned = book.intake.learned_hour
    if times.chosen_reminder(book):
        return f"The runner chose {book.profile.remind_at:%H:%M}."
    if learned is None:
        return f"Nobody chose an hour; {book.profile.remind_at:%H:%M} is the usual one."
    return (
        f"Nobody chose an hour; since {learned.day} it is {learned.at:%H:%M} (before, {learned.before:%H:%M}), "
        "nearer to when the runner was first heard on most mornings of the three weeks before."
    )


def _nearer(usual: time, words: tuple[time, ...]) -> time:
    """`usual` a step nearer to the middle of the `words`, on the grid; `usual` where they are few, or near it."""
    if len(words) < rules.HOUR_MORNINGS.value:
        return usual
    away = median_low(_minute(word) for word in words) - _minute(usual)
    step = floor5(min(rules.HOUR_STEP.value, abs(away))) if abs(away) >= rules.HOUR_NEAR.value else 0
    minute = _minute(usual) + (step if away > 0 else -step)
    return time(*divmod(minute, 60)) if 0 <= minute < 24 * 60 else usual


def _suits(book: Book, today: date, usual: time, hour: time) -> bool:
    """Whether the reminder may come at `hour` instead: not far from the usual hour, in time for the run, not quiet."""
    if hour == usual or abs(_minute(hour) - rules.USUAL_REMINDER.value) > rules.HOUR_FAR.value:
        return False
    room = _minute(book.profile.run_time) - rules.HOUR_BEFORE_RUN.value
    if _minute(usual) <= room < _minute(hour):
        return False
    return times.quiet_until(book, at_wall(today, hour, book.profile)) is None


def _minute(wall: time) -> int:
    return wall.hour * 60 + wall.minute
