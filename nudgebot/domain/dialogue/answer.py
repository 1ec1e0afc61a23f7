"""What we do about a line: the log, the plan, the standing, and what to say.

The order is the contract: a warning sign is answered before everything else, in every state of the conversation;
then a question that is open; then the line for what it is, by one handler an intent.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from nudgebot.domain.dialogue import (
    changes,
    conditions,
    events,
    health,
    hold,
    illness,
    log_run,
    mind,
    number_hold,
    onboarding,
    queries,
    reading_question,
    remembered,
    repeating,
    safety_question,
    taking_back,
    weather,
    wishes,
)
from nudgebot.domain.dialogue.actions import acted, back, likely_minutes
from nudgebot.domain.dialogue.pending_question import answer_question
from nudgebot.domain.dialogue.values import Answer, Choices, Heard, ask, say, today_of
from nudgebot.domain.dialogue.weekly_pattern import shape_in
from nudgebot.domain.messages import changes as change_words
from nudgebot.domain.messages import illness as illness_words
from nudgebot.domain.messages import log as log_words
from nudgebot.domain.messages import pages, safety
from nudgebot.domain.messages import reading as reading_words
from nudgebot.domain.messages.conditions import SOMEBODY_ELSES
from nudgebot.domain.messages.plan import next_line
from nudgebot.domain.model.actions import Agreed, ChosenDays, ChosenMinutes, Remind
from nudgebot.domain.model.parameters import HOLD_IS_FRESH, QUESTION_LASTS
from nudgebot.domain.model.runner import Ask, Book, Ill, Joining, NudgeKind, OnHold, Outcome, Walking
from nudgebot.domain.model.speech import Say
from nudgebot.domain.planning.gap import open_session
from nudgebot.domain.profile import emergency
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.illness_talk import worse_after_effort
from nudgebot.domain.text.line.parsed_line import line_of
from nudgebot.domain.text.log_lines.only_days import closed_by_only
from nudgebot.domain.text.reply import Intent, Reading, read, read_yes_no
from nudgebot.domain.text.short_lines import action_in, feeling_in, feeling_told
from nudgebot.domain.text.small_talk import asks_what_is_on
from nudgebot.domain.text.triage import Level, Verdict, triage

__all__ = ["Answer", "Heard", "answer"]

NOT_TEXT = "\N{OBJECT REPLACEMENT CHARACTER}"  # what a voice hands on for a picture, a sticker, a voice note
LATER_TODAY = re.compile(
    r"\b(lunch(?:time)?|noon|midday|tonight|after work|later today|this (?:morning|afternoon|evening))\b", re.IGNORECASE
)
THANKS = re.compile(r"\b(thanks|thank you|thx|ty|cheers|gracias|danke|merci|obrigad[oa])\b", re.IGNORECASE)


# A nod to a reminder, in the five languages.
AGREES = re.compile(
    r"(?:ok(?:ay)?|k|all ?right|alright|will do|on it|sure|fine|got it|deal|yep|yes|gut|mach ich|geht klar|alles klar|"
    r"ja|vale|de acuerdo|claro|si|d'accord|ca marche|entendu|oui|esta bem|combinado|certo|sim)"
    r"(?:[\s,]+(?:tonight|later|this evening|heute abend|esta noche|ce soir|logo a noite))?[\s.!,]*",
)


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


ByWord = Callable[[Book], Answer]  # what a command does that was said without its slash


def answer(book: Book, heard: Heard, by_word: ByWord | None = None) -> Answer:
    """The answer to one line, or to one button.

    `book` has been rolled to today by the caller and knows that the runner was heard. Where the line is a command's
    word without the slash, `by_word` follows the command once nothing else claims the line.
    """
    if heard.action is not None:
        return safety_question.answered(book, heard, Verdict()) or safety_question.asked_first(
            book, heard, Verdict(), None, _as_chosen(book, heard) or acted(book, heard, heard.action)
        )
    verdict = conditions.as_told(book, heard, triage(heard.text))
    today = today_of(book, heard)
    line = TypedLine(book, heard, verdict, remembered.as_remembered(book, heard, read(heard.text, today), today))
    said = safety_question.answered(book, heard, verdict)
    return said or safety_question.asked_first(book, heard, verdict, line.reading, _answered(line, by_word))


def _answered(line: TypedLine, by_word: ByWord | None) -> Answer:
    """The answer to a line that is not about the closed safety question."""
    book, heard, today = line.book, line.heard, line.today
    if line.verdict.level.rank >= Level.CLINICIAN.rank:
        return health.alarm(book, heard, line.verdict, line.reading)
    if heard.text == NOT_TEXT:
        return say(book, pages.TEXT_ONLY_AT_FIRST if isinstance(book.standing, Joining) else pages.TEXT_ONLY)
    if (going_on := _hold_goes_on(line)) is not None:
        return going_on
    if (condition := conditions.told(book, heard)) is not None:
        return condition
    if conditions.age_is_open(book):
        return conditions.answered(book, heard, read_yes_no(heard.text)) or conditions.under_age(book, heard)
    if isinstance(book.standing, Joining):
        return _joining(line)
    asked = book.asked
    if asked is not None:
        if heard.at - asked.at > QUESTION_LASTS.span or book.today(asked.at) != today:
            line = replace(line, book=replace(book, asked=None))
        elif (done := _as_chosen(book, heard)) is not None:
            return done
        elif (settled := answer_question(book, heard, line.verdict)) is not None:
            return settled
        elif asked.what is Ask.ERASE:  # whatever else was said, everything is kept
            line = replace(line, book=replace(book, asked=None))
    return _unasked(line, by_word)


def _joining(line: TypedLine) -> Answer:
    """A line to the intake's open question, or to one asked beside it; an illness told is kept for its end."""
    if line.book.asked is not None and line.book.asked.what in {Ask.ERASE, Ask.CONDITION}:
        settled = answer_question(line.book, line.heard, line.verdict)
        return settled or onboarding.answered(replace(line.book, asked=None), line.heard)
    if not line.verdict.told:
        return onboarding.answered(line.book, line.heard)
    after = onboarding.answered(illness.while_joining(line.book, line.heard, line.verdict), line.heard)
    return replace(after, says=(Say(illness_words.while_joining(line.book.profile.country)), *after.says))


