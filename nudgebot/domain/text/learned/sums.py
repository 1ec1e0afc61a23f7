"""The minutes a run may have had: sums of the line's numbers, and the rules' own value, with what speaks for each."""

from __future__ import annotations

from itertools import combinations, pairwise
from math import log
from typing import NamedTuple

from nudgebot.domain.text.learned.derived import HOUR, PACE, SPAN, TIMES, derived_of
from nudgebot.domain.text.learned.features import Table, log_odds, softmax
from nudgebot.domain.text.learned.mentions import LONGEST, RUN, SHORTEST, Numeral
from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
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


def candidates_of(parse: Parsed, mentions: list[Numeral], roles: list[list[float]]) -> list[MinutesOption]:
    """What the minutes may be, each value once with its likeliest parts, least minutes first."""
    wrong = {at for at in range(len(mentions)) if _is_taken_back(parse.line, mentions, at)}
    tried = [
        (roles[at][RUN], at)
        for at, mention in enumerate(mentions)
        if at not in wrong and (roles[at][RUN] >= PLAUSIBLE or mention.sort is Sort.DURATION or at - 1 in wrong)
    ]
    idle = {at for at, mention in enumerate(mentions) if _is_of_no_run(parse.line, mention)}
    if any(at not in idle for _, at in tried):
        tried = [(likely, at) for likely, at in tried if at not in idle]
    bound = [at for at in range(len(mentions) - 1) if _is_one_time(parse.line, mentions[at], mentions[at + 1])]
    places = sorted(at for _, at in sorted(tried, key=lambda pair: (-pair[0], pair[1]))[:MOST_PLAUSIBLE])
    best: dict[int, tuple[float, MinutesOption]] = {}
    alone: set[int] = set()  # minutes that one number gives
    summed: set[int] = set()

    def offer(weight: float, value: float, candidate: MinutesOption) -> None:
        for minutes, rounded in ((int(value + 1e-6), False), (int(value + 0.5), True)):
            again = rounded and minutes == int(value + 1e-6)
            if SHORTEST <= minutes <= LONGEST and not again and (minutes not in best or weight > best[minutes][0]):
                best[minutes] = (weight, candidate._replace(minutes=minutes, rounded=rounded))

    own = rules_minutes(parse)
    if own is not None and not wrong:
        offer(_LEAST - 1, own, MinutesOption(own))
    for one in derived_of(parse):
        offer(_LEAST, one.minutes, MinutesOption(0, derived=one.kind, first=one.first, last=one.last))
    for count in range(1, min(MOST_PARTS, len(places)) + 1):
        for parts in combinations(places, count):
            if count > 1 and (_overlap(mentions, parts) or not idle.isdisjoint(parts)):
                continue
            if any((at in parts) != (at + 1 in parts) for at in bound) or _holds_its_total(mentions, parts):
                continue
            weight = sum(log_odds(roles[at][RUN]) for at in parts)
            for value in _sums(mentions, parts):
                offer(weight, value, MinutesOption(0, parts))
                (alone if count == 1 else summed).add(int(value))
    return [best[minutes][1]._replace(twice=minutes in alone & summed) for minutes in sorted(best)]


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


def _overlap(mentions: list[Numeral], parts: tuple[int, ...]) -> bool:
    """Whether two of the parts share a token: an amount and a number inside it."""
    return any(mentions[b].first < mentions[a].last for a, b in pairwise(parts))


def _holds_its_total(mentions: list[Numeral], parts: tuple[int, ...]) -> bool:
    """Whether one of four parts or more is what the others add up to: the total told beside them."""
    values = [mentions[at].values[0] for at in parts]
    return len(parts) >= _TELLS_TOTAL and 2 * max(values) == sum(values)


def _sums(mentions: list[Numeral], parts: tuple[int, ...]) -> list[float]:
    """The sums of the parts' values: the first reading of each; of one part alone every reading."""
    if len(parts) == 1:
        return list(mentions[parts[0]].values)
    return [sum(mentions[at].values[0] for at in parts)]


def features_of(
    parse: Parsed, mentions: list[Numeral], roles: list[list[float]], one: MinutesOption
) -> dict[int, float]:
    """What speaks for one candidate, numbers of about the same size, and the product of each two of them, by place;
    most are nothing, and left out.
    """
    return _crossed(_plain_features(parse, mentions, roles, one))


