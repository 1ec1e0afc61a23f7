"""The words of the trade's lay vocabulary: which concepts a run of tokens names, slips of the thumb mended.

A lexicon file holds sections `[CONCEPT kind]` of phrases; its kinds are

* part: a place on the body; sign: a complaint; context: what surrounds a complaint;
* cue: what turns it round (negation, people, time); mask: an idiom, which hides every word it covers.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from importlib import resources

from nudgebot.domain.text.folding import fold, word_set
from nudgebot.domain.text.symptoms.tokens import Token

LANGUAGES = ("en", "es", "de", "fr", "pt")
_HOME = "nudgebot.domain.text.symptoms"


@dataclass(slots=True)
class Node:
    """A place in the tree of phrases."""

    after: dict[str, "Node"] = field(default_factory=dict)
    concepts: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class SignLexicon:
    """One language's phrases and every word that occurs in them."""

    root: Node
    kinds: dict[str, str]  # concept → kind
    words: frozenset[str]


@dataclass(frozen=True, slots=True)
class Mention:
    """A concept named by tokens `start` to `end` (half-open) of a message."""

    concept: str
    start: int
    end: int


_BRACE = re.compile(r"\{([^}]*)\}")


def _spell_out(phrase: str) -> list[str]:
    """'a{b,c} d' as 'ab d' and 'ac d'."""
    brace = _BRACE.search(phrase)
    if not brace:
        return [phrase]
    return [
        whole
        for choice in brace.group(1).split(",")
        for whole in _spell_out(phrase[: brace.start()] + choice + phrase[brace.end() :])
    ]


def _phrases(line: str) -> list[str]:
    """The phrases of a line, split at the commas outside braces."""
    parts = (part.strip() for part in re.split(r",(?![^{]*\})", line))
    return [phrase for part in parts if part for phrase in _spell_out(part)]


def _spellings(line: str, language: str) -> set[str]:
    """How a line of phrases may be typed: folded, and in German also with ae, oe, ue."""
    ways = {fold(line)[0]}
    if language == "de":
        ways.add(fold(line.lower().replace("ä", "ae").replace("ö", "oe").replace("ü", "ue"))[0])
    return {way.replace("-", " ").replace("'", " " if language == "fr" else "") for way in ways}


@lru_cache(maxsize=len(LANGUAGES))
def lexicon(language: str) -> SignLexicon:
    """The phrases of one of `LANGUAGES`."""
    text = resources.files(_HOME).joinpath(f"lexicon.{language}.txt").read_text("utf-8")
    root = Node()
    kinds: dict[str, str] = {}
    words: set[str] = set()
    concept = ""
    for line in text.splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        if line.startswith("["):
            concept, kind = line.strip("[] ").split()
            kinds[concept] = kind
            continue
        # The line once, not each of its phrases: there are tens of thousands of them.
        for phrase in {phrase for way in _spellings(line, language) for phrase in _phrases(way)}:
            node = root
            for word in phrase.split():
                words.add(word)
                known = node.after.get(word)
                if known is None:
                    known = node.after[word] = Node()
                node = known
            if node is not root and concept not in node.concepts:
                node.concepts.append(concept)
    if language == "de":
        words.update(_painful_parts(root, kinds))
    return SignLexicon(root, kinds, frozenset(words))


def _painful_parts(root: Node, kinds: Mapping[str, str]) -> list[str]:
    """Adds the German words for a part of the body and its pain in one ("Knieschmerzen"), where they have no row."""
    parts = {
        f"{stem}{pain}": [each for each in node.concepts if kinds[each] == "part"]
        for word, node in root.after.items()
        for stem in ((word, f"{word}n", word[:-1]) if word.endswith("e") else (word,))
        for pain in ("schmerz", "schmerzen")
    }
    new = [word for word, concepts in parts.items() if concepts and word not in root.after]
    for word in new:
        root.after[word] = Node(concepts=[*parts[word], "PAIN"])
    return new


@lru_cache(maxsize=1)
def spelled(language: str) -> dict[str, list[str]]:
    """The phrases of each concept as the lexicon lists them, accents and all."""
    text = resources.files(_HOME).joinpath(f"lexicon.{language}.txt").read_text("utf-8")
    found: dict[str, list[str]] = {}
    concept = ""
    for line in text.splitlines():
        if line.startswith("["):
            concept = line.strip("[] ").split()[0]
        elif line.strip() and not line.startswith("#"):
            found.setdefault(concept, []).extend(_phrases(line))
    return found


# Words that may stand inside a phrase without changing it.
_PADDING = word_set(
    "really very so quite pretty bit just actually suddenly totally completely all kinda still kind "
    "slightly rather proper always too"
    "muy bastante sehr ziemlich etwas tres assez un peu muito bem also now then well"
)


