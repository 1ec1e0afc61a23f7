"""Messages, and where a speaker stands, as objects for tests and other programs. (docs/talk.md)"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

from nudgebot.domain.messages.plan.lines import sessions_left
from nudgebot.domain.model.logbook import counted_minutes
from nudgebot.domain.model.runner import Book, Ill, Joining, LimitReason, OnHold, Training, Walking
from nudgebot.domain.nudging import nudges
from nudgebot.storage.letter import Letter

PRIVATE: Final = "private"
NOBODY_YET: Final[dict[str, Any]] = {
    "zone": None,
    "standing": "stranger",
    "target": 0,
    "done": 0,
    "plan": [],
    "log": [],
    "pending": [],
}


def message_of(letter: Letter, number: int, at: datetime, reply_to: int | None) -> dict[str, Any]:
    """A message as it is printed, the `number`-th, at `at` on its reader's clock, to input line `reply_to`."""
    return {
        "n": number,
        "at": at.isoformat(),
        "to": letter.user,
        "in": letter.chat or PRIVATE,
        "kind": letter.kind,
        "asks": letter.asks,
        "text": letter.text,
        "buttons": [button.label for button in letter.buttons],
        "reply_to": reply_to,
    }


def state_of(speaker: str, book: Book | None, zone: ZoneInfo, now: datetime) -> dict[str, Any]:
    """The state of a speaker whose book that is, None for a stranger; times on the clock of `zone`."""
    if book is None:
        return {"runner": speaker, "today": now.astimezone(zone).date().isoformat()} | NOBODY_YET
    today = book.today(now)
    week = book.week_of(today) or (book.weeks[-1] if book.weeks else None)
    return {
        "runner": book.runner.name,
        "today": today.isoformat(),
        "zone": zone.key,
        "standing": standing_word(book, today),
        "target": week.target if week else 0,
        "done": counted_minutes(book.log, week.start) if week else 0,
        "plan": [
            {"date": s.day.isoformat(), "minutes": s.minutes, "kind": s.kind.value} for s in sessions_left(book, today)
        ],
        "log": [{"date": e.day.isoformat(), "minutes": e.minutes, "kind": e.activity.value} for e in book.log],
        "pending": [
            {"kind": p.kind.value, "at": p.at.astimezone(zone).isoformat()} for p in nudges.forecast_nudges(book, now)
        ],
    }


def standing_word(book: Book, today: date) -> str:
    """One word for where the runner stands."""
    match book.standing:
        case Joining():
            return "joining"
        case OnHold():
            return "hold"
        case Ill():
            return "ill"
        case Walking():
            return "walking"
        case Training():
            limit = book.limit_on(today)
            if limit is not None and limit.reason is LimitReason.AWAY:
                return "away"
            if book.returning is not None:
                return "return"
            return "walk-run" if book.walk_run is not None else "training"
