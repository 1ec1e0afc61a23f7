"""What a coach asks and does: the roster, one runner, notes, settings. Pure; the caller carries it out.

The caller has asked `rights` whether the command may be said, and hands over the coach's own group: nobody else
can be found in it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from nudgebot.domain.dialogue.values import Heard, replan, with_intake
from nudgebot.domain.messages.group import coach as pages
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.messages.group import roster as pages_of_roster
from nudgebot.domain.messages.group.roster import sheet_caption
from nudgebot.domain.model import intake
from nudgebot.domain.model.actions import Decline, ShowSheet
from nudgebot.domain.model.intake import COACH_SETTING_BY_WORD, CoachSetting, Intake
from nudgebot.domain.model.runner import Book, Training, Walking
from nudgebot.domain.model.speech import Button, Picture, Say
from nudgebot.domain.overview.group import Group, Member, find, roster
from nudgebot.domain.overview.group_report import sheet
from nudgebot.domain.overview.names import shown_name
from nudgebot.domain.planning import planner
from nudgebot.domain.text.line.parsed_line import line_of

SET = re.compile(
    r"(?P<name>\S.*?)\s+(?P<word>[a-z]+)\s+(?:(?P<value>[0-9]{1,3})\s*(?:%|min)?|(?P<usual>usual|off|back))",
    re.IGNORECASE | re.DOTALL,
)
NOTE_OF_NUMBER = re.compile(r"(?P<number>[0-9]{1,3})\s+(?P<text>\S.*)", re.DOTALL)
LONGEST_NOTE = 500  # characters


@dataclass(frozen=True, slots=True)
class Desk:
    """Where a coach works: their own book, and their group with its books brought up to now."""

    me: Book
    group: Group

    @property
    def name(self) -> str:
        """The coach, as runners read it."""
        return shown_name(self.me.runner)

    def label(self, member: Member) -> str:
        """A runner, as this coach reads it."""
        return self.group.labels[member.id]


@dataclass(frozen=True, slots=True)
class Post:
    """One message to somebody else; `until_back`: whoever said stop gets it once they write again."""

    to: Book
    say: Say
    until_back: bool = False


@dataclass(frozen=True, slots=True)
class NoteChange:
    """A note about the runner of that number: a new one, or the one of number `place` anew; without text it goes."""

    about: int
    text: str
    place: int = 0


@dataclass(frozen=True, slots=True)
class Done:
    """What becomes of a coach's line: the coach's book, what to say to the coach, and what it does to others."""

    me: Book
    says: tuple[Say, ...]
    changed: tuple[Book, ...] = ()
    posts: tuple[Post, ...] = ()
    note: NoteChange | None = None
    removed: int = 0  # who is taken out of the group
    sent: tuple[str, ...] | None = None  # a message went out; who asked for silence, and got none


class Declined(NamedTuple):
    """What becomes of a runner's no: their book, the row it is about, and what the word after it asked for."""

    book: Book
    row: CoachSetting


def decline(book: Book, heard: Heard, wanted: Decline) -> Declined | None:
    """The runner's book with what the coach set taken back; None if that is not what is set."""
    row = COACH_SETTING_BY_WORD.get(wanted.word.strip().casefold())
    value = None if row is None else intake.coach_value(book.intake, row)
    if row is None or (value is None and not wanted.for_good) or wanted.value not in {None, value}:
        return None
    told = intake.without_coach_values(book.intake, frozenset({row.word}))
    if wanted.for_good:
        told = intake.barred(told, row, on=True)
    return Declined(_apply_intake(book, told, heard, at_once=row.at_once and value is not None), row)


def allow(book: Book, word: str) -> Declined | None:
    """The runner's book with what was declined for good free to be set again; None if nothing was."""
    row = COACH_SETTING_BY_WORD.get(word.casefold())
    if row is None or not intake.is_barred(book.intake, row):
        return None
    return Declined(replace(book, intake=intake.barred(book.intake, row, on=False)), row)


