"""Life intervenes: a run called off or moved, busy days, days away, and back again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.calendar.busy import limited_days
from nudgebot.domain.dialogue.values import (
    Answer,
    Heard,
    ask,
    limit,
    replan,
    replan_and_say,
    say,
    today_of,
    with_limits,
    without_limits,
)
from nudgebot.domain.dialogue.week import weather
from nudgebot.domain.messages.plan import changes as words
from nudgebot.domain.messages.plan import repeats as calendar_words
from nudgebot.domain.model.actions import Agreed, Later, Resume
from nudgebot.domain.model.logbook import BusyTimes
from nudgebot.domain.model.nudged import NudgeKind, Snooze
from nudgebot.domain.model.parameters import LONGEST_AWAY, OPEN_AWAY
from nudgebot.domain.model.questions import Ask, Asked
from nudgebot.domain.model.runner import Book, DayLimit, LimitReason
from nudgebot.domain.model.speech import Button
from nudgebot.domain.model.week import SessionKind
from nudgebot.domain.nudging.times import snoozed_until
from nudgebot.domain.planning import planner
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import Reading
from nudgebot.domain.text.word_files import patterns

P = patterns("dialogue")


def skip(book: Book, heard: Heard, day: date, *, reason: LimitReason = LimitReason.SKIP) -> Answer:
    """No run on `day`: the day is closed and the rest of the week looked at again."""
    today = today_of(book, heard)
    had = book.session_on(day)
    after, replanned = replan(limit(book, (day,), reason), heard)
    return say(after, words.say_called_off(after, day, had, today, replanned, reason is LimitReason.LET_GO))


def move(book: Book, heard: Heard, first: date, to: date) -> Answer:
    """The session of `first` goes to `to`, as far as the limits allow; the rest of the week follows."""
    today = today_of(book, heard)
    if stays := weather.say_still_off(book, to, today):
        return say(book, stays)
    session = book.session_on(first)
    planned = session is not None
    if session is None:
        # Nothing planned there: the wish is for a run on `to`.
        session = book.session_on(next_planned_day(book, today) or to)
        first = session.day if session else first
    if session is None or to < book.today(heard.now):
        return say(book, words.say_nothing_to_move(book, first, today))
    closed = limit(book, (first,), LimitReason.SKIP)
    # The runner's own word opens the day, for as long as the session is.
    room = max(session.minutes, book.profile.open_minutes[to.weekday()])
    moved = limit(closed, (to,), LimitReason.BUSY, room)
    week = book.week_of(first)
    if moved.session_on(to) is None and week is not None and week.holds(to):
        kept = tuple(s for s in moved.plan if s.day != first)
        moved = replace(moved, plan=tuple(sorted((*kept, replace(session, day=to)))))
    after, replanned = replan(moved, heard)
    if not planned and after.session_on(to) is None:
        return say(book, words.say_no_room(book, to, today))  # a wish beside the plan leaves the plan as it is
    if replanned is not None:
        # The move itself is said first; what the replan changed beyond it is what is left to say.
        before = moved if after.session_on(to) is not None else book
        coming = tuple(s for s in before.plan if s.day >= replanned.first_day)
        replanned = replace(replanned, before=coming)
    return say(after, words.say_moved(after, to, today, replanned))


def day_meant(book: Book, heard: Heard, day: date) -> date:
    """The day a move starts from: the long run's where the line names the long run, else `day`."""
    if P.long_run.search(squeezed(heard.text)) is None:
        return day
    today = today_of(book, heard)
    return next((s.day for s in book.plan if s.day >= today and s.kind is SessionKind.LONG), day)


def limit_days(book: Book, heard: Heard, days: tuple[date, ...], minutes: int | None) -> Answer:
    """Days closed, or limited to `minutes`."""
    today = today_of(book, heard)
    after, replanned = replan(limit(book, days, LimitReason.BUSY, minutes or 0), heard)
    text = words.say_limited(after, days, minutes, today, replanned)
    stays = [line for day in days if minutes and (line := weather.say_still_off(book, day, today))]
    return say(after, "\n".join([text, *stays]))


