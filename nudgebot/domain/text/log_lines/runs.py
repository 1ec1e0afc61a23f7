"""The sessions a line reports as done: minutes, day and kind of each, or that one must ask."""

from dataclasses import dataclass
from datetime import date

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.amounts import KM_PER_MILE, PACE, Amount, Sort
from nudgebot.domain.text.log_lines.attribution import is_doubtful
from nudgebot.domain.text.log_lines.clauses import Clause, Mood
from nudgebot.domain.text.log_lines.result import Run
from nudgebot.domain.text.word_files import words

W = words("runs")

SHORTEST, LONGEST = 1, 600  # minutes of one session that are taken without asking
BARE_FROM, BARE_TO = 10, 90  # a number with no unit is minutes from 10 to 90
_REST = 6  # words after a clause that still say what it is about
SHORT_WORD = 3  # letters; a shorter unknown word beside a time is a slip or an abbreviation
SLOWEST_KM, FASTEST_KM = 15, 3  # minutes a kilometre that make a bare number the time of a distance

_KINDS = {
    Cue.RUN: Activity.RUN, Cue.WALK: Activity.WALK, Cue.BIKE: Activity.BIKE, Cue.SWIM: Activity.SWIM,
    Cue.ROW: Activity.ROW, Cue.HIKE: Activity.HIKE, Cue.ELLIPTICAL: Activity.ELLIPTICAL,
    Cue.STRENGTH: Activity.STRENGTH, Cue.MOBILITY: Activity.MOBILITY,
}  # fmt: skip
_TELLING = frozenset((Mood.PLAIN, Mood.DONE))
_SESSIONS = frozenset((*ACTIVITIES, Cue.RAN))
_OTHER_PURPOSE = frozenset((Cue.BUSY, Cue.CANNOT, Cue.MOVE, Cue.SKIP, Cue.AWAY, Cue.PAUSE, Cue.LIMIT, Cue.SETTINGS))
_SAYS_SESSION = _SESSIONS | {Cue.DID, Cue.SOFT, Cue.PART, Cue.HARD, Cue.TOTAL}
_OF_A_SESSION = frozenset((Sort.DISTANCE, Sort.PACE, Sort.PULSE, Sort.EFFORT))
_UNCOUNTED = frozenset((Activity.STRENGTH, Activity.MOBILITY))


@dataclass(frozen=True, slots=True)
class ToldRuns:
    """What a line tells of finished sessions. `sure` is False where one must ask before storing."""

    runs: tuple[Run, ...] = ()
    sure: bool = True
    reported: bool = False  # a session is reported, with or without minutes
    clauses: frozenset[int] = frozenset()  # places of the clauses the sessions were told in
    distance_km: float | None = None
    day: date | None = None  # the day told of, where the minutes are not


@dataclass(frozen=True, slots=True)
class _Part:
    """One duration told in one clause."""

    minutes: float
    clause: int
    amount: Amount
    activity: Activity | None
    bare: bool = False


def activity_of(clause: Clause) -> Activity | None:
    named = [cue for cue in ACTIVITIES if cue in clause.cues]
    if not named:
        return None
    # "bike instead of my run", "run-walk", "strength after the run": what moves decides
    if Cue.IN_PLACE in clause.cues:
        named = [cue for cue in named if cue is not Cue.RUN] or named
    return _KINDS[named[0]]


def told(line: ParsedLine, clauses: list[Clause], today: date) -> ToldRuns:
    """The finished sessions of the line."""
    refused = {place for place, clause in enumerate(clauses) if _refuses(line, clause)}
    jests = [place for place, clause in enumerate(clauses) if Cue.JEST in clause.cues]
    if jests:  # "ran 60 minutes, just kidding", "just joking, ran 90"
        refused |= set(range(jests[-1] + 1 if jests[-1] else len(clauses)))
    others = [clause for place, clause in enumerate(clauses) if place not in refused]
    if refused and not any(clause.cues & {Cue.RAN, Cue.DID} for clause in others):
        return ToldRuns()  # "can't do 40, only 20": both are to come
    parts: list[_Part] = []
    doubtful = False
    reported = False
    distance: float | None = None
    homes: set[int] = set()
    says_done = _says_done(line)
    for place, clause in enumerate(clauses):
        if clause.mood not in _TELLING or place in refused or _is_elsewhere(line, clauses, place):
            continue
        told_of = says_done or (Cue.DID in clause.cues and any(cue in clause.cues for cue in ACTIVITIES))
        done = Cue.RAN in clause.cues or (told_of and Cue.COMPLAINT not in clause.cues)
        found, unsure, far = _parts(line, clauses, place)
        if far is not None:
            distance = (distance or 0) + far
        if found or unsure or done or (far is not None):
            homes.add(place)
        reported |= done or far is not None
        parts.extend(found)
        doubtful |= unsure
    return _settled(line, clauses, parts, doubtful, reported, distance, homes, today)