def _hold_goes_on(line: TypedLine) -> Answer | None:
    """The next step toward the end of a hold, or its first one; None if the line is about something else."""
    if not isinstance(line.book.standing, OnHold | Walking):
        return None
    going_on = number_hold.lifted(line.book, line.heard) or hold.continue_clearing(
        line.book, line.heard, read_yes_no(line.heard.text)
    )
    if going_on is not None:
        return going_on
    if safety.says_cleared(line.heard.text):
        return hold.begin_clearing(line.book, line.heard)
    return hold.begin_misreading(line.book, line.heard) if safety.misread(line.heard.text) else None


def _unasked(line: TypedLine, by_word: ByWord | None) -> Answer:
    """A line for what it is, with no question open before it."""
    book, heard = line.book, line.heard
    action = action_in(heard.text)
    if isinstance(action, Remind) or (action is not None and not isinstance(book.standing, OnHold)):
        return acted(book, heard, action)
    if by_word is not None:
        return by_word(book)
    if _is_calm(line) and not line.is_log and (wish := wishes.told(book, heard)) is not None:
        return wish
    if (told := _ill(line)) is not None:
        return told
    if (amended := taking_back.told_plainly(book, heard)) is not None:
        return amended
    if isinstance(book.standing, OnHold) and not line.is_log:
        return _on_hold(line)
    if line.reading.intent in {Intent.SETTINGS, Intent.UNKNOWN, Intent.HELLO}:
        if health.about_somebody(heard.text):
            return say(book, pages.ABOUT_OTHERS.format(call=emergency.call(book.profile.country)))
        if conditions.is_somebody_elses(heard.text):
            return say(book, SOMEBODY_ELSES)
    if (felt := _felt(line)) is not None:
        return felt
    if (calm := _told_calmly(line)) is not None:
        return calm
    if line.verdict.level is Level.REST:
        closed = weather.closed(book, heard, line.reading)
        return weather.beside(health.complaint(closed, heard, line.verdict, line.reading), heard, line.reading)
    if line.verdict.question:
        return health.doubtful(book, heard, line.verdict)
    kept = weather.kept(book, heard, line.reading)
    if (about := weather.spoken_of(kept, heard, line.reading, book)) is not None:
        return about
    plain = replace(line, book=kept)
    return weather.beside(
        _setting_named(plain) or _reviewed(plain) or _asked_which(plain) or INTENTS[line.reading.intent](plain),
        heard,
        line.reading,
    )


