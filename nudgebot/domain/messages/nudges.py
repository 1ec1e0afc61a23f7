"""What is said unasked: each kind of nudge, with buttons that say what a typed line would."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import assert_never

from nudgebot.domain.messages.common import EASY, SESSION_WORDS, on_day, session_line
from nudgebot.domain.messages.health import complaints, safety
from nudgebot.domain.messages.health.hold import CLEARED
from nudgebot.domain.messages.plan.changes import ask_how_it_was, morning_of
from nudgebot.domain.messages.week_review import holiday_buttons, week_review
from nudgebot.domain.model import actions as act
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import NUDGE, Button, Say
from nudgebot.domain.model.week import Session, SessionKind
from nudgebot.domain.nudging.nudges import NudgeVerdict
from nudgebot.domain.nudging.payloads import (
    CheckIn,
    EventWord,
    FirstWord,
    GapWarning,
    HowAreYou,
    MorningReminder,
    SafetyFollowup,
    ShortForm,
    Snoozed,
    WeekReview,
)
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.limits import low
from nudgebot.domain.planning.ways_back import STEPS

INDOORS_WALK = "a 10-minute walk indoors"
NEW_HOUR = "From now on this comes at {at:%H:%M}, nearer to when you usually write."
KEEPS_RHYTHM = "{day} keeps you in rhythm."


def write_nudge(book: Book, verdict: NudgeVerdict, now: datetime) -> Say:
    """The message for a nudge that is sent; `verdict.payload` says what it is about."""
    today = book.today(now)
    kind = f"{NUDGE}{verdict.nudged.kind.value}"
    match verdict.payload:
        case MorningReminder() as about:
            text, buttons = _morning(book, about, today), _session_buttons(about.session, today)
            if about.moved is not None:
                text = f"{text}\n{NEW_HOUR.format(at=about.moved.at)}"
                keep = act.SetTo("remind_at", f"{about.moved.before:%H:%M}")
                buttons = (*buttons, Button(f"Keep {about.moved.before:%H:%M}", keep))
            return Say(text, kind, buttons)
        case GapWarning() as about:
            return Say(_gap(about, today), kind, _gap_buttons(about))
        case CheckIn() as about:
            return Say(_check_in(about, today), kind, _check_in_buttons(about))
        case WeekReview() as about:
            week = planner.review(book, about.week)
            buttons = (Button("The week to come", act.Open(act.Page.WEEK)), *holiday_buttons(book, week.next))
            return Say(week_review(book, week, about, today), kind, buttons)
        case HowAreYou() as about:
            return Say(_how_are_you(about), kind, tuple(Button(f.capitalize(), act.Feel(f)) for f in act.Feeling))
        case SafetyFollowup():
            return Say(safety.FOLLOW_UP, kind, (Button(CLEARED, act.Resume()),))
        case EventWord(event, over, logged):
            buttons = tuple(Button(f.capitalize(), act.Feel(f)) for f in act.Feeling) if over and logged else ()
            text = ask_how_it_was(event, told=logged) if over else morning_of(event, today)
            return Say(text, kind, buttons)
        case FirstWord() as about:
            return Say(_first_word(about), kind, (Button("Back", act.Resume()), Button("Stop", act.FallSilent())))
        case Snoozed() as about:
            return Say(_snoozed(about, today), kind, _session_buttons(about.session, today) if about.session else ())
        case None:
            message = f"{verdict.nudged.kind} was not sent: there is nothing to say"
            raise ValueError(message)
        case _:
            assert_never(verdict.payload)


def _morning(book: Book, about: MorningReminder, today: date) -> str:
    session = about.session
    when = on_day(session.day, today).capitalize()
    what = f"{session.minutes} min {SESSION_WORDS[session.kind]}"
    how = "As easy as you like." if session.kind is SessionKind.WALK else EASY
    if session.kind is SessionKind.WALK_RUN and book.walk_run is not None:
        turns = walk_run_words(book.walk_run.step, session.minutes)
        what = f"{what}: {turns}" if turns else f"{session.minutes} min easy run, all of it running"
    if low(book, today):
        return f"{complaints.OPTIONAL}, {when.lower()}: {what}. {how} Leaving it out is fine, too."
    rhythm = f" {KEEPS_RHYTHM.format(day=when)}" if about.keeps_rhythm else ""
    if about.short_form is not None:
        return f"{_short(about.short_form)} would keep you in rhythm on a busy day. With more room: {what}. {how}"
    return f"{when}: {what}.{rhythm} {how}"


def walk_run_words(step: int, minutes: int) -> str:
    """How walking and running take turns on a step of the ladder; "" if all of it is running."""
    run, walk = STEPS[step]
    if not run:
        return "walk all of it"
    if not walk:
        return ""
    # A session of 20 minutes is the first 20 of the whole one.
    times, rest = divmod(minutes, run + walk)
    said = f"{'once' if times == 1 else f'{times} times'} {run} min running and {walk} min walking"
    return f"{said}, then {rest} min running" if rest else said


def _short(form: ShortForm) -> str:
    return f"{form.minutes} min" if form.kind is not SessionKind.WALK else f"A {form.minutes}-minute brisk walk"


def _gap(about: GapWarning, today: date) -> str:
    last = on_day(about.last_day, today)
    short = INDOORS_WALK if about.indoors else _short(about.shortest)
    short = short[:1].lower() + short[1:]
    if about.last_day == today:
        return f"Today is the last day that keeps your rhythm: {short} is enough, as easy as you like."
    days = [d for d in about.open_days if d >= today]
    choice = "tonight or " if today in days and about.slot == "evening" else ""
    return (
        f"{last.capitalize()} is the last day that keeps your rhythm. {short.capitalize()} is enough, {choice}{last}."
    )


def _gap_buttons(about: GapWarning) -> tuple[Button, ...]:
    busy = Button("Cannot that day", act.LimitDay(about.last_day))
    if about.indoors:
        return (Button("10 min walk, done", act.DidShort(10, about.last_day, walked=True)), busy)
    return (Button(f"{about.shortest.minutes} min, done", act.DidShort(about.shortest.minutes, about.last_day)), busy)


def _session_buttons(session: Session, today: date) -> tuple[Button, ...]:
    tomorrow = session.day + timedelta(days=1)
    if session.day < today:
        return ()
    if session.day > today:
        return (
            Button("Not tomorrow", act.Skip(session.day)),
            Button(f"{tomorrow:%A}", act.Move(session.day, tomorrow)),
        )
    return (
        Button("Not today", act.Skip(session.day)),
        Button("Tomorrow", act.Move(session.day, tomorrow)),
        Button("Later", act.Remind(act.Later.TWO_HOURS)),
    )


def _check_in(about: CheckIn, today: date) -> str:
    session = about.session
    return f"No word yet about {on_day(session.day, today)}'s {session.minutes} min. How did it go?"


def _check_in_buttons(about: CheckIn) -> tuple[Button, ...]:
    day = about.session.day
    tomorrow = day + timedelta(days=1)
    buttons = [Button("Did it", act.Did(day)), Button("Shorter", act.DidLess(day))]
    if about.tomorrow_open:
        buttons.append(Button("Tomorrow", act.Move(day, tomorrow)))
    buttons.append(Button("Not this week", act.LetGo(day)))
    return tuple(buttons)


def _how_are_you(about: HowAreYou) -> str:
    if about.mood:
        return complaints.HOW_ARE_YOU
    who = f"is your {about.spot}" if about.spot else "are you"
    return f"How {who} this morning: better, the same, or worse?"


def _first_word(about: FirstWord) -> str:
    step = _short(about.session)
    last = " After this I stay silent until you write." if about.last else ""
    return (
        f"It has been quiet for a while, and that is fine. {step} at a pace for full sentences is a good way back in, "
        f"today or tomorrow.{last}"
    )


def _snoozed(about: Snoozed, today: date) -> str:
    if about.session is not None:
        return f"As you asked: {session_line(about.session, today)}. {EASY}"
    if about.kind is NudgeKind.GAP_WARNING:
        return (
            f"As you asked: {INDOORS_WALK if about.indoors else 'a short one'} keeps your rhythm, as easy as you like."
        )
    return "As you asked, I am back. /week shows what is next."
