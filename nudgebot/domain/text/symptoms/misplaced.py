"""Words of a sign that mean something else where they stand: an amount of running, excitement, hyperbole, fog."""

from __future__ import annotations

import re
from collections.abc import Sequence

from nudgebot.domain.text.line.whose import turn_ends
from nudgebot.domain.text.symptoms.lay_words import Mention, SignWord
from nudgebot.domain.text.word_files import words

W = words("misplaced")


def is_misplaced(mention: Mention, found: Sequence[SignWord]) -> bool:
    """Whether a mention means something else where it stands: a thing or an animal that is not the subject of its
    clause, the short form "kms" after a number, or "dying" of hunger or laughter.
    """
    if (
        (mention.concept in _OF_A_PRICE and _is_about_money(mention, found))
        or (mention.concept in OF_THE_HEART and _is_about_a_game(mention, found))
        or (mention.concept == "NEED_HELP" and _is_for_a_task(mention, found))
    ):
        return True
    if mention.concept in {"NEED_HELP", "DOOM"}:
        at = mention.end
        while at < len(found) and found[at].word in W.to_the_cause - W.said_for_fun:
            at += 1
        return at < len(found) and found[at].word in W.said_for_fun
    if mention.concept == "SUICIDE" and mention.start and found[mention.start].word == "kms":
        return found[mention.start - 1].word[0].isdigit()
    if mention.concept == "SUICIDE" and found[mention.end - 1].word in W.take_on:
        return _is_an_amount(found, mention.end)
    if mention.concept in W.measured and found[mention.end - 1].word in W.labels:
        return _is_number_from(found, mention.end, MEASURED_FROM)  # "pressure 116/74", not "pressure 8/10"
    if mention.concept == "SADDLE" and found[mention.end - 1].word in W.ends:
        return mention.end < len(found) and found[mention.end].word == "of"  # "the bottom of my foot"
    if mention.concept != "THING":
        return False
    at = mention.start
    while at and not found[at].gap and found[at - 1].word in W.the:
        at -= 1
    return bool(at) and not found[at].gap and found[at - 1].word not in W.openers


def _is_for_a_task(mention: Mention, found: Sequence[SignWord]) -> bool:
    """Whether help is asked for with a plan, a program or a coach: "please help me find another day".

    What is asked for is named in the same clause, behind a word that leads to it; a bare cry is one.
    """
    at = mention.end
    while at < len(found) and not found[at].gap and found[at].word in W.urging:
        at += 1
    if at == len(found) or found[at].gap or found[at].word not in W.to_a_task:
        return False
    end = next((k for k in range(at, len(found)) if k > at and found[k].gap), len(found))
    return any(found[k].word in W.tasks for k in range(at, end))


MEASURED_FROM = 11  # a number up to ten grades a feeling


def _is_number_from(found: Sequence[SignWord], at: int, least: int) -> bool:
    """Whether a number of at least so much stands at token `at`, nothing between it and the word before."""
    digits = re.match(r"\d+", found[at].word) if at < len(found) and not found[at].gap else None
    return digits is not None and int(digits[0]) >= least


def _is_an_amount(found: Sequence[SignWord], at: int) -> bool:
    """Whether token `at` begins an amount of running: "4 miles", "another half hour", "una carrera"."""
    said = [token.word for token in found[at : at + _NEAR]]
    led = next((n for n, word in enumerate(said) if word in W.amounts), None)
    return led is not None and all(word[0].isdigit() or word in W.articles for word in said[:led])


def is_excitement(mention: Mention, found: Sequence[SignWord]) -> bool:
    """Whether a heart attack is one that somebody or something "nearly gave me": "me va a dar un infarto con ..."."""
    leads = any(end == mention.start for _, end in turn_ends(found, "nearly"))
    return leads and mention.end < len(found) and found[mention.end].word in W.over_something


def _is_about_money(mention: Mention, found: Sequence[SignWord]) -> bool:
    """Whether a faint or a heart is what a price nearly does to somebody: "nearly fainted at the bill".

    What stands behind the faint may be an amount: "out for about ten seconds".
    """
    before = {token.word for token in found[max(0, mention.start - _NEAR) : mention.end]}
    behind = {token.word for token in found[mention.end : mention.end + _NEAR]} - {"about"}
    return not W.does.isdisjoint(before | behind) and any(token.word in W.prices for token in found)


def _is_about_a_game(mention: Mention, found: Sequence[SignWord]) -> bool:
    """Whether a heart attack is one that a game nearly gave: "quase infarto no jogo"."""
    before = {token.word for token in found[max(0, mention.start - _NEAR) : mention.start]}
    return any(token.word in W.games for token in found) and not before.isdisjoint(W.does - {"about"})


_NEAR = 3  # words on both sides
OF_THE_HEART = W.of_the_heart
_OF_A_PRICE = OF_THE_HEART | W.of_a_price
# What may mean something else: a line that names nothing of it needs no look at what it names.
MISPLACED = _OF_A_PRICE | W.measured | {"NEED_HELP", "DOOM", "SUICIDE", "SADDLE", "THING"}


def is_hidden(mention: Mention, named: list[Mention], found: Sequence[SignWord]) -> bool:
    """Whether something hides what cannot be seen: "ne vois rien dans le brouillard"."""
    if not any(token.word in W.see for token in found[mention.start : mention.end]):
        return False
    if any(token.word in W.of_the_eyes for token in found):
        return False
    return any(other.concept == "MURK" for other in named)
