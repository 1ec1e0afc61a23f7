"""The minutes a run may have had: sums of the line's numbers, and the rules' own value, with what speaks for each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain, combinations, pairwise
from math import log
from typing import NamedTuple

from nudgebot.domain.text.learned.derived import HOUR, PACE, SPAN, TIMES, Derived, derived_of
from nudgebot.domain.text.learned.features import Table, log_odds, softmax, those_told
from nudgebot.domain.text.learned.mentions import LONGEST, RUN, SHORTEST, Numeral
from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.line.vocabulary import NOTHING
from nudgebot.domain.text.log_lines.rules import Parsed
from nudgebot.domain.text.log_lines.units import Sort
from nudgebot.domain.text.word_files import words

W = words("parts")
MOST_PARTS = 4  # numbers that are added up
PLAUSIBLE = 0.03  # the least probability of being part of the run's minutes; a time with a unit is always tried
MOST_PLAUSIBLE = 7  # numbers that are tried, the likeliest first
_NEAR = 3  # words on each side of a number that may say it is one part of several
_LONGEST_MENDING = 10  # tokens between a number and the one that mends it
_NO_RUN = frozenset((Cue.STRENGTH, Cue.MOBILITY, Cue.OTHER_DOING))  # what takes time and is no session
_ACTIVE = frozenset(ACTIVITIES) - _NO_RUN
ROWS = 51 * 52 // 2  # of the table: values of a candidate, and the product of each two
_TELLS_TOTAL = 4  # of fewer numbers the last may by chance be the sum of the others
_NOT_DERIVED = Derived("", 0, 0, 0)
_LEAST = -6.0  # log odds: a value worked out is kept where no sum of likelier numbers gives the same


class MinutesOption(NamedTuple):
    """Whole minutes with where they come from.

    `parts`: the numbers they are the sum of; none where the rules' own value or something `derived` is meant, from the
    tokens from `first` up to `last`. `rounded`: whether seconds were rounded up. `twice`: whether the line gives them
    both as one number and as a sum: "10 walk, 30 jog, 5 walk, 45 in all".
    """

    minutes: int
    parts: tuple[int, ...] = ()
    rounded: bool = False
    derived: str = ""
    first: int = 0
    last: int = 0
    twice: bool = False


def rules_minutes(parse: Parsed) -> int | None:
    """The minutes of the rules' run, of several together; None where they tell of none."""
    return sum(run.minutes for run in parse.told.runs) or None


class Numbers(NamedTuple):
    """The numbers of a line with what each candidate asks of them: a probability that they are part of the run's
    minutes and its log odds, and by their places which are times, which a word beside makes one part of several, and
    behind which a session is named (`active`) or something that is none (`idle`).
    """

    parse: Parsed
    mentions: list[Numeral]
    likely: list[float]
    odds: list[float]
    timed: set[int]
    part: set[int]
    active: set[int]
    idle: set[int]


def numbers_of(parse: Parsed, mentions: list[Numeral], roles: list[list[float]]) -> Numbers:
    """The numbers of a line, whose `roles` are known, as the readers of sums see them."""
    line, likely = parse.line, [role[RUN] for role in roles]
    numbers = Numbers(parse, mentions, likely, [log_odds(each) for each in likely], set(), set(), set(), set())
    for at, (first, last, _, sort, _) in enumerate(mentions):
        if sort is Sort.DURATION:
            numbers.timed.add(at)
        if not W.part.isdisjoint(line.texts[max(0, first - _NEAR) : first] + line.texts[last : last + _NEAR]):
            numbers.part.add(at)
        if not _ACTIVE.isdisjoint(chain.from_iterable(line.hints[last : last + _NEAR])):
            numbers.active.add(at)
        if not _NO_RUN.isdisjoint(line.cues(last + (line.text(last) in W.of))):
            numbers.idle.add(at)  # "20 min weights", "9 min of chores"
    return numbers


