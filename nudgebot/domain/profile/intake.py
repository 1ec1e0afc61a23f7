"""The intake: which questions in which order, and the profile that the answers add up to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from typing import Final, TypeVar

from nudgebot.domain.model.intake import Commute, Goal, GoalTold, Intake, OpenDays, Quiet, YesNoSkip
from nudgebot.domain.model.runner import Profile, Standing, Training, Walking
from nudgebot.domain.profile import answer_readers, places
from nudgebot.domain.profile.nudge_words import read_wish
from nudgebot.domain.profile.weekday_words import WEEKDAYS

T = TypeVar("T")

DAYS_LATER = "days_later"  # under this id the answers keep a weekly shape that begins on a later date
BACK = "back"
# Asked only of those who told the other answer.
ASKED_AFTER = {"doctor_knows": "pressure"}


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the intake: its id, and how a line becomes the canonical answer (None: it is none)."""

    id: str
    read: Callable[[str], str | None]


QUESTIONS = (
    Question("adult", answer_readers.yes_no),
    Question("active", answer_readers.yes_no),
    Question("disease", answer_readers.yes_no),
    Question("doctor_knows", answer_readers.yes_no_skip),
    Question("signs", answer_readers.yes_no),
    Question("pregnancy", answer_readers.yes_no_skip),
    Question("medicine", answer_readers.yes_no_skip),
    Question("goal", answer_readers.goal),
    Question("weekly", answer_readers.minutes_up_to(answer_readers.MOST_A_WEEK)),
    Question("longest", answer_readers.minutes_up_to(answer_readers.MOST_A_DAY)),
    Question("commute", answer_readers.commute),
    Question("days", answer_readers.open_days),
    Question("long_day", answer_readers.one_day),
    Question("zone", answer_readers.zone),
    Question("run_time", answer_readers.clock),
    Question("remind_at", answer_readers.reminder),
    Question("quiet", answer_readers.quiet_hours),
    Question("country", places.country_of),
    Question("birth_year", answer_readers.birth_year),
)
# What can be told later and is not asked at the start.
LATER = (
    Question("resting_hr", answer_readers.beats(30, 110)),
    Question("max_hr", answer_readers.beats(120, 230)),
    Question("event", answer_readers.event),
    Question("nudges", read_wish),
)
BY_ID = {question.id: question for question in (*QUESTIONS, *LATER)}


def next_question(told: Intake) -> str | None:
    """Id of the first question without an answer; None when the intake is complete."""
    return next((each.id for each in QUESTIONS if getattr(told, each.id) is None and _is_asked(each.id, told)), None)


def _is_asked(question: str, told: Intake) -> bool:
    return question not in ASKED_AFTER or bool(getattr(told, ASKED_AFTER[question]))


def question_before(told: Intake) -> str | None:
    """Id of the last question that was answered: what `back` asks again."""
    return next((question.id for question in reversed(QUESTIONS) if getattr(told, question.id) is not None), None)


def read_answer(question: str, text: str, told: Intake) -> str | None:
    """The canonical answer to `question` in `text`, or None if the line is no answer to it.

    The long run's day has to be one of the open days; an answer that leaves it to us is the usual one.
    """
    if answer_readers.is_left_to_us(text) and question in _LEFT_TO_US:
        return _LEFT_TO_US[question](told)
    found = BY_ID[question].read(text)
    if question == "long_day" and found is not None and told.days is not None and not told.days[WEEKDAYS.index(found)]:
        return None
    return found


def _longest_day(told: Intake) -> str:
    days = told.days or (60,) * 7
    return WEEKDAYS[max(range(7), key=lambda day: (days[day], day))]


_LEFT_TO_US: Final[dict[str, Callable[[Intake], str]]] = {
    "long_day": _longest_day,
    "run_time": lambda _: f"{Profile().run_time:%H:%M}",
    "quiet": lambda _: f"{Profile().quiet_from:%H:%M}-{Profile().quiet_to:%H:%M}",
}


def with_later_days(told: Intake, today: date) -> Intake | None:
    """What was told, with the days for a later date once that has come; None while there are none due.

    The long run's day moves to the longest where it was closed.
    """
    later = told.days_later
    if later is None or later.start > today:
        return None
    return replace(told, days=later.days, days_later=None, long_day=long_day_in(later.days, told.long_day))


def long_day_in(days: OpenDays, wanted: int | None) -> int:
    """The wanted weekday for the long run where it is open, else the first with the most minutes."""
    return wanted if wanted is not None and days[wanted] else days.index(max(days))


def profile(told: Intake) -> Profile:
    """The profile that the answers so far add up to; what is not answered yet has the default."""
    goal = told.goal or GoalTold(Goal.HEALTH)
    if told.coach_dose:
        goal = GoalTold(Goal.CUSTOM, told.coach_dose)
    commute, quiet = told.commute or Commute(), told.quiet or Quiet(time(21, 30), time(6, 30))
    usual = Profile()
    left_to_us = told.learned_hour.at if told.learned_hour is not None else usual.remind_at
    return Profile(
        goal=goal.goal,
        custom_minutes=goal.minutes,
        weekly=told.weekly or 0,
        longest=told.longest or 0,
        commute=commute.activity,
        commute_minutes=commute.minutes,
        open_minutes=told.days or usual.open_minutes,
        long_day=_or(told.long_day, usual.long_day),
        zone=told.zone or usual.zone,
        run_time=_or(told.run_time, usual.run_time),
        remind_at=told.remind_at if isinstance(told.remind_at, time) else left_to_us,
        quiet_from=quiet.first,
        quiet_to=quiet.last,
        country=told.country or "",
        birth_year=None if isinstance(told.birth_year, YesNoSkip) else told.birth_year,
        resting_hr=told.resting_hr,
        max_hr=told.max_hr,
        active=_or(told.active, usual.active),
        disease=bool(told.disease),
        signs=bool(told.signs),
        doctor_unaware=told.doctor_knows is YesNoSkip.NO,
        pregnancy=told.pregnancy is YesNoSkip.YES,
        medicine=told.medicine is YesNoSkip.YES,
        coach_step=_or(told.coach_step, usual.coach_step),
        coach_window=_or(told.coach_window, usual.coach_window),
        coach_run_days=_or(told.coach_run_days, usual.coach_run_days),
        coach_session=_or(told.coach_session, usual.coach_session),
    )


def _or(value: T | None, usual: T) -> T:
    return usual if value is None else value


def standing_after(told: Profile, now: datetime) -> Standing:
    """Where a runner stands when the intake is complete.

    Easy running counts as vigorous at the fitness of many starters, so known disease, even when active, and any
    of the nine signs ask for a clinician first; so do pregnancy and the weeks after a birth. Walking is free.
    Source: ACSM pre-participation screening, Riebe et al., Med Sci Sports Exerc 2015;47:2473.
    """
    if told.signs or told.disease or told.doctor_unaware:
        return Walking(now, "screening")
    if told.pregnancy:
        return Walking(now, "pregnancy")
    return Training()
