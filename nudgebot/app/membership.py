"""Coming into a group and leaving it, by codes and commands; what a runner lets the coach see; whose chat it is.

Everything happens in the caller's transaction; the caller has asked whether the writer may.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final, assert_never

from nudgebot.app import coach_team, coaching, invitations, ownership
from nudgebot.app.access import Tried
from nudgebot.app.request import Request
from nudgebot.domain.dialogue import own_commands
from nudgebot.domain.dialogue.coach import coach_desk as desk
from nudgebot.domain.dialogue.settings import change_setting
from nudgebot.domain.dialogue.values import Answer, say, with_intake
from nudgebot.domain.messages.group import coach as pages
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.messages.group import host as host_words
from nudgebot.domain.messages.small_talk import EXPORTED
from nudgebot.domain.model.actions import Decline, LeaveGroup, SetShare
from nudgebot.domain.model.runner import Joining
from nudgebot.domain.model.speech import Button, File, Say
from nudgebot.domain.overview import chat_lines
from nudgebot.domain.overview import group as sight
from nudgebot.domain.overview.chat_lines import Bound, FixedLine, GroupLine
from nudgebot.domain.overview.group import Share
from nudgebot.domain.overview.names import shown_name
from nudgebot.domain.profile import intake
from nudgebot.storage import coach_repository, group_repository, invitation_repository
from nudgebot.storage.invitation_repository import Invitation, Opens

SHARED: Final = re.compile(r"(?P<kind>\S.*?)\s+(?P<on>on|off)", re.IGNORECASE | re.DOTALL)
FOR_GOOD: Final = frozenset({"for good", "forever", "for ever", "never again", "never"})


def start(request: Request, rest: str) -> Answer:
    """The questions; somebody who looks after others is asked them from now on, having said that they run too."""
    book, who = request.book, request.actor
    if isinstance(book.standing, Joining) and book.intake.adult is None and (who.coaches or who.owner):
        book = replace(book, intake=replace(book.intake, coach_runs=True))
    return own_commands.start(book, request.heard, rest)


def by_code(request: Request, tried: Tried) -> Answer:
    """Somebody said a code, or tried to: what it opens, or a word on why not; then as after /start."""
    conn, book, heard = request.conn, request.book, request.heard
    if tried.hosts:
        return ownership.claim(conn, book, heard, request.host.named)
    if heard.text.lstrip().startswith("/claim") and not tried.opens:
        return say(book, words.TOO_MANY_CODES if tried.too_often else host_words.CLAIM_NOTHING)
    invitation = tried.invitation
    if invitation is None:
        started = own_commands.start(book, heard, "")
        return started.behind(Say(words.TOO_MANY_CODES if tried.too_often else words.NOT_A_CODE))
    match invitation.opens:
        case Opens.RUNNER:
            return _joins(request, invitation)
        case Opens.FRIEND:
            invitation_repository.use(conn, invitation)
            return own_commands.start(book, heard, "")
        case Opens.COACH:
            invitation_repository.use(conn, invitation)
            return begin_coaching(request, "")
        case Opens.SECOND | Opens.STAND_IN | Opens.SUCCESSOR:
            return coach_team.join_group(request, invitation)
        case Opens.ACCOUNT:
            return invitations.answer_move(request, invitation)
        case _:
            assert_never(invitation.opens)


def _joins(request: Request, invitation: Invitation) -> Answer:
    """A runner comes into a group."""
    conn, book = request.conn, request.book
    started = own_commands.start(book, request.heard, "")
    current = coach_repository.group_of(conn, book.runner.id)
    if current == invitation.group:
        return started.behind(Say(words.ALREADY_IN))
    if current:
        coach = coach_repository.lead_of(conn, current)
        moving = Say(
            words.say_leave_first(shown_name(coach)), buttons=(Button("Leave", LeaveGroup()),), about=(coach.id,)
        )
        return Answer(book, (moving,))
    removed = group_repository.removed_at(conn, book.runner.id, invitation.group)
    if removed is not None and removed >= invitation.made_at:
        return started.behind(Say(words.REMOVED_BEFORE))
    invitation_repository.use(conn, invitation)
    group_repository.join(conn, book.runner.id, invitation.group, request.now)
    text = words.say_joined(shown_name(book.runner))
    coaching.tell_coaches(conn, invitation.group, text, request.heard, about=book.runner)
    team = coach_team.coaches_of(request, invitation.group)
    welcome = Say(words.welcome([shown_name(each) for each in team]), about=tuple(each.id for each in team))
    return started.behind(welcome)


def begin_coaching(request: Request, _rest: str) -> Answer:
    """A group of the writer's own; whoever leads one already goes on with that."""
    conn, book = request.conn, request.book
    new = not coach_repository.led_by(conn, book.runner.id)
    if new:
        coach_repository.begin(conn, book.runner, request.now, sight.next_digest(book, request.now))
    return say(book, words.welcome_coach(new=new))


def share(request: Request, rest: str) -> Answer:
    """What the coach sees, shown or changed."""
    found = SHARED.fullmatch(rest)
    if rest and found is None:
        return say(request.book, words.SHARE_WANTED)
    return (
        set_share(request, SetShare(found["kind"], found["on"].casefold() == "on")) if found else what_is_seen(request)
    )


