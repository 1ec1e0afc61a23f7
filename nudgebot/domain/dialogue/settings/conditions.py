"""A condition told in any state: shown back, and once confirmed acted on as its row says. (docs/safety.md)"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

from nudgebot.domain.dialogue.runs import log_run
from nudgebot.domain.dialogue.settings import change_setting, onboarding
from nudgebot.domain.dialogue.values import Answer, Heard, ask, say, today_of, with_intake
from nudgebot.domain.messages.health import complaints as words
from nudgebot.domain.messages.health.complaints import YES_NO
from nudgebot.domain.model.intake import NOTHING_TOLD, YesNoSkip
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, Ill, Joining, OnHold, Training, Walking
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.limits import low
from nudgebot.domain.profile import answer_readers, conditions, intake
from nudgebot.domain.profile.conditions import UNDER_AGE
from nudgebot.domain.profile.intake_codec import with_answer
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import Intent, Reading, read
from nudgebot.domain.text.symptoms.heard_words import without_idioms
from nudgebot.domain.text.symptoms.table import HEAD_KNOCK
from nudgebot.domain.text.triage import Level, Verdict, triage
from nudgebot.domain.text.word_files import patterns

P = patterns("dialogue")

PRESSURE = "high blood-pressure reading"
READING = re.compile(r"\d{2,3}\s*(?:/|over|to|zu|sur|sobre|por)\s*\d{2,3}|\b[1-3]\d{2}\b")
BIRTH_YEAR = re.compile(r"\b(?:born in|birth year|year of birth)\D{0,6}(?P<year>(?:19|20)\d\d)\b", re.IGNORECASE)
OVER = "over:"  # before a condition's id, in the question whether it is over
HEALTH_QUESTIONS = frozenset({"disease", "signs"})


def weigh_conditions(book: Book, heard: Heard, verdict: Verdict) -> Verdict:
    """The verdict with what the runner told before: a head knock on blood thinners is an emergency; high blood
    pressure that is named, without a reading, is a condition and no sign.
    """
    if book.intake.pregnancy is YesNoSkip.YES:
        verdict = triage(heard.text, pregnant=True)
    signs = {sign.id for sign in verdict.signs}
    knocked = signs & HEAD_KNOCK or P.head_knocked.search(squeezed(heard.text))
    if book.intake.tells("thinners") and knocked and not verdict.about_other:
        return replace(verdict, level=Level.EMERGENCY, sign="head knock with a grave sign", first_aid="head")
    if low(book, today_of(book, heard)) and P.means.search(squeezed(heard.text)) and not verdict.about_other:
        return replace(verdict, level=Level.EMERGENCY, sign="suicidal intent", first_aid="crisis")
    grave = {sign.id for sign in verdict.signs if sign.level.rank >= Level.CLINICIAN.rank}
    if grave and grave <= _named_by(heard.text) and not READING.search(heard.text):
        return replace(verdict, level=Level.NONE, sign="", signs=())
    return verdict


def _named_by(text: str) -> frozenset[str]:
    """Signs of the table that a condition's own name brings, and that are no complaint of today."""
    told = conditions.conditions_in(text)
    return frozenset({PRESSURE} if "blood_pressure" in told else ()) | (
        frozenset({"wheeze"}) if "asthma" in told and not re.search(r"\bwheez", text, re.IGNORECASE) else frozenset()
    )


def ask_told(book: Book, heard: Heard) -> Answer | None:
    """The question whether a condition was read right; None if the line tells none, or nothing new."""
    if _tells_young(book, heard):
        return ask_if_under_age(book, heard)
    over = conditions.over_in(heard.text)
    if over is not None and book.intake.tells(over):
        return ask(book, heard, Ask.CONDITION, words.ask_if_condition_over(over), YES_NO, detail=f"{OVER}{over}")
    found = conditions.condition_in(heard.text)
    if found is None or conditions.condition_in(without_idioms(heard.text)) is None:
        return None
    if isinstance(book.standing, Joining) and (answer := _take_in_intake(book, heard, found.id)) is not None:
        return answer
    if found.id == UNDER_AGE:
        return ask_if_under_age(book, heard)
    if book.intake.tells(found.id):
        return None
    if found.id == "pregnancy":
        if isinstance(book.standing, Joining) or book.intake.pregnancy is YesNoSkip.YES:
            return None
        return change_setting.ask_setting(book, heard, "pregnancy", "yes")
    done = _log_rest(book, heard, found.rest)
    before = done.book if done is not None else book
    asked = ask(before, heard, Ask.CONDITION, words.ask_to_confirm_condition(found.id), YES_NO, detail=found.id)
    return asked if done is None else asked.behind(*done.says)


def _tells_young(book: Book, heard: Heard) -> bool:
    """Whether a birth year is told, in a sentence or where it was asked for, that contradicts "adult"."""
    line = heard.text
    if (found := BIRTH_YEAR.search(line)) is not None:
        line = found["year"]
    elif not (
        (isinstance(book.standing, Joining) and intake.next_question(book.intake) == "birth_year")
        or (book.asked is not None and book.asked.what is Ask.SETTING and book.asked.detail == "birth_year")
    ):
        return False
    year = intake.read_answer("birth_year", line, book.intake) or answer_readers.SKIP
    return year != answer_readers.SKIP and contradicts_adult(int(year), today_of(book, heard))


