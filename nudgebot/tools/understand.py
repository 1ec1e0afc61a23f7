"""Lines in, one JSON reading a line out: the reader of replies as a filter for a shell pipe."""

import json
from collections.abc import Iterator
from datetime import date
from typing import BinaryIO, TextIO

from nudgebot.domain.dialogue.health import safety_question
from nudgebot.domain.text.reply import Intent, Reading, read
from nudgebot.domain.text.triage import triage

LONGEST_LINE = 4096  # characters


def run(stream: BinaryIO, out: TextIO, today: date) -> int:
    """Read every line of `stream` as written on `today`; write one JSON object a line; the exit status, 0.

    A line ends at LF only; one CR before it is dropped. A line that is not UTF-8 or is longer than 4,096
    characters is `unknown` with `ask_back`.
    """
    for line in _lines(stream):
        out.write(json.dumps(understood(line, today), ensure_ascii=False))
        out.write("\n")
        out.flush()
    return 0


def _lines(stream: BinaryIO) -> Iterator[bytes]:
    for raw in stream:
        yield raw.removesuffix(b"\n").removesuffix(b"\r") if raw.endswith(b"\n") else raw


def understood(raw: bytes, today: date) -> dict[str, object]:
    """The fields of one line."""
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError:
        return fields(Reading(Intent.UNKNOWN, ask_back=True), "none")
    if len(text) > LONGEST_LINE:
        return fields(Reading(Intent.UNKNOWN, ask_back=True), "none")
    reading, verdict = read(text, today), triage(text)
    asks = bool(verdict.question) or safety_question.is_worth_asking(text, today, verdict, reading)
    return fields(reading, verdict.level, safety_question=asks)


def fields(reading: Reading, level: str, *, safety_question: bool = False) -> dict[str, object]:
    """A reading as the fields a shell or another program can rely on; `logs` only where there are several.

    `safety_question` says whether the line is asked about first: "Is that something you feel?", or a plain question.
    """
    shown: dict[str, object] = {
        "intent": reading.intent.value,
        "minutes": reading.minutes,
        "day": reading.day.isoformat() if reading.day else None,
        "days": [day.isoformat() for day in reading.days],
        "heart_rate": reading.heart_rate,
        "rpe": reading.rpe,
        "distance_km": reading.distance_km,
        "triage": str(level),
        "safety_question": safety_question,
        "ask_back": reading.ask_back,
    }
    if reading.logs:
        shown["logs"] = [{"day": run.day.isoformat(), "minutes": run.minutes} for run in reading.logs]
    return shown
