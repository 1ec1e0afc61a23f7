"""Who, when and whether: what the words around a complaint make of it.

After the negation and context algorithms of the trade (Chapman et al., J Biomed Inform 2001;34:301;
Harkema et al., J Biomed Inform 2009;42:839), with one difference: a negation ends with the first complaint
it reaches, unless a list goes on, so that it never covers more than was said.
"""

import re
from bisect import bisect_right
from collections.abc import Sequence
from enum import IntEnum
from functools import cache
from itertools import accumulate
from typing import NamedTuple

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.vocabulary import hinting, said_in_any
from nudgebot.domain.text.symptoms.experiencer import BEFORE_SELF, of_others, segments, starts
from nudgebot.domain.text.symptoms.heard_words import SignWord, turn_ends
from nudgebot.domain.text.symptoms.lay_words import Mention
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


class Scope(NamedTuple):
    """For each token of a message: what is said of it."""

    negated: list[bool]
    supposed: list[bool]  # asked about or imagined
    other: list[bool]  # said of somebody else
    sentence: list[int]
    clause: list[int]
    segment: list[int]  # parts of clauses that have a subject or a conjunction of their own


_NEG_REACH = 7  # tokens from a negation to the complaint it denies
_NEG_ITEM = 4  # and from an "or" to the next
_SUPPOSED = 16  # tokens of a clause from an "if" or a question on that are covered by it


def scope(
    found: Sequence[SignWord], said: list[Mention], kinds: dict[str, str], sentence: list[int], clause: list[int]
) -> Scope:
    """What the words around each token of `found` make of it; `said` are its mentions, of every kind."""
    cues = [m for m in said if kinds[m.concept] == "cue"]
    signs: dict[int, int] = {}
    for m in said:
        if kinds[m.concept] == "sign":
            signs[m.start] = max(m.end, signs.get(m.start, 0))
    places = frozenset(k for m in said if kinds[m.concept] == "part" for k in range(m.start, m.end))
    segment = segments(found, cues)
    return Scope(
        negated=_negated(found, cues, signs, places),
        supposed=_supposed(found, cues),
        other=of_others(found, cues, said, segment),
        sentence=sentence,
        clause=clause,
        segment=segment,
    )


def parted(found: Sequence[SignWord]) -> tuple[list[int], list[int]]:
    """For each token the number of its sentence, and of its clause."""
    sentence: list[int] = []
    clause: list[int] = []
    s = c = 0
    for i, token in enumerate(found):
        if i and token.gap == 2:
            s += 1
        if i and token.gap:
            c += 1
        sentence.append(s)
        clause.append(c)
    return sentence, clause


def _negated(
    found: Sequence[SignWord], cues: list[Mention], signs: dict[int, int], places: frozenset[int]
) -> list[bool]:
    flags = [False] * len(found)
    ends = starts(cues, "NEG_END")
    selves = starts(cues, "SELF")
    negations = starts(cues, "NEG")
    stops = frozenset(at for at in ends if at not in signs) | frozenset(negations)
    begins = sorted(signs)
    reached = list(accumulate((signs[at] for at in begins), max))
    for start, end in negations.items():
        # A negation that is part of a complaint ("cannot breathe") negates nothing.
        before = bisect_right(begins, start)
        if before and end <= reached[before - 1]:
            continue
        # "Negative chest pain" denies it; "negative split, chest pain" and "test negative chest pain back" do not.
        if found[start].word in W.shorthand and (end not in signs or (start and not found[start].gap)):
            continue
        # "cannot lie down without gasping" says gasping.
        if found[start].word in W.without and any(t.word in W.cannot for t in found[max(0, start - 6) : start]):
            continue
        for k in range(end, _reach(found, end, signs, stops, selves)):
            flags[k] = True
    _taken_back(found, flags)
    for start, end in signs.items():
        if _answered_no(found, end, places):
            for k in range(start, end):
                flags[k] = True
    return flags


def _reach(
    found: Sequence[SignWord], begin: int, signs: dict[int, int], stops: frozenset[int], selves: dict[int, int]
) -> int:
    """The token at which a negation that covers from token `begin` on ends."""
    core_end = 0  # where the first complaint it reaches ends
    linked = 0  # tokens that may still lead to the next item of a list
    for at in range(begin, len(found)):
        token = found[at]
        if token.gap == 2 or (token.gap == 1 and not _list_goes_on(found, at, stops, selves)):
            return at
        if at in stops:
            return at
        if at in selves and at > begin and found[at - 1].word not in BEFORE_SELF:
            return at
        if not core_end and (at - begin > _NEG_REACH or (at > begin and found[at - 1].word in W.denied_thing)):
            return at
        if token.gap == 1 or token.word in W.joins:
            linked = _NEG_ITEM
        past = core_end and at >= core_end
        if past and not linked and token.word not in W.listing and found[at - 1].word not in W.listing:
            return at  # past the complaint a place may follow ("no pain in the chest"), or a list, nothing else
        if at in signs:
            core_end = max(core_end, signs[at])
            linked = 0
        elif linked:
            linked -= 1
    return len(found)


def _answered_no(found: Sequence[SignWord], end: int, places: frozenset[int]) -> bool:
    """Whether a complaint that ends at token `end` is answered no ("Tightness in the chest? No.")."""
    k = end
    while k < len(found) and not found[k].gap and (found[k].word in W.listing or k in places) and k < end + 5:
        k += 1
    return k < len(found) and found[k].word in W.post_negation and (k + 1 == len(found) or found[k + 1].gap > 0)


