"""A letter: one message on its way, as the outbox holds it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any, Final

from nudgebot.domain.model.action_codec import decode
from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.speech import NUDGE, Button, File, Picture
from nudgebot.storage.codec import word

_FOLLOWUP: Final = f"{NUDGE}{NudgeKind.SAFETY_FOLLOWUP}"


class LetterState(StrEnum):
    """What became of a letter."""

    WAITING = "waiting"
    TAKEN = "taken"  # in the sender's hand; a nudge in this state was not handed to the network yet
    SENDING = "sending"  # a nudge for which the platform is being called
    SENT = "sent"  # confirmed
    UNKNOWN = "unknown"  # an ordinary nudge that counts as sent
    DROPPED = "dropped"  # too late, or no longer true
    REFUSED = "refused"  # the platform will not take it


@dataclass(frozen=True, slots=True)
class Letter:
    """One message on its way. `runner_id` is None for somebody of whom nothing is kept.

    `chat` is "" in private, else the group chat. `key` names it once and for all. `nudge_kind`, `for_day` and
    `slot` are set for a nudge. `attempts` counts the calls begun, this one included.
    """

    id: int
    key: str
    runner_id: int | None
    voice: str
    user: str
    chat: str
    kind: str
    text: str
    buttons: tuple[Button, ...]
    asks: str | None
    reply_to: str | None
    nudge_kind: NudgeKind | None
    for_day: date | None
    slot: str | None
    put_at: datetime
    not_before: datetime
    stale_at: datetime | None
    attempts: int
    picture: Picture | None = None
    page: int = 1
    file: File | None = None


def sent_once(kind: str) -> bool:
    """Whether a letter of `kind` counts as sent when the end of the call is unknown: the ordinary nudges."""
    return kind.startswith(NUDGE) and kind != _FOLLOWUP


def letter_of(row: Any) -> Letter:
    """The letter that a row of `outbox` holds."""
    return Letter(
        id=row.id,
        key=row.key,
        runner_id=row.runner_id,
        voice=row.voice,
        user=row.user,
        chat=row.chat,
        kind=row.kind,
        text=row.text,
        buttons=_buttons(row.buttons),
        asks=row.asks,
        reply_to=row.reply_to,
        nudge_kind=row.nudge_kind and word(NudgeKind, row.nudge_kind, row.runner_id or 0),
        for_day=row.for_day,
        slot=row.slot,
        put_at=row.put_at,
        not_before=row.not_before,
        stale_at=row.stale_at,
        attempts=row.attempts,
        picture=row.picture and word(Picture, row.picture.partition(" ")[0], row.runner_id or 0),
        page=int(row.picture.partition(" ")[2] or 1) if row.picture else 1,
        file=row.file and word(File, row.file, row.runner_id or 0),
    )


def _buttons(text: str) -> tuple[Button, ...]:
    """The buttons of a letter; one of an older version, which says nothing to this one, is left out."""
    kept = (tuple(each) for each in json.loads(text))
    read = ((each[0], decode(each[1])) for each in kept if len(each) == 2)
    return tuple(Button(label, action) for label, action in read if action is not None)
