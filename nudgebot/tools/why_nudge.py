"""Why a nudge was sent, held back or dropped: what the store kept, one JSON object a nudge.

On a day without one it says so, and what would hold a nudge back now.
"""

from __future__ import annotations

import json
from datetime import date, datetime
from typing import TextIO

from sqlalchemy import Engine

from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.domain.model.runner import Book, Training, Walking
from nudgebot.domain.nudging import nudges, triggers
from nudgebot.domain.nudging.learned_hour import why_that_hour
from nudgebot.domain.nudging.throttle import Reason
from nudgebot.storage import book_repository
from nudgebot.storage.database import reading


def run(engine: Engine, who: str, day: date, now: datetime, out: TextIO, err: TextIO) -> int:
    """Prints every nudge that fell due for the runner `who` (number or name) about `day`; 2 where nobody is meant.

    Each object has `runner` (number), `kind`, `slot`, `due` and `at` (ISO, in the runner's zone), `outcome`, `reason`
    and `answered`; that of a morning reminder also `hour`, where its time comes from. Where there was none, one line
    on `err` says so.
    """
    with reading(engine) as conn:
        everyone = [book_repository.load(conn, each) for each in book_repository.all_ids(conn)]
    names = ({str(book.runner.id), book.runner.user.casefold(), book.runner.name.casefold()} for book in everyone)
    found = [book for book, called in zip(everyone, names, strict=True) if who.casefold() in called]
    for book in found:
        on_day = sorted((n for n in book.nudges if n.for_day == day), key=lambda n: n.due_at)
        if not on_day:
            err.write(f"runner {book.runner.id}: no nudge fell due for {day}. {_meanwhile(book, day, now)}\n")
        for nudged in on_day:
            said = {
                "runner": book.runner.id,
                "kind": nudged.kind.value,
                "slot": nudged.slot,
                "due": book.local(nudged.due_at).isoformat(),
                "at": book.local(nudged.at).isoformat(),
                "outcome": nudged.outcome.value,
                "reason": Reason(nudged.reason).text if nudged.reason in set(Reason) else nudged.reason,
                "answered": nudged.answered_at is not None,
            }
            if nudged.kind is NudgeKind.MORNING:
                said["hour"] = why_that_hour(book)
            out.write(json.dumps(said, ensure_ascii=False) + "\n")
    return 0 if found else 2


def _meanwhile(book: Book, day: date, now: datetime) -> str:
    """What is known of a day without a nudge: whether something was planned, and what holds nudges back now."""
    if triggers.is_muted(book):
        return (
            "Nothing is sent now: the runner said stop, cannot be reached, or is still answering the first questions."
        )
    if not isinstance(book.standing, Training | Walking):
        return f"Now: {Reason.PAUSED.text}"
    planned = sum(session.minutes for session in book.plan if session.day == day)
    after = nudges.next_look(book, now)
    looked = "" if after is None else f" The next look at this runner is at {book.local(after):%Y-%m-%d %H:%M}."
    return f"The plan of that day now: {planned} min.{looked}"