def _taken_back(found: Sequence[SignWord], flags: list[bool]) -> None:
    """Takes a negation off where the line ends by taking it back ("never had chest pain, but I do now")."""
    for k, end in turn_ends(found, "taken_back"):
        if end == len(found) or found[end].word in W.then or found[end].gap:
            for j in range(k - 1, -1, -1):
                flags[j] = False
                if found[j].gap == 2:
                    break


def _list_goes_on(found: Sequence[SignWord], at: int, stops: frozenset[int], selves: dict[int, int]) -> bool:
    """Whether the comma before `at` parts items of a list that ends in "or" ("no pain, swelling or numbness")."""
    for k in range(at, min(at + 7, len(found))):
        if found[k].gap == 2 or k in selves:
            return False
        if found[k].word in W.joins:
            return True
        if k in stops:
            return False
    return False


def _supposed(found: Sequence[SignWord], cues: list[Mention]) -> list[bool]:
    flags = [False] * len(found)
    if turn_ends(found, "has_it"):
        return flags
    for first, last in _general_questions(found):
        flags[first:last] = [True] * (last - first)
    own = starts(cues, "ASK_SELF").keys()
    told_about = {k for k in range(1, len(found)) if found[k].word in W.about and found[k - 1].word in W.media}
    outright = told_about.union(starts(cues, "ASK_IF", "IF"))
    for start in outright.union(starts(cues, "ASK")):
        most = min(start + _SUPPOSED, len(found))
        stop = next((k for k in range(start + 1, most) if found[k].gap), most)
        if start in outright or own.isdisjoint(range(start, stop)):
            flags[start:stop] = [True] * (stop - start)
    return flags


def _general_questions(found: Sequence[SignWord]) -> list[tuple[int, int]]:
    """Sentences that ask about something without saying that the writer has it ("do socks prevent clots?")."""
    out: list[tuple[int, int]] = []
    first = 0
    for k in range(1, len(found) + 1):
        if k == len(found) or found[k].gap == 2:
            sentence = found[first:k]
            if sentence[0].asked and sentence[0].word in W.asking and not any(t.word in W.own_words for t in sentence):
                out.append((first, k))
            first = k
    return out


# ------------------------------------------------------------------ time

_SO_MANY = {"a": 1, "an": 1, "couple": 2, "few": 3, "several": 4, "einem": 1, "einer": 1}
_UNITS = ((Cue.MINUTE, 1 / 60), (Cue.HOUR, 1), (Cue.SPAN_DAY, 24), (Cue.SPAN_WEEK, 168), (Cue.SPAN_MONTH, 720))  # hours
_YEAR = re.compile(r"(?:19[4-9]\d|20[0-4]\d)$")


@cache
def _hours_in() -> dict[str, float]:
    """The hours of each unit of time; those of log lines, nights and years."""
    of_lines = {unit: hours for cue, hours in _UNITS for unit in hinting(cue)}
    return of_lines | dict.fromkeys(W.night, 24.0) | dict.fromkeys(W.year, 8760.0)


def _by_hours(hours: float) -> When:
    if hours <= 12:
        return When.NOW
    if hours <= 14 * 24:
        return When.DAYS
    return When.LONG if hours < 8000 else When.YEARS


def _bare_years(found: Sequence[SignWord], cues: list[Mention]) -> set[int]:
    """Years that stand alone beside a clearance or an end ("lung clot 2015, signed off"); else they may be a clock."""
    cleared = (cue for cue in cues if cue.concept in {"CLEARED", "GONE"})
    if not any(W.not_yet.isdisjoint(t.word for t in found[max(0, cue.start - 3) : cue.start]) for cue in cleared):
        return set()
    return {k for k, t in enumerate(found) if k and _YEAR.match(t.word)}


def times(found: Sequence[SignWord], cues: list[Mention]) -> list[tuple[int, When]]:
    """Every time named in `found`: its place and how long ago that is."""
    since = {k for c in cues if c.concept == "T_SINCE" for k in range(c.end, c.end + 2)}
    named = {
        "T_NOW": When.NOW,
        "T_YESTERDAY": When.YESTERDAY,
        "T_DAYS": When.DAYS,
        "T_LONG": When.LONG,
        "T_YEARS": When.YEARS,
        "HABIT": When.HABIT,
    }
    best: dict[int, tuple[int, When]] = {}
    for cue in cues:
        when = named.get(cue.concept)
        if when is None:
            continue
        if cue.start and found[cue.start - 1].word in W.ahead:
            continue
        lasts = cue.start in since or _goes_on(found, cue.start, cues)
        if lasts and when is not When.HABIT:
            when = When.NOW
        if cue.start not in best or best[cue.start][0] < cue.end:
            best[cue.start] = (cue.end, when)
    numbers, hours_in = said_in_any("numbers"), _hours_in()
    covered = {k for start, (end, _) in best.items() for k in range(start + 1, end)}
    out = [(start, when) for start, (_, when) in best.items() if start not in covered]
    bare = _bare_years(found, cues)
    for k, token in enumerate(found):
        word = token.word
        if k in bare:
            out.append((k, When.YEARS))
            continue
        if k and found[k - 1].word in W.in_year and _YEAR.match(word):
            if found[k - 1].word not in {"since", "seit", "depuis", "desde"}:
                out.append((k, When.YEARS))
            continue
        number = int(word) if word.isdigit() and len(word) < 4 else numbers.get(word, _SO_MANY.get(word))
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
