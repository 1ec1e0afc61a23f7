"""An illness as a standing: entered by what is told, prolonged by it, and left by a question and a gentle way back.

Nothing is planned while it lasts; its end is never assumed. (docs/safety.md, "Ill")
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue import journal, log_run
from nudgebot.domain.dialogue.values import (
    Answer,
    Choices,
    Heard,
    ask,
    replan,
    say,
    standing_when_well,
    today_of,
    with_limits,
    with_note,
    with_pause,
    without_limits,
)
from nudgebot.domain.messages import illness as words
from nudgebot.domain.messages.health import YES_NO
from nudgebot.domain.messages.hold import CLEARED, hold_page
from nudgebot.domain.messages.log import counted
from nudgebot.domain.messages.plan import next_line
from nudgebot.domain.model.actions import ChosenDays, ChosenOption, Feeling, Option, Resume
from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.model.parameters import OLD_ILLNESS
from nudgebot.domain.model.runner import Ask, Book, DayLimit, Ill, LimitReason, OnHold, SymptomNote, WalkRun
from nudgebot.domain.model.speech import SAFETY, Button
from nudgebot.domain.planning import illness_wait, planner
from nudgebot.domain.planning.illness_wait import Wait
from nudgebot.domain.text.claims import is_fever
from nudgebot.domain.text.illness_talk import bare_temperature, hides_a_fever, says_lifted, says_well
from nudgebot.domain.text.reply import Intent, Reading, read_days
from nudgebot.domain.text.short_lines import feeling_in
from nudgebot.domain.text.triage import Illness, Level, Verdict

_WALKS = frozenset({Activity.WALK, Activity.MOBILITY})
JOINING_ILL = "ill at joining: "  # under this sign the notes keep an illness that was told during the intake


# ------------------------------------------------------------------ entering and prolonging it


def opened(book: Book, heard: Heard, verdict: Verdict) -> Book:
    """The book with the illness that was told: as its standing, or under a hold, which wins."""
    today = today_of(book, heard)
    before = _ill_of(book)
    ill = before or Ill(today, last_ill=today)
    over = not _goes_on(book, heard, verdict)
    for each in verdict.told:
        last = _last_day(heard.text, today, past=each.past or over)
        ill = replace(ill, last_ill=_later(ill.last_ill, last))
        match each.illness:
            case Illness.FEVER:
                ill = replace(ill, last_fever=_later(ill.last_fever, last))
            case Illness.UPSET:
                ill = replace(ill, last_upset=_later(ill.last_upset, last))
            case Illness.COVID:
                ill = replace(ill, covid=True)
            case Illness.ILL:
                pass
    ill = replace(ill, deep=ill.deep or verdict.deep)
    if isinstance(book.standing, OnHold):
        return replace(book, standing=replace(book.standing, beneath=ill))
    if isinstance(book.standing, Ill):
        return replace(book, standing=ill)
    day_off = DayLimit(today, 0, LimitReason.ILL)
    ill_book = replace(with_limits(with_pause(book, today), (day_off,)), standing=ill, returning=None, half_runs=0)
    return planner.pause(ill_book, today)


def tell(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer:
    """An illness told: nothing is planned from here on; a finished run in the line is counted all the same."""
    today = today_of(book, heard)
    more = isinstance(book.standing, Ill)
    runs = reading.intent is Intent.LOG and not reading.ask_back
    after = opened(with_note(book, heard, verdict), heard, verdict)
    first = ""
    if runs:
        after, entries = log_run.stored(after, heard, reading)
        first = f"{counted(entries, today)}\n"
    if isinstance(after.standing, OnHold):
        return _beneath(after, f"{first}{words.BENEATH if _goes_on(book, heard, verdict) else words.BENEATH_OVER}")
    if not _goes_on(book, heard, verdict):
        return _question_back(after, heard, f"{first}{words.WELL_ALREADY}")
    if more and hides_a_fever(heard.text):
        return say(_feverish(replace(after, asked=None), today), f"{first}{words.MEDICINE}")
    wait = illness_wait.counted_from(after.standing)[0] if isinstance(after.standing, Ill) else Wait.ILL
    text = f"{first}{words.told(wait, book.profile.country, more=more)}"
    if reading.intent is Intent.LOG and not runs:
        text = f"{text}\n{words.RUN_TOO}"
    if more:
        return say(replace(after, asked=None), text)
    return ask(after, heard, Ask.NOT_ILL, text, ((words.NOT_ILL, ChosenOption(Option.NOT_ILL)),), day=today)


def _goes_on(book: Book, heard: Heard, verdict: Verdict) -> bool:
    """Whether an illness told is there now; not one that has lifted, nor one of a day gone of somebody who is well."""
    if not verdict.ill_now or says_lifted(heard.text):
        return False
    today = today_of(book, heard)
    named = read_days(heard.text, today, past=True)
    return not (says_well(heard.text) and named and max(named) < today)


def _beneath(book: Book, first: str) -> Answer:
    """An illness beneath a hold, which comes first."""
    text = f"{first} {hold_page(book.standing, book.profile.country)}"
    return say(replace(book, asked=None), text, Button(CLEARED, Resume()), kind=SAFETY)


def on_hold(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer | None:
    """The answer to an illness told on hold, or to the end of one; None if the line is about something else."""
    if verdict.told:
        return tell(book, heard, verdict, reading)
    over = _ill_of(book) is not None and says_well(heard.text) and reading.intent is not Intent.LOG
    return _beneath(book, words.BENEATH_OVER) if over else None


def while_joining(book: Book, heard: Heard, verdict: Verdict) -> Book:
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


def after_joining(book: Book, today: date) -> Book:
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


def _ill_of(book: Book) -> Ill | None:
    match book.standing:
        case Ill():
            return book.standing
        case OnHold(beneath=beneath):
            return beneath
        case _:
            return None


def _later(one: date | None, other: date) -> date:
    return other if one is None else max(one, other)


def _last_day(text: str, today: date, *, past: bool) -> date:
    """The last day of what is told: the latest day gone that the line names, yesterday where it is over, else today."""
    if not past:
        return today
    named = [day for day in read_days(text, today, past=True) if day <= today]
    return max(named, default=today - timedelta(days=1))


def _feverish(book: Book, today: date) -> Book:
    ill = book.standing
    return replace(book, standing=replace(ill, last_fever=today, last_ill=today)) if isinstance(ill, Ill) else book


# ------------------------------------------------------------------ while it lasts


def while_ill(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer | None:
    """The answer to a line of somebody who is ill; None if the line is about something else."""
    if verdict.told and (_goes_on(book, heard, verdict) or not says_well(heard.text)):
        return tell(book, heard, verdict, reading)
    if (degrees := bare_temperature(heard.text)) is not None:
        return _measured(book, heard, *degrees)
    if says_well(heard.text) and reading.intent is not Intent.LOG:
        dated = verdict.told and read_days(heard.text, today_of(book, heard), past=True)
        return back_from_illness(opened(book, heard, verdict) if dated else book, heard)
    if verdict.level is Level.NONE and feeling_in(heard.text) in {Feeling.SAME, Feeling.WORSE}:
        return same_or_worse(book, heard)
    told = reading.minutes is not None or bool(reading.logs)  # without minutes they are asked for, as on any day
    if reading.intent is Intent.LOG and told and verdict.level is Level.NONE:
        return ran(book, heard, reading)
    if reading.intent in {Intent.MOVE, Intent.SKIP, Intent.BUSY}:
        return say(replace(book, asked=None), words.NOTHING_TO_MOVE)
    return None


def _measured(book: Book, heard: Heard, value: str, celsius: float) -> Answer:
    """A temperature told without its name; a fever moves the last day with one on."""
    first = words.TEMPERATURE.format(value)
    if value.isdigit():
        first += words.IF_A_RUN.format(value)
    if is_fever(celsius):
        return say(_feverish(book, today_of(book, heard)), f"{first}{words.STILL_ILL}")
    return say(book, f"{first}{words.NO_FEVER} {words.WHEN_BETTER}")


def ran(book: Book, heard: Heard, reading: Reading) -> Answer:
    """A run logged while ill is counted: with the caution, or once the wait is over with the question back.

    Nobody has to know the word for "better"; the standing stays until the question is answered.
    """
    done = log_run.log(book, heard, reading)
    ill = book.standing
    if not isinstance(ill, Ill) or reading.activity in _WALKS or done.book.log == book.log or done.book.asked:
        return cautioned(book, done, reading.activity)
    if illness_wait.first_day(*illness_wait.counted_from(ill)) > today_of(book, heard):
        return cautioned(book, done, reading.activity)
    asked = _question_back(done.book, heard, words.RUNNING_AGAIN)
    return replace(asked, says=(*done.says, *asked.says))


def cautioned(book: Book, done: Answer, activity: Activity) -> Answer:
    """The answer to what was logged while ill, with the caution where anything was."""
    if done.book.asked is not None and done.book.log == book.log:
        return done
    walked = activity in _WALKS
    first, *rest = done.says
    return replace(done, says=(replace(first, text=f"{first.text}\n{words.WALKED if walked else words.RAN}"), *rest))


def same_or_worse(book: Book, heard: Heard) -> Answer:
    """ "Same" or "worse" to "how are you": the illness goes on, and a fever or an upset stomach with it."""
    today, ill = today_of(book, heard), book.standing
    if not isinstance(ill, Ill):
        return say(book, words.STILL_ILL)
    ill = replace(
        ill,
        last_ill=today,
        last_fever=None if ill.last_fever is None else today,
        last_upset=None if ill.last_upset is None else today,
    )
    return say(replace(book, standing=ill, asked=None), f"{words.STILL_ILL} {words.sooner(book.profile.country)}")


def not_ill(book: Book, heard: Heard, said: str) -> Answer:
    """The illness of today was read wrongly: taken back after one more question; a later one has its own way out."""
    return ask(book, heard, Ask.NOT_ILL_SURE, words.sure(said), YES_NO, line=said)


def taken_back(book: Book, heard: Heard) -> Answer:
    """The plan as it was before an illness that was none; one that is older than today gets the question back."""
    today, ill = today_of(book, heard), book.standing
    if not isinstance(ill, Ill):
        return say(replace(book, asked=None), words.TAKEN_BACK)
    if ill.since != today:
        return _question_back(book, heard, words.TOO_LATE_TO_TAKE_BACK)
    told = next((each for each in reversed(book.changes) if any(journal.values_of(each, "standing"))), None)
    if told is not None:
        after = journal.without(book, told, heard).book
        return say(after, f"{words.TAKEN_BACK} {next_line(after, today)}")
    limits = {limit.day for limit in book.limits if limit.day >= today and limit.reason is LimitReason.ILL}
    kept = tuple(n for n in book.symptoms if n.day != today or n.level != Level.REST.value)
    well = replace(
        without_limits(book, limits), standing=standing_when_well(book, heard.now), symptoms=kept, asked=None
    )
    after, _ = replan(planner.return_after(well, today), heard)
    return say(after, f"{words.TAKEN_BACK} {next_line(after, today)}")


# ------------------------------------------------------------------ leaving it


def back_from_illness(book: Book, heard: Heard, first: str = "Good.") -> Answer:
    """The first question back, after `first`; what the line tells of the last day of it is kept."""
    ill, today = book.standing, today_of(book, heard)
    if isinstance(ill, Ill):
        if ill.last_fever is not None and hides_a_fever(heard.text):
            return say(_feverish(replace(book, asked=None), today), words.MEDICINE)
        named = [day for day in read_days(heard.text, today, past=True) if day <= today]
        if named and ill.last_fever is not None and re.search(r"f[ieéè]+[vb]", heard.text.casefold()):
            ill = replace(ill, last_fever=max(ill.last_fever, *named))
        if ill.covid:  # silence is no day free of symptoms: it counts from today unless a day was named
            ill = replace(ill, last_ill=_later(ill.last_ill, max(named, default=today)))
        book = replace(book, standing=ill)
    return _question_back(book, heard, first)


def _question_back(book: Book, heard: Heard, first: str) -> Answer:
    return ask(book, heard, Ask.ILL_BACK, words.question_back(first), YES_NO)


def no_heart_sign(book: Book, heard: Heard) -> Answer:
    """No to the first question back starts the way back, after the wait that ends last."""
    today, ill = today_of(book, heard), book.standing
    book = replace(book, asked=None)
    if not isinstance(ill, Ill):
        return say(book, next_line(book, today))
    wait, last = illness_wait.counted_from(ill)
    first = illness_wait.first_day(wait, last)
    after, text = _well_again(book, heard, wait, first, walks=ill.covid and ill.deep)
    if wait is Wait.ILL:
        return say(after, text)
    floor = ill.since if wait is Wait.COVID else last
    said = f"{text}\n{words.counted_from(wait, last, today)}"
    choices = _likely_days(floor, last, today)
    return ask(after, heard, Ask.LAST_FEVER, said, choices, day=floor, detail=wait.value)


def _likely_days(floor: date, last: date, today: date) -> Choices:
    """The likely other days, as buttons."""
    days = ((today - timedelta(days=1), "Yesterday"), (today, "Today"))
    return tuple((name, ChosenDays((day,))) for day, name in days if day != last and day > floor)


def lasted(book: Book, heard: Heard, wait: Wait, last: date) -> Answer:
    """It went on to `last`: the wait is counted from there. A day told for a fever only ever moves it on."""
    today = today_of(book, heard)
    first = illness_wait.first_day(wait, last)
    if wait is not Wait.COVID:
        closed = [lim.day for lim in book.limits if lim.day >= today and lim.reason is LimitReason.ILL]
        first = max(first, max(closed, default=today - timedelta(days=1)) + timedelta(days=1))
    walks = book.walk_run is not None and book.walk_run.walk_until is not None
    return say(*_well_again(replace(book, asked=None), heard, wait, first, walks=walks))


def _well_again(book: Book, heard: Heard, wait: Wait, first: date, *, walks: bool) -> tuple[Book, str]:
    """The book on the way back from an illness, with no run before `first`, and the words."""
    today = today_of(book, heard)
    first = max(first, today)
    closed = tuple(DayLimit(today + timedelta(days=i), 0, LimitReason.ILL) for i in range((first - today).days))
    over = {lim.day for lim in book.limits if lim.day >= today and lim.reason is LimitReason.ILL}
    after = with_pause(without_limits(book, over), today)
    after = replace(with_limits(after, closed) if closed else after, standing=standing_when_well(book, heard.now))
    walk_until = illness_wait.walks_until(first) if walks else None
    if walk_until is not None:
        after = replace(after, walk_run=WalkRun(0, 0, first, walk_until), returning=None)
    after = planner.after_illness(after, first)
    after, replanned = replan(after, heard)
    return after, words.well_again(after, today, wait, first, walk_until, replanned)
