"""Answers to what we asked back: about runs and days, and about health.

Minutes, the same line again, until when, to which day, more than planned; the last day of an illness, whether it was
one, the choice of a day. Words of the short ones ("the second", "nein, 44") are in the five languages.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from typing import Final

from nudgebot.domain.dialogue.health import complaints, illness
from nudgebot.domain.dialogue.questions.answering import LONGEST_ANSWER, Answering, as_chosen
from nudgebot.domain.dialogue.runs import log_run
from nudgebot.domain.dialogue.values import Answer, say
from nudgebot.domain.dialogue.week import changes
from nudgebot.domain.messages import runs as run_words
from nudgebot.domain.model.actions import Agreed, Chosen, ChosenDays, ChosenMinutes, ChosenOption, Option
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.planning import more
from nudgebot.domain.planning.ways_back import Wait
from nudgebot.domain.text import reply
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.illness_talk import told_day
from nudgebot.domain.text.reply import LONG_LINE, Intent, Reading, read, read_days, read_pause, read_yes_no
from nudgebot.domain.text.sayings import end_is_not_known, says_since, says_until
from nudgebot.domain.text.triage import Level

ONE_OFF = re.compile(r"\b(?:one[- ]off|just (?:this )?once|once|stay|as it is)\b")
GROW = re.compile(r"\b(?:grow|more|increase|step up)\b")

# How many minutes was it? Is that right?
TODAYS: Final[Mapping[str, Option]] = {
    "as planned": Option.AS_PLANNED,
    "shortest": Option.SHORTEST,
    "short": Option.SHORTEST,
    "the shortest": Option.SHORTEST,
    "walk": Option.WALK,
    "a walk": Option.WALK,
    "rest": Option.REST,
}


def read_minutes(turn: Answering) -> Chosen | None:
    """How many minutes it was, or whether what was read is right."""
    if turn.verdict.level is not Level.NONE:
        return None
    agreed = read_yes_no(turn.line)
    if agreed is False:
        return Agreed(False)
    minutes = reply.read_minutes(turn.line)
    if minutes is None:
        return Agreed(True) if agreed and turn.asked.what is Ask.SURE_MINUTES else None
    return ChosenMinutes(minutes) if len(turn.line.split()) <= LONGEST_ANSWER else None


def log_minutes(turn: Answering, chosen: Chosen) -> Answer | None:
    """The minutes of the run that was reported without them; a line that reports more than that is read again."""
    asked = turn.asked
    match chosen:
        case Agreed(False):
            return say(turn.closed, run_words.NOTHING_ADDED)
        case Agreed(True) if asked.detail.isdecimal():
            minutes = int(asked.detail)
        case ChosenMinutes(minutes):
            pass
        case _:
            return None
    if not 1 <= minutes <= 600:
        return None
    first = read(asked.line, turn.book.today(asked.at))
    run = Reading(
        Intent.LOG,
        minutes=minutes,
        day=asked.day,
        activity=first.activity,
        rpe=first.rpe,
        heart_rate=first.heart_rate if asked.what is Ask.MINUTES else None,
        distance_km=first.distance_km,
    )
    return log_run.log(turn.closed, turn.heard, run)


# The same line again; a second run on one day


def read_same_or_second(turn: Answering) -> Chosen | None:
    """Whether a line told again is the same run or a second one."""
    option = option_in(turn.line)
    return ChosenOption(option) if option in (Option.SECOND, Option.SAME) else None


def read_second_or_correction(turn: Answering) -> Chosen | None:
    """Whether another run of the day is a second one or puts the first right."""
    option = option_in(turn.line)
    if option in (Option.SECOND, Option.CORRECTION):
        return ChosenOption(option)
    runs = [entry for entry in turn.book.log if entry.day == turn.day and entry.is_run]
    minutes = minutes_in_correction(turn.line)
    if not runs or minutes is None:
        return None
    if minutes == sum(entry.minutes for entry in runs):
        return ChosenOption(Option.SECOND)
    return ChosenOption(Option.CORRECTION) if minutes == log_run.newest_noted(runs).minutes else None


def log_second(turn: Answering) -> Answer:
    """The run of the line that was told again, counted as a second one."""
    first = read(turn.asked.line, turn.book.today(turn.asked.at))
    return log_run.log(turn.closed, replace(turn.heard, text=turn.asked.line), first, sure=True)


# Until when? To which day?


def read_until(turn: Answering) -> Chosen | None:
    """The days of a pause; one day alone is its last, and the first is the one on which it was announced."""
    if end_is_not_known(turn.line):
        return ChosenDays(changes.days_without_end(turn.today))
    named = read_pause(turn.line, turn.today)
    if len(named) == 1 and named[0] > turn.today:
        named = tuple(turn.today + timedelta(days=n) for n in range((named[0] - turn.today).days + 1))
    return ChosenDays(named) if named else None


def pause_until(turn: Answering, chosen: ChosenDays) -> Answer | None:
    """The pause until the day that was told, or without an end."""
    if end_is_not_known(turn.line):
        return changes.go_away_without_end(turn.closed, turn.heard)
    return changes.go_away(turn.closed, turn.heard, chosen.days) if chosen.days else None


def move_to_day(turn: Answering, chosen: ChosenDays) -> Answer | None:
    """The session moved to the day that was told."""
    return changes.move(turn.closed, turn.heard, turn.day, chosen.days[0]) if chosen.days else None


# More than planned


def read_more(turn: Answering) -> Chosen | None:
    """Whether the plan should grow after a run longer than planned."""
    line = turn.line.casefold()
    if ONE_OFF.search(line):
        return ChosenOption(Option.ONE_OFF)
    agreed = True if GROW.search(line) else read_yes_no(turn.line)
    return None if agreed is None else ChosenOption(Option.GROW if agreed else Option.ONE_OFF)


def grow(turn: Answering) -> Answer:
    """The plan grown, if it may."""
    if more.may_grow(turn.closed, turn.day):
        return say(more.grow(turn.closed, turn.day), run_words.GROWS)
    return say(turn.closed, run_words.STAYS)


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# A line of these words and nothing else is that answer.
WORDS: Final[Mapping[Option, frozenset[str]]] = {
    Option.SECOND: _words(
        "second another both two runs zweite zweiter zweites zweiten weiterer noch beide zwei segunda segundo otra "
        "outra ambas ambos dos duas dois deuxieme seconde autre deux"
    ),
    Option.CORRECTION: _words(
        "correction correct corrected replace replaces fix fixed korrektur korrigiert korrigieren ersetzt correccion "
        "corregido corrige remplace corrigee correcao corrigido corrigi substitui"
    ),
    Option.SAME: _words("same no derselbe dieselbe gleiche selbe nein misma mismo meme mesma mesmo nao non"),
}
# What may stand around them, and around a number that puts a run right: "that was 44", "das waren 44 Minuten".
AROUND: Final = _words(
    "a an the it it's its is was were makes that this those one run only just in total altogether all min mins minutes "
    "please ein eine einer der die das es ist war waren lauf insgesamt gesamt zusammen nur minuten bitte "
    "un una la las el los fue fueron era eran carrera en solo minutos por favor "
    "une le les c'est c'etait ca faisait fait course au tout seulement um uma o as os foi foram e eram corrida so todo"
)
DENIALS: Final = _words("no nope nein non nao")
_WORD: Final = re.compile(r"[a-z']+|\d+")


def option_in(line: str) -> Option | None:
    """The one answer of `WORDS` that a line is; None if it says anything else."""
    said = set(_WORD.findall(squeezed(line)))
    found = [option for option, words in WORDS.items() if said & words]
    return found[0] if len(found) == 1 and said <= WORDS[found[0]] | AROUND else None


def minutes_in_correction(line: str) -> int | None:
    """The minutes of a line that says what a run was, and nothing else: "that was 44", "nein, 44"; None for another."""
    said = _WORD.findall(squeezed(line))
    numbers = [word for word in said if word.isdigit()]
    rest = {word for word in said if not word.isdigit()}
    if len(numbers) != 1 or not rest or not rest <= AROUND | DENIALS:
        return None
    return int(numbers[0])


def read_last_ill(turn: Answering) -> Chosen | None:
    """The last day of an illness."""
    says_more = len(turn.line.split()) > LONG_LINE.value and not says_until(turn.line)
    if (turn.verdict.ill_now and _is_told_anew(turn)) or says_more:
        return None
    last = told_day(turn.line, turn.today)
    return None if last is None else ChosenDays((last,))


def _is_told_anew(turn: Answering) -> bool:
    """Whether a line that tells of an illness does not say how long the one before it lasted: "fever since Monday",
    "flu again, nothing today", "down with flu, Friday is doubtful"."""
    if says_until(turn.line):
        return False
    days = read_days(turn.line, turn.today)
    gone = any(day <= turn.today for day in days)
    return turn.today in days or says_since(turn.line) or (len(turn.line.split()) > LONGEST_ANSWER and not gone)


def plan_way_back(turn: Answering, chosen: ChosenDays) -> Answer | None:
    """The way back from an illness that lasted until then."""
    if not chosen.days or max(chosen.days) > turn.today:
        return None
    wait = Wait(turn.asked.detail) if turn.asked.detail in set(Wait) else Wait.FEVER
    return illness.count_wait_from(turn.closed, turn.heard, wait, max(*chosen.days, turn.day))


def read_choice(turn: Answering) -> Chosen | None:
    """What somebody with a niggle wants to do today."""
    return as_chosen(ChosenOption, TODAYS.get(turn.line.strip(" .!").casefold()))


def take_choice(turn: Answering, chosen: ChosenOption) -> Answer | None:
    """The day as it was chosen."""
    today = chosen.option in TODAYS.values()
    return complaints.take_choice(turn.book, turn.heard, chosen.option, turn.day) if today else None