def candidates_of(numbers: Numbers) -> list[MinutesOption]:
    """What the minutes may be, each value once with its likeliest parts, least minutes first."""
    parse, mentions, likely = numbers[:3]
    wrong = {at for at in range(len(mentions)) if _is_taken_back(parse.line, mentions, at)}
    tried = [
        at
        for at in range(len(mentions))
        if at not in wrong and (likely[at] >= PLAUSIBLE or at in numbers.timed or at - 1 in wrong)
    ]
    tried = [at for at in tried if at not in numbers.idle] or tried
    places = sorted(sorted(tried, key=lambda at: (-likely[at], at))[:MOST_PLAUSIBLE])
    best: dict[int, tuple[float, MinutesOption]] = {}
    alone: set[int] = set()  # minutes that one number gives
    summed: set[int] = set()

    def offer(weight: float, value: float, parts: tuple[int, ...] = (), one: Derived = _NOT_DERIVED) -> None:
        for minutes, rounded in {int(value + 0.5): True, int(value + 1e-6): False}.items():
            if SHORTEST <= minutes <= LONGEST and (minutes not in best or weight > best[minutes][0]):
                best[minutes] = (weight, MinutesOption(minutes, parts, rounded, one.kind, one.first, one.last))

    own = rules_minutes(parse)
    if own is not None and not wrong:
        offer(_LEAST - 1, own)
    for one in derived_of(parse):
        offer(_LEAST, one.minutes, one=one)
    for parts in _added_up(numbers, places):
        weight = sum([numbers.odds[at] for at in parts])
        one_alone = len(parts) == 1  # of which every reading counts; of several the first of each
        values = mentions[parts[0]].values if one_alone else (sum([mentions[at].values[0] for at in parts]),)
        for value in values:
            offer(weight, value, parts)
            (alone if one_alone else summed).add(int(value))
    return [best[minutes][1]._replace(twice=minutes in alone & summed) for minutes in sorted(best)]


def _added_up(numbers: Numbers, places: list[int]) -> Iterator[tuple[int, ...]]:
    """Which of the numbers at `places` may be added up, one alone first."""
    line, mentions = numbers.parse.line, numbers.mentions
    bound = [at for at in range(len(mentions) - 1) if _is_one_time(line, mentions[at], mentions[at + 1])]
    summable = [at for at in places if at not in numbers.idle]
    overlap = _overlap(mentions, summable)  # seldom: then no sum of them needs to be looked at
    for count in range(1, min(MOST_PARTS, len(places)) + 1):
        for parts in combinations(summable if count > 1 else places, count):
            if overlap and _overlap(mentions, parts):
                continue
            if bound and any((at in parts) != (at + 1 in parts) for at in bound):
                continue
            if count < _TELLS_TOTAL or not _holds_its_total(mentions, parts):
                yield parts


def _is_one_time(line: ParsedLine, hours: Numeral, minutes: Numeral) -> bool:
    """Whether two numbers are the hours and minutes of one time: "1h 5m", "1 hr con 5 min"."""
    gap = line.texts[hours.last : minutes.first]
    timed = hours.sort is Sort.DURATION is minutes.sort and minutes.values[0] < HOUR <= hours.values[0]
    whole = hours.values[0] % HOUR == 0 and any(Cue.HOUR in line.cues(n) for n in range(hours.first, hours.last))
    return timed and whole and len(gap) <= 1 and W.with_minutes.issuperset(gap)


def _is_taken_back(line: ParsedLine, mentions: list[Numeral], at: int) -> bool:
    """Whether the next number mends this one ("53, no wait, 35"), or this is the wrong one of "22, not 20"."""
    if at + 1 < len(mentions) and _mends(line, mentions[at].last, mentions[at + 1].first):
        return True
    wrong = line.text(mentions[at].first - 1) in W.instead and at > 0
    return wrong and mentions[at].first - mentions[at - 1].last <= _NEAR


def _mends(line: ParsedLine, first: int, last: int) -> bool:
    """Whether the words right before the second of two numbers mend the first: "53 by the lake. sorry, it was 35"."""
    if last - first > _LONGEST_MENDING:
        return False
    for n in range(last - 1, first - 1, -1):
        if line.texts[n] in W.mending:
            return True
        if line.tokens[n].kind is Kind.WORD and line.texts[n] not in W.between:
            return False
    return False


def _overlap(mentions: list[Numeral], parts: Sequence[int]) -> bool:
    """Whether two of the parts share a token: an amount and a number inside it."""
    return any(mentions[b].first < mentions[a].last for a, b in pairwise(parts))


def _holds_its_total(mentions: list[Numeral], parts: tuple[int, ...]) -> bool:
    """Whether one of the parts is what the others add up to: the total told beside them."""
    values = [mentions[at].values[0] for at in parts]
    return 2 * max(values) == sum(values)