def _crossed(values: list[float]) -> dict[int, float]:
    """The values, and the product of each two: a word of another part means one thing beside one number, another
    beside two.
    """
    found = {at: value for at, value in enumerate(values) if value}
    size = len(values)
    starts = [(size + at * (2 * size - at - 1) // 2 - at - 1, at, value) for at, value in found.items()]
    found |= {start + b: one * other for (start, _, one), (_, b, other) in combinations(starts, 2)}
    return found


def _plain_features(
    parse: Parsed, mentions: list[Numeral], roles: list[list[float]], one: MinutesOption
) -> list[float]:
    chosen = [log_odds(roles[at][RUN]) for at in one.parts]
    out = [at for at in range(len(mentions)) if not _covered(mentions, one, at)]
    left = [log_odds(roles[at][RUN]) for at in out]
    left_timed = sum(mentions[at].sort is Sort.DURATION for at in out)
    own = rules_minutes(parse)
    count = len(one.parts)
    timed = sum(mentions[at].sort is Sort.DURATION for at in one.parts)
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
        *_of_several(parse.line, mentions, one, out),
    ]  # fmt: skip


def _of_several(line: ParsedLine, mentions: list[Numeral], one: MinutesOption, out: list[int]) -> list[float]:
    """What tells parts of one session from other numbers: "out" and "back", "then", a session named beside each."""
    chosen = [_part_words(line, mentions[at]) for at in one.parts]
    left = [_part_words(line, mentions[at]) for at in out]
    values = [mentions[at].values[0] for at in one.parts]
    same = len(values) > 1 and len(set(values)) < len(values)
    marked, beside = sum(part for part, _ in chosen), sum(active for _, active in chosen)
    several = len(one.parts) > 1
    return [
        float(several and marked == len(chosen)), float(several and marked > 0),
        float(several and beside == len(chosen)), float(several and beside > 0),
        float(any(part for part, _ in left)), float(any(active for _, active in left)),
        float(same), float(same and not marked), float(same and marked > 0),
        float(any(_is_of_no_run(line, mentions[at]) for at in one.parts)),
        float(any(_is_of_no_run(line, mentions[at]) for at in out)),
    ]  # fmt: skip


def _is_of_no_run(line: ParsedLine, mention: Numeral) -> bool:
    """Whether what is named right behind a number took time and was no session: "20 min weights", "9 min of chores"."""
    place = mention.last + (line.text(mention.last) in W.of)
    return not _NO_RUN.isdisjoint(line.cues(place))


def _part_words(line: ParsedLine, mention: Numeral) -> tuple[bool, bool]:
    """Whether a word beside a number makes it one part of several, and whether a session is named right behind it."""
    size = len(line.tokens)
    near = (*range(max(0, mention.first - _NEAR), mention.first), *range(mention.last, min(size, mention.last + _NEAR)))
    behind = range(mention.last, min(size, mention.last + _NEAR))
    return any(line.texts[n] in W.part for n in near), any(not _ACTIVE.isdisjoint(line.cues(n)) for n in behind)


def _covered(mentions: list[Numeral], one: MinutesOption, at: int) -> bool:
    """Whether a number shares its tokens with what a candidate is made of."""
    first, last = mentions[at].first, mentions[at].last
    if one.derived:
        return one.first < last and first < one.last
    return any(mentions[part].first < last and first < mentions[part].last for part in one.parts)


def _derived(parse: Parsed, one: MinutesOption) -> list[float]:
    """What tells whether a value was rightly worked out."""
    if not one.derived:
        return [0.0] * 10
    around = range(max(0, one.first - 2), min(len(parse.line.tokens), one.last + 3))
    cues = {cue for place in around for cue in parse.line.cues(place)}
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
        between = range(mentions[a].last, mentions[b].first)
        cues = {cue for n in between for cue in line.cues(n)}
        texts = {line.tokens[n].text for n in between}
        plus += Cue.AND in cues or "+" in texts
        total += Cue.TOTAL in cues or "=" in texts
        share += bool(cues & {Cue.INCLUDING, Cue.OUT_OF, Cue.EITHER}) or bool(texts & {"of", "not"})
        day += bool(cues & {Cue.WEEKDAY, Cue.DAY})
        gap += len(between)
    return [
        float(plus == len(parts) - 1), float(plus == 0), float(total > 0), float(share > 0), float(day > 0),
        min(gap, 12) / 6,
    ]  # fmt: skip


def ranked(
    table: Table, parse: Parsed, mentions: list[Numeral], roles: list[list[float]]
) -> list[tuple[float, MinutesOption]]:
    """The candidates with their share of probability, the likeliest first."""
    found = candidates_of(parse, mentions, roles)
    if not found:
        return []
    scores = [table.scores_at(features_of(parse, mentions, roles, one))[0] for one in found]
    return sorted(zip(softmax(scores), found, strict=True), key=lambda pair: (-pair[0], pair[1].minutes))
