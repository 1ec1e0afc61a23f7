"""The longer pages of a coach: one runner's weeks, and what may be set."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from nudgebot.domain.messages.common import short_day
from nudgebot.domain.messages.group import HEADINGS
from nudgebot.domain.model import coach_settings
from nudgebot.domain.model.coach_settings import SETTINGS, CoachSetting
from nudgebot.domain.model.logbook import LogEntry, counted_minutes
from nudgebot.domain.model.week import Week
from nudgebot.domain.overview.group import Member, Share, State, sight

WEEKS_SHOWN = 6
NOTES_SHOWN = 5
SHARED_SHOWN = 5

HELP_FIRST = "For coaches, in private unless it says otherwise:"
HELP_LAST = (
    "Runners are told what you set, and can decline. Mondays at 07:30 comes the week at a glance.\n"
    "Of health you see “pausing”, and what a runner shares with you. /start gives you a plan of your own as well."
)


def runner_page(member: Member, now: datetime) -> str:
    """One runner for the coach: the state, the weeks as minutes, what is shared, the coach's own notes."""
    book = member.book
    today = book.today(now)
    seen = sight(member, now)
    silent = f" for {seen.days} days" if seen.days else ""
    why = f" ({seen.why})" if seen.why else ""
    lines = [f"{member.name}: {HEADINGS[seen.state].lower()}{silent}{why}"]
    pausing = seen.state is State.PAUSING
    begun = [week for week in reversed(book.weeks[-WEEKS_SHOWN:]) if week.start <= today]
    lines += [_week(member, week, planned=not (pausing and week.holds(today))) for week in begun]
    lines += [f"Set by you: {row.says.format(value)}" for row, value in _set(member)]
    lines += _shared(member)
    lines += [f"Note, {short_day(note.at.date())}: {note.text}" for note in member.notes[-NOTES_SHOWN:]]
    return "\n".join(lines)


def _week(member: Member, week: Week, *, planned: bool) -> str:
    """A week as minutes. One without runs reads the same whatever the reason was."""
    done = counted_minutes(member.book.log, week.start)
    when = "This week so far" if week is member.book.weeks[-1] else f"Week of {short_day(week.start)}"
    if not done:
        return f"{when}: no runs"
    of = f" of {week.target}" if planned and week.target else ""
    return f"{when}: {done}{of} min"


def _shared(member: Member) -> list[str]:
    """What of health the runner lets through, kind by kind."""
    lines: list[str] = []
    runs = [entry for entry in member.book.log if entry.is_run][-SHARED_SHOWN:]
    if Share.PULSE in member.shares:
        lines += _last("Heart rate", runs, lambda entry: entry.heart_rate)
    if Share.EFFORT in member.shares:
        lines += _last("Effort", runs, lambda entry: entry.effort)
    if Share.COMPLAINTS in member.shares:
        named = [note for note in member.book.symptoms if note.spot][-SHARED_SHOWN:]
        told = [f"{short_day(n.day)} {n.spot}" + (f" {n.score} of 10" if n.score is not None else "") for n in named]
        lines += [f"Complaints: {'; '.join(told)}"] if told else []
    return lines


def _last(heading: str, runs: list[LogEntry], of: Callable[[LogEntry], int | None]) -> list[str]:
    told = [f"{short_day(entry.day)} {of(entry)}" for entry in runs if of(entry) is not None]
    return [f"{heading}: {'; '.join(told)}"] if told else []


def _set(member: Member) -> list[tuple[CoachSetting, int]]:
    kept = coach_settings.kept(member.book.intake)
    return [(row, kept[row.field]) for row in SETTINGS if row.field in kept]


def settings_page(member: Member) -> str:
    """What may be set for a runner, and what is."""
    kept = dict(_set(member))
    lines = [f"For {member.name} you can set:"]
    for row in SETTINGS:
        now = f", now {kept[row]}" if row in kept else ""
        lines.append(f"{row.word} {row.bounds}{now}: {row.says.format('…')}")
    lines.append(f"Write it like this: /set {member.name} step 5")
    return "\n".join(lines)


def out_of_bounds(row: CoachSetting) -> str:
    """A value that may not be set."""
    return f"{row.word} can be {row.bounds}: {row.says.format('…')}. Nothing is changed."


def was_set(coach: str, row: CoachSetting, value: int) -> str:
    """To the runner: what the coach set, and that they may decline."""
    return (
        f"{coach}, your coach, has set {row.says.format(value)} for you. It holds from now on; "
        f"if it does not suit you, write /decline {row.word}."
    )


def has_set(name: str, row: CoachSetting, value: int) -> str:
    """To the coach."""
    return f"Set for {name}: {row.says.format(value)}. {name} is told and can decline."


def declined(name: str, row: CoachSetting) -> str:
    """To the coach: the runner said no."""
    return f"{name} declined {row.word}; the usual holds again."


def has_declined(row: CoachSetting) -> str:
    """To the runner."""
    return f"Taken back: {row.word}. The usual holds again, and your coach is told."


def removed(name: str) -> str:
    """To the coach."""
    return f"{name} is out of the group and told so. Plan and log stay with {name}."


NOTHING_TO_DECLINE = "Your coach has set nothing like that. Write it like this: /decline step"