def set_share(request: Request, action: SetShare) -> Answer:
    """One kind of thing let through to whoever coaches the group now, or no longer."""
    wanted = {share.value: share for share in Share}.get(" ".join(action.kind.casefold().split()))
    if wanted is None:
        return say(request.book, words.SHARE_WANTED)
    group_repository.share(request.conn, request.book.runner.id, wanted, request.now, on=action.on)
    return what_is_seen(request)


def what_is_seen(request: Request) -> Answer:
    """What each coach of the writer's sees, from the table that their pages are made from."""
    conn, book, number = request.conn, request.book, request.actor.runs_in
    if not number:
        return say(book, words.NO_COACH_SEES)
    team = [each for each in coach_repository.of_group(conn, number) if each.works(request.now)]
    names = {each.runner.id: shown_name(each.runner) for each in team}
    seen = {each.runner.id: group_repository.shares(conn, book.runner.id, each.since) for each in team}
    shared = {kind: [names[each] for each, kinds in seen.items() if kind in kinds] for kind in Share}
    text = pages.say_what_is_seen(list(names.values()), shared)
    everybody_sees = frozenset(kind for kind, to in shared.items() if len(to) == len(team))
    return Answer(book, (Say(text, buttons=words.share_buttons(everybody_sees), about=tuple(names)),))


def leave(request: Request, rest: str) -> Answer:
    """Out of the group, once the whole command is written; the coach is told."""
    conn, number = request.conn, request.actor.runs_in
    if rest.casefold() != "group":
        lead = coach_repository.lead_of(conn, number)
        text = words.LEAVE_ASK.format(coach=shown_name(lead))
        return Answer(request.book, (Say(text, buttons=(Button("Leave", LeaveGroup()),), about=(lead.id,)),))
    group_repository.leave(conn, request.book.runner.id, request.now, removed=False)
    text = words.say_left(shown_name(request.book.runner))
    coaching.tell_coaches(conn, number, text, request.heard, about=request.book.runner)
    return say(desk.without_coach(request.book, request.heard), words.LEFT)


def decline(request: Request, rest: str) -> Answer:
    """What the coach set under a word taken back; "for good" keeps it from being set again, "off" lets it be."""
    word, _, more = " ".join(rest.casefold().split()).partition(" ")
    if more == "off":
        allowed = desk.allow(request.book, word)
        if allowed is None:
            return say(request.book, pages.NOTHING_TO_DECLINE)
        return say(allowed.book, pages.confirm_allowed(allowed.row))
    return set_back(request, Decline(word, for_good=more in FOR_GOOD))


def set_back(request: Request, action: Decline) -> Answer:
    """What the coach set taken back; the coach is told."""
    taken = desk.decline(request.book, request.heard, action)
    if taken is None:
        return say(request.book, pages.NOTHING_TO_DECLINE)
    name, runner = shown_name(request.book.runner), request.book.runner
    text = pages.say_declined(name, taken.row, for_good=action.for_good)
    coaching.tell_coaches(request.conn, request.actor.runs_in, text, request.heard, about=runner)
    return say(taken.book, pages.confirm_declined(taken.row, for_good=action.for_good))


def set_zone(request: Request, rest: str) -> Answer:
    """The clock of somebody who answers no questions; for a runner it is a setting like any other."""
    book = request.book
    if not isinstance(book.standing, Joining):
        return change_setting.ask_setting(book, request.heard, "zone", rest)
    zone = intake.read_answer("zone", rest, book.intake) if rest else None
    if zone is None:
        return say(book, words.ZONE_WANTED)
    return say(with_intake(book, replace(book.intake, zone=zone)), f"Time zone: {zone}.")


def export(request: Request, _rest: str) -> Answer:
    """Everything kept of the writer, as a file."""
    return Answer(request.book, (Say(EXPORTED, file=File.EXPORT),))


def close(request: Request, rest: str) -> Answer:
    """The group ended, once the whole command is written."""
    if rest.casefold() != "group":
        return say(request.book, words.CLOSE_ASK)
    coaching.end_group(request.conn, group_repository.load(request.conn, request.actor.coaches), request.heard)
    return say(request.book, words.CLOSED)


def bind(request: Request) -> GroupLine:
    """This chat becomes the writer's group's, unless it is another's."""
    own = request.actor.coaches
    if _bound_to(request) not in {0, own}:
        return FixedLine.BOUND_ELSEWHERE
    group_repository.bind(request.conn, own, request.incoming.chat)
    return Bound(now=True)


def unbind(request: Request) -> GroupLine:
    """This chat is no group's any more."""
    if elsewhere := _elsewhere(request):
        return elsewhere
    group_repository.bind(request.conn, request.actor.coaches, "")
    return Bound(now=False)


def overview(request: Request) -> GroupLine:
    """The group at a glance, with the names of those who agreed to be named."""
    if elsewhere := _elsewhere(request):
        return elsewhere
    group = coaching.view_group(request.conn, request.actor.coaches, request.now, request.book.runner.id)
    return chat_lines.overview(group, request.now)


def _elsewhere(request: Request) -> FixedLine | None:
    """The line where this chat is not that of the writer's group; None where it is."""
    bound = _bound_to(request)
    if bound == request.actor.coaches:
        return None
    return FixedLine.BOUND_ELSEWHERE if bound else FixedLine.NOT_BOUND


def _bound_to(request: Request) -> int:
    return group_repository.bound_to(request.conn, request.incoming.voice, request.incoming.chat)
