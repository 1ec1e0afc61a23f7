"""The words about runs: what was counted, how the week stands and what is next; what easy means; a run from a file.

Easy is full sentences and effort first, and a heart-rate band where there is one to give. Of a file it is said what it
holds, and why it is not taken.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from nudgebot.domain.messages.common import and_list, capital, distance_words, entry_words, on_day
from nudgebot.domain.messages.plan.lines import next_line, replan_lines, standing_line
from nudgebot.domain.model.actions import ChosenOption, ChosenValue, Option
from nudgebot.domain.model.logbook import AEROBIC, Activity, FileFault, LogEntry, Recording, Track, whole_minutes
from nudgebot.domain.model.runner import Book, Profile
from nudgebot.domain.model.week import Return
from nudgebot.domain.overview.progress import First
from nudgebot.domain.planning.planner import Replanned
from nudgebot.domain.profile import places
from nudgebot.domain.profile.effort import Band, Heart, Trust, check_the_band, easy_band, is_beyond_maximum, is_over

EASY_IS = (
    "Easy means that you can speak in full sentences, not in a few words, and that the effort is 4 of 10 or less. "
    "If in doubt, slower; walking a while is fine."
)
TRUST = {
    Trust.RESERVE: "from your measured maximum and resting heart rate",
    Trust.MAXIMUM: "from your measured maximum",
    Trust.AGE: "a rough guess from age alone",
}
STILL_WAITS = "That is sooner than the illness allows: running waits until it is well behind you. A walk is fine."
BIG_JUMP = (
    "That is a big jump from what your last month holds. Tomorrow is rest, nothing is made up, and the next runs stay "
    "short."
)
NOTHING_THAT_DAY = "I have no other session on that day."
HOW_MANY = "How many minutes was it?"
NOTHING_ADDED = "Fine, nothing is added."
KEPT_ONE = "Good, it stays at the one."
BOTH_STAY = "Good, both stay in the log."
SECOND_OR_CORRECTION = (
    ("A second run", ChosenOption(Option.SECOND)),
    ("A correction", ChosenOption(Option.CORRECTION)),
)
SAME_OR_SECOND = (("The same", ChosenOption(Option.SAME)), ("A second run", ChosenOption(Option.SECOND)))
COUNTED_BEFORE = "That one is in the log already."
# A warm word at the right moment, and what is said of more than was planned.
WARM: Mapping[First, str] = {
    First.EVER: "Your first run. Good to have you.",
    First.HUNDREDTH: "That was your hundredth run here. Thank you for telling me each of them.",
    First.BACK: "Good to see you running again.",
    First.THIRTY: "Half an hour without walking. Well done.",
    First.HOUR: "Your longest run here so far. Nicely done.",
    First.WEEK: "That is your first whole week of this plan. Well done.",
}
ONE_OFF_OR_MORE = (("A one-off", ChosenOption(Option.ONE_OFF)), ("Let it grow", ChosenOption(Option.GROW)))
ONE_OFF = "Good. The plan stays as it is."
GROWS = "Fine: the next week is a step larger than it would have been, within the usual limits."
STAYS = "The plan stays where it is for now: it is at its top, or held level for a reason that /why names."
NOT_TAKEN: Final[Mapping[FileFault, str]] = {
    FileFault.NOT_READABLE: "I cannot read that file. I read GPX (also zipped or gzipped) and calendars (.ics).",
    FileFault.BROKEN: "That file is cut off or damaged, so I took nothing from it. Please send it again.",
    FileFault.TOO_LARGE: "That file is too large for me, so I took nothing from it. Zipped it may fit.",
    FileFault.SEVERAL: "There is more than one file in there. Please send them one by one.",
    FileFault.NO_TIMES: "That file has a route but no times, so I cannot tell how long it took.",
    FileFault.DISORDERED: "The times in that file run backwards, so I took nothing from it.",
    FileFault.TOO_SHORT: "That file holds less than a minute, so I took nothing from it.",
    FileFault.TOO_LONG: "That file holds more than ten hours. Please write me the minutes instead.",
    FileFault.STILL: "There is no movement in that file, so I took nothing from it. If you ran, write me the minutes.",
    FileFault.NOT_YET: "The times in that file are in the future, so its clock was wrong. Please write me the minutes.",
    FileFault.TOO_OLD: "That run is too long ago to matter to the plan, so I took nothing from it.",
    FileFault.NOT_REACHED: "I could not fetch that. Please try again in a while.",
    FileFault.NOT_ALLOWED: "I only fetch public addresses that begin with https://.",
}

FOOT: Final = 0.3048  # m; exact, as the mile
KINDS: Final = (
    ("A run", ChosenValue(Activity.RUN.value)),
    ("A walk", ChosenValue(Activity.WALK.value)),
    ("A bike ride", ChosenValue(Activity.BIKE.value)),
    ("Something else", ChosenValue(Activity.OTHER.value)),
)
WHAT_KIND: Final = "What was it? Nothing is counted until you say."
IN_THE_LOG: Final = "That run is in the log already, from a file. Nothing is counted twice."
FILE_LATER: Final = "The file has to wait: answer this first, then send it again."
FILE_GONE: Final = "I no longer have that file. Please send it again."


def say_walks_first(until: date, today: date) -> str:
    """A run where walking comes first."""
    return f"After covid below the neck easy walking comes first, until {on_day(until, today)}; please no runs yet."


def say_logged(
    book: Book, entries: Sequence[LogEntry], today: date, remarks: Sequence[str], replanned: Replanned | None
) -> str:
    """One or two short lines, and what a replan changed, if it changed anything."""
    lines = [" ".join(filter(None, (say_counted(entries, today), standing_line(book, today), next_line(book, today))))]
    return "\n".join([*lines, *remarks, *replan_lines(replanned, today, after_run=True)])


def say_counted(entries: Sequence[LogEntry], today: date) -> str:
    """What went into the log, and as what."""
    said = and_list([f"{entry_words(e)} {on_day(e.day, today)}" for e in entries])
    if all(e.counts for e in entries):
        return f"Counted: {said}."
    if all(e.activity in AEROBIC for e in entries):
        return f"Noted: {said}, beside the runs."
    return f"Noted: {said}."


def say_logged_on_hold(entries: Sequence[LogEntry], today: date, country: str) -> str:
    """A session logged during a hold is kept, and the caution said again after a run."""
    counted = say_counted(entries, today)
    if not any(entry.is_run for entry in entries):
        return f"{counted} Running waits until a clinician has cleared it; then tell me or write /back."
    return (
        f"{counted} Please do not run until a clinician has cleared it. "
        f"Write /back when that has happened, and {places.emergency_call(country)} if anything gets worse."
    )


def say_keep_walking(entries: Sequence[LogEntry], today: date, country: str) -> str:
    """A run of somebody who is to walk until a clinician has cleared running: kept, and the rule said again."""
    return (
        f"{say_counted(entries, today)} Please keep to walking for now: running waits until a clinician has cleared "
        f"it, and then /back. If you feel unwell, stop and {places.emergency_call(country)}."
    )


def say_way_back(before: Return | None, after: Return | None) -> str:
    """What a run told for a day within a break makes of the way back; "" if it changes nothing."""
    if before is None or (after is not None and after.days >= before.days):
        return ""
    if after is None:
        return f"With that run it was no break of {before.days} days: the gentle way back ends with this week."
    return f"With that run the break was {after.days} days, not {before.days}: the gentle way back is shorter."


def say_not_easy(effort: int | None) -> str:
    """The run counts in full, and was not easy."""
    felt = f"Effort {effort} of 10 is" if effort is not None else "That was"
    return f"{felt} more than easy; slower next time, so that full sentences come without effort."


def ask_if_minutes(number: int) -> str:
    """A number that may not be minutes: asked before anything is stored."""
    return f"Is {number} the minutes of a run? Nothing is added until you say."


def ask_if_same(entry: LogEntry, today: date) -> str:
    """The same line twice: asked before anything is stored."""
    return (
        f"I already have {entry_words(entry)} {on_day(entry.day, today)}. Is this the same, or a second one? "
        "Nothing is added until you say."
    )


def ask_second_or_correction(first: LogEntry, second: LogEntry, today: date) -> str:
    """Two runs on one day: both are kept until the runner says that the newer one corrects the older."""
    return (
        f"There is already {entry_words(first)} {on_day(first.day, today)}: is {second.minutes} min a second run, or a "
        "correction?"
    )


def ask_if_more(done: int, target: int) -> str:
    """More than planned, and whether it is meant to stay so."""
    sums = f"{done} min this week, {target} planned." if done > target else "Some runs more than planned lately."
    return f"{sums} Welcome, as long as it feels easy. A one-off, or shall the plan grow by a step?"


def say_days_in_a_row(count: int) -> str:
    """Run days in a row, more than the plan would."""
    return f"That makes {count} run days in a row. Legs recover on the days between; the next day is best a rest day."


def band_of(profile: Profile, today: date) -> Band | None:
    """The easy band of a profile; none with rate-limiting medicine, in pregnancy, or where nothing is known."""
    age = today.year - profile.birth_year if profile.birth_year else None
    return easy_band(Heart(age, profile.resting_hr, profile.max_hr, profile.medicine or profile.pregnancy))


def easy_page(profile: Profile, today: date) -> str:
    """How easy feels, and the band if there is one."""
    lines = [EASY_IS]
    band = band_of(profile, today)
    if profile.medicine or profile.pregnancy:
        lines.append(
            "With medicine that slows the heart, and in pregnancy, a heart-rate range says nothing; go by breath."
        )
    elif band is not None:
        error = f", give or take {band.error}" if band.error else ""
        lines.append(f"If you like numbers: {band.low} to {band.high} beats a minute, {TRUST[band.trust]}{error}.")
    if band is not None and band.trust is Trust.AGE:
        lines.append("A measured one is better: resting heart rate 52 · maximum heart rate 178.")
    return "\n".join(lines)


def is_too_fast(book: Book, entry: LogEntry, today: date) -> bool:
    """Whether the average of a run is over what a heart of that age can be expected to reach at all."""
    if entry.heart_rate is None or not entry.is_run:
        return False
    profile = book.profile
    age = today.year - profile.birth_year if profile.birth_year else None
    return is_beyond_maximum(Heart(age, profile.resting_hr, profile.max_hr), entry.heart_rate)


def heart_remark(book: Book, entry: LogEntry, today: date) -> str:
    """What an average over the band calls for; "" if there is nothing to say. The run counts in full."""
    band = band_of(book.profile, today)
    if band is None or entry.heart_rate is None or not entry.is_run or not is_over(band, entry.heart_rate):
        return ""
    if is_too_fast(book, entry, today):
        return ""  # asked about instead
    if check_the_band(band, book.log):
        return "The third run over the easy range: check the range (/easy) or the sensor, and go by full sentences."
    return f"{entry.heart_rate} is over the easy range ({band.low} to {band.high}): slower next time."


def minutes_words(seconds: int) -> str:
    """Seconds as whole minutes, to the nearest: "42 min"."""
    return f"{whole_minutes(seconds)} min"


def figures(track: Track | Recording, *, miles: bool = False) -> str:
    """What a track comes to, in one line: "42 min (45 with breaks), 7.1 km, 60 m up, heart rate 141"."""
    moving, total = whole_minutes(track.moving_seconds), whole_minutes(track.total_seconds)
    parts = [f"{moving} min" if total <= moving + 1 else f"{moving} min ({total} with breaks)"]
    if track.distance_m is not None:
        parts.append(distance_words(track.distance_m, miles=miles))
    if track.climb_m:
        parts.append(f"{round(track.climb_m / FOOT)} feet up" if miles else f"{track.climb_m} m up")
    if track.heart_rate is not None:
        parts.append(f"heart rate {track.heart_rate}")
    return ", ".join(parts)


def in_band(inside: int, under: int, over: int, low: int, high: int) -> str:
    """Minutes in the easy band, under and over it (given in seconds)."""
    beside = [
        f"{minutes_words(each)} {where}" for each, where in ((under, "under it"), (over, "over it")) if each >= 30
    ]
    return "; ".join([f"In your easy range ({low} to {high}): {minutes_words(inside)}", *beside]) + "."


def caption(recording: Recording, today: date, *, miles: bool = False) -> str:
    """The words of the picture of a run, and all that is said of its file."""
    lines = [f"Your file, {on_day(recording.day, today)}: {figures(recording, miles=miles)}."]
    if recording.low is not None and recording.high is not None:
        inside, under, over = recording.inside or 0, recording.under or 0, recording.over or 0
        lines.append(in_band(inside, under, over, recording.low, recording.high))
    return "\n".join(lines)


def say_same_run(entry: LogEntry, today: date) -> str:
    """A file and a line told of one run; it counts once."""
    return f"{capital(on_day(entry.day, today))}'s {entry_words(entry)} and the file are one run: it counts once."
