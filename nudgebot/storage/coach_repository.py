"""Who coaches which groups, from when to when, and when each coach's digest of each falls due.

Every function works on the caller's connection, inside the caller's transaction.
"""

from __future__ import annotations

from datetime import datetime, time
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, and_, bindparam, delete, func, insert, or_, select, update

from nudgebot.domain.model.rights import Actor
from nudgebot.domain.model.runner import Runner
from nudgebot.domain.overview.group import Coach, DigestTime
from nudgebot.storage import book_repository, schema
from nudgebot.storage.database import upsert
from nudgebot.storage.statement import Statement

_COACH: Final = schema.coaches.c
_RUNNER: Final = schema.runners.c
_MEMBER: Final = schema.members.c


def _working(now: Any) -> ColumnElement[bool]:
    return and_(or_(_COACH.begins.is_(None), _COACH.begins <= now), or_(_COACH.ends.is_(None), _COACH.ends > now))


_NOW: Final = bindparam("now", type_=schema.Instant)
# Of several groups the one that is spoken about, else the one chosen last, else one's own.
_ROLE: Final = Statement(
    select(_COACH.group_id, _COACH.leads)
    .where(_COACH.runner_id == bindparam("coach"), _working(_NOW))
    .order_by(
        _COACH.group_id != bindparam("here"), _COACH.chosen_at.is_(None), _COACH.chosen_at.desc(), _COACH.leads.desc()
    )
    .limit(1)
)
_RUNS_IN: Final = Statement(
    select(_MEMBER.group_id).where(_MEMBER.runner_id == bindparam("runner"), _MEMBER.left_at.is_(None))
)
_ROLES: Final = Statement(
    select(_RUNNER.user, _COACH.leads)
    .join(schema.coaches, _COACH.runner_id == _RUNNER.id)
    .where(_RUNNER.voice == bindparam("voice"), _working(_NOW))
)
_OF_GROUP: Final = Statement(
    select(schema.coaches).where(_COACH.group_id == bindparam("group")).order_by(_COACH.leads.desc(), _COACH.since)
)


def actor(conn: Connection, runner_id: int, now: datetime, *, owner: bool, here: int = 0) -> Actor:
    """The roles of a person at `now`, as a coach those in the group `here` if they coach it, else at their desk."""
    row = _ROLE.row(conn, {"coach": runner_id, "now": now, "here": here})
    return Actor(owner, row.group_id if row else 0, group_of(conn, runner_id), leads=bool(row and row.leads))


def group_of(conn: Connection, runner_id: int) -> int:
    """Number of the group in which a runner runs, 0 for none."""
    return _RUNS_IN.value(conn, {"runner": runner_id}) or 0


def users(conn: Connection, voice: str, now: datetime) -> dict[str, bool]:
    """The users of `voice` who coach at `now`, and whether each leads their group."""
    found: dict[str, bool] = {}
    for row in _ROLES.rows(conn, {"voice": voice, "now": now}):
        found[row.user] = row.leads or found.get(row.user, False)
    return found


def of_group(conn: Connection, group: int) -> tuple[Coach, ...]:
    """Everybody who coaches the group, has or will; who leads it first."""
    rows = _OF_GROUP.rows(conn, {"group": group})
    return tuple(
        Coach(book_repository.person(conn, row.runner_id), row.since, row.leads, row.begins, row.ends) for row in rows
    )


def groups(conn: Connection, voice: str) -> tuple[int, ...]:
    """Numbers of all groups of a voice."""
    return tuple(conn.scalars(select(schema.groups.c.id).where(schema.groups.c.voice == voice)))


def lead_of(conn: Connection, group: int) -> Runner:
    """Who leads the group; LookupError where there is no such group."""
    lead = conn.scalar(select(_COACH.runner_id).where(_COACH.group_id == group, _COACH.leads.is_(True)))
    if lead is None:
        raise LookupError("no such group", group)
    return book_repository.person(conn, lead)


def groups_of(conn: Connection, runner_id: int) -> tuple[int, ...]:
    """Numbers of the groups that somebody coaches, has coached or will until it is forgotten; their own first."""
    mine = select(_COACH.group_id).where(_COACH.runner_id == runner_id)
    return tuple(conn.scalars(mine.order_by(_COACH.leads.desc(), _COACH.since)))


def led_by(conn: Connection, runner_id: int) -> int:
    """Number of the group that somebody leads, 0 for none: one leads one at a time."""
    return conn.scalar(select(_COACH.group_id).where(_COACH.runner_id == runner_id, _COACH.leads.is_(True))) or 0


def choose(conn: Connection, runner_id: int, group: int, now: datetime) -> None:
    """That group is at the coach's desk from now on."""
    conn.execute(update(schema.coaches).where(*_one(runner_id, group)).values(chosen_at=now))