def _log_rest(book: Book, heard: Heard, rest: str) -> Answer | None:
    """What else the line holds: a finished run is counted."""
    if not rest or isinstance(book.standing, Joining):
        return None
    reading: Reading = read(rest, today_of(book, heard))
    if reading.intent is not Intent.LOG or reading.ask_back or (reading.minutes is None and not reading.logs):
        return None
    done = log_run.log(book, heard, reading)
    return done if len(done.book.log) > len(book.log) else None


def _take_in_intake(book: Book, heard: Heard, found: str) -> Answer | None:
    """Told in answer to the question about health: that is the confirmation."""
    asks = intake.next_question(book.intake)
    if asks not in HEALTH_QUESTIONS or found in {UNDER_AGE, "pregnancy"}:
        return None
    ids = conditions.conditions_in(heard.text) | {found}
    clinician = conditions.needs_clinician(ids - {"pregnancy"})
    # The name of a condition answers the question, whatever small word stands before it: "no, just high pressure".
    more = re.match(r"\s*yes\b.*\b(?:and|also|plus|too)\b", heard.text, re.IGNORECASE) is not None
    answer = "yes" if clinician or more else "no" if asks == "disease" else ""
    told = book.intake.with_conditions(ids - {"pregnancy"}, today_of(book, heard))
    told = with_answer(told, asks, answer) if answer else told
    if "blood_pressure" in ids:
        told = replace(told, pressure=True)
    return onboarding.go_on(with_intake(book, told), heard)


def take_answer(book: Book, heard: Heard, agreed: bool | None) -> Answer | None:
    """The runner's word on a condition shown back; None if that is neither yes nor no, or nothing was asked."""
    asked = book.asked
    if asked is None or agreed is None:
        return None
    book = replace(book, asked=None)
    if asked.detail == UNDER_AGE:
        return replace(say(book, words.GOODBYE), erase=True) if agreed else _go_on_of_age(book, heard)
    if asked.detail.removeprefix(OVER) not in conditions.by_id():
        return None
    if agreed and asked.detail.startswith(OVER):
        after = replace(book, intake=book.intake.without_condition(asked.detail.removeprefix(OVER)))
        return _go_on(say(after, words.TAKEN_BACK), heard)
    if not agreed:
        return _go_on(say(book, words.NOT_TOLD), heard)
    return _go_on(_confirm(book, heard, asked.detail), heard)


def _go_on(answer: Answer, heard: Heard) -> Answer:
    """In the intake its open question follows."""
    if not isinstance(answer.book.standing, Joining):
        return answer
    return onboarding.go_on(answer.book, heard).behind(*answer.says)


def _confirm(book: Book, heard: Heard, key: str) -> Answer:
    row = conditions.by_id()[key]
    today = today_of(book, heard)
    told = book.intake.with_conditions({key}, today)
    country = book.profile.country
    if "pressure" in row.follows:
        after = replace(book, intake=replace(told, pressure=True))
        if isinstance(after.standing, Joining):
            return Answer(after, ())
        return change_setting.ask_setting(after, heard, "doctor_knows", "")
    if "clinician" not in row.follows:
        return say(replace(book, intake=told), words.confirm_condition(key, country, walks=False, paused=False))
    told = replace(told, cleared=None, disease=True)  # a clearance given before was given without it
    after = with_intake(book, told)
    paused = isinstance(book.standing, OnHold | Ill)
    text = words.confirm_condition(key, country, walks=True, paused=paused)
    if isinstance(book.standing, Training | Walking):
        after = replace(after, standing=Walking(heard.now, "screening"), walk_run=None, returning=None)
        after = planner.relay(after, today)
    return say(after, text)


def ask_open_question(book: Book, heard: Heard) -> Answer:
    """What somebody without a plan is asked: whether they are of age where that is open, else the intake's question."""
    return ask_if_under_age(book, heard) if age_is_open(book) else onboarding.ask_open_question(book)


def ask_if_under_age(book: Book, heard: Heard) -> Answer:
    """An age under 18: asked, and nothing is planned meanwhile; only a yes ends it, with nothing kept."""
    told = replace(book.intake, adult=None)
    # Of somebody whose first line it was nothing is kept yet.
    after = replace(book, intake=replace(told, age_open=True) if told != NOTHING_TOLD else told)
    if isinstance(book.standing, Training | Walking):
        after = planner.pause(replace(after, standing=Joining()), today_of(book, heard))
    return ask(after, heard, Ask.CONDITION, words.UNDER_AGE_ASK, words.UNDER_AGE_BUTTONS, detail=UNDER_AGE)


def age_is_open(book: Book) -> bool:
    """Whether an age under 18 was told and the question about it has had no answer yet; a pause goes first."""
    return bool(book.intake.age_open) and not isinstance(book.standing, OnHold | Ill)


def contradicts_adult(year: int, today: date) -> bool:
    """Whether somebody born in `year` may be under 18 today."""
    return today.year - year <= conditions.ADULT_FROM


def _go_on_of_age(book: Book, heard: Heard) -> Answer:
    # Whose first line it was has not been asked for consent yet: the first question follows.
    known = replace(book.intake, age_open=None)
    after = replace(book, intake=replace(known, adult=True) if known != NOTHING_TOLD else known)
    return _go_on(say(after, words.OF_AGE), heard)
