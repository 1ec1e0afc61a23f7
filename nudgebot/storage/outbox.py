"""What is to be said: written with the decision in one transaction, sent after it, in order within a chat.

A letter is marked `taken` as the sender takes it up, and an ordinary nudge `sending` right before the platform is
called, each in a committed transaction. What was only taken is sent by the next start. The platform knows no
idempotency key, so a call whose end is unknown is decided by kind: an ordinary nudge counts as sent, since
silence beats a double; everything else is sent again until it is confirmed, since a double beats silence.
Every function works on the caller's connection, inside the caller's transaction.
"""

from __future__ import annotations

import hashlib
import json
from datetime import UTC, datetime, timedelta
from typing import Final

from sqlalchemy import Boolean, Connection, and_, bindparam, case, delete, exists, insert, or_, select, update

from nudgebot.domain.model.action_codec import encode
from nudgebot.domain.model.nudged import Nudged
from nudgebot.domain.model.runner import Runner
from nudgebot.domain.model.speech import NUDGE, SAFETY, Say
from nudgebot.storage import due_queue, schema
from nudgebot.storage.database import upsert, wipe_after
from nudgebot.storage.letter import Letter, LetterState, letter_of, sent_once
from nudgebot.storage.statement import Statement

KEPT: Final = timedelta(days=8)  # how long a letter's buttons can still be looked up
BACK: Final = datetime(9999, 1, 1, tzinfo=UTC)  # until when a letter waits that waits for its person to write again
LONGEST_LEASE: Final = timedelta(minutes=10)  # one that ends later was given before the clock was set back
FIRST_PAUSE: Final = timedelta(seconds=2)  # before a call of unknown end is repeated; doubled each time
LONGEST_PAUSE: Final = timedelta(minutes=5)

TOLD: Final = "told:"  # begins the keys of a coach's messages; their coach's number follows
_BOX: Final = schema.outbox.c


def put(
    conn: Connection,
    runner: Runner,
    say: Say,
    *,
    key: str,
    now: datetime,
    reply_to: str | None = None,
    chat: str = "",
    not_before: datetime | None = None,
    stale_at: datetime | None = None,
    nudge: Nudged | None = None,
    until_back: bool = False,
) -> bool:
    """Puts one message in the box; False, and nothing is put, where `key` is known.

    A `runner` of number 0 is somebody of whom nothing is kept; the letter waits until `not_before`, and
    `stale_at` is the last instant at which it still helps. One that is `until_back` outlasts a "stop".
    """
    letter = {
        "key": key,
        "runner_id": runner.id or None,
        "voice": runner.voice,
        "user": runner.user,
        "chat": chat,
        "address": _address(runner.user, chat),
        "kind": say.kind,
        "text": say.text,
        "buttons": json.dumps([[b.label, encode(b.action)] for b in say.buttons], ensure_ascii=False)
        if say.buttons
        else "[]",
        "asks": say.asks,
        "reply_to": reply_to,
        "nudge_kind": nudge.kind if nudge else None,
        "for_day": nudge.for_day if nudge else None,
        "slot": nudge.slot if nudge else None,
        "put_at": now,
        "not_before": not_before or now,
        "stale_at": stale_at,
        "state": LetterState.WAITING,
        "attempts": 0,
        "why": "",
        "picture": f"{say.picture} {say.page}" if say.picture and say.page > 1 else say.picture,
        "file": say.file,
        "until_back": until_back,
    }
    filled = {name: value for name, value in letter.items() if value is not None}
    put_now = bool(_PUTTING.run(conn, filled).rowcount)
    if put_now and (others := set(say.about) - {runner.id}):
        letter_id = conn.scalar(select(_BOX.id).where(_BOX.key == key))
        conn.execute(insert(schema.mentions), [{"letter_id": letter_id, "runner_id": each} for each in others])
    return put_now


