"""What we do about a line: the log, the plan, the standing, and what to say.

The order is the contract: a warning sign is answered before everything else, in every state of the conversation;
then a question that is open; then the line for what it is, by one handler an intent.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from nudgebot.domain.dialogue import remembered_readings
from nudgebot.domain.dialogue.actions import act_on
from nudgebot.domain.dialogue.health import clear_hold, complaints, hold, illness, safety_question, while_ill
from nudgebot.domain.dialogue.intents import INTENTS, TypedLine, change_any_setting, change_named_setting
from nudgebot.domain.dialogue.questions import pending_question
from nudgebot.domain.dialogue.questions.pending_question import answer_question, has_lapsed
from nudgebot.domain.dialogue.settings import conditions, events, onboarding, repeats, wishes
from nudgebot.domain.dialogue.undo import taking_back
from nudgebot.domain.dialogue.values import Answer, Heard, say, today_of
from nudgebot.domain.dialogue.week import changes, queries, weather
from nudgebot.domain.messages import reading as reading_words
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.common import in_language
from nudgebot.domain.messages.health import illness as illness_words
from nudgebot.domain.messages.health.complaints import SOMEBODY_ELSES
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.model.actions import Feeling, Remind
from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.domain.model.parameters import HOLD_IS_FRESH, ILLNESS_LINGERS, QUESTION_LASTS
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Training, Walking
from nudgebot.domain.model.speech import Say
from nudgebot.domain.planning.gap import away_on
from nudgebot.domain.profile import places
from nudgebot.domain.profile.conditions import is_somebody_elses
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.reply import Intent, read, read_yes_no
from nudgebot.domain.text.sayings import (
    action_in,
    feeling_in,
    feeling_told,
    has_no_end,
    misread,
    says_cleared,
    says_well,
    tells_a_death,
    worse_after_effort,
)
from nudgebot.domain.text.triage import Level, Verdict, triage

NOT_TEXT = "\N{OBJECT REPLACEMENT CHARACTER}"  # what a voice hands on for a picture, a sticker, a voice note
ABOUT_NOTHING_ELSE = frozenset({Intent.BACK, Intent.HELLO, Intent.SETTINGS, Intent.UNKNOWN})
ByWord = Callable[[Book], Answer]  # what a command does that was said without its slash


def answer(book: Book, heard: Heard, by_word: ByWord | None = None) -> Answer:
    """The answer to one line, or to one button.

    `book` has been rolled to today by the caller and knows that the runner was heard. Where the line is a command's
    word without the slash, `by_word` follows the command once nothing else claims the line.
    """
    if heard.action is not None:
        return safety_question.take_answer(book, heard, Verdict()) or safety_question.ask_first(
            book, heard, Verdict(), None, _act_on_chosen_reading(book, heard) or act_on(book, heard, heard.action)
        )
    verdict = conditions.weigh_conditions(book, heard, triage(heard.text))
    today = today_of(book, heard)
    line = TypedLine(
        book, heard, verdict, remembered_readings.apply_remembered(book, heard, read(heard.text, today), today)
    )
    said = safety_question.take_answer(book, heard, verdict)
    if said is None and tells_a_death(heard.text) and _is_calm(line) and not isinstance(book.standing, Joining):
        return _answer_a_death(line, by_word)
    return said or safety_question.ask_first(book, heard, verdict, line.reading, _answer_typed(line, by_word))


def _answer_typed(line: TypedLine, by_word: ByWord | None) -> Answer:
    """The answer to a line that is not about the closed safety question."""
    book, heard = line.book, line.heard
    if line.verdict.level.rank >= Level.CLINICIAN.rank:
        return complaints.answer_alarm(book, heard, line.verdict, line.reading)
    if heard.text == NOT_TEXT:
        return say(book, small_talk.TEXT_ONLY_AT_FIRST if isinstance(book.standing, Joining) else small_talk.TEXT_ONLY)
    if said := _answer_as_somebody_elses(line) or _go_on_with_hold(line) or conditions.ask_told(book, heard):
        return said
    if conditions.age_is_open(book):
        return conditions.take_answer(book, heard, read_yes_no(heard.text)) or conditions.ask_if_under_age(book, heard)
    if isinstance(book.standing, Joining):
        return _answer_joining(line)
    asked = book.asked
    if asked is not None:
        if has_lapsed(book, heard.at):
            line = replace(line, book=replace(book, asked=None))
        elif said := _act_on_chosen_reading(book, heard) or answer_question(book, heard, line.verdict):
            return said
        elif asked.what is Ask.ERASE:  # whatever else was said, everything is kept
            line = replace(line, book=replace(book, asked=None))
    return _answer_by_meaning(line, by_word)


def _answer_a_death(line: TypedLine, by_word: ByWord | None) -> Answer:
    """What the line is for, with a word of sympathy first; where it is for nothing, days without runs are offered."""
    idle = line.reading.intent in {Intent.HELLO, Intent.UNKNOWN, Intent.SYMPTOM} or line.reading.ask_back
    without_end = has_no_end(line.heard.text)
    offers = idle and not without_end and isinstance(line.book.standing, Training) and line.book.asked is None
    done = changes.go_away(line.book, line.heard, ()) if offers else _answer_typed(line, by_word)
    if not done.says:
        return done
    first = in_language("sympathy", signs.language_of(line.heard.text, "en"))
    return replace(done, says=(replace(done.says[0], text=f"{first}\n{done.says[0].text}"), *done.says[1:]))


def _answer_as_somebody_elses(line: TypedLine) -> Answer | None:
    """The answer to "that was not about me" right after somebody else's emergency; None for any other line."""
    book = line.book
    if book.asked is None or book.asked.what is not Ask.SOMEBODY_ELSE or has_lapsed(book, line.heard.at):
        return None
    return answer_question(book, line.heard, line.verdict)


