"""What becomes of one line or press of somebody known: a code, a button, a command, a coach's word, or the talk."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final, NamedTuple

from nudgebot.app import coach_team, coaching, commands, following, membership
from nudgebot.app.access import Tried
from nudgebot.app.following import Slashed
from nudgebot.app.request import Request
from nudgebot.domain.dialogue.answer import answer
from nudgebot.domain.dialogue.coach import coach_desk as desk
from nudgebot.domain.dialogue.runs import files
from nudgebot.domain.dialogue.values import Answer, say
from nudgebot.domain.dialogue.week import busy_days
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.model import rights
from nudgebot.domain.model.actions import Action, ChosenValue, Decline, LeaveGroup, Open, Reply, SetShare, ShowSheet
from nudgebot.domain.model.busy import BusyTimes
from nudgebot.domain.model.runner import Joining
from nudgebot.domain.model.speech import FileContent
from nudgebot.domain.text.reply import read_yes_no
from nudgebot.domain.text.sayings import asks_what_a_coach_sees
from nudgebot.domain.text.triage import Level, triage


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
    command = following.command_in(request.heard.text)
    if command is not None:
        return following.follow(request, command)
    return _on_others(request) or _talk(request)


def _sent_file(request: Request, file: FileContent) -> Answer:
    """A file, and the line under it: a sign in the line is answered first, whatever the file holds.

    Somebody without a plan is asked the questions first.
    """
    book, heard = request.book, request.heard
    if isinstance(book.standing, Joining):
        return _talk(request) if heard.text.strip() else following.before_the_plan(request)
    if isinstance(file, BusyTimes):
        return busy_days.ask_about(book, heard, file)
    if not heard.text.strip() or triage(heard.text).is_silent:
        return files.take_file(book, heard, file)
    first = _talk(request)
    asks = first.book.asked is not None
    then = files.take_file(first.book, replace(heard, text=""), file, open_question=asks)
    return then.behind(*first.says)


def _pressed(request: Request, action: Action) -> Answer:
    if isinstance(action, Open):
        return following.follow(request, Slashed(commands.BY_NAME[action.page.value], ""))
    shared = SHARED.get(type(action))
    if shared is not None:
        right, actor = commands.BY_NAME[shared.command].right, request.actor
        refused = rights.refusal(actor, right, in_group=bool(request.incoming.chat))
        if refused is not None:
            return say(request.book, following.refusal_words(right, refused, actor))
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
    row = following.command_by_word(heard.text) if heard.action is None else None
    if row is not None and row.right != rights.OWN and rights.refusal(request.actor, row.right, in_group=False):
        row = None
    if row is not None and (row.at_once or (row.right != rights.OWN and book.asked is None)):
        return following.run(row, request, "")
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
    return answer(book, heard, lambda current: following.run(named, replace(request, book=current), ""))


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
            return following.looks_after_others(request)
        return say(book, words.NO_PLAN) if refuses and following.looks_after_others(request) is not None else None
    if not refuses:
        return None
    # To anybody else a no to the first question means that nothing is kept; they have a group or a house to keep.
    return say(replace(book, intake=replace(book.intake, coach_runs=None)), words.NO_PLAN)
