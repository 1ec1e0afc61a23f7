"""The longer pages of a coach, and what a runner reads of what the coach sees: both from one table, `SEEN`."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from nudgebot.domain.messages.common import and_list, short_day
from nudgebot.domain.messages.group.group import SHARE_WANTED
from nudgebot.domain.messages.group.roster import HEADINGS, fact
from nudgebot.domain.model import intake
from nudgebot.domain.model.intake import COACH_SETTINGS, CoachSetting
from nudgebot.domain.model.logbook import LogEntry, counted_minutes, run_minutes
from nudgebot.domain.overview.group import Member, Share, sight

WEEKS_SHOWN = 6
NOTES_SHOWN = 5
SHARED_SHOWN = 5
DAYS_SHOWN = 28  # back from today: the runs of four weeks, by day

HELP_FIRST = "For coaches, in private unless it says otherwise:"
HELP_LAST = (
    "Runners are told what you set, and can decline. Mondays at 07:30 comes the week at a glance, unless /digest says "
    "otherwise.\n"
    "Of health you see “pausing”, and what a runner shares with you. /start gives you a plan of your own as well."
)


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing that a coach sees: how its runner reads of it, the share that it needs, its lines on the coach's page.

    Without a `share` every coach of the group sees it.
    """

    says: str
    lines: Callable[[Member, datetime], list[str]] = (
        lambda _member, _now: []
    )  # what stands beside the name has none here
    share: Share | None = None


def runner_page(member: Member, label: str, now: datetime) -> str:
    """One runner for the coach: the state and what the rows of `SEEN` let through."""
    seen = sight(member, now)
    beside = fact(seen, member.book.today(now))
    lines = [f"{label}: {HEADINGS[seen.state].lower()}{', ' if beside else ''}{beside}"]
    for row in SEEN:
        if row.share is None or row.share in member.shares:
            lines += row.lines(member, now)
    return "\n".join(lines)


def say_what_is_seen(coaches: Sequence[str], shared: Mapping[Share, Sequence[str]]) -> str:
    """What a runner's coaches see: what all of them do, then kind by kind who sees what is shared."""
    sees = "sees" if len(coaches) == 1 else "see"
    lines = [f"{and_list(coaches)} {sees} {'; '.join(row.says for row in SEEN if row.share is None)}. Beyond that:"]
    for row in SEEN:
        if row.share is not None:
            to = shared.get(row.share, ())
            on = "off" if not to else "on" if len(to) == len(coaches) else f"on for {and_list(to)}"
            lines.append(f"{row.share.value}: {on}, {row.says}")
    return "\n".join([*lines, SHARE_WANTED])


def _weeks(member: Member, now: datetime) -> list[str]:
    """Weeks as minutes. One without runs reads the same whatever the reason was, and no target is told beside any."""
    book = member.book
    begun = [week for week in reversed(book.weeks[-WEEKS_SHOWN:]) if week.start <= book.today(now)]
    lines: list[str] = []
    for week in begun:
        done = counted_minutes(book.log, week.start)
        when = "This week so far" if week is book.weeks[-1] else f"Week of {short_day(week.start)}"
        lines.append(f"{when}: {f'{done} min' if done else 'no runs'}")
    return lines


def _days(member: Member, now: datetime) -> list[str]:
    """The minutes of each run of four weeks, the newest first."""
    today = member.book.today(now)
    runs = run_minutes(member.book.log, today - timedelta(days=DAYS_SHOWN - 1), DAYS_SHOWN)
    told = [f"{short_day(today - timedelta(days=n))} {minutes}" for n, minutes in enumerate(reversed(runs)) if minutes]
    return [f"Runs by day (min): {', '.join(told)}"] if told else []


def _notes(member: Member, _now: datetime) -> list[str]:
    return [f"Note, {short_day(note.at.date())}: {note.text}" for note in member.notes[-NOTES_SHOWN:]]


def _complaints(member: Member, _now: datetime) -> list[str]:
    named = [note for note in member.book.symptoms if note.spot][-SHARED_SHOWN:]
    told = [f"{short_day(n.day)} {n.spot}" + (f" {n.score} of 10" if n.score is not None else "") for n in named]
    return [f"Complaints: {'; '.join(told)}"] if told else []


def _last(heading: str, of: Callable[[LogEntry], int | None]) -> Callable[[Member, datetime], list[str]]:
    def lines(member: Member, _now: datetime) -> list[str]:
        runs = [entry for entry in member.book.log if entry.is_run][-SHARED_SHOWN:]
        told = [f"{short_day(entry.day)} {of(entry)}" for entry in runs if of(entry) is not None]
        return [f"{heading}: {'; '.join(told)}"] if told else []

    return lines


def _set(member: Member, _now: datetime) -> list[str]:
    return [f"Set by you: {row.says.format(value)}" for row, value in intake.set_by_coach(member.book.intake)]


