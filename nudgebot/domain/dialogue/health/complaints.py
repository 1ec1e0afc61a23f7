"""Complaints and low mood: what a warning sign does to the running. How a hold ends is in `clear_hold`."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue.health import hold, illness, while_ill
from nudgebot.domain.dialogue.health.hold import put_on_hold
from nudgebot.domain.dialogue.runs.log_run import store
from nudgebot.domain.dialogue.values import (
    Answer,
    Heard,
    ask,
    limit,
    replan,
    replan_and_say,
    say,
    today_of,
    with_complaint,
    with_note,
)
from nudgebot.domain.messages.health import complaints as words
from nudgebot.domain.messages.health import illness as illness_words
from nudgebot.domain.messages.health import safety
from nudgebot.domain.messages.plan.lines import next_line
from nudgebot.domain.messages.runs import say_counted, say_logged
from nudgebot.domain.model.actions import Feeling, Misread, Option
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.parameters import PAIN_RESTS, SAME_SPOT, SAME_SPOT_DAYS, WORSE_MORNINGS
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, LimitReason, Training, Walking
from nudgebot.domain.model.speech import SAFETY, Button
from nudgebot.domain.profile.conditions import SOMEBODY_ELSE
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import Intent, Reading
from nudgebot.domain.text.symptoms.table import MIND
from nudgebot.domain.text.triage import Level, Verdict, triage

WORSE_AFTER_EFFORT = "worse_after_effort"
HEART_AFTER_ILLNESS = "heart_after_illness"
REPEATED_SPOT = "repeated_spot"
WORSE_NEXT_MORNING = "worse_next_morning"


def answer_alarm(book: Book, heard: Heard, verdict: Verdict, reading: Reading | None) -> Answer:
    """A sign at `clinician` or above: the safety answer first and alone; a finished run in the line is kept.

    Somebody beside the writer who is in danger gets the same first line; of the runner's plan only a run in the line
    changes anything.
    """
    if is_about_mood(verdict):
        return answer_low_mood(book, heard, verdict, reading)
    book, entries = store(book, heard, reading)
    minutes = sum(entry.minutes for entry in entries) or None
    text = safety.answer(verdict, book.profile.country, logged_minutes=minutes)
    if verdict.about_other:
        after = replan(book, heard)[0] if entries else book
        open_for_a_word = ask(after, heard, Ask.SOMEBODY_ELSE, text)
        return say(open_for_a_word.book, text, kind=SAFETY)
    after = put_on_hold(with_complaint(book, heard, verdict), heard, verdict.level, verdict.sign, number=verdict.number)
    if verdict.told:
        after = illness.record_illness(after, heard, verdict)
    number = hold.offer_button(verdict, heard.at, counted_already=bool(entries))
    if number is not None:
        buttons: tuple[Button, ...] = (number,)
    else:
        not_me = Button("That was not about me", Misread(heard.at))
        buttons = () if verdict.level is Level.EMERGENCY else (not_me,)
    return say(after, text, *buttons, kind=SAFETY)


def is_about_somebody_else(text: str) -> bool:
    """Whether a line tells of somebody else what would be a grave sign in the runner."""
    line = squeezed(text)
    theirs = SOMEBODY_ELSE.sub("i", line)
    return theirs != line and triage(theirs).level.rank >= Level.CLINICIAN.rank


def answer_complaint(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer:
    """A complaint at `rest`: what fits it, the pain rule, and the choice where the runner has one."""
    if verdict.told:
        return while_ill.answer_illness(book, heard, verdict, reading)
    today = today_of(book, heard)
    book = with_complaint(book, heard, verdict)
    if _is_named_too_often(book, verdict, today):
        after = put_on_hold(book, heard, Level.CLINICIAN, REPEATED_SPOT)
        return say(after, words.same_spot(verdict.spot), kind=SAFETY)
    text = safety.answer(verdict, book.profile.country)
    pain = verdict.pain_score is not None and verdict.pain_score >= PAIN_RESTS.value
    if reading.intent is Intent.LOG and not reading.ask_back:
        # With a finished run in the line the pain rule is all that is said beside the count.
        after, entries = store(book, heard, reading)
        if pain:
            after = limit(after, (today + timedelta(days=1),), LimitReason.PAIN)
        after, replanned = replan(after, heard)
        said = safety.AFTER_A_RUN if text == safety.REST_MILD else text
        return say(after, f"{say_logged(after, entries, today, (), replanned)}\n{said}")
    if verdict.question:
        return ask_about_sign(book, heard, verdict)
    calls_off = reading.intent is Intent.SKIP and reading.day in {None, today}
    if verdict.illness or pain or verdict.kept_from_running or calls_off:
        closed = limit(book, (today,), LimitReason.ILL if verdict.illness else LimitReason.PAIN)
        return replan_and_say(closed, heard, f"{text} {words.TODAY_OFF}")
    if book.session_on(today) is None:
        return say(book, f"{text} {next_line(book, today)}")
    return ask(book, heard, Ask.CHOICE, f"{text}\n{words.YOUR_CHOICE}", words.CHOICES, day=today)


def ask_about_sign(book: Book, heard: Heard, verdict: Verdict) -> Answer:
    """In doubt between nothing and a sign: one plain question, with the caution."""
    text = safety.answer(verdict, book.profile.country)
    return ask(book, heard, Ask.SIGN, text, words.YES_NO, detail=verdict.question)


def take_sign_answer(book: Book, heard: Heard, question: str, *, yes: bool) -> Answer:
    """The plain question was answered: yes is taken as the sign, no lets the day go on."""
    today = today_of(book, heard)
    book = replace(book, asked=None)
    if yes:
        verdict = safety.if_yes(question)
        after = put_on_hold(with_complaint(book, heard, verdict), heard, verdict.level, verdict.sign, asked_yes=True)
        return say(after, safety.answer(verdict, book.profile.country), kind=SAFETY)
    if book.session_on(today) is not None:
        return ask(book, heard, Ask.CHOICE, words.YOUR_CHOICE, words.CHOICES, day=today)
    return say(book, f"{words.GLAD} {next_line(book, today)}")


def take_feeling(book: Book, heard: Heard, how: Feeling) -> Answer:
    """The answer to "how are you": better, same or worse."""
    today = today_of(book, heard)
    if is_mood_asked_about(book):
        return take_mood(book, heard, how)
    last = book.symptoms[-1] if book.symptoms else None
    book = replace(book, asked=None)
    if isinstance(book.standing, Ill) and how is not Feeling.BETTER:
        return while_ill.take_same_or_worse(book, heard)
    if how is Feeling.WORSE:
        book = with_note(book, heard, Level.REST.value, WORSE_NEXT_MORNING, last.spot if last else "")
        worse = {n.day for n in book.symptoms if n.sign == WORSE_NEXT_MORNING and today - n.day <= SAME_SPOT_DAYS.span}
        if len(worse) >= WORSE_MORNINGS.value:
            after = put_on_hold(book, heard, Level.CLINICIAN, WORSE_NEXT_MORNING)
            return say(after, words.WORSE_TWICE, kind=SAFETY)
    if how is not Feeling.BETTER:
        first = words.WORSE_ONCE if how is Feeling.WORSE else words.SAME
        return replan_and_say(limit(book, (today,), LimitReason.PAIN), heard, first)
    if isinstance(book.standing, Ill):
        return illness.begin_way_back(book, heard)
    after = with_note(book, heard, Level.NONE.value, "better")
    return say(after, f"{words.GLAD} {next_line(after, today)}")


def hold_for_effort(book: Book, heard: Heard, reading: Reading) -> Answer:
    """Worse after effort, in an illness or on the way back from one: a clinician, and no building up.

    A finished run in the line is kept.
    """
    entries: tuple[LogEntry, ...] = ()
    if reading.intent is Intent.LOG and not reading.ask_back:
        book, entries = store(book, heard, reading)
    after = put_on_hold(book, heard, Level.CLINICIAN, WORSE_AFTER_EFFORT)
    first = f"{say_counted(entries, today_of(book, heard))}\n" if entries else ""
    return say(after, f"{first}{illness_words.WORSE_AFTER_EFFORT}", kind=SAFETY)


def hold_for_heart(book: Book, heard: Heard) -> Answer:
    """Yes to the first question back after an illness: a sign."""
    after = put_on_hold(replace(book, asked=None), heard, Level.URGENT, HEART_AFTER_ILLNESS, asked_yes=True)
    return say(after, words.heart_after_illness(book.profile.country), kind=SAFETY)


def take_choice(book: Book, heard: Heard, choice: Option, day: date) -> Answer:
    """As planned, shortest, walk or rest: the runner's choice on a day with an ordinary complaint."""
    book = replace(book, asked=None)
    if choice is Option.AS_PLANNED:
        return say(book, words.AS_PLANNED)
    if choice is Option.SHORTEST:
        return replan_and_say(limit(book, (day,), LimitReason.PAIN, words.SHORTEST), heard, words.SHORT_TODAY)
    first = words.WALK_TODAY if choice is Option.WALK else words.REST_TODAY
    return replan_and_say(limit(book, (day,), LimitReason.REST), heard, first)


