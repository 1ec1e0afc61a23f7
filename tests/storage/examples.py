"""Books for the store's tests: one that is full, and hypothesis strategies for any."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any, TypeVar

from hypothesis import strategies as st

from nudgebot.domain.model.intake import (
    Cleared,
    Commute,
    DatedEvent,
    DaysLater,
    Goal,
    GoalTold,
    Intake,
    LearnedHour,
    YesNoSkip,
)
from nudgebot.domain.model.journal import Change
from nudgebot.domain.model.logbook import Activity, LogEntry, Recording
from nudgebot.domain.model.nudged import Nudged, NudgeKind, Outcome, Snooze
from nudgebot.domain.model.questions import Ask, Asked, Clearing, ClearingStep, PressedReading, SafetyQuestion
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    Ill,
    Joining,
    LimitReason,
    OnHold,
    Pause,
    Runner,
    SymptomNote,
    Training,
    Walking,
)
from nudgebot.domain.model.week import Return, Session, SessionKind, WalkRun, Week, WeekKind
from nudgebot.domain.profile import intake, intake_codec

T = TypeVar("T")

NOW = datetime(2027, 3, 11, 18, 5, tzinfo=UTC)
TODAY = NOW.date()
SECRET = "tight chest at the end of the hill"  # a sentence that must not be found after the person is erased


def full_book(runner: Runner) -> Book:
    """A book of `runner` with something in every field, several entries a day and from one message."""
    monday = date(2027, 3, 8)
    sessions = (Session(monday, 30), Session(monday + timedelta(2), 25, SessionKind.WALK), Session(monday, 20))
    answers = {"adult": "yes", "goal": "custom 150", "weekly": "90", "zone": "Europe/Lisbon", "quiet": "22:00-06:00"}
    return Book(
        runner=replace(runner, name="Ana", last_heard=NOW, stopped=True, reachable=False),
        profile=intake.profile(intake_codec.from_rows(answers)),
        standing=OnHold(NOW, "emergency", "chest", SECRET, True, Clearing(ClearingStep.WHO, NOW, "Dr Costa")),
        intake=intake_codec.from_rows(answers),
        log=(
            LogEntry("m1", monday, 30, noted_at=NOW),
            LogEntry("m2", monday, 30, Activity.BIKE, in_place_of_run=True, effort=4, heart_rate=121),
            LogEntry("m2", TODAY, 42, hard=True, cap=45, distance_km=6.1),
            LogEntry("m3", TODAY, 42, hard=True, cap=45, distance_km=6.1),
        ),
        plan=(Session(TODAY, 30), Session(TODAY + timedelta(3), 60, SessionKind.LONG)),
        weeks=(
            Week(monday - timedelta(7), 90, 40, WeekKind.FIRST),
            Week(monday, 100, 45, WeekKind.STEP, sessions, full=110),
        ),
        limits=(
            DayLimit(TODAY, 20, LimitReason.BUSY),
            DayLimit(TODAY, 20, LimitReason.BUSY),
            DayLimit(TODAY, 0, LimitReason.SKIP),
        ),
        returning=Return(TODAY, 10, 90, 40, 100),
        walk_run=WalkRun(3, 1, TODAY),
        asked=Asked(Ask.SECOND_RUN, NOW, "t1", "42 min", TODAY, "42"),
        safety_question=SafetyQuestion(NOW, "s1", SECRET, "de", 2, NOW, NOW),
        nudges=(nudged(NudgeKind.MORNING), nudged(NudgeKind.GAP_WARNING, "evening", answered=True)),
        snoozes=(Snooze("m9", NudgeKind.MORNING, TODAY, NOW + timedelta(minutes=30)),),
        symptoms=(SymptomNote(TODAY, "rest", "niggle", "left calf", 3, NOW), SymptomNote(TODAY, "rest", "cold")),
        pauses=(Pause(TODAY - timedelta(20), TODAY - timedelta(18)),),
        recordings=(Recording("k1", "k2", TODAY, NOW, 2500, 2400, 6000, 40, 131, 60, 2000, 340, 118, 141, "129,,131"),),
        changes=(Change("m3", NOW, '[["half_runs",1,2]]'), Change("m4", NOW, "[]", restores=True)),
        readings=(PressedReading(NOW, "m4", "d1", "log", 31, "31 and a bit"), PressedReading(NOW, "m5", "d2", "skip")),
        half_runs=2,
        teaches=True,
    )


def nudged(kind: NudgeKind, slot: str = "", *, answered: bool = False, at: datetime = NOW) -> Nudged:
    """A nudge about today, sent."""
    return Nudged(kind, TODAY, slot, at, at, Outcome.SENT, "due", at if answered else None)


_days = st.dates(TODAY - timedelta(40), TODAY + timedelta(20))
_instants = st.datetimes(datetime(2027, 2, 1), datetime(2027, 4, 1), timezones=st.just(UTC))  # noqa: DTZ001 - hypothesis adds the zone
_text = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), max_size=12)
_minutes = st.integers(0, 600)


def _some(
    values: st.SearchStrategy[T], *by: str, unique: Any = None, most: int = 6
) -> st.SearchStrategy[tuple[T, ...]]:
    """Tuples in the order of the fields `by`, as the book's docstring says."""
    return st.lists(values, max_size=most, unique_by=unique).map(
        lambda found: tuple(sorted(found, key=lambda value: tuple(getattr(value, name) for name in by)))
    )


