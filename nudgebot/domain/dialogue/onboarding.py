"""The intake as a conversation, and settings changed later: the same questions, the same answers."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from nudgebot.domain.dialogue.values import Answer, Heard, ask, replan, say, with_limits
from nudgebot.domain.messages import intake as words
from nudgebot.domain.messages import pages, safety
from nudgebot.domain.messages.changes import with_plan
from nudgebot.domain.messages.common import short_day
from nudgebot.domain.messages.plan import event_lines, first_plan, replan_lines
from nudgebot.domain.model.actions import Agreed, Chosen, ChosenValue, Open, Page, Reply
from nudgebot.domain.model.runner import Ask, Book, DayLimit, Joining, LimitReason, Training, Walking
from nudgebot.domain.model.speech import Button, Say
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.replan_input import open_on
from nudgebot.domain.profile import intake, places
from nudgebot.domain.text.reply import read_days, read_yes_no

GUESSED_COUNTRY = "country_guess"  # kept beside the answers while the intake runs: the country of the city named
# Settings that lay the week anew; the others change when something is sent, or nothing at all.
LAYS_THE_WEEK = frozenset({"goal", "days", "long_day", "zone"})


def first_question(book: Book) -> Answer:
    """The question where the intake stands."""
    asks = intake.next_question(book.answers) or "adult"
    return Answer(book, (_question(book, asks),))


def answered(book: Book, heard: Heard) -> Answer:
    """One line to the question that is open: kept and the next one asked, or asked again with an example."""
    asks = intake.next_question(book.answers) or "adult"
    match heard.action:
        case Reply(_, ChosenValue(told)):
            pass
        case _:
            told = heard.text
    if told.strip().casefold().strip("/.") == intake.BACK:
        return one_back(book)
    read = intake.read_answer(asks, told, book.answers)
    if read is None:
        first_word = not book.answers and book.runner.joined_at == heard.at
        return Answer(book, (_question(book, asks, wrong=not first_word),))
    if asks == "adult" and read == "no":
        return Answer(book, (Say(words.NOT_ADULT),), erase=True)
    answers = {**book.answers, asks: read}
    if asks == "zone" and (place := intake.place_in(told)) is not None:
        answers[GUESSED_COUNTRY] = place[1]
    after = replace(book, answers=answers, profile=intake.profile(answers))
    following = intake.next_question(answers)
    if following is not None:
        return Answer(after, (_question(after, following),))
    return _begun(after, heard)


def _begun(book: Book, heard: Heard) -> Answer:
    answers = {key: value for key, value in book.answers.items() if key != GUESSED_COUNTRY}
    profile = intake.profile(answers)
    after = replace(book, answers=answers, profile=profile, standing=intake.standing_after(profile, heard.now))
    today = after.today(heard.now)
    after = planner.begin(after, today, planner.today_closed(profile, after.local(heard.now)))
    buttons = (Button("The week", Open(Page.WEEK)), Button("When to stop", Open(Page.SAFETY)))
    return Answer(after, (Say(first_plan(after, today, safety.caution()), buttons=buttons),))


def one_back(book: Book) -> Answer:
    """The question before, asked again."""
    last = intake.question_before(book.answers)
    if last is None:
        return first_question(book)
    answers = {key: value for key, value in book.answers.items() if key != last}
    after = replace(book, answers=answers, profile=intake.profile(answers))
    return Answer(after, (_question(after, last),))


def _question(book: Book, asks: str, *, wrong: bool = False) -> Say:
    guess = book.answers.get(GUESSED_COUNTRY, "")
    return words.question(asks, book.answers, name=book.runner.name, wrong=wrong, guess=guess)


# Names by which a line can begin a change of setting, longest first.
SETTING_WORDS = tuple(
    sorted(
        (
            *((name, key) for key, name in pages.SETTING_NAMES.items()),
            *((key.replace("_", " "), key) for key in pages.SETTING_NAMES),
            ("open days", "days"),
            ("resting hr", "resting_hr"),
            ("max heart rate", "max_hr"),
            ("max hr", "max_hr"),
            ("maximum hr", "max_hr"),
            ("race", "event"),
            ("target date", "event"),
            ("run days", "days"),
            ("long run day", "long_day"),
            ("city", "zone"),
            ("timezone", "zone"),
            ("remind me at", "remind_at"),
            ("reminder at", "remind_at"),
            ("reminder", "remind_at"),
            ("quiet hours", "quiet"),
            ("year of birth", "birth_year"),
            ("i usually run at", "run_time"),
            ("i run at", "run_time"),
            ("i live in", "zone"),
            ("i moved to", "zone"),
            ("i am in", "zone"),
            ("i'm in", "zone"),
            ("im in", "zone"),
        ),
        key=lambda pair: -len(pair[0]),
    )
)


SHARED = re.compile(r"\s*location\s+-?\d")  # a place as a voice hands it on
HOW_LONG = re.compile(r"\s+(?:till|til|until|for|this|next|from|on|all|tomorrow|today|now)\b.*", re.DOTALL)


def setting_in(text: str) -> tuple[str, str] | None:
    """A setting's id and what the line says it should be ("" where it names the setting alone)."""
    if SHARED.match(text):
        return "zone", text.strip()
    line = re.sub(r"^(?:please\s+)?(?:/?(?:set|change|settings?)\s+)?(?:my\s+)?", "", places.fold(text).strip(" .!?"))
    for name, key in SETTING_WORDS:
        if line == name:
            return key, ""
        if line.startswith((name + " ", name + ":")):
            rest = re.sub(r"^(?:to|is|at|=)\s+", "", line[len(name) :].lstrip(" :="))
            return key, HOW_LONG.sub("", rest) if key == "zone" else rest
    return None


