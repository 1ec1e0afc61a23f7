"""Groups on disk: who runs with whom, what is shared, notes. Who coaches: `coach_repository`.

Every function works on the caller's connection, inside the caller's transaction.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import Connection, bindparam, delete, insert, select, update

from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import SAFETY
from nudgebot.domain.overview.group import Group, Member, Note, Share
from nudgebot.storage import book_repository, coach_repository, schema
from nudgebot.storage.database import upsert
from nudgebot.storage.statement import Statement

_GROUP: Final = schema.groups.c
_MEMBER: Final = schema.members.c
_OUT: Final = schema.outbox.c
_NOTE: Final = schema.notes.c
_USERS: Final = Statement(
    select(schema.runners.c.user)
    .join(schema.members, _MEMBER.runner_id == schema.runners.c.id)
    .where(schema.runners.c.voice == bindparam("voice"), _MEMBER.left_at.is_(None))
)


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


def load(conn: Connection, group: int, viewer: int = 0) -> Group:
    """The group as the coach of number `viewer` sees it (0: who leads it), with the books as they are on the disk.

    LookupError where there is no such group, or it has no such coach.
    """
    row = conn.execute(select(schema.groups).where(_GROUP.id == group)).one_or_none()
    team = coach_repository.of_group(conn, group)
    me = next((each for each in team if each.runner.id == viewer or (not viewer and each.leads)), None)
    lead = next((each.runner for each in team if each.leads), None)
    if row is None or me is None or lead is None:
        raise LookupError("no such group, or no coach of it", group, viewer)
    ids = list(
        conn.scalars(
            select(_MEMBER.runner_id)
            .where(_MEMBER.group_id == group, _MEMBER.left_at.is_(None))
            .order_by(_MEMBER.joined_at, _MEMBER.id)
        )
    )
    members = tuple(
        Member(book_repository.load(conn, each), shares(conn, each, me.since), notes(conn, each, me.runner.id))
        for each in ids
    )
    return Group(group, lead, row.chat or "", members, team)


def member_ids(conn: Connection, group: int) -> tuple[int, ...]:
    """Numbers of the runners of a group."""
    return tuple(conn.scalars(select(_MEMBER.runner_id).where(_MEMBER.group_id == group, _MEMBER.left_at.is_(None))))


def runners(conn: Connection, voice: str) -> tuple[str, ...]:
    """The users of `voice` who run in a group."""
    return tuple(row.user for row in _USERS.rows(conn, {"voice": voice}))


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


def shares(conn: Connection, runner_id: int, since: datetime | None = None) -> frozenset[Share]:
    """What a runner shares with a coach who has coached since `since`; None for what they share with anybody.

    What was shared before that coach came is not theirs to see. Being named is about the group's chat, and no coach's.
    A word that an older version wrote is nothing shared.
    """
    rows = conn.execute(select(schema.shares.c.kind, schema.shares.c.at).where(schema.shares.c.runner_id == runner_id))
    known = {kind.value: kind for kind in Share}
    return frozenset(
        known[row.kind]
        for row in rows
        if row.kind in known and (since is None or row.at >= since or known[row.kind] is Share.NAMED)
    )


def share(conn: Connection, runner_id: int, kind: Share, now: datetime, *, on: bool) -> None:
    """The runner shares `kind` from now on, with everybody who coaches the group now; or no longer."""
    if on:
        said = upsert(schema.shares).values(runner_id=runner_id, kind=kind, at=now)
        conn.execute(said.on_conflict_do_update(index_elements=["runner_id", "kind"], set_={"at": now}))
        return
    where = (schema.shares.c.runner_id == runner_id, schema.shares.c.kind == kind)
    conn.execute(delete(schema.shares).where(*where))


def notes(conn: Connection, runner_id: int, author_id: int) -> tuple[Note, ...]:
    """What `author_id` noted about a runner, oldest first."""
    rows = select(_NOTE.id, _NOTE.at, _NOTE.text).where(_NOTE.runner_id == runner_id, _NOTE.author_id == author_id)
    return tuple(Note(row.id, row.at, row.text) for row in conn.execute(rows.order_by(_NOTE.at, _NOTE.id)))


def note(conn: Connection, runner_id: int, author_id: int, at: datetime, text: str, place: int = 0) -> None:
    """A coach's note about a runner: a new one, or the one of number `place` written again; without text it goes."""
    mine = (_NOTE.id == place, _NOTE.runner_id == runner_id, _NOTE.author_id == author_id)
    if not place:
        conn.execute(insert(schema.notes).values(runner_id=runner_id, author_id=author_id, at=at, text=text))
    elif text:
        conn.execute(update(schema.notes).where(*mine).values(text=text, at=at))
    else:
        conn.execute(delete(schema.notes).where(*mine))


def forget(conn: Connection, book: Book) -> None:
    """Takes a person out of what waits for others, by number alone; for erasure, before the book itself goes.

    A letter that names them goes as a whole, but for somebody else's safety letter. Of lines that met a bug and are put
    aside, the text of those by the coaches of every group they ran in goes: it may name them.
    """
    named = select(schema.mentions.c.letter_id).where(schema.mentions.c.runner_id == book.runner.id)
    conn.execute(delete(schema.outbox).where(_OUT.id.in_(named), _OUT.kind != SAFETY))
    ran_in = select(_MEMBER.group_id).where(_MEMBER.runner_id == book.runner.id)
    coaches = (
        select(schema.runners.c.user)
        .join(schema.coaches, schema.coaches.c.runner_id == schema.runners.c.id)
        .where(schema.coaches.c.group_id.in_(ran_in))
    )
    aside = (
        schema.inbox.c.voice == book.runner.voice,
        schema.inbox.c.user.in_(coaches),
        schema.inbox.c.state == "dead",
    )
    conn.execute(update(schema.inbox).where(*aside).values(raw=None))
