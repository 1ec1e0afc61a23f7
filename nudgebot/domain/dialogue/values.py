"""What an answer starts from and what it comes to."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from hashlib import sha256
from typing import Any, Final, TypeAlias

from nudgebot.domain.messages.plan.changes import with_plan
from nudgebot.domain.model.actions import Action, Chosen, Reply
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.parameters import DEFAULT_MONTHS_KEPT
from nudgebot.domain.model.questions import Ask, Asked
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    Ill,
    LimitReason,
    OnHold,
    Pause,
    Standing,
    SymptomNote,
    Training,
)
from nudgebot.domain.model.speech import QUESTION, Button, Say
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.planner import Replanned
from nudgebot.domain.profile import intake
from nudgebot.domain.text.triage import Level, Verdict

TOKEN: Final = 12  # hex digits that tell one question from another: two lines of one second ask two questions
KEPT_DAYS = timedelta(days=90)  # how long words on single days and pauses are kept: the pictures show twelve weeks
Choices: TypeAlias = tuple[tuple[str, Chosen], ...]  # buttons under a question: label, and the answer it stands for


@dataclass(frozen=True, slots=True)
class Heard:
    """One line as it was heard: its key, its text, when it was said and when it is read (UTC).

    `action` is what a pressed button does, and then `text` is ""; None for typed text. `keeps` is for how many months
    things are kept here.
    """

    key: str
    text: str
    at: datetime
    now: datetime
    action: Action | None = None
    keeps: int = DEFAULT_MONTHS_KEPT


@dataclass(frozen=True, slots=True)
class Answer:
    """What becomes of a line: the new book, what to say in order, and whether to erase the person."""

    book: Book
    says: tuple[Say, ...]
    erase: bool = False

    def behind(self, *first: Say) -> Answer:
        """The same, with `first` said before it."""
        return replace(self, says=(*first, *self.says))

    def with_first(self, **changes: Any) -> Answer:
        """The same, with other fields of its first message."""
        first, *rest = self.says
        return replace(self, says=(replace(first, **changes), *rest))


def say(book: Book, text: str, *buttons: Button, kind: str = "answer") -> Answer:
    """An answer of one message."""
    return Answer(book, (Say(text, kind, tuple(buttons)),))


def ask(
    book: Book,
    heard: Heard,
    what: Ask,
    text: str,
    choices: Choices = (),
    *,
    day: date | None = None,
    detail: str = "",
    line: str | None = None,
) -> Answer:
    """A question back: remembered in the book, its buttons tied to it."""
    token = token_of(what.value, heard)
    asked = Asked(what, heard.at, token, heard.text if line is None else line, day, detail)
    buttons = tuple(Button(label, Reply(token, chosen)) for label, chosen in choices)
    return Answer(replace(book, asked=asked), (Say(text, QUESTION, buttons),))


def token_of(what: str, heard: Heard) -> str:
    """What the buttons of a question carry, so that they answer no other one."""
    return sha256(f"{what} {heard.key} {heard.at.isoformat()}".encode()).hexdigest()[:TOKEN]


def today_of(book: Book, heard: Heard) -> date:
    """The runner's day on which the line was said."""
    return book.today(heard.at)


def replan(book: Book, heard: Heard) -> tuple[Book, Replanned | None]:
    """The plan of the days left, as things stand now."""
    today = book.today(heard.now)
    return planner.replan(book, today, planner.today_closed(book.profile, book.local(heard.now)))


def with_intake(book: Book, told: Intake) -> Book:
    """The book with other answers, and the profile that they add up to."""
    return replace(book, intake=told, profile=intake.profile(told))


def with_limits(book: Book, limits: tuple[DayLimit, ...]) -> Book:
    """The book with newer words on some days in place of the older ones; words long past are dropped.

    What the weather called off stays beside any newer word.
    """
    named = {limit.day for limit in limits}
    newest = max(named, default=None)
    kept = tuple(
        limit
        for limit in book.limits
        if (limit.day not in named or (limit.reason is LimitReason.WEATHER and limit not in limits))
        and (newest is None or newest - limit.day <= KEPT_DAYS)
    )
    return replace(book, limits=tuple(sorted((*kept, *limits), key=lambda limit: limit.day)))


def limit(book: Book, days: Iterable[date], reason: LimitReason, minutes: int = 0) -> Book:
    """The book with these days closed, or limited to `minutes`."""
    return with_limits(book, tuple(DayLimit(day, minutes, reason) for day in days))


def replan_and_say(book: Book, heard: Heard, first: str) -> Answer:
    """The days left planned again, and an answer that begins with `first` and goes on with what that changed."""
    after, replanned = replan(book, heard)
    return say(after, with_plan(first, after, today_of(book, heard), replanned))


def with_pause(book: Book, today: date) -> Book:
    """The book with the hold or illness that ends on `today` remembered as days; what it was is not."""
    match book.standing:
        case OnHold(since=since):
            first = book.today(since)
        case Ill(since=first):
            pass
        case _:
            return book
    if first >= today:
        return book
    kept = tuple(pause for pause in book.pauses if today - pause.last <= KEPT_DAYS)
    return replace(book, pauses=(*kept, Pause(first, today - timedelta(days=1))))


def with_note(book: Book, heard: Heard, level: str, sign: str, spot: str = "", score: int | None = None) -> Book:
    """A complaint, or the end of one, kept with its day, for the rules that look back."""
    note = SymptomNote(today_of(book, heard), level, sign, spot, score, heard.at)
    return replace(book, symptoms=(*book.symptoms, note))


def with_complaint(book: Book, heard: Heard, verdict: Verdict) -> Book:
    """The complaint of a line kept with its day."""
    return with_note(book, heard, verdict.level.value, verdict.sign, verdict.spot, verdict.pain_score)


def standing_when_well(book: Book, now: datetime) -> Standing:
    """Where the runner stands with nothing in the way: training, or walking until a clinician has cleared running."""
    return Training() if book.intake.cleared is not None else intake.standing_after(book.profile, now)


def without_limits(book: Book, days: set[date]) -> Book:
    """The book with every word on these days taken back, but for what the weather called off."""
    kept = (limit for limit in book.limits if limit.day not in days or limit.reason is LimitReason.WEATHER)
    return replace(book, limits=tuple(kept))


def with_entries(book: Book, entries: tuple[LogEntry, ...]) -> Book:
    """The book with more log entries, in date order."""
    return replace(book, log=tuple(sorted((*book.log, *entries), key=lambda entry: entry.day)))


def regrow(book: Book, today: date) -> Book:
    """Sessions that were shortened because of a run regain their first length once that run is taken back."""
    week = book.week_of(today)
    first = {s.day: s for s in week.sessions} if week else {}
    return replace(
        book,
        plan=tuple(
            replace(s, minutes=max(s.minutes, first[s.day].minutes)) if s.day >= today and s.day in first else s
            for s in book.plan
        ),
    )


def rank_of(level: str) -> int:
    """The rank of a level as stored; one that this version does not know ranks as the gravest."""
    return Level(level).rank if level in set(Level) else Level.EMERGENCY.rank
