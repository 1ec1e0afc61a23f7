"""Groups on disk: who coaches, who runs with whom, invitations, what is shared, notes.

Every function works on the caller's connection, inside the caller's transaction.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from sqlalchemy import Connection, Row, bindparam, delete, func, insert, or_, select, update
from sqlalchemy.dialects import sqlite

from nudgebot.domain.model.rights import Actor
from nudgebot.domain.model.runner import Book, Runner
from nudgebot.domain.overview.group import Group, Member, Note, Share
from nudgebot.storage import book_repository, schema

KNOCKS_KEPT: Final = timedelta(days=1)

_GROUP: Final = schema.groups.c
_MEMBER: Final = schema.members.c
_INVITATION: Final = schema.invitations.c
_KNOCK: Final = schema.knocks.c
_OUT: Final = schema.outbox.c
_IN: Final = schema.inbox.c
# Asked with every command; built once, since composing a statement costs more than running it.
_COACHES: Final = select(_GROUP.id).where(_GROUP.coach_id == bindparam("coach"))
_ALL_COACHES: Final = (
    select(schema.runners.c.user)
    .join(schema.groups, schema.groups.c.coach_id == schema.runners.c.id)
    .where(schema.runners.c.voice == bindparam("voice"))
)
_RUNS_IN: Final = select(_MEMBER.group_id).where(_MEMBER.runner_id == bindparam("runner"), _MEMBER.left_at.is_(None))


class Knock(StrEnum):
    """What somebody did whom we do not know, or who tried a code."""

    CODE = "code"  # a code that opens nothing
    LINE = "line"  # was turned away


@dataclass(frozen=True, slots=True)
class Invitation:
    """An invitation as far as it is kept: the code is not. `group` 0 makes whoever uses it a coach."""

    id: int
    by: int
    group: int
    made_at: datetime
    until: datetime
    uses_left: int


def actor(conn: Connection, runner_id: int, *, owner: bool) -> Actor:
    """The roles of a person."""
    coaches = conn.scalar(_COACHES, {"coach": runner_id})
    return Actor(owner, coaches or 0, group_of(conn, runner_id))


def coaches(conn: Connection, voice: str) -> tuple[str, ...]:
    """The users of `voice` who coach a group."""
    return tuple(conn.scalars(_ALL_COACHES, {"voice": voice}))


def group_of(conn: Connection, runner_id: int) -> int:
    """Number of the group in which a runner runs, 0 for none."""
    return conn.scalar(_RUNS_IN, {"runner": runner_id}) or 0


def coach_of(conn: Connection, group: int) -> Runner:
    """Who coaches the group; LookupError where there is no such group."""
    coach = conn.scalar(select(_GROUP.coach_id).where(_GROUP.id == group))
    if coach is None:
        raise LookupError("no such group", group)
    return book_repository.load(conn, coach).runner


def found(conn: Connection, coach: Runner, now: datetime, digest_at: datetime) -> int:
    """The group of `coach`, made where there is none; its number."""
    there: int | None = conn.scalar(select(_GROUP.id).where(_GROUP.coach_id == coach.id))
    if there is not None:
        return there
    made = conn.execute(
        insert(schema.groups).values(coach_id=coach.id, voice=coach.voice, chat=None, made_at=now, digest_at=digest_at)
    ).inserted_primary_key
    if made is None:
        raise RuntimeError("the database gave the new group no number")
    return int(made[0])


def close(conn: Connection, group: int) -> None:
    """The group is no more; its runners keep their books."""
    conn.execute(
        delete(schema.shares).where(
            schema.shares.c.runner_id.in_(
                select(_MEMBER.runner_id).where(_MEMBER.group_id == group, _MEMBER.left_at.is_(None))
            )
        )
    )
    conn.execute(delete(schema.groups).where(_GROUP.id == group))


def load(conn: Connection, group: int) -> Group:
    """The group with its runners' books as they are on the disk; LookupError where there is no such group."""
    row = conn.execute(select(schema.groups).where(_GROUP.id == group)).one_or_none()
    if row is None:
        raise LookupError("no such group", group)
    ids = list(
        conn.scalars(
            select(_MEMBER.runner_id)
            .where(_MEMBER.group_id == group, _MEMBER.left_at.is_(None))
            .order_by(_MEMBER.joined_at, _MEMBER.id)
        )
    )
    members = tuple(
        Member(book_repository.load(conn, each), shares(conn, each), notes(conn, each, row.coach_id)) for each in ids
    )
    return Group(group, book_repository.load(conn, row.coach_id).runner, row.chat or "", members)


def member_ids(conn: Connection, group: int) -> tuple[int, ...]:
    """Numbers of the runners of a group."""
    return tuple(conn.scalars(select(_MEMBER.runner_id).where(_MEMBER.group_id == group, _MEMBER.left_at.is_(None))))


