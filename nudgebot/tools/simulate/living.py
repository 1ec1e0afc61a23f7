"""The weeks of one invented runner: what is done and said about each day, with the bot and with weeks left alone."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from nudgebot.domain.model.logbook import active_days, counted_minutes
from nudgebot.domain.model.runner import Book, Ill, OnHold, Walking, at_wall
from nudgebot.domain.model.week import Session, SessionKind
from nudgebot.domain.planning import dose, limits
from nudgebot.domain.planning.replan_input import is_coming_back
from nudgebot.tools.simulate.conversation import Chat, LeftAlone
from nudgebot.tools.simulate.judging import DAY
from nudgebot.tools.simulate.lives import DESTINATIONS, Day, Event, Life, Person
from nudgebot.tools.simulate.tally import Tally

SETTLED_FROM = 12  # weeks; from then on most are at their dose
SHORTEST, LONGEST = 20, 600  # min
STRETCHED = 15  # min; how far a stretched session may lift a week over its dose
FEVERS = ("fever 38.5 since last night", "fever, staying in bed")
COLDS = ("bad cold, staying in bed", "stomach bug, nothing today")
SIGNS = ("shin hurts at night and when I press the bone", "chest tightness on the hill", "calf pain, had to limp home")
SPOTS = ("left knee", "right knee", "hip", "foot", "hamstring", "back of my knee")
CALLED_OFF = ("can't today", "no run today", "not today")
WELL_AGAIN = "better"


def lived(person: Person, weeks: int, tally: Tally) -> int:
    """Minutes that the runner does in `weeks` weeks with the bot; everything on the way is counted in `tally`.

    The same days without replanning come to `tally.without`.
    """
    chat = Chat(person.name, person.joined, tally)
    for line in person.intake:
        chat.says(line)
    alone = LeftAlone(chat)
    first, begun = chat.book.weeks[0].start, chat.today
    count = (first - begun).days + 7 * weeks
    days, days_alone = _Days(chat, person), _Days(alone, person)
    for number in range(count):
        days.live(begun + number * DAY, person.days[number])
        days_alone.live(begun + number * DAY, person.days[number])
    _counted_weeks(chat.book, first, weeks, tally)
    _counted_gaps(chat.book, days.planned, tally)
    tally.without += sum(counted_minutes(alone.book.log, first + 7 * n * DAY) for n in range(weeks))
    return tally.minutes


class _Days:
    """What the runner does day by day; `planned` says whether a run stood in the plan, None while paused."""

    def __init__(self, chat: Chat, person: Person) -> None:
        self.chat = chat
        self.person = person
        self.planned: dict[date, bool | None] = {}
        self.busy_until = self.silent_until = date.min
        self.off_until: date | None = None  # ill, on hold, or walking first
        self.abroad_until: date | None = None

    def live(self, day: date, brings: Day) -> None:
        """One day of the runner's calendar, from before the run to after it."""
        chat, much = self.chat, brings.much
        noons = (datetime.combine(each, time(12), chat.book.profile.tz) for each in (day - DAY, day))
        chat.tally.changes += next(noons).utcoffset() != next(noons).utcoffset()
        chat.wait(self._run_at(day) - timedelta(minutes=40))
        session = chat.morning()
        paused = not chat.to_plan or is_coming_back(chat.book, day)
        self.planned[day] = None if paused else session is not None
        if day < self.silent_until or self._kept_off(day, much):
            return
        if self.abroad_until is not None and day >= self.abroad_until:
            self.abroad_until = None
            self._arrive(self.person.home)
        if day < self.busy_until:
            return
        match brings.event:
            case Event.MISS:
                self._miss(session, much)
            case Event.BUSY:
                last = day + int(much * 4) * DAY
                self.busy_until = last + DAY
                chat.asks("busy today" if last == day else f"busy today until {last:%A}")
            case Event.LITTLE_TIME:
                chat.asks("only have 30 min today")
                self._run(day, much, most=30)
            case Event.ILL:
                self.off_until = day + timedelta(days=2 + int(much * 8))
                lines = (*FEVERS, *COLDS)
                chat.says(lines[int(much * len(lines))])
            case Event.NIGGLE:
                chat.says(f"{SPOTS[int(much * len(SPOTS))]} a bit sore, {1 + int(much * 2)}/10")
                if session is not None and chat.to_plan:
                    chat.asks("shortest" if much < 0.5 else "as planned")
                    self._run(day, much, most=SHORTEST if much < 0.5 else LONGEST)
            case Event.SIGN:
                chat.says(SIGNS[int(much * len(SIGNS))])
            case Event.SILENCE:
                self.silent_until = day + timedelta(days=3 + int(much * 40))
            case Event.TRIP:
                self.abroad_until = day + timedelta(days=2 + int(much * 9))
                self._arrive(DESTINATIONS[int(much * 97) % len(DESTINATIONS)])
            case Event.EXTRA if session is None:
                self._tell_run(day, 20 + 5 * int(much * 8), much, SessionKind.EASY)
            case Event.MORE:
                self._run(day, much, more=10 + 5 * int(much * 8))
            case _:
                self._run(day, much)

    def _kept_off(self, day: date, much: float) -> bool:
        """Whether illness or a hold keeps the runner off; once it is over, that is told."""
        chat = self.chat
        if self.off_until is None:
            if chat.to_plan and not isinstance(chat.book.standing, Walking):
                return False
            self.off_until = day + timedelta(days=5 + int(much * 34))
        if day < self.off_until:
            if chat.to_plan and not isinstance(chat.book.standing, Walking):
                chat.asks("same")
            return not isinstance(chat.book.standing, Walking)
        self.off_until = None
        match chat.book.standing:
            case Ill():
                lines: tuple[str, ...] = (WELL_AGAIN, "no")
            case OnHold() | Walking():
                lines = ("/back", "yes", "my doctor, this week", "cleared")
            case _:
                lines = (WELL_AGAIN,)
        for line in lines:
            chat.says(line)
        return False

    def _miss(self, session: Session | None, much: float) -> None:
        """A session that is not run: told in the morning, put off when asked, or never mentioned."""
        if session is None:
            return
        if much < 0.4:
            self.chat.asks(CALLED_OFF[int(much / 0.4 * len(CALLED_OFF))])
        elif much < 0.6:
            self.chat.wait(self.chat.now + timedelta(hours=3))
            self.chat.asks("tomorrow")

    def _arrive(self, place: tuple[str, str]) -> None:
        """The runner says where they are, and answers what the bot asks about it."""
        for line in (f"I am in {place[0]}", "yes", place[1]):
            self.chat.asks(line)

    def _run(self, day: date, much: float, *, most: int = LONGEST, more: int = 0) -> None:
        """The session of the day as the plan stands now, if there is one."""
        session = self.chat.morning()
        if session is not None and session.day == day:
            self._tell_run(day, min(most, session.minutes) + more, much, session.kind)

    def _tell_run(self, day: date, minutes: int, much: float, kind: SessionKind) -> None:
        """The session is done and told within the hour, by the perfect at once; where the day is over it is not run."""
        late = int(much * (10 if self.person.life is Life.PERFECT else 60))
        self.chat.wait(self._run_at(day) + timedelta(minutes=minutes + late))
        if self.chat.today == day:
            self.chat.ran(minutes, kind, _told(minutes, much, kind))

    def _run_at(self, day: date) -> datetime:
        return at_wall(day, self.chat.book.profile.run_time, self.chat.book.profile)