def _felt(line: TypedLine) -> Answer | None:
    """The answer to how are you, where that was asked within a day and the line says it; None for any other."""
    book, at = line.book, line.heard.at
    asked = any(
        nudged.kind is NudgeKind.HOW_ARE_YOU and nudged.outcome is Outcome.SENT and at - nudged.at < QUESTION_LASTS.span
        for nudged in book.nudges
    )
    if not asked or not _is_calm(line) or line.is_log:
        return None
    how = feeling_told(line.heard.text)
    return None if how is None else health.feeling(book, line.heard, how)


def _told_calmly(line: TypedLine) -> Answer | None:
    """The answer to a line about an event, or about days taken by a rule; None for any other.

    None on hold, and where triage found anything in the line.
    """
    book, heard, reading = line.book, line.heard, line.reading
    if not _is_calm(line) or isinstance(book.standing, OnHold):
        return None
    event = events.told(book, heard, reading)
    return event if event is not None or line.is_log else repeating.told(book, heard)


def _is_calm(line: TypedLine) -> bool:
    """Whether triage found nothing in the line, no illness told either."""
    return line.verdict.level is Level.NONE and not line.verdict.told and not line.verdict.question


def _ill(line: TypedLine) -> Answer | None:
    """The answer to an illness that is told, or to somebody who is ill; None for a line about something else."""
    book, heard = line.book, line.heard
    walks_after = book.walk_run is not None and book.walk_run.walk_until is not None
    if (isinstance(book.standing, Ill) or walks_after) and worse_after_effort(heard.text):
        return health.worse_after_effort(book, heard)
    if isinstance(book.standing, Ill):
        return illness.while_ill(book, heard, line.verdict, line.reading)
    if isinstance(book.standing, OnHold):
        return illness.on_hold(book, heard, line.verdict, line.reading)
    return illness.tell(book, heard, line.verdict, line.reading) if line.verdict.told else None


def _on_hold(line: TypedLine) -> Answer:
    """A line on hold that is no log and no end of the hold: settings change, the last entry can be taken back."""
    if (spoken := hold.clinician_spoken_of(line.book, line.heard)) is not None:
        return spoken
    if line.reading.intent is Intent.UNDO and not line.reading.ask_back:
        return taking_back.told(line.book, line.heard)
    feeling = feeling_in(line.heard.text)
    if feeling is not None and mind.asked_about(line.book):
        return mind.feeling(line.book, line.heard, feeling)
    complains = line.verdict.level is not Level.NONE or line.verdict.question
    if not complains and (moving := hold.other_activity(line.book, line.heard)) is not None:
        return moving
    unasked = replace(line, book=hold.unasked(line.book))
    if complains or not _is_calm(line):
        return hold.on_hold(line.book, line.heard)
    small = None if hold.is_fresh(line.book, line.heard) else _small_on_hold(line)
    return _setting(unasked) or small or hold.on_hold(line.book, line.heard)


def _small_on_hold(line: TypedLine) -> Answer | None:
    """A short answer on hold to what holds no sign: the week as it stands, or that nothing is planned meanwhile."""
    first = {
        Intent.HELLO: pages.HEARD, Intent.SKIP: pages.NOTHING_PLANNED, Intent.MOVE: pages.NOTHING_PLANNED,
        Intent.BUSY: pages.NOTHING_PLANNED, Intent.AWAY: pages.NOTHING_PLANNED,
    }  # fmt: skip
    standing = line.book.standing
    fresh = isinstance(standing, OnHold) and line.heard.at - standing.since < HOLD_IS_FRESH.span
    if line.reading.ask_back or fresh:  # on the first day every answer has the number to call
        return None
    if line.reading.intent is Intent.STATUS:
        return queries.week(line.book, line.heard)
    said = first.get(line.reading.intent)
    return None if said is None else say(line.book, f"{said} {next_line(line.book, line.today)}")


def _undo(line: TypedLine) -> Answer:
    """The last entry mended or taken back; "it was 38" of a day that has none tells the run."""
    minutes = taking_back.first_told(line.book, line.heard)
    if minutes is None:
        return taking_back.told(line.book, line.heard)
    return _log(replace(line, reading=Reading(Intent.LOG, minutes=minutes, day=line.today)))


