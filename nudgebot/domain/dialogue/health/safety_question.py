"""The closed question, asked where the table of signs found little or nothing and the second reader hears a complaint.

It never lowers a level and never raises one: it is asked first in the answer, and the rest of the line is still done.
Yes holds running at `clinician` at least and asks for the words; it may be taken back for ten minutes, unless words
of a sign followed. A question that stays unanswered is asked once more with the next message, and blocks nothing.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime

from nudgebot.domain.dialogue.health import hold
from nudgebot.domain.dialogue.values import Answer, Heard, replan, say, today_of, token_of, with_complaint
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.health import safety as words
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.model.actions import Agreed, ChosenOption, Feel, Feeling, Open, Option, Page, Reply
from nudgebot.domain.model.parameters import QUESTION_LASTS, SAFETY_ASKED, YES_TAKEN_BACK
from nudgebot.domain.model.questions import Ask, SafetyQuestion
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Training, Walking
from nudgebot.domain.model.speech import QUESTION, SAFETY, Button, Say
from nudgebot.domain.profile import intake
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.reply import Intent, Reading, read_yes_no
from nudgebot.domain.text.sayings import asks_to_run, feeling_in, is_cry_for_help, speaks_of_clinician
from nudgebot.domain.text.triage import Level, Verdict

# The questions of the intake to which a condition is an answer; what it holds is the screening's to judge.
OWN_QUESTIONS = frozenset({Ask.CONDITION, Ask.ILL_BACK, Ask.SIGN})  # these ask about the body themselves
SCREENING = frozenset({"disease", "doctor_knows", "signs", "pregnancy", "medicine"})
FELT = "yes to the closed question"  # the sign of a hold that a yes began
MANY_WORDS = 4  # a "no" in a longer line may be about something else


def take_answer(book: Book, heard: Heard, verdict: Verdict) -> Answer | None:
    """The answer to the closed question, or to the words asked for after a yes; None if the line is neither."""
    open_one = book.safety_question
    if open_one is None or heard.at - open_one.at > QUESTION_LASTS.span or verdict.level.rank >= Level.CLINICIAN.rank:
        return None
    if heard.action is not None and not (isinstance(heard.action, Reply) and heard.action.question == open_one.token):
        return None
    if open_one.yes_at is not None:
        return _take_words(book, heard, verdict, open_one)
    said = _read_yes_or_no(book, heard, open_one)
    if said is None:
        return None
    if said:
        return _hold_for_yes(book, heard, open_one)
    return say(replace(book, safety_question=None), words.answer_no(open_one.language))


def ask_first(book: Book, heard: Heard, verdict: Verdict, reading: Reading | None, done: Answer) -> Answer:
    """`done`, the answer to the line, with the closed question before it where the line asks for it.

    `book` is as it was before the line; `reading` None for a command.
    """
    if done.erase:
        return done
    now = done.book.standing
    grave = isinstance(now, OnHold) and now != book.standing and Level(now.level).rank >= Level.URGENT.rank
    if grave or verdict.level.rank >= Level.CLINICIAN.rank:  # answered for what it is: nothing is left to ask
        return replace(done, book=replace(done.book, safety_question=None))
    old = book.safety_question
    if done.book.safety_question != old:  # asked already, as the answer to the line
        return done
    text = heard.text.strip()
    if text.startswith("/"):  # the words after a command
        text = text.partition(" ")[2]
    # A short answer to an open question is what it was taken for; whether to erase any line at all settles.
    asks = book.asked is not None and book.asked.what is not Ask.ERASE
    settled = asks and done.book.asked != book.asked and len(text.split()) <= MANY_WORDS
    if (
        heard.action is None
        and not settled
        and not _is_screened(book, done)
        and not _is_about_the_hold(book, heard, verdict, reading)
        and is_worth_asking(text, today_of(book, heard), verdict, reading)
    ):
        greets = reading is not None and reading.intent is Intent.HELLO and done.book.asked == book.asked
        # A greeting beside such a question would make light of it; where running is off, that is still said.
        if greets and isinstance(done.book.standing, Training):
            done = replace(done, says=())
        return _with_question(done, book, _new_question(heard, signs.language_of(text, verdict.language)))
    if isinstance(book.standing, OnHold) and not isinstance(done.book.standing, OnHold):  # a clinician has seen to it
        return replace(done, book=replace(done.book, safety_question=None))
    clearing = isinstance(book.standing, OnHold) and book.standing.clearing is not None
    if old is None or clearing or _is_screened(book, done):  # two questions about the body at once are one too many
        return done
    if old.yes_at is None and old.times < SAFETY_ASKED.value and heard.at - old.at <= QUESTION_LASTS.span:
        return _with_question(done, book, replace(old, times=old.times + 1))
    return done


def _is_screened(book: Book, done: Answer) -> bool:
    """Whether a question of its own sees to what the line tells: about a condition, a sign, or one of the intake's."""
    asks = done.book.asked
    if asks is not None and asks != book.asked and asks.what in OWN_QUESTIONS:
        return True
    if not isinstance(book.standing, Joining):
        return False
    open_now = intake.next_question(book.intake)
    return open_now in SCREENING or (open_now is not None and open_now != intake.next_question(done.book.intake))


