"""The sessions a line reports as done: minutes, day and kind of each, or that one must ask."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from nudgebot.domain.model.logbook import Activity
from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.dates import Shape
from nudgebot.domain.text.log_lines.moods import Clause, Mood
from nudgebot.domain.text.log_lines.result import Run
from nudgebot.domain.text.log_lines.units import BARE_FROM, BARE_TO, KM_PER_MILE, PACE, TIMES, Amount, Sort
from nudgebot.domain.text.word_files import words

W = words("runs")
SHORTEST, LONGEST = 1, 600  # minutes of one session that are taken without asking

SHORT_WORD = 3  # letters; a shorter unknown word beside a time is a slip or an abbreviation
SLOWEST_KM, FASTEST_KM = 15, 3  # minutes a kilometre that make a bare number the time of a distance
TELLING = frozenset((Mood.PLAIN, Mood.DONE))
_SESSIONS = frozenset((*ACTIVITIES, Cue.RAN))
_OTHER_PURPOSE = frozenset((Cue.BUSY, Cue.CANNOT, Cue.MOVE, Cue.SKIP, Cue.AWAY, Cue.PAUSE, Cue.LIMIT, Cue.SETTINGS))
_SAYS_SESSION = _SESSIONS | {Cue.DID, Cue.SOFT, Cue.PART, Cue.HARD, Cue.TOTAL}
_TIME = frozenset((Cue.MINUTE, Cue.HOUR, Cue.DURATION))
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


def activity_of(line: ParsedLine, clause: Clause) -> Activity | None:
    """What moved; "bike instead of my run" is the bike, and "30 without a walk" is no walk."""
    if clause.cues.isdisjoint(ACTIVITIES):
        return None
    named = (cue for cue in ACTIVITIES if cue in clause.cues and not _is_left_out(line, clause, cue))
    return next((Activity(cue) for cue in named), None)


def _is_left_out(line: ParsedLine, clause: Clause, cue: Cue) -> bool:
    """Whether the clause names an activity only as one that was not: "ohne Gehpause", "no walk breaks"."""
    place = next(n for n in range(clause.first, clause.last) if cue in line.hints[n] or cue in line.own(n))
    return not W.left_out.isdisjoint(line.texts[max(clause.first, place - 3) : place])


def told(line: ParsedLine, clauses: list[Clause], today: date) -> ToldRuns:
    """The finished sessions of the line."""
    refused = {place for place, clause in enumerate(clauses) if _refuses(clause)}
    jests = [place for place, clause in enumerate(clauses) if Cue.JEST in clause.cues]
    if jests:  # "ran 60 minutes, just kidding", "just joking, ran 90"
        refused |= set(range(jests[-1] + 1 if jests[-1] else len(clauses)))
    others = [clause for place, clause in enumerate(clauses) if place not in refused]
    if refused and not any(clause.cues & {Cue.RAN, Cue.DID} for clause in others):
        return ToldRuns()  # "can't do 40, only 20": both are to come
    parts: list[_Part] = []
    doubtful = reported = False
    distance: float | None = None
    homes: set[int] = set()
    says_done = _says_done(line)
    for place, clause in enumerate(clauses):
        if clause.mood not in TELLING or place in refused:
            continue
        told_of = says_done or (Cue.DID in clause.cues and not clause.cues.isdisjoint(ACTIVITIES))
        done = Cue.RAN in clause.cues or (told_of and Cue.COMPLAINT not in clause.cues)
        found, unsure, far = _parts(line, clause, place)
        if far is not None:
            distance = (distance or 0) + far
        if found or unsure or done or far is not None:
            homes.add(place)
        reported |= done or far is not None
        parts.extend(found)
        doubtful |= unsure
    days = _days(clauses, today)
    parts = _counted(line, clauses, _same_unit(line, parts, days))
    home = frozenset(homes)
    if not parts:
        day = days[min(homes)] if homes else today
        return ToldRuns((), False, True, home, distance, day) if doubtful or reported else ToldRuns()
    runs = _runs(line, clauses, parts, days)
    sure = all(SHORTEST <= run.minutes <= LONGEST for run in runs) and not (
        _is_strange(line, clauses[parts[0].clause])
        or any(
            _is_open(line, clauses, place) or _is_of_a_thing(line, clauses, place)
            for place in {part.clause for part in parts}
        )
    )
    return ToldRuns(runs, True, True, home, distance) if sure else ToldRuns((), False, True, home, distance)


def _refuses(clause: Clause) -> bool:
    """Whether the clause says that a time cannot be run: "can't do 40"."""
    if Cue.CANNOT not in clause.cues:
        return False
    times = [a.first for a in clause.amounts if a.sort in TIMES]
    return bool(times) and min(times) > clause.places(Cue.CANNOT)[0]


def _says_done(line: ParsedLine) -> bool:
    """Whether the whole line is "done" or the like, in one word or two."""
    return 0 < len(line.words) <= 2 and line.texts[line.words[0]] in W.finished


def _parts(line: ParsedLine, clause: Clause, place: int) -> tuple[list[_Part], bool, float | None]:
    """The durations of one clause, whether one must ask, and the distance."""
    if not clause.amounts:
        return [], False, None
    activity = activity_of(line, clause)
    by_sort: dict[Sort, list[Amount]] = {}
    for amount in clause.amounts:
        by_sort.setdefault(amount.sort, []).append(amount)
    far = sum(a.value for a in by_sort.get(Sort.DISTANCE, ())) or None
    bare = by_sort.get(Sort.BARE, [])
    times = by_sort.get(Sort.DURATION, [])
    parts = [_Part(a.value, place, a, activity) for a in times]
    walks = activity is Activity.WALK and len(times) > 1
    if walks and not any(Cue.WALK in line.hints[n] for n in range(times[-1].first)):
        parts[0] = replace(parts[0], activity=None)  # "35 min + 5 walking home": the first was the run
    if parts:
        # "ran 45 min then walked 10": a number right after its own verb shares the unit
        added = [a for a in bare if Cue.RAN in line.cues(a.first - 1) and _is_minutes(line, clause, a, None)]
        return [*parts, *(_Part(a.value, place, a, activity) for a in added)], False, far
    if far is not None:
        paced = _at_a_pace(line, clause, far, by_sort)
        if paced is not None:
            return [_Part(paced[1], place, paced[0], activity)], False, far
    if by_sort.get(Sort.RANGE):
        return [], True, far
    parts = [_Part(a.value, place, a, activity, bare=True) for a in bare if _is_minutes(line, clause, a, far)]
    unsure = bool(bare) and not parts and not clause.cues.isdisjoint((Cue.RAN, Cue.DID))
    return parts, unsure or bool(by_sort.get(Sort.UNCLEAR)), far


def _at_a_pace(
    line: ParsedLine, clause: Clause, far: float, by_sort: dict[Sort, list[Amount]]
) -> tuple[Amount, float] | None:
    """The amount that makes a distance minutes, and these: "5k at 6:10 a km", "5k in 31:20"."""
    miles = Cue.MILE in clause.cues
    for pace in by_sort.get(Sort.PACE, ()):
        a_mile = pace.per_mile and miles
        return pace, far * pace.value / (KM_PER_MILE if a_mile else 1) / 60
    for unclear in by_sort.get(Sort.UNCLEAR, ()):
        minutes = unclear.value / 60
        if minutes < FASTEST_KM * far and unclear.value in PACE and line.text(unclear.first - 1) != "at":
            return unclear, (far / KM_PER_MILE if miles else far) * minutes  # 4 miles @ 10:30
        if FASTEST_KM * far <= minutes <= SLOWEST_KM * far:
            return unclear, minutes
    return None


def _is_minutes(line: ParsedLine, clause: Clause, amount: Amount, far: float | None) -> bool:
    """Whether a number with no unit is the minutes of the session."""
    value, after = amount.value, amount.last
    if value != int(value) or not BARE_FROM <= value <= BARE_TO:
        return False
    if far is not None and not FASTEST_KM * far <= value <= SLOWEST_KM * far:
        return False
    strange = after < clause.last and not line.known(after)
    return not strange or any(line.cues(near) & _SESSIONS for near in range(clause.first, amount.first))


def _same_unit(line: ParsedLine, parts: list[_Part], days: list[date]) -> list[_Part]:
    """The parts, without bare numbers that a time with its unit explains: "45 min, felt like 60"."""
    first = next((part for part in parts if not part.bare), None)
    if first is None or any(Cue.AND in line.cues(p.amount.last) for p in parts if p.bare):
        return parts
    return [
        p
        for p in parts
        if not p.bare or line.texts[p.amount.first - 1] in W.further or days[p.clause] != days[first.clause]
    ]


def _counted(line: ParsedLine, clauses: list[Clause], parts: list[_Part]) -> list[_Part]:
    """The parts that count: no strength beside a run, the exact of a rough time, the total."""
    parts = [p for p in parts if p.activity not in _UNCOUNTED] or parts
    exact = [p for p in parts if line.text(p.amount.first - 1) not in W.rough]
    parts = exact if len(exact) == 1 else parts  # "just under an hour, 58 min"
    whole = [p for p in parts if Cue.TOTAL in clauses[p.clause].cues]
    return whole[-1:] or parts


def _runs(line: ParsedLine, clauses: list[Clause], parts: list[_Part], days: list[date]) -> tuple[Run, ...]:
    """The parts added up by day; this morning and this evening are two sessions."""
    hours = {place: _time_of_day(line, clauses[place]) for place in {part.clause for part in parts}}
    twice = "" not in hours.values() and len(set(hours.values())) > 1
    by_day: dict[tuple[date, str], list[_Part]] = {}
    for part in parts:
        by_day.setdefault((days[part.clause], hours[part.clause] if twice else ""), []).append(part)
    found = []
    for (day, _), then in by_day.items():
        kinds = [p.activity for p in then if p.activity is not None] or _in_place(line, clauses)
        kinds += [Activity.RUN] if kinds == [Activity.WALK] and len(then) > 1 and then[0].activity is None else []
        activity = Activity.RUN if Activity.RUN in kinds or not kinds else kinds[0]
        found.append(Run(day, int(sum(p.minutes for p in then) + 1e-6), activity))
    return tuple(found)


def _in_place(line: ParsedLine, clauses: list[Clause]) -> list[Activity]:
    """What was done in place of a run, named in another clause than its minutes: "swam instead of running, 40 min"."""
    named = (activity_of(line, clause) for clause in clauses if Cue.IN_PLACE in clause.cues)
    return [activity for activity in named if activity is not None]


def _time_of_day(line: ParsedLine, clause: Clause) -> str:
    """The first word of a clause that names a part of the day; empty where none does."""
    places = range(clause.first, clause.last)
    return next((line.texts[place] for place in places if Cue.PART_OF_DAY in line.own(place)), "")


def _is_strange(line: ParsedLine, clause: Clause) -> bool:
    """Whether a time stands beside a word nobody knows and nothing says session: "45 min origami"."""
    if clause.cues & _SAYS_SESSION or any(amount.sort in _OF_A_SESSION for amount in clause.amounts):
        return False
    numbers = {n for amount in clause.amounts for n in range(amount.first, amount.last)}
    places = range(clause.first, clause.last)
    with_whom = next((n for n in places if line.texts[n] in W.beside), clause.last)
    return any(
        len(line.texts[place]) > SHORT_WORD and not line.known(place) and place not in numbers
        for place in range(clause.first, with_whom)
    )


def _is_of_a_thing(line: ParsedLine, clauses: list[Clause], place: int) -> bool:
    """Whether the time may be that of a thing nobody knows: "the lasagne took 45", "made soup, took 45"."""
    clause = clauses[place]
    took = next((n for n in range(clause.first, clause.last) if line.texts[n] in W.took), None)
    said = range(clause.first, clause.last if took is None else took)
    words = [n for n in said if line.tokens[n].kind is Kind.WORD and not line.cues(n) & _TIME]
    subject = [n for n in words if line.texts[n] not in {"it", "that"}]
    if took is None and subject:
        return False
    if not subject and place and clause.linked:  # the clause that it is joined to says what took the time
        subject = list(range(clauses[place - 1].first, clauses[place - 1].last))
    if took is None or any(Cue.SELF in line.cues(n) for n in subject):
        return False
    strange = any(line.marks[n] is None and len(line.texts[n]) >= SHORT_WORD for n in subject)
    return strange and not any(line.cues(n) & _SAYS_SESSION for n in subject)


def _is_open(line: ParsedLine, clauses: list[Clause], place: int) -> bool:
    """Whether a clause leaves the number or the day open: "between 30 and 40", "45 tonight"."""
    clause = clauses[place]
    if any(day.shape is Shape.SEVERAL for day in clause.days):
        return True  # "ran 60 last week"
    if clause.mood is Mood.PLAIN and len(clauses) == 1 and not W.tonight.isdisjoint(line.texts):
        return True
    first = clauses[place - 1].first if place and clause.linked else clause.first
    return any(
        Cue.EITHER in line.cues(n)
        and (line.texts[n] != "between" or [t.kind for t in line.tokens[n + 1 : n + 4 : 2]] == [Kind.NUMBER] * 2)
        for n in range(first, clause.last)
    )


def _days(clauses: list[Clause], today: date) -> list[date]:
    """For each clause the day it speaks of: its own, else the last one named before, else one named right after."""
    own = [_own_day(clause) for clause in clauses]
    told_of = [clause.mood in TELLING and clause.cues.isdisjoint(_OTHER_PURPOSE) for clause in clauses]
    spoken_of: list[date] = []
    before: date | None = None
    for place, day in enumerate(own):
        # "42 min, yesterday"; not "busy thursday"
        dates = place + 1 < len(clauses) and told_of[place + 1] and not clauses[place + 1].amounts
        spoken_of.append(day or before or (own[place + 1] if dates else None) or today)
        before = day if day is not None and told_of[place] else before
    return spoken_of


def _own_day(clause: Clause) -> date | None:
    """The last day of the first expression of a clause that can be a day gone."""
    return next((named.gone[-1] for named in clause.days if named.tense <= 0 and named.gone), None)