def _is_elsewhere(line: ParsedLine, clauses: list[Clause], place: int) -> bool:
    """Whether a time behind a missed run tells where it went: "the run didn't happen, 3 hours in A&E"."""
    if not place:
        return False
    clause, before = clauses[place], clauses[place - 1]
    if before.mood is not Mood.NEGATED or Cue.SKIP not in before.cues or clause.cues & _SAYS_SESSION:
        return False
    rest = range(clause.first, min(clause.last + _REST, len(line.tokens)))
    return any(Cue.PERSON in line.cues(n) or not line.known(n) for n in rest)


def _refuses(line: ParsedLine, clause: Clause) -> bool:
    """Whether the clause says that a time cannot be run: "can't do 40", but not "can't believe I ran 40"."""
    if Cue.CANNOT not in clause.cues:
        return False
    at = next((n for n in range(clause.first, clause.last) if Cue.CANNOT in line.cues(n)), clause.last)
    ran = any(Cue.RAN in line.cues(n) for n in range(clause.first, clause.last))
    times = [a.first for a in clause.amounts if a.sort in {Sort.DURATION, Sort.BARE, Sort.RANGE}]
    return not ran and bool(times) and min(times) > at


def _parts(line: ParsedLine, clauses: list[Clause], place: int) -> tuple[list[_Part], bool, float | None]:
    """The durations of one clause, whether one must ask, and the distance."""
    clause = clauses[place]
    activity = activity_of(clause)
    by_sort: dict[Sort, list[Amount]] = {}
    for amount in clause.amounts:
        by_sort.setdefault(amount.sort, []).append(amount)
    distances = by_sort.get(Sort.DISTANCE, [])
    far = sum(a.value for a in distances) or None
    durations = [a for a in by_sort.get(Sort.DURATION, []) if not _included(line, a)]
    parts = [_Part(a.value, place, a, activity) for a in durations]
    if parts:
        # "ran 45 min then walked 10": a number right after its own verb shares the unit
        added = [a for a in by_sort.get(Sort.BARE, []) if Cue.RAN in line.cues(a.first - 1)]
        parts.extend(_Part(a.value, place, a, activity) for a in added if _is_minutes(line, clause, a, None))
        return parts, False, far
    if far is not None:
        for pace in by_sort.get(Sort.PACE, []):
            per_km = pace.value
            if pace.per_mile and Cue.MILE in clause.cues and Cue.KM not in clause.cues:
                per_km = pace.value / KM_PER_MILE
            return [_Part(far * per_km / 60, place, pace, activity)], False, far
        for unclear in by_sort.get(Sort.UNCLEAR, []):
            minutes = unclear.value / 60
            length = far / KM_PER_MILE if Cue.MILE in clause.cues else far
            said_at = line.texts[unclear.first - 1] == "@" if unclear.first else False
            if said_at and minutes < FASTEST_KM * far and unclear.value in PACE:
                return [_Part(length * minutes, place, unclear, activity)], False, far  # 4 miles @ 10:30
            if FASTEST_KM * far <= minutes <= SLOWEST_KM * far:
                return [_Part(minutes, place, unclear, activity)], False, far
    if by_sort.get(Sort.RANGE):
        return [], True, far
    bare = [a for a in by_sort.get(Sort.BARE, []) if not _included(line, a)]
    counted = [a for a in bare if _is_minutes(line, clause, a, far)]
    parts = [_Part(a.value, place, a, activity, bare=True) for a in counted]
    unsure = bool(bare) and not parts and (Cue.RAN in clause.cues or Cue.DID in clause.cues)
    unsure |= bool(by_sort.get(Sort.UNCLEAR))
    return parts, unsure, far


