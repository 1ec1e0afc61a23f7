"""The runner and everything a decision needs to know of them, in one value: the book."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from functools import lru_cache
from zoneinfo import ZoneInfo

from nudgebot.domain.model.event import closes
from nudgebot.domain.model.intake import NOTHING_TOLD, Goal, Intake, OpenDays
from nudgebot.domain.model.journal import Change
from nudgebot.domain.model.logbook import LogEntry, Recording
from nudgebot.domain.model.nudged import Nudged, Snooze
from nudgebot.domain.model.parameters import RUN_DAYS, WEEK_STEP, WINDOW_GROWTH
from nudgebot.domain.model.questions import Ask, Asked, Clearing, PressedReading, SafetyQuestion
from nudgebot.domain.model.week import Return, Session, WalkRun, Week


# One line asks for each of these some twenty times.
@lru_cache(maxsize=64)
def _wall(now: datetime, zone: str) -> datetime:
    """`now` on the clock of a zone."""
    return now.astimezone(ZoneInfo(zone))


@lru_cache(maxsize=64)
def _day(now: datetime, zone: str, turn: time) -> date:
    """The day at `now` on the clock of a zone, where days begin at `turn`."""
    wall = _wall(now, zone)
    return wall.date() - timedelta(days=1) if wall.time() < turn else wall.date()


@lru_cache(maxsize=4096)
def _instant(day: date, wall: time, fold: int, zone: str) -> datetime:
    """The instant (UTC) of a wall time; `fold` is its own, which two equal times may differ in."""
    return datetime.combine(day, wall.replace(fold=fold), ZoneInfo(zone)).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class Profile:
    """What the runner told us, as settings. Minutes a week unless said otherwise; weekdays 0 = Monday.

    `open_minutes` is the most the runner can do on each weekday (Monday first), 0 closes it.
    `country` is ISO 3166-1 alpha-2, "" while unknown. `day_turn` is when the runner's day begins.
    """

    goal: Goal = Goal.HEALTH
    custom_minutes: int = 0
    weekly: int = 0
    longest: int = 0
    commute: str = ""  # "" or the activity of a habitual commute
    commute_minutes: int = 0
    open_minutes: OpenDays = (0, 0, 0, 0, 0, 0, 0)
    long_day: int = 6
    zone: str = "UTC"
    run_time: time = time(18)
    remind_at: time = time(7)
    quiet_from: time = time(21, 30)
    quiet_to: time = time(6, 30)
    country: str = ""
    birth_year: int | None = None
    active: bool = True
    disease: bool = False
    signs: bool = False
    doctor_unaware: bool = False  # high blood pressure, and the doctor does not know of the running
    pregnancy: bool = False
    medicine: bool = False
    resting_hr: int | None = None
    max_hr: int | None = None
    day_turn: time = time(3)
    # % a week, 0-15; with the usual 10 and more the least step is 10 min
    coach_step: int = field(default_factory=lambda: WEEK_STEP.value)
    coach_window: int = field(default_factory=lambda: WINDOW_GROWTH.value)  # % of the mean week in seven days, 100-150
    coach_run_days: int = field(default_factory=lambda: RUN_DAYS.value)  # run days in a row, 1-3, or 6 for six sessions
    coach_session: int = 0  # min, a single-session cap under the rule's; 0 sets none

    @property
    def tz(self) -> ZoneInfo:
        """The runner's IANA zone."""
        return ZoneInfo(self.zone)


@dataclass(frozen=True, slots=True)
class Joining:
    """The intake is not finished; `Book.intake` says how far it came."""


@dataclass(frozen=True, slots=True)
class Training:
    """Running to plan."""


@dataclass(frozen=True, slots=True)
class Walking:
    """The screening asks for a clinician first: walks are the sessions, running waits for the runner's word."""

    since: datetime
    why: str  # "screening" or "pregnancy"
    clearing: Clearing | None = None


@dataclass(frozen=True, slots=True)
class Ill:
    """An illness with fever or below the neck: nothing is planned; how long after it says planning/illness_wait.py.

    `since` is the day it was first told. `last_fever` and `last_upset` (vomiting or diarrhoea) are the last days on
    which those were told, `last_ill` the last on which anything of it was. `deep`: below the neck.
    """

    since: date
    last_fever: date | None = None
    last_upset: date | None = None
    last_ill: date | None = None
    covid: bool = False
    deep: bool = False


@dataclass(frozen=True, slots=True)
class OnHold:
    """A warning sign stopped the running; only the runner's word that a clinician cleared it ends this.

    `level` and `sign` are triage's, `said` the sentence that caused it (shown to nobody but the runner).
    `asked_yes` is set where the runner answered yes to the sign: then there is no misreading to undo.
    `number` is the number, in the words of triage, where nothing but it carried the level ("pulse 35"), else "".
    `beneath` is an illness that waits until the hold has ended.
    """

    since: datetime
    level: str
    sign: str
    said: str
    asked_yes: bool = False
    clearing: Clearing | None = None
    number: str = ""
    beneath: Ill | None = None


Standing = Joining | Training | Walking | Ill | OnHold


class LimitReason(StrEnum):
    """Why a day holds less than the weekly pattern allows."""

    BUSY = "busy"
    AWAY = "away"
    ILL = "ill"
    PAIN = "pain"
    SKIP = "skip"  # called off by the runner
    REST = "rest"  # a rest the bot put there after a big jump, or the runner chose
    LET_GO = "let go"  # "not this week": called off, and not to be made up
    WEATHER = "weather"  # heat, cold or air called off running outside
    EVENT = "event"  # the eve of an event, its day, and the days of rest after it
    FLIGHT = "flight"  # the arrival day, or a day that the first run after a flight across zones may fall on