def features_of(numbers: Numbers, one: MinutesOption) -> dict[int, float]:
    """What speaks for one candidate, numbers of about the same size, by place; most are nothing, and left out.

    The product of each two is among them: a word of another part means one thing beside one number, another beside two.
    """
    values = _plain_features(numbers, one)
    found, size = those_told(values), len(values)
    starts = [(size + at * (2 * size - at - 1) // 2 - at - 1, at, value) for at, value in found.items()]
    return found | {start + b: value * other for (start, _, value), (_, b, other) in combinations(starts, 2)}


def _plain_features(numbers: Numbers, one: MinutesOption) -> list[float]:
    parse, mentions = numbers[:2]
    covered = places_of(mentions, one)
    out = [at for at, other in enumerate(mentions) if covered.isdisjoint(range(other.first, other.last))]
    chosen, left = ([numbers.odds[at] for at in places] for places in (one.parts, out))
    timed, left_timed = (len(numbers.timed.intersection(places)) for places in (one.parts, out))
    own = rules_minutes(parse)
    count = len(one.parts)
    alone = mentions[one.parts[0]].values if count == 1 else ()
    return [
        sum(chosen) / 4, min(chosen, default=0.0) / 4, sum(odds for odds in left if odds > 0) / 4,
        max(left, default=-4.0) / 4, float(count == 0), float(count == 2), float(count > 2),
        float(0 < count == timed), float(0 < timed < count), float(min(left_timed, 2)),
        float(left_timed > 0 and not timed), float(own == one.minutes), float(own not in {None, one.minutes}),
        float(own == one.minutes and parse.told.sure), float(one.rounded),
        log(one.minutes / 30), float(one.minutes < 10), float(one.minutes > 120), float(one.minutes > 240),
        *_joined(parse, mentions, one.parts), float(any(mentions[at].inner for at in one.parts)),
        float(count == len(mentions) == 1), float(1 < count == len(mentions)),
        float(len(alone) > 1 and one.minutes == int(alone[-1])), *_derived(parse, one), float(one.twice),
        *_of_several(numbers, one, out),
    ]  # fmt: skip


def _of_several(numbers: Numbers, one: MinutesOption, out: list[int]) -> list[float]:
    """What tells parts of one session from other numbers: "out" and "back", "then", a session named beside each."""
    values = [numbers.mentions[at].values[0] for at in one.parts]
    count = len(values)
    several, same = count > 1, len(set(values)) < count
    marked, beside = (len(each.intersection(one.parts)) for each in (numbers.part, numbers.active))
    return [
        float(several and marked == count), float(several and marked > 0),
        float(several and beside == count), float(several and beside > 0),
        float(not numbers.part.isdisjoint(out)), float(not numbers.active.isdisjoint(out)),
        float(same), float(same and not marked), float(same and marked > 0),
        float(not numbers.idle.isdisjoint(one.parts)), float(not numbers.idle.isdisjoint(out)),
    ]  # fmt: skip


def places_of(mentions: list[Numeral], one: MinutesOption) -> set[int]:
    """The places of the tokens that a candidate is made of."""
    parts = [mentions[part] for part in one.parts]
    spans = [(one.first, one.last)] if one.derived else [(part.first, part.last) for part in parts]
    return {place for first, last in spans for place in range(first, last)}


def _derived(parse: Parsed, one: MinutesOption) -> list[float]:
    """What tells whether a value was rightly worked out."""
    if not one.derived:
        return [0.0] * 10
    cues = NOTHING.union(*parse.line.hints[max(0, one.first - 2) : one.last + 3])
    span, pace = one.derived == SPAN, one.derived == PACE
    return [
        float(span), float(pace), float(one.derived == TIMES),
        float(span and bool(cues & {Cue.TO, Cue.UNTIL, Cue.FROM})),
        float(span and 10 <= one.minutes <= 90), float(pace and 10 <= one.minutes <= 150),
        float(pace and bool(cues & {Cue.PACE, Cue.PER, Cue.AT})), float(span and one.last - one.first <= 4),
        float(span and one.last - one.first > 9), float(span and bool(cues & {Cue.BACK, Cue.RAN, Cue.RUN})),
    ]  # fmt: skip


def _joined(parse: Parsed, mentions: list[Numeral], parts: tuple[int, ...]) -> list[float]:
    """What stands between the parts: a plus or an "and", words of a total or a share, days, few words or many."""
    if len(parts) < 2:
        return [0.0] * 6
    line = parse.line
    plus = total = share = day = gap = 0
    for a, b in pairwise(parts):
        between = slice(mentions[a].last, mentions[b].first)
        cues, texts = NOTHING.union(*line.hints[between]), {*line.texts[between]}
        plus += Cue.AND in cues or "+" in texts
        total += Cue.TOTAL in cues or "=" in texts
        share += bool(cues & {Cue.INCLUDING, Cue.OUT_OF, Cue.EITHER}) or bool(texts & {"of", "not"})
        day += bool(cues & {Cue.WEEKDAY, Cue.DAY})
        gap += len(line.texts[between])
    return [
        float(plus == len(parts) - 1), float(plus == 0), float(total > 0), float(share > 0), float(day > 0),
        min(gap, 12) / 6,
    ]  # fmt: skip


def ranked(table: Table, numbers: Numbers) -> list[tuple[float, MinutesOption]]:
    """The candidates with their share of probability, the likeliest first."""
    found = candidates_of(numbers)
    if not found:
        return []
    scores = [table.scores_at(features_of(numbers, one))[0] for one in found]
    return sorted(zip(softmax(scores), found, strict=True), key=lambda pair: (-pair[0], pair[1].minutes))
