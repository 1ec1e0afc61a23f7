"""Who is spoken of, and whether it is so: what is denied, asked or supposed, and said of somebody else.

It is worked out once, for signs and for runs, from words and from where their hints stand. After the negation and
context algorithms of the trade (Chapman et al., J Biomed Inform 2001;34:301; Harkema et al., J Biomed Inform
2009;42:839), with one difference: a negation ends with the first thing it reaches, unless a list goes on, so that it
never covers more than was said.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from functools import cache
from itertools import accumulate
from typing import NamedTuple, Protocol

from nudgebot.domain.text.word_files import sections, words

W = words("whose")
# Where each kind of hint begins → where the longest one there ends: "NEG", "SELF", "OTHER", "THING", "REPORT", "IF" ...
Hints = Mapping[str, Mapping[int, int]]
NOWHERE: Mapping[int, int] = {}
_NEG_REACH = 7  # words from a negation to what it denies
_NEG_ITEM = 4  # and from an "or" to the next
_SUPPOSED = 16  # words of a clause from an "if" or a question on that are covered by it
_REST = 24  # words looked ahead for whom the rest of a clause is about
_PREPOSITIONS = W.before_self | W.prepositions
_TIMES = ("T_NOW", "T_YESTERDAY", "T_DAYS", "T_LONG", "T_YEARS")
_YEARS = frozenset(str(year) for year in range(1950, 2050))


class Spoken(Protocol):
    """A word as this module sees it."""

    @property
    def word(self) -> str:
        """Folded, without apostrophes."""

    @property
    def gap(self) -> int:
        """What parts it from the one before: 0 a space, 1 a comma or dash, 2 the end of a sentence."""

    @property
    def asked(self) -> bool:
        """Whether its sentence ends in a question mark."""


class PlainWord(NamedTuple):
    """A word inside one clause of a statement."""

    word: str
    gap: int = 0
    asked: bool = False


def _at(hints: Hints, *names: str) -> dict[int, int]:
    """Where a hint of one of these kinds begins and ends."""
    return {start: end for name in names for start, end in hints.get(name, NOWHERE).items()}


@cache
def _turns(name: str) -> dict[str, list[tuple[str, ...]]]:
    """The turns of phrase listed under a name, by their first word."""
    by_first: dict[str, list[tuple[str, ...]]] = {}
    for phrase in " ".join(sections("sign_turns")[name]).split(","):
        turn = tuple(phrase.split())
        by_first.setdefault(turn[0], []).append(turn)
    return by_first


def turn_ends(found: Sequence[Spoken], name: str) -> list[tuple[int, int]]:
    """Where each of the turns of phrase that are listed under a name begins and ends in a message."""
    known = _turns(name)
    return [
        (k, k + len(turn))
        for k, each in enumerate(found)
        if each.word in known
        for turn in known[each.word]
        if tuple(near.word for near in found[k : k + len(turn)]) == turn
    ]


def _end_of_clause(found: Sequence[Spoken], at: int, most: int | None = None) -> int:
    """The word at which the clause of the word at `at` ends, `most` words on at the latest."""
    last = len(found) if most is None else min(at + most, len(found))
    return next((k for k in range(at + 1, last) if found[k].gap), last)


# ------------------------------------------------------------------ denied


def negated(
    found: Sequence[Spoken], hints: Hints, targets: Mapping[int, int], places: Collection[int] = ()
) -> list[bool]:
    """For each word, whether it is denied; `targets` are where what can be denied begins and ends, `places` of it."""
    flags = [False] * len(found)
    negations, selves = _at(hints, "NEG"), _at(hints, "SELF")
    stops = {*(at for at in _at(hints, "NEG_END") if at not in targets), *negations}
    begins = sorted(targets)
    reached = list(accumulate((targets[at] for at in begins), max))
    for start, end in negations.items():
        # A negation that is part of a complaint ("cannot breathe") negates nothing.
        before = bisect_right(begins, start)
        if before and end <= reached[before - 1]:
            continue
        # "Negative chest pain" denies it; "negative split, chest pain" and "test negative chest pain back" do not.
        if found[start].word in W.shorthand and (end not in targets or (start and not found[start].gap)):
            continue
        # "cannot lie down without gasping" says gasping.
        if found[start].word in W.without and any(t.word in W.cannot for t in found[max(0, start - 6) : start]):
            continue
        reach = _reach(found, end, targets, stops, selves)
        flags[end:reach] = [True] * (reach - end)
    _taken_back(found, flags)
    for start, end in targets.items():
        if _answered_no(found, end, places):
            for k in range(start, end):
                flags[k] = True
    return flags


def _reach(
    found: Sequence[Spoken], begin: int, targets: Mapping[int, int], stops: Collection[int], selves: Collection[int]
) -> int:
    """The word at which a negation that covers from word `begin` on ends."""
    core_end = 0  # where the first thing it reaches ends
    linked = 0  # words that may still lead to the next item of a list
    for at in range(begin, len(found)):
        token, before = found[at], found[at - 1].word
        if at in stops or token.gap == 2 or (token.gap and not _list_goes_on(found, at, stops, selves)):
            return at
        if at > begin and at in selves and before not in W.before_self:
            return at
        if not core_end and (at - begin > _NEG_REACH or (at > begin and before in W.denied_thing)):
            return at
        if token.gap == 1 or token.word in W.or_joins:
            linked = _NEG_ITEM
        past = core_end and at >= core_end
        if past and not linked and token.word not in W.listing and before not in W.listing:
            return at  # past the complaint a place may follow ("no pain in the chest"), or a list, nothing else
        if at in targets:
            core_end = max(core_end, targets[at])
            linked = 0
        elif linked:
            linked -= 1
    return len(found)


def _answered_no(found: Sequence[Spoken], end: int, places: Collection[int]) -> bool:
    """Whether what ends at word `end` is answered no ("Tightness in the chest? No.")."""
    k = end
    while k < len(found) and not found[k].gap and (found[k].word in W.listing or k in places) and k < end + 5:
        k += 1
    return k < len(found) and found[k].word in W.post_negation and (k + 1 == len(found) or found[k + 1].gap > 0)


def _taken_back(found: Sequence[Spoken], flags: list[bool]) -> None:
    """Takes a negation off where the line ends by taking it back ("never had chest pain, but I do now")."""
    for k, end in turn_ends(found, "taken_back"):
        if end == len(found) or found[end].word in W.then or found[end].gap:
            first = next((j for j in range(k - 1, 0, -1) if found[j].gap == 2), 0)
            flags[first:k] = [False] * (k - first)


def _list_goes_on(found: Sequence[Spoken], at: int, stops: Collection[int], selves: Collection[int]) -> bool:
    """Whether the comma before `at` parts items of a list that ends in "or" ("no pain, swelling or numbness")."""
    for k in range(at, min(at + 7, len(found))):
        if found[k].word in W.or_joins:
            return found[k].gap < 2 and k not in selves
        if found[k].gap == 2 or k in selves or k in stops:
            return False
    return False


# ------------------------------------------------------------------ asked or supposed


def supposed(found: Sequence[Spoken], hints: Hints, targets: Mapping[int, int]) -> list[bool]:
    """For each word, whether it is asked about or imagined."""
    flags = [False] * len(found)
    if turn_ends(found, "has_it"):
        return flags
    for first, last in _general_questions(found):
        flags[first:last] = [True] * (last - first)
    own = _at(hints, "ASK_SELF").keys()
    told_about = {k for k, each in enumerate(found) if each.word in W.about and k and found[k - 1].word in W.media}
    ifs = _at(hints, "ASK_IF", "IF").keys()
    # An "if" inside a complaint ("hope a bus hits me", "better if I was gone") supposes nothing.
    inside = {k for start, end in targets.items() for k in range(start, end)} if ifs else ()
    outright = told_about.union(ifs - inside)
    ends = [*(k for k, each in enumerate(found) if each.gap), len(found)]
    for start in outright.union(_at(hints, "ASK")):
        stop = min(start + _SUPPOSED, ends[bisect_right(ends, start)])
        if start in outright or own.isdisjoint(range(start, stop)):
            flags[start:stop] = [True] * (stop - start)
    return flags


def _general_questions(found: Sequence[Spoken]) -> list[tuple[int, int]]:
    """Sentences that ask about something without saying that the writer has it ("do socks prevent clots?")."""
    starts = [k for k in range(len(found)) if not k or found[k].gap == 2]
    return [
        (first, last)
        for first, last in zip(starts, [*starts[1:], len(found)], strict=True)
        if found[first].asked and found[first].word in W.asking
        if not any(t.word in W.own_words for t in found[first:last])
    ]


# ------------------------------------------------------------------ whose


def segments(found: Sequence[Spoken], hints: Hints) -> list[int]:
    """For each word its segment: a clause is cut at conjunctions, and where a new subject opens without one."""
    timed = {end: start for start, end in _at(hints, *_TIMES).items()}
    opens = {start for start in _at(hints, "OTHER") if not found[start].gap}
    for start in _at(hints, "SELF"):
        if found[start].word in W.i:
            # "my chest burns last year I was fitter": the time belongs to what follows it
            opens.add(timed.get(start, start) if not found[start].gap else start)
    cut = (
        bool(k and (token.gap or token.word in W.joins or (k in opens and found[k - 1].word not in _PREPOSITIONS)))
        for k, token in enumerate(found)
    )
    return list(accumulate(cut, initial=0))[1:]


def of_others(found: Sequence[Spoken], hints: Hints, segment: list[int], felt: Collection[int] = ()) -> list[bool]:
    """For each word, whether it is said of somebody else.

    `felt` is where complaints begin that people report of themselves: after a comma they are the writer's own.
    """
    flags = [False] * len(found)
    things = _at(hints, "THING")  # machines and animals: spoken of to the end of their clause
    others = {**_at(hints, "OTHER"), **things}
    if not others or turn_ends(found, "have_it_too"):
        return flags
    selves = {at for at in _at(hints, "SELF") if at not in others and at + 1 not in others}
    reports = _at(hints, "REPORT")
    near = {k for start, end in _at(hints, "NEAR").items() for k in range(start, end)}
    named = {*others, *(k for k, token in enumerate(found) if token.word in W.their)}
    times = {*_at(hints, "T_DAYS", "T_LONG", "T_YEARS").values()}
    times |= {k + 1 for k, token in enumerate(found) if token.word in _YEARS}
    about = thing = False
    until = 0
    for k, token in enumerate(found):
        opens = k > 0 and segment[k] != segment[k - 1]
        if (token.gap == 2 or (thing and (token.gap or token.word in W.next))) and k not in others:
            about = thing = False
        if token.gap == 1 and about and k not in others:
            rest = range(k, _end_of_clause(found, k))
            about = any(at in rest for at in others) or not any(at in rest for at in felt)
        if k < until:
            flags[k] = True
            continue
        if opens and about:
            # "my son is ill and my left arm ...", "my son is ill but tight chest": the writer's own again
            rest = range(k, _end_of_clause(found, k, _REST))
            if named.isdisjoint(rest):
                about = selves.isdisjoint(rest) and (token.word not in W.turns or not any(at in rest for at in felt))
        if about and k and not token.gap and token.word not in W.himself and k in times:
            about = not any(at in felt for at in range(k, k + 4))  # "mum had a stroke in 2010 crushing chest pain"
        if k in others:
            about, thing, until = True, k in things, others[k]
        elif about and k in reports and (told := _of_the_teller(found, reports[k], selves)):
            until = told
        elif k not in near and (k in selves or k in reports):
            about = False
        flags[k] = about
    return flags


def _of_the_teller(found: Sequence[Spoken], first: int, selves: Collection[int]) -> int:
    """Where what somebody says, from word `first` on, ends if it is of that person ("mi hermano dice que le duele")."""
    if first >= len(found) or found[first].gap == 2:
        return 0
    rest = range(first, _end_of_clause(found, first))
    theirs = any(found[k].word in W.of_the_teller for k in rest)
    return rest.stop if theirs and not any(k in selves for k in rest) else 0
