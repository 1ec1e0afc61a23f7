"""What a book holds one of: the standing, the question asked back, a return, the walk-run ladder; rows both ways."""

from __future__ import annotations

import logging
from dataclasses import asdict, fields
from datetime import datetime
from typing import Any, assert_never

from nudgebot.domain.model.runner import (
    Ask,
    Asked,
    Clearing,
    ClearingStep,
    Ill,
    Joining,
    OnHold,
    Return,
    SafetyQuestion,
    Standing,
    Training,
    Walking,
    WalkRun,
)
from nudgebot.storage.enum_codec import word

_log = logging.getLogger(__name__)

_BLANK: dict[str, Any] = {
    "since": None,
    "day": None,
    "last_fever": None,
    "why": "",
    "level": "",
    "sign": "",
    "said": "",
    "asked_yes": False,
    "step": None,
    "step_since": None,
    "who": "",
}


def standing_row(standing: Standing) -> dict[str, Any]:
    """The row of a standing, without its runner."""
    match standing:
        case Joining():
            return _BLANK | {"kind": "joining"}
        case Training():
            return _BLANK | {"kind": "training"}
        case Walking(since, why, clearing):
            return _BLANK | {"kind": "walking", "since": since, "why": why} | _clearing_row(clearing)
        case Ill(since, last_fever):
            return _BLANK | {"kind": "ill", "day": since, "last_fever": last_fever}
        case OnHold():
            return (
                _BLANK
                | {
                    "kind": "on_hold",
                    "since": standing.since,
                    "level": standing.level,
                    "sign": standing.sign,
                    "said": standing.said,
                    "asked_yes": standing.asked_yes,
                }
                | _clearing_row(standing.clearing)
            )
        case _:
            assert_never(standing)


def standing(row: Any, joined_at: datetime) -> Standing:
    """The standing of a row. One that cannot be read is training to plan, or the hold that its row still tells of."""
    match row.kind:
        case "joining":
            return Joining()
        case "training":
            return Training()
        case "walking":
            return Walking(row.since or joined_at, row.why, _clearing(row))
        case "ill" if row.day is not None:
            return Ill(row.day, row.last_fever)
        case "on_hold":
            return _hold(row, joined_at)
    _log.warning("runner %d: a stored standing cannot be read", row.runner_id)
    # Only a hold names a level; losing one is the dearer mistake, and the runner's word ends it.
    return _hold(row, joined_at) if row.level else Training()


def _hold(row: Any, joined_at: datetime) -> OnHold:
    return OnHold(row.since or joined_at, row.level, row.sign, row.said, row.asked_yes, _clearing(row))


def _clearing_row(clearing: Clearing | None) -> dict[str, Any]:
    if clearing is None:
        return {}
    return {"step": clearing.step, "step_since": clearing.since, "who": clearing.who}


def _clearing(row: Any) -> Clearing | None:
    """An end of the hold under way; one that cannot be read has to be begun again."""
    if row.step is None or row.step_since is None:
        return None
    step = word(ClearingStep, row.step, row.runner_id)
    return None if step is None else Clearing(step, row.step_since, row.who)


def asked_row(asked: Asked | None) -> dict[str, Any] | None:
    """The row of a question, without its runner; no row for none."""
    if asked is None:
        return None
    return {
        "what": asked.what,
        "at": asked.at,
        "token": asked.token,
        "line": asked.line,
        "day": asked.day,
        "detail": asked.detail,
    }


def asked(row: Any) -> Asked | None:
    """The question of a row; None where it cannot be read, and then it is asked again if it still matters."""
    what = word(Ask, row.what, row.runner_id)
    return None if what is None else Asked(what, row.at, row.token, row.line, row.day, row.detail)


def safety_question_row(question: SafetyQuestion | None) -> dict[str, Any] | None:
    """The row of the closed safety question, without its runner; no row for none."""
    return None if question is None else asdict(question)


def safety_question(row: Any) -> SafetyQuestion:
    """The closed safety question of a row."""
    return SafetyQuestion(**{field.name: getattr(row, field.name) for field in fields(SafetyQuestion)})


def return_row(returning: Return | None) -> dict[str, Any] | None:
    """The row of a return, without its runner; no row for none."""
    if returning is None:
        return None
    return {
        "since": returning.since,
        "days": returning.days,
        "old_week": returning.old_week,
        "old_long": returning.old_long,
        "old_target": returning.old_target,
    }


def returning(row: Any) -> Return:
    """The return of a row."""
    return Return(row.since, row.days, row.old_week, row.old_long, row.old_target)


def ladder_row(ladder: WalkRun | None) -> dict[str, Any] | None:
    """The row of a place on the walk-run ladder, without its runner; no row for none."""
    if ladder is None:
        return None
    return {"step": ladder.step, "clean": ladder.clean, "since": ladder.since}


def ladder(row: Any) -> WalkRun:
    """The place on the walk-run ladder of a row."""
    return WalkRun(row.step, row.clean, row.since)
