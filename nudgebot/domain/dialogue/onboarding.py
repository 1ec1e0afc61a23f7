"""The intake as a conversation, and settings changed later: the same questions, the same answers."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from nudgebot.domain.dialogue import illness, wishes
from nudgebot.domain.dialogue.values import Answer, Heard, ask, replan, say, standing_when_well, with_limits
from nudgebot.domain.messages import conditions as condition_words
from nudgebot.domain.messages import intake as words
from nudgebot.domain.messages import pages, safety
from nudgebot.domain.messages.changes import with_plan
from nudgebot.domain.messages.common import short_day
from nudgebot.domain.messages.event import event_lines
from nudgebot.domain.messages.health import YES_NO
from nudgebot.domain.messages.illness import FIRST_WHEN_WELL
from nudgebot.domain.messages.plan import first_plan, next_line, replan_lines
from nudgebot.domain.model.actions import Agreed, Chosen, ChosenValue, Open, Page, Reply
from nudgebot.domain.model.event import events_ahead, kilometres, with_event
from nudgebot.domain.model.intake import NOTHING_TOLD, DatedEvent, Intake
from nudgebot.domain.model.parameters import EVENT_SHAPES, FLIGHT_DAYS, FLIGHT_RUN, FLIGHT_ZONES
from nudgebot.domain.model.runner import Ask, Book, DayLimit, Ill, Joining, LimitReason, Training, Walking
from nudgebot.domain.model.speech import Button, Say
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.profile import answer_readers, conditions, intake, places
from nudgebot.domain.profile.intake_codec import text_of, with_answer, without_answer
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import read_days, read_yes_no
from nudgebot.domain.text.short_lines import whereabouts_in

# Settings that lay the week out again; the others change when something is sent, or nothing at all.
HEALTH = frozenset({"disease", "doctor_knows", "signs", "pregnancy", "medicine", "active"})
ASKS_FOR_CLINICIAN = {"disease": "yes", "signs": "yes", "pregnancy": "yes", "doctor_knows": "no"}
LAYS_THE_WEEK = frozenset({"goal", "days", "long_day", "zone"})


def first_question(book: Book) -> Answer:
    """The question where the intake stands."""
    asks = intake.next_question(book.intake) or "adult"
    return Answer(book, (_question(book, asks),))


def answered(book: Book, heard: Heard) -> Answer:
    """One line to the question that is open: kept and the next one asked, or asked again with an example."""
    asks = intake.next_question(book.intake) or "adult"
    match heard.action:
        case Reply(_, ChosenValue(told)):
            pass
        case _:
            told = heard.text
    if told.strip().casefold().strip("/.") == intake.BACK:
        return one_back(book)
    read = intake.read_answer(asks, words.value_of(asks, told), book.intake)
    if read is None:
        first_word = book.intake == NOTHING_TOLD and book.runner.joined_at == heard.at
        return Answer(book, (_question(book, asks, wrong=not first_word),))
    if asks == "adult" and read == "no":
        return Answer(book, (Say(words.NOT_ADULT),), erase=True)
    intake_after = with_answer(book.intake, asks, read)
    if asks == "zone" and (place := answer_readers.place_in(told)) is not None:
        intake_after = replace(intake_after, country_guess=place[1])
    after = replace(book, intake=intake_after, profile=intake.profile(intake_after))
    following = went_on(after, heard)
    if asks == "doctor_knows":
        return replace(following, says=(Say(condition_words.doctor_knows(read)), *following.says))
    return following


def went_on(book: Book, heard: Heard) -> Answer:
    """The next question of the intake, or the plan where it is complete."""
    following = intake.next_question(book.intake)
    if following is not None:
        return Answer(book, (_question(book, following),))
    return _resumed(book, heard) if book.weeks else _begun(book, heard)


def _resumed(book: Book, heard: Heard) -> Answer:
    """The plan goes on that an interrupted question had paused."""
    today = book.today(heard.now)
    after = planner.return_after(replace(book, standing=standing_when_well(book, heard.now)), today)
    return say(after, next_line(after, today), Button("The week", Open(Page.WEEK)))


def _begun(book: Book, heard: Heard) -> Answer:
    told = replace(book.intake, country_guess=None)
    profile = intake.profile(told)
    after = replace(book, intake=told, profile=profile)
    after = replace(after, standing=standing_when_well(after, heard.now))
    today = after.today(heard.now)
    after = planner.begin(after, today, planner.today_closed(profile, after.local(heard.now)))
    after = illness.after_joining(after, today)
    buttons = (Button("The week", Open(Page.WEEK)), Button("When to stop", Open(Page.SAFETY)))
    caution = " ".join([safety.caution(), *condition_words.carried(told, profile.country)])
    if isinstance(after.standing, Ill):
        return Answer(after, (Say(f"{FIRST_WHEN_WELL}\n{caution}", buttons=buttons),))
    return Answer(after, (Say(first_plan(after, today, caution), buttons=buttons),))


def one_back(book: Book) -> Answer:
    """The question before, asked again."""
    last = intake.question_before(book.intake)
    if last is None:
        return first_question(book)
    told = without_answer(book.intake, last)
    after = replace(book, intake=told, profile=intake.profile(told))
    return Answer(after, (_question(after, last),))


def _question(book: Book, asks: str, *, wrong: bool = False) -> Say:
    guess = book.intake.country_guess or ""
    return words.question(asks, book.intake, name=book.runner.name, wrong=wrong, guess=guess)


# Names by which a line can begin a change of setting, the longest last.
_SETTINGS = dict(
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
        ),
        key=lambda pair: len(pair[0]),
    )
)
_SETTING_NAMED = re.compile(rf"(?:{'|'.join(map(re.escape, reversed(_SETTINGS)))})(?=[ :]|\Z)")


SHARED = re.compile(r"\s*location\s+-?\d")  # a place as a voice hands it on


def setting_in(text: str) -> tuple[str, str] | None:
    """A setting's id and what the line says it should be ("" if it names the setting alone)."""
    if SHARED.match(text):
        return "zone", text.strip()
    line = re.sub(r"^(?:please\s+)?(?:/?(?:set|change|settings?)\s+)?(?:my\s+)?", "", squeezed(text).strip(" .!?"))
    named = _SETTING_NAMED.match(line)
    if named is None:
        return None
    return _SETTINGS[named[0]], re.sub(r"^(?:to|is|at|=)\s+", "", line[named.end() :].lstrip(" :="))


