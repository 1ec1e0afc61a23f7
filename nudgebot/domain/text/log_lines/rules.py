"""What the rules alone read in one line, with everything they found on the way: the learned readers build on it."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine, line_of
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.amounts import amounts
from nudgebot.domain.text.log_lines.attribution import own_amounts
from nudgebot.domain.text.log_lines.clauses import clauses
from nudgebot.domain.text.log_lines.dates import Named
from nudgebot.domain.text.log_lines.days import days
from nudgebot.domain.text.log_lines.intents import correction, purpose
from nudgebot.domain.text.log_lines.moods import Clause
from nudgebot.domain.text.log_lines.purposes import Purpose
from nudgebot.domain.text.log_lines.result import Intent, Reading
from nudgebot.domain.text.log_lines.runs import TELLING, ToldRuns, told
from nudgebot.domain.text.log_lines.units import BARE_FROM, BARE_TO, Amount, Sort

_NOTHING_TOLD = ToldRuns()
_UNKNOWN = Reading(Intent.UNKNOWN)


class Parsed(NamedTuple):
    """One line as the rules see it, and the reading they come to. `purpose` is None where no rule holds."""

    line: ParsedLine
    today: date
    amounts: tuple[Amount, ...] = ()
    clauses: tuple[Clause, ...] = ()
    days: tuple[Named, ...] = ()
    told: ToldRuns = _NOTHING_TOLD
    purpose: Purpose | None = None
    reading: Reading = _UNKNOWN
    is_number: bool = False  # the line is one number and nothing else


def parsed(text: str, today: date) -> Parsed:
    """The line written on `today`, the runner's own date, and the rules' reading of it."""
    line = line_of(text)
    if not line.tokens:
        return Parsed(line, today)
    found = amounts(line)
    own = own_amounts(line, found)
    named = days(line, own, today)
    parts = clauses(line, own, named)
    session = told(line, parts, today)
    rest = [part for place, part in enumerate(parts) if place not in session.clauses]
    what = purpose(line, rest, today)
    if session.runs and what is not None and what.intent is Intent.BUSY and what.days == (today,):
        what = None  # "only meant to do 20 but did 35": a limit that the session has answered
    bare = _only_number(line)
    if bare is not None and not BARE_FROM <= bare <= BARE_TO:
        reading = Reading(Intent.UNKNOWN, ask_back=True, language=line.language)
    elif (corrected := correction(line, found)) is not None:
        reading = Reading(Intent.UNDO, minutes=corrected, language=line.language)
    else:
        reading = _reading(line, found, parts, session, what, today)
    return Parsed(
        line, today, tuple(own), tuple(parts), tuple(named), session, what, reading, is_number=bare is not None
    )


def _reading(
    line: ParsedLine, found: list[Amount], parts: list[Clause], session: ToldRuns, what: Purpose | None, today: date
) -> Reading:
    extras = extras_of(found)
    if session.runs:
        single = session.runs[0] if len(session.runs) == 1 else None
        return Reading(
            Intent.LOG,
            minutes=single.minutes if single else None,
            day=single.day if single else None,
            days=what.days if what else (),
            logs=() if single else session.runs,
            heart_rate=extras.get(Sort.PULSE),
            rpe=extras.get(Sort.EFFORT),
            distance_km=round(session.distance_km, 3) if session.distance_km else None,
            activity=single.activity if single else session.runs[0].activity,
            second_intent=what.intent if what else None,
            in_place_of_run=any(Cue.IN_PLACE in parts[place].cues for place in session.clauses),
            hard=any(_was_hard(line, part) for part in parts if part.mood in TELLING),
            language=line.language,
        )
    if session.reported and (what is None or what.intent in {Intent.HELLO, Intent.ASK}):
        far = round(session.distance_km, 3) if session.distance_km else None
        return Reading(
            Intent.LOG, day=session.day or today, ask_back=True, distance_km=far, heart_rate=extras.get(Sort.PULSE),
            rpe=extras.get(Sort.EFFORT), language=line.language,
        )  # fmt: skip
    if what is None:
        doubt = not any(Cue.JEST in part.cues for part in parts) and any(
            amount.sort in _TIMES for part in parts if part.mood in TELLING for amount in part.amounts
        )  # a number told as done; one that is meant, planned, denied or somebody else's needs no question
        return Reading(Intent.UNKNOWN, ask_back=doubt, language=line.language)
    return Reading(
        what.intent, minutes=what.minutes, day=what.day, days=what.days, ask_back=what.ask_back,
        language=line.language,
    )  # fmt: skip


_TIMES = frozenset((Sort.DURATION, Sort.BARE, Sort.UNCLEAR, Sort.RANGE))


def _only_number(line: ParsedLine) -> float | None:
    """The value of a line that is one number and nothing else."""
    only = line.tokens[0]
    return only.value if len(line.tokens) == 1 and only.kind is Kind.NUMBER else None


def _was_hard(line: ParsedLine, clause: Clause) -> bool:
    """Whether a clause calls its session hard: intervals, a race, flat out; not "not too hard"."""
    return any(
        not any(line.denies(near) for near in range(max(clause.first, place - 3), place))
        for place in clause.places(Cue.HARD)
    )


def extras_of(found: Sequence[Amount]) -> dict[Sort, int]:
    """The first value of each sort, rounded; a half goes up."""
    values: dict[Sort, int] = {}
    for amount in found:
        values.setdefault(amount.sort, int(amount.value + 0.5))
    return values
