"""A setting changed later: shown back, confirmed, and what follows from it for the plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from nudgebot.domain.dialogue.settings import wishes
from nudgebot.domain.dialogue.values import Answer, Heard, ask, replan, say, with_intake, with_limits
from nudgebot.domain.messages import settings as words
from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.common import short_day
from nudgebot.domain.messages.health import complaints as condition_words
from nudgebot.domain.messages.health.complaints import YES_NO
from nudgebot.domain.messages.plan.changes import event_lines, with_plan
from nudgebot.domain.messages.plan.lines import replan_lines
from nudgebot.domain.model.actions import Agreed, Chosen, ChosenValue, Reply
from nudgebot.domain.model.event import events_ahead, with_event
from nudgebot.domain.model.intake import DatedEvent, Intake
from nudgebot.domain.model.nudged import AS_USUAL
from nudgebot.domain.model.parameters import EVENT_SHAPES, FLIGHT_DAYS, FLIGHT_RUN, FLIGHT_ZONES
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.model.runner import Book, DayLimit, Joining, LimitReason, Training, Walking
from nudgebot.domain.model.speech import Button
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.gap import open_on
from nudgebot.domain.profile import answer_readers, intake, places
from nudgebot.domain.profile.intake_codec import text_of, with_answer
from nudgebot.domain.text.reply import read_days, read_yes_no
from nudgebot.domain.text.sayings import whereabouts_in

HEALTH = frozenset({"disease", "doctor_knows", "signs", "pregnancy", "medicine", "active"})
ASKS_FOR_CLINICIAN = {"disease": "yes", "signs": "yes", "pregnancy": "yes", "doctor_knows": "no"}
# Settings that lay the week out again; the others change when something is sent, or nothing at all.
LAYS_THE_WEEK = frozenset({"goal", "days", "long_day", "zone"})


def change_place(book: Book, heard: Heard) -> Answer | None:
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
    return None if same and told.for_a_time else ask_setting(book, heard, "zone", told.place)


def ask_setting(book: Book, heard: Heard, key: str, value: str) -> Answer:
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
        return after.with_first(buttons=buttons)
    pattern, begins, when = value.partition(" from ")
    if key == "days" and begins:  # typed: "days tue 45, thu 45 from March on"
        start = next(iter(read_days(when, book.today(heard.now))), None)
        return ask_days(book, heard, pattern if start is not None else value, start)
    return _show_back(book, heard, key, value)


def ask_days(book: Book, heard: Heard, days: str, start: date | None) -> Answer:
    """The days of the week, shown back and confirmed before they hold; from `start` on, None for today."""
    if start is None or start <= book.today(heard.now):
        return _show_back(book, heard, "days", days)
    read = intake.read_answer("days", days, book.intake)
    if read is None:
        return _show_back(book, heard, "days", days)
    text = f"{words.ask_to_confirm('days', '', read)[:-1]} from {short_day(start)} on?"
    return ask(book, heard, Ask.SETTING, text, YES_NO, detail=f"{intake.DAYS_LATER}={start.isoformat()} {read}")


def _show_back(book: Book, heard: Heard, key: str, value: str) -> Answer:
    read = intake.read_answer(key, value, book.intake)
    if read is None:
        example = words.prompts()[key].example
        return ask(book, heard, Ask.SETTING, words.say_unreadable(key, example), detail=key)
    old = text_of(book.intake, key)
    if read == old:
        return say(book, words.say_same(key, read))
    both = key == "event" and old and book.intake.event in events_ahead(with_setting(book, heard, key, read))
    text = words.ask_to_keep_both(old, read) if both else words.ask_to_confirm(key, old, read)
    return ask(book, heard, Ask.SETTING, text, YES_NO, detail=f"{key}={read}")


def read_answer(book: Book, detail: str, text: str) -> Chosen | None:
    """A line in answer to a setting that was shown back, or whose value was asked for; None if it is neither."""
    key, shown, _ = detail.partition("=")
    if shown:
        agreed = read_yes_no(text)
        return None if agreed is None else Agreed(agreed)
    value = intake.read_answer(key, text, book.intake)
    return None if value is None else ChosenValue(value)


def take_answer(book: Book, heard: Heard, detail: str, chosen: Chosen) -> Answer | None:
    """The runner's word on a changed setting, or its value; None for the answer to another question."""
    key, shown, value = detail.partition("=")
    match chosen:
        case Agreed(False) if shown:
            return say(replace(book, asked=None), words.say_kept("days" if key == intake.DAYS_LATER else key))
        case Agreed(True) if shown:
            return apply_setting(replace(book, asked=None), heard, key, value)
        case ChosenValue(text) if not shown and (told := intake.read_answer(key, text, book.intake)) is not None:
            return apply_setting(replace(book, asked=None), heard, key, told)
        case _:
            return None