def _setting_named(line: TypedLine) -> Answer | None:
    """A line that names a setting, a place, or the shape of the week; None for any other, and for a run in minutes."""
    place = onboarding.place_told(line.book, line.heard)
    if place is not None:
        return place
    shape = shape_in(line.book, line.heard.text, line.today)
    if shape is not None:
        return onboarding.days_asked(line.book, line.heard, *shape)
    setting = onboarding.setting_in(line.heard.text)
    if setting is None or (line.is_log and not onboarding.is_setting(line.book, *setting)):
        return None
    return onboarding.setting_asked(line.book, line.heard, *setting)


def _setting(line: TypedLine) -> Answer | None:
    """A line that changes a setting, or tells a fact or a place that is one; None for any other."""
    book, text = line.book, line.heard.text
    shape = shape_in(book, text, line.today)
    if shape is not None:
        return onboarding.days_asked(book, line.heard, *shape)
    setting = onboarding.setting_in(text)
    if setting is None or (setting[1] and not onboarding.is_setting(book, *setting)):
        setting = onboarding.told_fact(text, line.today)
    if setting is None:
        return onboarding.place_told(book, line.heard)
    return onboarding.setting_asked(book, line.heard, *setting)


def _reviewed(line: TypedLine) -> Answer | None:
    """The reviewed answer to an ordinary question, where triage found nothing in it; None for any other line."""
    return queries.reviewed(line.book, line.heard, line.reading.intent) if _is_calm(line) else None


def _asked_which(line: TypedLine) -> Answer | None:
    """The question which of several readings is meant; None if there is but one."""
    choices = line.reading.choices
    complaint = line.reading.intent is Intent.SYMPTOM and all(each.intent is not Intent.LOG for each in choices)
    return reading_question.ask_which(line.book, line.heard, line.reading) if choices and not complaint else None


def _as_chosen(book: Book, heard: Heard) -> Answer | None:
    """A line for what its writer says that it is, as if it had been read so at once; None if that is not said."""
    asked = book.asked
    if asked is None or heard.at - asked.at > QUESTION_LASTS.span or book.today(asked.at) != today_of(book, heard):
        return None
    reading = reading_question.chosen(book, heard)
    if reading is None:
        return None
    closed = replace(book, asked=None)
    if reading.intent is Intent.UNKNOWN:
        return say(closed, reading_words.HELP)
    message = replace(heard, key=asked.detail or heard.key, text=asked.line, action=None)
    book = remembered.remember(closed, message, asked.line, reading)
    return INTENTS[reading.intent](TypedLine(book, message, Verdict(), reading))


# One handler an intent


def _log(line: TypedLine) -> Answer:
    """A finished session; without its minutes they are asked for, and what else the line holds is done as well."""
    book, heard, reading = line.book, line.heard, line.reading
    day = reading.day or line.today
    if reading.ask_back or (reading.minutes is None and not reading.logs):
        if reading.minutes is not None:
            return _sure(line, reading.minutes, day)
        return ask(book, heard, Ask.MINUTES, log_words.HOW_MANY, likely_minutes(book, day), day=day)
    done = log_run.log(book, heard, reading)
    if done.book.asked is not None or reading.second_intent is None or not reading.days:
        return done
    rest = _beside_the_run(replace(line, book=done.book), reading.second_intent)
    return done if rest is None else Answer(rest.book, (*done.says, *rest.says))


def _beside_the_run(line: TypedLine, second: Intent) -> Answer | None:
    """What a line that reports a run says about other days; None if that is nothing to act on."""
    book, heard, days = line.book, line.heard, line.reading.days
    match second:
        case Intent.BUSY:
            return changes.busy(book, heard, days, None)
        case Intent.AWAY:
            return changes.away(book, heard, days)
        case Intent.SKIP:
            return changes.skip(book, heard, days[0])
        case Intent.MOVE:
            planned = changes.planned_day(book, line.today + timedelta(days=1))
            return changes.move(book, heard, planned, days[0]) if planned else None
        case _:
            return None


def _skip(line: TypedLine) -> Answer:
    return changes.skip(line.book, line.heard, changes.named_days(line.reading, line.today)[0])


