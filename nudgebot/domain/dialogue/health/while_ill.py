"""What is said to somebody who tells of an illness, or writes while it lasts."""

from __future__ import annotations

from dataclasses import replace

from nudgebot.domain.dialogue.health.illness import (
    ask_about_heart,
    begin_way_back,
    illness_of,
    is_still_ill,
    record_illness,
    with_fever_today,
    with_last_day,
)
from nudgebot.domain.dialogue.runs import log_run
from nudgebot.domain.dialogue.runs.log_run import WALKS, add_caution
from nudgebot.domain.dialogue.values import Answer, Heard, ask, say, today_of, with_complaint
from nudgebot.domain.messages.health import illness as words
from nudgebot.domain.messages.health.hold import CLEARED, hold_page
from nudgebot.domain.messages.runs import say_counted
from nudgebot.domain.model.actions import ChosenOption, Feeling, Option, Resume
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, OnHold
from nudgebot.domain.model.speech import SAFETY, Button
from nudgebot.domain.planning import ways_back
from nudgebot.domain.planning.ways_back import Wait
from nudgebot.domain.text.fevers import is_fever
from nudgebot.domain.text.illness_talk import bare_temperature, last_day_told
from nudgebot.domain.text.reply import Intent, Reading, read_days
from nudgebot.domain.text.sayings import feeling_in, hides_a_fever, says_well
from nudgebot.domain.text.triage import Level, Verdict


def answer_illness(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer:
    """An illness told: nothing is planned from here on; a finished run in the line is counted all the same."""
    today = today_of(book, heard)
    more = isinstance(book.standing, Ill)
    runs = reading.intent is Intent.LOG and not reading.ask_back
    after = record_illness(with_complaint(book, heard, verdict), heard, verdict)
    first = ""
    if runs:
        after, entries = log_run.store(after, heard, reading)
        first = f"{say_counted(entries, today)}\n"
    if isinstance(after.standing, OnHold):
        return _answer_beneath_hold(
            after, f"{first}{words.BENEATH if is_still_ill(book, heard, verdict) else words.BENEATH_OVER}"
        )
    if not is_still_ill(book, heard, verdict):
        return ask_about_heart(after, heard, f"{first}{words.WELL_ALREADY}")
    if more and hides_a_fever(heard.text):
        return say(with_fever_today(replace(after, asked=None), today), f"{first}{words.MEDICINE}")
    wait = ways_back.wait_of(after.standing)[0] if isinstance(after.standing, Ill) else Wait.ILL
    text = f"{first}{words.answer_illness(wait, book.profile.country, more=more)}"
    if reading.intent is Intent.LOG and not runs:
        text = f"{text}\n{words.RUN_TOO}"
    if more:
        return say(replace(after, asked=None), text)
    return ask(after, heard, Ask.NOT_ILL, text, ((words.NOT_ILL, ChosenOption(Option.NOT_ILL)),), day=today)


def _answer_beneath_hold(book: Book, first: str) -> Answer:
    """An illness beneath a hold, which comes first."""
    text = f"{first} {hold_page(book.standing, book.profile.country)}"
    return say(replace(book, asked=None), text, Button(CLEARED, Resume()), kind=SAFETY)


def answer_on_hold(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer | None:
    """The answer to an illness told on hold, or to the end of one; None if the line is about something else."""
    if verdict.told:
        return answer_illness(book, heard, verdict, reading)
    over = illness_of(book) is not None and says_well(heard.text) and reading.intent is not Intent.LOG
    return _answer_beneath_hold(book, words.BENEATH_OVER) if over else None


def answer_while_ill(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer | None:
    """The answer to a line of somebody who is ill; None if the line is about something else."""
    if verdict.told and (is_still_ill(book, heard, verdict) or not says_well(heard.text)):
        return answer_illness(book, heard, verdict, reading)
    today = today_of(book, heard)
    if not verdict.told and (last := last_day_told(heard.text, today)) is not None:
        return begin_way_back(with_last_day(book, last), heard, words.say_last_noted(last, today))
    if (degrees := bare_temperature(heard.text)) is not None:
        return _take_temperature(book, heard, *degrees)
    if says_well(heard.text) and reading.intent is not Intent.LOG:
        dated = verdict.told and read_days(heard.text, today, past=True)
        return begin_way_back(record_illness(book, heard, verdict) if dated else book, heard)
    if verdict.level is Level.NONE and feeling_in(heard.text) in {Feeling.SAME, Feeling.WORSE}:
        return take_same_or_worse(book, heard)
    told = reading.minutes is not None or bool(reading.logs)  # without minutes they are asked for, as on any day
    if reading.intent is Intent.LOG and told and verdict.level is Level.NONE:
        return _log_while_ill(book, heard, reading)
    if reading.intent in {Intent.MOVE, Intent.SKIP, Intent.BUSY}:
        return say(replace(book, asked=None), words.NOTHING_TO_MOVE)
    return None


def _take_temperature(book: Book, heard: Heard, value: str, celsius: float) -> Answer:
    """A temperature told without its name; a fever moves the last day with one on."""
    first = words.TEMPERATURE.format(value)
    if value.isdigit():
        first += words.IF_A_RUN.format(value)
    if is_fever(celsius):
        return say(with_fever_today(book, today_of(book, heard)), f"{first}{words.STILL_ILL}")
    return say(book, f"{first}{words.NO_FEVER} {words.WHEN_BETTER}")


def _log_while_ill(book: Book, heard: Heard, reading: Reading) -> Answer:
    """A run logged while ill is counted: with the caution, or once the wait is over with the question back.

    Nobody has to know the word for "better"; the standing stays until the question is answered.
    """
    done = log_run.log(book, heard, reading)
    ill = book.standing
    asked_before = book.asked is not None and book.asked.what is Ask.ILL_BACK
    asks = done.book.asked is not None and not (asked_before and done.book.asked == book.asked)
    if not isinstance(ill, Ill) or reading.activity in WALKS or done.book.log == book.log or asks:
        return add_caution(book, done, reading.activity)
    if ways_back.first_run_day(*ways_back.wait_of(ill)) > today_of(book, heard):
        return add_caution(book, done, reading.activity)
    asked = words.WAITS_FOR_ANSWER if asked_before else words.RUNNING_AGAIN
    return ask_about_heart(done.book, heard, asked).behind(*done.says)


def take_same_or_worse(book: Book, heard: Heard) -> Answer:
    """ "Same" or "worse" to "how are you": the illness goes on, and a fever or an upset stomach with it."""
    if not isinstance(book.standing, Ill):
        return say(book, words.STILL_ILL)
    after = replace(with_last_day(book, today_of(book, heard)), asked=None)
    return say(after, f"{words.STILL_ILL} {words.sooner(book.profile.country)}")