def _is_named_too_often(book: Book, verdict: Verdict, today: date) -> bool:
    """Whether the same spot was named on several days of the last two weeks."""
    days = {
        n.day for n in book.symptoms if verdict.spot and n.spot == verdict.spot and today - n.day <= SAME_SPOT_DAYS.span
    }
    return len(days) >= SAME_SPOT.value


def is_about_mood(verdict: Verdict) -> bool:
    """Whether low mood or such thoughts are the gravest that a line tells, and nothing of the body stands beside it."""
    grave = {sign.id for sign in verdict.signs if sign.level.rank >= Level.CLINICIAN.rank}
    return verdict.level is not Level.EMERGENCY and not verdict.about_other and bool(grave) and grave <= MIND


def answer_low_mood(book: Book, heard: Heard, verdict: Verdict, reading: Reading | None) -> Answer:
    """The kind answer; a finished run in the line is kept. Running is not taken away: moving helps many."""
    book, entries = store(book, heard, reading)
    after = replace(with_note(book, heard, verdict.level.value, verdict.sign), asked=None)
    text = words.answer_low_mood(
        verdict.language,
        book.profile.country,
        thoughts=verdict.level is Level.URGENT,
        optional=isinstance(book.standing, Training | Walking),
        minutes=sum(entry.minutes for entry in entries) or None,
    )
    return say(after, text, kind=SAFETY)


def is_mood_asked_about(book: Book) -> bool:
    """Whether the last complaint was one of mood, so that "better" or "worse" is about that."""
    return bool(book.symptoms) and book.symptoms[-1].sign in MIND


def take_mood(book: Book, heard: Heard, how: str) -> Answer:
    """Better, the same or worse: worse is told as if it had just been written, and asked about again."""
    after = replace(book, asked=None)
    if how == "worse":
        last = book.symptoms[-1]
        after = with_note(after, heard, last.level, last.sign)
    return say(after, words.answer_feeling(how, book.profile.country), kind=SAFETY)
