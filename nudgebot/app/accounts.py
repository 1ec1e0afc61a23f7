"""A new phone or account of somebody we know: joined to the old one by a code that the old one made.

Everything happens in the caller's transaction.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from sqlalchemy import Connection

from nudgebot.app.access import NOBODY
from nudgebot.app.request import Request
from nudgebot.domain.dialogue.values import Answer, say
from nudgebot.domain.messages.group import team as pages
from nudgebot.domain.model.runner import Book, Joining
from nudgebot.domain.model.speech import Incoming, Say
from nudgebot.storage import book_repository, coach_repository, invitation_repository, outbox
from nudgebot.storage.invitation_repository import Invitation, Opens


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
