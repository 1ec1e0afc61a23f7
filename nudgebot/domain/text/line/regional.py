"""Regional and thumbed spellings as words of the dictionary ("heid" is "head", "hj" "hoje"), for every reader alike."""

import re
from collections.abc import Collection
from functools import cache

from nudgebot.domain.text.word_files import sections

# Words that nobody writes for anything else; of those that are another word elsewhere, which go only beside one of
# these; and which also beside a small word of their language alone. Sections of `words/regional.txt`.
_KINDS = (
    ("en", "alone", "beside", "in_english", "english"),
    ("de", "german", "", "in_german", "german_small"),
    ("fr", "french", "", "in_french", "french_small"),
    ("es", "spanish", "", "in_spanish", "spanish_small"),
    ("pt", "portuguese", "", "in_portuguese", "portuguese_small"),
)


@cache
def _table(name: str) -> dict[str, str]:
    """Each spelling of a section, with the word that it stands for."""
    rows = (line.partition(":") for line in sections("regional")[name]) if name else ()
    return {spelling: word for word, _, spellings in rows for spelling in spellings.split()}


@cache
def _small(name: str) -> frozenset[str]:
    return frozenset(" ".join(sections("regional")[name]).split())


@cache
def spellings(language: str = "") -> frozenset[str]:
    """Every such spelling; of a line of one `language` those that count there."""
    kinds = ((kind[1:4] if language in {"", kind[0]} else kind[1:2]) for kind in _KINDS)
    return frozenset(spelling for names in kinds for name in names for spelling in _table(name))


def standard(words: Collection[str], language: str = "") -> dict[str, str]:
    """Which of the folded words of one line are such spellings, each with its word of the dictionary.

    An owner's "'s" stays: "airm's" is "arm's". Words of one `language` that is known are read by all its spellings.
    """
    stems = {word: word.removesuffix("'s") for word in words}
    said = stems.values()
    if spellings().isdisjoint(said):
        return {}
    known: dict[str, str] = {}
    for of, alone, beside, in_language, small in _KINDS:
        if of == language or not _table(alone).keys().isdisjoint(said):
            known |= _table(in_language) | _table(beside) | _table(alone)
        elif not _small(small).isdisjoint(said):
            known |= _table(in_language)
    return {word: known[stem] + word[len(stem) :] for word, stem in stems.items() if stem in known}


def as_standard(line: str) -> str:
    """A folded line with each such spelling as its word of the dictionary: "nae better" is "no better"."""
    meant = standard(_WORD.findall(line))
    return _WORD.sub(lambda word: meant.get(word[0], word[0]), line) if meant else line


_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")
