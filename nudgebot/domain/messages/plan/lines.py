"""The plan, said: the first week, the week page, what a replan changed and what was let go and why."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from nudgebot.domain.messages.common import SESSION_WORDS, and_list, capital, days_list, on_day, session_line, sums
from nudgebot.domain.model.logbook import counted_minutes
from nudgebot.domain.model.runner import Book, Ill, OnHold
from nudgebot.domain.model.week import Session
from nudgebot.domain.planning.planner import Replanned
from nudgebot.domain.solver.problem import gap_days_of


def sessions_left(book: Book, today: date) -> tuple[Session, ...]:
    """Sessions still to come, today's included while it is not logged."""
    done_today = any(entry.day == today and entry.counts for entry in book.log)
    coming = (s for s in book.plan if s.day > today or (s.day == today and not done_today))
    return tuple(s for s in coming if (limit := book.limit_on(s.day)) is None or limit.minutes > 0)


def standing_line(book: Book, today: date) -> str:
    """How the week stands against its target."""
    week = book.week_of(today)
    if week is None:
        return ""
    done = counted_minutes(book.log, week.start)
    return f"This week: {sums(done, week.target)}."


def next_line(book: Book, today: date) -> str:
    """What is next, or that nothing is."""
    coming = sessions_left(book, today)
    if isinstance(book.standing, OnHold):
        return "Running is on hold; /back when a clinician has cleared it."
    if isinstance(book.standing, Ill):
        return "Nothing is planned while you are ill. Write /back when you are well again."
    if not coming:
        return "Nothing more this week; the next one comes by itself."
    return f"Next: {session_line(coming[0], today)}."


def gentle_lines(book: Book, today: date) -> list[str]:
    """How the runs are shorter for a while after a break; nothing where they are not."""
    if book.returning is not None:
        gentle = f"After {book.returning.days} days without a run it starts gently"
        half = f"about half until {on_day(book.returning.first_half_end, today)}, then "
        half = "about " if book.returning.first_half_end < today else half
        return [f"{gentle}: {half}three quarters, with a rest day after each run."]
    return [f"The next {book.half_runs} runs stay short."] if book.half_runs else []


def say_changes(replanned: Replanned, today: date) -> str:
    """What a replan changed, session by session; "" if nothing did."""
    before = {s.day: s for s in replanned.before}
    after = {s.day: s for s in replanned.after}
    gone = [day for day in sorted(before) if day not in after]
    new = [day for day in sorted(after) if day not in before]
    said = [
        f"{on_day(day, today)} {before[day].minutes} → {after[day].minutes} min"
        for day in sorted(before.keys() & after.keys())
        if before[day].minutes != after[day].minutes
    ]
    if len(gone) == len(new) == 1 and not replanned.lost:
        old, moved = before[gone[0]], after[new[0]]
        text = f"{SESSION_WORDS[old.kind]} moves from {on_day(old.day, today)} to {on_day(moved.day, today)}"
        said.insert(
            0, f"{text}, {moved.minutes} min" if moved.minutes != old.minutes else f"{text} ({moved.minutes} min)"
        )
    else:
        said += [f"{session_line(after[day], today)} (new)" for day in new]
        said += [f"{on_day(day, today)} is free" for day in gone]
    return capital(", ".join(said)) + "." if said else ""


def say_let_go(replanned: Replanned, today: date) -> str:
    """Minutes that are let go, and the limits that say so, in the runner's words; "" if none are."""
    if not replanned.let_go:
        return ""
    reasons = [REASONS[limit](replanned, today) for limit in replanned.binding if limit in REASONS]
    minutes = f"{replanned.let_go} min are let go"
    if reasons:
        why = and_list([reason for reason in reasons if reason])
        return f"{capital(why)}; {minutes}. One lighter week does no harm."
    if replanned.only_together:
        return f"{minutes}: several limits meet this week, and no single one would make the room. That is fine."
    return f"{capital(minutes)}. One lighter week does no harm."


def _session_cap(replanned: Replanned, today: date) -> str:
    problem = replanned.problem
    cap = problem.session_max
    full = [s.day for s in replanned.after if s.minutes + problem.step > cap]
    where = days_list(full, today) if full else "a single run"
    return f"{where} {'are' if len(full) > 1 else 'is'} already as long as your last month allows ({cap} min)"


def _seven_days(replanned: Replanned, _today: date) -> str:
    return f"seven days should hold no more than {replanned.problem.window_max} min for now"


def _run_days(replanned: Replanned, _today: date) -> str:
    most = replanned.problem.max_run_days
    return "each run day needs a rest day behind it" if most == 1 else f"more than {most} run days in a row is too much"


def _closed(replanned: Replanned, today: date) -> str:
    problem = replanned.problem
    days = [replanned.first_day + timedelta(days=n) for n in range(len(problem.planned))]
    closed = [day for day, most in zip(days, problem.available, strict=True) if most == 0 and day != today]
    if not closed:
        tight = [
            f"{on_day(day, today)} has room for {most} min"
            for day, most, wanted in zip(days, problem.available, problem.planned, strict=True)
            if 0 < most < wanted
        ]
        return and_list(tight) or "the open days are full"
    return f"{days_list(closed, today)} {'are' if len(closed) > 1 else 'is'} closed"


REASONS = {"available": _closed, "session_max": _session_cap, "window_max": _seven_days, "max_run_days": _run_days}


def gap_note(replanned: Replanned, today: date, announced: Sequence[date] = ()) -> str:
    """The days by which a third day without a run cannot be avoided now, with a walk as the way round; "" if none.

    A gap is named once: one that was there before this replan, or lies in days `announced` just now, is not named.
    """
    problem = replanned.problem
    known = {replanned.first_day + timedelta(days=n) for n in gap_days_of(problem, problem.planned)}
    arose = [day for day in replanned.gap_days if day not in known]
    if not arose:
        return ""
    walk = "10 to 20 minute walk indoors" if replanned.indoors.intersection(arose) else "10 to 20 minute brisk walk"
    if set(arose).issubset(announced):
        return f"A {walk} now and then keeps the rhythm meanwhile."
    return f"That leaves more than two days in a row without a run ({days_list(arose, today)}); a {walk} bridges it."


def replan_lines(replanned: Replanned | None, today: date, *, after_run: bool = False) -> list[str]:
    """All that a replan has to say, in reading order.

    `after_run`: nothing if the sessions stay as they are, and no gap, which was named when it arose.
    """
    if replanned is None or (after_run and not replanned.changed):
        return []
    long_note = ""
    if replanned.long_lost and replanned.changed:
        longest = max((session.minutes for session in replanned.after), default=0)
        of = f"The long run comes to {longest} of {longest + replanned.long_lost} min this week."
        long_note = of if longest else "There is no room for the long run this week; that is fine."
    gap = "" if after_run else gap_note(replanned, today)
    lines = [say_changes(replanned, today), say_let_go(replanned, today), long_note, gap]
    return [line for line in lines if line]