SEEN: Final = (
    Seen(
        "your name, and whether you are in rhythm, silent, past the plan or “pausing”, one word for illness, holds and "
        "days away",
    ),
    Seen(
        "your minutes by week and by day and your dose", lambda member, now: [*_weeks(member, now), *_days(member, now)]
    ),
    Seen("what was set for you and their own notes", lambda member, now: [*_set(member, now), *_notes(member, now)]),
    Seen("why you pause (away, ill, on hold)", share=Share.PAUSE),
    Seen("complaints (body part, pain of 10)", _complaints, Share.COMPLAINTS),
    Seen("heart rate of your runs", _last("Heart rate", lambda entry: entry.heart_rate), Share.PULSE),
    Seen("effort of your runs", _last("Effort", lambda entry: entry.effort), Share.EFFORT),
    Seen("your name in the group: on Mondays, and when you run again after a week", share=Share.NAMED),
)


def notes_page(label: str, member: Member) -> str:
    """All of a coach's notes about one runner, with the numbers by which they are changed."""
    lines = [f"{n}: {note.text} ({short_day(note.at.date())})" for n, note in enumerate(member.notes, 1)]
    how = f"/note {label} 1 other words changes one, /note {label} 1 delete takes it away."
    return "\n".join([f"About {label}:", *lines, how])


def settings_page(member: Member, label: str) -> str:
    """What may be set for a runner, and what is."""
    kept = dict(intake.set_by_coach(member.book.intake))
    lines = [f"For {label} you can set:"]
    for row in COACH_SETTINGS:
        now = f", now {kept[row]}" if row in kept else ""
        barred = ", declined for good" if intake.is_barred(member.book.intake, row) else ""
        lines.append(f"{row.word} {row.bounds}{now}{barred}: {row.says.format('…')}")
    lines.append(f"Write it like this: /set {label} step 5, and /set {label} step usual to take it back.")
    return "\n".join(lines)


def all_settings(told: Sequence[tuple[str, Member]]) -> str:
    """What is set for whom, by label."""
    lines = [
        f"{label}: {', '.join(row.says.format(value) for row, value in rows)}"
        for label, member in told
        if (rows := intake.set_by_coach(member.book.intake))
    ]
    how = "To set something: /set Ana step 5. What can be set: /set Ana."
    return "\n".join([*(lines or ["Nothing is set for anybody."]), how])


def say_out_of_bounds(row: CoachSetting) -> str:
    """A value that may not be set."""
    return f"{row.word} can be {row.bounds}: {row.says.format('…')}. Nothing is changed."


def say_barred(name: str, row: CoachSetting) -> str:
    """A setting that the runner has declined for good."""
    return f"{name} has asked that {row.word} is not set by a coach. Nothing is changed."


def tell_set(coach: str, row: CoachSetting, value: int) -> str:
    """To the runner: what the coach set, and that they may decline."""
    return (
        f"{coach}, your coach, has set {row.says.format(value)} for you. It holds from now on; "
        f"if it does not suit you, write /decline {row.word}, or /decline {row.word} for good."
    )


def tell_taken_back(coach: str, row: CoachSetting, value: int) -> str:
    """To the runner: what a coach had set is set no more."""
    was = row.says.format(value)
    return f"{coach}, your coach, has taken back what was set for you: {was}. The usual value applies again."


def confirm_set(name: str, row: CoachSetting, value: int, *, silent: bool) -> str:
    """To the coach; `silent` where the runner hears of it later."""
    back = f"/set {name} {row.word} usual takes it back."
    return f"Set for {name}: {row.says.format(value)}. {_is_told(name, silent)} and can decline. {back}"


def confirm_taken_back(name: str, row: CoachSetting, *, silent: bool) -> str:
    """To the coach: a setting is set no more."""
    return f"Taken back for {name}: {row.word}. The usual value applies again. {_is_told(name, silent)}."


def _is_told(name: str, silent: bool) -> str:
    return f"{name} cannot be written to just now and is told with their next word" if silent else f"{name} is told"


def say_declined(name: str, row: CoachSetting, *, for_good: bool) -> str:
    """To the coach: the runner said no."""
    return f"{name} declined {row.word}{' for good' if for_good else ''}; the usual value applies again."


def confirm_declined(row: CoachSetting, *, for_good: bool) -> str:
    """To the runner."""
    again = f" It cannot be set again before you write /decline {row.word} off." if for_good else ""
    return f"Taken back: {row.word}. The usual value applies again, and your coach is told.{again}"


def confirm_allowed(row: CoachSetting) -> str:
    """To the runner: what was declined for good may be set again."""
    return f"Your coach may set {row.word} again, and you can decline it again."


def ask_to_remove(name: str) -> str:
    """To the coach, before a runner is taken out."""
    return f"Take {name} out of the group? They are told, and coming back takes a new invitation."


def confirm_removed(name: str, *, silent: bool) -> str:
    """To the coach."""
    told = f"{name} is told with their next word" if silent else "they are told so"
    return f"{name} is out of the group; {told}. Plan and log stay with {name}."


NOTHING_DONE = "Nobody is taken out."
TAKE_OUT = "Take out"
KEEP_IN = "Leave as it is"
NOTHING_TO_DECLINE = "Your coach has set nothing like that. Write it like this: /decline step"
