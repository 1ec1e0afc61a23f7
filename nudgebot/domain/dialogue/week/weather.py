"""The weather in a line: what it calls for, the question that decides it, and a day that is called off outside.

What was called off stays so for the rest of that day, whatever is said about the day after it.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from nudgebot.domain.dialogue.values import Answer, Heard, ask, limit, replan, say, today_of
from nudgebot.domain.messages.common import on_day
from nudgebot.domain.messages.plan import weather as words
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.model.parameters import FORECAST_DAYS
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, LimitReason, Training, Walking
from nudgebot.domain.model.weather import Conditions
from nudgebot.domain.profile import weather
from nudgebot.domain.profile.weather import Missing
from nudgebot.domain.text.reply import Intent, Reading, read_days
from nudgebot.domain.text.weather import WeatherTold, weather_in

# Where degrees without a unit are Fahrenheit (common practice, no source).
FAHRENHEIT = frozenset({"US", "PR", "GU", "VI", "AS", "MP", "BS", "BZ", "KY", "LR", "PW", "FM", "MH"})
ASKS = {Missing.WIND: Ask.WIND, Missing.HUMIDITY: Ask.HUMIDITY}
# A line of one of these intents is about the weather where it tells or asks about it.
NOTHING_ELSE = frozenset({Intent.HELLO, Intent.UNKNOWN, Intent.ASK})
# Words of a question that are easily taken for a plan: "is it too hot to run today?" calls nothing off.
TAKEN_FOR_A_PLAN = frozenset(
    {Intent.SKIP, Intent.SETTINGS, Intent.STATUS, Intent.SYMPTOM, Intent.BUSY, Intent.AWAY, Intent.MOVE}
)


def close_day(book: Book, heard: Heard, reading: Reading) -> Book:
    """The book with the day closed that the weather of the line calls off; most lines change nothing."""
    told = reading.weather
    if not told.anything or told.past:
        return book
    day = _day(book, heard, reading)
    if day is None or not _calls_off(book, _conditions(book, told)):
        return book
    return limit(book, (day,), LimitReason.WEATHER)


def close_and_replan(book: Book, heard: Heard, reading: Reading) -> Book:
    """As `close_day`, with the sessions of the week laid out again where a day was closed."""
    after = close_day(book, heard, reading)
    return book if after is book else replan(after, heard)[0]


def answer_weather(book: Book, heard: Heard, reading: Reading, before: Book) -> Answer | None:
    """The answer to a line about the weather; None for a line about something else. `before` is the book unkept."""
    told = reading.weather
    about = reading.intent in NOTHING_ELSE or (told.asks and reading.intent in TAKEN_FOR_A_PLAN and not reading.days)
    if told.cleared and about:
        today = today_of(book, heard)
        return say(book, say_still_off(book, today, today) or f"{words.CLEARED} {next_line(book, today)}")
    unfinished = told.asks and reading.intent is Intent.LOG and reading.minutes is None and not reading.logs
    if not told.anything or told.past or not (about or unfinished):
        return None
    day = _day(book, heard, reading) or today_of(book, heard)
    conditions = _conditions(book, told)
    if reading.intent is Intent.HELLO and not told.asks and not _speaks(book, conditions, day):
        return None
    return _advise(book, heard, conditions, day, told, before)


def add_advice(done: Answer, heard: Heard, reading: Reading) -> Answer:
    """An answer to something else, with the advice for the weather that its line told."""
    told = reading.weather
    if not told.anything or not done.says or (told.past and reading.intent is not Intent.LOG):
        return done
    found = weather.advice(_conditions(done.book, told), stricter=done.book.profile.pregnancy)
    ran = reading.intent is Intent.LOG
    day = _day(done.book, heard, reading) or today_of(done.book, heard)
    text = words.advise_after_run(found) if ran else words.advise(found, when=on_day(day, today_of(done.book, heard)))
    if not text:
        return done
    *first, last = done.says
    return replace(done, says=(*first, replace(last, text=f"{last.text}\n{text}")))


def take_answer(book: Book, heard: Heard, value: float) -> Answer | None:
    """The answer to how windy (km/h) or how humid (%) it is; None if that is not asked."""
    asked = book.asked
    if asked is None or asked.day is None:
        return None
    told = weather_in(asked.line)
    conditions = _conditions(book, told)
    windy = asked.what is Ask.WIND
    conditions = replace(conditions, wind_kmh=value) if windy else replace(conditions, humidity=value)
    closed = replace(book, asked=None)
    after = closed
    if _calls_off(book, conditions):
        after = limit(closed, (asked.day,), LimitReason.WEATHER)
    return _advise(after, heard, conditions, asked.day, told, closed)


def say_still_off(book: Book, day: date, today: date) -> str:
    """What a wish for a run on a day that the weather called off gets; "" on any other."""
    if not book.off_outside(day):
        return ""
    return words.STILL_OFF if day == today else words.STILL_OFF.replace("today", on_day(day, today))


def _advise(book: Book, heard: Heard, conditions: Conditions, day: date, told: WeatherTold, before: Book) -> Answer:
    stricter = book.profile.pregnancy
    today = today_of(book, heard)
    found = weather.advice(conditions, stricter=stricter)
    text = words.advise(found, when=on_day(day, today))
    if any(each.calls_off for each in found):
        return _call_off(book, heard, day, text, before)
    if book.off_outside(day):
        return say(book, say_still_off(book, day, today))
    missing = weather.unknown(conditions, stricter=stricter)
    if missing is not None:
        return ask(book, heard, ASKS[missing], words.QUESTIONS[missing], words.CHOICES[missing], day=day)
    if text:
        return say(book, text)
    if told.other_index:
        return say(book, words.OTHER_SCALE)
    if conditions == Conditions(humidity=conditions.humidity, wind_kmh=conditions.wind_kmh):
        return say(book, words.UNTOLD)
    return say(book, f"{words.FINE} {words.HOW_EASY}")


def _speaks(book: Book, conditions: Conditions, day: date) -> bool:
    """Whether the weather of a day calls for an advice or a question."""
    found = weather.advice(conditions, stricter=book.profile.pregnancy)
    return bool(found) or book.off_outside(day) or weather.unknown(conditions) is not None


def _call_off(book: Book, heard: Heard, day: date, text: str, before: Book) -> Answer:
    if before.off_outside(day) or not isinstance(book.standing, Training | Walking):
        return say(book, words.say_called_off(text, book, None, None, today_of(book, heard)))
    # A day without a session may have been the one that a gap was to be closed on: the week is looked at as well.
    after, replanned = replan(book, heard)
    had = before.session_on(day)
    return say(after, words.say_called_off(text, after, had, replanned, today_of(book, heard)))


def _conditions(book: Book, told: WeatherTold) -> Conditions:
    return told.conditions(fahrenheit=book.profile.country in FAHRENHEIT)


def _calls_off(book: Book, conditions: Conditions) -> bool:
    return any(each.calls_off for each in weather.advice(conditions, stricter=book.profile.pregnancy))


def _day(book: Book, heard: Heard, reading: Reading) -> date | None:
    """The day that the weather of a line is about; None for a day that is past or too far ahead."""
    today = today_of(book, heard)
    if reading.intent is Intent.LOG:
        days = (reading.day,) if reading.day else tuple(run.day for run in reading.logs)
        return today if not days or today in days else None
    named = [day for day in read_days(reading.weather.rest, today) if today <= day <= today + FORECAST_DAYS.span]
    return named[0] if named else today
