"""What we do about a line that is about nothing graver: one handler an intent."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.dialogue.actions import come_back, likely_minutes
from nudgebot.domain.dialogue.health import complaints, safety_question
from nudgebot.domain.dialogue.questions import pending_question
from nudgebot.domain.dialogue.runs import log_run
from nudgebot.domain.dialogue.settings import change_setting, named_setting
from nudgebot.domain.dialogue.settings.named_setting import shape_in
from nudgebot.domain.dialogue.undo import taking_back
from nudgebot.domain.dialogue.values import Answer, Choices, Heard, ask, say, today_of
from nudgebot.domain.dialogue.week import changes, queries
from nudgebot.domain.messages import runs as run_words
from nudgebot.domain.messages import settings, small_talk
from nudgebot.domain.messages.plan import changes as change_words
from nudgebot.domain.model.actions import Agreed, ChosenDays, ChosenMinutes
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book
from nudgebot.domain.planning.gap import away_on, open_session
from nudgebot.domain.profile.sentences.nudge_words import reminder_in
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.parsed_line import line_of
from nudgebot.domain.text.log_lines.days_off import closed_by_only
from nudgebot.domain.text.reply import Intent, Reading, read
from nudgebot.domain.text.sayings import asks_what_is_on, feeling_in
from nudgebot.domain.text.triage import Verdict, triage
from nudgebot.domain.text.word_files import patterns

P = patterns("dialogue")


@dataclass(frozen=True, slots=True)
class TypedLine:
    """A typed line with what was read in it, and the book it is said to."""

    book: Book
    heard: Heard
    verdict: Verdict
    reading: Reading

    @property
    def today(self) -> date:
        """The runner's day on which it was said."""
        return today_of(self.book, self.heard)

    @property
    def is_log(self) -> bool:
        """Whether it was read as a report of a run."""
        return self.reading.intent is Intent.LOG


def change_named_setting(line: TypedLine) -> Answer | None:
    """A line that names a setting, a place, or the shape of the week; None for any other, and for a run in minutes."""
    place = change_setting.change_place(line.book, line.heard)
    if place is not None:
        return place
    shape = shape_in(line.book, line.heard.text, line.today)
    if shape is not None:
        return change_setting.ask_days(line.book, line.heard, *shape)
    setting = named_setting.setting_in(line.heard.text)
    if setting is None or (line.is_log and not named_setting.is_readable(line.book, *setting)):
        return None
    return change_setting.ask_setting(line.book, line.heard, *setting)


def change_any_setting(line: TypedLine) -> Answer | None:
    """A line that changes a setting, or tells a fact or a place that is one; None for any other."""
    book, text = line.book, line.heard.text
    shape = shape_in(book, text, line.today)
    if shape is not None:
        return change_setting.ask_days(book, line.heard, *shape)
    setting = named_setting.setting_in(text)
    if setting is None or (setting[1] and not named_setting.is_readable(book, *setting)):
        setting = named_setting.fact_in(text, line.today)
    if setting is None:
        return change_setting.change_place(book, line.heard) or _remind_at(line)
    return change_setting.ask_setting(book, line.heard, *setting)


def _remind_at(line: TypedLine) -> Answer | None:
    wall = reminder_in(line.heard.text, line.book.profile.remind_at)
    return None if wall is None else change_setting.ask_setting(line.book, line.heard, "remind_at", f"{wall:%H:%M}")


def _undo(line: TypedLine) -> Answer:
    """The last entry mended or taken back; "it was 38" of a day that has none tells the run."""
    minutes = taking_back.minutes_first_told(line.book, line.heard)
    if minutes is None:
        return taking_back.answer_correction(line.book, line.heard)
    return _log(replace(line, reading=Reading(Intent.LOG, minutes=minutes, day=line.today)))


def _log(line: TypedLine) -> Answer:
    """A finished session; without its minutes they are asked for, and what else the line holds is done as well."""
    book, heard, reading = line.book, line.heard, line.reading
    day = reading.day or line.today
    if reading.ask_back or (reading.minutes is None and not reading.logs):
        if reading.minutes is not None:
            return _ask_if_minutes(line, reading.minutes, day)
        return ask(book, heard, Ask.MINUTES, run_words.HOW_MANY, likely_minutes(book, day), day=day)
    done = log_run.log(book, heard, reading)
    if done.book.asked is not None or reading.second_intent is None or not reading.days:
        return done
    rest = _beside_the_run(replace(line, book=done.book), reading.second_intent)
    return done if rest is None else rest.behind(*done.says)


def _beside_the_run(line: TypedLine, second: Intent) -> Answer | None:
    """What a line that reports a run says about other days; None if that is nothing to act on."""
    book, heard, days = line.book, line.heard, line.reading.days
    match second:
        case Intent.BUSY:
            return changes.limit_days(book, heard, days, None)
        case Intent.AWAY:
            return changes.go_away(book, heard, days)
        case Intent.SKIP:
            return changes.skip(book, heard, days[0])
        case Intent.MOVE:
            planned = changes.next_planned_day(book, line.today + timedelta(days=1))
            return changes.move(book, heard, planned, days[0]) if planned else None
        case _:
            return None


