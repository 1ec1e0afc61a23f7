"""The clauses of a line, with how each is meant."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from operator import attrgetter

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind, asked, parting
from nudgebot.domain.text.line.vocabulary import NOTHING
from nudgebot.domain.text.log_lines.dates import Named, Shape
from nudgebot.domain.text.log_lines.moods import Clause, Mood, mood_of, places
from nudgebot.domain.text.log_lines.units import TIMES, Amount, Sort

MOST = 40  # clauses of a line; of a longer one the last holds all that is left
_FIRST, _LAST = attrgetter("first"), attrgetter("last")
_JOINTS = frozenset((Cue.BUT, Cue.AND))
_SAYING = frozenset((Cue.RAN, Cue.DID, Cue.SKIP, Cue.PLAN, Cue.NOT, Cue.COMPLAINT, Cue.HYPOTHETICAL))
_POINTING = frozenset(("that", "it", "this", "about"))
_HANDED_ON = frozenset((Mood.INTENDED, Mood.OTHERS, Mood.PLANNED, Mood.IMAGINED, Mood.QUESTION, Mood.DONE))


def clauses(line: ParsedLine, amounts: list[Amount], days: list[Named]) -> list[Clause]:
    """The clauses of the line, in order."""
    dated = {place for day in days for place in range(day.first, day.last)}
    taken = dated | {place for amount in amounts for place in range(amount.first, amount.last)}
    amounts = [a for a in amounts if a.sort is not Sort.BARE or a.first not in dated]  # "11-15 January"
    asks = asked(line.tokens) if "?" in line.texts else [False] * len(line.tokens)
    found: list[Clause] = []
    for first, last, linked, contrast in _parts(line, amounts, days, taken):
        before = found[-1] if found and linked else None
        found.append(_clause(line, first, last, amounts, days, before, contrast, asks[first]))
    return found


def _parts(
    line: ParsedLine, amounts: list[Amount], days: list[Named], taken: set[int]
) -> list[tuple[int, int, bool, bool]]:
    """Where each clause begins and ends, whether it goes on in the sentence before, and whether it is a contrast."""
    starts = {day.first: day.shape is Shape.ONE for day in days}
    ended = {day.last for day in days if day.shape is Shape.ONE}
    ends = {amount.first: amount.last for amount in amounts if amount.sort in TIMES}
    numbers = {amount.first for amount in amounts}
    found: list[tuple[int, int, bool, bool]] = []
    first, size = 0, len(line.tokens)
    linked = contrast = timed = dated = told = False  # what came before the clause, and what it holds up to here
    for place, cues in enumerate((*line.hints, NOTHING)):
        joins = place == size or line.tokens[place].kind is Kind.MARK or not cues.isdisjoint(_JOINTS)
        cut = _cut(line, place) if joins and place not in taken else None
        if cut == (False, True) and not told and Cue.ONLY in cues:
            cut = None  # "tomorrow only 20 min": nothing was said that could be contrasted
        # "mon 30 wed 40": the next day opens the next clause; "40 saturday 20 sunday": so does the next number
        follows = place in ended and ends.get(place) in starts
        if cut is None and timed and ((dated and starts.get(place)) or follows or _rules_out(line, place)):
            cut = (False, True)
        if cut is not None:
            timed = dated = told = False
        told = told or place in numbers or not _SAYING.isdisjoint(cues)
        timed |= place in ends
        dated |= place in starts
        if cut is None or (len(found) == MOST - 1 and place < size):
            continue
        if place > first:
            found.append((first, place, linked, contrast))
        linked, contrast = not cut[0], cut[1]
        first = place if contrast else place + 1
    return found


def _cut(line: ParsedLine, place: int) -> tuple[bool, bool] | None:
    """Whether a clause ends before `place`: (the sentence ends too, a contrast opens); None where not."""
    if place == len(line.tokens):
        return True, False
    token, mark = line.tokens[place], line.marks[place]
    if token.kind is Kind.MARK and token.text not in '"=' and (parts := parting(line.tokens, place)):
        return parts == 2, False
    if mark is None or mark.first != place or mark.cues.isdisjoint(_JOINTS):
        return None
    if Cue.BUT in mark.cues and place:
        return False, True
    if Cue.AND in mark.cues:
        return False, False
    return None


def _rules_out(line: ParsedLine, place: int) -> bool:
    """Whether a refusal of a run begins at `place`, behind what was done instead: "30 walk no run"."""
    mark = line.marks[place] if place < len(line.tokens) else None
    return mark is not None and mark.first == place and Cue.SKIP in mark.cues and Cue.NOT in line.own(place)


def _clause(
    line: ParsedLine, first: int, last: int, amounts: list[Amount], days: list[Named],
    before: Clause | None, contrast: bool, in_question: bool,
) -> Clause:  # fmt: skip
    inside = tuple(amounts[bisect_left(amounts, first, key=_FIRST) : bisect_left(amounts, last, key=_FIRST)])
    named = tuple(days[bisect_right(days, first, key=_LAST) : bisect_right(days, last, key=_LAST)])
    cues = NOTHING.union(*line.hints[first:last])
    ran = places(line, first, last, Cue.RAN) if Cue.RAN in cues else []
    done = places(line, first, last, Cue.RAN, Cue.DID) if Cue.DID in cues else ran
    told = [a.first for a in inside if a.sort in TIMES or a.sort in {Sort.UNCLEAR, Sort.RANGE}]
    # "ran 45, how am I doing?" asks in its last clause and reports in its first
    timed = any(a.sort in TIMES for a in inside)
    further = line.cues(last + 1) & {Cue.QUESTION, Cue.STATUS} and line.text(last + 2) not in _POINTING
    reports = bool(ran or (timed and (done or further)))
    in_question = in_question and (not reports or line.text(last) == "?")
    clause = Clause(line, first, last, cues, inside, named, in_question, done, ran, told, before is not None, contrast)
    mood = mood_of(clause)
    bare = last - first == 1  # "can we do friday instead, 40 min": the word alone contrasts nothing
    goes_on = mood is Mood.PLAIN and before is not None and (bare or not contrast) and before.mood in _HANDED_ON
    if before is not None and goes_on and (before.mood is Mood.DONE or not cues & {Cue.SELF, Cue.TOTAL}):
        mood = before.mood
    return clause._replace(mood=mood) if mood is not clause.mood else clause