_other = schema.outbox.alias("other")
_unasked = _BOX.kind.startswith(NUDGE) & (_BOX.attempts == 0)
_other_unasked = _other.c.kind.startswith(NUDGE) & (_other.c.attempts == 0)
_READY: Final = (
    select(_BOX.id)
    .where(
        _BOX.ended_at.is_(None),
        _BOX.voice == bindparam("of_voice"),
        _BOX.state == LetterState.WAITING.value,
        _BOX.not_before <= bindparam("at_most"),
        or_(_BOX.stale_at.is_(None), _BOX.stale_at >= bindparam("at_most")),
        or_(bindparam("unasked", type_=Boolean), ~_BOX.kind.startswith(NUDGE)),
        ~exists().where(
            _other.c.ended_at.is_(None),
            _other.c.voice == _BOX.voice,
            _other.c.address == _BOX.address,
            # One that was put off from the start (a coach's word, in quiet hours) lets the others pass.
            or_(_other.c.not_before <= bindparam("at_most"), _other.c.attempts > 0),
            # The earlier one goes first; but nobody's answer waits behind their own nudge, which may stand behind
            # thousands of others.
            case(
                (and_(_unasked, ~_other.c.kind.startswith(NUDGE)), True),
                (and_(_other_unasked, ~_BOX.kind.startswith(NUDGE)), False),
                else_=_other.c.id < _BOX.id,
            ),
        ),
    )
    .order_by(case((_BOX.kind == SAFETY, 0), (_BOX.kind.startswith(NUDGE), 2), else_=1), _BOX.id)  # as `_turn`
    .limit(bindparam("most"))
    .with_for_update(of=schema.outbox, skip_locked=True)  # not what another worker is taking up
)
_PUTTING: Final = Statement(upsert(schema.outbox).on_conflict_do_nothing())
_NUMBERED: Final = Statement(select(schema.outbox).where(_BOX.id == bindparam("letter")))
_TAKING: Final = Statement(
    update(schema.outbox)
    .where(_BOX.id.in_(select(_READY.cte("ready").c.id)))  # a plain subquery may be asked twice, and lock too many
    .values(state=LetterState.TAKEN, attempts=_BOX.attempts + 1, leased_until=bindparam("until"))
    .returning(schema.outbox)
)
_changing = update(schema.outbox).where(_BOX.id == bindparam("letter"), _BOX.ended_at.is_(None))
_CHANGING: Final = Statement(_changing)
_CLOSING: Final = Statement(_changing.returning(_BOX.runner_id))
# Each taking up counts an attempt: a sender who comes back late finds that the letter is another's by now.
_MINE: Final = Statement(_changing.where(_BOX.attempts == bindparam("attempt")))
# Of somebody of whom nothing is kept no letter is either, once it has left.
_NOBODYS: Final = Statement(
    delete(schema.outbox).where(_BOX.id == bindparam("letter"), _BOX.runner_id.is_(None), _BOX.ended_at.is_not(None))
)
_STALE: Final = Statement(
    select(_BOX.id).where(
        _BOX.ended_at.is_(None),
        _BOX.voice == bindparam("of_voice"),
        _BOX.state == LetterState.WAITING.value,
        _BOX.stale_at < bindparam("at"),
    )
)
_FIRST: Final = Statement(
    select(_BOX.not_before)
    .where(_BOX.ended_at.is_(None), _BOX.voice == bindparam("of_voice"), _BOX.state == LetterState.WAITING.value)
    .order_by(_BOX.not_before)
    .limit(1)
)


def claim(
    conn: Connection, voice: str, now: datetime, limit: int, lease: timedelta, *, unasked: bool = True
) -> list[Letter]:
    """At most `limit` letters to send now, one a chat, marked `taken` until `lease` has passed.

    Without `unasked` only what somebody waits for: no nudges.
    Commit before calling the platform. A letter whose time has passed is not handed out, and nudges among them are
    dropped here. No letter is handed out
    while an earlier one to the same chat is open, but for an answer, which passes a nudge that was not tried yet.
    """
    if unasked:
        _drop_stale(conn, voice, now)
    asked = {"of_voice": voice, "at_most": now, "most": limit, "unasked": unasked, "until": now + lease}
    return sorted(map(letter_of, _TAKING.rows(conn, asked)), key=_turn)


def calling(conn: Connection, letter_id: int, attempt: int) -> bool:
    """The platform is about to be called for a letter of which a second copy would be worse than none.

    False, and it may not be, where the letter is no longer in the hand of who took it up as `attempt`.
    """
    given = {"letter": letter_id, "attempt": attempt, "state": LetterState.SENDING}
    return bool(_MINE.run(conn, given).rowcount)


