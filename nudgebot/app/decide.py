"""What becomes of one line or press of somebody known: a code, a button, a command, a coach's word, or the talk.

A command is followed, refused in words, or not known; warning signs in what follows one of one's own come first.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Final, NamedTuple, assert_never

from nudgebot.app import coach_team, coaching, commands, membership
from nudgebot.app.access import Tried
from nudgebot.app.request import Command, InGroup, OnBook, OnStore, Request
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.coach import coach_desk as desk
from nudgebot.domain.dialogue.health import complaints, safety_question
from nudgebot.domain.dialogue.runs import files
from nudgebot.domain.dialogue.settings import conditions
from nudgebot.domain.dialogue.values import Answer, Heard, say
from nudgebot.domain.dialogue.week import changes
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.model import rights
from nudgebot.domain.model.actions import Action, ChosenValue, Decline, LeaveGroup, Open, Reply, SetShare, ShowSheet
from nudgebot.domain.model.logbook import BusyTimes
from nudgebot.domain.model.rights import Actor, Refusal, Right, Who, Whom
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.model.speech import FileContent
from nudgebot.domain.text.reply import read_yes_no
from nudgebot.domain.text.sayings import asks_what_a_coach_sees
from nudgebot.domain.text.triage import Level, Verdict, triage


class Shared(NamedTuple):
    """A button that touches more than the writer's book: the command whose right it needs, and its handler."""

    command: str
    run: Callable[[Request, Any], Answer]


SHARED: Final[Mapping[type[Action], Shared]] = {
    ShowSheet: Shared(
        "roster", lambda request, action: coaching.at_desk(desk.show_sheet).run(request, str(action.page or 1))
    ),
    SetShare: Shared("share", membership.set_share),
    Decline: Shared("decline", membership.set_back),
    LeaveGroup: Shared("leave", lambda request, _: membership.leave(request, "group")),
}


def decide(request: Request, tried: Tried | None) -> Answer:
    """The answer to one line or press; `tried` is what became of the code in it, None if it holds none."""
    if tried is not None:
        return membership.by_code(request, tried)
    file = request.incoming.file
    if file is not None:
        return _sent_file(request, file)
    action = request.heard.action
    if action is not None:
        return _pressed(request, action)
    command = command_in(request.heard.text)
    if command is not None:
        return follow(request, command)
    return _on_others(request) or _talk(request)


def _sent_file(request: Request, file: FileContent) -> Answer:
    """A file, and the line under it: a sign in the line is answered first, whatever the file holds.

    Somebody without a plan is asked the questions first.
    """
    book, heard = request.book, request.heard
    if isinstance(book.standing, Joining):
        return _talk(request) if heard.text.strip() else before_the_plan(request)
    if isinstance(file, BusyTimes):
        return changes.ask_about(book, heard, file)
    if not heard.text.strip() or triage(heard.text).is_silent:
        return files.take_file(book, heard, file)
    first = _talk(request)
    asks = first.book.asked is not None
    then = files.take_file(first.book, replace(heard, text=""), file, open_question=asks)
    return then.behind(*first.says)


def _pressed(request: Request, action: Action) -> Answer:
    if isinstance(action, Open):
        return follow(request, Slashed(commands.BY_NAME[action.page.value], ""))
    shared = SHARED.get(type(action))
    if shared is not None:
        right, actor = commands.BY_NAME[shared.command].right, request.actor
        refused = rights.refusal(actor, right, in_group=bool(request.incoming.chat))
        if refused is not None:
            return say(request.book, refusal_words(right, refused, actor))
        return shared.run(request, action)
    return _on_others(request) or _talk(request)


def _on_others(request: Request) -> Answer | None:
    """The answer to an open question about somebody else; None if none is open, or the line is about another."""
    return (
        None if request.book.asked is None else coaching.answer_coach(request) or coach_team.answer_dismissal(request)
    )


def _talk(request: Request) -> Answer:
    """The writer's own affair: their runs, their plan, their questions."""
    book, heard = request.book, request.heard
    row = command_by_word(heard.text) if heard.action is None else None
    if row is not None and row.right != rights.OWN and rights.refusal(request.actor, row.right, in_group=False):
        row = None
    if row is not None and (row.at_once or (row.right != rights.OWN and book.asked is None)):
        return run(row, request, "")
    if row is None and book.asked is None and _asks_about_the_coach(request):
        return membership.what_is_seen(request)
    about = coaching.answer_about_a_runner(request) if row is None and book.asked is None else None
    if about is not None:
        return about
    if isinstance(book.standing, Joining) and book.intake.adult is None:
        looking_after = _without_a_plan(request)
        if looking_after is not None:
            return looking_after
    if row is None:
        return answer(book, heard)
    named = row
    return answer(book, heard, lambda current: run(named, replace(request, book=current), ""))


def _asks_about_the_coach(request: Request) -> bool:
    """Whether a line asks what a coach sees, and tells no sign."""
    text = request.heard.text
    if request.heard.action is not None or not asks_what_a_coach_sees(text):
        return False
    verdict = triage(text)
    return verdict.level is Level.NONE and not verdict.question


def _without_a_plan(request: Request) -> Answer | None:
    """A line of a coach or owner who has no plan here: a word, until /start asks for one; None for others."""
    book, heard = request.book, request.heard
    if book.asked is not None or not triage(heard.text).is_silent:
        return None
    refuses = heard.action == Reply("adult", ChosenValue("no")) or read_yes_no(heard.text) is False
    if not book.intake.coach_runs:
        if heard.action is None:
            return looks_after_others(request)
        return say(book, words.NO_PLAN) if refuses and looks_after_others(request) is not None else None
    if not refuses:
        return None
    # To anybody else a no to the first question means that nothing is kept; they have a group or a house to keep.
    return say(replace(book, intake=replace(book.intake, coach_runs=None)), words.NO_PLAN)


