"""The chat of one invented runner: every line goes through the real conversation rules, every nudge through theirs.

Nothing is stored; else it is what the bot does: a line is heard, the book rolled, the answer found, and between two
lines the book is looked at whenever it says that it must be.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

from nudgebot.app import commands
from nudgebot.domain.dialogue.answer import Heard, answer
from nudgebot.domain.model.logbook import Activity, LogEntry
from nudgebot.domain.model.runner import Book, Joining, Nudged, NudgeKind, Outcome, Runner, Training, Walking
from nudgebot.domain.model.week import Session, SessionKind
from nudgebot.domain.nudging import nudges, triggers
from nudgebot.domain.planning import limits, planner
from nudgebot.domain.planning.replan_input import replan_problem
from nudgebot.domain.text.triage import Level
from nudgebot.tools.simulate import judging
from nudgebot.tools.simulate.judging import DAY
from nudgebot.tools.simulate.tally import Tally

MINUTE = timedelta(minutes=1)
KEPT = timedelta(days=60)  # how long the book keeps nudges that are settled
SNOOZE_KEPT = timedelta(days=2)
NEAR = timedelta(hours=3)


class Chat:
    """One runner and the bot. `now` (UTC) only moves forward; what is said and shown is counted in `tally`."""

    def __init__(self, name: str, joined: datetime, tally: Tally) -> None:
        self.book = Book(Runner(1, "simulated", name, name, joined, joined))
        self.now = joined
        self.tally = tally
        self._look: datetime | None = None  # when the book wants to be looked at
        self._rolled_on: date | None = None
        self._judged: tuple[tuple[Session, ...], tuple[LogEntry, ...]] = ((), ())
        self._sent: list[tuple[datetime, date]] = []  # what counts as a nudge: when, and the runner's date then
        self._keys: set[tuple[NudgeKind, date, str]] = set()

    @property
    def to_plan(self) -> bool:
        """Whether the runner runs or walks to plan."""
        return isinstance(self.book.standing, Training | Walking)

    @property
    def today(self) -> date:
        """The runner's day."""
        return self.book.today(self.now)

    def says(self, text: str) -> None:
        """The runner says `text` now; a minute passes."""
        self.wait(self.now + MINUTE)
        self.book = nudges.heard(self.book, self.now)
        self._roll()
        key = f"{self.tally.lines}"
        self.tally.lines += 1
        heard = Heard(key, text, self.now, self.now)
        self.book = (commands.alone(self.book, heard) or answer(self.book, heard)).book
        self._rolled_on = None
        review = nudges.review_with_answer(self.book, self.now)
        if review is not None:  # part of the answer, and no nudge
            self.book = replace(self.book, nudges=(*self.book.nudges, review.nudged))
        self._look = nudges.next_look(self.book, self.now)
        self._judge()

    def asks(self, text: str) -> None:
        """The runner says something about the plan, or about where they are."""
        self.says(text)

    def ran(self, minutes: int, kind: SessionKind, text: str) -> None:  # noqa: ARG002 - the line says it all
        """The runner tells of a session that is done."""
        known = len(self.book.log)
        self.says(text)
        self.tally.misread += len(self.book.log) == known

    def wait(self, until: datetime) -> None:
        """Time passes to `until`, with every look at the book that falls due on the way."""
        while self._look is not None and self._look <= until:
            self.now = max(self.now, self._look)
            self._roll()
            called = triggers.calls(self.book, self.now)
            for verdict in nudges.due(self.book, self.now, called):
                self._settle(verdict.nudged)
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
        known = len(self.book.weeks)
        self.book = planner.roll(self.book, self.today)
        self._rolled_on = self.today
        self._forget()
        if len(self.book.weeks) > known:
            self._judge()

    def _forget(self) -> None:
        """Drops what the store would not load any more."""
        kept = tuple(nudged for nudged in self.book.nudges if self.now - nudged.at < KEPT)
        if len(kept) < len(self.book.nudges):
            self.book = replace(self.book, nudges=kept)
        if self.book.snoozes:
            snoozes = tuple(snooze for snooze in self.book.snoozes if snooze.at > self.now - SNOOZE_KEPT)
            self.book = replace(self.book, snoozes=snoozes)

    def _settle(self, nudged: Nudged) -> None:
        self.book = replace(self.book, nudges=(*self.book.nudges, nudged))
        counted = {Outcome.SENT: self.tally.sent, Outcome.HELD_BACK: self.tally.held_back}
        counted.get(nudged.outcome, self.tally.dropped)[nudged.kind.value] += 1
        if nudged.outcome is Outcome.SENT:
            self._judge_nudge(nudged)

    def _found(self, what: str) -> None:
        """Notes what must not happen, and where: the same seed lives it again."""
        self.tally.found[f"{what}, {self.book.runner.name} on {self.book.local(self.now):%Y-%m-%d %H:%M}"] += 1

    def _judge_nudge(self, nudged: Nudged) -> None:
        tally, at = self.tally, nudged.at
        if judging.is_quiet(self.book, at):
            tally.quiet_nudges += 1
            self._found(f"{nudged.kind} in quiet hours")
        slot = nudged.slot if nudged.kind is NudgeKind.SNOOZED else ""
        if (nudged.kind, nudged.for_day, slot) in self._keys:
            tally.double_nudges += 1
            self._found(f"{nudged.kind} twice for one day")
        self._keys.add((nudged.kind, nudged.for_day, slot))
        tally.near_changes += self.book.local(at - NEAR).utcoffset() != self.book.local(at + NEAR).utcoffset()
        if nudged.kind in judging.UNCOUNTED:
            return
        day = self.book.local(at).date()
        if judging.too_many(self._sent, at, day):
            tally.crowded_nudges += 1
            self._found(f"{nudged.kind} as one too many")
        self._sent = [*(pair for pair in self._sent if at - pair[0] < 7 * DAY), (at, day)]
        tally.most_a_week = max(tally.most_a_week, len(self._sent))

    def _judge(self) -> None:
        """Looks at the plan that is shown now, once for each plan and log."""
        book = self.book
        if not self.to_plan or self._judged == (book.plan, book.log):
            return
        self._judged = (book.plan, book.log)
        frame = replan_problem(book, self.today, planner.today_closed(book.profile, book.local(self.now)))
        if frame is None:
            return
        self.tally.plans += 1
        # Before the first run nothing is known of the days before; on the day of a complaint nothing is moved nearer.
        sore = any(note.day == self.today and note.level == Level.REST for note in book.symptoms)
        if book.log and not sore and judging.has_needless_gaps(frame.problem):
            self.tally.needless_gaps += 1
            self._found("a needless gap day")
        monday = book.monday(frame.first_day)
        runs = [(e.day, min(e.minutes, e.cap or e.minutes)) for e in book.log if e.is_run]
        longest = judging.longest_before(runs, (limits.first_day(book, monday) - DAY, book.profile.longest), monday)
        ran: dict[date, int] = {}
        for entry in book.log:
            if entry.is_run:
                ran[entry.day] = ran.get(entry.day, 0) + entry.minutes
        for fault in judging.broken(book, frame.first_day, judging.session_cap(longest), ran):
            self.tally.broken_limits += 1
            self._found(f"a plan over its limit: {fault}")
        for session in book.plan:
            if frame.first_day <= session.day <= monday + 6 * DAY:
                self.tally.saw_step(longest, session.minutes)


class LeftAlone(Chat):
    """The same runner where every week stays as it was laid out: no nudges, and no word about the plan is heard.

    Illness and holds go their way through the same rules.
    """

    def __init__(self, chat: Chat) -> None:
        super().__init__(chat.book.runner.name, chat.now, Tally())
        self.book = chat.book

    def asks(self, text: str) -> None:
        """Nobody listens."""

    def ran(self, minutes: int, kind: SessionKind, text: str) -> None:  # noqa: ARG002
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

    def says(self, text: str) -> None:
        """What the runner says about how they are."""
        super().says(text)
        self._look = None

    def _roll(self) -> None:
        """Brings the book up to a day on which something may be run; what comes of the days before waits for it."""
        known = self.book.week_of(self.today) is not None
        if self.to_plan and known and self.book.session_on(self.today) is None:
            return
        super()._roll()

    def _judge(self) -> None:
        pass
