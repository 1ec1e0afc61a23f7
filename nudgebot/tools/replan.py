"""Replanning problems as JSON Lines, answered as soon as solved. (docs/replanning.md, "On the command line")"""

import json
from collections.abc import Iterable, Iterator
from dataclasses import MISSING, dataclass, fields
from typing import Any, BinaryIO, NoReturn, TextIO

from nudgebot.domain.solver.problem import Problem
from nudgebot.domain.solver.search import Replan, solve

DAY_MINUTES = 24 * 60  # min, the most that a day's entry may be
PERIOD_MINUTES = 14 * DAY_MINUTES  # the most that any other number may be: the minutes of the longest horizon
HORIZON_DAYS = 14
PAST_DAYS = 35
AFTER_DAYS = 3
LINE_BYTES = 1 << 24  # a problem needs under two thousand; this leaves room for any amount of white space
QUOTED = 40  # characters of the input that a fault may repeat


@dataclass(frozen=True, slots=True)
class Bad:
    """Why an input is no problem."""

    line: int  # physical line, the first is 1
    field: str
    fault: str  # what is wrong and what is wanted

    def __str__(self) -> str:
        return f"line {self.line}: {self.field}: {self.fault}"


class _FaultError(ValueError):
    """Raised inside the reader only, to leave the JSON decoder."""

    def __init__(self, field: str, fault: str, line: int = 1) -> None:
        super().__init__(fault)
        self.field, self.fault, self.line = field, fault, line


LISTS = {  # name: fewest and most entries
    "past": (0, PAST_DAYS),
    "planned": (1, HORIZON_DAYS),
    "available": (1, HORIZON_DAYS),
    "after": (AFTER_DAYS, AFTER_DAYS),
    "cross": (0, PAST_DAYS),
}
NUMBERS = {each.name: 0 for each in fields(Problem) if each.name not in LISTS} | {"step": 1}  # name: least
REQUIRED = tuple(each.name for each in fields(Problem) if each.default is MISSING)


def run(stream: BinaryIO, out: TextIO, err: TextIO) -> int:
    """Answer every problem of `stream` in order; the exit status: 0, or 2 if an input was bad."""
    status = 0
    for problem in read(stream):
        match problem:
            case Bad():
                status = 2
                err.write(f"{problem}\n")
                err.flush()
            case Problem():
                out.write(f"{answer(solve(problem))}\n")
                out.flush()
    return status


def answer(replan: Replan) -> str:
    """A replan as one line of JSON."""
    return json.dumps(
        {
            "x": replan.x,
            "objective": replan.objective._asdict(),
            "let_go": replan.let_go,
            "binding": [limit.value for limit in replan.binding],
            "gap_on": replan.gap_on,
        },
        separators=(",", ":"),
    )


def read(stream: BinaryIO) -> Iterator[Problem | Bad]:
    """The problems of a stream, one a line; or the one that all lines are, if the first is `{` alone."""
    lines = _lines(stream)
    for number, line in lines:
        if line.strip() == b"{":
            yield _whole(number, line, lines)
            return
        yield _problem(line, number)
        break
    for number, line in lines:
        yield _problem(line, number)


def _lines(stream: BinaryIO) -> Iterator[tuple[int, bytes]]:
    """Physical lines that are not blank, with their numbers; of one that is too long only the beginning."""
    number = 0
    while line := stream.readline(LINE_BYTES + 1):
        number += 1
        rest = line
        while len(rest) > LINE_BYTES and not rest.endswith(b"\n"):
            rest = stream.readline(LINE_BYTES + 1)
        if number == 1:
            line = line.removeprefix(b"\xef\xbb\xbf")
        if line.strip():
            yield number, line


def _whole(first: int, line: bytes, lines: Iterable[tuple[int, bytes]]) -> Problem | Bad:
    text = [line]
    size = len(line)
    last = first
    for number, more in lines:
        # Blank lines were left out; put back, faults name the physical line.
        text.append(b"\n" * (number - last - 1) + more)
        size += number - last - 1 + len(more)
        last = number
        if size > LINE_BYTES:
            for _ in lines:
                pass
            break
    return _problem(b"".join(text), first)


def _problem(text: bytes, line: int) -> Problem | Bad:
    try:
        return _checked(_decoded(text.rstrip(b"\r\n")))  # what is missing at an end is missing in that line
    except _FaultError as fault:
        return Bad(line + fault.line - 1, fault.field, fault.fault)


