"""Turns of phrase that settle what a line is for before the table of hints is asked, corrections among them."""

from datetime import date
from typing import NamedTuple

from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.amounts import Amount, Sort
from nudgebot.domain.text.log_lines.clauses import Clause, Mood
from nudgebot.domain.text.log_lines.dates import WEEK_DAYS, Named, Shape, shifted, stretch
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.word_files import words

W = words("turns")


class Purpose(NamedTuple):
    """An intent with the days and the number that belong to it."""

    intent: Intent
    day: date | None = None
    days: tuple[date, ...] = ()
    minutes: int | None = None
    ask_back: bool = False


def dates_of(named: list[Named], today: date, past: bool = False) -> tuple[date, ...]:
    """All the days named, in order."""
    found: set[date] = set()
    for day in named:
        if day.shape is Shape.LENGTH:
            start = max(found) if found else today
            found.update(stretch(start, next(iter(shifted(start, day.length - 1)), start)))
        else:
            found.update(day.dates(past))
    return tuple(sorted(found))


def settled_early(
    line: ParsedLine, clauses: list[Clause], cues: frozenset[Cue], named: list[Named], asked: bool, today: date
) -> Purpose | None:
    """What a turn of phrase says the line is for; None where none does."""
    done = bool(cues & {Cue.RAN, Cue.DID})
    paired = len(named) == 1 and named[0].paired and not done
    if paired and {"bring", "forward"} <= set(line.texts):
        dates = named[0].dates(False)
        return Purpose(Intent.MOVE, dates[0], reached(dates, today)) if dates else None
    swapped = None if done else _exchange(line, clauses, cues, named, today)
    if swapped is not None:
        return swapped
    if any(_may_run(line, clause) for clause in clauses):
        return Purpose(Intent.ASK)
    words = [token.text for token in line.tokens if token.kind is Kind.WORD]
    if asked and named and Cue.RAN not in cues and _asks_what_is_on(line, named):
        dates = dates_of(named, today)
        return Purpose(Intent.STATUS, dates[0] if len(dates) == 1 else None)
    if (
        not done
        and not asked
        and set(words[:4]) & W.entered
        and (cues & {Cue.DISTANCE_NAMED, Cue.KM} or "race" in words)
    ):
        return Purpose(Intent.SETTINGS)
    return None


def _exchange(
    line: ParsedLine, clauses: list[Clause], cues: frozenset[Cue], named: list[Named], today: date
) -> Purpose | None:
    """A run that changes its day without a verb of moving: "45 sunday instead of today", "Friday's run on Saturday"."""
    if len(named) != 2 or any(day.shape is not Shape.ONE for day in named):
        return None
    first, second = (next(iter(day.dates(False)), today) for day in named)
    between = list(line.texts[named[0].last : named[1].first])
    before = list(line.texts[max(0, named[0].first - 2) : named[0].first])
    session = bool(cues & {Cue.RUN, Cue.MOVE}) or any(clause.amounts for clause in clauses)
    if first < today or second < today or first == second:
        return None
    if between[-1:] in (["than"], ["not"]) or between[-2:] == ["instead", "of"]:
        return Purpose(Intent.MOVE, second, (first,)) if session or "than" in between or "of" in between else None
    words = set(line.texts)
    if before == ["instead", "of"] or {"bring", "forward"} <= words:
        return Purpose(Intent.MOVE, first, (second,))
    if line.texts[named[0].last - 1].endswith("'s") and Cue.RUN in line.cues(named[0].last):
        return Purpose(Intent.MOVE, first, (second,))
    only_day = clauses[-1].first == named[1].first and clauses[-1].last == named[1].last
    if only_day and cues & {Cue.SKIP, Cue.CANNOT, Cue.NOT} and between[-1:] in ([","], ["."], ["-"], [";"], ["but"]):
        return Purpose(Intent.MOVE, first, (second,))  # "not today, tomorrow"
    return None


def reached(dates: tuple[date, ...], today: date) -> tuple[date, ...]:
    """The day that a move from one weekday to another goes to: "Friday to Thursday" is the Thursday before."""
    early = shifted(dates[-1], -WEEK_DAYS)
    return early if early and early[0] >= today else dates[-1:]


def _may_run(line: ParsedLine, clause: Clause) -> bool:
    """Whether a clause asks whether one may run as things are: "can I run with a cold?"."""
    if Cue.COMPLAINT not in clause.cues or not clause.cues & frozenset(ACTIVITIES):
        return False
    words = list(line.texts[clause.first : min(clause.last, clause.first + 4)])
    asks = tuple(words[:2]) in _LEAVE_TO or words[:1] in (["ok"], ["okay"], ["safe"])
    return asks and clause.mood is Mood.QUESTION


