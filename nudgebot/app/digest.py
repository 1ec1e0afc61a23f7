"""A coach's week at a glance: when it comes, what it says, and whether it may still leave.

Everything happens in the caller's transaction.
"""

from __future__ import annotations

import re
from datetime import datetime, time
from typing import Final

from sqlalchemy import Connection

from nudgebot.app import coaching
from nudgebot.app.request import Request
from nudgebot.domain.dialogue.values import Answer, say
from nudgebot.domain.messages.group import roster as roster_words
from nudgebot.domain.messages.group import team as words
from nudgebot.domain.messages.group.group import PICTURE
from nudgebot.domain.model.nudged import WEEKDAYS, Nudged, NudgeKind, Outcome
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import NUDGE, Say
from nudgebot.domain.nudging.throttle import Reason
from nudgebot.domain.nudging.times import quiet_until, stale_at
from nudgebot.domain.overview import chat_lines
from nudgebot.domain.overview.group import DigestTime, Share, next_digest, roster
from nudgebot.storage import book_repository, coach_repository, due_queue, outbox

DIGEST: Final = re.compile(r"(?P<day>[a-z]{2,9})(?:\s+(?:at\s+)?(?P<hour>[01]?\d|2[0-3])[:.h](?P<minute>[0-5]\d))?")


def send_digest(conn: Connection, coach_id: int, number: int, now: datetime) -> None:
    """A coach's digest of group `number`; with the leading coach's the overview in the group chat: once, not late."""
    at = coach_repository.digest_at(conn, coach_id, number)
    if at is None or at > now:
        return
    coach = book_repository.load(conn, coach_id)
    wanted = coach_repository.digest_time(conn, coach_id, number)
    coach_repository.set_digest(conn, coach_id, number, next_digest(coach, now, wanted))
    if not coaching.coaches_now(conn, coach_id, number, now):  # a stand-in whose days are not there yet, or over
        return
    group = coaching.view_group(conn, number, now, coach_id)
    stale = stale_at(NudgeKind.COACH_DIGEST, at)
    day = coach.local(at).date()
    muted = coach.runner.stopped or not coach.runner.reachable or not group.members
    if muted or now > stale:
        return
    nudged = Nudged(NudgeKind.COACH_DIGEST, day, str(number), at, now, Outcome.SENT, Reason.DUE)
    if not due_queue.settle(conn, coach.runner.id, nudged):
        return
    kind = f"{NUDGE}{NudgeKind.COACH_DIGEST}"
    everybody = (*(member.id for member in group.members), *group.titled)
    at_desk_now = coach_repository.actor(conn, coach_id, now, owner=False).coaches == number
    buttons = (PICTURE,) if at_desk_now else ()
    shown = roster_words.roster(roster(group, now), group.labels, day, group.title)
    text = Say(shown, kind, buttons, about=everybody)
    key = f"digest:{coach_id}:{number}:{day}"
    outbox.put(conn, coach.runner, text, key=key, now=now, stale_at=stale, nudge=nudged)
    if group.chat and group.coach.id == coach_id:
        line = chat_lines.overview(group, now)
        named = tuple(m.id for m in group.members if Share.NAMED in m.shares)
        coaching.to_group(
            conn, coach.runner, group.chat, line, key=f"{key}/chat", now=now, kind=kind, stale=stale, about=named
        )


def digest_withdrawn(conn: Connection, coach: Book, slot: str, now: datetime) -> Reason | None:
    """Why the digest of the group whose number is `slot` may not leave: silence is wanted, or the group is gone."""
    if coach.runner.stopped:
        return Reason.SILENCED
    if quiet_until(coach, now) is not None:
        return Reason.QUIET
    return None if coaching.coaches_now(conn, coach.runner.id, int(slot), now) else Reason.CHANGED


def follow_clock(conn: Connection, before: Book, after: Book, now: datetime) -> None:
    """A coach's clock was set: the next digest follows it."""
    if before.profile == after.profile:
        return
    coach = after.runner.id
    for number in coach_repository.groups_of(conn, coach):
        at = coach_repository.digest_at(conn, coach, number)
        if at is not None and at > now:
            wanted = coach_repository.digest_time(conn, coach, number)
            coach_repository.set_digest(conn, coach, number, next_digest(after, now, wanted))


def set_digest(request: Request, rest: str) -> Answer:
    """When the writer's week at a glance comes, shown or changed."""
    conn, book, now = request.conn, request.book, request.now
    at = (book.runner.id, request.actor.coaches)
    wanted = coach_repository.digest_time(conn, *at)
    if rest:
        read = _digest_in(rest, wanted)
        if read is None:
            return say(book, words.DIGEST_WANTED)
        wanted = read
        coach_repository.set_digest(conn, *at, next_digest(book, now, wanted), wanted)
    told = book.intake.zone is not None
    return say(book, words.say_digest(wanted, coach_repository.digest_at(conn, *at), book.profile.tz, zone_told=told))


def _digest_in(text: str, now: DigestTime) -> DigestTime | None:
    """A weekday, with a time or at the same as now; None if it is neither that nor "off"."""
    plain = " ".join(text.casefold().split())
    if plain in {"off", "never", "no", "none"}:
        return DigestTime(None, now.at)
    found = DIGEST.fullmatch(plain)
    day = next((n for n, name in enumerate(WEEKDAYS) if found and found["day"].startswith(name)), None)
    if found is None or day is None:
        return None
    return DigestTime(day, time(int(found["hour"]), int(found["minute"])) if found["hour"] else now.at)
