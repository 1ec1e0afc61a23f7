"""Life that repeats: a rule of days that hold less is shown back as dates, and holds once it is confirmed."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from nudgebot.domain.dialogue.settings import change_setting, wishes
from nudgebot.domain.dialogue.values import Answer, Choices, Heard, ask, replan_and_say, say, today_of
from nudgebot.domain.dialogue.week import changes
from nudgebot.domain.messages.plan import repeats as words
from nudgebot.domain.messages.plan.changes import with_plan
from nudgebot.domain.model.actions import Agreed, Chosen, ChosenMinutes, ChosenValue
from nudgebot.domain.model.nudged import AS_USUAL, WEEKDAYS
from nudgebot.domain.model.parameters import SHORT_ROOM
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.repeat import Repeat, repeat_of
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.week import week_start
from nudgebot.domain.profile import answer_readers
from nudgebot.domain.profile.answer_readers import days_text
from nudgebot.domain.profile.sentences import repeat_words
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import read_yes_no
from nudgebot.domain.text.word_files import patterns

P = patterns("messages")
WHICH = "which:"  # before the weekdays, in a question whether runs or messages are meant
OTHER, RUNS, MESSAGES = "other", "runs", "messages"


def answer_repeat(book: Book, heard: Heard) -> Answer | None:
    """The question about a rule that was told, or what else a line about every week comes to; None for any other."""
    today, text = today_of(book, heard), heard.text
    if days := repeat_words.days_but(text, today):
        return changes.limit_days(book, heard, days, None)
    if (swap := repeat_words.swap_in(text)) is not None:
        return _swap_days(book, heard, *swap)
    if (freed := _free_days(book, heard)) is not None:
        return freed
    if (rule := repeat_words.repeat_in(text, today)) is not None:
        return _show_back(book, heard, rule.repeat, sure=rule.sure)
    if closed := repeat_words.given_up(text):
        line = squeezed(text)
        about_runs = P.running.search(line) is not None or repeat_words.says_able(line)
        if not about_runs and P.denied.search(line) is not None:
            choices: Choices = ((words.NO_RUNS, ChosenValue(RUNS)), (words.NO_MESSAGES, ChosenValue(MESSAGES)))
            detail = WHICH + ",".join(WEEKDAYS[day] for day in closed)
            return ask(book, heard, Ask.REPEAT, words.RUNS_OR_MESSAGES, choices, detail=detail)
        return _close_days(book, heard, closed)
    return None


def read_answer(detail: str, text: str) -> Chosen | None:
    """A line in answer to a rule that was shown back; None if it is about something else."""
    line = squeezed(text).strip(" .!")
    if detail.startswith(WHICH):
        runs, other = (idea.search(line) is not None for idea in (P.running, P.messages))
        return None if runs == other else ChosenValue(RUNS if runs else MESSAGES)
    if line in {"other", "the other weeks", "the other ones", "the other weekends", "other weeks"}:
        return ChosenValue(OTHER)
    if line in {"none", "nothing", "closed"} or (P.running.search(line) and P.denied.search(line)):
        return ChosenMinutes(0)
    minutes = answer_readers.minutes_in(line.removeprefix("at most ").removesuffix(" at most"))
    if minutes is not None:
        return ChosenMinutes(minutes)
    agreed = read_yes_no(text)
    return None if agreed is None else Agreed(agreed)


def take_answer(book: Book, heard: Heard, detail: str, chosen: Chosen) -> Answer | None:
    """The runner's word on a rule that was shown back; None for the answer to another question."""
    closed = replace(book, asked=None)
    if detail.startswith(WHICH):
        days = tuple(WEEKDAYS.index(name) for name in detail.removeprefix(WHICH).split(","))
        match chosen:
            case ChosenValue("runs"):
                return _close_days(closed, heard, days)
            case ChosenValue("messages"):
                held = book.intake.nudges or AS_USUAL
                without = tuple(sorted({*held.without, *days}))
                return wishes.set_wish(closed, heard, replace(held, without=without))
            case _:
                return None
    repeat = repeat_of(detail)
    if repeat is None:
        return None
    match chosen:
        case Agreed(True):
            return _keep(closed, heard, repeat)
        case Agreed(False):
            return say(closed, words.KEPT_AS_IT_WAS)
        case ChosenMinutes(minutes):
            return _keep(closed, heard, replace(repeat, minutes=minutes))
        case ChosenValue("other") if repeat.weeks > 1:
            later = replace(repeat, start=repeat.start - timedelta(days=repeat.start.weekday() - 7))
            return _show_back(closed, heard, later, sure=bool(repeat.minutes) or not repeat.why)
        case _:
            return None


