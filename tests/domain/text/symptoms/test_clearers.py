"""Who is said to have cleared running, and when: by table, in five languages (docs/safety.md, "Hold")."""

from __future__ import annotations

from datetime import date

import pytest

from nudgebot.domain.text.days_told import Visit, visit_in
from nudgebot.domain.text.illness_talk import Clearer, clearer_in
from nudgebot.domain.text.sayings import not_yet

TODAY = date(2027, 3, 10)  # a Wednesday

WHO = (
    ("Dr Okafor on Tuesday", Clearer.DOCTOR),
    ("the walk-in centre", Clearer.DOCTOR),
    ("casualty, on Sunday night", Clearer.DOCTOR),
    ("my cardiologist at St Anne's", Clearer.DOCTOR),
    ("mi cardióloga", Clearer.DOCTOR),
    ("die Notaufnahme", Clearer.DOCTOR),
    ("le généraliste", Clearer.DOCTOR),
    ("a minha médica de família", Clearer.DOCTOR),
    ("my husband, he is a surgeon", Clearer.DOCTOR),
    ("our community midwife", Clearer.MIDWIFE),
    ("die Hebamme", Clearer.MIDWIFE),
    ("mon kiné", Clearer.PHYSIO),
    ("physical therapist", Clearer.PHYSIO),
    ("myself", Clearer.NOBODY),
    ("ich selbst", Clearer.NOBODY),
    ("Dr Google", Clearer.NOBODY),
    ("a video online", Clearer.NOBODY),
    ("my cousin", Clearer.NOBODY),
    ("my uncle, a veterinary surgeon", Clearer.NOBODY),
    ("mein Bruder ist Tierarzt", Clearer.NOBODY),
    ("a doctor of history", Clearer.NOBODY),
    ("my brother's doctor", Clearer.NOBODY),
    ("the receptionist at the clinic", Clearer.NOBODY),
    ("no doctor, I just know", Clearer.NOBODY),
    ("my running coach", Clearer.NOBODY),
    ("Halvorsen", Clearer.UNTOLD),
    ("Maria, on Friday", Clearer.UNTOLD),
)


@pytest.mark.parametrize(("line", "who"), WHO)
def test_whose_word_a_line_passes_on(line: str, who: Clearer) -> None:
    assert clearer_in(line) is who


@pytest.mark.parametrize(
    ("line", "waits"),
    [
        ("Dr Okafor wants me to wait", True),
        ("my GP said no", True),
        ("I'll see the doctor next Tuesday", True),
        ("die Ärztin sagt: noch nicht", True),
        ("el médico, mañana", True),
        ("Dr Okafor, yesterday", False),
        ("my GP said yes on Monday", False),
    ],
)
def test_a_no_and_a_visit_to_come_are_no_clearance(line: str, waits: bool) -> None:
    assert not_yet(line) is waits


@pytest.mark.parametrize(
    ("line", "visit"),
    [
        ("Dr Okafor", None),
        ("yesterday", Visit(date(2027, 3, 9), date(2027, 3, 9))),
        ("ontem, no hospital", Visit(date(2027, 3, 9), date(2027, 3, 9))),
        ("aujourd'hui", Visit(TODAY, TODAY)),
        ("on Monday", Visit(date(2027, 3, 8), date(2027, 3, 8))),
        ("2 March", Visit(date(2027, 3, 2), date(2027, 3, 2))),
        ("in January", Visit(date(2027, 1, 1), date(2027, 1, 31))),
        ("in November", Visit(date(2026, 11, 1), date(2026, 11, 30))),
        ("last month", Visit(date(2027, 2, 1), date(2027, 2, 28))),
        ("2024", Visit(date(2024, 1, 1), date(2024, 12, 31))),
        ("last year", Visit(date(2026, 1, 1), date(2026, 12, 31))),
    ],
)
def test_when_a_line_says_it_was(line: str, visit: Visit | None) -> None:
    assert visit_in(line, TODAY) == visit
