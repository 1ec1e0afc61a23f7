"""The weeks of one invented runner: what is done and said about each day, with the bot and with weeks left alone."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from nudgebot.domain.model.logbook import counted_minutes
from nudgebot.domain.model.runner import Ill, OnHold, Walking, at_wall
from nudgebot.domain.model.week import Session, SessionKind
from nudgebot.domain.planning.replan_input import is_coming_back
from nudgebot.tools.simulate.conversation import DAY, Chat, LeftAlone
from nudgebot.tools.simulate.judge.findings import Meant
from nudgebot.tools.simulate.lives import DESTINATIONS, Day, Event, Life, Person, Voice
from nudgebot.tools.simulate.tally import Tally

SHORTEST, LONGEST = 20, 600  # min
ILLNESSES = (Meant.FEVER, Meant.FEVER, Meant.ILL, Meant.STOMACH, Meant.COLD)
COMPLAINTS = (Meant.CLINICIAN, Meant.URGENT, Meant.EMERGENCY)
SPOTS = ("left knee", "right knee", "hip", "foot", "hamstring", "back of my knee")
WELL_AGAIN = "better"


def live(person: Person, weeks: int, tally: Tally, *, twice: bool = True) -> int:
    """Minutes that the runner does in `weeks` weeks with the bot; everything on the way is counted in `tally`.

    The same days without replanning come to `tally.without`, where they are lived `twice`.
    """
    chat = Chat(person.name, person.joined, tally)
    for line in person.intake:
        chat.says(line)
    alone = LeftAlone(chat)
    first, begun = chat.book.weeks[0].start, chat.today
    count = (first - begun).days + 7 * weeks
    days, days_alone = LivedDays(chat, person), LivedDays(alone, person)
    for number in range(count):
        days.live(begun + number * DAY, person.days[number])
        if twice:
            days_alone.live(begun + number * DAY, person.days[number])
    for finding in chat.judge.found:
        tally.breached(person.name, finding)
    tally.plans += chat.judge.looked
    tally.count_weeks(chat.book, first, weeks)
    tally.count_gaps(chat.book, days.planned)
    tally.without += sum(counted_minutes(alone.book.log, first + 7 * n * DAY) for n in range(weeks))
    return tally.minutes


class LivedDays:
    """What the runner does day by day; `planned` says whether a run stood in the plan, None while paused."""

    def __init__(self, chat: Chat, person: Person) -> None:
        self.chat = chat
        self.person = person
        self.voice = Voice(person.language, person.name)
        self.planned: dict[date, bool | None] = {}
        self.busy_until = self.silent_until = date.min
        self.off_until: date | None = None  # ill, on hold, or walking first
        self.abroad_until: date | None = None
        self.misread = False  # on hold by a misreading that was not taken back on its day
        self.long_first = False  # the first run after a break is longer than planned

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
        if day >= self.busy_until:
            self._meets(day, brings, session)

    def _meets(self, day: date, brings: Day, session: Session | None) -> None:
        chat, voice, much = self.chat, self.voice, brings.much
        match brings.event:
            case Event.MISS:
                self._miss(session, much)
            case Event.BUSY:
                self._busy(day, much)
            case Event.LITTLE_TIME:
                chat.asks("only have 30 min today", Meant.BUSY)
                self._run(day, much, most=30)
            case Event.ILL:
                self._ill(day, much)
            case Event.NIGGLE:
                self._niggle(day, session, much)
            case Event.SIGN:
                self._sign(day, much)
            case Event.SILENCE | Event.TRIP | Event.AWAY | Event.BREAK:
                self._goes_off(day, brings.event, much)
            case Event.HEAT:
                chat.says(voice.plain(Meant.HEAT), Meant.HEAT)
            case Event.EXTRA if session is None:
                self._tell_run(day, 20 + 5 * int(much * 8), much, SessionKind.EASY)
            case Event.MORE:
                self._run(day, much, more=10 + 5 * int(much * 8))
            case Event.UNTOLD:
                return
            case Event.TALK:
                told = Meant.CHAT if much < 0.5 else Meant.QUESTION
                self._own_words(told)
                self._run(day, much)
            case _:
                self._run(day, much)

    def _goes_off(self, day: date, event: Event, much: float) -> None:
        """Days without runs, or elsewhere, begin."""
        match event:
            case Event.TRIP:
                self.abroad_until = day + timedelta(days=2 + int(much * 9))
                self._arrive(DESTINATIONS[int(much * 97) % len(DESTINATIONS)])
            case Event.AWAY:
                self.busy_until = day + timedelta(days=4 + int(much * 18))
                self.chat.asks(f"away until {self.busy_until - DAY:%-d %B}", Meant.AWAY)
            case Event.BREAK:
                self.silent_until = day + timedelta(days=6 + int(much * 36))
                self.long_first = True
            case _:
                self.silent_until = day + timedelta(days=3 + int(much * 40))

    def _kept_off(self, day: date, much: float) -> bool:
        """Whether illness or a hold keeps the runner off; once it is over, that is told."""
        chat = self.chat
        if self.misread:
            self._refuse()
            return self.misread
        if self.off_until is None:
            if chat.to_plan and not isinstance(chat.book.standing, Walking):
                return False
            self.off_until = day + timedelta(days=5 + int(much * 34))
        if day < self.off_until:
            if chat.to_plan and not isinstance(chat.book.standing, Walking):
                chat.asks("same")
            elif isinstance(chat.book.standing, Ill) and much < 0.2:
                chat.says(self.voice.plain(Meant.FEVER), Meant.FEVER)
            return not isinstance(chat.book.standing, Walking)
        self.off_until = None
        match chat.book.standing:
            case Ill():
                self._say(WELL_AGAIN)
                chat.says("no", Meant.WELL)
            case OnHold() | Walking():
                self._say("/back", "yes", "my doctor, this week", "cleared")
            case _:
                chat.says(WELL_AGAIN, Meant.WELL)
                if chat.asks_what == "ill back":
                    chat.says("no", Meant.WELL)
        return False

    def _say(self, *lines: str) -> None:
        for line in lines:
            self.chat.says(line)

    def _miss(self, session: Session | None, much: float) -> None:
        """A session that is not run: told in the morning, put off when asked, or never mentioned."""
        if session is None:
            return
        if much < 0.4:
            self.chat.asks(self.voice.mixed(Meant.SKIP), Meant.SKIP)
        elif much < 0.6:
            self.chat.wait(self.chat.now + timedelta(hours=3))
            self.chat.asks("tomorrow")

    def _busy(self, day: date, much: float) -> None:
        if much < 0.3:
            self.chat.asks(self.voice.own(Meant.BUSY), Meant.BUSY)
            return
        last = day + int(much * 4) * DAY
        self.busy_until = last + DAY
        self.chat.asks("busy today" if last == day else f"busy today until {last:%A}", Meant.BUSY)

    def _ill(self, day: date, much: float) -> None:
        """An illness, in own words or plain ones; own words that open no pause are said again in plain ones."""
        told = ILLNESSES[int(much * 97) % len(ILLNESSES)]
        self.off_until = day + timedelta(days=2 + int(much * 8))
        if self.voice.chance(0.6):
            text = self.voice.own(told)
            self.chat.says(text, told)
            if told is Meant.COLD:
                return
            self._count(told, self.chat.heard_as)
            if isinstance(self.chat.book.standing, Ill | OnHold):
                return
            self._refuse()
        self.chat.says(self.voice.plain(told), told)

    def _niggle(self, day: date, session: Session | None, much: float) -> None:
        if self.voice.chance(0.4):
            self._own_words(Meant.NIGGLE)
        else:
            self.chat.says(f"{SPOTS[int(much * len(SPOTS))]} a bit sore, {1 + int(much * 2)}/10", Meant.NIGGLE)
        if session is not None and self.chat.to_plan:
            self.chat.asks("shortest" if much < 0.5 else "as planned")
            self._run(day, much, most=SHORTEST if much < 0.5 else LONGEST)

    def _sign(self, day: date, much: float) -> None:
        """A warning sign in own words, and plainly where those were read as less; some try to run on at once."""
        told = COMPLAINTS[int(much * 97) % len(COMPLAINTS)]
        if self.voice.chance(0.6):
            self.chat.says(self.voice.own(told), told)
            if self.chat.asks_what == "sign":
                self.chat.says("yes", told)
            self._count(told, self.chat.heard_as)
        if not isinstance(self.chat.book.standing, OnHold):
            self._refuse()
            self.chat.says(self.voice.plain(told), told)
        self.off_until = day + timedelta(days=3 + int(much * 30))
        if much < 0.3:
            who = ("me", "my wife, she is a vet", "google", "my doctor, just now")[int(much * 13) % 4]
            self._say("/back", "yes", who, "cleared")
        elif much < 0.4:
            self._say("only joking", "yes", "yes")

    def _own_words(self, told: Meant) -> None:
        """A line of own words that is no run, counted by what it was read as; a hold of it is withdrawn."""
        known = len(self.chat.book.log)
        self.chat.says(self.voice.own(told), told)
        self._count(told, "a run taken back" if len(self.chat.book.log) < known else self.chat.heard_as)
        self._refuse()

    def _refuse(self) -> None:
        """What somebody says whose line was taken for a sign that it was not, or asked about; again the next day."""
        if self.chat.asks_what == "sign":
            self.chat.says("no")
        if isinstance(self.chat.book.standing, OnHold):
            self._say("that was not about me", "yes", "yes")
        self.misread = isinstance(self.chat.book.standing, OnHold)

    def _count(self, told: Meant, read: str) -> None:
        self.chat.tally.read[f"{told}: {read}"] += 1

    def _arrive(self, place: tuple[str, str]) -> None:
        """The runner says where they are, and answers what the bot asks about it."""
        for line in (f"I am in {place[0]}", "yes", place[1]):
            self.chat.asks(line)

    def _run(self, day: date, much: float, *, most: int = LONGEST, more: int = 0) -> None:
        """The session of the day as the plan stands now, if there is one."""
        session = self.chat.morning()
        if session is not None and session.day == day:
            more += 15 if self.long_first else 0
            self.long_first = False
            self._tell_run(day, min(most, session.minutes) + more, much, session.kind)

    def _tell_run(self, day: date, minutes: int, much: float, kind: SessionKind) -> None:
        """The session is done and told within the hour, by the perfect at once; where the day is over it is not run."""
        late = int(much * (10 if self.person.life is Life.PERFECT else 60))
        self.chat.wait(self._run_at(day) + timedelta(minutes=minutes + late))
        if self.chat.today != day:
            return
        if kind in {SessionKind.WALK, SessionKind.WALK_RUN}:
            self.chat.ran(minutes, kind, f"did it, {minutes} min" if self.long_first else "did it")
        elif self.person.life is not Life.PERFECT and self.voice.chance(0.5):
            self._tell_in_own_words(minutes, kind)
        else:
            self.chat.ran(minutes, kind, self.voice.plain(Meant.RUN, minutes))

    def _tell_in_own_words(self, minutes: int, kind: SessionKind) -> None:
        """A run told in own words; where it was not counted as it was, it is put right in plain ones."""
        chat = self.chat
        text = self.voice.own(Meant.RUN, minutes)
        before = counted_minutes(chat.book.log, chat.today, 1)
        chat.ran(minutes, kind, text)
        counted = counted_minutes(chat.book.log, chat.today, 1) - before
        held = isinstance(chat.book.standing, OnHold)
        if counted == minutes and not held:
            self._count(Meant.RUN, "as it was")
            return
        read = "a hold" if held else f"{'other' if counted else 'no'} minutes" if counted != minutes else "as it was"
        self._count(Meant.RUN, f"{read}, and asked" if self.chat.asks_what and not held else read)
        if self.chat.asks_what == "minutes":
            chat.says(f"{minutes}", Meant.RUN)
        self._refuse()
        counted = counted_minutes(chat.book.log, chat.today, 1) - before
        if counted and counted != minutes:
            chat.says("undo")
            counted = 0
        if not counted and not isinstance(chat.book.standing, OnHold):
            chat.ran(minutes, kind, f"ran {minutes} min easy")

    def _run_at(self, day: date) -> datetime:
        return at_wall(day, self.chat.book.profile.run_time, self.chat.book.profile)
