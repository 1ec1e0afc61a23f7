"""The intake: which questions in which order, and the profile that the answers add up to."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time
from typing import Any, Final

from nudgebot.domain.model.intake import Commute, Goal, GoalTold, Intake, OpenDays, Quiet, YesNoSkip
from nudgebot.domain.model.nudged import WEEKDAYS
from nudgebot.domain.model.runner import Profile, Standing, Training, Walking
from nudgebot.domain.profile import answer_readers, places
from nudgebot.domain.profile.sentences.nudge_words import read_wish

DAYS_LATER = "days_later"  # under this id the answers keep a weekly shape that begins on a later date
BACK = "back"
# Asked only of those who told the other answer.
ASKED_AFTER = {"doctor_knows": "pressure"}


AnswerReader = Callable[[str], str | None]  # how a line becomes the canonical answer; None if it is none
QUESTIONS: Final[dict[str, AnswerReader]] = {
    "adult": answer_readers.yes_no,
    "active": answer_readers.yes_no,
    "disease": answer_readers.yes_no,
    "doctor_knows": answer_readers.yes_no_skip,
    "signs": answer_readers.yes_no,
    "pregnancy": answer_readers.yes_no_skip,
    "medicine": answer_readers.yes_no_skip,
    "goal": answer_readers.goal,
    "weekly": answer_readers.minutes_up_to(answer_readers.MOST_A_WEEK),
    "longest": answer_readers.minutes_up_to(answer_readers.MOST_A_DAY),
    "commute": answer_readers.commute,
    "days": answer_readers.open_days,
    "long_day": answer_readers.one_day,
    "zone": answer_readers.zone,
    "run_time": answer_readers.clock,
    "remind_at": answer_readers.reminder,
    "quiet": answer_readers.quiet_hours,
    "country": places.country_of,
    "birth_year": answer_readers.birth_year,
}
# What can be told later and is not asked at the start.
LATER: Final[dict[str, AnswerReader]] = {
    "resting_hr": answer_readers.beats(30, 110),
    "max_hr": answer_readers.beats(120, 230),
    "event": answer_readers.event,
    "nudges": read_wish,
}
READERS: Final = QUESTIONS | LATER


def next_question(told: Intake) -> str | None:
    """Id of the first question without an answer; None when the intake is complete."""
    asked = (each for each in QUESTIONS if each not in ASKED_AFTER or getattr(told, ASKED_AFTER[each]))
    return next((each for each in asked if getattr(told, each) is None), None)


def question_before(told: Intake) -> str | None:
    """Id of the last question that was answered: what `back` asks again."""
    return next((each for each in reversed(QUESTIONS) if getattr(told, each) is not None), None)


def read_answer(question: str, text: str, told: Intake) -> str | None:
    """The canonical answer to `question` in `text`, or None if the line is no answer to it.

    The long run's day has to be one of the open days; an answer that leaves it to us is the usual one.
    """
    if answer_readers.is_left_to_us(text) and question in _LEFT_TO_US:
        return _LEFT_TO_US[question](told)
    found = READERS[question](text)
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


_USUAL: Final = Profile()
# What stands in a profile as it was told, under the same name.
_AS_TOLD: Final = (
    "weekly", "longest", "long_day", "zone", "run_time", "country", "resting_hr", "max_hr",
    "active", "disease", "signs", "coach_step", "coach_window", "coach_run_days", "coach_session",
)  # fmt: skip


def profile(told: Intake) -> Profile:
    """The profile that the answers so far add up to; what is not answered yet has the default."""
    usual = _USUAL
    goal = GoalTold(Goal.CUSTOM, told.coach_dose) if told.coach_dose else told.goal or GoalTold(usual.goal)
    commute, quiet = told.commute or Commute(), told.quiet or Quiet(usual.quiet_from, usual.quiet_to)
    left_to_us = told.learned_hour.at if told.learned_hour is not None else usual.remind_at
    as_told: dict[str, Any] = {name: value for name in _AS_TOLD if (value := getattr(told, name)) is not None}
    return Profile(
        goal=goal.goal,
        custom_minutes=goal.minutes,
        commute=commute.activity,
        commute_minutes=commute.minutes,
        open_minutes=told.days or usual.open_minutes,
        remind_at=told.remind_at if isinstance(told.remind_at, time) else left_to_us,
        quiet_from=quiet.first,
        quiet_to=quiet.last,
        birth_year=None if isinstance(told.birth_year, YesNoSkip) else told.birth_year,
        doctor_unaware=told.doctor_knows is YesNoSkip.NO,
        pregnancy=told.pregnancy is YesNoSkip.YES,
        medicine=told.medicine is YesNoSkip.YES,
        **as_told,
    )


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
