"""Sayings that only sound like an illness."""

from nudgebot.domain.text.symptoms.heard_words import heard
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES, mentions


def without_idioms(text: str) -> str:
    """The text with every idiom left out: "31 done, the price nearly gave me a heart attack" names no illness."""
    found = heard(text)
    for start, end in {span for language in LANGUAGES for span in mentions(found, language)[1]}:
        first, last = found[start].start, found[end - 1].end
        text = f"{text[:first]}{' ' * (last - first)}{text[last:]}"
    return text