_clearings = st.none() | st.builds(Clearing, st.sampled_from(ClearingStep), _instants, _text)
_illnesses = st.builds(
    Ill, _days, st.none() | _days, st.none() | _days, st.none() | _days, st.booleans(), st.booleans()
)
_standings = st.one_of(
    st.just(Joining()),
    st.just(Training()),
    st.builds(Walking, _instants, st.sampled_from(["screening", "pregnancy"]), _clearings),
    _illnesses,
    st.builds(
        OnHold,
        _instants,
        st.sampled_from(["urgent", "clinician"]),
        _text,
        _text,
        st.booleans(),
        _clearings,
        _text,
        st.none() | _illnesses,
    ),
)
_sessions = st.builds(Session, _days, _minutes, st.sampled_from(SessionKind))
_weeks = st.builds(
    Week, _days, _minutes, _minutes, st.sampled_from(WeekKind), st.lists(_sessions, max_size=3).map(tuple), _minutes
)
_entries = st.builds(
    LogEntry,
    _text,
    _days,
    _minutes,
    st.sampled_from(Activity),
    st.booleans(),
    st.none() | st.integers(0, 10),
    st.none() | st.integers(40, 220),
    st.none() | st.floats(0, 100),
    st.booleans(),
    _minutes,
    st.none() | _instants,
)
_nudged = st.builds(
    Nudged,
    st.sampled_from(NudgeKind),
    _days,
    st.sampled_from(["", "morning", "evening"]),
    _instants,
    _instants,
    st.sampled_from(Outcome),
    _text,
    st.none() | _instants,
)
_walls = st.times().map(lambda wall: wall.replace(second=0, microsecond=0))
_answers = st.builds(
    Intake,
    adult=st.none() | st.booleans(),
    medicine=st.none() | st.sampled_from(YesNoSkip),
    goal=st.none() | st.builds(GoalTold, st.sampled_from([Goal.HEALTH, Goal.MAINTAIN])),
    weekly=st.none() | st.integers(0, 1_500),
    commute=st.none() | st.just(Commute()) | st.builds(Commute, st.sampled_from(["bike", "walk"]), st.integers(1, 900)),
    days=st.none() | st.tuples(*[st.integers(0, 600)] * 6, st.integers(1, 600)),
    long_day=st.none() | st.integers(0, 6),
    zone=st.none() | st.sampled_from(["UTC", "Europe/Lisbon"]),
    run_time=st.none() | _walls,
    remind_at=st.none() | st.just(YesNoSkip.SKIP) | _walls,
    learned_hour=st.none() | st.builds(LearnedHour, _days, _walls, _walls),
    birth_year=st.none() | st.just(YesNoSkip.SKIP) | st.integers(1900, 2019),
    event=st.none() | st.builds(DatedEvent, _days, st.sampled_from(["race", "half marathon"])),
    days_later=st.none() | st.builds(DaysLater, _days, st.tuples(*[st.integers(0, 600)] * 6, st.integers(1, 600))),
    cleared=st.none() | st.builds(Cleared, _days, st.sampled_from(["Dr Costa", "a physiotherapist, on Monday"])),
    coach_step=st.none() | st.integers(0, 15),
)


def books(runner: Runner) -> st.SearchStrategy[Book]:
    """Any book of `runner`; the runner was last heard today, so that nothing lies before the loaded windows."""
    runners = st.builds(
        replace, st.just(runner), name=_text, stopped=st.booleans(), reachable=st.booleans(), last_heard=st.just(NOW)
    )
    return st.builds(
        lambda told, **rest: Book(profile=intake.profile(told), intake=told, **rest),
        _answers,
        runner=runners,
        standing=_standings,
        log=_some(_entries, "day"),
        plan=_some(_sessions, "day"),
        weeks=_some(_weeks, "start", unique=lambda week: week.start, most=3),
        limits=_some(st.builds(DayLimit, _days, _minutes, st.sampled_from(LimitReason)), "day"),
        returning=st.none() | st.builds(Return, _days, _minutes, _minutes, _minutes, _minutes),
        walk_run=st.none() | st.builds(WalkRun, st.integers(0, 7), st.integers(0, 9), _days, st.none() | _days),
        asked=st.none() | st.builds(Asked, st.sampled_from(Ask), _instants, _text, _text, st.none() | _days, _text),
        safety_question=st.none()
        | st.builds(
            SafetyQuestion,
            _instants,
            _text,
            _text,
            st.sampled_from(["en", "pt"]),
            st.integers(1, 2),
            st.none() | _instants,
            st.none() | _instants,
        ),
        nudges=_some(_nudged, "at", unique=lambda n: (n.kind, n.for_day, n.slot)),
        snoozes=_some(st.builds(Snooze, _text, st.sampled_from(NudgeKind), _days, _instants), "at", most=3),
        symptoms=_some(
            st.builds(SymptomNote, _days, _text, _text, _text, st.none() | st.integers(0, 10), st.none() | _instants),
            "day",
            most=4,
        ),
        pauses=_some(st.builds(Pause, _days, _days), "first", most=3),
        recordings=_some(
            st.builds(Recording, _text, _text, _days, _instants, st.integers(60, 9999), st.integers(60, 9999)),
            "day",
            most=3,
        ),
        changes=_some(st.builds(Change, _text, _instants, _text, st.booleans()), "at", most=3),
        readings=_some(st.builds(PressedReading, _instants, _text, _text, _text, st.none() | _minutes, _text), "at"),
        half_runs=st.integers(0, 9),
        teaches=st.booleans(),
    )
