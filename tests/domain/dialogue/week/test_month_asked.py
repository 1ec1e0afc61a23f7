""" "How much did I run in January?": the runs of that month, as far back as a book goes."""

from __future__ import annotations

from datetime import date

import pytest

from nudgebot.domain.text.days_told import month_asked_about
from tests.domain.chats import marta

TODAY = date(2027, 3, 10)


@pytest.mark.parametrize(
    ("line", "month"),
    [
        ("how many miles did i run in february", date(2027, 2, 1)), ("total for my runs this month?", date(2027, 3, 1)),
        ("wie oft bin ich im Dezember gelaufen", date(2026, 12, 1)), ("cuánto corrí el mes pasado", date(2027, 2, 1)),
        ("combien j'ai couru ce mois ?", date(2027, 3, 1)), ("quanto eu corri em janeiro?", date(2027, 1, 1)),
        ("how much do shoes cost in march", None), ("I may be away in april", None), ("days till my race", None),
        ("how many km this month", date(2027, 3, 1)), ("what have i run this month?", date(2027, 3, 1)),
        ("how far in November?", date(2026, 11, 1)), ("how much are flights to Lisbon in june", None),
    ],
)  # fmt: skip
def test_the_month_is_heard(line: str, month: date | None) -> None:
    assert month_asked_about(line, TODAY) == month


def test_the_runs_of_the_month_are_added_up_and_a_walk_beside_them_is_named() -> None:
    chat = marta()
    assert chat.says("how much did I run this month?") == "January so far: nothing in the log."
    chat.says("24 easy")
    chat.waits(1)
    chat.says("31 easy")
    assert chat.says("how much did I run this month?") == "January so far: 2 runs, 55 min."
    chat.waits(30)
    assert chat.says("wie viel bin ich im Januar gelaufen?") == "January: 2 runs, 55 min."
    assert chat.says("how much did I run in april?").startswith("April is too long ago")
