"""How long an illness keeps a runner from running, by the last days on which its signs were told."""

from __future__ import annotations

from datetime import date, timedelta
from enum import StrEnum

from nudgebot.domain.model.parameters import COVID_FREE, COVID_WALKS, FEVER_WAIT, ILL_WAIT, UPSET_WAIT
from nudgebot.domain.model.runner import Ill


class Wait(StrEnum):
    """What the wait after an illness is counted from."""

    FEVER = "fever"  # the last fever, without fever medicine
    UPSET = "upset"  # the last vomiting or diarrhoea
    COVID = "covid"  # the last symptom of any kind
    ILL = "ill"  # the last word of being ill


def length(wait: Wait) -> int:
    """Days from the last day that counts to the first on which a run may be planned.

    Seven whole days free of symptoms end on the eighth day after the last one with any.
    """
    match wait:
        case Wait.FEVER:
            return FEVER_WAIT.value
        case Wait.UPSET:
            return UPSET_WAIT.value
        case Wait.COVID:
            return COVID_FREE.value + 1
        case Wait.ILL:
            return ILL_WAIT.value


def counted_from(ill: Ill) -> tuple[Wait, date]:
    """The wait that ends last, and the last day that counts for it."""
    told: list[tuple[Wait, date]] = []
    if ill.last_fever is not None:
        told.append((Wait.FEVER, ill.last_fever))
    if ill.last_upset is not None:
        told.append((Wait.UPSET, ill.last_upset))
    if ill.covid:
        told.append((Wait.COVID, ill.last_ill or ill.since))
    if not told:
        told.append((Wait.ILL, ill.last_ill or ill.since))
    return max(told, key=lambda each: first_day(*each))


def first_day(wait: Wait, last: date) -> date:
    """The first day on which a run may be planned, `last` being the last day that counts."""
    return last + timedelta(days=length(wait))


def walks_until(first: date) -> date:
    """The day on which the walking after covid below the neck ends, begun on `first`."""
    return first + timedelta(days=COVID_WALKS.value)
