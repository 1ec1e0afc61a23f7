"""The pages of a plan: the first one, this week and the next, the season, why a week is what it is; progress, told."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from nudgebot.domain.messages.common import (
    DAY_NAMES,
    EASY,
    MONTHS,
    and_list,
    count_of,
    distance_line,
    done_words,
    from_to,
    on_day,
    short_day,
    stretches_of,
    sums,
    table_line,
)
from nudgebot.domain.messages.plan.changes import event_lines
from nudgebot.domain.messages.plan.lines import next_line, sessions_left
from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.logbook import counted_minutes, run_metres
from nudgebot.domain.model.parameters import LOG_REACHES
from nudgebot.domain.model.runner import Book, Ill, OnHold, Walking
from nudgebot.domain.model.week import Session, Week, WeekKind
from nudgebot.domain.overview.progress import Progress, first_shown, speaks_miles
from nudgebot.domain.planning import dose, limits
from nudgebot.domain.planning.ways_back import STEPS
from nudgebot.domain.planning.week_template import shortfall

GOAL_WORDS = {
    Goal.HEALTH: "health",
    Goal.FAT_LOSS: "longer easy runs",
    Goal.ENDURANCE: "endurance",
    Goal.MAINTAIN: "keeping what you have",
    Goal.CUSTOM: "your own dose",
}
WEEK_REASONS = {
    WeekKind.FIRST: "It starts from what you run now; it grows gently from there.",
    WeekKind.STEP: "A small step up from last week.",
    WeekKind.STEADY: "You are at your dose; it stays here.",
    WeekKind.REPEAT: "The same again, to let it settle.",
    WeekKind.BACK: "A little less than planned before, from what the last two weeks held.",
    WeekKind.REGAIN: "One step up from what the last two weeks held, with a rest day after each run.",
    WeekKind.LIGHTER: "A lighter week on purpose, so that the body catches up.",
    WeekKind.EVENT: "Less around your event: fresh legs before it, rest and easy walking after it.",
    WeekKind.RETURN: "A gentle way back: shorter runs, one run day at a time.",
    WeekKind.WALK_RUN: "Walk-run: walking and running in turn, until running is easy.",
    WeekKind.WALKING: "Walks, until a clinician has cleared running.",
    WeekKind.PAUSE: "Nothing is planned while you pause.",
}
FROM_THE_PLAN = "It goes on from what was planned, not from what was run: that lets the body keep up."
STEP_FROM_PLAN = "A small step up from what was planned."
AFTER_EVENT = "Back to where you were before your event."
AFTER_A_BREAK = "Back to where you were before the break."
HELD = "No more than last week: your open days and the slow growth of single runs hold it there."
AFTER_A_JUMP = "A little less for now, after the big jump of the last days."
WALKS_FIRST = "Walks first; short runs join in step by step."
AFTER_LIGHTER = "A small step up from before the lighter week."
# American College of Obstetricians and Gynecologists, Committee Opinion 804 (2020), list as copied on several pages.
PREGNANCY_SIGNS = (
    "In pregnancy and after a birth, stop and call your midwife or doctor for: bleeding, fluid, painful contractions, "
    "belly pain, dizziness, headache, chest pain, breathlessness before effort, weakness, calf pain or swelling."
)
WEEKS_AT_DOSE = 5  # that /season shows of a steady plan: in most seasons enough to see the next lighter one
PUBLIC_HEALTH = (
    "For comparison: public-health advice for adults is 150 to 300 minutes of moderate activity a week from "
    "everything you do, with strength work on two days. Some is better than none."
)
NOTHING_YET = (
    "No minutes in the last 12 weeks yet. After a run write them, 42 easy for instance; then /progress shows them."
)
NOT_DRAWN = "In words, as I cannot draw pictures here."
NOT_TAKEN = "In words, as the picture could not be sent here."
STRETCHES = 5  # of a kind; the newest are named, so that the whole stays a caption


def first_plan(book: Book, today: date, caution: str) -> str:
    """The first week in full, with dates, minutes and why."""
    low, high = dose.band(book.profile)
    week = book.weeks[-1] if book.weeks else None
    lines = ["That is all I need. Your first week:"]
    if week is None or not book.plan:
        lines = ["That is all I need. No open day is left this week; the plan starts with the next."]
    else:
        lines += [table_line(s) for s in sessions_left(book, today)]
        fresh = week.kind is WeekKind.FIRST
        lines.append(first_reason(book, week) if fresh else week_reason(book, week))
    if isinstance(book.standing, Walking):
        who = "your midwife or doctor" if book.standing.why == "pregnancy" else "a clinician"
        lines.append(
            f"From your answers, {who} should clear running first. Until then walks are your sessions, as easy as you "
            "like. Write /back when it is cleared."
        )
    else:
        lines.append(EASY)
    lines.append(
        f"Where it leads: {low} to {high} min a week ({GOAL_WORDS[book.profile.goal]}), a small step at a time."
    )
    lines += shortfall_lines(book)
    lines.append(PUBLIC_HEALTH)
    if book.profile.pregnancy:
        lines.append(PREGNANCY_SIGNS)
    lines.append(caution)
    lines.append("After a run, just write the minutes: 42 easy. /week shows the plan, /help the rest.")
    return "\n".join(lines)


def week_reason(book: Book, week: Week) -> str:
    """Why the week is what it is, in one sentence."""
    before = next((other for other in reversed(book.weeks) if other.start < week.start), None)
    if week.kind is WeekKind.WALK_RUN and book.walk_run is not None and not STEPS[book.walk_run.step][0]:
        return WALKS_FIRST
    if before is None:
        return WEEK_REASONS[week.kind]
    if week.kind is WeekKind.REPEAT and before.kind in {WeekKind.RETURN, WeekKind.PAUSE, WeekKind.WALKING}:
        return AFTER_A_BREAK
    if week.kind is WeekKind.REPEAT and before.kind is WeekKind.EVENT:
        return AFTER_EVENT
    if week.target < week.base and any(
        limits.is_jump(book, entry) for entry in book.log if timedelta() < week.start - entry.day < timedelta(days=7)
    ):
        return AFTER_A_JUMP
    if week.kind is WeekKind.STEP and before.kind is WeekKind.LIGHTER:
        return AFTER_LIGHTER
    if week.kind is WeekKind.STEP and week.target <= before.target:
        return HELD
    return WEEK_REASONS[week.kind]


def first_reason(book: Book, week: Week) -> str:
    """Why the first week is what it is."""
    gaps = "never more than two days without a run"
    if book.profile.weekly < week.target and week.kind is WeekKind.FIRST:
        return f"It starts at {week.target} min, spread so that there are {gaps}."
    return f"It starts from the {book.profile.weekly} min you run now, spread so that there are {gaps}."


def week_page(book: Book, today: date, coming: Sequence[Week], unanswered: Session | None = None) -> str:
    """This week with what is done and what is left, and the next; `unanswered` is a session of a day gone by."""
    week = book.week_of(today) or (book.weeks[-1] if book.weeks else None)
    if week is None:
        return f"No week is laid out yet. {next_line(book, today)}"
    done = counted_minutes(book.log, week.start)
    if week.start > today:
        lines = [f"Your first week starts {short_day(week.start)}, {week.target} min:"]
    else:
        paused = isinstance(book.standing, OnHold | Ill)
        lines = [f"This week: {sums(done, week.target)}." + ("" if paused else f" {week_reason(book, week)}")]
    miles = speaks_miles(book)
    rows: list[tuple[date, str]] = [
        (entry.day, f"{short_day(entry.day)}: done, {done_words(entry, miles=miles)}")
        for entry in book.log
        if week.holds(entry.day)
    ]
    rows += [(s.day, table_line(s)) for s in sessions_left(book, today)]
    event = book.intake.event
    if event is not None and week.holds(event.day) and event.day >= today:
        rows.append((event.day, f"{short_day(event.day)}: your {event.what}"))
    lines += [text for _, text in sorted(rows, key=lambda row: row[0])]
    if isinstance(book.standing, OnHold | Ill):
        lines.append(next_line(book, today))
    elif coming:
        after = coming[0]
        long_part = f", long run {after.long_run}" if after.long_run else ""
        lines.append(f"Next week, if this one goes as planned: {after.target} min{long_part}.")
    if unanswered is not None:
        lines.append(f"No word yet about the {unanswered.minutes} min {on_day(unanswered.day, today)}.")
    return "\n".join(lines)


def season_page(book: Book, today: date, coming: Sequence[Week]) -> str:
    """The weeks to the dose, one line each; who is there already sees the next ones."""
    if isinstance(book.standing, OnHold | Ill):
        return f"{WEEK_REASONS[WeekKind.PAUSE]} When you are back, the weeks are drawn anew from there."
    low, high = dose.band(book.profile)
    current = book.week_of(today) or (book.weeks[-1] if book.weeks and book.weeks[-1].start > today else None)
    weeks = ([current] if current else []) + list(coming)
    there = bool(weeks) and weeks[0].base >= high
    band = from_to(low, high)
    lines = [
        f"You are at your dose, {band} min a week. The weeks to come:"
        if there
        else f"The way to {band} min a week, if life lets it:"
    ]
    for week in weeks[:WEEKS_AT_DOSE] if there else weeks:
        note = {WeekKind.LIGHTER: ", lighter", WeekKind.EVENT: ", around your event"}.get(week.kind, "")
        long_part = f", long run {week.long_run}" if week.long_run else ""
        lines.append(f"{short_day(week.start)}: {week.target} min{long_part}{note}")
        if week.kind is WeekKind.STEADY and not there:
            break
    lines += shortfall_lines(book)
    lines += event_lines(book, coming)
    first = first_shown(today)
    metres = run_metres(book.log, first, (today - first).days + 1)
    lines += filter(None, [distance_line(metres, miles=speaks_miles(book))])
    lines.append("Weeks will go differently now and then; I rearrange them as they come.")
    return "\n".join(lines)


def shortfall_lines(book: Book) -> list[str]:
    """That the open days cannot hold the dose, and what would open it; nothing if they can."""
    short = shortfall(book)
    if short is None:
        return []
    now = book.profile.open_minutes
    days = [
        f"{most} min on {DAY_NAMES[day]}" + (f" instead of {now[day]}" if now[day] else "") for day, most in short.opens
    ]
    held = f"Your open days hold {short.held} min a week, so the plan stays there; the goal asks for {short.wanted}."
    if not days:
        return [f"{held} More open days, or longer ones, would make the room."]
    wanted = dict(short.opens)
    week = ((day, wanted.get(day, most)) for day, most in enumerate(now))
    line = ", ".join(f"{DAY_NAMES[day][:3].lower()} {most}" for day, most in week if most)
    return [f"{held} {and_list(days)} would make the room. If you have it, write: days {line}"]


def progress_caption(shown: Progress) -> str:
    """The picture in words: under 1024 UTF-16 units, the most that stands under a picture."""
    if shown.empty:
        return NOTHING_YET
    known = [week for week in shown.weeks if week.minutes is not None]
    first = known[0].start
    *before, current = known
    lines = [f"Minutes a week, by the week's first day, {day_and_year(first)} to {day_and_year(shown.today)}:"]
    if before:
        lines.append(" · ".join(f"{day_and_month(week.start)} {week.minutes}" for week in before))
    lines.append(f"This week so far: {current.minutes}. Your dose now: {from_to(shown.low, shown.high)} min a week.")
    runs = sum(day.run > 0 for day in shown.days)
    lines.append(f"Run days: {runs}." if runs else "No runs, other activity only.")
    lines += filter(None, [distance_line(shown.metres, miles=shown.miles)])
    long = [day for day in shown.days if day.long]
    if long:
        longest = max(long, key=lambda day: day.run)
        lines.append(f"Long runs: {len(long)}; the longest {longest.run} min on {day_and_month(longest.day)}.")
    lines += _stretches("Other activity on", [day.day for day in shown.days if day.other and not day.run], colon="")
    lines += _stretches("Away or paused", [day.day for day in shown.days if day.paused])
    lines += _stretches("Gaps (from the third rest day on)", [day.day for day in shown.days if day.gap])
    return "\n".join(lines)


def sum_of_month(book: Book, first: date, today: date) -> str:
    """How much was run in the month that begins on `first`: the days of the log that a book holds go so far back."""
    name = f"{first:%B}"
    if first < today - LOG_REACHES.span:
        return f"{name} is too long ago to add up here: /export has every run, /progress the last 12 weeks."
    days = [entry for entry in book.log if (entry.day.year, entry.day.month) == (first.year, first.month)]
    runs = [entry.minutes for entry in days if entry.is_run]
    others = sum(entry.minutes for entry in days if entry.counts and not entry.is_run)
    so_far = " so far" if (today.year, today.month) == (first.year, first.month) else ""
    if not runs and not others:
        return f"{name}{so_far}: nothing in the log."
    told = f"{count_of(len(runs), 'run')}, {sum(runs)} min" if runs else "no runs"
    beside = f", and {others} min of other sessions that counted" if others else ""
    return f"{name}{so_far}: {told}{beside}."


def _stretches(what: str, days: Sequence[date], colon: str = ":") -> list[str]:
    named = stretches(days, STRETCHES)
    return [f"{what}{colon} {and_list(named)}."] if named else []


def stretches(days: Sequence[date], most: int) -> list[str]:
    """The newest `most` stretches of days in a row, three or more of them as "1 Dec to 3 Dec"."""
    spans = stretches_of(days, day_and_month, day_and_month)
    return ["earlier ones"] * (len(spans) > most) + [name for span in spans[-most:] for name in span]


def day_and_month(day: date) -> str:
    """The words "7 Dec"."""
    return f"{day.day} {MONTHS[day.month - 1]}"


def day_and_year(day: date) -> str:
    """The words "7 Dec 2026"."""
    return f"{day_and_month(day)} {day.year}"
