"""What a pressed button does: one handler an action, by a table.

A line that says the same word for word comes here too. A press acts on the day, the line or the question of its own
message, however many messages came after it; where that is done already, it says so and does nothing twice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any, Final

from nudgebot.domain.dialogue.health import clear_hold, complaints, hold, illness
from nudgebot.domain.dialogue.questions.pending_question import answer_question, has_lapsed
from nudgebot.domain.dialogue.runs import log_run
from nudgebot.domain.dialogue.settings import change_setting, conditions, onboarding
from nudgebot.domain.dialogue.undo import taking_back
from nudgebot.domain.dialogue.values import Answer, Choices, Heard, ask, say, today_of
from nudgebot.domain.dialogue.week import changes
from nudgebot.domain.messages import runs as run_words
from nudgebot.domain.messages import settings, small_talk
from nudgebot.domain.messages.plan import changes as change_words
from nudgebot.domain.model import actions as act
from nudgebot.domain.model.actions import Action, ChosenMinutes
from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, Joining, LimitReason, OnHold, Walking
from nudgebot.domain.model.week import SessionKind
from nudgebot.domain.profile import intake
from nudgebot.domain.text.reply import Intent, Reading
from nudgebot.domain.text.triage import Verdict

# What still works while running is on hold, and while the questions are asked; anything else is about a plan.
ON_HOLD: Final = (
    act.Reply,
    act.Undo,
    act.DidShort,
    act.ChangeSetting,
    act.Resume,
    act.Misread,
    act.NumberWas,
    act.FallSilent,
    act.Feel,
)
JOINING: Final = (act.Reply, act.FallSilent, act.Resume)


def act_on(book: Book, heard: Heard, action: Action) -> Answer:
    """What becomes of a pressed button, or of a line that says what a button does."""
    if isinstance(book.standing, OnHold) and not isinstance(action, ON_HOLD):
        return hold.show_hold(book)
    about_age = isinstance(action, act.Reply) and book.asked is not None and action.question == book.asked.token
    if conditions.age_is_open(book) and not (about_age or isinstance(action, act.FallSilent)):
        return conditions.ask_if_under_age(book, heard)
    if isinstance(book.standing, Joining) and not isinstance(action, JOINING):
        return onboarding.ask_open_question(book)
    return HANDLERS[type(action)](book, heard, action)


def likely_minutes(book: Book, day: date) -> Choices:
    """Buttons for how long a run on `day` may have been."""
    session = book.session_on(day)
    likely = (session.minutes, max(20, session.minutes - 10), 20) if session else (20, 30, 40)
    return tuple((f"{m} min", ChosenMinutes(m)) for m in dict.fromkeys(likely))


def come_back(book: Book, heard: Heard) -> Answer:
    """Resuming: from a hold by its steps, from an illness by its question, from days away at once."""
    if isinstance(book.standing, OnHold | Walking):
        return clear_hold.begin_clearing(book, heard)
    if isinstance(book.standing, Ill):
        return illness.begin_way_back(book, heard)
    return changes.come_back(book, heard)


def fall_silent(book: Book) -> Answer:
    """Nothing more is sent until the runner writes."""
    return say(replace(book, runner=replace(book.runner, stopped=True), asked=None), small_talk.STOPPED)


def _reply(book: Book, heard: Heard, action: act.Reply) -> Answer:
    """An answer to the question that the button belongs to, as long as that is the one that is open."""
    standing = book.standing
    clearing = standing.clearing if isinstance(standing, OnHold | Walking) else None
    if clearing is not None and action.question == clear_hold.clearing_token(clearing):
        return clear_hold.choose_in_clearing(book, heard, action.chosen) or say(book, small_talk.NOT_NOW)
    asked = book.asked
    if asked is not None and action.question == asked.token:
        if has_lapsed(book, heard.at):
            return say(replace(book, asked=None), small_talk.NOT_NOW)
        return answer_question(book, heard, Verdict()) or say(book, small_talk.NOT_NOW)
    if isinstance(standing, Joining) and action.question == (intake.next_question(book.intake) or "adult"):
        # Whoever goes on with the intake has left what was asked beside it.
        return onboarding.take_answer(replace(book, asked=None), heard)
    return say(book, small_talk.NOT_NOW)


def _did(book: Book, heard: Heard, action: act.Did) -> Answer:
    today = today_of(book, heard)
    day = action.day or today
    if heard.action is not None and any(entry.day == day and entry.counts for entry in book.log):
        return say(book, run_words.COUNTED_BEFORE)
    session = book.session_on(day)
    if session is None:
        return ask(book, heard, Ask.MINUTES, run_words.HOW_MANY, likely_minutes(book, today), day=day)
    activity = Activity.WALK if session.kind is SessionKind.WALK else Activity.RUN
    return log_run.log(book, heard, Reading(Intent.LOG, minutes=session.minutes, day=day, activity=activity))


def _did_less(book: Book, heard: Heard, action: act.DidLess) -> Answer:
    today = today_of(book, heard)
    day = action.day or today
    session = book.session_on(day)
    if session is None:
        return ask(book, heard, Ask.MINUTES, run_words.HOW_MANY, likely_minutes(book, today), day=day)
    planned = session.minutes
    likely = (planned - 10, planned - 20, 20, 10)
    choices = tuple((f"{m} min", ChosenMinutes(m)) for m in dict.fromkeys(m for m in likely if 10 <= m < planned))
    return ask(book, heard, Ask.MINUTES, run_words.HOW_MANY, choices, day=day)


def _did_short(book: Book, heard: Heard, action: act.DidShort) -> Answer:
    day = min(action.by, today_of(book, heard))
    if any(entry.day == day and (entry.counts or action.walked) for entry in book.log):
        return say(book, run_words.COUNTED_BEFORE)
    activity = Activity.WALK if action.walked else Activity.RUN
    return log_run.log(book, heard, Reading(Intent.LOG, minutes=action.minutes, day=day, activity=activity))


def _move(book: Book, heard: Heard, action: act.Move) -> Answer:
    # Pressed again, or long after: the session that the message spoke of, and no other, is what moves.
    if heard.action is not None and book.session_on(action.first) is None:
        return say(book, change_words.MOVED_BEFORE)
    return changes.move(book, heard, action.first, action.to)


def _put_off(book: Book, heard: Heard, action: act.PutOff) -> Answer:
    day = action.day or today_of(book, heard)
    return changes.move(book, heard, day, day + timedelta(days=1))


def _feel(book: Book, heard: Heard, action: act.Feel) -> Answer:
    if isinstance(book.standing, OnHold):
        return (
            complaints.take_mood(book, heard, action.how)
            if complaints.is_mood_asked_about(book)
            else hold.show_hold(book)
        )
    return complaints.take_feeling(book, heard, action.how)


def _misread(book: Book, heard: Heard, action: act.Misread) -> Answer:
    if not isinstance(book.standing, OnHold):
        return say(book, small_talk.NOT_NOW)
    # A graver hold that stood before is not ended by a button under a later message.
    since = book.standing.since
    return clear_hold.begin_misreading(book, heard) if since == action.since else hold.show_hold(book)


def _number_was(book: Book, heard: Heard, action: act.NumberWas) -> Answer:
    standing = book.standing
    if not isinstance(standing, OnHold):
        return say(book, small_talk.NOT_NOW)
    if standing.since != action.since or not standing.number:
        return hold.show_hold(book)
    return hold.lift_number_hold(book, heard, standing, as_minutes=action.minutes)


def _change_setting(book: Book, heard: Heard, action: act.ChangeSetting) -> Answer:
    if action.setting not in settings.SETTING_NAMES:
        return say(book, small_talk.NOT_NOW)
    return change_setting.ask_setting(book, heard, action.setting, "")


def _set_to(book: Book, heard: Heard, action: act.SetTo) -> Answer:
    setting, value = action.setting, action.value
    if setting not in settings.EDITABLE or intake.read_answer(setting, value, book.intake) != value:
        return say(book, small_talk.NOT_NOW)
    return change_setting.apply_setting(book, heard, setting, value)


HANDLERS: Final[Mapping[type[Action], Callable[[Book, Heard, Any], Answer]]] = {
    act.Reply: _reply,
    act.Undo: lambda book, heard, action: (
        taking_back.take_back_line(book, heard, action.line) if action.line else taking_back.take_back_last(book, heard)
    ),
    act.Did: _did,
    act.DidLess: _did_less,
    act.DidShort: _did_short,
    act.InPlaceOfRun: lambda book, heard, action: log_run.count_in_place(
        book, heard, action.day or today_of(book, heard)
    ),
    act.Skip: lambda book, heard, action: changes.skip(book, heard, action.day or today_of(book, heard)),
    act.LetGo: lambda book, heard, action: changes.skip(
        book, heard, action.day or today_of(book, heard), reason=LimitReason.LET_GO
    ),
    act.Move: _move,
    act.PutOff: _put_off,
    act.LimitDay: lambda book, heard, action: changes.limit_days(book, heard, (action.day,), action.minutes or None),
    act.Remind: lambda book, heard, action: changes.snooze(book, heard, action.until),
    act.Resume: lambda book, heard, _: (
        onboarding.go_back(book) if isinstance(book.standing, Joining) else come_back(book, heard)
    ),
    act.FallSilent: lambda book, _heard, _action: fall_silent(book),
    act.Feel: _feel,
    act.Misread: _misread,
    act.NumberWas: _number_was,
    act.ChangeSetting: _change_setting,
    act.SetTo: _set_to,
    # A page or a coach's affair: the caller has its own handlers for these, and none was found.
    **dict.fromkeys(
        (act.Open, act.ShowSheet, act.SetShare, act.Decline, act.LeaveGroup),
        lambda book, _heard, _action: say(book, small_talk.NOT_NOW),
    ),
}