def _move(line: TypedLine) -> Answer:
    book, heard, today = line.book, line.heard, line.today
    if asks_what_is_on(heard.text):
        return queries.show_week(book, heard)
    first = changes.day_meant(book, heard, line.reading.day or today)
    if open_session(book, first) is None and (asked := queries.answer_may_i_run(book, heard)) is not None:
        return asked
    if line.reading.days:
        return changes.move(book, heard, first, line.reading.days[0])
    if first == today and P.later_today.search(squeezed(heard.text)):
        return say(book, f"{change_words.ANY_TIME} {queries.say_next(book, heard)}")
    return ask(book, heard, Ask.WHICH_DAY, change_words.WHICH_DAY, _next_days(book, today), day=first)


def _busy(line: TypedLine) -> Answer:
    days = changes.named_days(line.reading, line.today)
    return changes.limit_days(line.book, line.heard, days, line.reading.minutes)


def _away(line: TypedLine) -> Answer:
    return changes.go_away(line.book, line.heard, () if line.reading.ask_back else tuple(line.reading.days))


def _complaint(line: TypedLine) -> Answer:
    """What may be a sign is asked about; days off that are told with it are kept free, and who says back first is."""
    away = line.reading.second_intent is Intent.AWAY and line.reading.days
    first = P.clause_end.split(line.heard.text, maxsplit=1)[0]
    back = away_on(line.book, line.today) and read(first, line.today).intent is Intent.BACK
    done = _away(line) if away else come_back(line.book, line.heard) if back else None
    return safety_question.ask_about(line.book, line.heard, done)


def _settings(line: TypedLine) -> Answer:
    fact = named_setting.fact_in(line.heard.text, line.today)
    if fact is not None:
        return change_setting.ask_setting(line.book, line.heard, *fact)
    if (reminder := _remind_at(line)) is not None:
        return reminder
    if closed := closed_by_only(line_of(line.heard.text), line.today):
        busy = Reading(Intent.BUSY, day=closed[0], days=closed)
        return pending_question.ask_which(line.book, line.heard, replace(busy, choices=(busy,)))
    return Answer(line.book, (settings.ask_which_setting(),))


def _hello(line: TypedLine) -> Answer:
    # "in Berlin" is as good as small talk to whoever does not know the names of places.
    said = squeezed(line.heard.text)
    if P.agrees.fullmatch(said):
        return say(line.book, small_talk.AGREED)
    return change_any_setting(line) or say(line.book, small_talk.THANKS if P.thanks.search(said) else small_talk.HELLO)


def _unknown(line: TypedLine) -> Answer:
    """No reading: a bare number is asked about, a way of saying how one feels is taken, the rest gets an example."""
    book, heard = line.book, line.heard
    told = change_any_setting(line)
    if told is not None:
        return told
    number = re.fullmatch(r"\s*(\d{1,4})\s*", heard.text)
    if line.reading.ask_back and number:
        return _ask_if_minutes(line, int(number[1]), line.today)
    feeling = feeling_in(heard.text)
    if feeling and book.symptoms:
        return complaints.take_feeling(book, heard, feeling)
    if heard.text.strip(" .!").casefold() in {"yes", "no", "ok", "okay"}:
        return say(book, small_talk.NOT_OPEN)
    return safety_question.answer_not_understood(book, heard, triage(heard.text), line.reading)


INTENTS: Final[Mapping[Intent, Callable[[TypedLine], Answer]]] = {
    Intent.LOG: _log,
    Intent.SKIP: lambda line: changes.skip(line.book, line.heard, changes.named_days(line.reading, line.today)[0]),
    Intent.MOVE: _move,
    Intent.BUSY: _busy,
    Intent.AWAY: _away,
    Intent.BACK: lambda line: come_back(line.book, line.heard),
    Intent.STATUS: lambda line: queries.show_week(line.book, line.heard),
    Intent.UNDO: _undo,
    Intent.SYMPTOM: _complaint,
    Intent.SETTINGS: _settings,
    Intent.ASK: lambda line: queries.answer_question(line.book, line.heard),
    Intent.HELLO: _hello,
    Intent.UNKNOWN: _unknown,
}


def _ask_if_minutes(line: TypedLine, number: int, day: date) -> Answer:
    """A number that may be minutes or something else: asked, with the likely answers."""
    minutes: Choices = ((f"{number} min", ChosenMinutes(number)),) if 1 <= number <= 600 else ()
    choices: Choices = (*minutes, ("Not minutes", Agreed(False)))
    question = run_words.ask_if_minutes(number)
    return ask(line.book, line.heard, Ask.SURE_MINUTES, question, choices, day=day, detail=str(number))


def _next_days(book: Book, today: date) -> Choices:
    days = [today + timedelta(days=i) for i in range(1, 4)]
    return tuple((f"{day:%A}", ChosenDays((day,))) for day in days if book.session_on(day) is None)
