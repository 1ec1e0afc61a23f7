"""The clauses of a line, and whether what each says was done, meant, asked, denied or somebody else's."""

from bisect import bisect_left
from dataclasses import dataclass
from enum import IntEnum
from operator import attrgetter
from typing import NamedTuple

from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.amounts import Amount, Sort
from nudgebot.domain.text.log_lines.attribution import is_others, is_to_come, is_under_way
from nudgebot.domain.text.log_lines.dates import Named, Shape
from nudgebot.domain.text.word_files import words

W = words("clauses")

_ENDS = frozenset(".!?;\n")
_BREAKS = frozenset(",()|")


class Mood(IntEnum):
    """How a clause is meant."""

    PLAIN = 0  # nothing says
    DONE = 1
    NEGATED = 2
    INTENDED = 3
    PLANNED = 4
    IMAGINED = 5
    OTHERS = 6
    QUESTION = 7
    ELSEWHERE = 8  # time spent on something else


@dataclass(frozen=True, slots=True)
class Clause:
    """Tokens from `first` up to, not including, `last`, with what was found among them."""

    first: int
    last: int
    cues: frozenset[Cue]
    amounts: tuple[Amount, ...]
    days: tuple[Named, ...]
    mood: Mood
    linked: bool  # joined to the clause before by "and" or a comma, in one sentence
    contrast: bool  # opened by "but", "only", "instead"


def clauses(line: ParsedLine, amounts: list[Amount], days: list[Named]) -> list[Clause]:
    """The clauses of the line, in order."""
    taken = [False] * len(line.tokens)
    for first, last in [(a.first, a.last) for a in amounts] + [(d.first, d.last) for d in days]:
        for place in range(first, min(last, len(taken))):
            taken[place] = True
    dated_places = {place for day in days for place in range(day.first, day.last)}
    amounts = [a for a in amounts if a.sort is not Sort.BARE or a.first not in dated_places]  # "11-15 January"
    found: list[Clause] = []
    first = 0
    linked = contrast = False
    asked = _asked(line)
    starts = {day.first: day.shape is Shape.ONE for day in days}
    numbers = {amount.first: amount.sort in _TIMES for amount in amounts}
    ended = {day.last for day in days if day.shape is Shape.ONE}
    after_number = {amount.first: amount.last for amount in amounts if amount.sort in _TIMES}
    timed = dated = told_yet = False  # what the clause holds up to here
    for place in range(len(line.tokens) + 1):
        cut = _cut(line, place, taken)
        if cut == (False, True) and not told_yet and Cue.ONLY in line.cues(place):
            cut = None  # "tomorrow only 20 min": nothing was said that could be contrasted
        if cut is None and timed and dated and starts.get(place):
            cut = (False, True)  # "mon 30 wed 40": the next day opens the next clause
        if cut is None and timed and place in ended and after_number.get(place) in starts:
            cut = (False, True)  # "40 saturday 20 sunday": so does the number that the next day follows
        if cut is not None:
            timed = dated = told_yet = False
        told_yet |= place in numbers or bool(line.cues(place) & _SAYING)
        timed |= numbers.get(place, False)
        dated |= place in starts
        if cut is None:
            continue
        if place > first:
            before = found[-1] if found else None
            # "ran 45, how am I doing?" asks in its last clause and reports in its first.
            here = line.text(place) == "?"
            told = any(map(numbers.get, range(first, place)))
            reports = bool(_places(line, first, place, Cue.RAN) or (told and _places(line, first, place, Cue.DID)))
            reports |= told and _asks_something_else(line, place)
            clause = _clause(
                line, first, place, amounts, days, before, linked, contrast, asked[first] and (here or not reports)
            )
            found.append(clause)
        ends, opens_contrast = cut
        linked = not ends
        contrast = opens_contrast
        first = place if opens_contrast else place + 1
    return found


def _asks_something_else(line: ParsedLine, end: int) -> bool:
    """Whether the next clause opens a question of its own: "45 min, what's next?"; "40 min, is that ok?" does not."""
    opens = next((n for n in range(end, min(end + 3, len(line.tokens))) if line.tokens[n].kind is Kind.WORD), end)
    pointing = {line.texts[n] for n in range(opens, min(opens + 2, len(line.tokens)))} & W.pointing
    asks = (line.cues(opens) | line.cues(opens + 1)) & {Cue.QUESTION, Cue.STATUS}
    return bool(asks) and not pointing