def _shorten_after_flight(book: Book, heard: Heard, before: str) -> Book:
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


def with_setting(book: Book, heard: Heard, key: str, value: str) -> Intake:
    """What was told, with one setting's canonical value; an event stands beside those that are ahead already."""
    told = with_answer(book.intake, key, value)
    return with_event(book.intake, told.event, book.today(heard.now)) if key == "event" and told.event else told


def apply_setting(book: Book, heard: Heard, key: str, value: str) -> Answer:
    """The setting `key` holds from now on: its canonical `value`, with what follows from it for the plan."""
    told = with_setting(book, heard, key, value)
    if key == intake.DAYS_LATER:
        later = told.days_later
        on = later and f"Noted: {answer_readers.days_text(later.days)} from {short_day(later.start)} on."
        return say(replace(book, intake=told), on or small_talk.NOT_NOW)
    if key == "days" and told.days is not None:
        told = replace(told, long_day=intake.long_day_in(told.days, told.long_day))
    after = with_intake(book, told)
    said = f"{words.SETTING_NAMES[key].capitalize()}: {words.show_answer(key, value)}."
    if key == wishes.SETTING:
        return wishes.set_wish(book, heard, told.nudges or AS_USUAL)
    if key in {"remind_at", "run_time"}:
        return wishes.ask_if_clash(after, heard, said)
    if key in HEALTH:
        return _apply_health(after, heard, key, said)
    if key == "zone" and after.profile.zone != book.profile.zone:
        return _apply_move(book, after, heard, said)
    if key == "event":
        today = after.today(heard.now)
        weeks = planner.forecast(after, today, planner.SEASON_WEEKS)
        after, replanned = lay_around_event(after, heard)
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


def lay_around_event(
    book: Book, heard: Heard, event: DatedEvent | None = None
) -> tuple[Book, planner.Replanned | None]:
    """The book with this week laid out again where an event, its own or one that is taken off, is near."""
    near, today = event or book.intake.event, book.today(heard.now)
    if near is None or near.day - today > EVENT_SHAPES.span:
        return book, None
    return replan(planner.relay(book, today), heard)


def _apply_health(book: Book, heard: Heard, key: str, said: str) -> Answer:
    """A fact of health was told: it may ask for a clinician first."""
    value = text_of(book.intake, key)
    if value == ASKS_FOR_CLINICIAN.get(key):
        # A clearance given before was given without it.
        book = replace(book, intake=replace(book.intake, cleared=None))
        if isinstance(book.standing, Training):
            wanted = intake.standing_after(book.profile, heard.now)
            after = planner.relay(replace(book, standing=wanted), book.today(heard.now))
            why = condition_words.DOCTOR_UNAWARE if key == "doctor_knows" else words.WALKING_FIRST
            return say(after, f"{said} {why}")
    if key == "doctor_knows":
        return say(book, condition_words.answer_doctor_knows(value))
    return say(book, f"{said} {words.MEDICINE_TOO}" if key == "medicine" and book.profile.medicine else said)


def _apply_move(before: Book, here: Book, heard: Heard, said: str) -> Answer:
    """The clock of another place: a far one shortens the first run, and the country is asked for."""
    place = places.zone_of(here.profile.zone)
    choices = ((places.country_name(place[1]), ChosenValue(place[1])),) if place and place[1] else ()
    after = _shorten_after_flight(here, heard, before.profile.zone)
    flown = (words.FIRST_RUN_FAR,) if after.limits != here.limits else ()
    # Until it is answered the country counts as unknown: the number is never guessed from the zone.
    after = replace(after, intake=replace(after.intake, country=""), profile=replace(after.profile, country=""))
    after, replanned = replan(after, heard)
    changed = replan_lines(replanned, after.today(heard.now), after_run=True)
    text = "\n".join([said, *flown, *changed, words.COUNTRY_TOO])
    return ask(after, heard, Ask.SETTING, text, choices, detail="country")
