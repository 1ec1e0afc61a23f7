"""Who may come in: invitations, by the digest of their code, and who knocked at a closed door.

Every function works on the caller's connection, inside the caller's transaction.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from sqlalchemy import Connection, Row, delete, func, insert, or_, select, update

from nudgebot.storage import schema
from nudgebot.storage.codec import fingerprint

KNOCKS_KEPT: Final = timedelta(days=1)

_INVITATION: Final = schema.invitations.c
_KNOCK: Final = schema.knocks.c


class Knock(StrEnum):
    """What somebody did whom we do not know, or who tried a code."""

    CODE = "code"  # a code that opens nothing
    LINE = "line"  # was turned away


class Opens(StrEnum):
    """What an invitation makes of whoever uses it."""

    RUNNER = "runner"  # of the group
    FRIEND = "friend"  # somebody who runs with nobody's eye on them
    COACH = "coach"  # of a group of their own
    SECOND = "second coach"  # of the group
    STAND_IN = "stand-in"  # for the group's coach, for some days
    SUCCESSOR = "successor"  # who leads the group from then on
    ACCOUNT = "account"  # another account of the person who made it


@dataclass(frozen=True, slots=True)
class Invitation:
    """An invitation as far as it is kept: the code is not. `begins` and `ends` are a stand-in's time, else None."""

    id: int
    by: int
    group: int
    made_at: datetime
    until: datetime
    uses_left: int
    opens: Opens
    begins: datetime | None = None
    ends: datetime | None = None


def invite(
    conn: Connection,
    code: str,
    by: int,
    opens: Opens,
    *,
    group: int,
    now: datetime,
    until: datetime,
    uses: int,
    span: tuple[datetime, datetime] | None = None,
) -> int:
    """Keeps an invitation by the digest of its `code`; its number. `group` is 0 for none, `span` a stand-in's time."""
    begins, ends = span or (None, None)
    row = {
        "by_id": by, "group_id": group or None, "opens": opens, "begins": begins, "ends": ends,
        "digest": fingerprint(code), "made_at": now, "until": until, "uses_left": uses,
    }  # fmt: skip
    made = conn.execute(insert(schema.invitations).values(row)).inserted_primary_key
    if made is None:
        raise RuntimeError("the database gave the invitation no number")
    return int(made[0])


def invited(conn: Connection, code: str, now: datetime) -> Invitation | None:
    """The invitation of `code` if it still opens: not expired, not used up, not revoked."""
    row = conn.execute(
        select(schema.invitations)
        .where(_INVITATION.digest == fingerprint(code), _INVITATION.until > now, _INVITATION.uses_left > 0)
        .with_for_update()  # two who hold the last use of it come one after the other
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
    conn.execute(insert(schema.knocks).values(digest=fingerprint(f"{voice}:{user}"), what=what, at=now))


def knocks(conn: Connection, voice: str, user: str, what: Knock, since: datetime) -> int:
    """How often somebody knocked in that way since `since`."""
    mine = (_KNOCK.digest == fingerprint(f"{voice}:{user}"), _KNOCK.what == what, _KNOCK.at > since)
    return conn.scalar(select(func.count()).select_from(schema.knocks).where(*mine)) or 0


def prune(conn: Connection, now: datetime) -> None:
    """Forgets knocks of yesterday and invitations that open no more."""
    conn.execute(delete(schema.knocks).where(_KNOCK.at < now - KNOCKS_KEPT))
    conn.execute(delete(schema.invitations).where(or_(_INVITATION.until <= now, _INVITATION.uses_left <= 0)))


def _invitation(row: Row[tuple[object, ...]]) -> Invitation:
    return Invitation(
        row.id, row.by_id, row.group_id or 0, row.made_at, row.until, row.uses_left, Opens(row.opens),
        row.begins, row.ends,
    )  # fmt: skip
