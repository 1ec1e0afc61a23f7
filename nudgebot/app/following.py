"""What becomes of a line that says a command: it is followed, refused in words, or not known.

Warning signs in what follows a command of one's own are answered first.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from typing import Final, assert_never

from nudgebot.app import coach_team, commands
from nudgebot.app.request import Command, InGroup, OnBook, OnStore, Request
from nudgebot.domain.dialogue.health import complaints, safety_question
from nudgebot.domain.dialogue.settings import conditions
from nudgebot.domain.dialogue.values import Answer, Heard, say
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.model import rights
from nudgebot.domain.model.rights import Actor, Refusal, Right, Who, Whom
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.text.triage import Level, Verdict, triage

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
