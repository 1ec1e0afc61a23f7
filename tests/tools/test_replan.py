"""`nudgebot replan`: JSON Lines in, JSON Lines out, one line for a fault, the good lines still answered."""

from __future__ import annotations

import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.solver.problem import Problem
from nudgebot.domain.solver.search import solve
from nudgebot.tools import replan
from tests import replan_problems as drawn

GOOD = {
    "past": [0, 45],
    "planned": [0, 45, 0, 0, 90],
    "available": [60, 60, 60, 60, 105],
    "after": [0, 45, 0],
    "target": 180,
    "session_max": 95,
    "window_max": 230,
    "long_run": 90,
}
LINE = json.dumps(GOOD)


def run(text: str | bytes) -> tuple[list[dict[str, object]], list[str], int]:
    out, err = io.StringIO(), io.StringIO()
    raw = text if isinstance(text, bytes) else text.encode()
    status = replan.run(io.BytesIO(raw), out, err)
    return [json.loads(line) for line in out.getvalue().splitlines()], err.getvalue().splitlines(), status


def test_each_line_has_its_answer_in_order() -> None:
    answers, faults, status = run(f"{LINE}\n\n{json.dumps(GOOD | {'target': 135})}\n")
    assert (faults, status) == ([], 0)
    assert [answer["x"] for answer in answers] == [[0, 45, 45, 0, 90], [0, 45, 0, 0, 90]]
    assert list(answers[0]) == ["x", "objective", "let_go", "binding", "gap_on"]
    assert answers[0]["let_go"] == 0


def test_a_whole_object_may_stand_on_many_lines() -> None:
    answers, faults, status = run("\n" + json.dumps(GOOD, indent=2))
    assert (len(answers), faults, status) == (1, [], 0)


def test_what_is_left_out_has_its_default() -> None:
    short = {key: value for key, value in GOOD.items() if key != "long_run"}
    assert run(json.dumps(short))[0] == run(json.dumps(short | {"session_min": 20, "cross": [0, 0], "step": 5}))[0]


def test_empty_input_is_no_fault() -> None:
    assert run("") == run("\n \n") == ([], [], 0)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"target": 40.0}, "target"),
        ({"target": True}, "target"),
        ({"target": -5}, "target"),
        ({"target": "180"}, "target"),
        ({"target": None}, "target"),
        ({"target": 20_161}, "target"),
        ({"step": 0}, "step"),
        ({"past": [0] * 36}, "past"),
        ({"past": [1_441, 0]}, "past"),
        ({"planned": []}, "planned"),
        ({"planned": [0] * 15, "available": [0] * 15}, "planned"),
        ({"available": [60]}, "available"),
        ({"after": [0, 0]}, "after"),
        ({"cross": [0]}, "cross"),
        ({"past": [0, 1.5]}, "past"),
        ({"past": 3}, "past"),
        ({"surprise": 1}, "surprise"),
    ],
)
def test_a_fault_is_one_line_that_names_the_field_and_what_is_wanted(change: dict[str, object], field: str) -> None:
    answers, faults, status = run(f"{LINE}\n{json.dumps(GOOD | change)}\n{LINE}\n")
    assert len(answers) == 2
    assert status == 2
    assert len(faults) == 1
    assert faults[0].startswith("line 2: ")
    assert field in faults[0].split(":")[1]


@pytest.mark.parametrize("name", ["past", "planned", "available", "after", "target", "session_max", "window_max"])
def test_a_required_name_that_is_missing_is_named(name: str) -> None:
    _, faults, status = run(json.dumps({key: value for key, value in GOOD.items() if key != name}))
    assert status == 2
    assert faults[0].startswith(f"line 1: {name}: ")


HOSTILE = [
    b"[" * 5_000_000 + b"]" * 5_000_000,
    b'{"past":' * 100_000,
    b"\xff\xfe\x00garbage",
    b'{"target": NaN}',
    b'{"target": Infinity}',
    b'{"target": ' + b"9" * 5_000 + b"}",
    b"null",
    b"42",
    b'"text"',
    b"{'past': [1]}",
    '{"pаst": [0]}'.encode(),
    '{"\U0001f3c3": 1}'.encode(),
    b'{"target": 1, "target": 2}',
    b'{"past": [1,2,}',
    b"\xef\xbb\xbf{}",
]


@pytest.mark.parametrize("raw", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_lines_are_one_short_fault_each_and_the_good_ones_are_answered(raw: bytes) -> None:
    answers, faults, status = run(LINE.encode() + b"\n" + raw + b"\n" + LINE.encode() + b"\n")
    assert len(answers) == 2
    assert len(faults) == 1
    assert faults[0].startswith("line 2: ")
    assert len(faults[0]) < 300
    assert status == 2


@pytest.mark.parametrize(("cap", "value"), [("session_max", 10), ("window_max", 0), ("session_max", 0)])
def test_caps_that_allow_nothing_are_legal_and_mean_rest(cap: str, value: int) -> None:
    answers, faults, status = run(json.dumps(GOOD | {cap: value}))
    assert (answers[0]["x"], faults, status) == ([0] * 5, [], 0)


@given(st.binary(max_size=400))
def test_any_bytes_at_all_end_in_answers_and_one_line_faults(raw: bytes) -> None:
    answers, faults, status = run(raw)
    assert status == (2 if faults else 0)
    assert all(fault.startswith("line ") for fault in faults)
    assert all("x" in answer for answer in answers)


@given(st.integers(0, 2**40))
def test_a_problem_goes_through_the_file_unchanged(seed: int) -> None:
    problem = drawn.mixed(seed)
    fields = {name: getattr(problem, name) for name in Problem.__dataclass_fields__}
    if not problem.cross:
        del fields["cross"]
    answers, faults, _ = run(json.dumps(fields))
    found = solve(problem)
    assert faults == []
    assert answers == [
        {
            "x": list(found.x),
            "objective": found.objective._asdict(),
            "let_go": found.let_go,
            "binding": [limit.value for limit in found.binding],
            "gap_on": list(found.gap_on),
        }
    ]