@dataclass(frozen=True, slots=True)
class DayLimit:
    """On `day` the runner can do at most `minutes` (0 closes the day); the newest word on a day holds."""

    day: date
    minutes: int
    reason: LimitReason


@dataclass(frozen=True, slots=True)
class SymptomNote:
    """A complaint that was heard: the day, triage's level and sign, the body part named, pain 0-10 if stated."""

    day: date
    level: str
    sign: str
    spot: str = ""
    score: int | None = None
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Pause:
    """Days, the last one among them, on which the runner was on hold or ill; which of the two is not kept."""

    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Runner:
    """Who it is: `voice` ("telegram" or "talk") and `user` name the person, never the chat alone."""

    id: int
    voice: str
    user: str
    name: str
    joined_at: datetime
    last_heard: datetime
    stopped: bool = False  # said "stop": nothing is sent until they write again
    reachable: bool = True  # the platform says that they blocked us when False


@dataclass(frozen=True, slots=True)
class Book:
    """Everything a decision about one runner needs; frozen, change makes a new one.

    Tuples are in date order, oldest first. `plan` holds the sessions as they stand now, this week's and any
    week already laid out after it; `weeks` the weeks begun so far, the current one last; `intake` what
    the runner told in answer to questions; `log`, `limits`, `pauses` and `recordings` reach back 140 days
    at most from when the runner was last heard, `nudges` 67.
    """

    runner: Runner
    profile: Profile = Profile()
    standing: Standing = Joining()
    intake: Intake = NOTHING_TOLD
    log: tuple[LogEntry, ...] = ()
    plan: tuple[Session, ...] = ()
    weeks: tuple[Week, ...] = ()
    limits: tuple[DayLimit, ...] = ()
    returning: Return | None = None
    walk_run: WalkRun | None = None
    asked: Asked | None = None
    safety_question: SafetyQuestion | None = None
    nudges: tuple[Nudged, ...] = ()
    snoozes: tuple[Snooze, ...] = ()
    symptoms: tuple[SymptomNote, ...] = ()
    pauses: tuple[Pause, ...] = ()
    recordings: tuple[Recording, ...] = ()
    readings: tuple[PressedReading, ...] = ()
    half_runs: int = 0  # after an illness of 0-5 days: how many runs are still at half
    teaches: bool = False  # lines whose meaning was pressed may be handed to the host for training
    changes: tuple[Change, ...] = ()  # the last ten that can be taken back

    def local(self, now: datetime) -> datetime:
        """`now` on the runner's wall clock."""
        return _wall(now, self.profile.zone)

    def today(self, now: datetime) -> date:
        """The runner's day at `now`: before the day turns it is still yesterday."""
        return _day(now, self.profile.zone, self.profile.day_turn)

    def limit_on(self, day: date) -> DayLimit | None:
        """The newest word on `day` that still holds, if there is one.

        A day that the weather called off is not opened by a later word on it, only closed for another reason. What a
        flight asks of a day is over once an earlier day of those it spoke about had its run.
        """
        on_day = [limit for limit in self.limits if limit.day == day] if self.limits else ()
        if not on_day:
            return self._by_rule(day)
        limit = on_day[-1]
        if limit.minutes:
            limit = next((each for each in on_day if each.reason is LimitReason.WEATHER), limit)
        if limit.reason is not LimitReason.FLIGHT or not limit.minutes:
            return limit
        landed = (other for other in self.limits if other.reason is limit.reason and other.minutes and other.day < day)
        before = {other.day for other in landed}
        return None if any(entry.is_run and entry.day in before for entry in self.log) else limit

    def _by_rule(self, day: date) -> DayLimit | None:
        """What an event or a rule says of `day` on which nothing else was said: the least of those that hold."""
        if self.intake.event is None and not self.intake.repeats:
            return None
        if closes(self.intake.event, day):
            return DayLimit(day, 0, LimitReason.EVENT)
        least = min((each.minutes for each in self.intake.repeats if each.holds(day)), default=None)
        usual = self.profile.open_minutes[day.weekday()]
        return DayLimit(day, least, LimitReason.BUSY) if least is not None and least < usual else None

    def off_outside(self, day: date) -> bool:
        """Whether the weather called off running outside on `day`, or a question is open that decides it."""
        asked = self.asked
        if asked is not None and asked.what in (Ask.WIND, Ask.HUMIDITY) and asked.day == day:
            return True
        return any(limit.day == day and limit.reason is LimitReason.WEATHER for limit in self.limits)

    def week_of(self, day: date) -> Week | None:
        """The week that holds `day`, if it has been laid out."""
        for week in reversed(self.weeks):
            if week.holds(day):
                return week
        return None

    def session_on(self, day: date) -> Session | None:
        """The session planned on `day`, if there is one."""
        for session in self.plan:
            if session.day == day:
                return session
        return None


def at_wall(day: date, wall: time, profile: Profile) -> datetime:
    """The instant (UTC) of wall time `wall` on calendar date `day` in the runner's zone.

    A wall time that summer time skips falls after the gap, a repeated one is its first occurrence
    (RFC 5545 section 3.3.5; Python's fold=0 gives exactly this).
    """
    return _instant(day, wall, wall.fold, profile.zone)