def _included(line: ParsedLine, amount: Amount) -> bool:
    """Whether an amount is a part of another one told: "incl 5 min warm-up"."""
    before = line.cues(amount.first - 1)
    return Cue.INCLUDING in before


def _is_minutes(line: ParsedLine, clause: Clause, amount: Amount, far: float | None) -> bool:
    """Whether a number with no unit is the minutes of the session."""
    value = amount.value
    if value != int(value) or not BARE_FROM <= value <= BARE_TO:
        return False
    if far is not None and not FASTEST_KM * far <= value <= SLOWEST_KM * far:
        return False
    after = amount.last
    strange = after < clause.last and not line.known(after)
    return not strange or any(line.cues(near) & _SESSIONS for near in range(clause.first, amount.first))


def _settled(
    line: ParsedLine, clauses: list[Clause], parts: list[_Part], doubtful: bool, reported: bool,
    distance: float | None, homes: set[int], today: date,
) -> ToldRuns:  # fmt: skip
    days = _days(clauses, today)
    with_unit = [part for part in parts if not part.bare]
    if with_unit and not any(Cue.AND in line.cues(p.amount.last) for p in parts if p.bare):
        parts = [
            p
            for p in parts
            if not p.bare
            or (p.activity is not None and p.clause != with_unit[0].clause)
            or line.texts[p.amount.first - 1] in W.further
            or days[p.clause] != days[with_unit[0].clause]
        ]
    if not parts:
        if not (doubtful or reported):
            return ToldRuns()
        day = days[min(homes)] if homes else today
        return ToldRuns((), False, True, frozenset(homes), distance, day)
    aerobic = [p for p in parts if p.activity not in _UNCOUNTED] or parts
    exact = [p for p in aerobic if not _is_rough(line, p.amount)]
    aerobic = exact if len(exact) < len(aerobic) and len(exact) == 1 else aerobic  # "just under an hour, 58 min"
    short = [p for p in aerobic if Cue.CUT_SHORT in clauses[p.clause].cues]
    whole = [p for p in aerobic if Cue.TOTAL in clauses[p.clause].cues]
    aerobic = short[-1:] or whole[-1:] or aerobic
    by_day: dict[tuple[date, str], list[_Part]] = {}
    hours = {place: _time_of_day(line, clauses[place]) for place in {part.clause for part in aerobic}}
    twice = "" not in hours.values() and len(set(hours.values())) > 1  # this morning and this evening: two sessions
    for part in aerobic:
        by_day.setdefault((days[part.clause], hours[part.clause] if twice else ""), []).append(part)
    runs: list[Run] = []
    sure = not (
        _is_tonight(line, clauses)
        or _is_strange(line, [clauses[part.clause] for part in aerobic[:1]])
        or any(_is_doubtful(line, clauses, place) for place in {part.clause for part in aerobic})
    ) and not any(_either(line, clauses, place) for place in {part.clause for part in aerobic})
    for (day, _), told_then in by_day.items():
        kinds = [p.activity for p in told_then if p.activity is not None]
        activity = Activity.RUN if Activity.RUN in kinds or not kinds else kinds[0]
        minutes = int(sum(p.minutes for p in told_then) + 1e-6)
        if not SHORTEST <= minutes <= LONGEST:
            sure = False
        else:
            runs.append(Run(day, minutes, activity))
    if not runs or not sure:
        return ToldRuns((), False, True, frozenset(homes), distance)
    return ToldRuns(tuple(runs), True, True, frozenset(homes), distance)


def _is_rough(line: ParsedLine, amount: Amount) -> bool:
    """Whether a time is only roughly told: "just under an hour"."""
    return amount.first > 0 and line.texts[amount.first - 1] in W.rough


def _says_done(line: ParsedLine) -> bool:
    """Whether the whole line is "done" or the like, in one word or two."""
    words = [token.text for token in line.tokens if token.kind is Kind.WORD]
    return (
        0 < len(words) <= 2 and words[0] in W.finished and all(token.kind is not Kind.NUMBER for token in line.tokens)
    )


