"""Complaints: what a warning sign does to the running, and how a hold ends."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.dialogue.log_run import stored
from nudgebot.domain.dialogue.onboarding import SOMEBODY_ELSE
from nudgebot.domain.dialogue.values import (
    Answer,
    Choices,
    Heard,
    ask,
    replan,
    say,
    today_of,
    with_limits,
    with_pause,
    without_limits,
)
from nudgebot.domain.messages import changes as change_words
from nudgebot.domain.messages import health as words
from nudgebot.domain.messages import safety
from nudgebot.domain.messages.log import logged
from nudgebot.domain.messages.plan import next_line
from nudgebot.domain.model.actions import Feeling, Misread, Option, Reply, Resume
from nudgebot.domain.model.intake import Cleared
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import (
    Ask,
    Book,
    Clearing,
    ClearingStep,
    DayLimit,
    Ill,
    Joining,
    LimitReason,
    OnHold,
    Standing,
    SymptomNote,
    Training,
    Walking,
)
from nudgebot.domain.model.speech import QUESTION, SAFETY, Button, Say
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake, places
from nudgebot.domain.text.reply import Intent, Reading, read_days
from nudgebot.domain.text.triage import Level, Verdict, triage

CLEARING_LASTS = timedelta(hours=24)  # docs/safety.md, "Hold": the steps are taken within a day, or begin again
FEVER_WAIT = timedelta(days=3)  # 72 h after the last fever (house; the upper end of 24-72 h, coaching practice)
SPOT_WINDOW = timedelta(days=14)  # the same spot named three times in 14 days: a clinician (docs/safety.md)
SPOT_TIMES = 3
PAIN_REST = 3  # of 10; from here on no run until 2 or less on waking (docs/safety.md, pain rule)
WORSE_TIMES = 2  # pain worse the next morning twice: a clinician (docs/safety.md)
WELL = re.compile(
    r"\b(?:better|(?:fine|ok|okay|well|healthy|good) (?:again|now)|recovered|back to normal|no (?:more )?fever|"
    r"fever(?: i)?s? (?:is |has |has been )?(?:gone|over))\b"
)
NOT_WELL = re.compile(r"\b(?:not|isnt|no|hardly|never) (?:\w+ )?better\b|\bworse\b")
HEART_AFTER_ILLNESS = "heart_after_illness"
REPEATED_SPOT = "repeated_spot"
WORSE_NEXT_MORNING = "worse_next_morning"


def alarm(book: Book, heard: Heard, verdict: Verdict, reading: Reading | None) -> Answer:
    """A sign at `clinician` or above: the safety answer first and alone; a finished run in the line is kept.

    Somebody beside the writer who is in danger gets the same first line and changes nothing in the runner's plan.
    """
    entries: tuple[LogEntry, ...] = ()
    if reading is not None and reading.intent is Intent.LOG and not reading.ask_back:
        book, entries = stored(book, heard, reading)
    minutes = sum(entry.minutes for entry in entries) or None
    text = safety.answer(verdict, book.profile.country, logged_minutes=minutes)
    if verdict.about_other:
        return Answer(book, (Say(text, SAFETY),))
    after = held(noted(book, heard, verdict), heard, verdict.level, verdict.sign)
    buttons = () if verdict.level is Level.EMERGENCY else (Button("That was not about me", Misread(heard.at)),)
    return Answer(after, (Say(text, SAFETY, buttons),))


def about_somebody(text: str) -> bool:
    """Whether a line tells of somebody else what would be a grave sign in the runner."""
    line = places.fold(text)
    theirs = SOMEBODY_ELSE.sub("i", line)
    return theirs != line and triage(theirs).level.rank >= Level.CLINICIAN.rank


def held(book: Book, heard: Heard, level: Level, sign: str, *, asked_yes: bool = False) -> Book:
    """The book on hold: no session is planned any more. A graver hold that already stands is kept."""
    standing = book.standing
    if isinstance(standing, OnHold) and Level(standing.level).rank >= level.rank:
        return replace(book, standing=replace(standing, clearing=None), plan=(), asked=None)
    hold = OnHold(heard.at, level.value, sign, heard.text, asked_yes=asked_yes)
    return replace(with_pause(book, today_of(book, heard)), standing=hold, plan=(), asked=None, returning=None)


def noted(book: Book, heard: Heard, verdict: Verdict) -> Book:
    """The complaint kept with its day, for the rules that look back."""
    note = SymptomNote(
        today_of(book, heard), verdict.level.value, verdict.sign, verdict.spot, verdict.pain_score, heard.at
    )
    return replace(book, symptoms=(*book.symptoms, note))


def complaint(book: Book, heard: Heard, verdict: Verdict, reading: Reading) -> Answer:
    """A complaint at `rest`: what fits it, the pain rule, and the choice where the runner has one."""
    today = today_of(book, heard)
    book = noted(book, heard, verdict)
    if _named_too_often(book, verdict, today):
        after = held(book, heard, Level.CLINICIAN, REPEATED_SPOT)
        return Answer(after, (Say(words.same_spot(verdict.spot), SAFETY),))
    text = safety.answer(verdict, book.profile.country)
    pain = verdict.pain_score is not None and verdict.pain_score >= PAIN_REST
    if reading.intent is Intent.LOG and not reading.ask_back:
        # With a finished run in the line the pain rule is all that is said beside the count.
        after, entries = stored(book, heard, reading)
        if pain:
            after = with_limits(after, (DayLimit(today + timedelta(days=1), 0, LimitReason.PAIN),))
        after, replanned = replan(after, heard)
        return say(after, f"{logged(after, entries, today, (), replanned)}\n{text}")
    if verdict.question:
        return ask(book, heard, Ask.SIGN, text, words.YES_NO, detail=verdict.question)
    if verdict.fever:
        after = planner.pause(
            replace(_closed(with_pause(book, today), today, LimitReason.ILL), standing=Ill(today, today)), today
        )
        return say(after, f"{text}\n{words.ILL_PLAN}")
    if verdict.illness or pain:
        after = _closed(book, today, LimitReason.ILL if verdict.illness else LimitReason.PAIN)
        after, replanned = replan(after, heard)
        return say(after, change_words.with_plan(f"{text} {words.TODAY_OFF}", after, today, replanned))
    if book.session_on(today) is None:
        return say(book, f"{text} {next_line(book, today)}")
    return ask(book, heard, Ask.CHOICE, f"{text}\n{words.YOUR_CHOICE}", words.CHOICES, day=today)


def doubtful(book: Book, heard: Heard, verdict: Verdict) -> Answer:
    """In doubt between nothing and a sign: one plain question, with the caution."""
    text = safety.answer(verdict, book.profile.country)
    return ask(book, heard, Ask.SIGN, text, words.YES_NO, detail=verdict.question)


def sign_answered(book: Book, heard: Heard, question: str, *, yes: bool) -> Answer:
    """The plain question was answered: yes is taken as the sign, no lets the day go on."""
    today = today_of(book, heard)
    book = replace(book, asked=None)
    if yes:
        verdict = safety.if_yes(question)
        after = held(noted(book, heard, verdict), heard, verdict.level, verdict.sign, asked_yes=True)
        return Answer(after, (Say(safety.answer(verdict, book.profile.country), SAFETY),))
    if book.session_on(today) is not None:
        return ask(book, heard, Ask.CHOICE, words.YOUR_CHOICE, words.CHOICES, day=today)
    return say(book, f"{words.GLAD} {next_line(book, today)}")


def feeling(book: Book, heard: Heard, how: Feeling) -> Answer:
    """The answer to "how are you": better, same or worse."""
    today = today_of(book, heard)
    last = book.symptoms[-1] if book.symptoms else None
    book = replace(book, asked=None)
    ill = book.standing
    if isinstance(ill, Ill) and how is not Feeling.BETTER:
        feverish = ill.last_fever is not None
        book = replace(book, standing=replace(ill, last_fever=today) if feverish else ill)
    if how is Feeling.WORSE:
        note = SymptomNote(today, Level.REST.value, WORSE_NEXT_MORNING, last.spot if last else "", None, heard.at)
        book = replace(book, symptoms=(*book.symptoms, note))
        worse = {n.day for n in book.symptoms if n.sign == WORSE_NEXT_MORNING and today - n.day <= SPOT_WINDOW}
        if len(worse) >= WORSE_TIMES:
            return Answer(held(book, heard, Level.CLINICIAN, WORSE_NEXT_MORNING), (Say(words.WORSE_TWICE, SAFETY),))
        after, replanned = replan(_closed(book, today, LimitReason.PAIN), heard)
        return say(after, change_words.with_plan(words.WORSE_ONCE, after, today, replanned))
    if how is Feeling.SAME:
        after, replanned = replan(_closed(book, today, LimitReason.PAIN), heard)
        return say(after, change_words.with_plan(words.SAME, after, today, replanned))
    if isinstance(book.standing, Ill):
        return back_from_illness(book, heard)
    after = replace(book, symptoms=(*book.symptoms, SymptomNote(today, Level.NONE.value, "better", "", None, heard.at)))
    return say(after, f"{words.GLAD} {next_line(after, today)}")


def says_well(text: str) -> bool:
    """Whether somebody who was ill says that it is over."""
    line = places.fold(text)
    return WELL.search(line) is not None and not NOT_WELL.search(line)


def back_from_illness(book: Book, heard: Heard) -> Answer:
    """The first question back after an illness; a later day with a fever, where the line names one, is kept."""
    ill, today = book.standing, today_of(book, heard)
    if isinstance(ill, Ill) and ill.last_fever is not None and "fever" in heard.text.casefold():
        named = [day for day in read_days(heard.text, today, past=True) if ill.last_fever < day <= today]
        book = replace(book, standing=replace(ill, last_fever=max(named, default=ill.last_fever)))
    return ask(book, heard, Ask.ILL_BACK, words.FIRST_QUESTION_BACK, words.YES_NO)


def illness_answered(book: Book, heard: Heard, *, yes: bool) -> Answer:
    """Yes to the first question back is a sign; no starts the way back, 72 h after the last fever at the earliest."""
    today = today_of(book, heard)
    book = replace(book, asked=None)
    if yes:
        after = held(book, heard, Level.URGENT, HEART_AFTER_ILLNESS, asked_yes=True)
        return Answer(after, (Say(words.heart_after_illness(book.profile.country), SAFETY),))
    last = book.standing.last_fever if isinstance(book.standing, Ill) else None
    after, text = _well_again(book, heard, last)
    if last is None:
        return say(after, text)
    said = f"{text}\n{words.last_fever(last, today)}"
    return ask(after, heard, Ask.LAST_FEVER, said, words.later_fever(last, today), day=last)


def fever_lasted(book: Book, heard: Heard, last: date) -> Answer:
    """The fever went on to `last`, the later of what was told before and now: the wait is counted from there."""
    return say(*_well_again(book, heard, last))


def _well_again(book: Book, heard: Heard, last_fever: date | None) -> tuple[Book, str]:
    """The book on the way back from an illness, running 72 h after the last fever at the earliest, and the words."""
    today = today_of(book, heard)
    days = 0 if last_fever is None else max(0, ((last_fever + FEVER_WAIT) - today).days)
    wait = tuple(DayLimit(today + timedelta(days=i), 0, LimitReason.ILL) for i in range(days))
    opened = without_limits(
        book, {lim.day for lim in book.limits if lim.day >= today and lim.reason is LimitReason.ILL}
    )
    opened = with_pause(opened, today)
    after = replace(with_limits(opened, wait) if wait else opened, standing=Training())
    after = planner.after_illness(after, today + timedelta(days=days))
    after, replanned = replan(after, heard)
    return after, words.well_again(after, today, days, replanned)


def chosen(book: Book, heard: Heard, choice: Option, day: date) -> Answer:
    """As planned, shortest, walk or rest: the runner's choice on a day with an ordinary complaint."""
    today = today_of(book, heard)
    book = replace(book, asked=None)
    if choice is Option.AS_PLANNED:
        return say(book, words.AS_PLANNED)
    if choice is Option.SHORTEST:
        after, replanned = replan(with_limits(book, (DayLimit(day, words.SHORTEST, LimitReason.PAIN),)), heard)
        return say(after, change_words.with_plan(words.SHORT_TODAY, after, today, replanned))
    after, replanned = replan(_closed(book, day, LimitReason.REST), heard)
    first = words.WALK_TODAY if choice is Option.WALK else words.REST_TODAY
    return say(after, change_words.with_plan(first, after, today, replanned))


