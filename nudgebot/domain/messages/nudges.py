"""What is said unasked: each kind of nudge, with buttons that say what a typed line would."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import assert_never

from nudgebot.domain.messages.common import EASY, SESSION_WORDS, on_day, session_line, short_day, sums
from nudgebot.domain.messages.health import mood, safety
from nudgebot.domain.messages.health.hold import CLEARED
from nudgebot.domain.messages.plan.event import how_was_it, morning_of
from nudgebot.domain.messages.plan.lines import (
    AFTER_A_JUMP,
    AFTER_LIGHTER,
    FROM_THE_PLAN,
    GOAL_WORDS,
    STEP_FROM_PLAN,
    WEEK_REASONS,
    first_reason,
    week_reason,
)
from nudgebot.domain.model.actions import (
    Did,
    DidLess,
    DidShort,
    FallSilent,
    Feel,
    Feeling,
    Later,
    LetGo,
    LimitDay,
    Move,
    Open,
    Page,
    Remind,
    Resume,
    SetTo,
    Skip,
)
from nudgebot.domain.model.parameters import HOLIDAY_ROOM, MORE_WEEK
from nudgebot.domain.model.runner import Book, NudgeKind
from nudgebot.domain.model.speech import NUDGE, Button, Say
from nudgebot.domain.model.week import Session, SessionKind, Week, WeekKind
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
from nudgebot.domain.planning.planner import Review
from nudgebot.domain.planning.steady import low
from nudgebot.domain.planning.walk_run import STEPS
from nudgebot.domain.profile.public_holidays import in_week

INDOORS_WALK = "a 10-minute walk indoors"
NEW_HOUR = "From now on this comes at {at:%H:%M}, nearer to when you usually write."
KEEPS_RHYTHM = "{day} keeps you in rhythm."


def nudge(book: Book, verdict: NudgeVerdict, now: datetime) -> Say:
    """The message for a nudge that is sent; `verdict.news` says what it is about."""
    today = book.today(now)
    kind = f"{NUDGE}{verdict.nudged.kind.value}"
    match verdict.news:
        case MorningReminder() as news:
            text, buttons = _morning(book, news, today), _session_buttons(news.session, today)
            if news.moved is not None:
                text = f"{text}\n{NEW_HOUR.format(at=news.moved.at)}"
                keep = SetTo("remind_at", f"{news.moved.before:%H:%M}")
                buttons = (*buttons, Button(f"Keep {news.moved.before:%H:%M}", keep))
            return Say(text, kind, buttons)
        case GapWarning() as news:
            return Say(_gap(news, today), kind, _gap_buttons(news))
        case CheckIn() as news:
            return Say(_check_in(news, today), kind, _check_in_buttons(news))
        case WeekReview() as news:
            week = planner.review(book, news.week)
            buttons = (Button("The week to come", Open(Page.WEEK)), *_holiday_buttons(book, week.next))
            return Say(_review(book, week, news, today), kind, buttons)
        case HowAreYou() as news:
            return Say(_how_are_you(news), kind, tuple(Button(f.capitalize(), Feel(f)) for f in Feeling))
        case SafetyFollowup():
            return Say(safety.follow_up_text(), kind, (Button(CLEARED, Resume()),))
        case EventWord(event, over, logged):
            buttons = tuple(Button(f.capitalize(), Feel(f)) for f in Feeling) if over and logged else ()
            text = how_was_it(event, told=logged) if over else morning_of(event, today)
            return Say(text, kind, buttons)
        case FirstWord() as news:
            return Say(_first_word(news), kind, (Button("Back", Resume()), Button("Stop", FallSilent())))
        case Snoozed() as news:
            return Say(_snoozed(news, today), kind, _session_buttons(news.session, today) if news.session else ())
        case None:
            message = f"{verdict.nudged.kind} was not sent: there is nothing to say"
            raise ValueError(message)
        case _:
            assert_never(verdict.news)


def _morning(book: Book, news: MorningReminder, today: date) -> str:
    session = news.session
    when = on_day(session.day, today).capitalize()
    what = f"{session.minutes} min {SESSION_WORDS[session.kind]}"
    how = "As easy as you like." if session.kind is SessionKind.WALK else EASY
    if session.kind is SessionKind.WALK_RUN and book.walk_run is not None:
        turns = walk_run_words(book.walk_run.step, session.minutes)
        what = f"{what}: {turns}" if turns else f"{session.minutes} min easy run, all of it running"
    if low(book, today):
        return f"{mood.OPTIONAL}, {when.lower()}: {what}. {how} Leaving it out is fine, too."
    rhythm = f" {KEEPS_RHYTHM.format(day=when)}" if news.keeps_rhythm else ""
    if news.short_form is not None:
        return f"{_short(news.short_form)} would keep you in rhythm on a busy day. With more room: {what}. {how}"
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


def _gap(news: GapWarning, today: date) -> str:
    last = on_day(news.last_day, today)
    short = INDOORS_WALK if news.indoors else _short(news.shortest)
    short = short[:1].lower() + short[1:]
    if news.last_day == today:
        return f"Today is the last day that keeps your rhythm: {short} is enough, as easy as you like."
    days = [d for d in news.open_days if d >= today]
    choice = "tonight or " if today in days and news.slot == "evening" else ""
    return (
        f"{last.capitalize()} is the last day that keeps your rhythm. {short.capitalize()} is enough, {choice}{last}."
    )


def _gap_buttons(news: GapWarning) -> tuple[Button, ...]:
    busy = Button("Cannot that day", LimitDay(news.last_day))
    if news.indoors:
        return (Button("10 min walk, done", DidShort(10, news.last_day, walked=True)), busy)
    return (Button(f"{news.shortest.minutes} min, done", DidShort(news.shortest.minutes, news.last_day)), busy)


def _session_buttons(session: Session, today: date) -> tuple[Button, ...]:
    tomorrow = session.day + timedelta(days=1)
    if session.day < today:
        return ()
    if session.day > today:
        return (Button("Not tomorrow", Skip(session.day)), Button(f"{tomorrow:%A}", Move(session.day, tomorrow)))
    return (
        Button("Not today", Skip(session.day)),
        Button("Tomorrow", Move(session.day, tomorrow)),
        Button("Later", Remind(Later.TWO_HOURS)),
    )


def _check_in(news: CheckIn, today: date) -> str:
    session = news.session
    return f"No word yet about {on_day(session.day, today)}'s {session.minutes} min. How did it go?"


def _check_in_buttons(news: CheckIn) -> tuple[Button, ...]:
    day = news.session.day
    tomorrow = day + timedelta(days=1)
    buttons = [Button("Did it", Did(day)), Button("Shorter", DidLess(day))]
    if news.tomorrow_open:
        buttons.append(Button("Tomorrow", Move(day, tomorrow)))
    buttons.append(Button("Not this week", LetGo(day)))
    return tuple(buttons)


def _review(book: Book, week: Review, news: WeekReview, today: date) -> str:
    lines = [f"The week is done: {_sums(week)}."]
    if _has_just_joined(book, week, news):
        reason = first_reason(book, week.next) if week.next.kind is WeekKind.FIRST else week_reason(book, week.next)
        lines = [f"In the log so far: {week.done} min."] if week.done else []
        lines.append(f"Your first whole week: {week.next.target} min. {reason}")
        return "\n".join([*lines, *_public_holidays(book, week.next), *_begins(news, today)])
    walks = news.week.kind is WeekKind.WALKING
    event = book.intake.event
    if event is not None and news.week.holds(event.day) and week.done >= week.target:
        lines = [f"The week is done: {week.done} min, your event and all."]
    elif not week.target and week.done:
        lines = [f"The week is done: {week.done} min."]
    elif not week.target:
        lines = ["A week without runs is over; nothing of it is carried over."]
    elif week.done * 10 < week.target * 9:
        let_go = "What was not walked" if walks else "What was not run"
        lines[0] += f" {let_go} is let go; it does not follow you into the next week."
    lines.append(f"Next week: {week.next.target} min. {_next_reason(book, week)}")
    if week.done < week.target:
        lines.append(f"If a {'walk' if walks else 'run'} is not in the log yet, write it and I count again.")
    lines += _public_holidays(book, week.next)
    lines += _from_time_to_time(book, news)
    return "\n".join([*lines, *_begins(news, today)])


def _sums(week: Review) -> str:
    """What was run, beside what was planned; where the two are far apart it is what was run that is named."""
    if not week.target or week.done <= MORE_WEEK.of(week.target):
        return sums(week.done, week.target)
    how = "more than twice the" if week.done > 2 * week.target else "well over the"
    return f"{week.done} min, {how} {week.target} that were planned"


def _has_just_joined(book: Book, week: Review, news: WeekReview) -> bool:
    """Whether the week was joined at its end: then there is little to look back on, and nothing to be let go."""
    walks = news.week.kind is week.next.kind is WeekKind.WALKING and not week.done
    late = book.today(book.runner.joined_at) > news.week.start + timedelta(days=3)
    return late and (walks or news.week.kind is week.next.kind is WeekKind.FIRST)


def _next_reason(book: Book, week: Review) -> str:
    """Why the next week is what it is; after a week of far more than was planned it is no step up from that."""
    reason = week_reason(book, week.next)
    if week.target and week.done > MORE_WEEK.of(week.target) and week.next.kind in {WeekKind.STEP, WeekKind.STEADY}:
        before = next((each for each in reversed(book.weeks) if each.start < week.next.start), None)
        if before is not None and before.target < before.base <= week.next.target:
            return AFTER_LIGHTER
        return reason if reason == AFTER_A_JUMP else FROM_THE_PLAN
    return STEP_FROM_PLAN if reason == WEEK_REASONS[WeekKind.STEP] and week.done >= week.next.target else reason


def _begins(news: WeekReview, today: date) -> list[str]:
    if news.session is None:
        return []
    return [
        f"It starts {on_day(news.session.day, today)}: {news.session.minutes} min {SESSION_WORDS[news.session.kind]}."
    ]


def _public_holidays(book: Book, week: Week) -> list[str]:
    """Public holidays of the week to come, and whether each is a day for a run."""
    return [
        f"{short_day(day)} is a public holiday ({name}): "
        + (
            "open for a run, as planned."
            if book.profile.open_minutes[day.weekday()]
            else "open it for a run if you like."
        )
        for day, name in _holidays_that_matter(book, week)
    ]


def _holiday_buttons(book: Book, week: Week) -> list[Button]:
    """Each public holiday the other way round: closed where its weekday is open, open where it is closed."""
    return [
        Button(f"{short_day(day)}: no run", LimitDay(day))
        if book.profile.open_minutes[day.weekday()]
        else Button(f"{short_day(day)}: open", LimitDay(day, HOLIDAY_ROOM.value))
        for day, _ in _holidays_that_matter(book, week)
    ]


def _holidays_that_matter(book: Book, week: Week) -> list[tuple[date, str]]:
    """Those on days that a plan could use, and those that free a working day."""
    coming = in_week(book.profile.country, week.start)
    return [(day, name) for day, name in coming if book.profile.open_minutes[day.weekday()] or day.weekday() < SATURDAY]


SATURDAY = 5
CAUTION_WEEKS, GOAL_WEEKS, SCREENING_WEEKS = 8, 12, 52  # how often each is said again (house)


def _from_time_to_time(book: Book, news: WeekReview) -> list[str]:
    """The usual cautions every eight weeks, the goal every twelve, the screening every year."""
    weeks = (news.week.end - book.runner.joined_at.date()).days // 7
    lines: list[str] = []
    if weeks and weeks % CAUTION_WEEKS == 0:
        lines.append(safety.caution())
    if weeks and weeks % GOAL_WEEKS == 0:
        goal = GOAL_WORDS[book.profile.goal]
        lines.append(f"Does the goal still fit ({goal})? If not, write it: goal endurance, for instance.")
    if weeks and weeks % SCREENING_WEEKS == 0:
        lines.append("A year on: has anything changed with your heart, your health or your medicine? Write: signs")
    return lines


def _how_are_you(news: HowAreYou) -> str:
    if news.mood:
        return mood.HOW_ARE_YOU
    about = f"your {news.spot}" if news.spot else "you"
    return f"How {'is' if news.spot else 'are'} {about} this morning: better, the same, or worse?"


def _first_word(news: FirstWord) -> str:
    step = _short(news.session)
    last = " After this I stay silent until you write." if news.last else ""
    return (
        f"It has been quiet for a while, and that is fine. {step} at a pace for full sentences is a good way back in, "
        f"today or tomorrow.{last}"
    )


def _snoozed(news: Snoozed, today: date) -> str:
    if news.session is not None:
        return f"As you asked: {session_line(news.session, today)}. {EASY}"
    if news.kind is NudgeKind.GAP_WARNING:
        return (
            f"As you asked: {INDOORS_WALK if news.indoors else 'a short one'} keeps your rhythm, as easy as you like."
        )
    return "As you asked, I am back. /week shows what is next."