def _answer_joining(line: TypedLine) -> Answer:
    """A line to the intake's open question, or to one asked beside it; an illness told is kept for its end."""
    if line.book.asked is not None and line.book.asked.what in {Ask.ERASE, Ask.CONDITION}:
        settled = answer_question(line.book, line.heard, line.verdict)
        return settled or onboarding.take_answer(replace(line.book, asked=None), line.heard)
    if not line.verdict.told:
        return onboarding.take_answer(line.book, line.heard)
    after = onboarding.take_answer(illness.note_while_joining(line.book, line.heard, line.verdict), line.heard)
    return after.behind(Say(illness_words.say_while_joining(line.book.profile.country)))


def _go_on_with_hold(line: TypedLine) -> Answer | None:
    """The next step toward the end of a hold, or its first one; None if the line is about something else."""
    if not isinstance(line.book.standing, OnHold | Walking):
        return None
    book, heard = line.book, line.heard
    said = hold.lift_if_corrected(book, heard)
    if said := said or clear_hold.continue_clearing(book, heard, read_yes_no(heard.text)):
        return said
    if says_cleared(heard.text):
        return clear_hold.begin_clearing(book, heard)
    return clear_hold.begin_misreading(book, heard) if misread(heard.text) else None


def _answer_by_meaning(line: TypedLine, by_word: ByWord | None) -> Answer:
    """A line for what it is, with no question open before it."""
    book, heard, reading = line.book, line.heard, line.reading
    action = action_in(heard.text)
    if isinstance(action, Remind) or (action is not None and not isinstance(book.standing, OnHold)):
        return act_on(book, heard, action)
    if by_word is not None:
        return by_word(book)
    wish = wishes.answer_wish(book, heard) if _is_calm(line) and not line.is_log else None
    if said := wish or _answer_illness(line) or taking_back.answer_plain_correction(book, heard):
        return said
    if isinstance(book.standing, OnHold) and not line.is_log:
        return _answer_on_hold(line)
    if _is_calm(line) and not line.is_log and has_no_end(heard.text):
        return changes.go_away_without_end(book, heard)
    if said := _answer_about_others(line) or _answer_feeling(line) or _answer_calm(line):
        return said
    if reading.plain and _is_calm(line):  # of the weather or of a setting it says nothing
        return INTENTS[reading.intent](line)
    if line.verdict.level is Level.REST:
        closed = weather.close_and_replan(book, heard, reading)
        return weather.add_advice(complaints.answer_complaint(closed, heard, line.verdict, reading), heard, reading)
    if line.verdict.question:
        return complaints.ask_about_sign(book, heard, line.verdict)
    closed = weather.close_day(book, heard, reading)
    plain = line if closed is book else replace(line, book=closed)
    if said := weather.answer_weather(plain.book, heard, reading, book):
        return said
    reviewed = queries.answer_reviewed(plain.book, heard, reading.intent) if _is_calm(line) else None
    said = change_named_setting(plain) or reviewed or _ask_which(plain) or INTENTS[reading.intent](plain)
    return weather.add_advice(said, heard, reading)


def _answer_about_others(line: TypedLine) -> Answer | None:
    """The answer to a line about somebody else's health; None for any other."""
    if line.reading.intent not in {Intent.SETTINGS, Intent.UNKNOWN, Intent.HELLO}:
        return None
    if complaints.is_about_somebody_else(line.heard.text):
        return say(line.book, small_talk.ABOUT_OTHERS.format(call=places.emergency_call(line.book.profile.country)))
    return say(line.book, SOMEBODY_ELSES) if is_somebody_elses(line.heard.text) else None


