"""The features of a line for the learned intent: words, letter groups, and what the rules found."""

import re
from array import array
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import chain, repeat
from zlib import crc32

from nudgebot.domain.text.learned.features import WORDS_KEPT, begun, encoded, places_in
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import NUMERIC, Kind, Token
from nudgebot.domain.text.log_lines.moods import Mood
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.log_lines.rules import Parsed
from nudgebot.domain.text.log_lines.units import Sort

ROWS = 1 << 16  # places of the table
HEARD = 2 * ROWS  # places of the table that hears a complaint
INTENTS = tuple(Intent)  # the order of the table's columns
WORDS_READ = 120  # words of a line that are looked at, of a longer one those of its two ends
_GROUPED_FROM = 4  # letters of a word that is cut into groups
_LONGEST = 24  # letters of a word that are cut into groups
_ACROSS, _ACROSS_READ = 4, 600  # letters of the shortest group that runs across words; letters of a line cut so
_ALIKE = str.maketrans("cqzvdbg", "kksftpk")  # consonants that dialects and hasty thumbs write for each other
_VOWELS, _TWICE = re.compile(r"[aeiouyhw]+"), re.compile(r"(.)\1+")
_CLAUSE_WORDS = 60  # of each clause that are looked at
# What each block of a line's features counts: words, letter groups, those across words, skeletons, what the rules
# found, words by clause, steps. By cross-validation with every author left out.
WEIGHTS = (1.4, 1.4, 1.6, 1.0, 1.0, 0.7, 1.5)
HEARD_WEIGHTS = WEIGHTS[:4]
_PAIRED = 40  # hints of a line that are looked at two by two
SAYS_NOTHING = frozenset((Cue.FILLER, Cue.KNOWN, Cue.SOFT))
_SIZES, _SIZE_NAMES = (1, 10, 20, 30, 61, 91, 221, 601), ("0", "9", "19", "29", "60", "90", "220", "600", "more")


def shown(token: Token) -> str:
    """A token as the learned readers see it: a word, a sign, or the kind and size of a number."""
    if token.kind not in NUMERIC:
        return token.text
    if token.kind is Kind.NUMBER:
        return f"#{size_of(token.value)}{'' if token.value == int(token.value) else '.'}"
    return f"#{token.kind.name}"


def shown_in(line: ParsedLine) -> list[str]:
    """Every token of a line as the learned readers see it."""
    words = list(line.texts)
    for place in line.numerals:
        words[place] = shown(line.tokens[place])
    return words


def size_of(value: float) -> str:
    """The class of a number's size."""
    return _SIZE_NAMES[bisect_right(_SIZES, value)]


def _of_words(words: list[bytes]) -> Iterator[int]:
    """Words, pairs, triples and pairs with a gap; the ends of the line count as words."""
    framed = [b"^", *words, b"$"]
    spaced = [b" " + word for word in framed]
    singles = list(map(crc32, framed))
    pairs = list(map(crc32, spaced[1:], singles))
    gaps = map(crc32, repeat(b" _"), singles)
    return chain(singles[1:-1], pairs, map(crc32, spaced[2:], pairs), map(crc32, spaced[2:], gaps))


@lru_cache(maxsize=WORDS_KEPT)
def _of_letters(word: str) -> Sequence[int]:
    """The places of the groups of 3 to 5 letters of a longer word, its ends marked."""
    if len(word) < _GROUPED_FROM or word[0] == "#":
        return ()
    spaced = f"<{word[:_LONGEST]}>"
    groups = (spaced[at : at + size] for size in (3, 4, 5) for at in range(len(spaced) - size + 1))
    return array("L", places_in(HEARD, begun("~", encoded(groups))))


