"""The answer to what we asked back: one reader and one handler a question, by a table.

A line is read into the value that the question's buttons carry, so that both are handled the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final, TypeVar

from nudgebot.domain.dialogue import (
    busy_days,
    changes,
    conditions,
    files,
    health,
    illness,
    log_run,
    onboarding,
    repeating,
    taking_back,
    weather,
)
from nudgebot.domain.dialogue.values import Answer, Heard, say, today_of
from nudgebot.domain.messages import firsts as first_words
from nudgebot.domain.messages import hold as hold_words
from nudgebot.domain.messages import illness as illness_words
from nudgebot.domain.messages import log as log_words
from nudgebot.domain.messages import pages
from nudgebot.domain.model.actions import (
    Agreed,
    Chosen,
    ChosenDays,
    ChosenMinutes,
    ChosenNumber,
    ChosenOption,
    ChosenValue,
    Option,
    Reply,
)
from nudgebot.domain.model.runner import Ask, Asked, Book, OnHold, Walking
from nudgebot.domain.planning import more
from nudgebot.domain.planning.illness_wait import Wait
from nudgebot.domain.profile import answer_words
from nudgebot.domain.text.illness_talk import question_answered, says_not_ill, says_since, says_until, told_day
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.reply import (
    LONG_LINE,
    Intent,
    Reading,
    read,
    read_days,
    read_minutes,
    read_pause,
    read_yes_no,
)
from nudgebot.domain.text.triage import Level, Verdict

ONE_OFF = re.compile(r"\b(?:one[- ]off|just (?:this )?once|once|stay|as it is)\b")
GROW = re.compile(r"\b(?:grow|more|increase|step up)\b")
LONGEST_ANSWER: Final = 5  # words; a longer line says more than minutes
TODAYS: Final[Mapping[str, Option]] = {
    "as planned": Option.AS_PLANNED,
    "shortest": Option.SHORTEST,
    "short": Option.SHORTEST,
    "the shortest": Option.SHORTEST,
    "walk": Option.WALK,
    "a walk": Option.WALK,
    "rest": Option.REST,
}


@dataclass(frozen=True, slots=True)
class Answering:
    """What was heard while a question is open; `verdict` is triage's, of nothing for a pressed button."""

    book: Book
    heard: Heard
    asked: Asked
    verdict: Verdict

    @property
    def closed(self) -> Book:
        """The book with the question answered."""
        return replace(self.book, asked=None)

    @property
    def line(self) -> str:
        """What was typed."""
        return self.heard.text.strip()

    @property
    def today(self) -> date:
        """The runner's day on which it was said."""
        return today_of(self.book, self.heard)

    @property
    def day(self) -> date:
        """The day that the question is about."""
        return self.asked.day or self.today


Read = Callable[[Answering], Chosen | None]
Handle = Callable[[Answering, Chosen], Answer | None]
C = TypeVar("C")


def answered_question(book: Book, heard: Heard, verdict: Verdict) -> Answer | None:
    """The answer to the open question, or None if the line is about something else (it is then read as it is)."""
    if book.asked is None:
        return None
    turn = Answering(book, heard, book.asked, verdict)
    if heard.action is None and _is_about_the_body(turn):
        return None
    read_answer, handle = QUESTIONS[book.asked.what]
    chosen = heard.action.chosen if isinstance(heard.action, Reply) else read_answer(turn)
    return None if chosen is None else handle(turn, chosen)


def _is_about_the_body(turn: Answering) -> bool:
    """Whether a line tells of an illness or a complaint, and so is no answer to a question about something else.

    One about the body is answered with such words ("fever until Sunday", "no, only the knee"); no to it is not heard in
    a line that tells of an illness. Of lines longer than most answers the second reader is asked; where the question is
    about signs of the heart, of every line that does not begin with the answer.
    """
    told, asks = turn.verdict, turn.asked.what
    begins = asks is Ask.ILL_BACK and question_answered(turn.line.partition(" ")[0]) is not None
    is_long = len(turn.line.split()) > LONG_LINE.value or (asks is Ask.ILL_BACK and not begins)
    complains = told.question != "" or (is_long and signs.complains(turn.line, turn.today))
    match asks:
        case Ask.LAST_FEVER:
            return complains or (told.level is not Level.NONE and not told.told)
        case Ask.ILL_BACK if begins:
            return complains or told.ill_now
        case Ask.SIGN | Ask.CONDITION | Ask.CHOICE:
            return told.ill_now and read_yes_no(turn.line) is not True
        case Ask.ERASE if read(turn.line, turn.today).intent is Intent.SYMPTOM:
            return True
        case _:
            return complains or told.level is not Level.NONE or bool(told.told)