def mentions(found: list[Token], language: str) -> list[Mention]:
    """Every concept named in `found`, idioms applied, in order of place."""
    tree = lexicon(language)
    spotted: list[Mention] = []
    masks: list[tuple[int, int]] = []
    count = len(found)
    for start in range(count):
        node = tree.root.after.get(found[start].word)
        at = start + 1
        while node is not None:
            for concept in node.concepts:
                if tree.kinds[concept] == "mask":
                    masks.append((start, at))
                else:
                    spotted.append(Mention(concept, start, at))
            if at >= count or found[at].gap:
                break
            following = node.after.get(found[at].word)
            if following is None and found[at].word in _PADDING and at + 1 < count and not found[at + 1].gap:
                at += 1
                following = node.after.get(found[at].word)
            node = following
            at += 1
    if masks:
        spotted = [
            m for m in spotted if not any(a <= m.start and m.end <= b and (a, b) != (m.start, m.end) for a, b in masks)
        ]
    return spotted


def is_masked(mention: Mention, found: list[Token], language: str) -> bool:
    """Whether an idiom of the line's own `language` hides a mention, which another language may have made."""
    own = (mention.start, mention.end)
    return any(a <= own[0] and own[1] <= b and (a, b) != own for a, b in _masks(tuple(found), language))


@lru_cache(maxsize=8)
def _masks(found: tuple[Token, ...], language: str) -> tuple[tuple[int, int], ...]:
    tree = lexicon(language)
    out: list[tuple[int, int]] = []
    for start in range(len(found)):
        node, at = tree.root.after.get(found[start].word), start + 1
        while node is not None:
            if any(tree.kinds[concept] == "mask" for concept in node.concepts):
                out.append((start, at))
            if at >= len(found) or found[at].gap:
                break
            node, at = node.after.get(found[at].word), at + 1
    return tuple(out)


# ------------------------------------------------------------------ slips


@lru_cache(maxsize=1)
def plain_words() -> frozenset[str]:
    """Everyday words that differ by a letter or two from one of ours, and are meant as they stand."""
    text = resources.files(_HOME).joinpath("plain_words.txt").read_text("utf-8")
    return frozenset(line for line in text.splitlines() if not line.startswith("#"))


@lru_cache(maxsize=1)
def homes() -> dict[str, tuple[str, ...]]:
    """Every word of every lexicon, with the languages it belongs to."""
    found: dict[str, tuple[str, ...]] = {}
    for language in LANGUAGES:
        for word in lexicon(language).words:
            found[word] = (*found.get(word, ()), language)
    return found


@lru_cache(maxsize=1)
def every_word() -> frozenset[str]:
    """Every word of every lexicon."""
    return frozenset(homes())


@lru_cache(maxsize=1)
def telling_words() -> frozenset[str]:
    """The words of complaints and places; a slip points at one of these before it points at an idiom."""
    telling: set[str] = set()
    for language in LANGUAGES:
        tree = lexicon(language)
        _gather(tree.root, (), tree.kinds, telling)
    return frozenset(telling)


def _gather(node: Node, path: tuple[str, ...], kinds: dict[str, str], telling: set[str]) -> None:
    if any(kinds[concept] in {"sign", "part"} for concept in node.concepts):
        telling.update(path)
    for word, following in node.after.items():
        _gather(following, (*path, word), kinds, telling)


def _shortened(word: str) -> list[str]:
    return [word[:i] + word[i + 1 :] for i in range(len(word))]


@lru_cache(maxsize=1)
def _by_deletion() -> dict[str, list[str]]:
    """Words of five letters and more (four in a transposition), keyed by themselves less one letter."""
    index: dict[str, list[str]] = {}
    for word in sorted(every_word()):
        if len(word) < 4 or not word.isalpha():
            continue
        for key in {word, *_shortened(word)}:
            index.setdefault(key, []).append(word)
    return index


def one_slip(a: str, b: str) -> bool:
    """Whether one letter added, dropped, changed or swapped with its neighbour turns `a` into `b`."""
    if a == b:
        return True
    if len(a) > len(b):
        a, b = b, a
    i = 0
    while i < len(a) and a[i] == b[i]:
        i += 1
    if len(a) < len(b):
        return len(b) - len(a) == 1 and a[i:] == b[i + 1 :]
    return a[i + 1 :] == b[i + 1 :] or (a[i : i + 2] == b[i : i + 2][::-1] and a[i + 2 :] == b[i + 2 :])


_LEET = {"0": "o", "1": "i", "3": "e", "4": "a", "5": "s", "7": "t", "8": "b", "@": "a", "$": "s", "!": "i", "|": "l"}


def _unleet(word: str) -> list[str]:
    folded = "".join(_LEET.get(c, c) for c in word)
    return [folded, folded.replace("i", "l")] if "1" in word or "!" in word else [folded]


_RUNS = re.compile(r"(.)\1{2,}")


