"""Rounds of walking and running in turn, as people tell them: "5 x 3 run 1 walk", "2 min run, 1 min walk x6"."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.units import Amount, Sort
from nudgebot.domain.text.word_files import words

W = words("rounds")
MOST_ROUNDS = 30  # of one session
LONGEST_PART = 20  # minutes of one stretch of a round
UNEQUAL = 2  # times as long as the rest: a walk told first may have warmed up alone
_ACTIVE = frozenset((*ACTIVITIES, Cue.RAN)) - {Cue.STRENGTH, Cue.MOBILITY}


class _Stretch(NamedTuple):
    """One part of a round, its tokens from `first` up to, not including, `last`."""

    minutes: float
    done: str  # what was done, a word like run, walk, on, off; "" where that is not said
    first: int
    last: int


def rounds_in(line: ParsedLine) -> dict[int, Amount]:
    """Rounds with all their minutes, by the token where they begin; what tells no sum is a `RANGE`, to ask about."""
    found: dict[int, Amount] = {}
    after = 0
    for place in line.numerals if len(line.numerals) > 1 else ():
        if place < after:
            continue
        amount = _times_first(line, place) or _times_last(line, place)
        if amount is None and _done(line, place - 1):
            amount = _times_last(line, place - 1)  # "run 2, walk 1, 6 times"
        if amount is not None:
            found[amount.first] = amount
            after = amount.last
    return found


def _times_first(line: ParsedLine, place: int) -> Amount | None:
    """ "6 x 2 run 1 walk", "5 rounds of (3 min run, 1 min walk)"."""
    if line.text(place + 1) not in W.times:
        return None
    at = place + 2
    while line.text(at) in W.opening or (_number(line, at) and _number(line, at + 1)):  # "5 à 3 min": the à reads "one"
        at += 1
    stretches = list(_stretches(line, at))
    return _added(line, place, stretches, place, stretches[-1].last) if stretches else None


def _times_last(line: ParsedLine, place: int) -> Amount | None:
    """ "2 run 1 walk x 6", "3/1, 5 times"."""
    stretches = list(_stretches(line, place))
    if not stretches:
        return None
    at = stretches[-1].last
    while line.text(at) in W.closing:
        at += 1
    if line.text(at) in W.signs and _number(line, at + 1):
        return _added(line, at + 1, stretches, stretches[0].first, at + 2)
    if _number(line, at) and line.text(at + 1) in W.times:
        return _added(line, at, stretches, stretches[0].first, at + 2)
    return None


def _added(line: ParsedLine, times: int, stretches: list[_Stretch], first: int, last: int) -> Amount | None:
    """The minutes of all rounds; the last stretch once less where it lies between the others."""
    rounds = line.tokens[times].value
    each = [stretch.minutes for stretch in stretches]
    if rounds not in range(2, MOST_ROUNDS + 1) or len(each) < 2 or not any(stretch.done for stretch in stretches):
        return None
    opening = range(stretches[0].first, stretches[0].last)
    if times > first and each[0] >= UNEQUAL * sum(each[1:]) and any(Cue.WALK in line.own(n) for n in opening):
        return Amount(Sort.RANGE, 0, first, last)  # "15 walk 2 jog x 4"
    between = not W.between.isdisjoint(line.texts[stretches[-2].last : last + 2])
    minutes = rounds * sum(each) - (each[-1] if between else 0)
    return Amount(Sort.DURATION, minutes, first, last)


def _stretches(line: ParsedLine, at: int) -> Iterator[_Stretch]:
    """The stretches that follow each other from token `at` on.

    After the first each is named or joined by a sign; one of a kind that was before is no part of the round.
    """
    token = line.tokens[at] if at < len(line.tokens) else None
    if token is not None and token.kind is Kind.SLASH and len(token.parts) == 2:  # "3/1"
        yield from (_Stretch(minutes, token.text, at, at + 1) for minutes in token.parts)
        return
    joined, before = True, set[str]()
    while (stretch := _stretch(line, at)) is not None and (stretch.done or joined) and stretch.done not in before:
        yield stretch
        before |= {stretch.done} - {""}
        at, joined = stretch.last, False
        while line.text(at) in W.joining:
            joined |= line.text(at) in W.tight
            at += 1


def _stretch(line: ParsedLine, at: int) -> _Stretch | None:
    """A stretch with what was done before or behind its minutes: "run 2 min", "2 min of running", "1 off"."""
    first, done = at, _done(line, at)
    at += bool(done)
    if not _number(line, at) or (line.text(at + 1) in W.times and not done):
        return None
    minutes, at = line.tokens[at].value, at + 1
    cues = line.cues(at)
    if Cue.SECOND in cues:
        minutes /= 60
    at += bool(cues & {Cue.MINUTE, Cue.M, Cue.SECOND}) or line.text(at) == "'"
    behind = at + (line.text(at) in W.of)
    if not done and (done := _done(line, behind)):
        at = behind + 1
    return _Stretch(minutes, done, first, at) if 0 < minutes <= LONGEST_PART else None


def _done(line: ParsedLine, at: int) -> str:
    """The word at `at` if it says what was done in a stretch, else ""."""
    said = not line.own(at).isdisjoint(_ACTIVE) or line.text(at) in W.done
    return line.text(at) if said else ""


def _number(line: ParsedLine, at: int) -> bool:
    return at < len(line.tokens) and line.tokens[at].kind is Kind.NUMBER
