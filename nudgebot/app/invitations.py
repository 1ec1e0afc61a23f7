"""Links by which people come: into a group, to a plan, to coach, from an old account; what is open, what is taken back.

Everything happens in the caller's transaction; the caller has asked whether the writer may.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, time, timedelta
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import access
from nudgebot.app.access import NOBODY
from nudgebot.app.request import OnStore, Request
from nudgebot.domain.dialogue.values import Answer, say, today_of
from nudgebot.domain.messages.group import group as words
from nudgebot.domain.messages.group import team as pages
from nudgebot.domain.messages.group import team as team_words
from nudgebot.domain.model.runner import Book, Joining, at_wall
from nudgebot.domain.model.speech import Incoming, Say
from nudgebot.domain.text.reply import read_pause
from nudgebot.storage import book_repository, coach_repository, invitation_repository, outbox
from nudgebot.storage.invitation_repository import Invitation, Opens

MOST_USES: Final = 100  # of one invitation
LONGEST_STAND_IN: Final = timedelta(days=92)
NUMBER: Final = re.compile(r"[0-9]{1,9}")
FRIENDS: Final = frozenset({"friend", "friends"})


def invite(request: Request, rest: str) -> Answer:
    """A link for as many people as the rest says: into the coach's group, or to a plan of their own with no coach."""
    who = request.actor
    first, _, many = rest.casefold().partition(" ")
    asked = many if first in FRIENDS else rest
    uses = min(int(asked) if NUMBER.fullmatch(asked) else 0, MOST_USES) or access.USES
    if who.coaches and not (who.owner and first in FRIENDS):
        return _invitation(request, Opens.RUNNER, words.lets_in(uses), group=who.coaches, uses=uses)
    return _invitation(request, Opens.FRIEND, words.lets_friends_in(uses), uses=uses)


def invite_one(opens: Opens) -> OnStore:
    """A handler that makes a link for one person: another coach, or the writer's own new account."""

    def run(request: Request, _rest: str) -> Answer:
        group = 0 if opens in (Opens.COACH, Opens.ACCOUNT) else request.actor.coaches
        return _invitation(request, opens, team_words.OPENS[opens], group=group)

    return OnStore(run)


def stand_in(request: Request, rest: str) -> Answer:
    """A link for somebody who looks after the group for some days, from one date to another."""
    days = read_pause(rest, today_of(request.book, request.heard))
    if not days or days[-1] - days[0] > LONGEST_STAND_IN:
        return say(request.book, team_words.STAND_IN_WANTED)
    zone = request.book.profile
    span = (at_wall(days[0], time(0), zone), at_wall(days[-1] + timedelta(days=1), time(0), zone))
    whom = team_words.stands_in(days[0], days[-1])
    return _invitation(request, Opens.STAND_IN, whom, group=request.actor.coaches, span=span)


def _invitation(
    request: Request,
    opens: Opens,
    whom: str,
    *,
    group: int = 0,
    uses: int = 1,
    span: tuple[datetime, datetime] | None = None,
) -> Answer:
    conn, now, by = request.conn, request.now, request.book.runner.id
    code, until = access.new_code(request.host.codes), now + access.LASTS
    number = invitation_repository.invite(
        conn, code, by, opens, group=group, now=now, until=until, uses=uses, span=span
    )
    return say(request.book, words.invitation(code, request.incoming.door, whom, until, number))


def list_invitations(request: Request, _rest: str) -> Answer:
    """The invitations that still open."""
    open_ones = invitation_repository.open_invitations(request.conn, request.book.runner.id, request.now)
    rows = [(each.id, team_words.WHAT[each.opens], each.uses_left, each.until) for each in open_ones]
    return say(request.book, words.list_invitations(rows) if rows else words.NO_INVITATIONS)


def revoke(request: Request, rest: str) -> Answer:
    """One invitation taken back."""
    known = NUMBER.fullmatch(rest) is not None
    gone = known and invitation_repository.revoke(request.conn, int(rest), request.book.runner.id)
    return say(request.book, words.REVOKED if gone else words.NO_SUCH_INVITATION)


def move_account(
    conn: Connection, incoming: Incoming, invitation: Invitation, mine: Book | None, now: datetime
) -> Book | None:
    """The book of the old account, which is the writer's from now on; `mine` where the code joins no account.

    `mine` is what the writer has here: nothing, or questions not yet answered, which go.
    """
    if invitation.opens is not Opens.ACCOUNT:
        return mine
    old = book_repository.load(conn, invitation.by)
    if old.runner.voice != incoming.voice or (mine is not None and not _is_free(conn, mine, old)):
        return mine
    if mine is not None:
        book_repository.erase(conn, mine.runner.id)
    book_repository.move(conn, old.runner, incoming.user)
    told = Say(pages.ACCOUNT_LEFT)
    outbox.put(conn, replace(old.runner, id=NOBODY), told, key=f"moved:{invitation.id}", now=now)
    invitation_repository.use(conn, invitation)
    return book_repository.load(conn, old.runner.id)


def _is_free(conn: Connection, mine: Book, old: Book) -> bool:
    """Whether a book holds nothing that joining the old one would lose."""
    begun = not isinstance(mine.standing, Joining) or bool(mine.log)
    return not begun and mine.runner.id != old.runner.id and not coach_repository.groups_of(conn, mine.runner.id)


def answer_move(request: Request, invitation: Invitation) -> Answer:
    """The word on a code of another account: `move_account` has joined them, or has not."""
    if request.book.runner.id != invitation.by:
        return say(request.book, pages.ACCOUNT_HAS_A_PLAN)
    unused = any(
        each.id == invitation.id
        for each in invitation_repository.open_invitations(request.conn, invitation.by, request.now)
    )
    return say(request.book, pages.ACCOUNT_SAME if unused else pages.ACCOUNT_JOINED)