def _move(line: TypedLine) -> Answer:
    book, heard, today = line.book, line.heard, line.today
    if asks_what_is_on(heard.text):
        return queries.week(book, heard)
    first = changes.session_meant(book, heard, line.reading.day or today)
    if open_session(book, first) is None and (asked := queries.asked_to_run(book, heard)) is not None:
        return asked
    if line.reading.days:
        return changes.move(book, heard, first, line.reading.days[0])
    if first == today and LATER_TODAY.search(heard.text):
        return say(book, f"{change_words.ANY_TIME} {queries.next_of(book, heard)}")
    return ask(book, heard, Ask.WHICH_DAY, change_words.WHICH_DAY, _next_days(book, today), day=first)


def _busy(line: TypedLine) -> Answer:
    days = changes.named_days(line.reading, line.today)
    return changes.busy(line.book, line.heard, days, line.reading.minutes)


def _away(line: TypedLine) -> Answer:
    return changes.away(line.book, line.heard, () if line.reading.ask_back else tuple(line.reading.days))


def _complaint(line: TypedLine) -> Answer:
    """What may be a sign is asked about; days off that are told with it are kept free meanwhile."""
    away = line.reading.second_intent is Intent.AWAY and line.reading.days
    return safety_question.asked_about(line.book, line.heard, _away(line) if away else None)


def _settings(line: TypedLine) -> Answer:
    fact = onboarding.told_fact(line.heard.text, line.today)
    if fact is not None:
        return onboarding.setting_asked(line.book, line.heard, *fact)
    if closed := closed_by_only(line_of(line.heard.text), line.today):
        busy = Reading(Intent.BUSY, day=closed[0], days=closed)
        return reading_question.ask_which(line.book, line.heard, replace(busy, choices=(busy,)))
    return Answer(line.book, (pages.which_setting(),))


def _hello(line: TypedLine) -> Answer:
    # "in Berlin" is as good as small talk to whoever does not know the names of places.
    if AGREES.fullmatch(squeezed(line.heard.text)):
        return say(line.book, pages.AGREED)
    return _setting(line) or say(line.book, pages.THANKS if THANKS.search(line.heard.text) else pages.HELLO)


def _unknown(line: TypedLine) -> Answer:
    """No reading: a bare number is asked about, a way of saying how one feels is taken, the rest gets an example."""
    book, heard = line.book, line.heard
    told = _setting(line)
    if told is not None:
        return told
    number = re.fullmatch(r"\s*(\d{1,4})\s*", heard.text)
    if line.reading.ask_back and number:
        return _sure(line, int(number[1]), line.today)
    feeling = feeling_in(heard.text)
    if feeling and book.symptoms:
        return health.feeling(book, heard, feeling)
    if heard.text.strip(" .!").casefold() in {"yes", "no", "ok", "okay"}:
        return say(book, pages.NOT_OPEN)
    return safety_question.not_understood(book, heard, triage(heard.text), line.reading)


INTENTS: Final[Mapping[Intent, Callable[[TypedLine], Answer]]] = {
    Intent.LOG: _log,
    Intent.SKIP: _skip,
    Intent.MOVE: _move,
    Intent.BUSY: _busy,
    Intent.AWAY: _away,
    Intent.BACK: lambda line: back(line.book, line.heard),
    Intent.STATUS: lambda line: queries.week(line.book, line.heard),
    Intent.UNDO: _undo,
    Intent.SYMPTOM: _complaint,
    Intent.SETTINGS: _settings,
    Intent.ASK: lambda line: queries.asked_something(line.book, line.heard),
    Intent.HELLO: _hello,
    Intent.UNKNOWN: _unknown,
}


def _sure(line: TypedLine, number: int, day: date) -> Answer:
    """A number that may be minutes or something else: asked, with the likely answers."""
    minutes: Choices = ((f"{number} min", ChosenMinutes(number)),) if 1 <= number <= 600 else ()
    choices: Choices = (*minutes, ("Not minutes", Agreed(False)))
    question = log_words.sure_minutes(number)
    return ask(line.book, line.heard, Ask.SURE_MINUTES, question, choices, day=day, detail=str(number))


def _next_days(book: Book, today: date) -> Choices:
    days = [today + timedelta(days=i) for i in range(1, 4)]
    return tuple((f"{day:%A}", ChosenDays((day,))) for day in days if book.session_on(day) is None)
