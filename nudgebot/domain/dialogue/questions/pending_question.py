"""The answer to what we asked back: one reader and one handler a question, by a table.

A line is read into the value that the question's buttons carry, so that both are handled the same. First comes a line
that can be read in more than one way: the reading is shown, and one of the likeliest is chosen by a button. The choices
are not kept: the line is, with the key of its message (`detail`), and reading it again on its day gives the same ones.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Final

from nudgebot.domain.dialogue.health import complaints, illness
from nudgebot.domain.dialogue.questions import answers
from nudgebot.domain.dialogue.questions.answering import (
    Answering,
    Handle,
    Read,
    as_chosen,
    on_kind,
    one_of,
    read_yes_or_no,
)
from nudgebot.domain.dialogue.runs import files, log_run
from nudgebot.domain.dialogue.settings import change_setting, conditions, repeats
from nudgebot.domain.dialogue.undo import taking_back
from nudgebot.domain.dialogue.values import Answer, Choices, Heard, ask, say, today_of
from nudgebot.domain.dialogue.week import changes, weather
from nudgebot.domain.messages import reading as words
from nudgebot.domain.messages import runs as run_words
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.common import capital
from nudgebot.domain.messages.health import hold as hold_words
from nudgebot.domain.messages.health import illness as illness_words
from nudgebot.domain.model import actions as act
from nudgebot.domain.model.actions import ChosenOption, ChosenReading, Option, Reply
from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.domain.model.parameters import HEALTH_ASKED, QUESTION_LASTS
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, OnHold, Walking
from nudgebot.domain.profile.places import emergency_call
from nudgebot.domain.text.illness_talk import question_answered
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.reply import LONG_LINE, Intent, Reading, read, read_days, read_yes_no
from nudgebot.domain.text.sayings import misread, says_not_ill
from nudgebot.domain.text.triage import Level, Verdict
from nudgebot.domain.text.weather import damp_in, wind_in

# Asked of the body or of an absence: what is said to it an evening later says the same.
OUTLIVES_THE_DAY: Final = frozenset({Ask.ILL_BACK, Ask.LAST_FEVER, Ask.UNTIL})
ASKS_TOO: Final = frozenset({NudgeKind.HOW_ARE_YOU, NudgeKind.CHECK_IN, NudgeKind.SAFETY_FOLLOWUP})


def ask_which(book: Book, heard: Heard, reading: Reading) -> Answer:
    """The question with at most three readings and "something else"; nothing is done before it is answered."""
    today = today_of(book, heard)
    labels = _labels(reading.choices, today)
    offered = [(label, place, each) for place, (label, each) in enumerate(labels.items())]
    if not any(entry.day == today for entry in book.log):
        offered.sort(key=lambda option: option[2].intent is Intent.UNDO)  # there is hardly a run to correct
    choices: Choices = tuple((capital(label), ChosenReading(place)) for label, place, _ in offered)
    other: Choices = ((words.SOMETHING_ELSE, ChosenOption(Option.SOMETHING_ELSE)),)
    question = words.ask_which(offered[0][2], today)
    return ask(book, heard, Ask.READING, question, (*choices, *other), detail=heard.key)


def read_which(book: Book, heard: Heard) -> Reading | None:
    """The reading that is meant; `unknown` for something else; None if the line answers no such question."""
    asked = book.asked
    if asked is None or asked.what is not Ask.READING:
        return None
    day = book.today(asked.at)
    readings = _labels(read(asked.line, day).choices, day)
    match heard.action:
        case None:
            said = heard.text.strip(" .!?").casefold()
            if said == words.SOMETHING_ELSE.casefold():
                return Reading(Intent.UNKNOWN)
            return next((each for label, each in readings.items() if label.casefold() == said), None)
        case Reply(asked.token, ChosenOption(Option.SOMETHING_ELSE)):
            return Reading(Intent.UNKNOWN)
        case Reply(asked.token, ChosenReading(place)) if place < len(readings):
            return tuple(readings.values())[place]
        case _:
            return None


def _labels(readings: Iterable[Reading], today: date) -> dict[str, Reading]:
    """The readings by their labels; of those that read the same the likeliest."""
    found: dict[str, Reading] = {}
    for each in readings:
        found.setdefault(words.label(each, today), each)
    return found


def has_lapsed(book: Book, at: datetime) -> bool:
    """Whether the open question is no longer answered by what is said at `at`."""
    if (asked := book.asked) is None:
        return True
    if asked.what not in OUTLIVES_THE_DAY:
        return at - asked.at > QUESTION_LASTS.span or book.today(asked.at) != book.today(at)
    since = (each for each in book.nudges if each.outcome is Outcome.SENT and each.at > asked.at)
    return at - asked.at > HEALTH_ASKED.span or any(each.kind in ASKS_TOO for each in since)


def answer_question(book: Book, heard: Heard, verdict: Verdict) -> Answer | None:
    """The answer to the open question, or None if the line is about something else (it is then read as it is)."""
    if book.asked is None:
        return None
    turn = Answering(book, heard, book.asked, verdict)
    if heard.action is None and _is_about_the_body(turn):
        return None
    read_answer, handle = QUESTIONS[book.asked.what]
    chosen = heard.action.chosen if isinstance(heard.action, act.Reply) else read_answer(turn)
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


def _erase(turn: Answering, chosen: act.Chosen) -> Answer | None:
    # A button can keep everything; it cannot delete it.
    if chosen == act.Agreed(True) and turn.heard.action is None:
        paused = f" {hold_words.ERASED_ON_HOLD}" if isinstance(turn.book.standing, OnHold | Walking) else ""
        return replace(say(turn.closed, f"{small_talk.ERASED}{paused}"), erase=True)
    return say(turn.closed, small_talk.ERASE_KEPT)


def _elsewhere(_turn: Answering, _chosen: act.Chosen) -> Answer | None:
    """A coach's message is sent by the caller, which knows the group; a reading is acted on by its intent."""
    return None


