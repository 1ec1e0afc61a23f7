"""The closed safety question, in the language of the line: asked, answered, taken back. Sources: docs/safety.md."""

from __future__ import annotations

from nudgebot.domain.messages.by_language import in_all, in_language
from nudgebot.domain.profile import emergency

# The buttons; typing the words does the same.
NO, YES, WITHDRAW = in_all("felt_no"), in_all("felt_yes"), in_all("felt_withdraw")


def signs_line(country: str, language: str) -> str:
    """The signs that mean call, with the number of `country`, in `language` (English if it is none of ours)."""
    return in_language("signs_line", language).format(call=emergency.call(country, language))


def ask(country: str, language: str) -> str:
    """The question, with the signs and the number in it."""
    return f"{in_language('felt', language)} {signs_line(country, language)}"


def answer_yes(country: str, language: str) -> str:
    """What a yes means for running, and what to tell next."""
    return (
        f"{in_language('clinician', language)}\n{signs_line(country, language)}\n{in_language('which_words', language)}"
    )


def answer_words(country: str, language: str) -> str:
    """The answer to the words after a yes, where they name no sign of the table."""
    return f"{in_language('heard_words', language)}\n{signs_line(country, language)}"


def answer_no(language: str) -> str:
    """What a no gets."""
    return in_language("heard_no", language)


def confirm_withdrawn(language: str) -> str:
    """What a yes that was a mistake gets."""
    return in_language("withdrawn", language)
