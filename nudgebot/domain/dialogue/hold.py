"""How a hold ends: by a clinician's word that the runner passes on, or by a misreading set right in two steps.

Nothing else here lifts it. Erasing everything ends it too, and a number that was misread is set right by its button.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

from nudgebot.domain.dialogue import illness
from nudgebot.domain.dialogue.values import (
    Answer,
    Choices,
    Heard,
    replan,
    say,
    standing_when_well,
    today_of,
    with_pause,
)
from nudgebot.domain.messages import hold as words
from nudgebot.domain.messages.common import on_day
from nudgebot.domain.messages.conditions import carried
from nudgebot.domain.messages.health import running_again
from nudgebot.domain.messages.illness import HOLD_ENDED as ILL_TOO
from nudgebot.domain.model.actions import Agreed, Chosen, ChosenDays, ChosenOption, Option, Reply, Resume
from nudgebot.domain.model.intake import Cleared
from nudgebot.domain.model.parameters import (
    CLEARANCE_LASTS,
    CLEARING_LASTS,
    CONCUSSION_FIRST_STEP,
    EMERGENCY_WAIT,
    VISIT_WITHIN,
)
from nudgebot.domain.model.runner import (
    Book,
    Clearing,
    ClearingStep,
    Ill,
    Joining,
    OnHold,
    Standing,
    SymptomNote,
    Walking,
    WalkRun,
)
from nudgebot.domain.model.speech import QUESTION, SAFETY, Button, Say
from nudgebot.domain.planning import planner, steady
from nudgebot.domain.profile import intake
from nudgebot.domain.profile.intake_codec import with_answer
from nudgebot.domain.text.reply import read_days
from nudgebot.domain.text.symptoms.clearance import Clearer, Visit, clearer_in, not_yet, visit_in
from nudgebot.domain.text.symptoms.groups import HEAD_KNOCK, MIND, PREGNANCY, is_muscle_or_joint
from nudgebot.domain.text.triage import Level

HOLD_ENDED = "hold_ended"  # the note that parts the signs of an old hold from those of a new one
FIRST_STEPS = frozenset({ClearingStep.CLEARED, ClearingStep.MISREAD})
YES_OR_NO = frozenset({ClearingStep.CLEARED, ClearingStep.MISREAD, ClearingStep.MISREAD_SURE})
SAID_YES = frozenset({"yes to the plain question", "calf: yes to the question"})  # signs that only a yes gives


def held(book: Book, heard: Heard, level: Level, sign: str, *, asked_yes: bool = False, number: str = "") -> Book:
    """The book on hold: no session is planned any more. A hold as grave that already stands is kept.

    A second emergency starts the day anew in which no word on running is taken. An illness waits beneath the hold.
    `number` is the number that alone carried the level, "" if words did, or if another sign was told before or after.
    """
    standing = book.standing
    if isinstance(standing, OnHold) and Level(standing.level).rank >= level.rank:
        since = heard.at if level is Level.EMERGENCY else standing.since
        kept = replace(standing, since=since, clearing=None, asked_yes=standing.asked_yes or asked_yes, number="")
        return replace(book, standing=kept, plan=(), asked=None)
    beneath = standing if isinstance(standing, Ill) else standing.beneath if isinstance(standing, OnHold) else None
    number = "" if isinstance(standing, OnHold) else number
    hold = OnHold(heard.at, level.value, sign, heard.text, asked_yes=asked_yes, number=number, beneath=beneath)
    return replace(with_pause(book, today_of(book, heard)), standing=hold, plan=(), asked=None, returning=None)


def on_hold(book: Book) -> Answer:
    """What a line that is no log and no end of the hold gets: how the hold ends."""
    text = words.hold_page(book.standing, book.profile.country)
    return Answer(book, (Say(text, SAFETY, (Button("A clinician cleared me", Resume()),)),))


def unasked(book: Book) -> Book:
    """The book on hold with no end of it under way: the runner speaks of something else, and a yes is about that."""
    standing = book.standing
    return _with_standing(book, replace(standing, clearing=None)) if isinstance(standing, OnHold) else book


def clearing_begins(book: Book, heard: Heard) -> Answer:
    """The first step of the end of a hold: has a clinician cleared you to run?"""
    standing = book.standing
    if isinstance(standing, OnHold) and (earliest := _not_before(book, standing)) is not None and heard.at < earliest:
        text = words.too_early(book.local(earliest), today_of(book, heard), book.profile.country)
        return say(_with_standing(book, replace(standing, clearing=None)), text, kind=SAFETY)
    return _step(book, heard, ClearingStep.CLEARED, words.CLEARED_ASK, words.YES_NO)


def misreading_begins(book: Book, heard: Heard) -> Answer:
    """The first step where the sentence was about something else; not after a yes to the sign."""
    standing = book.standing
    if not isinstance(standing, OnHold):
        return on_hold(book)
    if standing.asked_yes:
        return say(book, words.SAID_YES, kind=SAFETY)
    if standing.level == Level.EMERGENCY.value and today_of(book, heard) <= book.today(standing.since):
        return say(book, words.misread_tomorrow(book.profile.country), kind=SAFETY)
    text = words.misread_ask(standing.said, _said_on(book, standing))
    return _step(book, heard, ClearingStep.MISREAD, text, words.YES_NO)


def clearing_goes_on(book: Book, heard: Heard, answer: bool | None) -> Answer | None:
    """The next step of an end under way; None where the line is no answer to the step or the day is over.

    `answer` is yes or no as read from the line, None for anything else.
    """
    standing = book.standing
    clearing = standing.clearing if isinstance(standing, OnHold | Walking) else None
    if (
        clearing is None
        or not isinstance(standing, OnHold | Walking)
        or heard.at - clearing.since > CLEARING_LASTS.span
    ):
        return None
    line = heard.text.strip()
    if clearing.step in YES_OR_NO:
        return None if answer is None else _agreed(book, heard, clearing.step, yes=answer)
    match clearing.step:
        case ClearingStep.WHO:
            return _who(book, heard, line, answer)
        case ClearingStep.WHO_SURE:
            return _who_surely(book, heard, clearing, line, answer)
        case ClearingStep.WHEN:
            if answer is False:
                return _stays(book, words.NOT_YET)
            return _when(book, heard, clearing.who, line, said=f"{clearing.who}, {line}")
        case _:
            said = line.strip(" .!'\"`").casefold() == "cleared"
            return _cleared(book, heard, clearing.who) if said else None


CLEARERS = {
    Option.DOCTOR: Clearer.DOCTOR,
    Option.HOSPITAL: Clearer.DOCTOR,
    Option.MIDWIFE: Clearer.MIDWIFE,
    Option.PHYSIO: Clearer.PHYSIO,
    Option.NONE_OF_THESE: Clearer.NOBODY,
}


def clearing_chosen(book: Book, heard: Heard, chosen: Chosen) -> Answer | None:
    """The next step of an end under way by a button of it; None where the day is over, or it is no answer to it."""
    standing = book.standing
    clearing = standing.clearing if isinstance(standing, OnHold | Walking) else None
    if clearing is None or heard.at - clearing.since > CLEARING_LASTS.span:
        return None
    match chosen:
        case Agreed(yes) if clearing.step in YES_OR_NO:
            return _agreed(book, heard, clearing.step, yes=yes)
        case ChosenOption(option) if clearing.step is ClearingStep.WHO_SURE and option in CLEARERS:
            counts = _counts(book, CLEARERS[option])
            return _when_of_both(book, heard, words.WHO_WORDS[option], clearing) if counts else _not_enough(book)
        case ChosenDays((day,)) if clearing.step is ClearingStep.WHEN:
            said = f"{clearing.who}, {on_day(day, today_of(book, heard))}"
            return _seen(book, heard, Visit(day, day), said)
        case _:
            return None


def _agreed(book: Book, heard: Heard, step: ClearingStep, *, yes: bool) -> Answer:
    """Yes or no to a step that asks for it."""
    standing = book.standing
    if not yes:
        return _stays(book, words.STAYS_ON_HOLD)
    if step is ClearingStep.CLEARED or not isinstance(standing, OnHold):
        return _step(book, heard, ClearingStep.WHO, words.WHO_ASK)
    if step is ClearingStep.MISREAD:
        text = words.misread_sure(standing.said, _said_on(book, standing))
        return _step(book, heard, ClearingStep.MISREAD_SURE, text, words.YES_NO)
    return _misread(book, heard, standing)


def _who(book: Book, heard: Heard, line: str, answer: bool | None) -> Answer:
    """Who it was: somebody whose word counts, or asked once more."""
    if len(line) < 2 or (answer is not None and clearer_in(line) is Clearer.UNTOLD):
        return _step(book, heard, ClearingStep.WHO, words.WHO_ASK)
    if not_yet(line):
        return _stays(book, words.NOT_YET)
    if _counts(book, clearer_in(line)):
        return _when(book, heard, line, line, said=line)
    text, choices = words.who_sure(midwife=_midwife_counts(book), physio=_physio_counts(book))
    return _step(book, heard, ClearingStep.WHO_SURE, text, choices, who=line)


def _who_surely(book: Book, heard: Heard, clearing: Clearing, line: str, answer: bool | None) -> Answer:
    """Asked once more: one of those whose word counts, or refused with the reason."""
    if not_yet(line):
        return _stays(book, words.NOT_YET)
    if answer is not False and _counts(book, clearer_in(line)):
        if visit_in(line, today_of(book, heard)) is not None:
            return _when(book, heard, line, line, said=line)
        return _when_of_both(book, heard, line, clearing)
    return _not_enough(book)


def _when_of_both(book: Book, heard: Heard, kind: str, clearing: Clearing) -> Answer:
    """Of that kind: the day may have been told with the name."""
    both = f"{kind} ({clearing.who})"
    return _when(book, heard, both, clearing.who, said=both)


def _not_enough(book: Book) -> Answer:
    standing = book.standing
    text = words.refused(standing, midwife=_midwife_counts(book), physio=_physio_counts(book))
    return _stays(book, text)


def _when(book: Book, heard: Heard, who: str, line: str, *, said: str) -> Answer:
    """The day of the visit: not before the sign, not to come, and at the screening within the last months.

    `line` is searched for the day; `said` is what is kept where it holds one, `who` where it does not.
    """
    today = today_of(book, heard)
    if not_yet(line):
        return _stays(book, words.NOT_YET)
    visit = visit_in(line, today)
    if visit is None:
        return _step(book, heard, ClearingStep.WHEN, words.WHEN_ASK, words.when_buttons(today), who=who)
    if _is_soon(line, visit, today):
        return _stays(book, words.STILL_TO_COME)
    return _seen(book, heard, visit, said)


def _seen(book: Book, heard: Heard, visit: Visit, said: str) -> Answer:
    """A visit whose day is told: late enough, and not too long ago."""
    today = today_of(book, heard)
    if visit.first > today:
        return _stays(book, words.STILL_TO_COME)
    standing = book.standing
    if isinstance(standing, OnHold) and visit.last < (reported := _reported(book, standing)):
        return _stays(book, words.before_the_report(reported, today))
    if isinstance(standing, Walking):
        told = book.today(standing.since)
        if standing.why == "pregnancy" and visit.last < told:
            return _stays(book, words.before_the_report(told, today))
        if visit.last < _months_before(today, CLEARANCE_LASTS.value):
            return _stays(book, words.too_long_ago(CLEARANCE_LASTS.value))
    return _step(book, heard, ClearingStep.WORD, words.WORD_ASK, who=said)


def _is_soon(line: str, visit: Visit, today: date) -> bool:
    """Whether a day without a year that is almost a year ago is rather the one to come."""
    coming = [day for day in read_days(line, today) if today < day <= today + VISIT_WITHIN.span]
    return bool(coming) and visit.last < today - VISIT_WITHIN.span


def _stays(book: Book, text: str) -> Answer:
    """Nothing is cleared: the steps have to be begun again."""
    standing = book.standing
    if not isinstance(standing, OnHold | Walking):
        return say(book, words.NOT_ON_HOLD)
    buttons = (Button("A clinician cleared me", Resume()),)
    return say(_with_standing(book, replace(standing, clearing=None)), text, *buttons, kind=SAFETY)


def _counts(book: Book, clearer: Clearer) -> bool:
    match clearer:
        case Clearer.DOCTOR:
            return True
        case Clearer.MIDWIFE:
            return _midwife_counts(book)
        case Clearer.PHYSIO:
            return _physio_counts(book)
        case Clearer.NOBODY | Clearer.UNTOLD:
            return False


def _midwife_counts(book: Book) -> bool:
    standing = book.standing
    if isinstance(standing, Walking):
        return standing.why == "pregnancy"
    return isinstance(standing, OnHold) and _signs(book, standing) <= PREGNANCY


def _physio_counts(book: Book) -> bool:
    """Where every sign of the hold is of muscle, bone or joint."""
    standing = book.standing
    return isinstance(standing, OnHold) and all(is_muscle_or_joint(sign) for sign in _signs(book, standing))


def open_notes(book: Book) -> tuple[SymptomNote, ...]:
    """The complaints that belong to the hold that stands, oldest first."""
    ends = [place for place, note in enumerate(book.symptoms) if note.sign == HOLD_ENDED]
    since = book.symptoms[ends[-1] + 1 :] if ends else book.symptoms
    return tuple(n for n in since if _rank(n.level) >= Level.CLINICIAN.rank and n.sign not in MIND)


def _rank(level: str) -> int:
    """The rank of a level as stored; one that this version does not know ranks as the gravest."""
    return Level(level).rank if level in set(Level) else Level.EMERGENCY.rank


def _signs(book: Book, standing: OnHold) -> frozenset[str]:
    return frozenset({standing.sign, *(note.sign for note in open_notes(book))})


def _said_on(book: Book, standing: OnHold) -> date:
    """The day of the sentence that is kept."""
    return next((note.day for note in open_notes(book) if note.sign == standing.sign), book.today(standing.since))


def _reported(book: Book, standing: OnHold) -> date:
    """The day of the newest sign: whoever was seen before it could not know of it."""
    return max((book.today(standing.since), *(note.day for note in open_notes(book))))


def _not_before(book: Book, standing: OnHold) -> datetime | None:
    """The instant from which a word on running is taken; None where it is at any time.

    A day after an emergency is always another calendar day than its own.
    """
    times = [standing.since] if standing.level == Level.EMERGENCY.value else []
    times += [note.at for note in open_notes(book) if note.level == Level.EMERGENCY.value and note.at is not None]
    return max(times) + timedelta(hours=EMERGENCY_WAIT.value) if times else None


def _months_before(day: date, months: int) -> date:
    """The same day of a month `months` earlier, the 28th at most."""
    count = day.year * 12 + day.month - 1 - months
    return date(count // 12, count % 12 + 1, min(day.day, 28))


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


def clearing_token(clearing: Clearing) -> str:
    """What the buttons of a step carry, so that an old button cannot take a later step."""
    return f"{clearing.step.value}@{clearing.since:%m%d%H%M%S}"


def _with_standing(book: Book, standing: Standing) -> Book:
    return replace(book, standing=standing)


def _misread(book: Book, heard: Heard, standing: OnHold) -> Answer:
    """The sign was none; another one that was told meanwhile still holds."""
    mine = {standing.sign}
    others = [note for note in open_notes(book) if note.sign not in mine]
    kept = tuple(n for n in book.symptoms if n not in open_notes(book) or n.sign not in mine)
    book = replace(book, symptoms=kept)
    if others:
        gravest = max(others, key=lambda note: _rank(note.level))
        since = gravest.at or standing.since
        yes = gravest.sign in SAID_YES
        after = _with_standing(book, OnHold(since, gravest.level, gravest.sign, "", asked_yes=yes))
        return say(after, words.misread_not_all(gravest.day), kind=SAFETY)
    return _running_again(_noted_end(book, heard), heard, words.MISREAD_DONE)


def _cleared(book: Book, heard: Heard, who: str) -> Answer:
    """A clinician's word ends it; after an emergency and after a concussion the way back is a longer one."""
    today = today_of(book, heard)
    standing = book.standing
    text = [words.cleared(who)]
    if not isinstance(standing, OnHold):
        cautions = carried(book.intake, book.profile.country)
        return _running_again(_with_clearance(book, today, who), heard, " ".join([*text, *cautions]))
    signs = _signs(book, standing)
    grave = standing.level == Level.EMERGENCY.value
    joint = clearer_in(who) is Clearer.PHYSIO
    if not joint:  # a physiotherapist's word is about muscle and joint, not about what the screening asks
        book = _with_clearance(book, today, who)
        asks = intake.next_question(book.intake)
        if asks in {"disease", "signs"}:
            book = replace(book, intake=with_answer(book.intake, asks, "yes"))  # what was seen to is not asked again
    if grave:
        book = steady.after_emergency(book, today)
        text.append(words.TWO_WEEKS_STEADY)
    if signs & HEAD_KNOCK:
        text.append(words.STEPWISE)
    return _running_again(_noted_end(book, heard), heard, " ".join(text), signs=signs, after_a_sign=True)


