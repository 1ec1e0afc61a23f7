"""What a coach asks and does: the roster, one runner, notes, settings, messages. Pure; the caller carries it out.

The caller has asked `rights` whether the command may be said, and hands over the coach's own group: nobody else
can be found in it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from nudgebot.domain.dialogue.values import ASKED_EXPIRES, Heard, ask, replan
from nudgebot.domain.messages import coach as pages
from nudgebot.domain.messages import group as words
from nudgebot.domain.messages.group_report import sheet_caption
from nudgebot.domain.model import coach_settings
from nudgebot.domain.model.actions import Agreed, Decline, Reply
from nudgebot.domain.model.coach_settings import BY_WORD, CoachSetting
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.runner import Ask, Book, Ill, OnHold, Training, Walking
from nudgebot.domain.model.speech import Button, Picture, Say
from nudgebot.domain.overview.group import Group, Member, find, roster, shown_name
from nudgebot.domain.overview.group_report import sheet
from nudgebot.domain.planning import planner
from nudgebot.domain.profile import intake
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.reply import read_yes_no

SET = re.compile(r"(?P<name>\S.*?)\s+(?P<word>[a-z]+)\s+(?P<value>\d{1,3})\s*(?:%|min)?", re.IGNORECASE | re.DOTALL)
LONGEST_NOTE = 500  # characters
LONGEST_MESSAGE = 1000


@dataclass(frozen=True, slots=True)
class Desk:
    """Where a coach works: their own book, and their group with its books brought up to now."""

    me: Book
    group: Group

    @property
    def name(self) -> str:
        """The coach, as runners read it."""
        return shown_name(self.me.runner)


@dataclass(frozen=True, slots=True)
class Post:
    """One message to somebody else."""

    to: Book
    say: Say


@dataclass(frozen=True, slots=True)
class Done:
    """What becomes of a coach's line: the coach's book, what to say to the coach, and what it does to others."""

    me: Book
    says: tuple[Say, ...]
    changed: tuple[Book, ...] = ()
    posts: tuple[Post, ...] = ()
    note: tuple[int, str] | None = None  # about whom, and the text
    removed: int = 0  # who is taken out of the group
    sent: bool = False  # `says` stands beside the word on how many letters went


def told(desk: Desk, heard: Heard) -> Done | None:
    """The coach's word on a message that was shown first; None where the line is about something else."""
    asked = desk.me.asked
    if asked is None or asked.what is not Ask.TELL:
        return None
    match heard.action:
        case None:
            agreed = True if heard.text.strip(" .!").casefold() == "send" else read_yes_no(heard.text)
        case Reply(asked.token, Agreed(yes)):
            agreed = yes
        case _:
            return None
    if agreed is None or heard.at - asked.at > ASKED_EXPIRES:
        return None
    me = replace(desk.me, asked=None)
    if not agreed:
        return Done(me, (Say(words.NOT_SENT),))
    wanted = {int(each) for each in asked.detail.split()}
    # Who has left in the meantime gets nothing; who said stop hears from nobody until they write.
    meant = [m for m in desk.group.members if m.id in wanted and not m.book.runner.stopped]
    waits = [m for m in meant if pauses_for(m.book, asked.line)]
    to = [m.book for m in meant if m not in waits]
    posts = tuple(Post(book, Say(words.told(desk.name, asked.line))) for book in to)
    not_now = (Say(words.not_now([m.name for m in waits])),) if waits else ()
    # With nobody left to write to there is nothing to say of letters.
    return Done(me, not_now, posts=posts, sent=bool(posts))


# Words of running and of amounts: a message that has one asks for exercise, whatever else it says. Five languages.
ABOUT_RUNNING = re.compile(
    r"\b(?:run|runs|running|ran|jog\w*|train\w*|session\w*|workout\w*|interval\w*|sprint\w*|tempo|race|marathon|"
    r"parkrun|long one|easy one|km|k|miles?|min|mins|minutes?|hours?|pace|effort|plan|"
    r"corr(?!ect)\w*|carrera\w*|entren\w*|minutos|lauf\w*|lauft|trainier\w*|einheit\w*|minuten|"
    r"cour(?!age)\w*|footing|entrain\w*|seance\w*|trein\w*|corrida\w*)\b|\d",
    re.IGNORECASE,
)


def pauses_for(book: Book, line: str) -> bool:
    """Whether a message about running waits: the runner is on hold or ill, and nobody tells them to run."""
    return isinstance(book.standing, OnHold | Ill) and ABOUT_RUNNING.search(squeezed(line)) is not None


def decline(book: Book, heard: Heard, wanted: Decline) -> tuple[Book, CoachSetting] | None:
    """The runner's book with what the coach set taken back; None where that is not what is set."""
    row = BY_WORD.get(wanted.word.strip().casefold())
    value = None if row is None else coach_settings.value_of(book.intake, row)
    if row is None or value is None or wanted.value not in {None, value}:
        return None
    told = coach_settings.without(book.intake, frozenset({row.word}))
    return _with_intake(book, told, heard, at_once=row.at_once), row


def without_coach(book: Book, heard: Heard) -> Book:
    """The book of a runner who has no coach any more: what the coach set goes with the coach."""
    if not coach_settings.kept(book.intake):
        return book
    return _with_intake(book, coach_settings.without(book.intake), heard, at_once=True)


def _said(desk: Desk, text: str, *buttons: Button) -> Done:
    return Done(desk.me, (Say(text, buttons=buttons),))


