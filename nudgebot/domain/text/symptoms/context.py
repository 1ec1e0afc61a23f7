"""Who and whether: what the words around a complaint make of it.

After the negation and context algorithms of the trade (Chapman et al., J Biomed Inform 2001;34:301;
Harkema et al., J Biomed Inform 2009;42:839), with one difference: a negation ends with the first complaint
it reaches, unless a list goes on, so that it never covers more than was said.
"""

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

from nudgebot.domain.text.symptoms.experiencer import BEFORE_SELF, of_others, segments, starts
from nudgebot.domain.text.symptoms.heard_words import SignWord, turn_ends
from nudgebot.domain.text.symptoms.lay_words import Mention
from nudgebot.domain.text.word_files import words

W = words("sign_context")


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
        supposed=_supposed(found, cues, signs),
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


def _supposed(found: Sequence[SignWord], cues: list[Mention], signs: dict[int, int]) -> list[bool]:
    flags = [False] * len(found)
    if turn_ends(found, "has_it"):
        return flags
    for first, last in _general_questions(found):
        flags[first:last] = [True] * (last - first)
    own = starts(cues, "ASK_SELF").keys()
    told_about = {k for k in range(1, len(found)) if found[k].word in W.about and found[k - 1].word in W.media}
    # An "if" inside a complaint ("hope a bus hits me", "better if I was gone") supposes nothing.
    inside = {k for start, end in signs.items() for k in range(start, end)}
    outright = told_about.union(starts(cues, "ASK_IF", "IF").keys() - inside)
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