def appoint(
    conn: Connection,
    runner_id: int,
    group: int,
    now: datetime,
    digest_at: datetime | None,
    *,
    leads: bool = False,
    begins: datetime | None = None,
    ends: datetime | None = None,
) -> None:
    """Somebody coaches the group from `now` on, or from `begins` to `ends`; runners share with them from then on.

    One who leads it does so in place of whoever did, whose notes about its runners go with it.
    """
    if leads:
        former = conn.scalar(select(_COACH.runner_id).where(_COACH.group_id == group, _COACH.leads.is_(True)))
        if former is not None and former != runner_id:
            of_group = select(_MEMBER.runner_id).where(_MEMBER.group_id == group, _MEMBER.left_at.is_(None))
            about = (schema.notes.c.author_id == former, schema.notes.c.runner_id.in_(of_group))
            conn.execute(update(schema.notes).where(*about).values(author_id=runner_id))
            dismiss(conn, former, group)
    usual = DigestTime()
    row = {
        "runner_id": runner_id, "group_id": group, "since": now, "leads": leads, "begins": begins, "ends": ends,
        "digest_day": usual.day, "digest_time": f"{usual.at:%H:%M}", "digest_at": digest_at,
    }  # fmt: skip
    # A second coach who leads from now on keeps the hour of the digest, and what was shared since.
    kept = {key: row[key] for key in ("leads", "begins", "ends")}
    once = upsert(schema.coaches).values(row)
    conn.execute(once.on_conflict_do_update(index_elements=["runner_id", "group_id"], set_=kept))


def dismiss(conn: Connection, runner_id: int, group: int) -> None:
    """Somebody coaches that group no more; their open invitations into it open nothing."""
    conn.execute(delete(schema.coaches).where(*_one(runner_id, group)))
    theirs = schema.invitations.c.by_id == runner_id
    conn.execute(delete(schema.invitations).where(theirs, schema.invitations.c.group_id == group))


def over(conn: Connection, now: datetime) -> tuple[tuple[int, int], ...]:
    """The stand-ins whose time is over, with their groups: `dismiss` forgets each."""
    rows = conn.execute(select(_COACH.runner_id, _COACH.group_id).where(_COACH.ends <= now))
    return tuple((row.runner_id, row.group_id) for row in rows)


def _one(runner_id: int, group: int) -> tuple[ColumnElement[bool], ...]:
    return _COACH.runner_id == runner_id, _COACH.group_id == group


# The digest


def digests_due(conn: Connection, voice: str, now: datetime) -> list[tuple[int, int]]:
    """Coaches and groups, by number, whose digest falls due by `now`."""
    due = select(_COACH.runner_id, _COACH.group_id).join(schema.runners, _RUNNER.id == _COACH.runner_id)
    rows = conn.execute(due.where(_RUNNER.voice == voice, _COACH.digest_at <= now).order_by(_COACH.digest_at))
    return [(row.runner_id, row.group_id) for row in rows]


def digest_at(conn: Connection, coach: int, group: int) -> datetime | None:
    """When a coach's digest of a group falls due, None if none does."""
    return conn.scalar(select(_COACH.digest_at).where(*_one(coach, group)))


def digest_time(conn: Connection, coach: int, group: int) -> DigestTime:
    """When a coach wants the digest of a group."""
    row = conn.execute(select(_COACH.digest_day, _COACH.digest_time).where(*_one(coach, group))).one()
    return DigestTime(row.digest_day, time.fromisoformat(row.digest_time))


def set_digest(conn: Connection, coach: int, group: int, at: datetime | None, wanted: DigestTime | None = None) -> None:
    """The coach's next digest of a group falls due at `at`; `wanted` is when those after it do, None for as before."""
    values: dict[str, object] = {"digest_at": at}
    if wanted is not None:
        values |= {"digest_day": wanted.day, "digest_time": f"{wanted.at:%H:%M}"}
    conn.execute(update(schema.coaches).where(*_one(coach, group)).values(values))


def next_digest(conn: Connection, voice: str) -> datetime | None:
    """When the first digest of `voice` falls due, or a stand-in's days are over; None if neither will be."""
    first = select(func.min(_COACH.digest_at), func.min(_COACH.ends)).join(
        schema.runners, _RUNNER.id == _COACH.runner_id
    )
    return min(filter(None, conn.execute(first.where(_RUNNER.voice == voice)).one()), default=None)


def begin(conn: Connection, lead: Runner, now: datetime, digest: datetime | None) -> int:
    """A group of `lead`'s own; its number."""
    made = conn.execute(insert(schema.groups).values(voice=lead.voice, chat=None, made_at=now)).inserted_primary_key
    if made is None:
        raise RuntimeError("the database gave the new group no number")
    appoint(conn, lead.id, int(made[0]), now, digest, leads=True)
    return int(made[0])