def _on(kind: type[C], act: Callable[[Answering, C], Answer | None]) -> Handle:
    """What is done about an answer of that kind; one of any other kind is none."""
    return lambda turn, chosen: act(turn, chosen) if isinstance(chosen, kind) else None


def _one_of(acts: Mapping[Chosen, Callable[[Answering], Answer | None]]) -> Handle:
    """What is done about each of these answers; any other is none."""
    return lambda turn, chosen: acts[chosen](turn) if chosen in acts else None


def _yes_or_no(turn: Answering) -> Chosen | None:
    agreed = read_yes_no(turn.line)
    return None if agreed is None else Agreed(agreed)


def _days(turn: Answering) -> Chosen | None:
    named = read_days(turn.line, turn.today)
    return ChosenDays(named) if named else None


# How many minutes was it? Is that right?


def _read_minutes(turn: Answering) -> Chosen | None:
    if turn.verdict.level is not Level.NONE:
        return None
    agreed = read_yes_no(turn.line)
    if agreed is False:
        return Agreed(False)
    minutes = read_minutes(turn.line)
    if minutes is None:
        return Agreed(True) if agreed and turn.asked.what is Ask.SURE_MINUTES else None
    return ChosenMinutes(minutes) if len(turn.line.split()) <= LONGEST_ANSWER else None


def _minutes(turn: Answering, chosen: Chosen) -> Answer | None:
    """The minutes of the run that was reported without them; a line that reports more than that is read anew."""
    asked = turn.asked
    match chosen:
        case Agreed(False):
            return say(turn.closed, log_words.NOTHING_ADDED)
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


def _read_same_or_second(turn: Answering) -> Chosen | None:
    option = answer_words.option_in(turn.line)
    return ChosenOption(option) if option in (Option.SECOND, Option.SAME) else None


def _read_second_or_correction(turn: Answering) -> Chosen | None:
    option = answer_words.option_in(turn.line)
    if option in (Option.SECOND, Option.CORRECTION):
        return ChosenOption(option)
    runs = [entry for entry in turn.book.log if entry.day == turn.day and entry.is_run]
    minutes = answer_words.put_right(turn.line)
    if not runs or minutes is None:
        return None
    if minutes == sum(entry.minutes for entry in runs):
        return ChosenOption(Option.SECOND)
    return ChosenOption(Option.CORRECTION) if minutes == log_run.noted_last(runs).minutes else None


def _second(turn: Answering) -> Answer:
    first = read(turn.asked.line, turn.book.today(turn.asked.at))
    return log_run.log(turn.closed, replace(turn.heard, text=turn.asked.line), first, sure=True)


# Until when? To which day?


def _read_until(turn: Answering) -> Chosen | None:
    """The days of a pause; one day alone is its last, and the first is the one on which it was announced."""
    named = read_pause(turn.line, turn.today)
    if len(named) == 1 and named[0] > turn.today:
        named = tuple(turn.today + timedelta(days=n) for n in range((named[0] - turn.today).days + 1))
    return ChosenDays(named) if named else None


def _until(turn: Answering, chosen: ChosenDays) -> Answer | None:
    return changes.away(turn.closed, turn.heard, chosen.days) if chosen.days else None


def _which_day(turn: Answering, chosen: ChosenDays) -> Answer | None:
    return changes.move(turn.closed, turn.heard, turn.day, chosen.days[0]) if chosen.days else None


# More than planned