def _show_back(book: Book, heard: Heard, repeat: Repeat, *, sure: bool) -> Answer:
    today = today_of(book, heard)
    if not repeat.dates(today, 1):
        return say(book, words.KEPT_AS_IT_WAS)
    yes: Choices = (("Yes", Agreed(True)),)
    much: Choices = (("No run", ChosenMinutes(0)), (f"{SHORT_ROOM.value} min at most", ChosenMinutes(SHORT_ROOM.value)))
    other: Choices = ((words.OTHER_WEEKS, ChosenValue(OTHER)),) if repeat.weeks > 1 else ()
    no = (("No" if sure else "Nothing changes", Agreed(False)),)
    choices = (*(yes if sure else much), *other, *no)
    return ask(book, heard, Ask.REPEAT, words.show_back(repeat, today, sure=sure), choices, detail=repeat.text)


def _keep(book: Book, heard: Heard, repeat: Repeat) -> Answer:
    today = today_of(book, heard)
    held = tuple(each for each in book.intake.repeats if each.end is None or each.end >= today)
    return _with_repeats(book, heard, (*held, repeat), words.confirm(repeat))


def _with_repeats(book: Book, heard: Heard, repeats: tuple[Repeat, ...], said: str) -> Answer:
    """The book with these rules, and what they change in the week at hand."""
    today = today_of(book, heard)
    after = replace(book, intake=replace(book.intake, repeats=repeats))
    rest = [today + timedelta(days=n) for n in range(7) if week_start(today) == week_start(today + timedelta(days=n))]
    if all(book.limit_on(day) == after.limit_on(day) for day in rest):
        return say(after, with_plan(said, after, today, None))
    return replan_and_say(after, heard, said)


def _free_days(book: Book, heard: Heard) -> Answer | None:
    """Rules about the days that are free again, taken back; None if no rule is about them."""
    days = repeat_words.free_again(heard.text)
    if days is None:
        return None
    gone = tuple(r for r in book.intake.repeats if (set(r.weekdays) & set(days) if days else not r.weekdays))
    if not gone:
        return None
    return _with_repeats(
        book, heard, tuple(r for r in book.intake.repeats if r not in gone), words.say_free_again(gone)
    )


def _close_days(book: Book, heard: Heard, days: tuple[int, ...]) -> Answer | None:
    """Weekdays closed for good, shown back as any change of the days; None if that would leave none open."""
    left = [0 if day in days else minutes for day, minutes in enumerate(book.profile.open_minutes)]
    return _ask_days(book, heard, left)


def _swap_days(book: Book, heard: Heard, old: int, new: int) -> Answer | None:
    """One weekday in place of another for good, with the minutes of the one that is given up."""
    opened = list(book.profile.open_minutes)
    opened[new] = max(opened[new], opened[old])
    opened[old] = 0
    return _ask_days(book, heard, opened)


def _ask_days(book: Book, heard: Heard, opened: list[int]) -> Answer | None:
    if not any(opened) or opened == list(book.profile.open_minutes):
        return None
    a, b, c, d, e, f, g = opened
    return change_setting.ask_days(book, heard, days_text((a, b, c, d, e, f, g)), None)