def on_hold(book: Book) -> Answer:
    """What a line that is no log and no end of the hold gets: how the hold ends."""
    return Answer(book, (Say(words.hold_page(book.standing), SAFETY, (Button("A clinician cleared me", Resume()),)),))


def unasked(book: Book) -> Book:
    """The book on hold with no end of it under way: the runner speaks of something else, and a yes is about that."""
    standing = book.standing
    return _with_standing(book, replace(standing, clearing=None)) if isinstance(standing, OnHold) else book


def clearing_begins(book: Book, heard: Heard) -> Answer:
    """The first step of the end of a hold: has a clinician cleared you to run?"""
    return _step(book, heard, ClearingStep.CLEARED, words.CLEARED_ASK, words.YES_NO)


def misreading_begins(book: Book, heard: Heard) -> Answer:
    """The first step where the sentence was about something else; not after a yes to the sign."""
    standing = book.standing
    if not isinstance(standing, OnHold) or standing.asked_yes:
        return on_hold(book)
    return _step(book, heard, ClearingStep.MISREAD, words.misread_ask(standing.said), words.YES_NO)


def clearing_goes_on(book: Book, heard: Heard, answer: bool | None) -> Answer | None:
    """The next step of an end under way; None where the line is no answer to the step or the day is over.

    `answer` is yes or no as read from the line, None for anything else.
    """
    standing = book.standing
    clearing = standing.clearing if isinstance(standing, OnHold | Walking) else None
    if clearing is None or not isinstance(standing, OnHold | Walking) or heard.at - clearing.since > CLEARING_LASTS:
        return None
    step, line = clearing.step, heard.text.strip()
    if step in {ClearingStep.CLEARED, ClearingStep.MISREAD, ClearingStep.MISREAD_SURE}:
        if answer is None:
            return None
        if not answer:
            return say(_with_standing(book, replace(standing, clearing=None)), words.STAYS_ON_HOLD, kind=SAFETY)
        if step is ClearingStep.CLEARED:
            return _step(book, heard, ClearingStep.WHO, words.WHO_ASK)
        if step is ClearingStep.MISREAD:
            said = standing.said if isinstance(standing, OnHold) else ""
            return _step(book, heard, ClearingStep.MISREAD_SURE, words.misread_sure(said), words.YES_NO)
        return _ended(book, heard, words.MISREAD_DONE, "")
    if step is ClearingStep.WHO:
        if len(line) < 2 or answer is not None:
            return _step(book, heard, ClearingStep.WHO, words.WHO_ASK)
        return _step(book, heard, ClearingStep.WORD, words.WORD_ASK, who=line)
    if line.strip(" .!'\"`").casefold() == "cleared":
        return _ended(book, heard, words.cleared(clearing.who), clearing.who)
    return None