def _cut(line: ParsedLine, place: int, taken: list[bool]) -> tuple[bool, bool] | None:
    """Whether a clause ends before `place`: (the sentence ends too, a contrast opens); None where not."""
    if place == len(line.tokens):
        return True, False
    if taken[place]:
        return None
    token = line.tokens[place]
    mark = line.marks[place]
    if token.kind is Kind.MARK:
        if token.text in _ENDS:
            return True, False
        if token.text in _BREAKS:
            return False, False
        apart = place + 1 < len(line.tokens) and not line.tokens[place + 1].glued
        if (token.text in {"-", ":"} and not token.glued) or (token.text == ":" and apart):
            return False, False
        if token.text == "+":
            return False, False
    if mark is None or mark.first != place:
        return None
    if Cue.BUT in mark.cues and place:
        return False, True
    if Cue.AND in mark.cues and mark.last == place + 1 and Cue.KM not in mark.cues and token.text != "+":
        return False, False
    return None


def _asked(line: ParsedLine) -> list[bool]:
    """For each token, whether its sentence ends in a question mark."""
    asked = [False] * (len(line.tokens) + 1)
    current = False
    for place in range(len(line.tokens) - 1, -1, -1):
        text = line.texts[place]
        if text in _ENDS and line.tokens[place].kind is Kind.MARK:
            current = text == "?"
        asked[place] = current
    return asked


def _clause(
    line: ParsedLine, first: int, last: int, amounts: list[Amount], days: list[Named],
    before: Clause | None, linked: bool, contrast: bool, asked: bool,
) -> Clause:  # fmt: skip
    own_amounts = tuple(amounts[slice(*[bisect_left(amounts, end, key=_OPENS) for end in (first, last)])])
    own_days = tuple(days[slice(*[bisect_left(days, end, key=_closes) for end in (first, last)])])
    cues = frozenset[Cue]().union(*line.hints[first:last])
    mood = _mood(line, first, last, cues, own_amounts, own_days, asked)
    if mood is Mood.PLAIN and linked and not contrast and before is not None:
        inherits = before.mood in {Mood.INTENDED, Mood.OTHERS, Mood.PLANNED, Mood.IMAGINED, Mood.QUESTION}
        if inherits and Cue.SELF not in cues and Cue.TOTAL not in cues:
            mood = before.mood
        elif before.mood is Mood.DONE:
            mood = Mood.DONE
    return Clause(first, last, cues, own_amounts, own_days, mood, linked, contrast)


_OPENS = attrgetter("first")


def _closes(day: Named) -> int:
    return max(day.first, day.last - 1)


def _places(line: ParsedLine, first: int, last: int, *cues: Cue) -> list[int]:
    return [first + n for n, hints in enumerate(line.hints[first:last]) if not hints.isdisjoint(cues)]


class _Said(NamedTuple):
    """A clause as its mood is judged: where it lies, its hints, and the places of what was done and how long."""

    line: ParsedLine
    first: int
    last: int
    cues: frozenset[Cue]
    amounts: tuple[Amount, ...]
    days: tuple[Named, ...]
    asked: bool
    done: list[int]
    ran: list[int]
    told: list[int]

    def places(self, *cues: Cue) -> list[int]:
        """The places of the clause with one of these hints."""
        return [] if self.cues.isdisjoint(cues) else _places(self.line, self.first, self.last, *cues)


def _mood(
    line: ParsedLine, first: int, last: int, cues: frozenset[Cue], amounts: tuple[Amount, ...],
    days: tuple[Named, ...], asked: bool,
) -> Mood:  # fmt: skip
    ran = _places(line, first, last, Cue.RAN) if Cue.RAN in cues else []
    done = _places(line, first, last, Cue.RAN, Cue.DID) if Cue.DID in cues else ran
    told = [a.first for a in amounts if a.sort in {Sort.DURATION, Sort.BARE, Sort.UNCLEAR, Sort.RANGE}]
    said = _Said(line, first, last, cues, amounts, days, asked, done, ran, told)
    return (
        _imagined_or_to_come(said)
        or _marked(said)
        or _somebody_elses(said)
        or (Mood.NEGATED if _is_denied(said) else None)
        or _ahead(said)
        or _told_as_done(said)
    )


