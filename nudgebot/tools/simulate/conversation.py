"""The chat of one invented runner: every line goes through the real conversation rules, every nudge through theirs.

Nothing is stored; else it is what the bot does: a line is heard, the book rolled, the answer found, and between two
lines the book is looked at whenever it says that it must be. A judge sees all of it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

from nudgebot.app import decide
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.values import Heard
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.nudged import Nudged, Outcome
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Runner, Training, Walking
from nudgebot.domain.model.week import Session, SessionKind
from nudgebot.domain.nudging import nudges, triggers
from nudgebot.domain.nudging.payloads import FirstWord, GapWarning, Payload
from nudgebot.domain.planning import limits, planner
from nudgebot.tools.simulate.judge.findings import Meant
from nudgebot.tools.simulate.judge.judge import Judge
from nudgebot.tools.simulate.judge.sent import Offer
from nudgebot.tools.simulate.tally import Tally

DAY = timedelta(days=1)
MINUTE = timedelta(minutes=1)
KEPT = timedelta(days=60)  # how long the book keeps nudges that are settled
SNOOZE_KEPT = timedelta(days=2)
NEAR = timedelta(hours=3)
LOOKED_AT = ("plan", "weeks", "standing", "walk_run")  # what the judge looks at when it changes in silence


class Chat:
    """One runner and the bot. `now` (UTC) only moves forward; what is said and shown is counted in `tally`."""

    def __init__(self, name: str, joined: datetime, tally: Tally, judge: Judge | None = None) -> None:
        self.book = Book(Runner(1, "simulated", name, name, joined, joined))
        self.now = joined
        self.tally = tally
        self.judge = judge or Judge()
        self._look: datetime | None = None  # when the book wants to be looked at
        self._rolled_on: date | None = None

    @property
    def to_plan(self) -> bool:
        """Whether the runner runs or walks to plan."""
        return isinstance(self.book.standing, Training | Walking)

    @property
    def today(self) -> date:
        """The runner's day."""
        return self.book.today(self.now)

    @property
    def asks_what(self) -> str:
        """What the bot has asked back, "" for nothing."""
        return self.book.asked.what.value if self.book.asked is not None else ""

    @property
    def heard_as(self) -> str:
        """What the last line was taken for, as the chat and the store show it."""
        match self.book.standing:
            case OnHold():
                return "a hold"
            case Ill():
                return "an illness"
        if self.asks_what:
            return "asked about"
        if any(note.day == self.today and note.at == self.now for note in self.book.symptoms):
            return "a complaint"
        if any(entry.noted_at == self.now for entry in self.book.log):
            return "a run"
        limit = self.book.limit_on(self.today)
        return "a day off" if limit is not None and not limit.minutes else "nothing of it"

    def says(self, text: str, told: Meant = Meant.OTHER) -> None:
        """The runner says `text` now, and means it to be `told`; a minute passes."""
        self.wait(self.now + MINUTE)
        self.book = nudges.note_heard(self.book, self.now)
        self._roll()
        key = f"{self.tally.lines}"
        self.tally.lines += 1
        before = self.book
        heard = Heard(key, text, self.now, self.now)
        self.book = (decide.follow_alone(self.book, heard) or answer(self.book, heard)).book
        self._rolled_on = None
        review = nudges.review_with_answer(self.book, self.now)
        if review is not None:  # part of the answer, and no nudge
            self.book = replace(self.book, nudges=(*self.book.nudges, review.nudged))
        self._look = nudges.next_look(self.book, self.now)
        self.judge.heard(before, self.book, self.now, text, told)

    def asks(self, text: str, told: Meant = Meant.OTHER) -> None:
        """The runner says something about the plan, or about where they are."""
        self.says(text, told)

    def ran(self, minutes: int, kind: SessionKind, text: str) -> None:  # noqa: ARG002 - the line says it all
        """The runner tells of a session that is done."""
        self.says(text, Meant.RUN)

    def wait(self, until: datetime) -> None:
        """Time passes to `until`, with every look at the book that falls due on the way."""
        while self._look is not None and self._look <= until:
            self.now = max(self.now, self._look)
            self._roll()
            called = triggers.find_calls(self.book, self.now)
            for verdict in nudges.settle_due(self.book, self.now, called):
                self._settle(verdict.nudged, verdict.payload)
            following = nudges.next_look(self.book, self.now, called)
            self._look = following and max(following, self.now + MINUTE)
        self.now = max(self.now, until)

    def morning(self) -> Session | None:
        """The session of the runner's day as the plan stands now."""
        self._roll()
        return self.book.session_on(self.today) if self.to_plan else None

    def _roll(self) -> None:
        """Brings the book up to the runner's day; a week laid out on the way is looked at."""
        if self._rolled_on == self.today or isinstance(self.book.standing, Joining):
            return
        before = self.book
        self.book = planner.roll(self.book, self.today)
        self._rolled_on = self.today
        self._forget()
        if any(getattr(before, name) != getattr(self.book, name) for name in LOOKED_AT):
            self.judge.passed(before, self.book, self.now)

    def _forget(self) -> None:
        """Drops what the store would not load any more."""
        kept = tuple(nudged for nudged in self.book.nudges if self.now - nudged.at < KEPT)
        if len(kept) < len(self.book.nudges):
            self.book = replace(self.book, nudges=kept)
        if self.book.snoozes:
            snoozes = tuple(snooze for snooze in self.book.snoozes if snooze.at > self.now - SNOOZE_KEPT)
            self.book = replace(self.book, snoozes=snoozes)

    def _settle(self, nudged: Nudged, payload: Payload | None) -> None:
        self.book = replace(self.book, nudges=(*self.book.nudges, nudged))
        counted = {Outcome.SENT: self.tally.sent, Outcome.HELD_BACK: self.tally.held_back}
        counted.get(nudged.outcome, self.tally.dropped)[nudged.kind.value] += 1
        if nudged.outcome is not Outcome.SENT:
            return
        at = nudged.at
        self.tally.near_changes += self.book.local(at - NEAR).utcoffset() != self.book.local(at + NEAR).utcoffset()
        self.judge.sends(self.book, nudged, offers(payload, self.today))
        self.tally.most_a_week = max(self.tally.most_a_week, self.judge.in_seven_days)