_SLASHED: Final = re.compile(r"\s*/([a-z_]{1,32})(?:@\w+)?(?:\s+(.*))?", re.IGNORECASE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Slashed:
    """A line that begins with a slash: the row of its command, None for one that is not ours, and what follows it."""

    row: Command | None
    rest: str

    @property
    def own(self) -> bool:
        """Whether what follows is about the writer, and not for or about somebody else."""
        return self.row is None or self.row.right.whom is Whom.SELF

    @property
    def signs(self) -> Verdict:
        """Warning signs in what follows: the writer's own alone."""
        return triage(self.rest) if self.own and self.rest else Verdict()

    def signs_of(self, book: Book, heard: Heard) -> Verdict:
        """The same, with what the writer told before."""
        return conditions.weigh_conditions(book, replace(heard, text=self.rest), self.signs) if self.own else Verdict()


def command_in(text: str) -> Slashed | None:
    """The command that a line begins with, None for a line without a slash."""
    found = _SLASHED.fullmatch(text)
    return None if found is None else Slashed(commands.BY_NAME.get(found[1].casefold()), (found[2] or "").strip())


def command_by_word(text: str) -> Command | None:
    """The command that a whole line says without the slash; None for any other line."""
    return commands.BY_WORD.get(text.strip(" .!?").casefold())


def opens(text: str, name: str) -> bool:
    """Whether a line says the command of that name, with its slash or by a word."""
    command = command_in(text)
    row = command.row if command is not None else command_by_word(text)
    return row is not None and row.name == name


def follow(request: Request, command: Slashed) -> Answer:
    """What becomes of a command: followed, refused in words, or not known."""
    return _signs_first(request.book, request.heard, command, lambda: _followed(request, command))


def _signs_first(book: Book, heard: Heard, command: Slashed, then: Callable[[], Answer]) -> Answer:
    verdict = command.signs_of(book, heard)
    grave = verdict.level.rank >= Level.CLINICIAN.rank
    done = complaints.answer_alarm(book, heard, verdict, None) if grave else then()
    return safety_question.ask_first(book, heard, verdict, None, done) if command.own else done


def _followed(request: Request, command: Slashed) -> Answer:
    row = command.row
    if row is None:
        if isinstance(request.book.standing, Joining):
            return before_the_plan(request)
        return safety_question.answer_not_understood(request.book, request.heard, command.signs, None)
    if row.right != rights.OWN:
        actor = request.actor
        refused = rights.refusal(actor, row.right, in_group=bool(request.incoming.chat))
        if refused is not None:
            later = coach_team.not_yet(request) if refused is Refusal.ROLE else None
            return later or say(request.book, refusal_words(row.right, refused, actor))
    if row.needs_plan and isinstance(request.book.standing, Joining):
        return before_the_plan(request)
    return run(row, request, command.rest)


def run(row: Command, request: Request, rest: str) -> Answer:
    """A command that the writer may say, carried out."""
    match row.handler:
        case OnBook(handle):
            return handle(request.book, request.heard, rest)
        case OnStore(handle_together):
            return handle_together(request, rest)
        case InGroup():
            return say(request.book, words.IN_THE_GROUP)
        case _:
            assert_never(row.handler)


def follow_alone(book: Book, heard: Heard) -> Answer | None:
    """A line that is a command which touches nobody but its writer, followed; None for any other line."""
    command = command_in(heard.text)
    row = None if command is None else command.row
    if command is None or row is None or not isinstance(row.handler, OnBook):
        return None
    if row.needs_plan and isinstance(book.standing, Joining):
        return _signs_first(book, heard, command, lambda: conditions.ask_open_question(book, heard))
    run_alone = partial(row.handler.run, book, heard, command.rest)
    return _signs_first(book, heard, command, run_alone)


def before_the_plan(request: Request) -> Answer:
    """What somebody without a plan gets: the question where the intake stands, or the page of whoever needs none."""
    needs_none = None if conditions.age_is_open(request.book) else looks_after_others(request)
    return needs_none or conditions.ask_open_question(request.book, request.heard)


def looks_after_others(request: Request) -> Answer | None:
    """A word to a coach or owner who has not asked for a plan by /start; None for everybody else."""
    book = request.book
    if not isinstance(book.standing, Joining) or book.intake.adult is not None or book.intake.coach_runs:
        return None
    actor = request.actor
    return say(book, words.NO_PLAN_HERE) if actor.owner or actor.coaches else None


def refusal_words(right: Right, why: Refusal, actor: Actor) -> str:
    """Why a command is not followed, for the writer."""
    match why:
        case Refusal.PRIVATE:
            return words.IN_PRIVATE
        case Refusal.GROUP_CHAT:
            return words.IN_THE_GROUP
        case Refusal.ROLE:
            if Who.LEAD in right.who and actor.coaches:
                return words.LEAD_ONLY
            if {Who.COACH, Who.LEAD} & set(right.who):
                return words.BEGIN_A_GROUP if actor.owner else words.COACHES_ONLY
            return words.OWNER_ONLY if Who.OWNER in right.who else words.RUNNERS_ONLY
        case _:
            assert_never(why)