def _read_more(turn: Answering) -> Chosen | None:
    line = turn.line.casefold()
    if ONE_OFF.search(line):
        return ChosenOption(Option.ONE_OFF)
    agreed = True if GROW.search(line) else read_yes_no(turn.line)
    return None if agreed is None else ChosenOption(Option.GROW if agreed else Option.ONE_OFF)


def _grow(turn: Answering) -> Answer:
    if more.may_grow(turn.closed, turn.day):
        return say(more.grown(turn.closed, turn.day), first_words.GROWS)
    return say(turn.closed, first_words.STAYS)


# The weather


def _read_weather(turn: Answering) -> Chosen | None:
    value = weather.read_answer(turn.asked.what, turn.line)
    return None if value is None else ChosenNumber(value)


# Health: the plain question, the way back from an illness, the choice of the day


def _read_heart(turn: Answering) -> Chosen | None:
    answered = question_answered(turn.line)
    return None if answered is None else Agreed(answered)


def _read_last_ill(turn: Answering) -> Chosen | None:
    if (turn.verdict.ill_now and _is_told_anew(turn)) or _says_more(turn):
        return None
    last = told_day(turn.line, turn.today)
    return None if last is None else ChosenDays((last,))


def _says_more(turn: Answering) -> bool:
    """Whether a line is too long to be a day alone, and does not say until when."""
    return len(turn.line.split()) > LONG_LINE.value and not says_until(turn.line)


def _is_told_anew(turn: Answering) -> bool:
    """Whether a line that tells of an illness does not say how long the one before it lasted: "fever since Monday",
    "flu again, nothing today", "down with flu, Friday is doubtful"."""
    if says_until(turn.line):
        return False
    days = read_days(turn.line, turn.today)
    gone = any(day <= turn.today for day in days)
    return turn.today in days or says_since(turn.line) or (len(turn.line.split()) > LONGEST_ANSWER and not gone)


def _last_ill(turn: Answering, chosen: ChosenDays) -> Answer | None:
    if not chosen.days or max(chosen.days) > turn.today:
        return None
    wait = Wait(turn.asked.detail) if turn.asked.detail in set(Wait) else Wait.FEVER
    return illness.lasted(turn.closed, turn.heard, wait, max(*chosen.days, turn.day))


def _read_not_ill(turn: Answering) -> Chosen | None:
    return ChosenOption(Option.NOT_ILL) if says_not_ill(turn.line) else None


def _read_choice(turn: Answering) -> Chosen | None:
    option = TODAYS.get(turn.line.strip(" .!").casefold())
    return None if option is None else ChosenOption(option)


def _choice(turn: Answering, chosen: ChosenOption) -> Answer | None:
    today = chosen.option in TODAYS.values()
    return health.chosen(turn.book, turn.heard, chosen.option, turn.day) if today else None


# Deleting everything; a coach's message


def _read_erase(turn: Answering) -> Chosen | None:
    """Only the whole sentence deletes; any other line keeps everything."""
    return Agreed(turn.line.strip(" .!").casefold() == "erase everything")


def _erase(turn: Answering, chosen: Chosen) -> Answer | None:
    # A button can keep everything; it cannot delete it.
    if chosen == Agreed(True) and turn.heard.action is None:
        paused = f" {hold_words.ERASED_ON_HOLD}" if isinstance(turn.book.standing, OnHold | Walking) else ""
        return Answer(turn.closed, say(turn.closed, f"{pages.ERASED}{paused}").says, erase=True)
    return say(turn.closed, pages.ERASE_KEPT)


# Which of several changes is taken back


def _read_which_change(turn: Answering) -> Chosen | None:
    key = taking_back.key_meant(turn.book, turn.heard, turn.asked.line)
    return None if key is None else ChosenValue(key)


def _elsewhere(_turn: Answering, _chosen: Chosen) -> Answer | None:
    """A coach's message is sent by the caller, which knows the group; a reading is acted on by its intent."""
    return None