def place_told(book: Book, heard: Heard) -> Answer | None:
    """The answer to a line that says where one is and nothing else: "in New York till Sunday"; None for any other.

    Who is back somewhere on days away, or where the clock is the same, says that the pause is over, or where it is.
    """
    told = whereabouts_in(heard.text)
    zone = None if told is None else places.zone_of(told.place)
    if told is None or zone is None:
        return None
    same = zone[0] == book.profile.zone
    if told.back and (same or any(limit.reason is LimitReason.AWAY for limit in book.limits)):
        return None
    return None if same and told.for_a_time else setting_asked(book, heard, "zone", told.place)


# Medicines that hold the heart rate down, by their international names: the WHO's ATC groups C07 (beta blocking
# agents) and C08D (diltiazem, verapamil), seen at atcddd.fhi.no; the names in them from memory.
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
EVENT = re.compile(
    r"\b(half[ -]?marat(?:h?on|hon)|halbmarathon|semi-?marathon|media maraton|meia maratona|marat(?:h?on|ona)|"
    r"\d{1,2} ?k|\d{1,2} ?(?:km|miles?|milers?) (?:race|event|fun run)|ten miler|fun run|race|volkslauf|wettkampf|"
    r"carrera popular|prova)\b"
)


def told_fact(text: str, today: date) -> tuple[str, str] | None:
    """The setting that a sentence is about, and its value: medicine, pregnancy, an event on a coming day."""
    line = squeezed(text)
    if SOMEBODY_ELSE.search(line) or conditions.somebody_elses(text):
        return None
    for pattern, key in FACTS:
        if pattern.search(line):
            return key, "no" if OVER.search(line) else "yes"
    named, days = EVENT.findall(line), read_days(text, today)
    # "race ... half marathon": the distance says more.
    event = next((each for each in named if kilometres(each)), named[0] if named else "")
    return ("event", f"{days[0].isoformat()} {event}") if event and days and days[0] > today else None


def is_setting(book: Book, key: str, value: str) -> bool:
    """Whether `value` can be read as the setting `key`: then the line is no log, whatever numbers it holds."""
    pattern = value.partition(" from ")[0] if key == "days" else value
    return bool(value) and intake.read_answer(key, pattern, book.intake) is not None


