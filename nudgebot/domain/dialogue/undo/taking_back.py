"""Anything can be taken back or put right: by button, by word, by day and minutes; which one is asked where unclear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Final

from nudgebot.domain.dialogue.runs import log_run
from nudgebot.domain.dialogue.undo import journal
from nudgebot.domain.dialogue.undo.targets import (
    NEVER,
    Target,
    as_name,
    find_fitting,
    find_nearest,
    find_targets,
    settle_number,
)
from nudgebot.domain.dialogue.values import Answer, Choices, Heard, ask, regrow, replan, say, today_of, without_limits
from nudgebot.domain.messages import runs as run_words
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages import taking_back as words
from nudgebot.domain.model.actions import Agreed, ChosenValue, Resume, Undo
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.nudged import Outcome
from nudgebot.domain.model.parameters import CHANGES_KEPT, QUESTION_LASTS
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, LimitReason, OnHold
from nudgebot.domain.model.speech import Button
from nudgebot.domain.planning import limits
from nudgebot.domain.planning.gap import open_session
from nudgebot.domain.text.reply import read_yes_no
from nudgebot.domain.text.sayings import frees_a_day
from nudgebot.domain.text.taking_back import (
    Correction,
    correction_in,
    deletes_an_entry,
    says_how_long_it_was,
    says_other_minutes,
    says_what_it_was,
)

CHOICES: Final = 3  # of what fits, the newest


def take_back_last(book: Book, heard: Heard) -> Answer:
    """The last change taken back."""
    found = find_targets(book)
    return _take_back(book, heard, found[0]) if found else say(book, words.NOTHING_TO_TAKE_BACK)


def take_back_line(book: Book, heard: Heard, key: str) -> Answer:
    """What the line of that key did taken back, whatever came after it; once, however often asked."""
    target = next((each for each in find_targets(book, restored=True) if each.key == key), None)
    return _take_back(book, heard, target) if target is not None else say(book, words.TAKEN_BACK_BEFORE)


def list_changes(book: Book, heard: Heard) -> Answer:
    """The last changes, with a button each."""
    today = today_of(book, heard)
    found = find_targets(book)[: CHANGES_KEPT.value]
    if not found:
        return say(book, words.NOTHING_TO_TAKE_BACK)
    labels = [_label(book, each, today) for each in found]
    buttons = tuple(Button(label, Undo(each.key)) for label, each in zip(labels, found, strict=True))
    return say(book, words.changes_page(labels), *buttons)


def answer_correction(book: Book, heard: Heard) -> Answer:
    """A line that takes back or corrects, by what it says of the entry."""
    return correct(book, heard) or say(book, words.NOTHING_TO_TAKE_BACK)


def correct(book: Book, heard: Heard) -> Answer | None:
    """What a line takes back or corrects, by what it says of the entry; None if nothing is there to take back."""
    correction = correction_in(heard.text, today_of(book, heard))
    if correction.everything:
        return ask(book, heard, Ask.ERASE, small_talk.ERASE_ASK, (("Keep everything", Agreed(False)),))
    found = find_targets(book)
    if not found:
        return None
    correction = settle_number(found, correction)
    if correction.amends:
        found = tuple(each for each in found if each.entries)
    fitting = find_fitting(found, correction)
    several = fitting[0].days - correction.days if len(fitting) == 1 and correction.days else frozenset()
    if several and not correction.amends and not fitting[0].is_move:
        freed = _free_days(book, heard, correction.days)  # one of several days that were closed together
        if freed is not None:
            return freed
    late = bool(fitting) and heard.at - fitting[0].at > QUESTION_LASTS.span
    if late and says_what_it_was(heard.text):  # "das war gestern", days after: of what?
        return _ask_which(book, heard, fitting[:CHOICES])
    if len(fitting) == 1 or (fitting and not (correction.days or correction.old)):
        return _act_on(book, heard, fitting[0], correction)
    if fitting and correction.amends:
        return _act_on(book, heard, fitting[0], correction)
    offered = fitting[:CHOICES] or find_nearest(found, correction)
    return _ask_which(book, heard, offered) if offered else None


def answer_plain_correction(book: Book, heard: Heard) -> Answer | None:
    """A line that deletes, or says of the last run when or what it was, and nothing else, however it was read.

    None for any other; only soon after the run was told is a line about it that names none.
    """
    if deletes_an_entry(heard.text):
        return answer_correction(book, heard)
    if frees_a_day(heard.text):
        return _free_days(book, heard, correction_in(heard.text, today_of(book, heard)).days)
    other_minutes = says_other_minutes(heard.text)
    if says_how_long_it_was(heard.text) and (amended := _answer_told_again(book, heard)) is not None:
        return amended
    if not (other_minutes or says_what_it_was(heard.text)):
        return None
    newest = next((each for each in find_targets(book) if each.entries), None)
    if newest is None or heard.at - newest.at > QUESTION_LASTS.span:
        return None
    correction = correction_in(heard.text, today_of(book, heard))
    if other_minutes and correction.old not in newest.minutes:
        return None  # "30 instead of 40": of what was planned
    return _correct(book, heard, newest, correction) if correction.amends else None


def minutes_first_told(book: Book, heard: Heard) -> int | None:
    """The minutes of a line such as "it was 38" where today's session waits for a word, or nothing was ever told.

    Right after another run was told, with no message of ours since, it is about that one.
    """
    today = today_of(book, heard)
    if not says_how_long_it_was(heard.text) or any(entry.day == today for entry in book.log):
        return None
    correction = correction_in(heard.text, today)
    told = max((entry.noted_at or NEVER for entry in book.log), default=NEVER)
    waits = not book.log or (_spoke_since(book, told) and open_session(book, today) is not None)
    return (correction.new or correction.number) if waits and not correction.days - {today} else None


def _answer_told_again(book: Book, heard: Heard) -> Answer | None:
    """The minutes of a run that is in the log already, told once more; None if no run of that day is."""
    today = today_of(book, heard)
    correction = correction_in(heard.text, today)
    minutes = correction.new or correction.number
    newest = next((each for each in find_targets(book) if each.entries), None)
    if newest is None or minutes is None or heard.at - newest.at > QUESTION_LASTS.span:
        return None
    just_told = not correction.days and not _spoke_since(book, newest.at)
    if not (just_told or newest.days & (correction.days or {today})):
        return None
    if minutes in newest.minutes:
        return say(book, words.say_as_told(newest.describe(today)))
    return _correct(book, heard, newest, Correction(new=minutes))


def _spoke_since(book: Book, at: datetime) -> bool:
    """Whether a nudge went out since `at`: what the runner says then may be its answer."""
    return any(nudged.outcome is Outcome.SENT and nudged.at > at for nudged in book.nudges)


def _free_days(book: Book, heard: Heard, days: frozenset[date]) -> Answer | None:
    """Days that the runner had closed are open again; None if none of these was."""
    today = today_of(book, heard)
    said = {limit.day for limit in book.limits if limit.reason in CLOSED_BY_RUNNER and limit.day in days}
    closed = {day for day in said if day >= today}
    if not closed:
        return None
    after, replanned = replan(replace(without_limits(book, closed), asked=None), heard)
    return say(after, words.say_freed(book, after, closed, book.today(heard.now), replanned))


def take_choice(book: Book, heard: Heard, said: str, key: str) -> Answer:
    """Which of several is meant was answered: `said` is the line that asked for it."""
    if not key:
        return say(book, words.KEPT)
    target = next((each for each in find_targets(book) if each.key == key), None)
    if target is None:
        return say(book, words.TAKEN_BACK_BEFORE)
    return _act_on(book, heard, target, correction_in(said, today_of(book, heard)))


def read_key(book: Book, heard: Heard, said: str) -> str | None:
    """The key of the change that a typed answer means, "" for none of them; None if the line is something else."""
    today = today_of(book, heard)
    typed = heard.text.strip(" .!?").casefold()
    if typed in {words.NONE_OF_THEM.casefold(), "none", "no", "neither"}:
        return ""
    found = find_targets(book)
    by_label = [each for each in found if _label(book, each, today).casefold() == typed]
    about = correction_in(heard.text, today)
    if not by_label and not (about.days or about.number or about.old):
        return "" if read_yes_no(heard.text) is False else None
    first = correction_in(said, today)
    fitting = by_label or find_fitting(tuple(e for e in found if e.entries or not first.amends), as_name(about))
    return fitting[0].key if len(fitting) == 1 else None


def _act_on(book: Book, heard: Heard, target: Target, correction: Correction) -> Answer:
    return _correct(book, heard, target, correction) if correction.amends else _take_back(book, heard, target)


def _ask_which(book: Book, heard: Heard, offered: Sequence[Target]) -> Answer:
    today = today_of(book, heard)
    choices: Choices = (
        *((_label(book, each, today), ChosenValue(each.key)) for each in offered),
        (words.NONE_OF_THEM, ChosenValue("")),
    )
    return ask(book, heard, Ask.TAKE_BACK, words.WHICH, choices)


def _label(book: Book, target: Target, today: date) -> str:
    return words.label(target.describe(today), book.today(target.at) if target.at != NEVER else today, today)


def _take_back(book: Book, heard: Heard, target: Target) -> Answer:
    today, change = today_of(book, heard), target.change
    what = target.describe(today)
    if change is None:
        rest = replace(book, log=tuple(e for e in book.log if e not in target.entries), asked=None)
        after, replanned = replan(regrow(rest, today), heard)
    else:
        if isinstance(book.standing, Ill) and any(journal.lost_and_gained(change, "standing")):
            return _ask_ill_or_better(book, heard)
        back = journal.take_out(book, change, heard)
        after, replanned = back.book, back.replanned
    after = journal.note_change(book, after, heard, restores=True)
    put_back = change is not None and change.restores
    text = words.say_taken_back(book, after, what, book.today(heard.now), replanned, put_back=put_back)
    again = () if put_back or after.changes == book.changes else (Button(words.PUT_BACK, Undo(heard.key)),)
    return say(after, text, *again)


def _ask_ill_or_better(book: Book, heard: Heard) -> Answer:
    """An illness is taken back where it was read wrongly; whoever is better goes the way back."""
    asked = ask(book, heard, Ask.NOT_ILL_SURE, words.STILL_ILL, (("Misread", Agreed(True)),))
    return asked.with_first(buttons=(*asked.says[0].buttons, Button("I am better", Resume())))


def _correct(book: Book, heard: Heard, target: Target, correction: Correction) -> Answer:
    """The entry as the line says that it was, as though it had been told so at once."""
    today = today_of(book, heard)
    wrong = next(
        (e for e in target.entries if e.minutes == correction.old or (e.day in correction.days and not correction.old)),
        target.entries[-1],
    )
    right = _correct_entry(book, wrong, correction)
    if target.change is not None and not isinstance(book.standing, OnHold):
        rest = journal.take_out(book, target.change, heard).book
    else:
        rest = regrow(book, today)
    rest = replace(rest, log=tuple(e for e in rest.log if e.key != target.key), asked=None)
    entries = tuple(right if entry is wrong else entry for entry in target.entries)
    after, remarks, replanned = log_run.add_to_log(rest, heard, entries)
    if right.day == wrong.day:  # the break is as long as it was
        remarks = tuple(each for each in remarks if each != run_words.say_way_back(rest.returning, after.returning))
    text = words.say_corrected(book, after, wrong, right, today, replanned)
    after = journal.note_change(book, after, heard)
    return say(after, "\n".join([text, *remarks]), Button("Undo", Undo(heard.key)))


def _correct_entry(book: Book, wrong: LogEntry, correction: Correction) -> LogEntry:
    day = correction.new_day or wrong.day
    activity = correction.activity or wrong.activity
    return replace(
        wrong,
        minutes=correction.new or wrong.minutes,
        day=day,
        activity=activity,
        in_place_of_run=wrong.in_place_of_run and activity is wrong.activity,
        cap=limits.session_max(book, day),
    )


CLOSED_BY_RUNNER: Final = frozenset({LimitReason.BUSY, LimitReason.SKIP, LimitReason.LET_GO, LimitReason.AWAY})
