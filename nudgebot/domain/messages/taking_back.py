"""What is said of changes: a list of them, one taken back, one corrected, and which of several is meant."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from nudgebot.domain.messages.common import and_list, capital, days_list, entry_words, on_day
from nudgebot.domain.messages.plan.lines import next_line, replan_lines, standing_line
from nudgebot.domain.messages.plan.repeats import setting_line
from nudgebot.domain.messages.settings import SETTING_NAMES, show_answer
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.repeat import repeat_of
from nudgebot.domain.model.runner import Book, DayLimit, LimitReason
from nudgebot.domain.planning.planner import Replanned

NOTHING_TO_TAKE_BACK = "There is nothing to take back."
TAKEN_BACK_BEFORE = "That is taken back already."
WHICH = "I am not sure which one you mean. Nothing is changed until you say."
WHICH_OF_THESE = "Your last changes, the newest first. Which one shall I take back?"
STILL_ILL = "Was the report of being ill read wrongly, or are you better? If you are better, running starts gently."
NONE_OF_THEM = "None of these"
KEPT = "Fine, everything stays as it is."
UNKNOWN_CHANGE = "a change"
PUT_BACK = "Put it back"


def say_as_told(what: str) -> str:
    """The same minutes told once more."""
    return f"That is how I have it: {what}."


def say_what_changed(told: Sequence[tuple[str, Any, Any]], today: date) -> str:
    """What a line changed, in a few words, from the fields of the book with what each lost and gained."""
    found: list[str] = []
    for name, gone, come in told:
        match name:
            case "log" if gone and come:
                found.append(f"{_run(gone[0], today)}, corrected to {_run(come[0], today)}")
            case "log":
                found += [_run(entry, today) for entry in come or gone]
            case "limits" if gone and not come:
                found.append(f"{days_list([limit.day for limit in gone], today)} open again")
            case "limits":
                found += _limited(come or gone, today)
            case "intake":
                # By their text alone: an event may have become the nearest, or one of those after it.
                was, now = ({text for _, text in answers} for answers in (gone, come))
                new = [answer for answer in come if answer[1] not in was]
                found += [_setting(*answer) for answer in new or [each for each in gone if each[1] not in now] or come]
            case "standing":
                found.append("being ill")
            case "snoozes":
                found.append("a later reminder")
            case "symptoms":
                found.append("how you felt")
    return and_list(list(dict.fromkeys(found))) or UNKNOWN_CHANGE


def _run(entry: LogEntry, today: date) -> str:
    return f"{entry_words(entry)} {on_day(entry.day, today)}"


def _setting(key: str, answer: str) -> str:
    if (rule := repeat_of(answer)) is not None:
        return setting_line(rule)
    name = SETTING_NAMES.get(key)
    return f"{name} {show_answer(key, answer)}" if name else key.replace("_", " ")


def _limited(limits: Sequence[DayLimit], today: date) -> list[str]:
    """Words on days: busy, away, called off, moved; a rest that followed from a run is not named beside it."""
    off = [limit.day for limit in limits if limit.reason in {LimitReason.SKIP, LimitReason.LET_GO}]
    room = [limit for limit in limits if limit.reason is LimitReason.BUSY]
    away = [limit.day for limit in limits if limit.reason is LimitReason.AWAY]
    if len(off) == len(room) == 1 and room[0].minutes and off[0] != room[0].day:
        return [f"the move from {on_day(off[0], today)} to {on_day(room[0].day, today)}"]
    found = [f"no run {days_list(off, today)}"] if off else []
    closed = [limit.day for limit in room if not limit.minutes]
    found += [f"no time {days_list(closed, today)}"] if closed else []
    found += [f"at most {limit.minutes} min {on_day(limit.day, today)}" for limit in room if limit.minutes]
    return [*found, *([f"days away, {days_list(away, today)}"] if away else [])]


def label(what: str, said: date, today: date) -> str:
    """A change in the words of a list or button, with the day on which it was said."""
    return what if said == today else f"{what} (said {on_day(said, today)})"


def changes_page(labels: Sequence[str]) -> str:
    """The changes that can be taken back."""
    return "\n".join([WHICH_OF_THESE, *(f"{place}. {label}" for place, label in enumerate(labels, 1))])


def say_taken_back(
    before: Book, after: Book, what: str, today: date, replanned: Replanned | None, *, put_back: bool = False
) -> str:
    """What was taken back, or put back after all, and the plan as it is now."""
    first = f"{'Put back' if put_back else 'Taken back'}: {what}."
    return _with_plan(first, before, after, today, replanned)


def say_freed(before: Book, after: Book, days: set[date], today: date, replanned: Replanned | None) -> str:
    """Days that are open again."""
    are = "are" if len(days) > 1 else "is"
    return _with_plan(f"{capital(days_list(days, today))} {are} open again.", before, after, today, replanned)


def say_corrected(
    before: Book, after: Book, old: LogEntry, new: LogEntry, today: date, replanned: Replanned | None
) -> str:
    """What an entry was and is now."""
    minutes_alone = (old.day, old.activity) == (new.day, new.activity)
    now = f"{new.minutes} min" if minutes_alone else _run(new, today)
    return _with_plan(f"Corrected: {_run(old, today)} is now {now}.", before, after, today, replanned)


def _with_plan(first: str, before: Book, after: Book, today: date, replanned: Replanned | None) -> str:
    line = " ".join(filter(None, (capital(first), standing_line(after, today), next_line(after, today))))
    if replanned is not None:
        return "\n".join([line, *replan_lines(replanned, today, after_run=True)])
    was, now = (tuple(s for s in book.plan if s.day >= today) for book in (before, after))
    days = [session for session in now if session not in was]
    if len(days) < 2 and was[:1] != now[:1]:
        return line  # the next session says it
    again = and_list([f"{session.minutes} min {on_day(session.day, today)}" for session in days])
    return f"{line}\nNow planned: {again}." if again else line
