"""Why a nudge was sent, held back or dropped: what the store kept, one JSON object a nudge."""

from __future__ import annotations

import json
from datetime import date
from typing import TextIO

from sqlalchemy import Engine

from nudgebot.domain.model.runner import Book
from nudgebot.domain.nudging.throttle import Reason
from nudgebot.storage import book_repository
from nudgebot.storage.database import reading


def run(engine: Engine, who: str, day: date, out: TextIO) -> int:
    """Prints every nudge that fell due for the runner `who` (number or name) about `day`; 2 where nobody is meant.

    Each object has `runner` (number), `kind`, `slot`, `due` and `at` (ISO, in the runner's zone), `outcome`, `reason`
    and `answered`.
    """
    with reading(engine) as conn:
        everyone = [book_repository.load(conn, each) for each in book_repository.all_ids(conn)]
    found = [book for book in everyone if _is(book, who)]
    for book in found:
        for nudged in sorted((n for n in book.nudges if n.for_day == day), key=lambda n: n.due_at):
            said = {
                "runner": book.runner.id,
                "kind": nudged.kind.value,
                "slot": nudged.slot,
                "due": book.local(nudged.due_at).isoformat(),
                "at": book.local(nudged.at).isoformat(),
                "outcome": nudged.outcome.value,
                "reason": reason_words(nudged.reason),
                "answered": nudged.answered,
            }
            out.write(json.dumps(said, ensure_ascii=False) + "\n")
    return 0 if found else 2


def reason_words(reason: str) -> str:
    """A kept reason in plain words; what the platform said stands as it was kept."""
    return Reason(reason).text if reason in set(Reason) else reason


def _is(book: Book, who: str) -> bool:
    return who in {str(book.runner.id), book.runner.user, book.runner.name}