def _decoded(text: bytes) -> object:
    if len(text) > LINE_BYTES:
        raise _FaultError("problem", f"more than {LINE_BYTES} bytes; wanted one problem, far shorter")
    try:
        return json.loads(
            text.decode("utf-8"),
            object_pairs_hook=_pairs,
            parse_int=_whole_number,
            parse_constant=_constant,
        )
    except UnicodeDecodeError as error:
        raise _FaultError("problem", f"byte {error.start + 1} is not UTF-8; wanted UTF-8 text") from None
    except json.JSONDecodeError as error:
        raise _FaultError(
            "problem", f"not JSON at column {error.colno} ({error.msg}); wanted one object", error.lineno
        ) from None
    except RecursionError:
        raise _FaultError("problem", "nested too deep; wanted one object of numbers and lists") from None


@dataclass(frozen=True, slots=True)
class _Huge:
    """A whole number with more digits than any legal one."""

    text: str


@dataclass(frozen=True, slots=True)
class _Object:
    """A JSON object as its pairs, in order: a repeated name must be seen."""

    pairs: tuple[tuple[str, object], ...]


def _whole_number(digits: str) -> int | _Huge:
    return int(digits) if len(digits) <= 18 else _Huge(digits)


def _constant(word: str) -> NoReturn:
    raise _FaultError("problem", f"{word} is not JSON; wanted whole numbers")


def _pairs(pairs: list[tuple[str, object]]) -> _Object:
    return _Object(tuple(pairs))


def _checked(value: object) -> Problem:
    if not isinstance(value, _Object):
        raise _FaultError("problem", f"{_shown(value)} is not an object; wanted one object with the names of a problem")
    given: dict[str, object] = {}
    for name, entry in value.pairs:
        if name not in LISTS and name not in NUMBERS:
            raise _FaultError(_name(name), "unknown name; wanted only the names of a problem")
        if name in given:
            raise _FaultError(name, "given twice; wanted once")
        given[name] = entry
    for name in REQUIRED:
        if name not in given:
            raise _FaultError(name, "missing; wanted, it has no default")
    lists = {name: _minutes(name, given[name], *LISTS[name]) for name in LISTS if name in given}
    numbers = {
        name: _number(name, given[name], least, PERIOD_MINUTES) for name, least in NUMBERS.items() if name in given
    }
    if len(lists["available"]) != len(lists["planned"]):
        raise _FaultError(
            "available", f"{_days(lists['available'])}; wanted {len(lists['planned'])}, as many as planned"
        )
    cross = lists.pop("cross", None)
    if cross is not None and len(cross) != len(lists["past"]):
        raise _FaultError("cross", f"{_days(cross)}; wanted {len(lists['past'])}, as many as past")
    values: dict[str, Any] = {**lists, "cross": cross or (), **numbers}
    return Problem(**values)


def _minutes(name: str, value: object, fewest: int, most: int) -> tuple[int, ...]:
    if not isinstance(value, list):
        raise _FaultError(name, f"{_shown(value)} is not a list; wanted a list of minutes, one a day")
    if not fewest <= len(value) <= most:
        wanted = str(most) if fewest == most else f"{fewest} to {most}"
        raise _FaultError(name, f"{_days(value)}; wanted {wanted}")
    return tuple([_number(f"{name}[{d}]", entry, 0, DAY_MINUTES) for d, entry in enumerate(value)])


def _number(field: str, value: object, least: int, most: int) -> int:
    wanted = f"wanted a whole number from {least} to {most}"
    if isinstance(value, bool) or not isinstance(value, int):
        if isinstance(value, _Huge):
            raise _FaultError(field, f"{_shown(value)} is out of range; {wanted}")
        raise _FaultError(field, f"{_shown(value)} is not a whole number; {wanted}")
    if not least <= value <= most:
        raise _FaultError(
            field, f"{value} is {'below' if value < least else 'above'} {least if value < least else most}; {wanted}"
        )
    return value


def _days(value: list[object] | tuple[int, ...]) -> str:
    return f"{len(value)} {'entry' if len(value) == 1 else 'entries'}"


def _name(name: str) -> str:
    """A name of the input, fit for one line of a terminal."""
    shown = json.dumps(name)
    return shown if len(shown) <= QUOTED else f'{shown[: QUOTED - 4]}..."'


def _shown(value: object) -> str:
    """A value of the input, fit for one line: what it says, or what it is."""
    match value:
        case None | bool():
            return json.dumps(value)
        case str():
            return _name(value)
        case int() | float():
            return repr(value)
        case _Huge(text):
            return f"{text[:QUOTED]}{'...' if len(text) > QUOTED else ''}"
        case list():
            return "a list"
        case _:
            return "an object"
