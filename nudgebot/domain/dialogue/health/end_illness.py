"""The end of an illness: a question, the wait that is left, and a gentle way back; or that it was none."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue.health.illness import COVID_TOLD, later_of, with_fever_today
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
    with_pause,
    without_limits,
)
from nudgebot.domain.messages.health import illness as words
from nudgebot.domain.messages.health.complaints import YES_NO
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.model.actions import ChosenDays
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, LimitReason
from nudgebot.domain.model.week import WalkRun
from nudgebot.domain.planning import planner, ways_back
from nudgebot.domain.planning.ways_back import Wait
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.sayings import hides_a_fever
from nudgebot.domain.text.triage import Level


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