QUESTIONS: Final[Mapping[Ask, tuple[Read, Handle]]] = {
    Ask.MINUTES: (answers.read_minutes, answers.log_minutes),
    Ask.SURE_MINUTES: (answers.read_minutes, answers.log_minutes),
    Ask.SECOND_RUN: (
        answers.read_second_or_correction,
        one_of(
            (act.ChosenOption(act.Option.SECOND), lambda turn: say(turn.closed, run_words.BOTH_STAY)),
            (
                act.ChosenOption(act.Option.CORRECTION),
                lambda turn: log_run.keep_newest(turn.closed, turn.heard, turn.day),
            ),
        ),
    ),
    Ask.SAME_AGAIN: (
        answers.read_same_or_second,
        one_of(
            (act.ChosenOption(act.Option.SECOND), answers.log_second),
            (act.ChosenOption(act.Option.SAME), lambda turn: say(turn.closed, run_words.KEPT_ONE)),
        ),
    ),
    Ask.UNTIL: (answers.read_until, on_kind(act.ChosenDays, answers.pause_until)),
    Ask.WHICH_DAY: (
        lambda turn: as_chosen(act.ChosenDays, read_days(turn.line, turn.today) or None),
        on_kind(act.ChosenDays, answers.move_to_day),
    ),
    Ask.SETTING: (
        lambda turn: change_setting.read_answer(turn.book, turn.asked.detail, turn.heard.text),
        lambda turn, chosen: change_setting.take_answer(turn.book, turn.heard, turn.asked.detail, chosen),
    ),
    Ask.MORE: (
        answers.read_more,
        one_of(
            (act.ChosenOption(act.Option.ONE_OFF), lambda turn: say(turn.closed, run_words.ONE_OFF)),
            (act.ChosenOption(act.Option.GROW), answers.grow),
        ),
    ),
    Ask.REPEAT: (
        lambda turn: repeats.read_answer(turn.asked.detail, turn.line),
        lambda turn, chosen: repeats.take_answer(turn.book, turn.heard, turn.asked.detail, chosen),
    ),
    Ask.CONDITION: (
        read_yes_or_no,
        on_kind(act.Agreed, lambda turn, told: conditions.take_answer(turn.book, turn.heard, told.yes)),
    ),
    **dict.fromkeys(
        (Ask.WIND, Ask.HUMIDITY),
        (
            lambda turn: as_chosen(act.ChosenNumber, (wind_in if turn.asked.what is Ask.WIND else damp_in)(turn.line)),
            on_kind(act.ChosenNumber, lambda turn, told: weather.take_answer(turn.book, turn.heard, told.value)),
        ),
    ),
    Ask.SIGN: (
        read_yes_or_no,
        on_kind(
            act.Agreed,
            lambda turn, told: complaints.take_sign_answer(turn.book, turn.heard, turn.asked.detail, yes=told.yes),
        ),
    ),
    Ask.SOMEBODY_ELSE: (
        lambda turn: act.Agreed(True) if misread(turn.line) else None,
        lambda turn, _: say(
            turn.closed, small_talk.SOMEBODY_ELSES.format(call=emergency_call(turn.book.profile.country))
        ),
    ),
    Ask.ILL_BACK: (
        lambda turn: as_chosen(act.Agreed, question_answered(turn.line)),
        one_of(
            (act.Agreed(True), lambda turn: complaints.hold_for_heart(turn.book, turn.heard)),
            (act.Agreed(False), lambda turn: illness.start_way_back(turn.book, turn.heard)),
        ),
    ),
    Ask.LAST_FEVER: (answers.read_last_ill, on_kind(act.ChosenDays, answers.plan_way_back)),
    Ask.NOT_ILL: (
        lambda turn: act.ChosenOption(act.Option.NOT_ILL) if says_not_ill(turn.line) else None,
        one_of(
            (
                act.ChosenOption(act.Option.NOT_ILL),
                lambda turn: illness.ask_if_ill_at_all(turn.book, turn.heard, turn.asked.line),
            )
        ),
    ),
    Ask.NOT_ILL_SURE: (
        read_yes_or_no,
        one_of(
            (act.Agreed(True), lambda turn: illness.take_back_illness(turn.closed, turn.heard)),
            (act.Agreed(False), lambda turn: say(turn.closed, illness_words.STILL_ILL)),
        ),
    ),
    Ask.CHOICE: (answers.read_choice, on_kind(act.ChosenOption, answers.take_choice)),
    # Only the whole sentence deletes; any other line keeps everything.
    Ask.ERASE: (lambda turn: act.Agreed(turn.line.strip(" .!").casefold() == "erase everything"), _erase),
    Ask.FILE_KIND: (
        lambda turn: files.read_kind(turn.line),
        on_kind(act.ChosenValue, lambda turn, told: files.take_kind(turn.closed, turn.heard, turn.asked, told.text)),
    ),
    Ask.BUSY_DAYS: (
        read_yes_or_no,
        on_kind(act.Agreed, lambda turn, told: changes.plan_around(turn.closed, turn.heard, turn.asked, yes=told.yes)),
    ),
    Ask.TAKE_BACK: (
        lambda turn: as_chosen(act.ChosenValue, taking_back.read_key(turn.book, turn.heard, turn.asked.line)),
        on_kind(
            act.ChosenValue,
            lambda turn, told: taking_back.take_choice(turn.closed, turn.heard, turn.asked.line, told.text),
        ),
    ),
    **dict.fromkeys((Ask.TELL, Ask.REMOVE, Ask.DISMISS), (read_yes_or_no, _elsewhere)),
    # Which reading is meant is asked and answered by `read_which`, before this.
    Ask.READING: (lambda _: None, _elsewhere),
}