def _imagined_or_to_come(said: _Said) -> Mood | None:
    """What is only imagined or long ago, or is still to come by how it is told."""
    line, first, last, told = said.line, said.first, said.last, said.told
    if Cue.HYPOTHETICAL in said.cues or any(_is_year(line, amount) for amount in said.amounts):
        return Mood.IMAGINED
    coming = [day for day in said.days if day.tense >= 0 and day.dates(False) != day.dates(True)]
    if coming and not said.done and Cue.MOVE in said.cues | line.cues(last):
        return Mood.INTENDED  # "run 45 sunday instead": nothing says that anything was run
    if Cue.LONG_AGO in said.cues:
        return Mood.IMAGINED
    if not said.done and last - first > 1 and line.texts[last - 1] == "later":
        return Mood.INTENDED
    if not said.done and (_is_to_come(line, said.amounts) or is_under_way(line, said.amounts)):
        return Mood.INTENDED
    if line.language == "en" and told and is_to_come(line, first, told[0]) and not any(p < told[0] for p in said.done):
        return Mood.INTENDED
    return None


def _marked(said: _Said) -> Mood | None:
    """What a hint settles: called off, a setting, somebody's or something's run, a limit, a question."""
    line, first, done, told = said.line, said.first, said.done, said.told
    if Cue.SKIP in said.cues and all(Cue.SKIP in line.cues(place - 1) for place in said.ran):
        return Mood.NEGATED
    if Cue.SETTINGS in said.cues and not done:
        return Mood.PLANNED
    if (told and _named_person(line, first)) or _ran_by_itself(said):
        return Mood.OTHERS
    if line.language == "en" and any(Cue.RAN in line.own(p) and is_others(line, first, p) for p in done[:1]):
        return Mood.OTHERS
    if not done and _limits(line, first, said.last, said.days):
        return Mood.INTENDED
    starts_asking = Cue.QUESTION in line.cues(first) or Cue.QUESTION in line.cues(first + 1)
    return Mood.QUESTION if starts_asking and (said.asked or Cue.RAN not in said.cues or not told) else None


def _ran_by_itself(said: _Said) -> bool:
    """Whether it was a thing that ran: "the bus ran every 15 minutes"."""
    line = said.line
    return any(
        Cue.OTHER_DOING in line.own(p - 1) | line.cues(p - 1) and not _beside(line, p - 1)
        for p in said.done
        if p > said.first + 1 or p == 1
    )


def _somebody_elses(said: _Said) -> Mood | None:
    """Whether somebody else is named before what was done, and not as company."""
    line = said.line
    verb = min(said.done + said.told, default=said.last)
    others = [p for p in said.places(Cue.PERSON, Cue.OTHERS) if not _is_article(line, p)]
    if not others or others[0] >= verb:
        return None
    lead = set(line.texts[max(said.first, others[0] - 2) : others[0]])
    return None if lead & W.beside or _places(line, others[0], verb + 1, Cue.SELF) else Mood.OTHERS


def _is_denied(said: _Said) -> bool:
    """Whether a "not" or "no" is about the session: it reaches a run, a doing, or its number."""
    line, last, ran, told = said.line, said.last, said.ran, said.told
    numbers = frozenset(told)
    for place in filter(line.denies, range(said.first, last)):
        if ran and told and ran[0] < place and told[0] < place:
            continue  # what follows the session and its number denies something else
        mark = line.marks[place]
        ahead = mark.last if mark else place + 1
        while ahead < last and not line.cues(ahead) & _SIGNIFICANT and line.tokens[ahead].kind is Kind.WORD:
            ahead += 1
            if ahead - place > 6:
                break
        if ahead < last and (line.cues(ahead) & _SIGNIFICANT or ahead in numbers):
            return True
    return False


def _ahead(said: _Said) -> Mood | None:
    """What is planned, meant, dated to come, or asked."""
    line, first, last, done, ran = said.line, said.first, said.last, said.done, said.ran
    future = [p for p in range(first, last) if Cue.FUTURE in line.cues(p) or line.texts[p] in W.will]
    inside = {place for amount in said.amounts for place in range(amount.first, amount.last)}  # "30 instead of 45"
    plan = [place for place in said.places(Cue.PLAN) if place not in inside or Cue.MINUTE in line.cues(place)]
    if plan and not (done and done[0] < plan[0]):
        return Mood.PLANNED
    if future and future[0] < max(said.told, default=last) and not (ran and ran[0] < future[0]):
        return Mood.INTENDED
    once = [day for day in said.days if day.shape is not Shape.RECURRING]
    if once and all(day.tense > 0 for day in once) and not ran:
        return Mood.INTENDED
    return Mood.QUESTION if said.asked else None