def _told(minutes: int, much: float, kind: SessionKind) -> str:
    if kind in {SessionKind.WALK, SessionKind.WALK_RUN}:
        return "did it"
    lines = (f"{minutes} min easy", f"ran {minutes}", f"{minutes} easy, 3/10", f"{minutes} min, hr 118")
    return lines[int(much * 1000) % len(lines)]


def _counted_weeks(book: Book, first: date, weeks: int, tally: Tally) -> None:
    low, high = dose.band(book.profile)
    tally.runners += 1
    for number in range(weeks):
        week = book.week_of(first + timedelta(days=7 * number))
        done = counted_minutes(book.log, first + timedelta(days=7 * number))
        within = low <= done <= high + STRETCHED
        tally.weeks += 1
        tally.minutes += done
        tally.on_target += week is None or done * 10 >= week.target * 9
        tally.in_dose += within
        if number >= SETTLED_FROM:
            tally.late_weeks += 1
            tally.late_in_dose += within


def _counted_gaps(book: Book, planned: dict[date, bool | None], tally: Tally) -> None:
    """Days past the two-day rule as lived, by what stood in the plan on the three days."""
    active = active_days(book.log)
    start = limits.first_day(book, max(planned))
    for day in planned:
        three = [day - n * DAY for n in range(3)]
        if three[-1] < start or any(each in active for each in three):
            continue
        stood = [planned.get(each) for each in three]
        if None in stood:
            tally.gaps_paused += 1
        elif any(stood):
            tally.gaps_skipped += 1
        else:
            tally.gaps_closed += 1