def setting_asked(book: Book, heard: Heard, key: str, value: str) -> Answer:
    """A changed setting, shown back and confirmed before it holds; without a value its question is asked."""
    if not value:
        prompt = words.question(key, book.intake)
        after = ask(book, heard, Ask.SETTING, prompt.text, detail=key)
        asked = after.book.asked
        token = asked.token if asked else ""
        buttons = tuple(
            Button(button.label, Reply(token, button.action.chosen))
            for button in prompt.buttons
            if isinstance(button.action, Reply)
        )
        return replace(after, says=(replace(after.says[0], buttons=buttons),))
    pattern, begins, when = value.partition(" from ")
    if key == "days" and begins:  # typed: "days tue 45, thu 45 from March on"
        start = next(iter(read_days(when, book.today(heard.now))), None)
        return days_asked(book, heard, pattern if start is not None else value, start)
    return _shown_back(book, heard, key, value)


def days_asked(book: Book, heard: Heard, days: str, start: date | None) -> Answer:
    """The days of the week, shown back and confirmed before they hold; from `start` on, None for today."""
    if start is None or start <= book.today(heard.now):
        return _shown_back(book, heard, "days", days)
    read = intake.read_answer("days", days, book.intake)
    if read is None:
        return _shown_back(book, heard, "days", days)
    text = f"{pages.setting_confirm('days', '', read)[:-1]} from {short_day(start)} on?"
    return ask(book, heard, Ask.SETTING, text, YES_NO, detail=f"{intake.DAYS_LATER}={start.isoformat()} {read}")


def _shown_back(book: Book, heard: Heard, key: str, value: str) -> Answer:
    read = intake.read_answer(key, value, book.intake)
    if read is None:
        return ask(book, heard, Ask.SETTING, pages.setting_example(key, words.PROMPTS[key].example), detail=key)
    old = text_of(book.intake, key)
    if read == old:
        return say(book, pages.setting_same(key, read))
    if key == "event" and book.intake.event in events_ahead(with_told(book, heard, key, read)) and old:
        return ask(book, heard, Ask.SETTING, pages.event_beside(old, read), YES_NO, detail=f"{key}={read}")
    return ask(book, heard, Ask.SETTING, pages.setting_confirm(key, old, read), YES_NO, detail=f"{key}={read}")


def read_setting(book: Book, detail: str, text: str) -> Chosen | None:
    """A line in answer to a setting that was shown back, or whose value was asked for; None if it is neither."""
    key, shown, _ = detail.partition("=")
    if shown:
        agreed = read_yes_no(text)
        return None if agreed is None else Agreed(agreed)
    value = intake.read_answer(key, text, book.intake)
    return None if value is None else ChosenValue(value)


def setting_answered(book: Book, heard: Heard, detail: str, chosen: Chosen) -> Answer | None:
    """The runner's word on a changed setting, or its value; None for the answer to another question."""
    key, shown, value = detail.partition("=")
    match chosen:
        case Agreed(False) if shown:
            return say(replace(book, asked=None), pages.setting_kept("days" if key == intake.DAYS_LATER else key))
        case Agreed(True) if shown:
            return set_to(replace(book, asked=None), heard, key, value)
        case ChosenValue(text) if not shown and (told := intake.read_answer(key, text, book.intake)) is not None:
            return set_to(replace(book, asked=None), heard, key, told)
        case _:
            return None


def _after_the_flight(book: Book, heard: Heard, before: str) -> Book:
    """After five zones or more: no run on the arrival day, and at most 30 minutes for the first run after it."""
    if not isinstance(book.standing, Training | Walking):
        return book  # nothing is planned that could be shortened
    here, there = (heard.now.astimezone(ZoneInfo(zone)).utcoffset() for zone in (book.profile.zone, before))
    if here is None or there is None or abs(here - there) < timedelta(hours=FLIGHT_ZONES.value):
        return book
    today = book.today(heard.now)
    coming = (today + timedelta(days=n) for n in range(FLIGHT_DAYS.value))
    asked = (DayLimit(day, FLIGHT_RUN.value if day > today else 0, LimitReason.FLIGHT) for day in coming)
    # It only ever takes: a day that is closed, or holds less, stays as it is.
    return with_limits(book, tuple(each for each in asked if open_on(book, each.day) > each.minutes))