def _told_as_done(said: _Said) -> Mood:
    """What is left is told as it is: done, or plain; unless the time was that of something else."""
    line, first, last = said.line, said.first, said.last
    sessions = said.places(*ACTIVITIES)
    # "reading about running for 40 minutes": the running is what the doing is about
    session = bool(sessions) and line.texts[sessions[0] - 1] not in {"about", "sobre"}
    elsewhere = Cue.OTHER_DOING in said.cues and not session and not said.ran
    if elsewhere and _took_time(line, first, last, said.amounts, said.days):
        return Mood.ELSEWHERE
    return Mood.DONE if said.done or any(d.tense < 0 for d in said.days) else Mood.PLAIN


def _is_year(line: ParsedLine, amount: Amount) -> bool:
    """Whether a number is a year: "in 2019"."""
    in_it = Cue.WITHIN in line.cues(amount.first - 1) or Cue.WITHIN in line.own(amount.first - 1)
    return amount.sort is Sort.BARE and 1900 <= amount.value <= 2100 and in_it


def _is_to_come(line: ParsedLine, amounts: tuple[Amount, ...]) -> bool:
    """Whether the time told is a wait: "back in 20 minutes"; "5k in 32 minutes" is not."""
    if any(amount.sort is Sort.DISTANCE for amount in amounts):
        return False
    return any(amount.sort in _TIMES and line.texts[amount.first - 1] == "in" for amount in amounts if amount.first)


def _is_article(line: ParsedLine, place: int) -> bool:
    """Whether Spanish "el" stands before a noun: the folded "él" is a person before a verb alone."""
    return line.texts[place] == "el" and Cue.RAN not in line.cues(place + 1)


def _named_person(line: ParsedLine, first: int) -> bool:
    """Whether the clause begins with a word that nobody knows, before a session: a name, "Pete ran 50"."""
    if first + 1 >= len(line.tokens) or line.tokens[first].kind is not Kind.WORD:
        return False
    if line.texts[first] in W.articles and first + 2 < len(line.tokens) and not line.known(first + 1):
        return Cue.RAN in line.own(first + 2)  # "the tap ran for 45 minutes"
    return not line.known(first) and len(line.texts[first]) > 2 and Cue.RAN in line.own(first + 1)


def _limits(line: ParsedLine, first: int, last: int, days: tuple[Named, ...]) -> bool:
    """Whether the clause limits what is to come: "can only do 30", "max 30 on Thursday"; not "just 30 yesterday"."""
    limits = _places(line, first, last, Cue.LIMIT)
    if not limits or any(day.tense < 0 for day in days):
        return False
    long_phrase = any((mark := line.marks[place]) is not None and mark.last - mark.first > 1 for place in limits)
    to_come = any(day.tense > 0 or day.dates(False) != day.dates(True) for day in days)
    twice = len({line.marks[place] for place in limits}) > 1  # "just 20 min available"
    return long_phrase or to_come or twice


def _took_time(line: ParsedLine, first: int, last: int, amounts: tuple[Amount, ...], days: tuple[Named, ...]) -> bool:
    """Whether the time told is that of the other doing: "worked 45", "45 min meeting"; not "35 before a meeting"."""
    dated = {place for day in days for place in range(day.first, day.last)}  # "sat" may be a day
    doings = [place for place in _places(line, first, last, Cue.OTHER_DOING) if place not in dated]
    if not doings:
        return False
    times = [amount for amount in amounts if amount.sort in _TIMES]
    aside = [place for place in doings if place > first and _beside(line, place)]
    return not times or any(
        doings[0] <= amount.last + 2 and not (aside and aside[0] <= amount.last + 2) for amount in times
    )


def _beside(line: ParsedLine, place: int) -> bool:
    """Whether a doing only says when or where: "before work", "after the meeting", "at lunch"."""
    before = line.texts[place - 1]
    if place > 1 and before in W.articles:
        return line.texts[place - 2] in W.aside - {"at"}
    return before in W.aside


_TIMES = frozenset((Sort.DURATION, Sort.BARE))
_SAYING = frozenset((Cue.RAN, Cue.DID, Cue.SKIP, Cue.PLAN, Cue.NOT, Cue.COMPLAINT, Cue.HYPOTHETICAL))
_SIGNIFICANT = frozenset((Cue.RAN, Cue.DID, Cue.RUN, Cue.HURTS))
