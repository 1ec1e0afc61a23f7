"""The judge of one life: it sees every line, every day that passes and every nudge, and notes what must not be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time, timedelta

from nudgebot.domain.model.nudged import Nudged, NudgeKind
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Training, Walking
from nudgebot.domain.model.week import SessionKind, Week, week_start
from nudgebot.tools.simulate.judge import gaps, loads, pauses, sent, weeks
from nudgebot.tools.simulate.judge import published as rule
from nudgebot.tools.simulate.judge.findings import ILLNESSES, Breach, Finding, Meant, says_illness_plainly
from nudgebot.tools.simulate.judge.record import DAY, Record
from nudgebot.tools.simulate.judge.sent import Offer

TODAY_CLOSES = time(20)
BEFORE_QUIET = timedelta(minutes=90)


class Judge:
    """What it remembers of one life: what was told and sent, which weeks it saw. `found` holds each breach once."""

    def __init__(self) -> None:
        self.found: list[Finding] = []
        self.looked = 0  # plans looked at
        self._known: set[tuple[Breach, date]] = set()
        self._said: list[tuple[datetime, str]] = []  # since the hold began
        self._sent: list[datetime] = []
        self._keys: set[tuple[NudgeKind, date, str]] = set()
        self._wait_until = date.min  # the first day that may hold a run after an illness
        self._ill_since: date | None = None  # told in plain words, and not over
        self._hot = date.min  # the day that heat called off
        self._spoken = False  # since the last time that passed
        self._step = 0  # of the walk-run ladder
        self._plan: object = None
        self._week: Week | None = None

    def heard(self, before: Book, after: Book, at: datetime, text: str, told: Meant) -> None:
        """A line was answered: `before` is the book it came to, `after` what it made of it."""
        today = after.today(at)
        self._spoken = True
        self._note(pauses.hold_ended(before, after, at, (*self._said, (at, text))))
        if isinstance(before.standing, OnHold):
            over = not isinstance(after.standing, OnHold)
            self._said = [] if over else [*self._said, (at, text)]
            self._ill_since = None if over else self._ill_since  # a clinician has seen it
        self._remember(after, today, text, told)
        if told is Meant.RUN and isinstance(after.standing, Training):
            self._note(_gone(before, after, today))
        if len(after.log) < len(before.log):
            return  # a run was taken back: the week is laid out again when it is looked at next
        self._look(after, at, moved=(before.plan, before.log, before.limits) != (after.plan, after.log, after.limits))

    def passed(self, before: Book, after: Book, at: datetime) -> None:
        """Time passed and nobody said anything."""
        today = after.today(at)
        if type(before.standing) is not type(after.standing):
            self._note(pauses.hold_ended(before, after, at, ()))
        if not self._spoken:  # else the week was laid out again for what was said
            self._note(_grown(before, after, today))
        self._spoken = False
        self._look(after, at, moved=False)

    def sends(self, book: Book, nudged: Nudged, offers: Sequence[Offer]) -> None:
        """A nudge went out, naming these sessions."""
        at, day = nudged.at, book.local(nudged.at).date()
        today = book.today(at)
        if sent.is_quiet(book, at):
            self._add(Breach.QUIET, day, nudged.kind)
        key = (nudged.kind, nudged.for_day, nudged.slot if nudged.kind is NudgeKind.SNOOZED else "")
        if key in self._keys:
            self._add(Breach.DOUBLE, nudged.for_day, nudged.kind)
        self._keys.add(key)
        self._note(sent.paused(book, nudged, day))
        if offers and isinstance(book.standing, Training | Walking):
            self._note(sent.offered(Record(book, today), offers))
        for offer in offers:
            if offer.is_run and (offer.day < self._wait_until or self._ill_since is not None):
                self._add(Breach.TOO_SOON, offer.day, f"offered by {nudged.kind}")
            if offer.is_run and offer.day == self._hot:
                self._add(Breach.HEAT, offer.day, f"offered by {nudged.kind}")
        if nudged.kind in sent.UNCOUNTED:
            return
        # A date is that of where the runner is now: flown west, the same one may last for two days.
        if sent.too_many([(when, book.local(when).date()) for when in self._sent], at, day):
            self._add(Breach.CROWDED, day, nudged.kind)
        self._sent = [*(when for when in self._sent if at - when < timedelta(days=7)), at]

    @property
    def in_seven_days(self) -> int:
        """Nudges sent in the seven days up to the last one."""
        return len(self._sent)

    def _remember(self, after: Book, today: date, text: str, told: Meant) -> None:
        ill = isinstance(after.standing, Ill)
        if told in ILLNESSES:
            plain = says_illness_plainly(text)
            if plain and not isinstance(after.standing, Ill | OnHold | Joining):
                self._add(Breach.NO_PAUSE, today, f'"{text}"')
            if plain:
                self._ill_since = self._ill_since or today
            if plain or ill:
                days = rule.STOMACH_DAYS if told is Meant.STOMACH else rule.FEVER_DAYS
                self._wait_until = max(self._wait_until, today + DAY * days)
        elif told is Meant.WELL:
            self._ill_since = None
        elif told is Meant.HEAT:
            self._hot = today

    def _look(self, book: Book, at: datetime, *, moved: bool) -> None:
        """Looks at the plan, once for each plan, week and standing; gap days only where a line moved something."""
        today = book.today(at)
        self._note(pauses.planned(book, today))
        if not isinstance(book.standing, Training | Walking) or not book.weeks:
            return
        seen = (book.plan, book.log, book.weeks[-1], book.limits, book.walk_run)
        if seen == self._plan:
            return
        self._plan = seen
        self.looked += 1
        self._soon(book, today)
        record = Record(book, today)
        newest = book.weeks[-1]
        if newest != self._week and newest.start >= week_start(today):
            begun = any(newest.holds(entry.day) for entry in book.log)
            self._note(weeks.laid(record, newest, begun=begun))
            self._week = newest
        step = book.walk_run.step if book.walk_run is not None else 0
        if step > self._step:
            self._note(loads.step_too_early(record))
        self._step = step
        first = self._first(record, today)
        if first is None:
            return
        shut = first == today and _closed(book, at)
        self._note(loads.broken(record, first, shut=shut))
        sore = any(note.day == today and note.level == "rest" for note in book.symptoms)
        # Before the first run nothing is known of the days before; on the day of a complaint nothing is moved nearer.
        if moved and book.log and not sore and isinstance(book.standing, Training):
            self._note(gaps.needless(record, first, shut=shut))

    def _soon(self, book: Book, today: date) -> None:
        """Runs planned on days that an illness or heat has closed."""
        for session in book.plan:
            if session.day < today or session.kind is SessionKind.WALK:
                continue
            if session.day < self._wait_until or self._ill_since is not None:
                self._add(Breach.TOO_SOON, session.day, "planned")
            if session.day == self._hot and _runs_on(book, session.day):
                self._add(Breach.HEAT, session.day, "planned")

    def _first(self, record: Record, today: date) -> date | None:
        """The first day that may still change: tomorrow where today's run is done."""
        if record.book.weeks[0].start > today:
            return record.book.weeks[0].start
        done = record.active if isinstance(record.book.standing, Walking) else record.done
        first = today + DAY if done.get(today, 0) >= rule.RUN_FROM else today
        week = record.book.week_of(today)
        return first if week is not None and first <= week.end else None

    def _note(self, findings: Iterable[Finding]) -> None:
        for finding in findings:
            self._add(finding.breach, finding.day, finding.detail)

    def _add(self, breach: Breach, day: date, detail: str) -> None:
        if (breach, day) not in self._known:
            self._known.add((breach, day))
            self.found.append(Finding(breach, day, detail))