@lru_cache(maxsize=16384)
def mend(word: str) -> tuple[str, ...]:
    """`word` as one of ours where it is a slip of it, or the words it runs together; else as it is."""
    return (word,) if word in plain_words() and word not in every_word() else mended_blindly(word)


def mended_blindly(word: str) -> tuple[str, ...]:
    """`word` mended as if it could be no everyday word."""
    known = every_word()
    if word in known or len(word) < 3 or word.isdigit():
        return (word,)
    if not word.isalpha():
        return _mended_signs(word)
    if _RUNS.search(word):
        for to in (r"\1\1", r"\1"):
            shorter = _RUNS.sub(to, word)
            if shorter in known:
                return (shorter,)
    if len(word) >= 4:
        near = _nearest(word)
        if near:
            return (near,)
    if len(word) >= 8:
        split = _split(word)
        if split:
            return split
    return (word,)


def _mended_signs(word: str) -> tuple[str, ...]:
    """A word with digits or signs in it: a number and its unit taken apart, or letters written as digits."""
    if not any(c.isalpha() for c in word):
        return (word,)
    unit = re.fullmatch(r"(\d+(?:[.,:/]\d+)*)([a-z]{1,8})", word)
    if unit and unit.group(2) in _UNITS:
        return (unit.group(1), unit.group(2))
    for plain in _unleet(word):
        if plain in every_word() and plain.isalpha():
            return (plain,)
    if unit:
        return (unit.group(1), *mend(unit.group(2)))
    plain = _unleet(word)[0]
    if not plain.isalpha():
        return (word,)
    fixed = mend(plain)
    return fixed if fixed != (plain,) else (word,)


_UNITS = word_set(
    "km k m min mins h hr hrs hour hours mi mile miles bpm kg c f am pm s sec secs days day weeks "
    "week months years yrs yr wks x l litres"
)


def _nearest(word: str) -> str | None:
    """The word of ours one slip away; the one with the same first and last letters where there are several."""
    index = _by_deletion()
    near: set[str] = set()
    for key in {word, *_shortened(word)}:
        near.update(index.get(key, ()))
    # Two slips in a long word still point at one word: both keys lack a different letter.
    near = {w for w in near if (one_slip(word, w) or (len(word) >= 8 and abs(len(w) - len(word)) <= 1 and len(w) >= 8))}
    if len(word) == 4:
        near = {w for w in near if sorted(w) == sorted(word) or (len(w) == 5 and w[0] == word[0])}
    if not near:
        return None
    return min(
        near,
        key=lambda w: (
            not one_slip(word, w),
            w not in telling_words(),
            sorted(w) != sorted(word),
            w[0] != word[0],
            w[-1] != word[-1],
            abs(len(w) - len(word)),
            w,
        ),
    )


_SMALL = word_set(
    "i a my me im ive is am in on at to of no it the and have had has got feel feels felt can cant "
    "cannot not now the this that when after run ran so very really bad help with"
)


def _split(word: str) -> tuple[str, ...] | None:
    """A run-together line ("ihavechestpain") cut into words of ours; None unless all of it is used."""
    known = every_word()
    # best[i]: the fewest words that spell word[:i]
    best: list[tuple[int, tuple[str, ...]] | None] = [(0, ())] + [None] * len(word)
    for end in range(1, len(word) + 1):
        for start in range(max(0, end - 16), end):
            before = best[start]
            piece = word[start:end]
            if before is None or not (piece in _SMALL or (len(piece) >= 3 and piece in known)):
                continue
            now = best[end]
            if now is None or before[0] + 1 < now[0]:
                best[end] = (before[0] + 1, (*before[1], piece))
    whole = best[len(word)]
    return whole[1] if whole and whole[0] <= 2 + len(word) // 4 else None


def _rejoined(found: list[Token]) -> list[Token]:
    """`found` with a letter put back that slipped over the space ("ches tpain"), or a space that cut a word."""
    known = every_word()
    out: list[Token] = []
    for token in found:
        before = out[-1] if out else None
        if before and not token.gap and token.word not in known and token.word.isalpha() and before.word.isalpha():
            left, right = before.word + token.word[0], token.word[1:]
            if len(right) > 2 and left in known and right in known and before.word not in known:
                out[-1] = Token(left, before.start, before.end, before.gap, before.asked)
                out.append(Token(right, token.start, token.end, 0, token.asked))
                continue
        out.append(token)
    return out


def mended(found: list[Token]) -> list[Token]:
    """`found` with every slip mended; a word cut in two keeps its place."""
    out: list[Token] = []
    for token in _rejoined(found):
        words = mend(token.word) if len(token.word) <= 64 else (token.word,)
        if words == (token.word,):
            out.append(token)
            continue
        gap = token.gap
        for word in words:
            out.append(Token(word, token.start, token.end, gap, token.asked))
            gap = 0
    return out
