"""Coming into a group and leaving it, by codes and commands; what a runner lets the coach see; whose chat it is.

Everything happens in the caller's transaction; the caller has asked whether the writer may.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from nudgebot.app import access, coaching, notifications, ownership
from nudgebot.app.access import Tried
from nudgebot.app.request import Request
from nudgebot.domain.dialogue import coach as desk
from nudgebot.domain.dialogue import onboarding, own_commands
from nudgebot.domain.dialogue.values import Answer, say
from nudgebot.domain.messages import coach as pages
from nudgebot.domain.messages import group as words
from nudgebot.domain.messages import host as host_words
from nudgebot.domain.messages.pages import EXPORTED
from nudgebot.domain.model.actions import Decline, LeaveGroup, SetShare
from nudgebot.domain.model.runner import Joining, Runner
from nudgebot.domain.model.speech import Button, File, Say
from nudgebot.domain.overview import group as sight
from nudgebot.domain.overview.group import Bound, BoundElsewhere, GroupLine, NotBound, Share, shown_name
from nudgebot.domain.profile import intake
from nudgebot.storage import book_repository, group_repository

MOST_USES: Final = 100  # of one invitation
NUMBER: Final = re.compile(r"[0-9]{1,9}")


def start(request: Request, rest: str) -> Answer:
    """The questions; somebody who looks after others is asked them from now on, having said that they run too."""
    book, who = request.book, request.actor
    if isinstance(book.standing, Joining) and book.intake.adult is None and (who.coaches or who.owner):
        book = replace(book, intake=replace(book.intake, coach_runs=True))
    return own_commands.start(book, request.heard, rest)


def by_code(request: Request, tried: Tried) -> Answer:
    """Somebody said a code, or tried to: into a group, host of the bot, or a word on why not; then as after /start."""
    conn, book, heard = request.conn, request.book, request.heard
    if tried.hosts:
        return ownership.claimed(conn, book, heard, request.named)
    if heard.text.lstrip().startswith("/claim") and not tried.opens:
        return say(book, words.TOO_MANY_CODES if tried.too_often else host_words.CLAIM_NOTHING)
    started = own_commands.start(book, heard, "")
    invitation = tried.invitation
    if invitation is None:
        return _before(started, words.TOO_MANY_CODES if tried.too_often else words.NOT_A_CODE)
    if invitation.group == 0:
        group_repository.use(conn, invitation)
        return begin_coaching(request, "")
    current = group_repository.group_of(conn, book.runner.id)
    if current == invitation.group:
        return _before(started, words.ALREADY_IN)
    if current:
        coach = shown_name(group_repository.coach_of(conn, current))
        return say(book, words.moving(coach), Button("Leave", LeaveGroup()))
    removed = group_repository.removed_at(conn, book.runner.id, invitation.group)
    if removed is not None and removed >= invitation.made_at:
        return _before(started, words.REMOVED_BEFORE)
    group_repository.use(conn, invitation)
    group_repository.join(conn, book.runner.id, invitation.group, heard.now)
    leader = group_repository.coach_of(conn, invitation.group)
    _tell_coach(request, leader, words.has_joined(shown_name(book.runner)))
    return _before(started, words.welcome(shown_name(leader)))


def begin_coaching(request: Request, _rest: str) -> Answer:
    """A group of the writer's own."""
    conn, book = request.conn, request.book
    new = not group_repository.actor(conn, book.runner.id, owner=False).coaches
    group_repository.found(conn, book.runner, request.now, sight.next_digest(book, request.now))
    return say(book, words.coaching(new=new))


def invite(request: Request, rest: str) -> Answer:
    """A link into the writer's group, for as many runners as the rest says."""
    asked = int(rest) if NUMBER.fullmatch(rest) else 0
    return _invitation(request, request.actor.coaches, min(asked, MOST_USES) or access.USES)


def invite_coach(request: Request, _rest: str) -> Answer:
    """A link that lets one person begin a group."""
    return _invitation(request, 0, 1)


def _invitation(request: Request, group: int, uses: int) -> Answer:
    code, until = access.new_code(request.codes), request.now + access.LASTS
    number = group_repository.invite(
        request.conn, code, request.book.runner.id, group, now=request.now, until=until, uses=uses
    )
    text = words.invitation(code, request.incoming.door, uses, until, number, coach=group == 0)
    return say(request.book, text)