def with_told(book: Book, heard: Heard, key: str, value: str) -> Intake:
    """What was told, with one setting's canonical value; an event stands beside those that are ahead already."""
    told = with_answer(book.intake, key, value)
    return with_event(book.intake, told.event, book.today(heard.now)) if key == "event" and told.event else told


def set_to(book: Book, heard: Heard, key: str, value: str) -> Answer:
    """The setting `key` holds from now on: its canonical `value`, with what follows from it for the plan."""
    told = with_told(book, heard, key, value)
    if key == intake.DAYS_LATER:
        later = told.days_later
        on = (
            f"Noted: {answer_readers.days_text(later.days)} from {short_day(later.start)} on."
            if later
            else pages.NOT_NOW
        )
        return say(replace(book, intake=told), on)
    if key == "days" and told.days is not None:
        told = replace(told, long_day=intake.long_day_in(told.days, told.long_day))
    after = replace(book, intake=told, profile=intake.profile(told))
    said = f"{pages.SETTING_NAMES[key].capitalize()}: {pages.shown(key, value)}."
    if key == wishes.SETTING:
        return wishes.set_to(book, heard, value)
    if key in {"remind_at", "run_time"}:
        return wishes.clash(after, heard, said)
    if key in HEALTH:
        return _after_health(after, heard, key, said)
    if key == "zone" and after.profile.zone != book.profile.zone:
        return _after_a_move(book, after, heard, said)
    if key == "event":
        today = after.today(heard.now)
        weeks = planner.forecast(after, today, planner.SEASON_WEEKS)
        after, replanned = laid_around(after, heard)
        changed = replan_lines(replanned, today, after_run=True)
        return say(after, "\n".join([*(event_lines(after, weeks) or [said]), *changed]))
    if key not in LAYS_THE_WEEK or isinstance(book.standing, Joining):
        return say(after, said)
    today = after.today(heard.now)
    after, replanned = replan(planner.relay(after, today), heard)
    if replanned is not None:
        coming = tuple(s for s in book.plan if s.day >= replanned.first_day)
        replanned = replace(replanned, before=coming)
    return say(after, with_plan(said, after, today, replanned))


def laid_around(book: Book, heard: Heard, event: DatedEvent | None = None) -> tuple[Book, planner.Replanned | None]:
    """The book with this week laid out again where an event, its own or one that is taken off, is near."""
    near, today = event or book.intake.event, book.today(heard.now)
    if near is None or near.day - today > EVENT_SHAPES.span:
        return book, None
    return replan(planner.relay(book, today), heard)


def _after_health(book: Book, heard: Heard, key: str, said: str) -> Answer:
    """A fact of health was told: it may ask for a clinician first."""
    value = text_of(book.intake, key)
    if value == ASKS_FOR_CLINICIAN.get(key):
        # A clearance given before was given without it.
        book = replace(book, intake=replace(book.intake, cleared=None))
        if isinstance(book.standing, Training):
            wanted = intake.standing_after(book.profile, heard.now)
            after = planner.relay(replace(book, standing=wanted), book.today(heard.now))
            why = condition_words.DOCTOR_UNAWARE if key == "doctor_knows" else pages.WALKING_FIRST
            return say(after, f"{said} {why}")
    if key == "doctor_knows":
        return say(book, condition_words.doctor_knows(value))
    return say(book, f"{said} {pages.MEDICINE_TOO}" if key == "medicine" and book.profile.medicine else said)


def _after_a_move(before: Book, here: Book, heard: Heard, said: str) -> Answer:
    """The clock of another place: a far one shortens the first run, and the country is asked for."""
    place = places.zone_of(here.profile.zone)
    choices = ((places.country_name(place[1]), ChosenValue(place[1])),) if place and place[1] else ()
    after = _after_the_flight(here, heard, before.profile.zone)
    flown = (pages.FIRST_RUN_FAR,) if after.limits != here.limits else ()
    # Until it is answered the country counts as unknown: the number is never guessed from the zone.
    after = replace(after, intake=replace(after.intake, country=""), profile=replace(after.profile, country=""))
    after, replanned = replan(after, heard)
    changed = replan_lines(replanned, after.today(heard.now), after_run=True)
    text = "\n".join([said, *flown, *changed, pages.COUNTRY_TOO])
    return ask(after, heard, Ask.SETTING, text, choices, detail="country")
