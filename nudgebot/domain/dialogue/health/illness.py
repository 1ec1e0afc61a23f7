"""An illness as a standing: entered by what is told, prolonged by it, and left by a question and a gentle way back.

Nothing is planned while it lasts; its end is never assumed. (docs/safety.md, "Ill")
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue.undo import journal
from nudgebot.domain.dialogue.values import (
    Answer,
    Choices,
    Heard,
    ask,
    limit,
    replan,
    say,
    standing_when_well,
    today_of,
    with_note,
    with_pause,
    without_limits,
)
from nudgebot.domain.messages.health import illness as words
from nudgebot.domain.messages.health.complaints import YES_NO
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.model.actions import ChosenDays
from nudgebot.domain.model.parameters import ILLNESS_LINGERS, OLD_ILLNESS
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, LimitReason, OnHold, SymptomNote
from nudgebot.domain.model.week import WalkRun
from nudgebot.domain.planning import planner, ways_back
from nudgebot.domain.planning.ways_back import Wait
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.sayings import hides_a_fever, says_lifted, says_well
from nudgebot.domain.text.triage import Illness, Level, Verdict

COVID_TOLD = "covid told"  # the note by which an illness that follows soon is known as its return
JOINING_ILL = "ill at joining: "  # under this sign the notes keep an illness that was told during the intake


def record_illness(book: Book, heard: Heard, verdict: Verdict) -> Book:
    """The book with the illness that was told: as its standing, or under a hold, which wins."""
    today = today_of(book, heard)
    before = illness_of(book)
    back = any(note.sign == COVID_TOLD and today - note.day <= ILLNESS_LINGERS.span for note in book.symptoms)
    ill = before or Ill(today, last_ill=today, covid=back)
    over = not is_still_ill(book, heard, verdict)
    for each in verdict.told:
        last = _last_day(heard.text, today, past=each.past or over)
        ill = replace(ill, last_ill=later_of(ill.last_ill, last))
        match each.illness:
            case Illness.FEVER:
                ill = replace(ill, last_fever=later_of(ill.last_fever, last))
            case Illness.UPSET:
                ill = replace(ill, last_upset=later_of(ill.last_upset, last))
            case Illness.COVID:
                ill = replace(ill, covid=True)
                book = with_note(book, heard, Level.NONE.value, COVID_TOLD)
            case Illness.ILL:
                pass
    ill = replace(ill, deep=ill.deep or verdict.deep)
    if isinstance(book.standing, OnHold):
        return replace(book, standing=replace(book.standing, beneath=ill))
    if isinstance(book.standing, Ill):
        return replace(book, standing=ill)
    closed = limit(with_pause(book, today), (today,), LimitReason.ILL)
    return planner.pause(replace(closed, standing=ill, returning=None, half_runs=0), today)


def is_still_ill(book: Book, heard: Heard, verdict: Verdict) -> bool:
    """Whether an illness told is there now; not one that has lifted, nor one of a day gone of somebody who is well."""
    if not verdict.ill_now or says_lifted(heard.text):
        return False
    today = today_of(book, heard)
    named = read_days(heard.text, today, past=True)
    return not (says_well(heard.text) and named and max(named) < today)


def note_while_joining(book: Book, heard: Heard, verdict: Verdict) -> Book:
    """The book with an illness that was told during the intake kept for its end."""
    today = today_of(book, heard)
    notes = tuple(
        SymptomNote(
            _last_day(heard.text, today, past=each.past),
            Level.REST.value,
            f"{JOINING_ILL}{each.illness.value}",
            "deep" if verdict.deep else "",
            None,
            heard.at,
        )
        for each in verdict.told
    )
    return replace(book, symptoms=(*book.symptoms, *notes))


def begin_after_joining(book: Book, today: date) -> Book:
    """The book whose intake has just ended, ill where an illness was told meanwhile."""
    notes = [n for n in book.symptoms if n.sign.startswith(JOINING_ILL) and today - n.day <= OLD_ILLNESS.span]
    if not notes:
        return book

    def last(kind: Illness) -> date | None:
        return max((n.day for n in notes if n.sign == f"{JOINING_ILL}{kind.value}"), default=None)

    ill = Ill(
        min(n.day for n in notes),
        last(Illness.FEVER),
        last(Illness.UPSET),
        max(n.day for n in notes),
        last(Illness.COVID) is not None,
        any(n.spot == "deep" for n in notes),
    )
    return planner.pause(replace(book, standing=ill), today)


def illness_of(book: Book) -> Ill | None:
    """The illness that stands, or waits under a hold; None if there is none."""
    match book.standing:
        case Ill():
            return book.standing
        case OnHold(beneath=beneath):
            return beneath
        case _:
            return None


def is_on_its_way_back(book: Book, today: date) -> bool:
    """Whether the runner is ill, or on the gentle way back from an illness or a hold."""
    if isinstance(book.standing, Ill) or (book.walk_run is not None and book.walk_run.walk_until is not None):
        return True
    gentle = book.half_runs > 0 or (book.returning is not None and today <= book.returning.end)
    return gentle and any(today - pause.last <= ILLNESS_LINGERS.span for pause in book.pauses)


def later_of(one: date | None, other: date) -> date:
    """The later of two days, the first of which may not be known."""
    return other if one is None else max(one, other)


def _last_day(text: str, today: date, *, past: bool) -> date:
    """The last day of what is told: the latest day gone that the line names, yesterday where it is over, else today."""
    if not past:
        return today
    named = [day for day in read_days(text, today, past=True) if day <= today]
    return max(named, default=today - timedelta(days=1))


def with_last_day(book: Book, day: date) -> Book:
    """The book of somebody who is ill, with `day` as a day on which what was told was still there."""
    ill = book.standing
    if not isinstance(ill, Ill):
        return book
    fever, upset = (None if last is None else max(last, day) for last in (ill.last_fever, ill.last_upset))
    return replace(
        book, standing=replace(ill, last_ill=later_of(ill.last_ill, day), last_fever=fever, last_upset=upset)
    )


def with_fever_today(book: Book, today: date) -> Book:
    """The book of somebody who is ill, with today as a day of fever."""
    ill = book.standing
    return replace(book, standing=replace(ill, last_fever=today, last_ill=today)) if isinstance(ill, Ill) else book


def ask_if_ill_at_all(book: Book, heard: Heard, said: str) -> Answer:
    """The illness of today was read wrongly: taken back after one more question; a later one has its own way out."""
    return ask(book, heard, Ask.NOT_ILL_SURE, words.ask_if_ill(said), YES_NO, line=said)


def take_back_illness(book: Book, heard: Heard) -> Answer:
    """The plan as it was before an illness that was none; one that is older than today gets the question back."""
    today, ill = today_of(book, heard), book.standing
    if not isinstance(ill, Ill):
        return say(replace(book, asked=None), words.TAKEN_BACK)
    if ill.since != today:
        return ask_about_heart(book, heard, words.TOO_LATE_TO_TAKE_BACK)
    told = next((each for each in reversed(book.changes) if any(journal.lost_and_gained(each, "standing"))), None)
    if told is not None:
        after = journal.take_out(book, told, heard).book
        return say(after, f"{words.TAKEN_BACK} {next_line(after, today)}")
    limits = {limit.day for limit in book.limits if limit.day >= today and limit.reason is LimitReason.ILL}
    kept = tuple(n for n in book.symptoms if n.day != today or (n.level != Level.REST.value and n.sign != COVID_TOLD))
    well = replace(
        without_limits(book, limits), standing=standing_when_well(book, heard.now), symptoms=kept, asked=None
    )
    after, _ = replan(planner.return_after(well, today), heard)
    return say(after, f"{words.TAKEN_BACK} {next_line(after, today)}")


def begin_way_back(book: Book, heard: Heard, first: str = "Good.") -> Answer:
    """The first question back, after `first`; what the line tells of the last day of it is kept."""
    ill, today = book.standing, today_of(book, heard)
    if isinstance(ill, Ill):
        if ill.last_fever is not None and hides_a_fever(heard.text):
            return say(with_fever_today(replace(book, asked=None), today), words.MEDICINE)
        named = [day for day in read_days(heard.text, today, past=True) if day <= today]
        if named and ill.last_fever is not None and re.search(r"f[ieéè]+[vb]", heard.text.casefold()):
            ill = replace(ill, last_fever=max(ill.last_fever, *named))
        if ill.covid:  # silence is no day free of symptoms: it counts from today unless a day was named
            ill = replace(ill, last_ill=later_of(ill.last_ill, max(named, default=today)))
        book = replace(book, standing=ill)
    return ask_about_heart(book, heard, first)


def ask_about_heart(book: Book, heard: Heard, first: str) -> Answer:
    """The first question after an illness, about signs of the heart, after `first`."""
    return ask(book, heard, Ask.ILL_BACK, words.ask_about_heart(first), YES_NO)


def start_way_back(book: Book, heard: Heard) -> Answer:
    """No to the first question back starts the way back, after the wait that ends last."""
    today, ill = today_of(book, heard), book.standing
    book = replace(book, asked=None)
    if not isinstance(ill, Ill):
        return say(book, next_line(book, today))
    wait, last = ways_back.wait_of(ill)
    first = ways_back.first_run_day(wait, last)
    after, text = _plan_way_back(book, heard, wait, first, walks=ill.covid and ill.deep)
    if wait is Wait.ILL:
        return say(after, text)
    floor = ill.since if wait is Wait.COVID else last
    said = f"{text}\n{words.say_counted_from(wait, last, today)}"
    choices = _likely_days(floor, last, today)
    return ask(after, heard, Ask.LAST_FEVER, said, choices, day=floor, detail=wait.value)


def _likely_days(floor: date, last: date, today: date) -> Choices:
    """The likely other days, as buttons."""
    days = ((today - timedelta(days=1), "Yesterday"), (today, "Today"))
    return tuple((name, ChosenDays((day,))) for day, name in days if day != last and day > floor)


def count_wait_from(book: Book, heard: Heard, wait: Wait, last: date) -> Answer:
    """It went on to `last`: the wait is counted from there. A day told for a fever only ever moves it on."""
    today = today_of(book, heard)
    first = ways_back.first_run_day(wait, last)
    if wait is not Wait.COVID:
        closed = [lim.day for lim in book.limits if lim.day >= today and lim.reason is LimitReason.ILL]
        first = max(first, max(closed, default=today - timedelta(days=1)) + timedelta(days=1))
    walks = book.walk_run is not None and book.walk_run.walk_until is not None
    return say(*_plan_way_back(replace(book, asked=None), heard, wait, first, walks=walks))


def _plan_way_back(book: Book, heard: Heard, wait: Wait, first: date, *, walks: bool) -> tuple[Book, str]:
    """The book on the way back from an illness, with no run before `first`, and the words."""
    today = today_of(book, heard)
    first = max(first, today)
    closed = [today + timedelta(days=i) for i in range((first - today).days)]
    over = {lim.day for lim in book.limits if lim.day >= today and lim.reason is LimitReason.ILL}
    after = with_pause(without_limits(book, over), today)
    after = limit(after, closed, LimitReason.ILL) if closed else after
    after = replace(after, standing=standing_when_well(book, heard.now))
    walk_until = ways_back.walks_until(first) if walks else None
    if walk_until is not None:
        after = replace(after, walk_run=WalkRun(0, 0, first, walk_until), returning=None)
    after = planner.after_illness(after, first)
    after, replanned = replan(after, heard)
    return after, words.say_way_back(after, today, wait, first, walk_until, replanned)
