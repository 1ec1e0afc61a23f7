"""Every number of the plan as a row: name, value, unit, source, and whose choice it is (docs/sources.md).

Last come the house's own bounds of how long things are kept, and what is said before they go; the store does the
deleting. The planner looks 140 days back, so less than six months would change plans.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from enum import StrEnum
from typing import Final


class Choice(StrEnum):
    """Who decided that a number is what it is."""

    STANDARD = "standard"  # a published guideline or study
    PRACTICE = "common practice"  # what coaches do; no trial behind it
    HOUSE = "house"  # this project's own cautious choice
    COACH = "coach"  # the runner's coach, inside bounds
    RUNNER = "runner"  # the runner's own answer
    MEASURED = "measured"  # chosen by how lines of writers left out of the training are read


@dataclass(frozen=True, slots=True)
class Rule:
    """One number of the plan. `source` is a key of docs/sources.md."""

    name: str
    value: int
    unit: str
    source: str
    choice: Choice = Choice.HOUSE

    def of(self, minutes: float) -> float:
        """`minutes` times this percentage."""
        return minutes * self.value / 100

    @property
    def share(self) -> float:
        """This percentage as a share, 0-1."""
        return self.value / 100

    @property
    def span(self) -> timedelta:
        """This many minutes, hours or days; KeyError for another unit."""
        return self.value * _SPANS[self.unit]

    @property
    def clock(self) -> time:
        """The local time of day so many minutes after midnight."""
        return time(*divmod(self.value, 60))


_MIDNIGHT = "min after midnight, local"
_SPANS = {"min": timedelta(minutes=1), "h": timedelta(hours=1), "days": timedelta(days=1)}


# The week
REST_GAP = Rule("days in a row without a run", 2, "days", "ada-2016", Choice.STANDARD)
RUN_DAYS = Rule("run days in a row", 2, "days", "hard-easy", Choice.PRACTICE)
RUN_DAYS_COMING_BACK = Rule(
    "run days in a row, in a return or on walk-run", 1, "days", "walk-run-trial", Choice.STANDARD
)
REST_GAP_COMING_BACK = Rule("days in a row without a run, in a return or on walk-run", 6, "days", "house")
RUN_DAY_FROM = Rule("minutes that make a run day, or end a gap", 10, "min", "house")
WEEK_FLOOR = Rule("least minutes planned a week", 60, "min", "dose-practice", Choice.PRACTICE)
WALK_BRIDGE = Rule("brisk walk that closes a gap", 20, "min", "ada-2016", Choice.STANDARD)

GRID = Rule("grid that plans lie on", 5, "min", "house")
SHORTEST_SESSION = Rule("shortest session worth planning", 20, "min", "house")
COMMUTES_A_WEEK = Rule("days of a habitual commute that is told in minutes a week", 5, "days", "house")
HOLIDAY_ROOM = Rule("room on a closed day that is opened for a public holiday", 60, "min", "house")

# Caps on load jumps
SESSION_GROWTH = Rule("single-session cap", 110, "% of the longest run of 30 days", "session-spike", Choice.STANDARD)
SESSION_STEP = Rule("single-session cap, smallest step", 5, "min", "house")
SESSION_FLOOR = Rule("single-session cap, floor", 30, "min", "house")
LONGEST_DAYS = Rule("days that the longest run is looked for", 30, "days", "session-spike", Choice.STANDARD)
WINDOW_GROWTH = Rule("seven-day cap", 130, "% of the mean week", "house")
WINDOW_FLOOR = Rule("seven-day cap, floor", 90, "min", "house")
MEAN_DAYS = Rule("days of the mean week", 28, "counted days", "house")

# Progression
WEEK_STEP = Rule("weekly step", 10, "% of the week", "ten-percent-trial", Choice.PRACTICE)
WEEK_STEP_LEAST = Rule("weekly step, least", 10, "min", "house")
LONG_STEP = Rule("long run, weekly step", 5, "min", "house")
STEP_UP_FROM = Rule("week done, step up", 90, "% of the target", "house")
REPEAT_FROM = Rule("week done, the same again", 60, "% of the target", "house")
LIGHTER_SHARE = Rule("lighter week", 80, "% of the week", "step-back-week", Choice.PRACTICE)
LIGHTER_AFTER = Rule("full weeks before a lighter one", 3, "weeks", "step-back-week", Choice.PRACTICE)
LIGHTER_AFTER_TOP = Rule("full weeks before a lighter one, at the top of the dose", 7, "weeks", "house")
FULL_FROM = Rule("week done, counts as full", 75, "% of the target", "house")
TOP_HELD = Rule("weeks at the top after which lighter weeks end or grow rare", 4, "weeks", "house")
PAIN_HOLDS = Rule("pain that holds the week's step", 3, "of 10", "house")

# Making up
STRETCH = Rule("growth of a planned session on a replan", 15, "min", "house")
SHORT_FROM = Rule("short of a session from", 10, "min", "house")
LONG_DONE = Rule("long run done", 90, "% of its length", "house")
DAY_CLOSES = Rule("hour from which today counts as closed", 20, "o'clock", "house")
BEFORE_QUIET = Rule("today counts as closed before quiet hours", 90, "min", "house")

# Coming back
BREAK_FROM = Rule("days without a run from which a return begins", 6, "days", "return-table", Choice.PRACTICE)
RETURN_UP_TO = Rule("days without a run up to which a return is enough", 28, "days", "return-table", Choice.PRACTICE)
SCREEN_AFTER = Rule(
    "days without a run after which the screening is asked again", 56, "days", "return-table", Choice.PRACTICE
)
FIRST_HALF = Rule("first half of a return", 50, "% of the old week", "return-table", Choice.PRACTICE)
SECOND_HALF = Rule("second half of a return", 75, "% of the old week", "return-table", Choice.PRACTICE)
HALF_RUNS = Rule("runs at half after a short illness", 2, "runs", "house")
AFTER_ILLNESS = Rule("runs after a short illness", 50, "% of the session", "house")
FEVER_WAIT = Rule("days after the last fever, without fever medicine", 3, "days", "after-fever", Choice.PRACTICE)
UPSET_WAIT = Rule("days after the last vomiting or diarrhoea", 2, "days", "after-stomach-bug", Choice.STANDARD)
ILL_WAIT = Rule("days after the last word of another illness", 3, "days", "house")
COVID_FREE = Rule("whole days free of symptoms after covid", 7, "days", "after-covid", Choice.STANDARD)
COVID_WALKS = Rule("days of walking after covid below the neck", 14, "days", "after-covid", Choice.STANDARD)
# Two of the shortest sessions: with one a week the next break of six days would come of the return itself.
RETURN_WINDOW_FLOOR = Rule("seven-day cap in a return, floor", 40, "min", "house")
RETURN_SESSIONS = Rule("most sessions a week in a return", 3, "sessions", "house")

# After a hold, and where the weeks are kept as they are
EMERGENCY_WAIT = Rule("no word on running is taken after an emergency", 24, "h", "house")
HOLD_IS_FRESH = Rule("every answer on hold has the number to call, for", 24, "h", "house")
CLEARANCE_LASTS = Rule("clearance that counts at the screening", 12, "months", "acsm-screening", Choice.STANDARD)
STEADY_AFTER_EMERGENCY = Rule("days without a step up after an emergency", 14, "days", "house")
STEADY_AFTER_LOW_MOOD = Rule("days without a step up after low mood was told", 14, "days", "house")
CONCUSSION_FIRST_STEP = Rule(
    "walk-run step after a concussion: walking", 0, "step", "concussion-steps", Choice.STANDARD
)

# After a flight
FLIGHT_ZONES = Rule("zones crossed from which the first run is short", 5, "h", "house")
FLIGHT_RUN = Rule("first run after a flight across zones, most", 30, "min", "house")
FLIGHT_DAYS = Rule("days from the arrival on in which that run is looked for", 7, "days", "house")

# Nudges
NUDGES_A_DAY = Rule("nudges a day to one runner, most", 2, "nudges", "house")
NUDGES_A_WEEK = Rule("nudges in seven days to one runner, most", 8, "nudges", "house")
NUDGES_KEPT = Rule("of them kept for gap warning and review", 2, "nudges", "house")
NUDGES_APART = Rule("between two nudges, least", 3, "h", "house")
NUDGES_UNANSWERED = Rule("of a kind in a row without an answer, then every other one", 2, "nudges", "house")
CHECK_IN_WAITS = Rule("after the usual run time nobody asks or warns for", 2, "h", "house")
FOLLOW_UP_FIRST = Rule("first safety follow-up, after the report", 24, "h", "house")
FOLLOW_UP_NEXT = Rule("between safety follow-ups", 3, "days", "house")
FOLLOW_UPS_MOST = Rule("safety follow-ups, most", 3, "nudges", "house")
MOOD_DAY = Rule("days after low mood was told, first question", 1, "days", "house")
MOOD_LATER = Rule("days after low mood was told, second question", 3, "days", "house")
ILL_DAYS = tuple(
    Rule(f"days after an illness was told, question {n}", day, "days", "house")
    for n, day in enumerate((1, 2, 3, 7, 14), 1)
)
WARN_AT = Rule("gap warning of the evening, not before", 19 * 60, _MIDNIGHT, "house")
REVIEW_AT = Rule("week review on the last day of the training week", 19 * 60 + 30, _MIDNIGHT, "house")
USUAL_REMINDER = Rule("reminder of a runner who chose no time", 7 * 60, _MIDNIGHT, "house")
NOON = Rule("parts mornings from evenings, where messages are wanted in one of them", 12 * 60, _MIDNIGHT, "house")
EVENING_FROM = Rule("a chosen reminder time that is one for the evening before, from", 16 * 60, _MIDNIGHT, "house")
TIME_TO_TELL = Rule("after a run, before anyone asks or warns", 15, "min", "house")
JUST_BEFORE = Rule("room for one delivery before quiet hours begin", 5, "min", "house")
OVERTAKEN_AFTER = Rule("a word so long after a nudge fell due takes its place", 2, "min", "house")
OUTAGE = Rule("of nudges that waited longer, one goes out and no more", 15, "min", "house")
HOW_ARE_YOU_DAYS = Rule("days in a row with the question how it is, most", 2, "days", "house")
SILENCE_FIRST = Rule("days without a word before the first word after silence", 7, "days", "house")
SILENCE_LAST = Rule("days without a word before the last word after silence", 14, "days", "house")

# The hour of a reminder that was left to us
HOUR_AFTER = Rule("days before the reminder's hour is learned, and that are looked at", 21, "days", "house")
HOUR_EVERY = Rule("days between two moves of a learned hour", 14, "days", "house")
HOUR_STEP = Rule("most that a learned hour moves at once", 30, "min", "house")
HOUR_MORNINGS = Rule("mornings with a word that an hour is learned from, least", 5, "mornings", "house")
HOUR_NEAR = Rule("first word so near to the reminder that it stays", 15, "min", "house")
HOUR_FAR = Rule("most that a learned hour is away from the usual one", 90, "min", "house")
HOUR_BEFORE_RUN = Rule("a learned hour stays before the usual run time by", 60, "min", "house")

# What a runner's word is still about
QUESTION_LASTS = Rule("an unanswered question lapses after", 24, "h", "house")
HEALTH_ASKED = Rule("one about an illness or an absence, with nothing asked since, lapses after", 72, "h", "house")
LOG_REACHES = Rule("days back in which a run still means something to the plan", 120, "days", "house")
OPEN_AWAY = Rule("an absence without a known end is kept free for", 14, "days", "house")
LONGEST_AWAY = Rule("a longer pause is asked about again", 120, "days", "house")
CHANGES_KEPT = Rule("changes that can be taken back, the newest", 10, "changes", "house")
FORECAST_DAYS = Rule("days ahead of which a day is called off for its weather", 7, "days", "house")
SHORT_ROOM = Rule("room that is offered on a day that repeats, beside none", 20, "min", "house")
DAYS_OPENED = Rule("days that are named to open for the dose; more are not", 2, "days", "house")

# Pain and clearance, as the page on safety has them
SAME_SPOT_DAYS = Rule("days in which a sore spot is counted", 14, "days", "house")
SAME_SPOT = Rule("the same spot on so many days leads to a clinician", 3, "days", "house")
PAIN_RESTS = Rule("pain from which no run follows until waking is free of it", 3, "of 10", "house")
WORSE_MORNINGS = Rule("mornings with pain worse than before that lead to a clinician", 2, "mornings", "house")
CLEARING_LASTS = Rule("the steps of ending a hold are taken within", 24, "h", "house")
VISIT_WITHIN = Rule("a date told as a visit lies ahead by at most", 90, "days", "house")
YES_TAKEN_BACK = Rule("a yes to the safety question may be taken back within", 10, "min", "house")
SAFETY_ASKED = Rule("times that the safety question is asked", 2, "times", "house")
ILLNESS_LINGERS = Rule("what comes after an illness is taken for a part of it up to", 21, "days", "house")
OLD_ILLNESS = Rule("an illness before the intake matters up to", 14, "days", "house")

# More than planned
MORE_WEEK = Rule("week that is more than planned, over", 130, "% of its target", "house")
MORE_RUNS = Rule("runs beyond plan in seven days that are more than planned", 3, "runs", "house")
MORE_ASKED = Rule("days in which more than planned is asked about once", 14, "days", "house")

MORE_LEAST = Rule("least above the target that a coach is told of", 20, "min", "house")
IN_A_ROW = Rule("run days in a row that are worth a word", 3, "days", "house")

# A warm word
HUNDREDTH = Rule("run told here that gets a word", 100, "runs", "house")
WELCOMED_AFTER = Rule("days between runs after which a group's line welcomes somebody back", 7, "days", "house")
BACK_AFTER = Rule("days without a run after which somebody is back", 14, "days", "house")
WITHOUT_WALKING = Rule("first run without walking that gets a word, from", 30, "min", "house")
LONGEST_HOUR = Rule("longest run that gets a word, first from", 60, "min", "house")
LONGEST_NINETY = Rule("longest run that gets a word, then from", 90, "min", "house")
LONGEST_TWO_HOURS = Rule("longest run that gets a word, last from", 120, "min", "house")
LONGEST_MARKS = (LONGEST_HOUR, LONGEST_NINETY, LONGEST_TWO_HOURS)

# An event
EVENT_WEEK = Rule("week before an event", 60, "% of the week", "event-practice", Choice.PRACTICE)
EVENT_LAST_RUN = Rule("last run before an event", 2, "days before", "event-practice", Choice.PRACTICE)
EVENT_LAST_LONG = Rule("last long run before an event", 7, "days before", "event-practice", Choice.PRACTICE)
EVENT_REST_SHORT = Rule("rest after an event of 10 km or less", 3, "days", "event-practice", Choice.PRACTICE)
EVENT_REST_HALF = Rule("rest after an event up to a half marathon", 7, "days", "event-practice", Choice.PRACTICE)
EVENT_REST_MARATHON = Rule("rest after a marathon", 14, "days", "event-practice", Choice.PRACTICE)
TOLD_FOR = Rule("days after an event in which a finish is about it", 2, "days", "house")
EVENTS_AHEAD = Rule("events ahead that are kept", 3, "events", "house")
EVENT_FAR = Rule("an event that the plan does not prepare for, from", 150, "% of the longest run", "house")
EVENT_SHORT = Rule("an event is short up to", 10, "km", "event-practice", Choice.PRACTICE)
EVENT_SHAPES = Rule("an event further off shapes no day of a first week", 17, "days", "house")
EVENT_MOSTLY = Rule("days before an event that make a week one around it", 4, "days", "house")
EVENT_PACE = Rule("pace by which the time of an event is guessed", 7, "min a km", "house")

# Walk-run
WALK_RUN_UNDER = Rule("walk-run for stated weekly minutes under", 30, "min", "house")
WALK_RUN_SESSION = Rule("walk-run session", 30, "min", "house")
WALK_RUN_SHORT = Rule("walk-run session, short form", 20, "min", "house")
WALK_RUN_TOP = Rule("most minutes a week on walk-run", 90, "min", "house")
WALK_RUN_CLEAN = Rule("clean sessions for a step up", 2, "sessions", "walk-run-trial", Choice.STANDARD)
WALK_RUN_WALKS = Rule("days of walking for a runner screened inactive", 14, "days", "house")
WALK_RUN_ENTRY = Rule("walk-run step after three runs that were not easy", 3, "step", "house")
HARD_RUNS = Rule("runs in a row over easy effort that lead to walk-run", 3, "runs", "house")
EASY_EFFORT = Rule("easy effort, most", 4, "of 10", "house")
CLEAN_PAIN = Rule("pain of a clean session, most", 2, "of 10", "house")

# How late a nudge may still go out, by the name of its kind: past this it only nags.
TOO_LATE = {
    kind: Rule(f"a nudge of the kind {kind} is dropped when late by", hours, "h", "house")
    for kind, hours in {
        "safety_followup": 72,  # then the next one takes its place
        "how_are_you": 6,
        "gap_warning": 6,
        "morning": 3,
        "check_in": 3,
        "week_review": 12,
        "silence": 24,
        "coach_digest": 6,
        "snoozed": 3,
    }.items()
}

RULES: tuple[Rule, ...] = (
    *(row for row in tuple(globals().values()) if isinstance(row, Rule)),
    *ILL_DAYS,
    *TOO_LATE.values(),
)

# For how long things are kept
DEFAULT_MONTHS_KEPT: Final = 24
MONTHS_KEPT: Final = range(6, 121)
TOLD_BEFORE: Final = timedelta(days=30)  # nothing goes without a message so long before
_MONTHS_WANTED: Final = re.compile(r"(\d{1,3})\s*(?:(months?|mo|m)|(years?|y))?", re.IGNORECASE)


class Notice(StrEnum):
    """What a runner is told before something goes."""

    OLD = "old"  # what is older than the months kept
    SILENT = "silent"  # everything, after as long a silence


def kept_since(now: datetime, months: int) -> datetime:
    """The moment before which nothing is kept; a month is a twelfth of 365 days."""
    return now - timedelta(days=months * 365 // 12)


def months_in(text: str) -> int | None:
    """ "18", "18 months" or "2 years" as months; None for anything else."""
    found = _MONTHS_WANTED.fullmatch(text.strip(" ."))
    if found is None:
        return None
    return int(found[1]) * (12 if found[3] else 1)
