"""The steps that end a hold: a clinician's word that the runner passes on, or a misreading set right in two steps."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from nudgebot.domain.dialogue.health.end_hold import end_as_cleared, end_as_misread
from nudgebot.domain.dialogue.health.hold import (
    earliest_word,
    is_fresh,
    midwife_counts,
    physio_counts,
    reported_on,
    said_on,
    show_hold,
    word_counts,
)
from nudgebot.domain.dialogue.values import Answer, Choices, Heard, say, today_of
from nudgebot.domain.messages.common import on_day
from nudgebot.domain.messages.health import hold as words
from nudgebot.domain.messages.health.complaints import YES_NO
from nudgebot.domain.model.actions import Agreed, Chosen, ChosenDays, ChosenOption, Option, Reply, Resume
from nudgebot.domain.model.parameters import CLEARANCE_LASTS, CLEARING_LASTS, VISIT_WITHIN
from nudgebot.domain.model.questions import Clearing, ClearingStep
from nudgebot.domain.model.runner import Book, OnHold, Walking
from nudgebot.domain.model.speech import QUESTION, SAFETY, Button, Say
from nudgebot.domain.text.days_told import Visit, visit_in
from nudgebot.domain.text.illness_talk import Clearer, clearer_in
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.sayings import asks_to_run, not_yet, speaks_of_clinician
from nudgebot.domain.text.triage import Level

FIRST_STEPS = frozenset({ClearingStep.CLEARED, ClearingStep.MISREAD})
YES_OR_NO = frozenset({ClearingStep.CLEARED, ClearingStep.MISREAD, ClearingStep.MISREAD_SURE})


def answer_about_clinician(book: Book, heard: Heard) -> Answer | None:
    """The answer to a line that names a clinician or a test, on hold; None for any other.

    A visit to come gets the wait, one that has been the question that ends the hold: it is never more than asked. So is
    whoever asks if they may run again.
    """
    if asks_to_run(heard.text):
        return show_hold(book, heard) if is_fresh(book, heard) else begin_clearing(book, heard)
    if not speaks_of_clinician(heard.text):
        return None
    today = today_of(book, heard)
    if not_yet(heard.text) or any(day > today for day in read_days(heard.text, today)):
        return _keep_on_hold(book, words.VISIT_TO_COME)
    return begin_clearing(book, heard)


def drop_clearing(book: Book) -> Book:
    """The book on hold with no end of it under way: the runner speaks of something else, and a yes is about that."""
    standing = book.standing
    return replace(book, standing=replace(standing, clearing=None)) if isinstance(standing, OnHold) else book


def begin_clearing(book: Book, heard: Heard) -> Answer:
    """The first step of the end of a hold: has a clinician cleared you to run?"""
    standing = book.standing
    if isinstance(standing, OnHold) and (earliest := earliest_word(book, standing)) is not None and heard.at < earliest:
        text = words.too_early(book.local(earliest), today_of(book, heard), book.profile.country)
        return say(replace(book, standing=replace(standing, clearing=None)), text, kind=SAFETY)
    # Whoever was named already is not asked for again.
    named = heard.text.strip() if word_counts(book, clearer_in(heard.text)) else ""
    return _ask_step(book, heard, ClearingStep.CLEARED, words.CLEARED_ASK, YES_NO, who=named)


def begin_misreading(book: Book, heard: Heard) -> Answer:
    """The first step where the sentence was about something else; not after a yes to the sign."""
    standing = book.standing
    if not isinstance(standing, OnHold):
        return show_hold(book)
    if standing.asked_yes:
        return say(book, words.SAID_YES, kind=SAFETY)
    if standing.level == Level.EMERGENCY.value and today_of(book, heard) <= book.today(standing.since):
        return say(book, words.misread_tomorrow(book.profile.country), kind=SAFETY)
    text = words.ask_if_misread(standing.said, said_on(book, standing))
    return _ask_step(book, heard, ClearingStep.MISREAD, text, YES_NO)


def continue_clearing(book: Book, heard: Heard, answer: bool | None) -> Answer | None:
    """The next step of an end under way; None if the line is no answer to the step or the day is over.

    `answer` is yes or no as read from the line, None for anything else.
    """
    if (clearing := _under_way(book, heard)) is None:
        return None
    line = heard.text.strip()
    if clearing.step is ClearingStep.CLEARED and _is_the_word(line):
        answer = True
    if clearing.step in YES_OR_NO:
        return None if answer is None else _take_yes_or_no(book, heard, clearing.step, yes=answer)
    match clearing.step:
        case ClearingStep.WHO:
            return _take_who(book, heard, line, answer)
        case ClearingStep.WHO_SURE:
            return _take_who_again(book, heard, clearing, line, answer)
        case ClearingStep.WHEN:
            if answer is False:
                return _keep_on_hold(book, words.NOT_YET)
            named = word_counts(book, clearer_in(line))
            return _take_when(book, heard, clearing.who, line, said=line if named else f"{clearing.who}, {line}")
        case _:
            return _take_word(book, heard, clearing, line, answer)


def _take_word(book: Book, heard: Heard, clearing: Clearing, line: str, answer: bool | None) -> Answer | None:
    """The one word ends it; a yes, or who it was told once more, is asked for the word again."""
    if _is_the_word(line):
        return end_as_cleared(book, heard, clearing.who)
    if answer is False or not_yet(line):
        return _keep_on_hold(book, words.STAYS_ON_HOLD)
    told_again = answer is True or word_counts(book, clearer_in(line))
    return _ask_step(book, heard, ClearingStep.WORD, words.WORD_ASK) if told_again else None


def _under_way(book: Book, heard: Heard) -> Clearing | None:
    """The end of a hold that is under way; None if none is, or its day is over."""
    standing = book.standing
    clearing = standing.clearing if isinstance(standing, OnHold | Walking) else None
    return clearing if clearing is not None and heard.at - clearing.since <= CLEARING_LASTS.span else None


def _is_the_word(line: str) -> bool:
    return line.strip(" .!'\"`").casefold() == "cleared"


CLEARERS = {
    Option.DOCTOR: Clearer.DOCTOR,
    Option.HOSPITAL: Clearer.DOCTOR,
    Option.MIDWIFE: Clearer.MIDWIFE,
    Option.PHYSIO: Clearer.PHYSIO,
    Option.NONE_OF_THESE: Clearer.NOBODY,
}


def choose_in_clearing(book: Book, heard: Heard, chosen: Chosen) -> Answer | None:
    """The next step of an end under way by a button of it; None if the day is over, or it is no answer to it."""
    if (clearing := _under_way(book, heard)) is None:
        return None
    match chosen:
        case Agreed(yes) if clearing.step in YES_OR_NO:
            return _take_yes_or_no(book, heard, clearing.step, yes=yes)
        case ChosenOption(option) if clearing.step is ClearingStep.WHO_SURE and option in CLEARERS:
            counts = word_counts(book, CLEARERS[option])
            return _take_when_of_both(book, heard, words.WHO_WORDS[option], clearing) if counts else _refuse(book)
        case ChosenDays((day,)) if clearing.step is ClearingStep.WHEN:
            said = f"{clearing.who}, {on_day(day, today_of(book, heard))}"
            return _take_visit(book, heard, Visit(day, day), said)
        case _:
            return None


def _take_yes_or_no(book: Book, heard: Heard, step: ClearingStep, *, yes: bool) -> Answer:
    """Yes or no to a step that asks for it."""
    standing = book.standing
    if not yes:
        return _keep_on_hold(book, words.STAYS_ON_HOLD)
    if step is ClearingStep.CLEARED or not isinstance(standing, OnHold):
        clearing = standing.clearing if isinstance(standing, OnHold | Walking) else None
        if clearing is not None and clearing.who:
            return _take_when(book, heard, clearing.who, clearing.who, said=clearing.who)
        return _ask_step(book, heard, ClearingStep.WHO, words.WHO_ASK)
    if step is ClearingStep.MISREAD:
        text = words.ask_if_sure(standing.said, said_on(book, standing))
        return _ask_step(book, heard, ClearingStep.MISREAD_SURE, text, YES_NO)
    return end_as_misread(book, heard, standing)


def _take_who(book: Book, heard: Heard, line: str, answer: bool | None) -> Answer:
    """Who it was: somebody whose word counts, or asked once more."""
    if len(line) < 2 or (answer is not None and clearer_in(line) is Clearer.UNTOLD):
        return _ask_step(book, heard, ClearingStep.WHO, words.WHO_ASK)
    if not_yet(line):
        return _keep_on_hold(book, words.NOT_YET)
    if word_counts(book, clearer_in(line)):
        return _take_when(book, heard, line, line, said=line)
    text, choices = words.ask_who_again(midwife=midwife_counts(book), physio=physio_counts(book))
    return _ask_step(book, heard, ClearingStep.WHO_SURE, text, choices, who=line)


def _take_who_again(book: Book, heard: Heard, clearing: Clearing, line: str, answer: bool | None) -> Answer:
    """Asked once more: one of those whose word counts, or refused with the reason."""
    if not_yet(line):
        return _keep_on_hold(book, words.NOT_YET)
    if answer is not False and word_counts(book, clearer_in(line)):
        if visit_in(line, today_of(book, heard)) is not None:
            return _take_when(book, heard, line, line, said=line)
        return _take_when_of_both(book, heard, line, clearing)
    return _refuse(book)


def _take_when_of_both(book: Book, heard: Heard, kind: str, clearing: Clearing) -> Answer:
    """Of that kind: the day may have been told with the name."""
    both = f"{kind} ({clearing.who})"
    return _take_when(book, heard, both, clearing.who, said=both)


def _refuse(book: Book) -> Answer:
    standing = book.standing
    text = words.refuse(standing, midwife=midwife_counts(book), physio=physio_counts(book))
    return _keep_on_hold(book, text)


def _take_when(book: Book, heard: Heard, who: str, line: str, *, said: str) -> Answer:
    """The day of the visit: not before the sign, not to come, and at the screening within the last months.

    `line` is searched for the day; `said` is what is kept where it holds one, `who` where it does not.
    """
    today = today_of(book, heard)
    if not_yet(line):
        return _keep_on_hold(book, words.NOT_YET)
    visit = visit_in(line, today)
    if visit is None:
        return _ask_step(book, heard, ClearingStep.WHEN, words.WHEN_ASK, words.when_buttons(today), who=who)
    if _is_soon(line, visit, today):
        return _keep_on_hold(book, words.STILL_TO_COME)
    return _take_visit(book, heard, visit, said)


def _take_visit(book: Book, heard: Heard, visit: Visit, said: str) -> Answer:
    """A visit whose day is told: late enough, and not too long ago."""
    today = today_of(book, heard)
    if visit.first > today:
        return _keep_on_hold(book, words.STILL_TO_COME)
    standing = book.standing
    if isinstance(standing, OnHold) and visit.last < (reported := reported_on(book, standing)):
        return _keep_on_hold(book, words.before_the_report(reported, today))
    if isinstance(standing, Walking):
        told = book.today(standing.since)
        if standing.why == "pregnancy" and visit.last < told:
            return _keep_on_hold(book, words.before_the_report(told, today))
        if visit.last < _months_before(today, CLEARANCE_LASTS.value):
            return _keep_on_hold(book, words.too_long_ago(CLEARANCE_LASTS.value))
    return _ask_step(book, heard, ClearingStep.WORD, words.WORD_ASK, who=said)


def _is_soon(line: str, visit: Visit, today: date) -> bool:
    """Whether a day without a year that is almost a year ago is rather the one to come."""
    coming = [day for day in read_days(line, today) if today < day <= today + VISIT_WITHIN.span]
    return bool(coming) and visit.last < today - VISIT_WITHIN.span


def _keep_on_hold(book: Book, text: str) -> Answer:
    """Nothing is cleared: the steps have to be begun again."""
    standing = book.standing
    if not isinstance(standing, OnHold | Walking):
        return say(book, words.NOT_ON_HOLD)
    buttons = (Button(words.CLEARED, Resume()),)
    return say(replace(book, standing=replace(standing, clearing=None)), text, *buttons, kind=SAFETY)


def _months_before(day: date, months: int) -> date:
    """The same day of a month `months` earlier, the 28th at most."""
    count = day.year * 12 + day.month - 1 - months
    return date(count // 12, count % 12 + 1, min(day.day, 28))


def _ask_step(
    book: Book, heard: Heard, step: ClearingStep, text: str, choices: Choices = (), *, who: str = ""
) -> Answer:
    standing = book.standing
    if not isinstance(standing, OnHold | Walking):
        return say(book, words.NOT_ON_HOLD)
    before = None if step in FIRST_STEPS else standing.clearing
    clearing = Clearing(step, before.since if before else heard.at, who or (before.who if before else ""))
    after = replace(book, standing=replace(standing, clearing=clearing))
    buttons = tuple(Button(label, Reply(clearing_token(clearing), chosen)) for label, chosen in choices)
    return Answer(after, (Say(text, QUESTION, buttons),))


def clearing_token(clearing: Clearing) -> str:
    """What the buttons of a step carry, so that an old button cannot take a later step."""
    return f"{clearing.step.value}@{clearing.since:%m%d%H%M%S}"
