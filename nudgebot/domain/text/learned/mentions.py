"""The numbers of a line, and what each may be: part of the run's minutes, a limit, a correction, a pulse, or else."""

from __future__ import annotations

from bisect import bisect_right
from functools import cache, lru_cache
from itertools import islice
from typing import NamedTuple

from nudgebot.domain.text.learned.features import WORDS_KEPT, hashed
from nudgebot.domain.text.learned.intents import size_of
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.moods import Clause
from nudgebot.domain.text.log_lines.rules import Parsed
from nudgebot.domain.text.log_lines.units import Sort

ROWS = 1 << 13  # places of the table
ROLES = ("run", "limit", "new", "old", "pulse", "other")  # the order of the table's columns
RUN, LIMIT, NEW, OLD, PULSE, OTHER = range(len(ROLES))
MOST = 16  # numbers of a line that are looked at
SHORTEST, LONGEST = 1, 600  # minutes that can be a run's
_PARTED = 2  # words on each side of a number whose beginnings and ends are looked at


class Numeral(NamedTuple):
    """A number of the line from token `first` up to, not including, `last`, and the minutes it can stand for."""

    first: int
    last: int
    values: tuple[float, ...]
    sort: Sort | None  # what the rules take it for; None: a number they pass over
    inner: bool = False  # inside an amount of several numbers


def mentions_of(parse: Parsed) -> list[Numeral]:
    """The numbers of a line in order, at most `MOST`."""
    line = parse.line
    found: list[Numeral] = []
    reached = 0
    for amount in parse.amounts:
        found += _loose(line, reached, amount.first)
        found += _of_amount(line, amount.first, amount.last, amount.sort, amount.value)
        reached = max(reached, amount.last)
        if len(found) >= MOST:
            break
    else:
        found += _loose(line, reached, len(line.tokens))
    return [one for one in found[:MOST] if not _is_claimed(line, one)]


def _is_claimed(line: ParsedLine, one: Numeral) -> bool:
    """Whether a number tells of the body: a pulse, a temperature, how long a complaint lasted."""
    start, end = line.tokens[one.first].start, line.tokens[one.last - 1].end
    return any(claim.start < end and start < claim.end for claim in line.claims)


def _loose(line: ParsedLine, first: int, last: int) -> list[Numeral]:
    """Numbers that no amount covers."""
    loose = (
        Numeral(place, place + 1, values, None)
        for place in line.numerals_in(first, last)
        if (values := _values(line, place))
    )
    return list(islice(loose, MOST))


def _of_amount(line: ParsedLine, first: int, last: int, sort: Sort, value: float) -> list[Numeral]:
    """An amount as a number of minutes, and the numbers inside it where there are several."""
    inside = line.numerals_in(first, last)
    found: list[Numeral] = []
    whole = sort in {Sort.DURATION, Sort.BARE} and _fits(value)
    if whole:
        found.append(Numeral(first, last, (value,), sort))
    elif inside and (values := _values(line, inside[0])):
        found.append(Numeral(inside[0], last, values, sort))
    found += [
        Numeral(place, place + 1, values, sort, inner=True)
        for place in inside[1 if not whole or sort is Sort.BARE or len(inside) < 2 else 0 :]
        if (values := _values(line, place)) and values != (value,)
    ]
    return found


def _values(line: ParsedLine, place: int) -> tuple[float, ...]:
    """The minutes that one token can stand for."""
    token = line.tokens[place]
    if token.kind is Kind.NUMBER:
        return (token.value,) if _fits(token.value) else ()
    if token.kind is Kind.COLON and token.parts[1] < 60:
        if len(token.parts) == 3:
            return tuple(filter(_fits, (token.parts[0] * 60 + token.parts[1] + token.parts[2] / 60,)))
        return tuple(filter(_fits, (token.parts[0] + token.parts[1] / 60, float(token.parts[0] * 60 + token.parts[1]))))
    return ()


def _fits(value: float) -> bool:
    return SHORTEST <= value < LONGEST + 1


_Look = tuple[str, str]  # of a number from afar: what it is taken for, and the class of its size


def blocks_of(parse: Parsed, words: list[str], mentions: list[Numeral]) -> list[set[int]]:
    """The places in a table of `ROWS` of what is seen of each number of a line, its words as `intents.shown_in`."""
    looks = [(one.sort.name if one.sort is not None else "LOOSE", size_of(one.values[0])) for one in mentions]
    return [_places_of(parse, words, mentions, looks, at) for at in range(len(mentions))]


