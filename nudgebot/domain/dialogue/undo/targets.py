"""What can be taken back, and which of it a line means: by its kind, its days and its minutes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import Final

from nudgebot.domain.dialogue.undo import journal
from nudgebot.domain.messages import taking_back as words
from nudgebot.domain.model.journal import Change
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import Book, DayLimit, LimitReason
from nudgebot.domain.text.taking_back import Correction, Thing

OFFERED: Final = 2  # of what does not fit, the nearest
NEVER: Final = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Target:
    """What one line put into the book: the entries that are in the log still, and the change where it is known."""

    key: str
    at: datetime
    entries: tuple[LogEntry, ...]
    change: Change | None

    @property
    def days(self) -> frozenset[date]:
        """The days that it is about."""
        named = {limit.day for limit in self._limits if limit.reason is not LimitReason.REST}
        return frozenset({entry.day for entry in self.entries} | named)

    @property
    def minutes(self) -> frozenset[int]:
        """The minutes that it is about."""
        return frozenset([*(entry.minutes for entry in self.entries), *(limit.minutes for limit in self._limits)])

    @property
    def is_move(self) -> bool:
        """Whether it took a session from one day to another."""
        return len({limit.reason for limit in self._limits}) > 1

    @property
    def _limits(self) -> tuple[DayLimit, ...]:
        return journal.lost_and_gained(self.change, "limits")[1]

    @property
    def thing(self) -> Thing:
        """What kind of change it is."""
        if self.entries or self.change is None:
            return Thing.RUN
        if any(journal.lost_and_gained(self.change, "standing")):
            return Thing.ILLNESS
        return Thing.SETTING if any(journal.lost_and_gained(self.change, "intake")) else Thing.LIMIT

    def describe(self, today: date) -> str:
        """What it is, in a few words."""
        if self.change is None:
            return words.say_what_changed([("log", (), self.entries)], today)
        parts = ("log", "limits", "intake", "standing", "snoozes", "symptoms")
        values = ((name, *journal.lost_and_gained(self.change, name)) for name in parts)
        return words.say_what_changed([each for each in values if each[1] or each[2]], today)


def find_targets(book: Book, *, restored: bool = False) -> tuple[Target, ...]:
    """What can be taken back, the newest first; `restored`: taking back itself too."""
    in_log: dict[str, tuple[LogEntry, ...]] = {}
    for entry in book.log:
        in_log[entry.key] = (*in_log.get(entry.key, ()), entry)
    changes = [each for each in book.changes if restored or not each.restores]
    known = {change.key for change in changes}
    found = [
        Target(change.key, change.at, in_log.get(change.key, ()), change)
        for change in reversed(changes)
        if not (runs := journal.lost_and_gained(change, "log")[1]) or any(entry in book.log for entry in runs)
    ]
    older = [
        Target(key, max(entry.noted_at or NEVER for entry in entries), entries, None)
        for key, entries in reversed(in_log.items())
        if key not in known
    ]
    return tuple(sorted((*found, *older), key=lambda each: each.at, reverse=True))


def settle_number(found: Sequence[Target], correction: Correction) -> Correction:
    """The correction with its one number as the wrong minutes or the right ones: an entry tells which."""
    number = correction.number
    if number is None:
        return correction
    at_it = found if correction.days or correction.new_day else found[:1]
    wrong = any(number in each.minutes for each in at_it if not correction.days or each.days & correction.days)
    if wrong or correction.new_day is not None:
        return replace(correction, old=number, number=None)
    return replace(correction, new=number, number=None)


def as_name(correction: Correction) -> Correction:
    """Days and minutes of an answer: they only name what is meant."""
    days = correction.days | ({correction.new_day} if correction.new_day else set())
    return Correction(days, correction.old or correction.new or correction.number)


def find_fitting(found: Sequence[Target], correction: Correction) -> tuple[Target, ...]:
    """The targets that fit what was said; where a kind of thing was named, those of it if there are any."""
    fitting = [
        each
        for each in found
        if (not correction.days or each.days & correction.days)
        and (correction.old is None or correction.old in each.minutes)
    ]
    named = [each for each in fitting if each.thing is correction.thing]
    return tuple(named or fitting)


def find_nearest(found: Sequence[Target], correction: Correction) -> tuple[Target, ...]:
    """What comes nearest to what was said: by the days between, then by the minutes, then the newest."""

    def far(target: Target) -> tuple[int, int]:
        days = [abs((a - b).days) for a in target.days for b in correction.days]
        off = [abs(each - correction.old) for each in target.minutes] if correction.old is not None else []
        return min(days, default=0 if not correction.days else 999), min(off, default=0)

    runs = [each for each in found if each.entries] if correction.old is not None else []
    return tuple(sorted(runs or found, key=far)[:OFFERED])