def without_coach(book: Book, heard: Heard) -> Book:
    """The book of a runner who has no coach any more: what the coach set goes with the coach."""
    told = replace(intake.without_coach_values(book.intake), coach_not=None)
    return book if told == book.intake else _apply_intake(book, told, heard, at_once=True)


def say_to_coach(desk: Desk, text: str, *buttons: Button, about: Iterable[Member] = ()) -> Done:
    """A line to the coach that names the runners in `about`."""
    named = (*(member.id for member in about), *desk.group.titled)
    return Done(desk.me, (Say(text, buttons=buttons, about=named),))


def show_roster(desk: Desk, heard: Heard, rest: str) -> Done:
    """Everybody on one screen; with "picture", on sheets."""
    word, _, page = rest.casefold().partition(" ")
    if word == "picture":
        return show_sheet(desk, heard, page)
    if not desk.group.members:
        return say_to_coach(desk, words.EMPTY)
    text = pages_of_roster.roster(
        roster(desk.group, heard.now), desk.group.labels, desk.me.today(heard.now), desk.group.title
    )
    return say_to_coach(desk, text, words.PICTURE, about=desk.group.members)


def show_sheet(desk: Desk, heard: Heard, page: str) -> Done:
    """The last weeks of the runners on one page of the sheet."""
    if not desk.group.members:
        return say_to_coach(desk, words.EMPTY)
    wanted = int(page) if page.isascii() and page.isdecimal() and len(page) < 4 else 1
    shown = sheet(desk.group, heard.now, desk.me.today(heard.now), wanted, light=bool(desk.me.intake.light_pictures))
    more = (Button("The next page", ShowSheet(shown.page + 1)),) if shown.page < shown.pages else ()
    done = say_to_coach(desk, sheet_caption(shown), *more, about=desk.group.members)
    return replace(done, says=(replace(done.says[0], picture=Picture.GROUP, page=shown.page),))


def show_runner(desk: Desk, heard: Heard, rest: str) -> Done:
    """One runner's weeks and days."""
    return for_one(
        desk, rest, lambda member: _say_of(desk, member, pages.runner_page(member, desk.label(member), heard.now))
    )


def _say_of(desk: Desk, member: Member, text: str, note: NoteChange | None = None) -> Done:
    return replace(say_to_coach(desk, text, about=(member,)), note=note)


def for_one(desk: Desk, name: str, then: Callable[[Member], Done]) -> Done:
    """What `then` makes of the one runner that `name` means; a question where it means none or several."""
    if not name:
        return say_to_coach(desk, words.WHO)
    meant = find(desk.group.members, name)
    return then(meant[0]) if len(meant) == 1 else ask_which_runner(desk, name, meant)


def named_in(desk: Desk, text: str) -> Member | None:
    """The one runner at the desk whose first name is a word of a line; None if none is, or several are."""
    said = {text[token.start : token.end].casefold() for token in line_of(text).tokens}
    meant = [member for member in desk.group.members if said & set(member.name.casefold().split()[:1])]
    return meant[0] if len(meant) == 1 else None


def ask_which_runner(desk: Desk, name: str, meant: Sequence[Member]) -> Done:
    """A name that means none or several of the coach's runners."""
    told = words.ask_which_runner(name, [(desk.label(m), m.id) for m in meant], desk.group.title)
    return say_to_coach(desk, told, about=meant)


def _split(desk: Desk, rest: str) -> tuple[str, str]:
    """The name at the beginning of a line and what follows it; the longest name that somebody has."""
    parts = rest.split()
    for many in range(len(parts), 0, -1):
        name = " ".join(parts[:many]).rstrip(":,")
        if find(desk.group.members, name):
            return name, rest.split(maxsplit=many)[many] if len(parts) > many else ""
    return (parts[0] if parts else ""), ""