def join(conn: Connection, runner_id: int, group: int, now: datetime) -> None:
    """The runner runs in `group` from now on; what was shared with somebody else is shared no more."""
    leave(conn, runner_id, now, removed=False)
    conn.execute(insert(schema.members).values(runner_id=runner_id, group_id=group, joined_at=now, removed=False))


def leave(conn: Connection, runner_id: int, now: datetime, *, removed: bool) -> None:
    """The runner runs in no group from now on, and shares nothing."""
    current = update(schema.members).where(_MEMBER.runner_id == runner_id, _MEMBER.left_at.is_(None))
    conn.execute(current.values(left_at=now, removed=removed))
    conn.execute(delete(schema.shares).where(schema.shares.c.runner_id == runner_id))


def removed_at(conn: Connection, runner_id: int, group: int) -> datetime | None:
    """When the coach of `group` last took this runner out of it."""
    when = select(_MEMBER.left_at).where(
        _MEMBER.runner_id == runner_id, _MEMBER.group_id == group, _MEMBER.removed.is_(True)
    )
    return conn.scalar(when.order_by(_MEMBER.left_at.desc()).limit(1))


# Chats


def bind(conn: Connection, group: int, chat: str) -> None:
    """The group chat `chat` is this group's from now on; "" unbinds it."""
    conn.execute(update(schema.groups).where(_GROUP.id == group).values(chat=chat or None))


def bound_to(conn: Connection, voice: str, chat: str) -> int:
    """Number of the group to which a chat is bound, 0 for none."""
    return conn.scalar(select(_GROUP.id).where(_GROUP.voice == voice, _GROUP.chat == chat)) or 0


def moved(conn: Connection, voice: str, old: str, new: str) -> None:
    """The platform gave a chat a new number: its binding and the letters on their way follow."""
    there = bound_to(conn, voice, new)
    if not there:
        conn.execute(update(schema.groups).where(_GROUP.voice == voice, _GROUP.chat == old).values(chat=new))
    conn.execute(
        update(schema.outbox)
        .where(_OUT.voice == voice, _OUT.chat == old, _OUT.ended_at.is_(None))
        .values(chat=new, address=f"#{new}")
    )


def shut_out(conn: Connection, voice: str, chat: str) -> None:
    """The bot is in that chat no longer."""
    conn.execute(update(schema.groups).where(_GROUP.voice == voice, _GROUP.chat == chat).values(chat=None))


# Shares and notes


def shares(conn: Connection, runner_id: int) -> frozenset[Share]:
    """What a runner shares with the coach; a word that an older version wrote is nothing shared."""
    kinds = conn.scalars(select(schema.shares.c.kind).where(schema.shares.c.runner_id == runner_id))
    known = {kind.value: kind for kind in Share}
    return frozenset(known[kind] for kind in kinds if kind in known)


def share(conn: Connection, runner_id: int, kind: Share, *, on: bool) -> None:
    """The runner shares `kind` from now on, or no longer."""
    if on:
        conn.execute(sqlite.insert(schema.shares).values(runner_id=runner_id, kind=kind).on_conflict_do_nothing())
        return
    where = (schema.shares.c.runner_id == runner_id, schema.shares.c.kind == kind)
    conn.execute(delete(schema.shares).where(*where))


def notes(conn: Connection, runner_id: int, author_id: int) -> tuple[Note, ...]:
    """What `author_id` noted about a runner, oldest first."""
    rows = select(schema.notes.c.at, schema.notes.c.text).where(
        schema.notes.c.runner_id == runner_id, schema.notes.c.author_id == author_id
    )
    return tuple(Note(row.at, row.text) for row in conn.execute(rows.order_by(schema.notes.c.at, schema.notes.c.id)))


def note(conn: Connection, runner_id: int, author_id: int, at: datetime, text: str) -> None:
    """A coach's note about a runner."""
    conn.execute(insert(schema.notes).values(runner_id=runner_id, author_id=author_id, at=at, text=text))


# Invitations


def invite(conn: Connection, code: str, by: int, group: int, *, now: datetime, until: datetime, uses: int) -> int:
    """Keeps an invitation by the digest of its `code`; its number."""
    made = conn.execute(
        insert(schema.invitations).values(
            by_id=by, group_id=group or None, digest=_digest(code), made_at=now, until=until, uses_left=uses
        )
    ).inserted_primary_key
    if made is None:
        raise RuntimeError("the database gave the invitation no number")
    return int(made[0])


