"""How a hold ends: by a clinician's word that the runner passes on, or by a misreading set right in two steps."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from nudgebot.domain.dialogue.values import Answer, Heard, replan, say, today_of, with_pause
from nudgebot.domain.messages import health as words
from nudgebot.domain.model.runner import (
    Book,
    Clearing,
    ClearingStep,
    Joining,
    OnHold,
    Standing,
    Training,
    Walking,
)
from nudgebot.domain.model.speech import QUESTION, SAFETY, Button, Say
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake

CLEARING_LASTS = timedelta(hours=24)  # docs/safety.md, "Hold": the steps are taken within a day, or begin again
CLEARED = "cleared"  # under this id the answers keep who cleared running, and when


def on_hold(book: Book) -> Answer:
    """What a line that is no log and no end of the hold gets: how the hold ends."""
    return Answer(book, (Say(words.hold_page(book.standing), SAFETY, (Button("A clinician cleared me", "/back"),)),))


def unasked(book: Book) -> Book:
    """The book on hold with no end of it under way: the runner speaks of something else, and a yes is about that."""
    standing = book.standing
    return _with_standing(book, replace(standing, clearing=None)) if isinstance(standing, OnHold) else book


def clearing_begins(book: Book, heard: Heard) -> Answer:
    """The first step of the end of a hold: has a clinician cleared you to run?"""
    return _step(book, heard, ClearingStep.CLEARED, words.CLEARED_ASK, words.YES_NO)


def misreading_begins(book: Book, heard: Heard) -> Answer:
    """The first step where the sentence was about something else; not after a yes to the sign."""
    standing = book.standing
    if not isinstance(standing, OnHold) or standing.asked_yes:
        return on_hold(book)
    return _step(book, heard, ClearingStep.MISREAD, words.misread_ask(standing.said), words.YES_NO)


def clearing_goes_on(book: Book, heard: Heard, answer: bool | None) -> Answer | None:
    """The next step of an end under way; None where the line is no answer to the step or the day is over.

    `answer` is yes or no as read from the line, None for anything else.
    """
    standing = book.standing
    clearing = standing.clearing if isinstance(standing, OnHold | Walking) else None
    if clearing is None or not isinstance(standing, OnHold | Walking) or heard.at - clearing.since > CLEARING_LASTS:
        return None
    step, line = clearing.step, heard.text.strip()
    if step in {ClearingStep.CLEARED, ClearingStep.MISREAD, ClearingStep.MISREAD_SURE}:
        if answer is None:
            return None
        if not answer:
            return say(_with_standing(book, replace(standing, clearing=None)), words.STAYS_ON_HOLD, kind=SAFETY)
        if step is ClearingStep.CLEARED:
            return _step(book, heard, ClearingStep.WHO, words.WHO_ASK)
        if step is ClearingStep.MISREAD:
            said = standing.said if isinstance(standing, OnHold) else ""
            return _step(book, heard, ClearingStep.MISREAD_SURE, words.misread_sure(said), words.YES_NO)
        return _ended(book, heard, words.MISREAD_DONE, "")
    if step is ClearingStep.WHO:
        if len(line) < 2 or answer is not None:
            return _step(book, heard, ClearingStep.WHO, words.WHO_ASK)
        return _step(book, heard, ClearingStep.WORD, words.WORD_ASK, who=line)
    if line.strip(" .!'\"`").casefold() == "cleared":
        return _ended(book, heard, words.cleared(clearing.who), clearing.who)
    return None


def _step(
    book: Book,
    heard: Heard,
    step: ClearingStep,
    text: str,
    choices: tuple[tuple[str, str], ...] = (),
    *,
    who: str = "",
) -> Answer:
    standing = book.standing
    if not isinstance(standing, OnHold | Walking):
        return say(book, words.NOT_ON_HOLD)
    begun = standing.clearing.since if standing.clearing is not None and step not in FIRST_STEPS else heard.at
    clearing = Clearing(step, begun, who or (standing.clearing.who if standing.clearing else ""))
    after = _with_standing(book, replace(standing, clearing=clearing))
    buttons = tuple(Button(label, says, clearing_token(clearing)) for label, says in choices)
    return Answer(after, (Say(text, QUESTION, buttons),))


FIRST_STEPS = frozenset({ClearingStep.CLEARED, ClearingStep.MISREAD})


def clearing_token(clearing: Clearing) -> str:
    """What the buttons of a step carry, so that an old button cannot take a later step."""
    return f"{clearing.step.value}@{clearing.since:%m%d%H%M%S}"


def _with_standing(book: Book, standing: Standing) -> Book:
    return replace(book, standing=standing)


def _ended(book: Book, heard: Heard, text: str, who: str) -> Answer:
    """The hold is over: the way back is by the return table; an unfinished intake goes on.

    `who` cleared the runner, kept with the date; "" where the line had been misread, and then the screening's
    answer holds as it did before.
    """
    today = today_of(book, heard)
    book = with_pause(book, today)
    if who:
        book = replace(book, answers={**book.answers, CLEARED: f"{today.isoformat()} {who}"})
    if intake.next_question(book.answers) is not None:
        return say(replace(book, standing=Joining()), f"{text}\n{words.INTAKE_GOES_ON}")
    standing = Training() if CLEARED in book.answers else intake.standing_after(book.profile, heard.now)
    after = planner.return_after(replace(book, standing=standing, asked=None), today)
    after, _ = replan(after, heard)
    return say(after, words.running_again(after, today, text))