def write_note(desk: Desk, _heard: Heard, rest: str) -> Done:
    """A note about one runner, the coach's own: written, shown, changed, or taken away."""
    name, text = _split(desk, rest)

    def noted(member: Member) -> Done:
        label = desk.label(member)
        if not text:
            page = pages.notes_page(label, member) if member.notes else words.NO_NOTES.format(name=label)
            return _say_of(desk, member, page)
        change = NOTE_OF_NUMBER.fullmatch(text)
        if change is None or not member.notes:
            new_note = NoteChange(member.id, text[:LONGEST_NOTE])
            return _say_of(desk, member, words.NOTED.format(name=label), new_note)
        place = int(change["number"])
        if not 1 <= place <= len(member.notes):
            return _say_of(desk, member, words.NOTE_UNKNOWN.format(name=label))
        old = member.notes[place - 1]
        if change["text"].strip(" .!").casefold() in {"delete", "gone", "away", "remove"}:
            return _say_of(desk, member, words.NOTE_GONE.format(text=old.text), NoteChange(member.id, "", old.id))
        new = change["text"][:LONGEST_NOTE]
        text_now = words.NOTE_CHANGED.format(text=new, old=old.text)
        return _say_of(desk, member, text_now, NoteChange(member.id, new, old.id))

    return for_one(desk, name, noted)


def change_setting(desk: Desk, heard: Heard, rest: str) -> Done:
    """A setting of one runner changed inside its bounds, or taken back; with a name alone, what is and may be set."""
    if not rest:
        told = [(desk.label(member), member) for member in desk.group.members]
        return say_to_coach(desk, pages.all_settings(told), about=desk.group.members)
    found = SET.fullmatch(rest)
    row = COACH_SETTING_BY_WORD.get(found["word"].casefold()) if found else None
    if found is None or row is None:
        return for_one(
            desk, rest, lambda member: _say_of(desk, member, pages.settings_page(member, desk.label(member)))
        )
    value = None if found["usual"] else int(found["value"])
    if value is not None and value not in row.values:
        return say_to_coach(desk, pages.say_out_of_bounds(row))
    return for_one(desk, found["name"], lambda member: _set_for(desk, heard, member, row, value))


def _set_for(desk: Desk, heard: Heard, member: Member, row: CoachSetting, value: int | None) -> Done:
    """`row` set for one runner, or with None taken back."""
    label, told = desk.label(member), member.book.intake
    was = intake.coach_value(told, row)
    if value is None and was is None:
        return _say_of(desk, member, pages.settings_page(member, label))
    if value is not None and intake.is_barred(told, row):
        return _say_of(desk, member, pages.say_barred(label, row))
    silent = cannot_be_told(member)
    if value is None:
        told = intake.without_coach_values(told, frozenset({row.word}))
        say = Say(pages.tell_taken_back(desk.name, row, was or 0))
        text = pages.confirm_taken_back(label, row, silent=silent)
    else:
        told = intake.with_coach_value(told, row, value)
        no = Button("Decline", Decline(row.word, value))
        never = Button("Do not set this again", Decline(row.word, value, for_good=True))
        say = Say(pages.tell_set(desk.name, row, value), buttons=(no, never))
        text = pages.confirm_set(label, row, value, silent=silent)
    after = _apply_intake(member.book, told, heard, at_once=row.at_once)
    return replace(_say_of(desk, member, text), changed=(after,), posts=(Post(after, say, until_back=True),))


def cannot_be_told(member: Member) -> bool:
    """Whether a runner said stop, or has shut us out: they hear of it with their next word."""
    return member.book.runner.stopped or not member.book.runner.reachable


def _apply_intake(book: Book, told: Intake, heard: Heard, *, at_once: bool) -> Book:
    """The book with another intake; `at_once`, with its week laid out again where there is one."""
    after = with_intake(book, told)
    if not at_once or not isinstance(book.standing, Training | Walking):
        return after
    after, _ = replan(planner.relay(after, after.today(heard.now)), heard)
    return after
