"""What a line changed is kept, with a button that takes it back; an edited message changes anew."""

from __future__ import annotations

from dataclasses import replace

from nudgebot.domain.dialogue import remembered_readings
from nudgebot.domain.dialogue.undo import journal
from nudgebot.domain.dialogue.values import Answer, Heard
from nudgebot.domain.model.actions import Undo
from nudgebot.domain.model.journal import Change
from nudgebot.domain.model.runner import Book, Joining, LimitReason
from nudgebot.domain.model.speech import ANSWER, QUESTION, Button


def keep_change(before: Book, answer: Answer, heard: Heard) -> Answer:
    """The answer with what the line changed in the journal, and the button that takes it back."""
    if answer.erase or answer.book.changes is not before.changes:
        return answer  # a taking back keeps the journal itself
    heard = replace(heard, key=remembered_readings.message_of(before, answer.book) or heard.key)
    after = journal.note_change(before, answer.book, heard)
    change = journal.change_of(after, heard.key)
    is_run = answer.book.log != before.log  # told so from the books, since reading a change back takes longer
    if change is None or isinstance(after.standing, Joining) or (not is_run and _is_health(change)):
        return replace(answer, book=after)
    undo = Button("Undo", Undo(heard.key))
    says = list(answer.says)
    answers = [n for n, each in enumerate(says) if each.kind == ANSWER]
    place = next(iter(answers or [n for n, each in enumerate(says) if each.kind == QUESTION]), None)
    if place is not None and not any(isinstance(each.action, Undo) for one in says for each in one.buttons):
        says[place] = replace(says[place], buttons=(*says[place].buttons, undo))
    return Answer(after, tuple(says))


def count_runs(before: Book, answer: Answer) -> Answer:
    """The answer with the runs counted that a line added to the log of `before`, less those that it took back."""
    after, told = answer.book, answer.book.intake
    more = sum(entry.is_run for entry in after.log) - sum(entry.is_run for entry in before.log)
    if not more or isinstance(after.standing, Joining):
        return answer
    return replace(answer, book=replace(after, intake=replace(told, runs=max(0, (told.runs or 0) + more))))


def _is_health(change: Change) -> bool:
    """Whether it is about how the runner feels and no run: its words can be taken back, but no button invites to."""
    if any(journal.lost_and_gained(change, "log")):
        return False
    lost, gained = journal.lost_and_gained(change, "limits")
    pain = any(each.reason is LimitReason.PAIN for each in (*lost, *gained))
    return pain or any(any(journal.lost_and_gained(change, name)) for name in ("standing", "symptoms"))


def forget_first_version(book: Book, heard: Heard) -> tuple[Book, bool]:
    """The book without what the first version of an edited message did, and whether it did anything.

    The question that the first version answered is open again. An illness stays: it ends in its own way.
    """
    change = journal.change_of(book, heard.key)
    if change is not None and not any(journal.lost_and_gained(change, "standing")):
        asked = journal.question_before(change)
        return replace(journal.take_out(book, change, heard).book, asked=asked, readings=book.readings), True
    entries = tuple(entry for entry in book.log if entry.key != heard.key)
    return replace(book, log=entries), len(entries) < len(book.log)