def _runs_on(book: Book, day: date) -> bool:
    """Whether the session of `day` still stands: its day is open and it was not run."""
    limit = book.limit_on(day)
    return not any(entry.day == day for entry in book.log) and (limit is None or limit.minutes > 0)


def _closed(book: Book, at: datetime) -> bool:
    """Whether it is too late for a run: from 20:00, or 90 min before quiet hours that begin in the evening."""
    profile, wall = book.profile, book.local(at)
    if wall.time() < profile.day_turn:
        return True
    closes = TODAY_CLOSES
    if profile.quiet_to < profile.quiet_from or profile.quiet_to >= TODAY_CLOSES:
        quiet = datetime.combine(wall.date(), profile.quiet_from) - BEFORE_QUIET
        closes = min(closes, quiet.time()) if quiet.date() == wall.date() else time(0)
    return wall.time() >= closes


def _gone(before: Book, after: Book, today: date) -> Iterable[Finding]:
    """Sessions of this week that a run on the way back took away; the next one stays."""
    week = before.week_of(today)
    if week is None or not Record(before, today).is_coming_back(today):
        return ()
    session = before.session_on(today)
    ran = sum(e.minutes for e in after.log if e.day == today and e.is_run)
    if session is None or ran <= session.minutes or len(after.log) <= len(before.log):
        return ()
    left = [s for s in before.plan if s.day > today and week.holds(s.day)]
    now = [s for s in after.plan if s.day > today and week.holds(s.day)]
    return (Finding(Breach.SESSION_GONE, today, f"{len(left)} to {len(now)}"),) if len(now) < len(left) else ()


def _grown(before: Book, after: Book, today: date) -> Iterable[Finding]:
    """A week already laid out that holds more now, though nothing was said."""
    week = after.weeks[-1] if after.weeks else None
    known = next((each for each in before.weeks if week is not None and each.start == week.start), None)
    if week is None or known is None or not isinstance(before.standing, Training):
        return ()
    # The ladder begins with walks: one that becomes its next step, and is no longer for it, is no growth.
    walks = {s.day: s.minutes for s in before.plan if before.walk_run is not None and s.kind is SessionKind.WALK}
    were, are = _runs_left(before, week, today, {}), _runs_left(after, week, today, walks)
    done = Record(after, today).week_done(week.start)
    # A session that was missed may be laid on a later day; more than the week was to hold may not.
    grown = are > were and are > known.target - done
    return (Finding(Breach.SILENCE, week.start, f"{were} to {are} min"),) if grown else ()


def _runs_left(book: Book, week: Week, today: date, walks: Mapping[date, int]) -> int:
    """Minutes of the runs left in a week, without those that take the place of a walk of `walks` as long."""
    runs = [s for s in book.plan if s.day >= today and week.holds(s.day) and s.kind is not SessionKind.WALK]
    return sum(s.minutes for s in runs if s.minutes > walks.get(s.day, 0))