def _with_clearance(book: Book, today: date, who: str) -> Book:
    return replace(book, intake=replace(book.intake, cleared=Cleared(today, who)))


def _noted_end(book: Book, heard: Heard) -> Book:
    note = SymptomNote(today_of(book, heard), Level.NONE.value, HOLD_ENDED, "", None, heard.at)
    return replace(book, symptoms=(*book.symptoms, note))


def _running_again(
    book: Book, heard: Heard, text: str, *, signs: frozenset[str] = frozenset(), after_a_sign: bool = False
) -> Answer:
    """The hold is over: the way back is by the return table, an unfinished intake goes on.

    `after_a_sign` runs at half at first, where it was too short for the table.
    """
    today = today_of(book, heard)
    book = with_pause(book, today)
    if intake.next_question(book.intake) is not None:
        return say(replace(book, standing=Joining()), f"{text}\n{words.INTAKE_GOES_ON}")
    if isinstance(book.standing, OnHold) and book.standing.beneath is not None:
        ill = replace(book, standing=book.standing.beneath, asked=None)
        return illness.back_from_illness(ill, heard, first=ILL_TOO)
    after = replace(book, standing=standing_when_well(book, heard.now), asked=None)
    if isinstance(after.standing, Walking):
        after = planner.return_after(after, today)
        return say(after, running_again(after, today, f"{text} {words.hold_page(after.standing, '')}"))
    if signs & HEAD_KNOCK:
        after = replace(after, walk_run=WalkRun(CONCUSSION_FIRST_STEP.value, 0, today))
        after_a_sign = False  # the steps are gentler than runs at half
    after = planner.after_illness(after, today) if after_a_sign else planner.return_after(after, today)
    after, _ = replan(after, heard)
    return say(after, running_again(after, today, text))
