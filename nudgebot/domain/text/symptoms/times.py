"""How long ago a complaint was: the times that a message names, in the steps that change an answer."""

import re
from collections.abc import Sequence
from enum import IntEnum
from functools import cache

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.vocabulary import hinting, said_in_any
from nudgebot.domain.text.symptoms.lay_words import Mention, SignWord
from nudgebot.domain.text.word_files import words

W = words("sign_context")


class When(IntEnum):
    """How long ago, in the steps that change an answer."""

    NOW = 0  # now, today, or within the last twelve hours
    YESTERDAY = 1  # could be either side of twelve hours
    HABIT = 2  # with every effort of a kind
    DAYS = 3  # up to fourteen days
    LONG = 4  # weeks to months
    YEARS = 5


_NAMED = {
    "T_NOW": When.NOW, "T_YESTERDAY": When.YESTERDAY, "T_DAYS": When.DAYS, "T_LONG": When.LONG,
    "T_YEARS": When.YEARS, "HABIT": When.HABIT,
}  # fmt: skip
_SO_MANY = {"a": 1, "an": 1, "couple": 2, "few": 3, "several": 4, "einem": 1, "einer": 1}
_UNITS = ((Cue.MINUTE, 1 / 60), (Cue.HOUR, 1), (Cue.SPAN_DAY, 24), (Cue.SPAN_WEEK, 168), (Cue.SPAN_MONTH, 720))  # hours
_YEAR = re.compile(r"(?:19[4-9]\d|20[0-4]\d)$")
_NO_CLOCK = re.compile(r"19[6-9]\d$")  # a year that no clock shows


@cache
def _counts() -> dict[str, int]:
    """The words that count a unit of time."""
    return _SO_MANY | said_in_any("numbers")


@cache
def _hours_in() -> dict[str, float]:
    """The hours of each unit of time; those of log lines, nights and years."""
    of_lines = {unit: hours for cue, hours in _UNITS for unit in hinting(cue)}
    return of_lines | dict.fromkeys(W.night, 24.0) | dict.fromkeys(W.year, 8760.0)


def _by_hours(hours: float) -> When:
    if hours <= 14 * 24:
        return When.DAYS if hours > 12 else When.NOW
    return When.LONG if hours < 8000 else When.YEARS


def _bare_years(found: Sequence[SignWord], numbers: list[int], cues: list[Mention]) -> set[int]:
    """Years that stand alone: beside a clearance or an end ("lung clot 2015, signed off"); else what is no clock."""
    cleared = (cue for cue in cues if cue.concept in {"CLEARED", "GONE"})
    if not any(W.not_yet.isdisjoint(t.word for t in found[max(0, cue.start - 3) : cue.start]) for cue in cleared):
        return {k for k in numbers if _NO_CLOCK.match(found[k].word) and not (k and found[k - 1].word in W.since_year)}
    return {k for k in numbers if k and _YEAR.match(found[k].word)}


def times(found: Sequence[SignWord], cues: list[Mention]) -> list[tuple[int, When]]:
    """Every time named in `found`: its place and how long ago that is."""
    since = {k for c in cues if c.concept == "T_SINCE" for k in range(c.end, c.end + 2)}
    best: dict[int, tuple[int, When]] = {}
    for cue in cues:
        when = _NAMED.get(cue.concept)
        if when is None:
            continue
        if cue.start and found[cue.start - 1].word in W.ahead:
            continue
        lasts = cue.start in since or _goes_on(found, cue.start, cues)
        if lasts and when is not When.HABIT:
            when = When.NOW
        if cue.start not in best or best[cue.start][0] < cue.end:
            best[cue.start] = (cue.end, when)
    counts, hours_in = _counts(), _hours_in()
    covered = {k for start, (end, _) in best.items() for k in range(start + 1, end)}
    out = [(start, when) for start, (_, when) in best.items() if start not in covered]
    numbers = [k for k, token in enumerate(found) if token.word in counts or token.word[0].isdigit()]
    bare = _bare_years(found, numbers, cues)
    for k in numbers:
        word = found[k].word
        if k in bare:
            out.append((k, When.YEARS))
            continue
        if k and found[k - 1].word in W.in_year and _YEAR.match(word):
            if found[k - 1].word not in W.since_year:
                out.append((k, When.YEARS))
            continue
        number = int(word) if word.isdigit() and len(word) < 4 else counts.get(word)
        if number is None or k + 1 >= len(found):
            continue
        at = k + 1 + (found[k + 1].word == "of")
        unit = found[at].word if at < len(found) else ""
        if unit not in hours_in:
            continue
        when = _by_hours(number * hours_in[unit])
        if _is_ago(found, k, at, when) and not _goes_on(found, max(0, k - 1), cues):
            out.append((k, when))
    return out


def _goes_on(found: Sequence[SignWord], at: int, cues: list[Mention]) -> bool:
    """Whether the time at token `at` says since when: "há meses que tenho", "me duele hace meses".

    The word for "ago" is that for "since" where the verb is in the present.
    """
    if found[at].word not in W.ago_or_since:
        return False
    first = next((k for k in range(at, 0, -1) if found[k].gap), 0)
    end = next((k for k in range(at + 1, len(found)) if found[k].gap), len(found))
    # "la tengo así desde que me operaron hace un mes": the verb before the "que" is not that of the time.
    turn = max((k + 1 for k in range(first, at) if found[k].word in W.goes_on), default=first)
    here = {cue.concept for cue in cues if turn <= cue.start < end}
    return "PRESENT" in here and "PAST" not in here


def _is_ago(found: Sequence[SignWord], first: int, last: int, when: When) -> bool:
    """Whether the time in tokens `first` to `last` is said to be gone by: "9 years ago", "ça fait 9 ans"."""
    after = found[last + 1].word if last + 1 < len(found) else ""
    b = first - 1 if first > 1 and found[first - 1].word in W.about_so_many else first
    before = found[b - 1].word if b else ""
    if after in W.ago_after or (b >= 3 and [t.word for t in found[b - 3 : b]] == ["il", "y", "a"]):
        return True
    if before in W.ago_in_years:
        return when is When.YEARS and after not in W.goes_on
    return before in W.ago_before and not (b >= 2 and found[b - 2].word == "desde")