def _step(
    book: Book,
    heard: Heard,
    step: ClearingStep,
    text: str,
    choices: Choices = (),
    *,
    who: str = "",
) -> Answer:
    standing = book.standing
    if not isinstance(standing, OnHold | Walking):
        return say(book, words.NOT_ON_HOLD)
    begun = standing.clearing.since if standing.clearing is not None and step not in FIRST_STEPS else heard.at
    clearing = Clearing(step, begun, who or (standing.clearing.who if standing.clearing else ""))
    after = _with_standing(book, replace(standing, clearing=clearing))
    buttons = tuple(Button(label, Reply(clearing_token(clearing), chosen)) for label, chosen in choices)
    return Answer(after, (Say(text, QUESTION, buttons),))


FIRST_STEPS = frozenset({ClearingStep.CLEARED, ClearingStep.MISREAD})


def clearing_token(clearing: Clearing) -> str:
    """What the buttons of a step carry, so that an old button cannot take a later step."""
    return f"{clearing.step.value}@{clearing.since:%m%d%H%M%S}"


def _with_standing(book: Book, standing: Standing) -> Book:
    return replace(book, standing=standing)


def _ended(book: Book, heard: Heard, text: str, who: str) -> Answer:
    """The hold is over: the way back is by the return table; an unfinished intake goes on.

    `who` cleared the runner, kept with the date; "" where the line had been misread, and then the screening's
    answer holds as it did before.
    """
    today = today_of(book, heard)
    book = with_pause(book, today)
    if who:
        book = replace(book, intake=replace(book.intake, cleared=Cleared(today, who)))
    if intake.next_question(book.intake) is not None:
        return say(replace(book, standing=Joining()), f"{text}\n{words.INTAKE_GOES_ON}")
    standing = Training() if book.intake.cleared is not None else intake.standing_after(book.profile, heard.now)
    after = planner.return_after(replace(book, standing=standing, asked=None), today)
    after, _ = replan(after, heard)
    return say(after, words.running_again(after, today, text))


def _closed(book: Book, day: date, reason: LimitReason) -> Book:
    return with_limits(book, (DayLimit(day, 0, reason),))


def _named_too_often(book: Book, verdict: Verdict, today: date) -> bool:
    """The same spot named three times in 14 days, on days of their own."""
    days = {n.day for n in book.symptoms if verdict.spot and n.spot == verdict.spot and today - n.day <= SPOT_WINDOW}
    return len(days) >= SPOT_TIMES
