"""Lines whose meaning their writers pressed and let be used for training, as the host may hand them to the trainer.

One JSON object a line, with the fields of `tests/corpus/lines`: the words, the language they are heard in, a number
for the person, the intent and the minutes. Nobody is named; lines without consent are not kept in words at all.
"""

from __future__ import annotations

import json
from typing import TextIO

from sqlalchemy import Engine

from nudgebot.domain.text.learned import signs
from nudgebot.storage import book_repository
from nudgebot.storage.database import reading

LOT = "host"  # the author that the trainer leaves out together


def run(engine: Engine, out: TextIO) -> int:
    """Prints the lines of every runner who allows it; the exit status, 0."""
    with reading(engine) as conn:
        books = [book_repository.load(conn, each) for each in book_repository.all_ids(conn)]
    for book in books:
        for pressed in book.readings if book.teaches else ():
            if pressed.line:
                row: dict[str, object] = {
                    "text": pressed.line,
                    "lang": signs.language_of(pressed.line, "en"),
                    "person": f"{LOT}-{book.runner.id}",
                    "intent": pressed.intent,
                    "lot": LOT,
                }
                row |= {} if pressed.minutes is None else {"minutes": pressed.minutes}
                out.write(json.dumps(row, ensure_ascii=False) + "\n")
    return 0