def _answer_feeling(line: TypedLine) -> Answer | None:
    """The answer to how are you, where that was asked within a day and the line says it; None for any other.

    Better is heard unasked as well, where something was told lately and the line is about nothing else.
    """
    book, at, reading = line.book, line.heard.at, line.reading
    if not _is_calm(line) or line.is_log:
        return None
    asked = any(
        nudged.kind is NudgeKind.HOW_ARE_YOU and nudged.outcome is Outcome.SENT and at - nudged.at < QUESTION_LASTS.span
        for nudged in book.nudges
    )
    how = feeling_told(line.heard.text)
    if not asked:
        last = max((*(n.day for n in book.symptoms), *(pause.last for pause in book.pauses)), default=date.min)
        lately = line.today - last <= ILLNESS_LINGERS.span and not away_on(book, line.today)
        alone = reading.intent in ABOUT_NOTHING_ELSE and not reading.days and says_well(line.heard.text)
        how = how if lately and alone and how is Feeling.BETTER else None
    return None if how is None else complaints.take_feeling(book, line.heard, how)


def _answer_calm(line: TypedLine) -> Answer | None:
    """The answer to a line about an event, or about days taken by a rule; None for any other.

    None on hold, and where triage found anything in the line.
    """
    book, heard, reading = line.book, line.heard, line.reading
    if not _is_calm(line) or isinstance(book.standing, OnHold):
        return None
    event = events.answer_event(book, heard, reading)
    return event if event is not None or line.is_log else repeats.answer_repeat(book, heard)


def _is_calm(line: TypedLine) -> bool:
    """Whether triage found nothing in the line, no illness told either."""
    return line.verdict.level is Level.NONE and not line.verdict.told and not line.verdict.question


def _answer_illness(line: TypedLine) -> Answer | None:
    """The answer to an illness that is told, or to somebody who is ill; None for a line about something else."""
    book, heard = line.book, line.heard
    if illness.is_on_its_way_back(book, line.today) and worse_after_effort(heard.text):
        return complaints.hold_for_effort(book, heard, line.reading)
    if isinstance(book.standing, Ill):
        return while_ill.answer_while_ill(book, heard, line.verdict, line.reading)
    if isinstance(book.standing, OnHold):
        return while_ill.answer_on_hold(book, heard, line.verdict, line.reading)
    return while_ill.answer_illness(book, heard, line.verdict, line.reading) if line.verdict.told else None


def _answer_on_hold(line: TypedLine) -> Answer:
    """A line on hold that is no log and no end of the hold: settings change, the last entry can be taken back."""
    book, heard = line.book, line.heard
    if said := clear_hold.answer_about_clinician(book, heard):
        return said
    undoes = line.reading.intent is Intent.UNDO and not line.reading.ask_back
    if undoes and (said := taking_back.correct(book, heard)):  # "it was nothing" undoes no hold
        return said
    feeling = feeling_in(heard.text)
    if feeling is not None and complaints.is_mood_asked_about(book):
        return complaints.take_mood(book, heard, feeling)
    if line.verdict.level is not Level.NONE or line.verdict.question:
        return hold.show_hold(book, heard)
    if said := hold.answer_about_moving(book, heard):
        return said
    if line.verdict.told:
        return hold.show_hold(book, heard)
    small = None if hold.is_fresh(book, heard) else _answer_small_on_hold(line)
    unasked = replace(line, book=clear_hold.drop_clearing(book))
    return change_any_setting(unasked) or small or hold.show_hold(book, heard)


def _answer_small_on_hold(line: TypedLine) -> Answer | None:
    """A short answer on hold to what holds no sign: the week as it stands, or that nothing is planned meanwhile."""
    standing = line.book.standing
    fresh = isinstance(standing, OnHold) and line.heard.at - standing.since < HOLD_IS_FRESH.span
    if line.reading.ask_back or fresh:  # on the first day every answer has the number to call
        return None
    if line.reading.intent is Intent.STATUS:
        return queries.show_week(line.book, line.heard)
    if line.reading.intent is Intent.HELLO:
        said = small_talk.HEARD
    elif line.reading.intent in {Intent.SKIP, Intent.MOVE, Intent.BUSY, Intent.AWAY}:
        said = small_talk.NOTHING_PLANNED
    else:
        return None
    return say(line.book, f"{said} {next_line(line.book, line.today)}")


def _ask_which(line: TypedLine) -> Answer | None:
    """The question which of several readings is meant; None if there is but one."""
    choices = line.reading.choices
    complaint = line.reading.intent is Intent.SYMPTOM and all(each.intent is not Intent.LOG for each in choices)
    return pending_question.ask_which(line.book, line.heard, line.reading) if choices and not complaint else None


def _act_on_chosen_reading(book: Book, heard: Heard) -> Answer | None:
    """A line for what its writer says that it is, as if it had been read so at once; None if that is not said."""
    asked = book.asked
    if asked is None or has_lapsed(book, heard.at):
        return None
    reading = pending_question.read_which(book, heard)
    if reading is None:
        return None
    closed = replace(book, asked=None)
    if reading.intent is Intent.UNKNOWN:
        return say(closed, reading_words.HELP)
    message = replace(heard, key=asked.detail or heard.key, text=asked.line, action=None)
    book = remembered_readings.remember(closed, message, asked.line, reading)
    return INTENTS[reading.intent](TypedLine(book, message, Verdict(), reading))
