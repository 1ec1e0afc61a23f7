"""What follows the end of a hold: cleared or misread, and the way back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Final

from nudgebot.domain.dialogue.health import illness
from nudgebot.domain.dialogue.health.hold import HOLD_ENDED, open_notes, signs_of
from nudgebot.domain.dialogue.values import (
    Answer,
    Heard,
    rank_of,
    replan,
    say,
    standing_when_well,
    today_of,
    with_note,
    with_pause,
)
from nudgebot.domain.messages.health import hold as words
from nudgebot.domain.messages.health.complaints import cautions_of, running_again
from nudgebot.domain.messages.health.illness import HOLD_ENDED as ILL_TOO
from nudgebot.domain.model.intake import Cleared
from nudgebot.domain.model.parameters import CONCUSSION_FIRST_STEP
from nudgebot.domain.model.runner import Book, Joining, OnHold, Walking
from nudgebot.domain.model.speech import SAFETY
from nudgebot.domain.model.week import WalkRun
from nudgebot.domain.planning import limits, planner
from nudgebot.domain.profile import intake
from nudgebot.domain.profile.intake_codec import with_answer
from nudgebot.domain.text.illness_talk import Clearer, clearer_in
from nudgebot.domain.text.symptoms.table import HEAD_KNOCK
from nudgebot.domain.text.triage import Level

SAID_YES: Final = frozenset({"yes to the plain question", "calf: yes to the question"})  # signs that only a yes gives


def end_as_misread(book: Book, heard: Heard, standing: OnHold) -> Answer:
    """The sign was none; another one that was told meanwhile still holds."""
    mine = {standing.sign}
    others = [note for note in open_notes(book) if note.sign not in mine]
    kept = tuple(n for n in book.symptoms if n not in open_notes(book) or n.sign not in mine)
    book = replace(book, symptoms=kept)
    if others:
        gravest = max(others, key=lambda note: rank_of(note.level))
        since = gravest.at or standing.since
        yes = gravest.sign in SAID_YES
        after = replace(book, standing=OnHold(since, gravest.level, gravest.sign, "", asked_yes=yes))
        return say(after, words.misread_not_all(gravest.day), kind=SAFETY)
    return _run_again(with_note(book, heard, Level.NONE.value, HOLD_ENDED), heard, words.MISREAD_DONE)


def end_as_cleared(book: Book, heard: Heard, who: str) -> Answer:
    """A clinician's word ends it; after an emergency and after a concussion the way back is a longer one."""
    today = today_of(book, heard)
    standing = book.standing
    text = [words.confirm_cleared(who)]
    if not isinstance(standing, OnHold):
        cautions = cautions_of(book.intake, book.profile.country)
        return _run_again(_with_clearance(book, today, who), heard, " ".join([*text, *cautions]))
    signs = signs_of(book, standing)
    grave = standing.level == Level.EMERGENCY.value
    joint = clearer_in(who) is Clearer.PHYSIO
    if not joint:  # a physiotherapist's word is about muscle and joint, not about what the screening asks
        book = _with_clearance(book, today, who)
        asks = intake.next_question(book.intake)
        if asks in {"disease", "signs"}:
            book = replace(book, intake=with_answer(book.intake, asks, "yes"))  # what was seen to is not asked again
    if grave:
        book = limits.after_emergency(book, today)
        text.append(words.TWO_WEEKS_STEADY)
    if signs & HEAD_KNOCK:
        text.append(words.STEPWISE)
    book = with_note(book, heard, Level.NONE.value, HOLD_ENDED)
    return _run_again(book, heard, " ".join(text), signs=signs, after_a_sign=True)


def _with_clearance(book: Book, today: date, who: str) -> Book:
    return replace(book, intake=replace(book.intake, cleared=Cleared(today, who)))


def _run_again(
    book: Book, heard: Heard, text: str, *, signs: frozenset[str] = frozenset(), after_a_sign: bool = False
) -> Answer:
    """The hold is over: the way back is by the return table, an unfinished intake goes on.

    `after_a_sign` runs at half at first, where it was too short for the table.
    """
    today = today_of(book, heard)
    book = with_pause(book, today)
    if intake.next_question(book.intake) is not None:
        return say(replace(book, standing=Joining()), f"{text}\n{words.INTAKE_GOES_ON}")
    if isinstance(book.standing, OnHold) and book.standing.beneath is not None:
        ill = replace(book, standing=book.standing.beneath, asked=None)
        return illness.begin_way_back(ill, heard, first=ILL_TOO)
    after = replace(book, standing=standing_when_well(book, heard.now), asked=None)
    if isinstance(after.standing, Walking):
        after = planner.return_after(after, today)
        return say(after, running_again(after, today, f"{text} {words.hold_page(after.standing, '')}"))
    if signs & HEAD_KNOCK:
        after = replace(after, walk_run=WalkRun(CONCUSSION_FIRST_STEP.value, 0, today))
        after_a_sign = False  # the steps are gentler than runs at half
    after = planner.after_illness(after, today) if after_a_sign else planner.return_after(after, today)
    after, _ = replan(after, heard)
    return say(after, running_again(after, today, text))
