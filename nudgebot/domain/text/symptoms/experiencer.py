"""Who is spoken of: the parts of a line that have a subject of their own, and those said of somebody else."""

from collections.abc import Sequence

from nudgebot.domain.text.line.vocabulary import LANGUAGES, lexicon
from nudgebot.domain.text.symptoms.heard_words import SignWord, turn_ends
from nudgebot.domain.text.symptoms.lay_words import Mention, every_word
from nudgebot.domain.text.word_files import words

W = words("whose_sign")

BEFORE_SELF = W.before_self


def starts(cues: list[Mention], *concepts: str) -> dict[int, int]:
    """Where a cue of `concepts` begins → where the longest one there ends."""
    out: dict[int, int] = {}
    for cue in cues:
        if cue.concept in concepts:
            out[cue.start] = max(cue.end, out.get(cue.start, 0))
    return out


TURNS = W.turns
_PREPOSITIONS = W.before_self | W.prepositions


def time_ends(found: Sequence[SignWord], cues: list[Mention]) -> set[int]:
    """The tokens right after a time gone by: "last year", "in 2010"."""
    ended = set(starts(cues, "T_DAYS", "T_LONG", "T_YEARS").values())
    return ended | {k + 1 for k, token in enumerate(found) if token.word in _YEARS}


def segments(found: Sequence[SignWord], cues: list[Mention]) -> list[int]:
    """For each token its segment: a clause is cut at conjunctions, and where a new subject opens without one."""
    subjects = starts(cues, "OTHER")
    timed = {end: start for start, end in starts(cues, *_TIMES).items()}
    opens: set[int] = set()
    for start in subjects:
        if start and not found[start].gap and found[start - 1].word not in _PREPOSITIONS:
            opens.add(start)
    for start in starts(cues, "SELF"):
        if start and found[start].word in W.i:
            # "my chest burns last year I was fitter": the time belongs to what follows it
            opens.add(timed.get(start, start) if not found[start].gap else start)
    out: list[int] = []
    part = 0
    for k, token in enumerate(found):
        if k and (token.gap or token.word in W.joins or (k in opens and found[k - 1].word not in _PREPOSITIONS)):
            part += 1
        out.append(part)
    return out


def owners(found: Sequence[SignWord], begun: set[int]) -> list[Mention]:
    """Those named as whose something is that begins at a token of `begun`, a part of the body or a complaint:
    "Isobel's chest".
    """
    return [Mention("OTHER", k - 1, k) for k in sorted(begun - {0}) if not found[k].gap and _is_a_name(found[k - 1])]


def _is_a_name(token: SignWord) -> bool:
    """Whether a word names an owner and is in no list of ours: "Isobel's", not "Tuesday's" or "yesterday's"."""
    known = token.word in every_word() or any(token.word in lexicon(each).words for each in LANGUAGES)
    return token.owner and not known


_TIMES = ("T_NOW", "T_YESTERDAY", "T_DAYS", "T_LONG", "T_YEARS")
# Complaints that people report of themselves: after a comma they are the writer's own, whoever came before it.
FELT = W.felt
_YEARS = frozenset(str(year) for year in range(1950, 2050))
_REST = 24  # tokens looked ahead for whom the rest of a clause is about


def of_others(found: Sequence[SignWord], cues: list[Mention], said: list[Mention], segment: list[int]) -> list[bool]:
    """For each token, whether it is said of somebody else."""
    flags = [False] * len(found)
    things = starts(cues, "THING")  # machines and animals: spoken of to the end of their clause
    others = {**starts(cues, "OTHER"), **things}
    if not others or turn_ends(found, "have_it_too"):
        return flags
    selves = {
        start: end for start, end in starts(cues, "SELF").items() if start not in others and start + 1 not in others
    }
    reports = starts(cues, "REPORT")
    near = {k for start, end in starts(cues, "NEAR").items() for k in range(start, end)}
    felt = {m.start for m in said if m.concept in FELT}
    named = set(others) | {k for k, token in enumerate(found) if token.word in W.their}
    ended = time_ends(found, cues)
    about = thing = False
    until = 0
    for k, token in enumerate(found):
        opens = k > 0 and segment[k] != segment[k - 1]
        if (token.gap == 2 or (thing and (token.gap or token.word in W.next))) and k not in others:
            about = thing = False
        if token.gap == 1 and about and k not in others:
            end = next((j for j in range(k + 1, len(found)) if found[j].gap), len(found))
            about = any(k <= start < end for start in others) or not any(k <= start < end for start in felt)
        if k < until:
            flags[k] = True
            continue
        if opens and about:
            # "my son is ill and my left arm ...", "my son is ill but tight chest": the writer's own again
            most = min(k + _REST, len(found))
            rest = range(k, next((j for j in range(k + 1, most) if found[j].gap), most))
            if named.isdisjoint(rest):
                about = not (not selves.keys().isdisjoint(rest) or (token.word in TURNS and not felt.isdisjoint(rest)))
        if about and k and not token.gap and token.word not in W.himself and k in ended:
            about = not any(at in felt for at in range(k, k + 4))  # "mum had a stroke in 2010 crushing chest pain"
        if k in others:
            about = True
            thing = k in things
            until = others[k]
        elif k in near:
            pass
        elif k in selves or k in reports:
            about = False
        flags[k] = about
    return flags