def _is_about_the_hold(book: Book, heard: Heard, verdict: Verdict, reading: Reading | None) -> bool:
    """Whether the answer on hold says it already: on the day of an emergency, to news of a clinician, and to who it
    was where that was asked."""
    if not isinstance(book.standing, OnHold) or verdict.level is not Level.NONE:
        return False
    # "saw the orthopod yesterday": there is no room for a complaint; "saw the doctor, arm asleep" has it.
    few = len(heard.text.split()) <= MANY_WORDS and not re.search(r"[,;:.!?]\s", heard.text.strip())
    complains = reading is not None and reading.intent is Intent.SYMPTOM and not few
    news = speaks_of_clinician(heard.text) or asks_to_run(heard.text)
    asked = book.standing.clearing is not None
    return hold.is_fresh(book, heard) or (news and (asked or not complains))


def ask_about(book: Book, heard: Heard, done: Answer | None = None) -> Answer:
    """The question as the whole answer to a line, or before what else was done about it."""
    return _with_question(done or Answer(book, ()), book, _new_question(heard, signs.language_of(heard.text, "en")))


def is_open(book: Book, at: datetime) -> bool:
    """Whether the question is asked, and waits for its answer."""
    return book.safety_question is not None and at - book.safety_question.at <= QUESTION_LASTS.span


def is_worth_asking(text: str, today: date, verdict: Verdict, reading: Reading | None) -> bool:
    """Whether a line of level none or rest gets the closed question: the second reader hears a complaint, or the line
    is about one and no level was found. A line that gets a plain question already is not asked twice. `reading` is
    None for the words after a command.
    """
    if verdict.level.rank >= Level.CLINICIAN.rank or verdict.question:
        return False
    if (reading is not None and reading.plain) or feeling_in(text) in {Feeling.BETTER, Feeling.SAME}:
        return False  # reports a run, or says how one is, and nothing else
    if reading is not None and reading.intent is Intent.SYMPTOM and verdict.level is Level.NONE:
        return True
    if is_cry_for_help(text):
        return True
    return signs.complains(text, today, kind_of(verdict, reading))


def kind_of(verdict: Verdict, reading: Reading | None) -> signs.LineKind:
    """What else a line is; how sure the second reader must be depends on it."""
    if verdict.level is Level.REST:
        return signs.LineKind.ORDINARY
    if reading is not None and reading.intent is Intent.LOG and (reading.minutes is not None or reading.logs):
        return signs.LineKind.RUN
    return signs.LineKind.OTHER


def answer_not_understood(book: Book, heard: Heard, verdict: Verdict, reading: Reading | None) -> Answer:
    """The answer to a line that is none of ours; every such answer carries the signs that mean call, and the number."""
    if (
        reading is not None
        and heard.action is None
        and is_worth_asking(heard.text, today_of(book, heard), verdict, reading)
    ):
        return ask_about(book, heard)
    one_word = len(heard.text.split()) < 2  # heard in too many languages to say which
    spoken = dict.fromkeys(("en", "en" if one_word else signs.language_of(heard.text, verdict.language)))
    if isinstance(book.standing, Ill):
        unknown, buttons = small_talk.UNKNOWN_WHILE_ILL, tuple(Button(how.capitalize(), Feel(how)) for how in Feeling)
    else:
        unknown, buttons = small_talk.UNKNOWN, (Button("The week", Open(Page.WEEK)), Button("Help", Open(Page.HELP)))
    lines = (unknown, *(words.signs_line(book.profile.country, language) for language in spoken))
    return say(book, "\n".join(lines), *buttons)


def _new_question(heard: Heard, language: str) -> SafetyQuestion:
    """The question about a line, asked for the first time."""
    return SafetyQuestion(heard.at, token_of("felt", heard), heard.text, language)