def invitations(request: Request, _rest: str) -> Answer:
    """The invitations that still open."""
    open_ones = group_repository.open_invitations(request.conn, request.book.runner.id, request.now)
    rows = [(each.id, each.uses_left, each.until, each.group == 0) for each in open_ones]
    return say(request.book, words.invitations(rows) if rows else words.NO_INVITATIONS)


def revoke(request: Request, rest: str) -> Answer:
    """One invitation taken back."""
    known = NUMBER.fullmatch(rest) is not None
    gone = known and group_repository.revoke(request.conn, int(rest), request.book.runner.id)
    return say(request.book, words.REVOKED if gone else words.NO_INVITATIONS)


def share(request: Request, rest: str) -> Answer:
    """What the coach sees, shown or changed."""
    kind, _, word = rest.casefold().strip().rpartition(" ")
    if word in {"on", "off"} and kind.strip() in set(Share):
        return set_share(request, SetShare(kind.strip(), word == "on"))
    return say(request.book, words.SHARE_WANTED) if rest else _shares(request)


def set_share(request: Request, action: SetShare) -> Answer:
    """One kind of thing let through to the coach, or no longer."""
    wanted = next((kind for kind in Share if kind.value == action.kind), None)
    if wanted is None:
        return say(request.book, words.SHARE_WANTED)
    group_repository.share(request.conn, request.book.runner.id, wanted, on=action.on)
    return _shares(request)


def _shares(request: Request) -> Answer:
    shares = group_repository.shares(request.conn, request.book.runner.id)
    return say(request.book, words.shown_shares(shares), *words.share_buttons(shares))


def leave(request: Request, _rest: str) -> Answer:
    """Out of the group; the coach is told."""
    coach = group_repository.coach_of(request.conn, request.actor.runs_in)
    group_repository.leave(request.conn, request.book.runner.id, request.now, removed=False)
    _tell_coach(request, coach, words.has_left(shown_name(request.book.runner)))
    return say(desk.without_coach(request.book, request.heard), words.LEFT)


def decline(request: Request, rest: str) -> Answer:
    """What the coach set under a word taken back."""
    return set_back(request, Decline(rest))


def set_back(request: Request, action: Decline) -> Answer:
    """What the coach set taken back; the coach is told."""
    taken = desk.decline(request.book, request.heard, action)
    if taken is None:
        return say(request.book, pages.NOTHING_TO_DECLINE)
    after, row = taken
    coach = group_repository.coach_of(request.conn, request.actor.runs_in)
    _tell_coach(request, coach, pages.declined(shown_name(request.book.runner), row))
    return say(after, pages.has_declined(row))


def set_zone(request: Request, rest: str) -> Answer:
    """The clock of somebody who answers no questions; for a runner it is a setting like any other."""
    book = request.book
    if not isinstance(book.standing, Joining):
        return onboarding.setting_asked(book, request.heard, "zone", rest)
    zone = intake.read_answer("zone", rest, book.intake) if rest else None
    if zone is None:
        return say(book, words.ZONE_WANTED)
    told = replace(book.intake, zone=zone)
    return say(replace(book, intake=told, profile=intake.profile(told)), f"Time zone: {zone}.")


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
        return BoundElsewhere()
    group_repository.bind(request.conn, own, request.incoming.chat)
    return Bound(now=True)


def unbind(request: Request) -> GroupLine:
    """This chat is no group's any more."""
    own = request.actor.coaches
    if (bound := _bound_to(request)) != own:
        return BoundElsewhere() if bound else NotBound()
    group_repository.bind(request.conn, own, "")
    return Bound(now=False)


def overview(request: Request) -> GroupLine:
    """The group at a glance, with the names of those who agreed to be named."""
    own = request.actor.coaches
    if (bound := _bound_to(request)) != own:
        return BoundElsewhere() if bound else NotBound()
    return sight.overview(coaching.seen(request.conn, own, request.now), request.now)


def _bound_to(request: Request) -> int:
    return group_repository.bound_to(request.conn, request.incoming.voice, request.incoming.chat)


def _tell_coach(request: Request, coach: Runner, text: str) -> None:
    if coach.id != request.book.runner.id:
        book = book_repository.load(request.conn, coach.id)
        notifications.send_letter(request.conn, book, Say(text), f"{request.heard.key}/coach", request.now)


def _before(said: Answer, *texts: str) -> Answer:
    return replace(said, says=(*(Say(text) for text in texts), *said.says))