def go_away(book: Book, heard: Heard, days: tuple[date, ...]) -> Answer:
    """A range without runs, with its end shown back; nothing is sent on those days."""
    today = today_of(book, heard)
    if not days:
        return ask(book, heard, Ask.UNTIL, words.UNTIL_WHEN, words.until_choices(today))
    if len(days) > LONGEST_AWAY.value:
        return ask(book, heard, Ask.UNTIL, words.ask_shorter_pause(LONGEST_AWAY.value), words.until_choices(today))
    after, replanned = replan(limit(book, days, LimitReason.AWAY), heard)
    return say(after, words.say_away(days, today, replanned), Button("Back earlier", Resume()))


def go_away_without_end(book: Book, heard: Heard) -> Answer:
    """An absence whose end nobody knows yet: some days are kept free, and a word ends it earlier or goes on with it."""
    said = go_away(book, heard, days_without_end(today_of(book, heard)))
    return said.with_first(text=f"{said.says[0].text}\n{words.END_NOT_KNOWN}")


def days_without_end(today: date) -> tuple[date, ...]:
    """The days that are kept free where nobody knows how many it will be."""
    return tuple(today + timedelta(days=n) for n in range(OPEN_AWAY.value))


def come_back(book: Book, heard: Heard) -> Answer:
    """Resuming: days still marked away are open again, and a longer gap is met with shorter runs."""
    today = today_of(book, heard)
    reopened = {limit.day for limit in book.limits if limit.day >= today and limit.reason is LimitReason.AWAY}
    long_break = planner.screening_is_due(book, today)
    after = planner.return_after(without_limits(book, reopened), today)
    if not reopened and (after.returning, after.walk_run) == (book.returning, book.walk_run):
        # Nothing to come back from: the plan stays as it is.
        return say(book, words.welcome_back(book, today, None, screening=long_break))
    after, replanned = replan(after, heard)
    return say(after, words.welcome_back(after, today, replanned, screening=long_break))


def snooze(book: Book, heard: Heard, later: Later) -> Answer:
    """The newest nudge again, when the runner asked for it; sent once, and within no limit."""
    today = book.today(heard.now)
    latest = next((n for n in reversed(book.nudges) if n.outcome == "sent"), None)
    kind = latest.kind if latest else NudgeKind.MORNING
    at = snoozed_until(book, later, heard.now)
    for_day = today if later is not Later.TOMORROW else today + timedelta(days=1)
    # Asked for twice, it still comes once: the newer word holds.
    others = tuple(s for s in book.snoozes if (s.kind, s.for_day) != (kind, for_day) or s.at <= heard.now)
    after = replace(book, snoozes=(*others, Snooze(heard.key, kind, for_day, at)))
    return say(after, words.say_snoozed(book.local(at), today))


def next_planned_day(book: Book, today: date) -> date | None:
    """The day of the next session still to come."""
    return next((s.day for s in book.plan if s.day >= today), None)


def named_days(reading: Reading, default: date) -> tuple[date, ...]:
    """The days a reading names, or the default day where it names none."""
    return tuple(reading.days) or ((reading.day,) if reading.day else (default,))


YES_NO = (("Plan around them", Agreed(True)), ("Leave it", Agreed(False)))


def ask_about(book: Book, heard: Heard, times: BusyTimes) -> Answer:
    """The days that a calendar closes or shortens, asked about; nothing is kept of what it leaves open."""
    today = today_of(book, heard)
    limits = limited_days(book, times, today)
    if not limits:
        return say(book, calendar_words.NOTHING_BUSY)
    detail = ",".join(f"{day.isoformat()}={minutes}" for day, minutes in limits.items())
    return ask(
        book, heard, Ask.BUSY_DAYS, calendar_words.ask_about_busy_days(limits, today), YES_NO, detail=detail, line=""
    )


def plan_around(book: Book, heard: Heard, asked: Asked, *, yes: bool) -> Answer:
    """The days planned around, or left as they are."""
    if not yes:
        return say(book, calendar_words.BUSY_DROPPED)
    pairs = (each.split("=") for each in asked.detail.split(","))
    limits = tuple(DayLimit(date.fromisoformat(day), int(minutes), LimitReason.BUSY) for day, minutes in pairs)
    return replan_and_say(with_limits(book, limits), heard, calendar_words.confirm_busy_days(len(limits)))