def offers(payload: Payload | None, today: date) -> tuple[Offer, ...]:
    """The sessions that a nudge names, as plain values for the judge."""
    match payload:
        case GapWarning():
            days = payload.open_days or (payload.last_day,)
            short = [Offer(day, payload.shortest.minutes, payload.shortest.kind) for day in days]
            return (*short, *_named(payload.session))
        case FirstWord():
            return (Offer(today, payload.session.minutes, payload.session.kind),)
        case _:
            return _named(getattr(payload, "session", None))


def _named(session: Session | None) -> tuple[Offer, ...]:
    return () if session is None else (Offer(session.day, session.minutes, session.kind),)


class LeftAlone(Chat):
    """The same runner where every week stays as it was laid out: no nudges, and no word about the plan is heard.

    Illness and holds go their way through the same rules. What comes of it is not judged.
    """

    def __init__(self, chat: Chat) -> None:
        super().__init__(chat.book.runner.name, chat.now, Tally())
        self.book = chat.book

    def asks(self, text: str, told: Meant = Meant.OTHER) -> None:
        """Nobody listens."""

    def ran(self, minutes: int, kind: SessionKind, text: str) -> None:  # noqa: ARG002 - nobody reads it
        """The session goes into the log, and the plan stays as it is."""
        walk = kind is SessionKind.WALK
        entry = LogEntry(
            f"{len(self.book.log)}",
            self.today,
            minutes,
            Activity.WALK if walk else Activity.RUN,
            in_place_of_run=walk,
            cap=limits.session_max(self.book, self.today),
        )
        half = max(0, self.book.half_runs - 1)
        self.book = replace(self.book, log=(*self.book.log, entry), half_runs=half)
        self._rolled_on = None

    def says(self, text: str, told: Meant = Meant.OTHER) -> None:
        """What the runner says about how they are."""
        super().says(text, told)
        self._look = None

    def _roll(self) -> None:
        """Brings the book up to a day on which something may be run; what comes of the days before waits for it."""
        known = self.book.week_of(self.today) is not None
        if self.to_plan and known and self.book.session_on(self.today) is None:
            return
        super()._roll()
