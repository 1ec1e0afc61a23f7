"""The second reader of warning signs: whether a line tells of something for a clinician or graver.

A linear model over hashed words and letter groups of the line itself, weighed against what the line is for
(`stack.Based`); trained by `python -m tests.corpus.train` from lines of invented people. Nothing of the lexicons of
signs is among its features, so that its faults are its own. It has no say in the level of a line: what it hears is
asked about (docs/safety.md, "Two readers").
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from enum import StrEnum

from nudgebot.domain.model.parameters import Choice, Rule
from nudgebot.domain.text.learned import stack
from nudgebot.domain.text.learned.features import hashed, logistic
from nudgebot.domain.text.line.tokens import ends_of

LANGUAGE_PLACES = 2**12
SIZES = (3, 4, 5)  # letters in a group
LANGUAGES = ("en", "es", "de", "fr", "pt")
_WORD = re.compile(r"[^\W_]+|[?!]")
_DIGIT = re.compile(r"\d")


def words_of(text: str) -> list[str]:
    """The words of a line in small letters, every digit a 0; of a very long line its beginning and its end."""
    return _WORD.findall(_DIGIT.sub("0", ends_of(text).lower().replace("\u2019", "'").replace("'", "")))


def _groups(word: str) -> list[str]:
    """Every group of 3 to 5 letters of a word, the space before and after it counted as one."""
    spaced = f" {word} "
    return [spaced[at : at + size] for size in SIZES for at in range(len(spaced) - size + 1)]


def language_places(text: str) -> set[int]:
    """The places of the letter groups by which the language is heard."""
    return hashed((group for word in {*words_of(text)} for group in _groups(word)), LANGUAGE_PLACES)


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
        (LineKind.RUN, "reports a run", 55),
        (LineKind.ORDINARY, "tells of an ordinary complaint", 40),
        (LineKind.OTHER, "is neither", 33),
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


def probability(text: str, today: date) -> float:
    """How sure the second reader is that a line tells of a complaint for a clinician or graver, 0-1."""
    parse, based = stack.first(ends_of(text), today)
    return logistic(stack.models().asked.scores_of(stack.asked_features(parse, based))[0])


def complains(text: str, today: date, kind: LineKind = LineKind.OTHER) -> bool:
    """Whether the second reader hears a complaint for a clinician or graver in a line of a `kind`."""
    return len(text.split()) >= LEAST_WORDS[kind].value and probability(text, today) >= ASK_FROM[kind].share


def language_of(text: str, told: str) -> str:
    """The language of a line, one of `LANGUAGES`; `told` where that cannot be heard surely."""
    scores = stack.models().language.scores((language_places(text),))
    best = max(range(len(LANGUAGES)), key=lambda column: scores[column])
    return LANGUAGES[best] if logistic(scores[best]) >= SURE_OF_LANGUAGE.share else told
