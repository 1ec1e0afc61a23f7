"""Rounds of walking and running in turn: all their minutes count, however they are told."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.text.log_lines.rules import parsed
from nudgebot.domain.text.log_lines.units import Sort
from nudgebot.domain.text.reply import Intent, read

TODAY = date(2027, 3, 10)
rounds = st.integers(2, 12)
stretch = st.integers(1, 5)


@given(rounds, stretch, stretch, st.sampled_from(("x", "times", "rounds of", "mal", "fois")))
def test_so_many_rounds_are_as_many_times_the_minutes_of_one(times: int, run: int, walk: int, sign: str) -> None:
    assert _minutes(f"{times} {sign} {run} min run {walk} min walk") == times * (run + walk)
    assert _minutes(f"{run} run {walk} walk x {times}") == times * (run + walk)


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("7 x (2 run + 1 walk)", 21),
        ("run 3 walk 2, 5 times", 25),
        ("4 mal 6 laufen 1 gehen", 28),
        ("5 veces 3 corriendo 2 andando", 25),
        ("6x 2 min course 1 min marche", 18),
        ("8x (1 correndo + 2 andando)", 24),
        ("8 times: run one minute, walk two", 24),
        ("9 x 90 sec jog 90 sec walk", 27),
        ("2/1 x 9", 27),
        ("4 x 5 min jog with 1 min walk between", 23),
        ("2 mal 12 gelaufen mit 3 gehen dazwischen", 27),
        ("6 walk then 6 x 1 jog 2 walk", 24),
        ("walked 4, then 5 x 3/1, walked 6 home", 30),
    ],
)
def test_rounds_count_with_what_goes_before_and_after(line: str, minutes: int) -> None:
    assert _minutes(line) == minutes
    reading = read(line, TODAY)
    told = reading.choices[0] if reading.ask_back and reading.choices else reading
    assert (told.intent, told.minutes) == (Intent.LOG, minutes)


def test_a_long_walk_before_the_rounds_is_asked_about_where_it_may_be_one_of_them() -> None:
    assert parsed("15 walk 2 jog x 4", TODAY).reading.minutes is None


@given(st.integers(4, 30), st.integers(4, 30), st.integers(4, 30))
def test_what_is_walked_and_run_in_turn_counts_with_all_its_parts(a: int, b: int, c: int) -> None:
    for line in (f"walked {a}, ran {b}, walked {c}", f"{a} de marche {b} de course {c} de marche"):
        assert _minutes(line) == a + b + c


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("25 run, 2 walks with the dog", 25),
        ("walked twenty to the shop and ran the other twenty", 40),
        ("ran half an hour less five", 25),
        ("hice una hora menos diez", 50),
        ("did my 25 plus the walk back, so call it 25", 25),
        ("ran 20, felt like a 6, call it a 5", 20),
    ],
)
def test_a_total_or_what_is_taken_off_is_no_part(line: str, minutes: int) -> None:
    assert _minutes(line) == minutes


@pytest.mark.parametrize("line", ["3 sets of 10 squats", "effort 6/10", "2 x 4 planks to carry", "4 x 400 m tomorrow?"])
def test_what_is_counted_otherwise_is_no_round(line: str) -> None:
    assert not [amount for amount in parsed(line, TODAY).amounts if amount.sort is Sort.DURATION]


def _minutes(line: str) -> int | None:
    return parsed(line, TODAY).reading.minutes