def _places_of(parse: Parsed, words: list[str], mentions: list[Numeral], looks: list[_Look], at: int) -> set[int]:
    """The places of what is seen of the number at index `at` among the line's numbers, and of the words around it."""
    line, mention, (sort, size) = parse.line, mentions[at], looks[at]
    whole = "" if mention.values[0] == int(mention.values[0]) else "."
    clause = clause_at(parse, mention.first)
    mood = clause.mood.name if clause is not None else "none"
    inside = line.numerals_in(mention.first, mention.last)
    # the unit of an amount is one of the words after its number
    head, last = (inside[0], inside[0] + 1) if inside else (mention.first, mention.last)
    before, after = range(mention.first - 1, max(-1, mention.first - 4), -1), range(last, min(len(words), last + 4))
    left = [*[words[n] for n in before], "^", "^", "^"][:3]  # nearest first; the ends of the line count as words
    right = [*[words[n] for n in after], "$", "$", "$", "$"][:4]
    glued = last < len(words) and line.tokens[last].glued
    features = [
        f"size {size}{whole}", f"sort {sort}", f"sort {sort} {size}", f"mood {mood}", f"mood {mood} {sort}",
        f"unit {right[0]} {glued}", f"unit {right[0]} {size}", f"inner {mention.inner} {sort}",
        f"intent {parse.reading.intent}", f"intent {parse.reading.intent} {sort} {size}", f"text {words[head]}",
        f"place {min(at, 3)} {min(len(mentions), 4)}", f"alone {len(mentions) == 1} {sort}",
        f"told {bool(parse.told.runs)} {sort} {_in_told(parse, mention)}", f"asks {parse.reading.ask_back} {sort}",
        f"end {right[0] == '$'} {left[0] == '^'}",
        f"around {left[0]} {right[0]}", f"left2 {left[1]} {left[0]}",
        f"right2 {right[0]} {right[1]}", f"left size {left[0]} {size}",
    ]  # fmt: skip
    features += [
        f"smaller than {where} {sort} {looks[near][0]}"
        for where, near in (("before", at - 1), ("after", at + 1))
        if 0 <= near < len(mentions) and mentions[near].values[0] > mention.values[0]
    ]
    return hashed(features, ROWS).union(
        *[_of_word("left", distance, word) for distance, word in enumerate(left)],
        *[_of_word("right", distance, word) for distance, word in enumerate(right)],
        *[_of_cues("cue left", line.hints[place]) for place in before],
        *[_of_cues("cue right", line.hints[place]) for place in after],
        *[_of_cues(where, clause.cues) for where in ("clause", f"clause {mood}") if clause is not None],
        *[_of_other(sort, "before", other) for other in {*looks[:at]}],
        *[_of_other(sort, "after", other) for other in {*looks[at + 1 :]}],
    )


@lru_cache(maxsize=WORDS_KEPT)
def _of_word(side: str, distance: int, word: str) -> set[int]:
    """The places of a word so far from a number, 0 the nearest; of the near ones also its beginnings and its end."""
    parts = [f"<{word[:3]}", f"<{word[:4]}", f"{word[-3:]}>"] if len(word) > 3 and word[0] != "#" else []
    features = [f"{side}{distance} {word}", f"{side} near {word}"]
    return hashed([*features, *(f"{side} {part}" for part in parts if distance < _PARTED)], ROWS)


@lru_cache(maxsize=WORDS_KEPT)
def _of_cues(where: str, cues: frozenset[Cue]) -> set[int]:
    """The places of hints, and where they were given."""
    return hashed([f"{where} {cue}" for cue in cues], ROWS)


@cache
def _of_other(sort: str, where: str, other: _Look) -> set[int]:
    """The places of another number of the line beside one of a `sort`."""
    kind, size = other
    return hashed([f"other {where} {kind}", f"other {sort} {kind}", f"other {kind} {size}"], ROWS)


def clause_at(parse: Parsed, place: int) -> Clause | None:
    """The clause that holds a token; None where it stands between two."""
    at = bisect_right(parse.clauses, place, key=lambda clause: clause.first) - 1
    return parse.clauses[at] if at >= 0 and place < parse.clauses[at].last else None


def _in_told(parse: Parsed, mention: Numeral) -> bool:
    """Whether the rules' run is just this number."""
    return any(run.minutes in {int(value) for value in mention.values} for run in parse.told.runs)