QUESTIONS: Final[Mapping[Ask, tuple[Read, Handle]]] = {
    Ask.MINUTES: (_read_minutes, _minutes),
    Ask.SURE_MINUTES: (_read_minutes, _minutes),
    Ask.SECOND_RUN: (
        _read_second_or_correction,
        _one_of(
            {
                ChosenOption(Option.SECOND): lambda turn: say(turn.closed, log_words.BOTH_STAY),
                ChosenOption(Option.CORRECTION): lambda turn: log_run.corrected(turn.closed, turn.heard, turn.day),
            }
        ),
    ),
    Ask.SAME_AGAIN: (
        _read_same_or_second,
        _one_of(
            {
                ChosenOption(Option.SECOND): _second,
                ChosenOption(Option.SAME): lambda turn: say(turn.closed, log_words.KEPT_ONE),
            }
        ),
    ),
    Ask.UNTIL: (_read_until, _on(ChosenDays, _until)),
    Ask.WHICH_DAY: (_days, _on(ChosenDays, _which_day)),
    Ask.SETTING: (
        lambda turn: onboarding.read_setting(turn.book, turn.asked.detail, turn.heard.text),
        lambda turn, chosen: onboarding.setting_answered(turn.book, turn.heard, turn.asked.detail, chosen),
    ),
    Ask.MORE: (
        _read_more,
        _one_of(
            {
                ChosenOption(Option.ONE_OFF): lambda turn: say(turn.closed, first_words.ONE_OFF),
                ChosenOption(Option.GROW): _grow,
            }
        ),
    ),
    Ask.REPEAT: (
        lambda turn: repeating.read_answer(turn.asked.detail, turn.line),
        lambda turn, chosen: repeating.answered(turn.book, turn.heard, turn.asked.detail, chosen),
    ),
    Ask.CONDITION: (
        _yes_or_no,
        _on(Agreed, lambda turn, told: conditions.answered(turn.book, turn.heard, told.yes)),
    ),
    **dict.fromkeys(
        (Ask.WIND, Ask.HUMIDITY),
        (_read_weather, _on(ChosenNumber, lambda turn, told: weather.decided(turn.book, turn.heard, told.value))),
    ),
    Ask.SIGN: (
        _yes_or_no,
        _on(Agreed, lambda turn, told: health.sign_answered(turn.book, turn.heard, turn.asked.detail, yes=told.yes)),
    ),
    Ask.ILL_BACK: (
        _read_heart,
        _one_of(
            {
                Agreed(True): lambda turn: health.heart_after_illness(turn.book, turn.heard),
                Agreed(False): lambda turn: illness.no_heart_sign(turn.book, turn.heard),
            }
        ),
    ),
    Ask.LAST_FEVER: (_read_last_ill, _on(ChosenDays, _last_ill)),
    Ask.NOT_ILL: (
        _read_not_ill,
        _one_of({ChosenOption(Option.NOT_ILL): lambda turn: illness.not_ill(turn.book, turn.heard, turn.asked.line)}),
    ),
    Ask.NOT_ILL_SURE: (
        _yes_or_no,
        _one_of(
            {
                Agreed(True): lambda turn: illness.taken_back(turn.closed, turn.heard),
                Agreed(False): lambda turn: say(turn.closed, illness_words.STILL_ILL),
            }
        ),
    ),
    Ask.CHOICE: (_read_choice, _on(ChosenOption, _choice)),
    Ask.ERASE: (_read_erase, _erase),
    Ask.FILE_KIND: (
        lambda turn: files.read_kind(turn.line),
        _on(ChosenValue, lambda turn, told: files.kind_told(turn.closed, turn.heard, turn.asked, told.text)),
    ),
    Ask.BUSY_DAYS: (
        _yes_or_no,
        _on(Agreed, lambda turn, told: busy_days.settled(turn.closed, turn.heard, turn.asked, yes=told.yes)),
    ),
    Ask.TAKE_BACK: (
        _read_which_change,
        _on(
            ChosenValue,
            lambda turn, told: taking_back.chosen(turn.closed, turn.heard, turn.asked.line, told.text),
        ),
    ),
    **dict.fromkeys((Ask.TELL, Ask.REMOVE, Ask.DISMISS), (_yes_or_no, _elsewhere)),
    # Which reading is meant is asked and answered in `reading_question`, before this.
    Ask.READING: (lambda _: None, _elsewhere),
}
