"""The facts of a book that the rules speak of: what was run, when nothing was, and which days do not count."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import takewhile

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.model.runner import Book, Ill, LimitReason, OnHold, Walking
from nudgebot.domain.model.week import Session, SessionKind, WeekKind, week_start
from nudgebot.tools.simulate.judge import published as rule

DAY = timedelta(days=1)
NO_TRAINING = frozenset({Activity.STRENGTH, Activity.MOBILITY})
LADDER = frozenset({SessionKind.WALK, SessionKind.WALK_RUN})
AWAY_OR_ILL = frozenset({LimitReason.AWAY, LimitReason.ILL})


@dataclass(frozen=True, slots=True)
class Gap:
    """`days` days without a run; `back` is the first day after them."""

    back: date
    days: int

    def share_on(self, day: date) -> int:
        """Percent of the old sessions that a return after this gap allows on `day`; 100 outside it."""
        since = (day - self.back).days
        if not rule.RETURN_FROM <= self.days <= rule.RETURN_TO or not 0 <= since < self.days:
            return 100
        return 50 if since < (self.days + 1) // 2 else 75


class Record:
    """One book, asked again and again about the same things."""

    def __init__(self, book: Book, today: date) -> None:
        self.book = book
        self.today = today
        self.ran: dict[date, int] = {}  # min run a day
        self.done: dict[date, int] = {}  # min that count toward the dose
        self.active: dict[date, int] = {}  # min of anything that ends a gap
        for entry in book.log:
            if entry.activity in NO_TRAINING:
                continue
            self.active[entry.day] = self.active.get(entry.day, 0) + entry.minutes
            if entry.activity is Activity.RUN:
                self.ran[entry.day] = self.ran.get(entry.day, 0) + entry.minutes
            if entry.activity is Activity.RUN or entry.in_place_of_run:
                self.done[entry.day] = self.done.get(entry.day, 0) + entry.minutes
        walks = book.walk_run is not None or isinstance(book.standing, Walking)
        climbed = self._climbed()
        sessions = self.done if walks else {d: self.done[d] if d in climbed else self.ran.get(d, 0) for d in self.done}
        self.run_days = sorted(day for day, minutes in sessions.items() if minutes >= rule.RUN_FROM)
        first = book.weeks[0] if book.weeks else None
        self.begun = min((s.day for s in first.sessions), default=first.start) if first else date.max
        self._gaps: dict[date, tuple[Gap, ...]] = {}
        self._counted: dict[date, int] = {}

    def _climbed(self) -> set[date]:
        """Days for a walk before a session that mixed running in: the first step of the ladder is training.

        Walks until a clinician's word are none of it, nor those after an illness, which lead to ordinary runs.
        """
        laid = [each for week in self.book.weeks if week.kind is not WeekKind.WALKING for each in week.sessions]
        mixed = [each.day for each in laid if each.kind is SessionKind.WALK_RUN]
        weeks = [week for week in self.book.weeks if week.kind is WeekKind.WALK_RUN]
        days = {each.day for each in laid if each.kind is SessionKind.WALK}
        days |= {week.start + DAY * n for week in weeks for n in range(7)}  # a walk may have changed its day
        return {day for day in days if mixed and day < max(mixed)}

    def _by_coach(self, answer: str, rule_of_all: int) -> int:
        """A coach's number where one is set, else the rule for all; never the profile's, which may be wrong."""
        set_by_coach: int | None = getattr(self.book.intake, answer)
        return rule_of_all if set_by_coach is None else set_by_coach

    @property
    def step_percent(self) -> int:
        """The weekly step (%)."""
        return self._by_coach("coach_step", rule.STEP_PERCENT)

    @property
    def window_percent(self) -> int:
        """The seven-day cap (% of the mean week)."""
        return self._by_coach("coach_window", rule.WINDOW_PERCENT)

    def week_done(self, start: date) -> int:
        """Minutes of a week that count toward the dose."""
        return sum(self.done.get(start + DAY * n, 0) for n in range(7))

    def session_cap(self, day: date) -> int:
        """The single-session cap (min) of the week of `day`; a run over its own day's cap counts as that cap."""
        counted: list[tuple[date, int]] = [(self.begun - DAY, self.book.profile.longest)]
        caps: dict[date, int] = {}

        def cap_of(monday: date) -> int:
            if monday not in caps:
                reach = monday - DAY * rule.LONGEST_REACH
                near = takewhile(lambda run: run[0] >= reach, reversed(counted))  # the log is in order of days
                longest = max((minutes for on, minutes in near if on < monday), default=0)
                # What was told counts from the day before the first session, which may lie in this very week.
                told = counted[0][1] if counted[0][0] >= reach else 0
                caps[monday] = rule.session_cap(max(longest, told))
                if most := self._by_coach("coach_session", 0):
                    caps[monday] = max(rule.SHORTEST, min(caps[monday], most))
            return caps[monday]

        for entry in self.book.log:
            if entry.activity is Activity.RUN and entry.day < day:
                cap = cap_of(week_start(entry.day))
                counted.append((entry.day, min(entry.minutes, cap)))
        return rule.floored(cap_of(week_start(day)))

    def usual_gap(self) -> int:
        """Most days between two open ones of the repeating week; who opens two days only has no break by that."""
        opened = [n for n, minutes in enumerate(self.book.profile.open_minutes) if minutes >= rule.SHORTEST]
        if not opened:
            return 0
        after = [*opened[1:], opened[0] + 7]
        return max(then - now - 1 for now, then in zip(opened, after, strict=True))

    def gaps(self, today: date) -> tuple[Gap, ...]:
        """Days without a run that ask for a return or a restart, oldest first; an open one ends `today`."""
        if today not in self._gaps:
            self._gaps[today] = tuple(self._gaps_until(today))
        return self._gaps[today]

    def _gaps_until(self, today: date) -> Iterator[Gap]:
        least = max(rule.RETURN_FROM, self.usual_gap() + 1)
        last = self.begun - DAY
        for day in (*(d for d in self.run_days if last < d < today), today):
            if (day - last).days - 1 >= least:
                yield Gap(day, (day - last).days - 1)
            last = day

    def not_counted(self, until: date) -> set[date]:
        """Days before `until` away, ill, on hold, in a break, or in the return after it."""
        off = {limit.day for limit in self.book.limits if limit.reason in AWAY_OR_ILL and not limit.minutes}
        for pause in self.book.pauses:
            off |= {pause.first + DAY * n for n in range((pause.last - pause.first).days + 1)}
        standing = self.book.standing
        if isinstance(standing, OnHold | Ill):
            since = self.book.local(standing.since).date() if isinstance(standing, OnHold) else standing.since
            off |= {since + DAY * n for n in range(max(0, (until - since).days))}
        for gap in self.gaps(until):
            # After more than four weeks there is no return, and the ladder is training.
            returns = gap.days if gap.days <= rule.RETURN_TO else 0
            off |= {gap.back + DAY * n for n in range(-gap.days, returns)}
        return off

    def mean_week(self, start: date) -> float:
        """Mean minutes run a week over the 28 counted days before `start`; what is missing, by the intake's figure.

        After a break of more than four weeks it does not reach back beyond it where that gives more.
        """
        off = self.not_counted(start)
        long_ago = max((gap.back for gap in self.gaps(start) if gap.days > rule.RETURN_TO), default=self.begun)
        return max(self._mean(start, self.begun, off), self._mean(start, long_ago, off))

    def _mean(self, start: date, first: date, off: set[date]) -> float:
        total = counted = 0
        day = start - DAY
        while counted < rule.MEAN_OF and day >= first:
            if day not in off:
                total += self.counted_on(day) if self.ran.get(day) else 0
                counted += 1
            day -= DAY
        return (total + (rule.MEAN_OF - counted) * self.book.profile.weekly / 7) * 7 / rule.MEAN_OF

    def counted_on(self, day: date) -> int:
        """Minutes run on `day` as they count for what follows: on the way back at most what was planned."""
        if day not in self._counted:
            self._counted[day] = self._counted_on(day)
        return self._counted[day]

    def _counted_on(self, day: date) -> int:
        ran, planned = self.ran.get(day, 0), self._laid_on(day)
        if planned is None and self.share_on(day) < 100:
            planned = self._missed_before(day)
        if planned is None:
            return ran
        on_the_way_back = planned.kind in LADDER or self.is_coming_back(day)
        return min(ran, planned.minutes) if on_the_way_back else ran

    def _laid_on(self, day: date) -> Session | None:
        week = self.book.week_of(day)
        laid = next((s for s in week.sessions if s.day == day), None) if week is not None else None
        return self.book.session_on(day) or laid

    def _missed_before(self, day: date) -> Session | None:
        """The session of a return, missed earlier in its week, that a run on `day`, where none stood, made up for."""
        week = self.book.week_of(day)
        if week is None or week.kind is not WeekKind.RETURN:
            return None
        days = [week.start + DAY * n for n in range((day - week.start).days)]
        missed = [s for d in days if (s := self._laid_on(d)) and not self.ran.get(d)]
        instead = [d for d in days if self.ran.get(d) and self._laid_on(d) is None and self._missed_before(d)]
        return missed[len(instead)] if len(instead) < len(missed) else None

    def room(self, day: date) -> int:
        """The most minutes of the runner's time on `day`: the newest word on it, else the weekday's."""
        limit, usual = self.book.limit_on(day), self.book.profile.open_minutes[day.weekday()]
        if limit is None:
            return usual
        return min(limit.minutes, usual) if limit.reason is LimitReason.FLIGHT else limit.minutes

    def run_days_in_a_row(self, day: date) -> int:
        """The most run days in a row that the rules allow around `day`; who walks until cleared is in no return."""
        if self.is_coming_back(day) and not isinstance(self.book.standing, Walking):
            return 1
        return self._by_coach("coach_run_days", rule.RUN_DAYS)

    def is_coming_back(self, day: date) -> bool:
        """Whether `day` lies in a return, or the runner is on walk-run."""
        return self.book.walk_run is not None or self.share_on(day) < 100

    def share_on(self, day: date) -> int:
        """Percent of the old sessions that a return allows on `day`, as the log stands."""
        gaps = self.gaps(min(day, self.today))
        return gaps[-1].share_on(day) if gaps else 100
