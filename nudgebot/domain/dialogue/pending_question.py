"""The next line read as the answer to what we asked back."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue import changes, conditions, health, illness, log_run, onboarding, weather
from nudgebot.domain.dialogue.values import Answer, Heard, say, today_of
from nudgebot.domain.messages import hold as hold_words
from nudgebot.domain.messages import illness as illness_words
from nudgebot.domain.messages import log as log_words
from nudgebot.domain.messages import pages
from nudgebot.domain.model.runner import Ask, Book, OnHold, Walking
from nudgebot.domain.planning.illness_wait import Wait
from nudgebot.domain.text.illness_talk import question_answered, says_not_ill, told_day
from nudgebot.domain.text.reply import Intent, Reading, read, read_by_rules, read_days, read_minutes, read_yes_no
from nudgebot.domain.text.triage import Verdict

SECOND = re.compile(r"\W*(?:a |the )?(?:second(?: run| one)?|another(?: run| one)?|both|two runs)\W*", re.IGNORECASE)
CORRECTION = re.compile(r"\W*(?:a |the )?(?:correction|correct(?:ed)? (?:it|that)|replace|fix)\W*", re.IGNORECASE)
SAME = re.compile(r"\W*(?:it'?s |is )?(?:the )?same(?: one| run)?\W*|\W*no\W*", re.IGNORECASE)
CHOICES = {
    "as planned": "as planned",
    "shortest": "shortest",
    "short": "shortest",
    "the shortest": "shortest",
    "walk": "walk",
    "a walk": "walk",
    "rest": "rest",
}


def answered_question(book: Book, heard: Heard, verdict: Verdict) -> Answer | None:
    """The answer to the open question, or None where the line is about something else (it is then read as it is)."""
    asked = book.asked
    if asked is None:
        return None
    today = today_of(book, heard)
    line = heard.text.strip()
    agreed = read_yes_no(line)
    closed = replace(book, asked=None)
    day = asked.day or today
    match asked.what:
        case Ask.MINUTES | Ask.SURE_MINUTES:
            return _minutes(book, heard, verdict)
        case Ask.SAME_AGAIN:
            original = replace(heard, text=asked.line, key=f"{heard.key}")
            if SECOND.fullmatch(line):
                return log_run.log(closed, heard, read(original.text, book.today(asked.at)), sure=True)
            return say(closed, log_words.KEPT_ONE) if SAME.fullmatch(line) else None
        case Ask.SECOND_RUN:
            if SECOND.fullmatch(line):
                return say(closed, log_words.BOTH_STAY)
            return log_run.corrected(closed, heard, day) if CORRECTION.fullmatch(line) else None
        case Ask.UNTIL:
            days = _until(book, heard)
            return changes.away(closed, heard, days) if days else None
        case Ask.WHICH_DAY:
            days = read_days(line, today)
            return changes.move(closed, heard, day, days[0]) if days else None
        case Ask.SETTING | Ask.COUNTRY:
            return onboarding.setting_answered(book, heard, asked.detail, agreed)
        case Ask.CONDITION:
            return conditions.answered(book, heard)
        case Ask.SIGN:
            return None if agreed is None else health.sign_answered(book, heard, asked.detail, yes=agreed)
        case Ask.ILL_BACK:
            answered = question_answered(line)
            if answered is None:
                return None
            return health.heart_after_illness(book, heard) if answered else illness.no_heart_sign(book, heard)
        case Ask.LAST_FEVER:
            last = told_day(line, today)
            return None if last is None else illness.lasted(closed, heard, Wait(asked.detail), max(last, day))
        case Ask.NOT_ILL:
            return illness.not_ill(book, heard, asked.line) if says_not_ill(line) else None
        case Ask.NOT_ILL_SURE:
            if agreed is None:
                return None
            return illness.taken_back(closed, heard) if agreed else say(closed, illness_words.STILL_ILL)
        case Ask.WIND | Ask.HUMIDITY:
            return weather.decided(book, heard, line)
        case Ask.CHOICE:
            choice = CHOICES.get(line.strip(" .!").casefold())
            return health.chosen(book, heard, choice, day) if choice else None
        case Ask.ERASE:
            if line.strip(" .!").casefold() == "erase everything":
                paused = f" {hold_words.ERASED_ON_HOLD}" if isinstance(book.standing, OnHold | Walking) else ""
                return Answer(closed, (say(closed, f"{pages.ERASED}{paused}").says[0],), erase=True)
            return say(closed, pages.ERASE_KEPT)
        case Ask.LEAVE_HOLD | Ask.TELL | Ask.READING:  # answered before, by callers that know more
            return None


def _minutes(book: Book, heard: Heard, verdict: Verdict) -> Answer | None:
    """The minutes of the run that was reported without them; a line that reports more than that is read anew."""
    asked = book.asked
    if asked is None or verdict.level.rank > 0:
        return None
    closed = replace(book, asked=None)
    if read_yes_no(heard.text) is False:
        return say(closed, log_words.NOTHING_ADDED)
    minutes = read_minutes(heard.text)
    if minutes is None and asked.what is Ask.SURE_MINUTES and read_yes_no(heard.text):
        minutes = int(asked.detail)
    if minutes is None or not 1 <= minutes <= 600 or len(heard.text.split()) > 5:
        return None
    first = read(asked.line, book.today(asked.at))
    run = Reading(
        Intent.LOG,
        minutes=minutes,
        day=asked.day,
        activity=first.activity,
        rpe=first.rpe,
        heart_rate=first.heart_rate if asked.what is Ask.MINUTES else None,
        distance_km=first.distance_km,
    )
    return log_run.log(closed, heard, run)


def _until(book: Book, heard: Heard) -> tuple[date, ...]:
    """The days of a pause whose end is told now; the first day is the one on which the pause was announced."""
    today = today_of(book, heard)
    text = heard.text.strip()
    for line in (f"away {text}", f"away until {text}"):
        reading = read_by_rules(line, today)
        if reading.intent is Intent.AWAY and reading.days and not reading.ask_back:
            return tuple(reading.days)
    named = read_days(text, today)
    if not named:
        return ()
    return tuple(today + timedelta(days=i) for i in range((max(named) - today).days + 1))