def _time_of_day(line: ParsedLine, clause: Clause) -> str:
    """The first word of a clause that names a part of the day; empty where none does."""
    places = range(clause.first, clause.last)
    return next((line.texts[place] for place in places if Cue.PART_OF_DAY in line.own(place)), "")


def _is_strange(line: ParsedLine, clauses: list[Clause]) -> bool:
    """Whether a time stands beside a word nobody knows and nothing says session: "45 min origami"."""
    cues = frozenset().union(*(clause.cues for clause in clauses))
    measured = any(amount.sort in _OF_A_SESSION for clause in clauses for amount in clause.amounts)
    if cues & _SAYS_SESSION or measured:
        return False
    ends = (_company(line, clause) for clause in clauses)
    places = (place for clause, end in zip(clauses, ends, strict=True) for place in range(clause.first, end))
    numbers = {n for clause in clauses for amount in clause.amounts for n in range(amount.first, amount.last)}
    return any(
        len(line.texts[place]) > SHORT_WORD and not line.known(place) and place not in numbers for place in places
    )


def _company(line: ParsedLine, clause: Clause) -> int:
    """The place where a clause begins to say with whom or past what; its end where it does not."""
    return next((n for n in range(clause.first, clause.last) if line.texts[n] in W.beside), clause.last)


def _is_doubtful(line: ParsedLine, clauses: list[Clause], place: int) -> bool:
    """Whether a clause may speak of the time of something else, or of a run to come on the day it names."""
    clause = clauses[place]
    before = clauses[place - 1] if place and clause.linked else None
    if is_doubtful(line, clause.first, clause.last, range(before.first, before.last) if before else range(0)):
        return True
    to_come = any(day.tense == 0 and day.dates(False) != day.dates(True) for day in clause.days)
    return to_come and line.texts[clause.first] in {"run", "do", "jog"} and clause.mood is Mood.PLAIN


def _is_tonight(line: ParsedLine, clauses: list[Clause]) -> bool:
    """Whether a line says no more than "45 tonight": meant as often as done."""
    tonight = not {"tonight", "tonite"}.isdisjoint(line.texts)
    return tonight and len(clauses) == 1 and clauses[0].mood is Mood.PLAIN


def _either(line: ParsedLine, clauses: list[Clause], place: int) -> bool:
    """Whether a clause leaves the number open: "between 30 and 40"; "between two meetings" does not."""
    first = clauses[place - 1].first if place and clauses[place].linked else clauses[place].first
    return any(
        Cue.EITHER in line.cues(n) and (line.texts[n] != "between" or _two_numbers(line, n + 1))
        for n in range(first, clauses[place].last)
    )


def _two_numbers(line: ParsedLine, place: int) -> bool:
    """Whether a number stands at `place`, and another one after the next word."""
    both = line.tokens[place : place + 3 : 2]
    return len(both) == 2 and all(token.kind is Kind.NUMBER for token in both)


def _days(clauses: list[Clause], today: date) -> list[date]:
    """For each clause the day it speaks of: its own, else the last one named before, else one named right after."""
    own = [_own_day(clause) for clause in clauses]
    spoken_of: list[date] = []
    before: date | None = None
    for place, (clause, day) in enumerate(zip(clauses, own, strict=True)):
        following = clauses[place + 1 : place + 2]
        after = own[place + 1] if following and _only_dates(following[0]) else None
        spoken_of.append(day or before or after or today)
        if day is not None and clause.mood in _TELLING and not clause.cues & _OTHER_PURPOSE:
            before = day
    return spoken_of


def _only_dates(clause: Clause) -> bool:
    """Whether a clause may do no more than date the one before: "42 min, yesterday"; not "busy thursday"."""
    return clause.mood in _TELLING and not clause.amounts and not clause.cues & _OTHER_PURPOSE


def _own_day(clause: Clause) -> date | None:
    """The last day of the first expression of a clause that can be a day gone."""
    for named in clause.days:
        dates = named.dates(True) if named.tense <= 0 else ()
        if dates:
            return dates[-1]
    return None
