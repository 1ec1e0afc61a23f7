"""Regional spellings of English as the word of the dictionary ("heid" is "head"), for every reader of a line alike."""

from collections.abc import Collection
from functools import cache

from nudgebot.domain.text.word_files import sections


@cache
def _table(*names: str) -> dict[str, str]:
    """Each spelling of some sections of `words/regional.txt`, with the word that it stands for."""
    rows = (line.partition(":") for name in names for line in sections("regional")[name])
    return {spelling: word for word, _, spellings in rows for spelling in spellings.split()}


@cache
def _english() -> frozenset[str]:
    return frozenset(" ".join(sections("regional")["english"]).split())


def standard(words: Collection[str]) -> dict[str, str]:
    """Which of the folded words of one line are regional spellings, each with its word of the dictionary.

    An owner's "'s" stays: "airm's" is "arm's".
    """
    stems = {word: word.removesuffix("'s") for word in words}
    if _table("alone", "in_english", "beside").keys().isdisjoint(stems.values()):
        return {}
    said = frozenset(stems.values())
    if not _table("alone").keys().isdisjoint(said):
        known = _table("alone", "in_english", "beside")
    else:
        known = {} if _english().isdisjoint(said) else _table("in_english")
    return {word: known[stem] + word[len(stem) :] for word, stem in stems.items() if stem in known}