def shown_roster(desk: Desk, heard: Heard, rest: str) -> Done:
    """Everybody on one screen; with "picture", on one sheet."""
    if rest.casefold() == "picture":
        return shown_sheet(desk, heard, "")
    if not desk.group.members:
        return _said(desk, words.EMPTY)
    return _said(desk, words.roster(roster(desk.group, heard.now), desk.me.today(heard.now)), words.PICTURE)


def shown_sheet(desk: Desk, heard: Heard, _rest: str) -> Done:
    """Everybody's last weeks on one sheet."""
    if not desk.group.members:
        return _said(desk, words.EMPTY)
    text = sheet_caption(sheet(desk.group, heard.now, desk.me.today(heard.now)))
    return Done(desk.me, (Say(text, picture=Picture.GROUP),))


def shown_runner(desk: Desk, heard: Heard, rest: str) -> Done:
    """One runner's weeks."""
    return _of_one(desk, rest, lambda member: _said(desk, pages.runner_page(member, heard.now)))


def _of_one(desk: Desk, name: str, then: Callable[[Member], Done]) -> Done:
    """What `then` makes of the one runner that `name` means; a question where it means none or several."""
    if not name:
        return _said(desk, words.WHO)
    meant = find(desk.group.members, name)
    return then(meant[0]) if len(meant) == 1 else _said(desk, words.which(name, [(m.name, m.id) for m in meant]))


def _split(desk: Desk, rest: str) -> tuple[str, str]:
    """The name at the beginning of a line and what follows it; the longest name that somebody has."""
    parts = rest.split()
    for many in range(len(parts), 0, -1):
        name = " ".join(parts[:many]).rstrip(":,")
        if find(desk.group.members, name):
            return name, rest.split(maxsplit=many)[many] if len(parts) > many else ""
    return (parts[0] if parts else ""), ""


def note(desk: Desk, _heard: Heard, rest: str) -> Done:
    """A note about one runner, the coach's own."""
    name, text = _split(desk, rest)

    def noted(member: Member) -> Done:
        if not text:
            return _said(desk, words.NOTE_EMPTY)
        done = _said(desk, words.NOTED.format(name=member.name))
        return replace(done, note=(member.id, text[:LONGEST_NOTE]))

    return _of_one(desk, name, noted)


def change(desk: Desk, heard: Heard, rest: str) -> Done:
    """A setting of one runner changed, inside its bounds; without one, what may be set."""
    found = SET.fullmatch(rest)
    row = BY_WORD.get(found["word"].casefold()) if found else None
    if found is None or row is None:
        return _of_one(desk, rest, lambda member: _said(desk, pages.settings_page(member)))
    value = int(found["value"])
    if value not in row.values:
        return _said(desk, pages.out_of_bounds(row))

    def changed(member: Member) -> Done:
        after = _with_intake(
            member.book, coach_settings.with_value(member.book.intake, row, value), heard, at_once=row.at_once
        )
        say = Say(pages.was_set(desk.name, row, value), buttons=(Button("Decline", Decline(row.word, value)),))
        done = _said(desk, pages.has_set(member.name, row, value))
        return replace(done, changed=(after,), posts=(Post(after, say),))

    return _of_one(desk, found["name"], changed)


def _with_intake(book: Book, told: Intake, heard: Heard, *, at_once: bool) -> Book:
    """The book with another intake; `at_once`, with its week laid anew where there is one."""
    after = replace(book, intake=told, profile=intake.profile(told))
    if not at_once or not isinstance(book.standing, Training | Walking):
        return after
    after, _ = replan(planner.relay(after, after.today(heard.now)), heard)
    return after


def tell(desk: Desk, heard: Heard, rest: str) -> Done:
    """A message to some or all, shown before it goes out."""
    head, colon, text = rest.partition(":")
    everybody = re.match(r"all\b[:\s]*", rest, re.IGNORECASE)
    if everybody is not None:
        text, to = rest[everybody.end() :].strip(), desk.group.members
    elif colon:
        text, names = text.strip(), [name for name in re.split(r",|\band\b", head) if name.strip()]
        meant = [(name.strip(), find(desk.group.members, name)) for name in names]
        unclear = next(((name, found) for name, found in meant if len(found) != 1), None)
        if unclear is not None:
            return _said(desk, words.which(unclear[0], [(m.name, m.id) for m in unclear[1]]))
        to = tuple({found[0].id: found[0] for _, found in meant}.values())
    else:
        text, to = "", ()
    if not text or not to:
        return _said(desk, words.EMPTY if text and everybody else words.NOTHING_TO_TELL)
    text = text[:LONGEST_MESSAGE]
    shown = words.tell_all_ask(len(to), text) if everybody else words.tell_ask([m.name for m in to], text)
    detail = " ".join(str(member.id) for member in to)
    asked = ask(
        desk.me,
        heard,
        Ask.TELL,
        shown,
        (("Send", Agreed(True)), ("Do not send", Agreed(False))),
        detail=detail,
        line=text,
    )
    return Done(asked.book, asked.says)


def remove(desk: Desk, _heard: Heard, rest: str) -> Done:
    """One runner taken out of the group."""

    def removed(member: Member) -> Done:
        done = _said(desk, pages.removed(member.name))
        return replace(done, posts=(Post(member.book, Say(words.taken_out(desk.name))),), removed=member.id)

    return _of_one(desk, rest, removed)