def delivered(conn: Connection, letter_id: int, now: datetime, message_id: str) -> None:
    """The platform confirmed the letter as its message `message_id`; the text goes, the buttons stay a while."""
    _end(conn, letter_id, now, LetterState.SENT, "", message_id)


def try_at(conn: Connection, letter_id: int, at: datetime, attempt: int | None = None) -> None:
    """The platform asked for patience, or was not reached at all: the letter waits until `at`.

    Not if `attempt` is given, and the letter was taken up again since.
    """
    given = {"letter": letter_id, "state": LetterState.WAITING, "not_before": at, "leased_until": None}
    if attempt is None:
        _CHANGING.run(conn, given)
    else:
        _MINE.run(conn, given | {"attempt": attempt})


def refused(conn: Connection, letter_id: int, now: datetime, why: str) -> None:
    """The person does not want to hear from us: they are marked unreachable until they write.

    Everything else on its way to them in private is closed with it. A group that shut us out closes only its letter,
    and is bound no more.
    """
    letter = find(conn, letter_id)
    if letter is None:
        return
    closing = [letter_id]
    if letter.chat:
        of_chat = (schema.groups.c.voice == letter.voice, schema.groups.c.chat == letter.chat)
        conn.execute(update(schema.groups).where(*of_chat).values(chat=None))
    else:
        others = select(_BOX.id).where(
            _BOX.ended_at.is_(None), _BOX.voice == letter.voice, _BOX.address == _address(letter.user, "")
        )
        closing = sorted({letter_id, *conn.scalars(others)})
        if letter.runner_id is not None:
            of_runner = schema.runners.c.id == letter.runner_id
            conn.execute(update(schema.runners).where(of_runner).values(reachable=False))
    for each in closing:
        not_sent(conn, each, now, why, LetterState.REFUSED)


def not_sent(
    conn: Connection, letter_id: int, now: datetime, why: str, state: LetterState = LetterState.DROPPED
) -> None:
    """The letter will never leave: no longer true, too late, or not acceptable; a nudge's outcome says so."""
    letter = find(conn, letter_id)
    if letter is None or not _end(conn, letter_id, now, state, why):
        return
    if letter.runner_id and letter.nudge_kind and letter.for_day and letter.slot is not None:
        due_queue.unsettle(conn, letter.runner_id, letter.nudge_kind, letter.for_day, letter.slot, why=why)


def unknown(conn: Connection, letter_id: int, now: datetime) -> None:
    """The call ended without an answer: an ordinary nudge counts as sent, anything else is sent again."""
    letter = find(conn, letter_id)
    if letter is None:
        return
    if sent_once(letter.kind):
        _end(conn, letter_id, now, LetterState.UNKNOWN, "no answer from the platform")
    else:
        pause = min(FIRST_PAUSE * 2 ** min(max(letter.attempts - 1, 0), 10), LONGEST_PAUSE)
        try_at(conn, letter_id, now + pause, letter.attempts)


def recover(conn: Connection, voice: str, now: datetime, *, all_leases: bool = False) -> int:
    """Decides, by kind, the letters whose sender is gone; how many there were.

    A sender is gone when its lease ended. `all_leases` is for a start that holds the file alone: then every
    letter in a sender's hand is left over, and its chat need not wait for the lease.
    """
    held = and_(_BOX.ended_at.is_(None), _BOX.voice == voice, _BOX.state != LetterState.WAITING.value)
    over = or_(_BOX.leased_until <= now, _BOX.leased_until > now + LONGEST_LEASE)
    left = select(_BOX.id, _BOX.kind, _BOX.state).where(held if all_leases else and_(held, over)).order_by(_BOX.id)
    rows = conn.execute(left.with_for_update(skip_locked=True)).all()
    for row in rows:
        if row.state == LetterState.SENDING and sent_once(row.kind):
            _end(conn, row.id, now, LetterState.UNKNOWN, "the sender ended while the platform was being called")
        else:
            try_at(conn, row.id, now)
    return len(rows)