def place_told(text: str) -> tuple[str, str] | None:
    """The setting in a line that says where one is and nothing else: "in New York till Sunday"; None for any other."""
    line = places.fold(text).strip(" .!?")
    return ("zone", HOW_LONG.sub("", line[3:].lstrip(" :="))) if line.startswith("in ") else None


# Medicines that hold the heart rate down, by their international names: the WHO's ATC groups C07 (beta blocking
# agents) and C08D (diltiazem, verapamil); the list from memory.
RATE_LIMITING = (
    "acebutolol", "atenolol", "betaxolol", "bisoprolol", "carteolol", "carvedilol", "celiprolol", "esmolol",
    "labetalol", "metoprolol", "nadolol", "nebivolol", "oxprenolol", "penbutolol", "pindolol", "propranolol", "sotalol",
    "timolol", "diltiazem", "verapamil",
)  # fmt: skip
# Facts told in a sentence that belong to a setting; what they would set is shown back before it holds.
FACTS = (
    (re.compile(r"\b(pregnant|expecting (a|our) (baby|child)|had (a|my|our) baby|gave birth)\b"), "pregnancy"),
    (re.compile(rf"\b(beta[ -]?blockers?|{'|'.join(RATE_LIMITING)})\b"), "medicine"),
)
OVER = re.compile(r"\b(no longer|not|never|stopped|off|without)\b")
SOMEBODY_ELSE = re.compile(
    r"\b(?:(?:my|our) )?(wife|husband|partner|mum|mom|mother|dad|father|sister|brother|friend|daughter|son|colleague|"
    r"neighbour|neighbor|he|she|they)\b"
)
EVENT = re.compile(r"\b(half[ -]?marathon|marathon|5 ?k|10 ?k|ten miler|race)\b")


def told_fact(text: str, today: date) -> tuple[str, str] | None:
    """The setting that a sentence is about, and its value: medicine, pregnancy, an event on a coming day."""
    line = places.fold(text)
    if SOMEBODY_ELSE.search(line):
        return None
    for pattern, key in FACTS:
        if pattern.search(line):
            return key, "no" if OVER.search(line) else "yes"
    event, days = EVENT.search(line), read_days(text, today)
    return ("event", f"{days[0].isoformat()} {event[0]}") if event and days and days[0] > today else None


def is_setting(book: Book, key: str, value: str) -> bool:
    """Whether `value` can be read as the setting `key`: then the line is no log, whatever numbers it holds."""
    pattern = value.partition(" from ")[0] if key == "days" else value
    return bool(value) and intake.read_answer(key, pattern, book.answers) is not None


def setting_asked(book: Book, heard: Heard, key: str, value: str) -> Answer:
    """A changed setting, shown back and confirmed before it holds; without a value its question is asked."""
    if not value:
        prompt = words.question(key, book.answers)
        after = ask(book, heard, Ask.SETTING, prompt.text, detail=key)
        asked = after.book.asked
        token = asked.token if asked else ""
        buttons = tuple(
            Button(button.label, Reply(token, button.action.chosen))
            for button in prompt.buttons
            if isinstance(button.action, Reply)
        )
        return replace(after, says=(replace(after.says[0], buttons=buttons),))
    today = book.today(heard.now)
    pattern, begins, when = value.partition(" from ")
    start = next(iter(read_days(when, today)), today) if key == "days" and begins else today
    if start > today:
        value = pattern
    read = intake.read_answer(key, value, book.answers)
    if read is None:
        return ask(book, heard, Ask.SETTING, pages.setting_example(key, words.PROMPTS[key].example), detail=key)
    choices = (("Yes", Agreed(True)), ("No", Agreed(False)))
    if start > today:
        text = f"{pages.setting_confirm(key, '', read)[:-1]} from {short_day(start)} on?"
        return ask(book, heard, Ask.SETTING, text, choices, detail=f"{intake.DAYS_LATER}={start.isoformat()} {read}")
    old = book.answers.get(key, "")
    if read == old:
        return say(book, pages.setting_same(key, read))
    return ask(book, heard, Ask.SETTING, pages.setting_confirm(key, old, read), choices, detail=f"{key}={read}")