def _asks_what_is_on(line: ParsedLine, named: list[Named]) -> bool:
    """Whether the line is nothing but a question what a day holds: "so what do I do on Friday?"."""
    dated = {place for day in named for place in range(day.first, day.last)}
    words = [t.text for n, t in enumerate(line.tokens) if n not in dated and t.kind is Kind.WORD]
    return (
        bool(words)
        and any(word in W.what for word in words[:3]) | (words[:2] == ["am", "i"])
        and all(word in W.what | W.plain_words for word in words)
    )


def turned_down(line: ParsedLine, clauses: list[Clause], asked: bool) -> bool:
    """Whether the line ends by saying no to what was meant: "meant to do 30 today, didnt", "bucketing down so no"."""
    if asked or not clauses:
        return False
    last = clauses[-1]
    words = [token.text for token in line.tokens[last.first : last.last] if token.kind is Kind.WORD]
    if last.amounts or not words:
        return False
    denies = words[-1] in W.nos and (len(words) == 1 or all(word in W.small for word in words[:-1]))
    meant = any(
        clause.mood in {Mood.PLANNED, Mood.INTENDED, Mood.IMAGINED}
        and (clause.amounts or clause.cues & frozenset((Cue.RUN, Cue.PLAN, Cue.FUTURE)))
        for clause in clauses[:-1]
    )
    # "I wanted to run 45 but the meeting dragged on"
    undone = last.contrast and last.mood in {Mood.PLAIN, Mood.ELSEWHERE} and not last.cues & {Cue.RAN, Cue.DID}
    wanted = any(
        clause.mood in {Mood.PLANNED, Mood.INTENDED} and clause.amounts and clause.cues & {Cue.PLAN}
        for clause in clauses[:-1]
    )
    if undone and wanted and not last.cues & {Cue.MOVE, Cue.STATUS, Cue.QUESTION}:
        return True
    return (denies and meant) or words[-2:] in (["so", "no"], ["but", "no"], ["so", "nope"], ["but", "nope"])


_LEAVE_TO = frozenset(
    (("can", "i"), ("should", "i"), ("may", "i"), ("could", "i"), ("is", "it"), ("shall", "i"), ("would", "it"))
)

# ------------------------------------------------------------------ "make that 40", "40, not 45", "change it to 50"

_SHORTEST, _LONGEST = 1, 600  # minutes that an entry can have
_WEAK = frozenset(("not", "to", "rather", "it was", "that was", "sorry", "was"))  # too common to correct by themselves
_OPENINGS = W.no | frozenset(("sorry", "oops", "wait", "ah", ",", "perdon", "pardon", "desculpa"))


def correction(line: ParsedLine, amounts: list[Amount]) -> int | None:
    """The minutes that the last entry should have; None where the line corrects nothing."""
    everything = frozenset().union(*(line.cues(place) for place in range(len(line.tokens))))
    if everything & {Cue.RAN, Cue.SETTINGS, Cue.LIMIT, Cue.FUTURE, Cue.COMPLAINT}:
        return None
    if Cue.QUESTION in line.cues(0):
        return None  # "why 45 and not 30?"
    told = [a for a in amounts if a.sort in {Sort.DURATION, Sort.BARE} and _SHORTEST <= a.value <= _LONGEST]
    told = [a for a in told if not (a.value == 1 and line.tokens[a.first].spoken)]  # "last one was wrong, it was 38"
    meant = [a for a in told if not (Cue.NOT in line.own(a.first - 1) and line.denies(a.first - 1))]
    if len(meant) != 1:
        return None
    both = len(told) == 2
    if both or Cue.UNDO in everything or _begins(line, meant[0]):
        return int(meant[0].value)
    return None


def _begins(line: ParsedLine, amount: Amount) -> bool:
    """Whether the line opens with a phrase of correction, or changes something to the amount."""
    opening = next((place for place, token in enumerate(line.tokens) if token.text not in _OPENINGS), 0)
    mark = line.marks[opening]
    if opening and mark is not None and Cue.MAKE_THAT in mark.cues and amount.last == len(line.tokens):
        return True  # "no sorry it was 50"
    words = [token.text for token in line.tokens if token.kind is Kind.WORD]
    if words[:1] == ["sorry"] and len(words) == 1:
        return True
    if words[-1:] == ["actually"] and words[:2] in (["it", "was"], ["that", "was"]):
        return True
    first = line.marks[0]
    if first is not None and first.last < amount.first and " ".join(line.texts[first.first : first.last]) == "sorry":
        first = next(
            (mark for mark in line.marks[first.last :] if mark is not None and mark.first > first.first), first
        )
    if line.texts[0] in W.no and amount.first <= 2 and amount.last == len(line.tokens):
        return True
    if line.texts[0] in W.changing and line.texts[amount.first - 1] == "to":
        return True
    if first is None or Cue.MAKE_THAT not in first.cues:
        return False
    return " ".join(line.texts[first.first : first.last]) not in _WEAK