def call_off(conn: Connection, runner_id: int, now: datetime) -> None:
    """What was put off for this person and has not been tried yet will never leave: they want to be left alone.

    What others changed of theirs waits until they write again.
    """
    put_off = select(_BOX.id, _BOX.until_back).where(
        _BOX.runner_id == runner_id, _BOX.ended_at.is_(None), _BOX.attempts == 0, _BOX.not_before > now
    )
    for letter_id, until_back in conn.execute(put_off).all():
        if until_back:
            try_at(conn, letter_id, BACK)
        else:
            not_sent(conn, letter_id, now, "said stop")


def welcome_back(conn: Connection, runner_id: int, now: datetime) -> None:
    """The person writes again after a "stop": what waited for it may leave."""
    waits = (_BOX.runner_id == runner_id, _BOX.ended_at.is_(None), _BOX.not_before == BACK)
    conn.execute(update(schema.outbox).where(*waits).values(not_before=now))


def digested(key: str) -> str:
    """A key of a letter to somebody else: the line that caused it has its writer's number in its own key.

    The place among the line's letters stays, and what begins the keys of a coach's messages.
    """
    told, number, rest = key.split(":", 2) if key.startswith(TOLD) else ("letter", "", key)
    line, _, place = rest.rpartition("/")
    digest = hashlib.blake2b(line.encode(), digest_size=16).hexdigest()
    return ":".join(filter(None, (told, number, f"{digest}/{place}")))


def last_told(conn: Connection, coach_id: int) -> list[tuple[str, str]]:
    """User and state of each letter of the newest message of a coach, in the order in which they were put."""
    mine = _BOX.key.startswith(f"{TOLD}{coach_id}:", autoescape=True)
    newest = conn.scalar(select(_BOX.key).where(mine).order_by(_BOX.id.desc()).limit(1))
    if newest is None:
        return []
    of_message = _BOX.key.startswith(f"{newest.rpartition('/')[0]}/", autoescape=True)
    rows = select(_BOX.user, _BOX.state).where(of_message).order_by(_BOX.id)
    return [(row.user, row.state) for row in conn.execute(rows)]


def find(conn: Connection, letter_id: int) -> Letter | None:
    """The letter of that number, also after it left, as long as it is kept: a button can name its letter."""
    row = _NUMBERED.row(conn, {"letter": letter_id})
    return None if row is None else letter_of(row)


def next_try(conn: Connection, voice: str) -> datetime | None:
    """When the first waiting letter of `voice` may leave, None if none waits."""
    first: datetime | None = _FIRST.value(conn, {"of_voice": voice})
    return first


def due_since(conn: Connection, voice: str, now: datetime) -> datetime | None:
    """Since when the letter that is longest overdue should have left; None if none is."""
    overdue = (_BOX.ended_at.is_(None), _BOX.voice == voice, _BOX.not_before <= now)
    return conn.scalar(select(_BOX.not_before).where(*overdue).order_by(_BOX.not_before).limit(1))


def prune(conn: Connection, now: datetime) -> None:
    """Removes letters that ended more than eight days ago."""
    conn.execute(delete(schema.outbox).where(_BOX.ended_at.is_not(None), _BOX.ended_at < now - KEPT))


def _address(user: str, chat: str) -> str:
    return f"#{chat}" if chat else f"@{user}"


def _drop_stale(conn: Connection, voice: str, now: datetime) -> None:
    for row in _STALE.rows(conn, {"of_voice": voice, "at": now}):
        not_sent(conn, row.id, now, "too late")


def _end(
    conn: Connection, letter_id: int, now: datetime, state: LetterState, why: str, message_id: str | None = None
) -> bool:
    """Closes an open letter; False where it was closed before. Its text is no longer needed."""
    gone = {"text": "", "leased_until": None}
    values = {"state": state, "why": why, "message_id": message_id, "ended_at": now} | gone
    ended = _CLOSING.row(conn, {"letter": letter_id, **values})
    if ended is not None and ended.runner_id is None:
        _NOBODYS.run(conn, {"letter": letter_id})
        wipe_after(conn)
    return ended is not None


def _turn(letter: Letter) -> tuple[int, int]:
    """Answers to people who are waiting go before what we say unasked."""
    return 0 if letter.kind == SAFETY else 2 if letter.kind.startswith(NUDGE) else 1, letter.id