def _with_question(done: Answer, before: Book, question: SafetyQuestion) -> Answer:
    """`done` with the question said first."""
    buttons = (
        Button(words.NO[question.language], Reply(question.token, Agreed(False))),
        Button(words.YES[question.language], Reply(question.token, Agreed(True))),
    )
    first = Say(words.ask(before.profile.country, question.language), QUESTION, buttons)
    return replace(done, book=replace(done.book, safety_question=question)).behind(first)


def _read_yes_or_no(book: Book, heard: Heard, open_one: SafetyQuestion) -> bool | None:
    """Yes, no, or None for a line that answers neither; a bare one beside another open question is about that one."""
    if isinstance(heard.action, Reply):
        return heard.action.chosen.yes if isinstance(heard.action.chosen, Agreed) else None
    line = heard.text.strip(" .!").casefold()
    if line in {each.casefold() for each in words.YES.values()}:
        return True
    if line in {each.casefold() for each in words.NO.values()}:
        return False
    if len(line.split()) > MANY_WORDS:
        return None
    said = read_yes_no(heard.text)
    other_open = book.asked is not None and book.asked.at >= open_one.at
    other_open = other_open or isinstance(book.standing, Joining)
    other_open = other_open or (isinstance(book.standing, OnHold | Walking) and book.standing.clearing is not None)
    return None if other_open else said


def _hold_for_yes(book: Book, heard: Heard, question: SafetyQuestion) -> Answer:
    """Running is on hold, and what it was before is remembered for as long as the yes may be taken back."""
    standing = book.standing
    question = replace(question, yes_at=heard.at)
    if isinstance(standing, Walking):
        question = replace(question, walking_since=standing.since)
    returning = book.returning
    verdict = Verdict(Level.CLINICIAN, FELT, language=question.language)
    after = hold.put_on_hold(
        with_complaint(book, heard, verdict), replace(heard, text=question.line), verdict.level, FELT, asked_yes=True
    )
    after = replace(after, safety_question=question, returning=returning)
    text = words.answer_yes(book.profile.country, question.language)
    withdraw = Button(words.WITHDRAW[question.language], Reply(question.token, ChosenOption(Option.WITHDRAW)))
    return say(after, text, *([] if isinstance(standing, OnHold) else [withdraw]), kind=SAFETY)


def _take_words(book: Book, heard: Heard, verdict: Verdict, question: SafetyQuestion) -> Answer | None:
    """A line after a yes: the yes taken back, or the words that were asked for."""
    if isinstance(heard.action, Reply):
        takes_back = heard.action.chosen in {ChosenOption(Option.WITHDRAW), Agreed(False)}
        return _withdraw(book, heard, question) if takes_back else None
    line = heard.text.strip(" .!").casefold().replace("'", "’")
    if line in {each.casefold() for each in (*words.WITHDRAW.values(), *words.NO.values())}:
        return _withdraw(book, heard, question)
    if line.startswith("/"):
        return None
    if verdict.level is not Level.NONE or signs.complains(heard.text, today_of(book, heard)):
        closed = replace(with_complaint(book, heard, verdict), safety_question=None)
        text = words.answer_words(book.profile.country, signs.language_of(heard.text, question.language))
        return say(closed, text, kind=SAFETY)
    return None


def _withdraw(book: Book, heard: Heard, question: SafetyQuestion) -> Answer:
    """The standing as it was before the yes; after ten minutes, or with a graver hold, the hold stays."""
    standing = book.standing
    late = question.yes_at is None or heard.at - question.yes_at > YES_TAKEN_BACK.span
    if late or not isinstance(standing, OnHold) or standing.sign != FELT:
        return hold.show_hold(replace(book, safety_question=None))
    today = today_of(book, heard)
    notes = tuple(note for note in book.symptoms if note.sign != FELT or note.at != question.yes_at)
    book = replace(book, safety_question=None, symptoms=notes)
    if isinstance(ill := standing.beneath, Ill):
        kept = tuple(pause for pause in book.pauses if pause.first != ill.since)
        return say(replace(book, standing=ill, pauses=kept), words.confirm_withdrawn(question.language))
    if intake.next_question(book.intake) is not None:
        return say(replace(book, standing=Joining()), words.confirm_withdrawn(question.language))
    cleared = book.intake.cleared is not None and question.walking_since is None
    usual = Training() if cleared else intake.standing_after(book.profile, heard.now)
    if isinstance(usual, Walking) and question.walking_since is not None:
        usual = replace(usual, since=question.walking_since)
    after, _ = replan(replace(book, standing=usual), heard)
    return say(after, f"{words.confirm_withdrawn(question.language)} {next_line(after, today)}")