def _across(words: list[str]) -> Iterator[int]:
    """Groups of 4 to 6 letters that run from one word into the next."""
    joined = f" {' '.join(words)} "
    if len(joined) > _ACROSS_READ:
        joined = joined[: _ACROSS_READ // 2] + joined[-_ACROSS_READ // 2 :]
    fours = list(begun("+", [joined[at : at + _ACROSS].encode() for at in range(len(joined) - _ACROSS + 1)]))
    letters = list(map(str.encode, joined[_ACROSS:]))
    fives = list(map(crc32, letters, fours))  # a hash goes on from that of the group one letter shorter
    return chain(fours, fives, map(crc32, letters[1:], fives))


def skeleton(word: str) -> str:
    """The consonants of a word, those that sound alike made one: "meenits", "minits" and "minutes" are the same."""
    alike = word[:_LONGEST].translate(_ALIKE)
    return _TWICE.sub(r"\1", alike[:1] + _VOWELS.sub("", alike[1:]))


@lru_cache(maxsize=WORDS_KEPT)
def _of_skeleton(word: str) -> int:
    """The place of the skeleton of a word."""
    return crc32(f"%{skeleton(word)}".encode()) & (HEARD - 1)


def _of_clauses(parse: Parsed, words: list[bytes]) -> Iterator[int]:
    """The words of each clause with how it is meant."""
    for clause in parse.clauses:
        yield from begun(f"@{clause.mood.name} ", words[clause.first : min(clause.last, clause.first + _CLAUSE_WORDS)])


def _of_rules(parse: Parsed) -> set[int]:
    """The places of what the rules found: hints, their pairs, the moods and amounts of clauses, and their reading."""
    reading, told = parse.reading, parse.told
    features = [f"=intent {reading.intent}", f"=asks {reading.intent} {reading.ask_back}", f"=lang {reading.language}"]
    features.append(f"=purpose {parse.purpose.intent if parse.purpose else None} {bool(told.runs)} {told.reported}")
    features.append(f"=runs {bool(told.runs)} {told.sure}")
    features += [f"=sort {amount.sort.name}" for amount in parse.amounts]
    features += [f"=day {day.shape.name} {day.tense}" for day in parse.days]
    cues: frozenset[Cue] = frozenset().union(*[clause.cues for clause in parse.clauses])
    names = [cue.encode() for cue in sorted(cues)]
    hashes = [*map(crc32, encoded(features)), *begun("=cue ", names)]
    seconds = [b" " + name for name in names[:_PAIRED]]
    for place, first in enumerate(begun("=cues ", names[:_PAIRED]), 1):
        hashes += map(crc32, seconds[place:], repeat(first))
    of_clauses = [_of_clause(c.mood, c.cues, tuple([amount.sort for amount in c.amounts])) for c in parse.clauses]
    return places_in(ROWS, hashes).union(*of_clauses)


@lru_cache(maxsize=WORDS_KEPT)
def _of_clause(mood: Mood, cues: frozenset[Cue], sorts: tuple[Sort, ...]) -> frozenset[int]:
    """The places of how a clause is meant: by itself, and with each of its hints and amounts."""
    beside = ["", *(f" {sort.name}" for sort in sorts), *(f" {cue}" for cue in cues)]
    return frozenset(places_in(ROWS, begun(f"=mood {mood.name}", map(str.encode, beside))))


@lru_cache(maxsize=WORDS_KEPT)
def _step(cues: frozenset[Cue]) -> bytes:
    """A phrase as what it hints at, whatever its language; empty where it says nothing."""
    return "/".join(sorted(cues - SAYS_NOTHING)).encode()


def _of_steps(line: ParsedLine) -> Iterator[int]:
    """The line as a row of hints, numbers, signs and unknown words (several in a row are one): up to four together.

    It is the same for lines that say the same in other words or in another language.
    """
    steps = [b"^"]
    place, size = 0, min(len(line.tokens), WORDS_READ)
    while place < size:
        token, mark = line.tokens[place], line.marks[place]
        place = place + 1 if mark is None else max(mark.last, place + 1)
        if mark is not None and token.kind not in NUMERIC:
            step = _step(mark.cues)
        elif token.kind is Kind.WORD:
            step = b"?" if steps[-1] != b"?" and place - 1 in line.unknown else b""
        else:
            step = shown(token).encode()
        if step:
            steps.append(step)
    spaced = [b" " + step for step in (*steps, b"$")]
    singles = list(begun("&", spaced))
    pairs = list(map(crc32, spaced[1:], singles))
    triples = list(map(crc32, spaced[2:], pairs))
    return chain(singles, pairs, triples, map(crc32, spaced[3:], triples))


def heard_blocks(words: list[str]) -> list[set[int]]:
    """The places in a table of `HEARD` rows of what a line says, its words as `shown_in`: these, letter groups,
    skeletons.
    """
    half = WORDS_READ // 2
    words = words if len(words) <= WORDS_READ else [*words[:half], *words[-half:]]
    return [
        places_in(HEARD, _of_words([word.encode() for word in words])),
        set().union(*map(_of_letters, {*words})),
        places_in(HEARD, _across(words)),
        {_of_skeleton(word) for word in words if word[0] != "#"},
    ]


def blocks_of(parse: Parsed, words: list[str], heard: list[set[int]]) -> list[set[int]]:
    """The places of a line's features, a block for each of `WEIGHTS`: what was heard, and what the rules found.

    Those of what was heard go round. `words` are those of the line as `shown_in`.
    """
    of_clauses = _of_clauses(parse, [word.encode() for word in words])
    return [*heard, _of_rules(parse), places_in(ROWS, of_clauses), places_in(ROWS, _of_steps(parse.line))]
