"""The minutes a run may have had: sums of the line's numbers, and the rules' own value, with what speaks for each."""

from __future__ import annotations

from itertools import combinations, pairwise
from math import log
from typing import NamedTuple

from nudgebot.domain.text.learned.features import Table, log_odds, softmax
from nudgebot.domain.text.learned.mentions import LONGEST, RUN, SHORTEST, Mention
from nudgebot.domain.text.log_lines.amounts import Sort
from nudgebot.domain.text.log_lines.cues import Cue
from nudgebot.domain.text.log_lines.rules import Parsed

MOST_PARTS = 4  # numbers that are added up
PLAUSIBLE = 0.03  # the least probability of being part of the run's minutes; a time with a unit is always tried
MOST_PLAUSIBLE = 7  # numbers that are tried, the likeliest first


class Candidate(NamedTuple):
    """Whole minutes, the numbers they are the sum of (none: the rules' own value), and whether seconds were rounded."""

    minutes: int
    parts: tuple[int, ...]
    rounded: bool


def rules_minutes(parse: Parsed) -> int | None:
    """The minutes of the rules' run, of several together; None where they tell of none."""
    return sum(run.minutes for run in parse.told.runs) or None


def candidates_of(parse: Parsed, mentions: list[Mention], roles: list[list[float]]) -> list[Candidate]:
    """What the minutes may be, each value once with its likeliest parts, least minutes first."""
    tried = [
        (roles[at][RUN], at)
        for at, mention in enumerate(mentions)
        if roles[at][RUN] >= PLAUSIBLE or mention.sort is Sort.DURATION
    ]
    places = sorted(at for _, at in sorted(tried, key=lambda pair: (-pair[0], pair[1]))[:MOST_PLAUSIBLE])
    best: dict[int, tuple[float, Candidate]] = {}
    own = rules_minutes(parse)
    if own is not None and SHORTEST <= own <= LONGEST:
        best[own] = (-99.0, Candidate(own, (), rounded=False))
    for count in range(1, min(MOST_PARTS, len(places)) + 1):
        for parts in combinations(places, count):
            if count > 1 and _overlap(mentions, parts):
                continue
            weight = sum(log_odds(roles[at][RUN]) for at in parts)
            for value in _sums(mentions, parts):
                for minutes, rounded in ((int(value + 1e-6), False), (int(value + 0.5), True)):
                    if SHORTEST <= minutes <= LONGEST and (not rounded or minutes != int(value + 1e-6)):
                        candidate = Candidate(minutes, parts, rounded)
                        if minutes not in best or weight > best[minutes][0]:
                            best[minutes] = (weight, candidate)
    return [best[minutes][1] for minutes in sorted(best)]


def _overlap(mentions: list[Mention], parts: tuple[int, ...]) -> bool:
    """Whether two of the parts share a token: an amount and a number inside it."""
    return any(mentions[b].first < mentions[a].last for a, b in pairwise(parts))


def _sums(mentions: list[Mention], parts: tuple[int, ...]) -> list[float]:
    """The sums of the parts' values: the first reading of each; of one part alone every reading."""
    if len(parts) == 1:
        return list(mentions[parts[0]].values)
    return [sum(mentions[at].values[0] for at in parts)]


def features_of(parse: Parsed, mentions: list[Mention], roles: list[list[float]], one: Candidate) -> list[float]:
    """What speaks for one candidate, numbers of about the same size."""
    chosen = [log_odds(roles[at][RUN]) for at in one.parts]
    out = [at for at in range(len(mentions)) if not _covered(mentions, one.parts, at)]
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
        float(len(alone) > 1 and one.minutes == int(alone[-1])),
    ]  # fmt: skip


def _covered(mentions: list[Mention], parts: tuple[int, ...], at: int) -> bool:
    """Whether a number shares its tokens with a chosen part."""
    return any(mentions[p].first < mentions[at].last and mentions[at].first < mentions[p].last for p in parts)


def _joined(parse: Parsed, mentions: list[Mention], parts: tuple[int, ...]) -> list[float]:
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
    table: Table, parse: Parsed, mentions: list[Mention], roles: list[list[float]]
) -> list[tuple[float, Candidate]]:
    """The candidates with their share of probability, the likeliest first."""
    found = candidates_of(parse, mentions, roles)
    if not found:
        return []
    scores = [table.scores_of(features_of(parse, mentions, roles, one))[0] for one in found]
    return sorted(zip(softmax(scores), found, strict=True), key=lambda pair: (-pair[0], pair[1].minutes))
