"""Questions about the plan: the week, the season, why."""

from __future__ import annotations

from datetime import date
from typing import Final

from nudgebot.domain.dialogue.values import Answer, Heard, say
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.health.complaints import why_paused
from nudgebot.domain.messages.plan import lines as words
from nudgebot.domain.messages.plan import plan_pages
from nudgebot.domain.messages.plan.plan_pages import progress_caption, sum_of_month
from nudgebot.domain.messages.plan.why import may_i_run
from nudgebot.domain.messages.plan.why import say_why as reasons
from nudgebot.domain.messages.reviewed_answers import FEELINGS, answer_to
from nudgebot.domain.messages.runs import easy_page
from nudgebot.domain.model.actions import Did, Open, Page, Skip
from nudgebot.domain.model.runner import Book, Ill, OnHold, Training, Walking
from nudgebot.domain.model.speech import Button, Picture, Say
from nudgebot.domain.model.week import Session
from nudgebot.domain.overview.progress import progress as last_weeks
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.gap import open_session
from nudgebot.domain.text.days_told import month_asked_about
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import Intent, read_days
from nudgebot.domain.text.sayings import asks_for_the_plan, asks_to_run

TALK: Final = frozenset({Intent.ASK, Intent.HELLO, Intent.UNKNOWN, Intent.STATUS})  # may hold an ordinary question


def show_week(book: Book, heard: Heard) -> Answer:
    """This week and the next. Looking changes nothing: what becomes of a session without a word is the runner's."""
    today = book.today(heard.now)
    buttons = [Button("Why this plan?", Open(Page.WHY)), Button("The weeks to come", Open(Page.SEASON))]
    passed = _unanswered(book, today)
    if passed is not None:
        buttons += [Button("Did it", Did(passed.day)), Button("No run that day", Skip(passed.day))]
    return say(book, plan_pages.week_page(book, today, planner.forecast(book, today, 1), passed), *buttons)


def _unanswered(book: Book, today: date) -> Session | None:
    """The last session of this week whose day is over and that nothing was said about."""
    current = book.week_of(today)
    if current is None or not isinstance(book.standing, Training | Walking):
        return None
    gone = (session.day for session in reversed(book.plan) if current.start <= session.day < today)
    return next((session for day in gone if (session := open_session(book, day)) is not None), None)


def show_season(book: Book, heard: Heard) -> Answer:
    """The weeks to the dose."""
    today = book.today(heard.now)
    return say(book, plan_pages.season_page(book, today, planner.forecast(book, today, planner.SEASON_WEEKS)))


def show_progress(book: Book, heard: Heard) -> Answer:
    """The last twelve weeks, as a picture with its words; words alone while there is nothing to show."""
    shown = last_weeks(book, book.today(heard.now))
    return Answer(book, (Say(progress_caption(shown), picture=None if shown.empty else Picture.PROGRESS),))


def show_why(book: Book, heard: Heard) -> Answer:
    """The reasons behind this week, each with its source and whose choice it was."""
    today = book.today(heard.now)
    if isinstance(book.standing, OnHold | Ill):
        return say(book, why_paused(book.standing, book.local(heard.now)))
    current = book.week_of(today) or (book.weeks[-1] if book.weeks else None)
    return say(book, reasons(book, current, today) if current else words.next_line(book, today))


def say_next(book: Book, heard: Heard) -> str:
    """What is next, in one sentence."""
    return words.next_line(book, book.today(heard.now))


def show_easy(book: Book, heard: Heard) -> Answer:
    """What easy means for this runner."""
    return say(book, easy_page(book.profile, book.today(heard.now)))


def answer_reviewed(book: Book, heard: Heard, intent: Intent) -> Answer | None:
    """The reviewed answer to an ordinary question or worry; None for any other line."""
    if intent in TALK and (month := month_asked_about(heard.text, book.today(heard.now))) is not None:
        return say(book, sum_of_month(book, month, book.today(heard.now)))
    row = answer_to(squeezed(heard.text)) if intent in TALK or intent is Intent.SKIP else None
    if row is None or (intent is Intent.SKIP and row.topic not in FEELINGS):
        return None
    return say(book, row.text)


def answer_question(book: Book, heard: Heard) -> Answer:
    """A question: about the reasons, how easy feels, a day, the plan, or something we do not answer."""
    line = heard.text.casefold()
    if any(word in line for word in ("easy", "zone 2", "how fast", "what pace", "heart rate")):
        return show_easy(book, heard)
    if "why" in line.split() or line.startswith("why"):
        return show_why(book, heard)
    if "miss" in line or "skip" in line:
        return say(book, f"{small_talk.IF_MISSED} {say_next(book, heard)}")
    if (asked := answer_may_i_run(book, heard)) is not None:
        return asked
    if asks_for_the_plan(heard.text):
        return show_week(book, heard)
    return say(book, f"{small_talk.CANNOT_ANSWER} {say_next(book, heard)}", Button("Help", Open(Page.HELP)))


def answer_may_i_run(book: Book, heard: Heard) -> Answer | None:
    """Whether one may run on the day that is named, today if none is; None if the line does not ask that alone."""
    if not asks_to_run(heard.text):
        return None
    today = book.today(heard.now)
    coming = (day for day in read_days(heard.text, today) if day >= today)
    return say(book, may_i_run(book, next(coming, today), today))