def read_setting(book: Book, detail: str, text: str) -> Chosen | None:
    """A line in answer to a setting that was shown back, or whose value was asked for; None where it is neither."""
    key, shown, _ = detail.partition("=")
    if shown:
        agreed = read_yes_no(text)
        return None if agreed is None else Agreed(agreed)
    value = intake.read_answer(key, text, book.answers)
    return None if value is None else ChosenValue(value)


def setting_answered(book: Book, heard: Heard, detail: str, chosen: Chosen) -> Answer | None:
    """The runner's word on a changed setting, or its value; None for the answer to another question."""
    key, shown, value = detail.partition("=")
    match chosen:
        case Agreed(False) if shown:
            return say(replace(book, asked=None), pages.setting_kept("days" if key == intake.DAYS_LATER else key))
        case Agreed(True) if shown:
            return _set(replace(book, asked=None), heard, key, value)
        case ChosenValue(text) if not shown and (told := intake.read_answer(key, text, book.answers)) is not None:
            return _set(replace(book, asked=None), heard, key, told)
        case _:
            return None


FAR_ZONES = timedelta(hours=5)  # house: from here on the first run is easy, at most 30 min, not on the arrival day
FIRST_RUN_FAR = 30
FIRST_RUN_WITHIN = 7  # days from the arrival on that the first run is looked for; house


def _after_the_flight(book: Book, heard: Heard, before: str) -> Book:
    """After five zones or more: no run on the arrival day, and at most 30 minutes for the first run after it."""
    if not isinstance(book.standing, Training | Walking):
        return book  # nothing is planned that could be shortened
    here, there = (heard.now.astimezone(ZoneInfo(zone)).utcoffset() for zone in (book.profile.zone, before))
    if here is None or there is None or abs(here - there) < FAR_ZONES:
        return book
    today = book.today(heard.now)
    coming = (today + timedelta(days=n) for n in range(FIRST_RUN_WITHIN))
    asked = (DayLimit(day, FIRST_RUN_FAR if day > today else 0, LimitReason.FLIGHT) for day in coming)
    # It only ever takes: a day that is closed, or holds less, stays as it is.
    return with_limits(book, tuple(each for each in asked if open_on(book, each.day) > each.minutes))


def _set(book: Book, heard: Heard, key: str, value: str) -> Answer:
    before = book.profile
    answers = {**book.answers, key: value}
    if key == intake.DAYS_LATER:
        day, _, days = value.partition(" ")
        return say(replace(book, answers=answers), f"Noted: {days} from {short_day(date.fromisoformat(day))} on.")
    if key == "days":
        answers["long_day"] = intake.long_day_in(value, answers.get("long_day", ""))
    profile = intake.profile(answers)
    after = replace(book, answers=answers, profile=profile)
    today = after.today(heard.now)
    said = f"{pages.SETTING_NAMES[key].capitalize()}: {pages.shown(key, value)}."
    if key in {"disease", "signs", "pregnancy", "medicine", "active"}:
        wanted = intake.standing_after(profile, heard.now)
        if isinstance(wanted, Walking) and isinstance(after.standing, Training):
            after = planner.relay(replace(after, standing=wanted), today)
            return say(after, f"{said} {pages.WALKING_FIRST}")
        return say(after, f"{said} {pages.MEDICINE_TOO}" if key == "medicine" and profile.medicine else said)
    if key == "zone" and profile.zone != before.zone:
        place = places.zone_of(value)
        choices = ((places.country_name(place[1]), ChosenValue(place[1])),) if place and place[1] else ()
        here = after
        after = _after_the_flight(here, heard, before.zone)
        flown = (pages.FIRST_RUN_FAR,) if after.limits != here.limits else ()
        # Until it is answered the country counts as unknown: the number is never guessed from the zone.
        after = replace(after, answers={**answers, "country": ""}, profile=replace(profile, country=""))
        after, replanned = replan(after, heard)
        changed = replan_lines(replanned, after.today(heard.now), after_run=True)
        text = "\n".join([said, *flown, *changed, pages.COUNTRY_TOO])
        return ask(after, heard, Ask.SETTING, text, choices, detail="country")
    if key == "event":
        weeks = planner.forecast(after, today, planner.SEASON_WEEKS)
        return say(after, "\n".join([said, *event_lines(after, weeks)]))
    if key not in LAYS_THE_WEEK or isinstance(book.standing, Joining):
        return say(after, said)
    after = planner.relay(after, today)
    after, replanned = replan(after, heard)
    if replanned is not None:
        coming = tuple(s for s in book.plan if s.day >= replanned.first_day)
        replanned = replace(replanned, before=coming)
    return say(after, with_plan(said, after, today, replanned))