def invited(conn: Connection, code: str, now: datetime) -> Invitation | None:
    """The invitation of `code` if it still opens: not expired, not used up, not revoked."""
    row = conn.execute(
        select(schema.invitations).where(
            _INVITATION.digest == _digest(code), _INVITATION.until > now, _INVITATION.uses_left > 0
        )
    ).one_or_none()
    return None if row is None else _invitation(row)


def use(conn: Connection, invitation: Invitation) -> None:
    """One use of the invitation is gone."""
    used = update(schema.invitations).where(_INVITATION.id == invitation.id)
    conn.execute(used.values(uses_left=_INVITATION.uses_left - 1))


def open_invitations(conn: Connection, by: int, now: datetime) -> tuple[Invitation, ...]:
    """The invitations of a person that still open."""
    rows = select(schema.invitations).where(_INVITATION.by_id == by, _INVITATION.until > now, _INVITATION.uses_left > 0)
    return tuple(_invitation(row) for row in conn.execute(rows.order_by(_INVITATION.id)))


def revoke(conn: Connection, invitation_id: int, by: int) -> bool:
    """The invitation opens no more; False where it is none of this person's."""
    gone = delete(schema.invitations).where(_INVITATION.id == invitation_id, _INVITATION.by_id == by)
    return conn.execute(gone).rowcount == 1


def knock(conn: Connection, voice: str, user: str, what: Knock, now: datetime) -> None:
    """Remembers for a day, by digest alone, that somebody knocked."""
    conn.execute(insert(schema.knocks).values(digest=_digest(f"{voice}:{user}"), what=what, at=now))


def knocks(conn: Connection, voice: str, user: str, what: Knock, since: datetime) -> int:
    """How often somebody knocked in that way since `since`."""
    count = select(func.count()).select_from(schema.knocks)
    return (
        conn.scalar(count.where(_KNOCK.digest == _digest(f"{voice}:{user}"), _KNOCK.what == what, _KNOCK.at > since))
        or 0
    )


def prune(conn: Connection, now: datetime) -> None:
    """Forgets knocks of yesterday and invitations that open no more."""
    conn.execute(delete(schema.knocks).where(_KNOCK.at < now - KNOCKS_KEPT))
    conn.execute(delete(schema.invitations).where(or_(_INVITATION.until <= now, _INVITATION.uses_left <= 0)))


# The Monday digest


def digests_due(conn: Connection, voice: str, now: datetime) -> list[int]:
    """Numbers of the groups whose digest falls due by `now`."""
    rows = select(_GROUP.id).where(_GROUP.voice == voice, _GROUP.digest_at <= now)
    return list(conn.scalars(rows.order_by(_GROUP.digest_at)))


def digest_at(conn: Connection, group: int) -> datetime | None:
    """When the digest of a group falls due, None if there is no such group."""
    return conn.scalar(select(_GROUP.digest_at).where(_GROUP.id == group))


def set_digest(conn: Connection, group: int, at: datetime) -> None:
    """The next digest of the group falls due at `at`."""
    conn.execute(update(schema.groups).where(_GROUP.id == group).values(digest_at=at))


def next_digest(conn: Connection, voice: str) -> datetime | None:
    """When the first digest of `voice` falls due, None if there is no group."""
    first = select(_GROUP.digest_at).where(_GROUP.voice == voice)
    return conn.scalar(first.order_by(_GROUP.digest_at).limit(1))


def forget(conn: Connection, book: Book, coaches: int, names: Iterable[str]) -> None:
    """Takes a person out of what waits for others: letters to their coach, runners and chats, messages put aside.

    For erasure, before the book itself goes. A letter or a message that holds one of `names` goes as a whole.
    `coaches` is the group of a person who coaches, 0 for none.
    """
    for group in filter(None, {group_of(conn, book.runner.id), coaches}):
        row = conn.execute(select(schema.groups).where(_GROUP.id == group)).one()
        ids = (row.coach_id, *member_ids(conn, group))
        users = list(conn.scalars(select(schema.runners.c.user).where(schema.runners.c.id.in_(ids))))
        addresses = [*(f"@{user}" for user in users), *([f"#{row.chat}"] if row.chat else [])]
        for name in filter(None, names):
            letters = delete(schema.outbox).where(_OUT.voice == row.voice, _OUT.address.in_(addresses))
            conn.execute(letters.where(_OUT.text.contains(name, autoescape=True)))
            aside = delete(schema.inbox).where(_IN.voice == row.voice, _IN.user.in_(users), _IN.state == "dead")
            conn.execute(aside.where(_IN.raw.contains(name, autoescape=True)))


def _digest(text: str) -> bytes:
    return hashlib.sha256(text.encode()).digest()


def _invitation(row: Row[tuple[object, ...]]) -> Invitation:
    return Invitation(row.id, row.by_id, row.group_id or 0, row.made_at, row.until, row.uses_left)
