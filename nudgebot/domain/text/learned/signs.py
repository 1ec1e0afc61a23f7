"""The second reader of warning signs: whether a line tells of something for a clinician or graver.

A linear model over hashed letter groups and words, trained by `python -m tests.corpus.train` from lines of invented
people; nothing of the lexicons is among its features, so that its faults are its own. It has no say in the level of
a line: what it hears is asked about (docs/safety.md, "Two readers").
"""

import re
from collections.abc import Mapping
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise

from nudgebot.domain.model.parameters import Choice, Rule
from nudgebot.domain.text.learned.features import Table, hashed, logistic, tables_of

FILE = "signs.weights"
GROUPS, WORDS = 2**15, 2**14  # places of letter groups and of words
LANGUAGE_PLACES = 2**12
SIZES = (3, 4, 5)  # letters in a group
LANGUAGES = ("en", "es", "de", "fr", "pt")


class LineKind(StrEnum):
    """What else a line is, as read by the table of signs and by the reader of replies."""

    RUN = "run"  # a finished run with its minutes
    ORDINARY = "ordinary"  # an ordinary complaint, answered as one
    OTHER = "other"


# Probability from which a line is asked about. Chosen with each author left out (`python -m tests.corpus.signs_curve`);
# docs/safety.md has the figures.
_LEFT_OUT = "left-out-writers"
ASK_FROM: Mapping[LineKind, Rule] = {
    kind: Rule(f"asked about: a line that {says}", value, "% likely a complaint", _LEFT_OUT, Choice.MEASURED)
    for kind, says, value in (
        (LineKind.RUN, "reports a run", 60),
        (LineKind.ORDINARY, "tells of an ordinary complaint", 60),
        (LineKind.OTHER, "is neither", 38),
    )
}
# Words of a line from which it is asked about: one or two ("second run", "worse") give too little to hear, and of
# an ordinary complaint in a few words the table has understood all there is.
LEAST_WORDS: Mapping[LineKind, Rule] = {
    kind: Rule(f"asked about: a line that {says}, from", value, "words", _LEFT_OUT, Choice.MEASURED)
    for kind, says, value in (
        (LineKind.RUN, "reports a run", 3),
        (LineKind.ORDINARY, "tells of an ordinary complaint", 8),
        (LineKind.OTHER, "is neither", 3),
    )
}
SURE_OF_LANGUAGE = Rule("language heard over the one told", 80, "% likely", _LEFT_OUT, Choice.MEASURED)
LONGEST = 700  # characters of a line that are read at its beginning, and as many at its end
_WORD = re.compile(r"[^\W_]+|[?!]")
_DIGIT = re.compile(r"\d")


def words_of(text: str) -> list[str]:
    """The words of a line in small letters, every digit a 0; of a very long line its beginning and its end."""
    if len(text) > 2 * LONGEST:
        text = f"{text[:LONGEST]} {text[-LONGEST:]}"
    return _WORD.findall(_DIGIT.sub("0", text.lower().replace("\u2019", "'").replace("'", "")))


def letter_groups(words: list[str]) -> set[str]:
    """Every group of 3 to 5 letters of each word, the space before and after it counted as one."""
    groups: set[str] = set()
    for word in set(words):
        spaced = f" {word} "
        for size in SIZES:
            groups.update(spaced[at : at + size] for at in range(len(spaced) - size + 1))
    return groups


def blocks_of(text: str) -> tuple[list[int], list[int]]:
    """The places of a line's features: letter groups, and words and pairs of words."""
    words = words_of(text)
    pairs = {f"{first} {second}" for first, second in pairwise(words)}
    return (
        hashed((f"g{group}" for group in letter_groups(words)), GROUPS),
        [GROUPS + place for place in hashed((f"w{word}" for word in {*words, *pairs}), WORDS)],
    )


def language_places(text: str) -> list[int]:
    """The places of the letter groups by which the language is heard."""
    return hashed(letter_groups(words_of(text)), LANGUAGE_PLACES)


@lru_cache(maxsize=1)
def _tables() -> tuple[Table, Table]:
    tables = tables_of(FILE)
    return tables["complaint"], tables["language"]


def probability(text: str) -> float:
    """How sure the second reader is that a line tells of a complaint for a clinician or graver, 0-1."""
    return logistic(_tables()[0].scores(blocks_of(text))[0])


def complains(text: str, kind: LineKind = LineKind.OTHER) -> bool:
    """Whether the second reader hears a complaint for a clinician or graver in a line of a `kind`."""
    return len(text.split()) >= LEAST_WORDS[kind].value and probability(text) >= ASK_FROM[kind].share


def language_of(text: str, told: str) -> str:
    """The language of a line, one of `LANGUAGES`; `told` where that cannot be heard surely."""
    scores = _tables()[1].scores((language_places(text),))
    best = max(range(len(LANGUAGES)), key=lambda column: scores[column])
    return LANGUAGES[best] if logistic(scores[best]) >= SURE_OF_LANGUAGE.share else told
