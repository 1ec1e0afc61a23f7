"""Lines that say one thing in plain words: a cry for help, a question what a coach sees, a day that is free after all.

Five languages; the words are in `words/talk.txt`. Fear *of* something ("I am scared people will laugh") has told its
reason and is talk; help *with* something is a wish. A question about a coach has three things in one line: a coach,
seeing, and asking; words beside them do not matter, and a line that tells a sign is not asked here at all.
"""

from __future__ import annotations

import re
from datetime import date, timedelta

from nudgebot.domain.text.folding import fold, squeezed
from nudgebot.domain.text.line.tokens import LONGEST_LINE
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.word_files import patterns

P = patterns("talk")
FEW = 4  # words; so short a question of a month can only be about what was run in it ("how much in May?")
_MONTH = re.compile(rf"\b(?:in|im|en|em|for|during|of|de|since) (?P<month>{'|'.join(said_in_any('months'))})\b")
READ = 300  # characters of a question that are looked at


def is_cry_for_help(text: str) -> bool:
    """Whether somebody calls for help or is afraid and does not say of what."""
    return P.cry.search(fold(text)[0]) is not None


def tells_a_death(text: str) -> bool:
    """Whether a line tells of the death or the funeral of somebody near."""
    return P.bereaved.search(fold(text[:LONGEST_LINE])[0]) is not None


def asks_what_a_coach_sees(text: str) -> bool:
    """Whether `text` asks what a coach sees of its writer."""
    plain = squeezed(text[:READ])
    return all(each.search(plain) for each in (P.coach, P.sees, P.asks)) and P.told_back.search(plain) is None


def frees_a_day(text: str) -> bool:
    """Whether a line says that one can after all, on a day it names: "I can run Thursday after all", "geht doch"."""
    plain = fold(text[:LONGEST_LINE])[0]
    return P.after_all.search(plain) is not None and P.can.search(plain) is not None


def asks_to_run(text: str) -> bool:
    """Whether a line asks if one may run, on a day that it names or today, and nothing beside it."""
    plain = fold(text[:READ])[0]
    return P.may_run.search(plain) is not None and P.beside.search(plain) is None


def asks_for_the_plan(text: str) -> bool:
    """Whether a question names the week or the plan, or asks what is on."""
    return P.plan.search(squeezed(text[:READ])) is not None or asks_what_is_on(text)


def asks_what_is_on(text: str) -> bool:
    """Whether a line asks what there is to do on a day."""
    return P.what.search(squeezed(text[:READ])) is not None


def month_asked_about(text: str, today: date) -> date | None:
    """The first day of the month of which a line asks how much was run: the last of that name that has begun."""
    plain = fold(text[:READ])[0]
    if P.how_much.search(plain) is None or not (P.did.search(plain) or len(plain.split()) <= FEW):
        return None
    first = today.replace(day=1)
    if P.this_month.search(plain):
        return first
    if P.last_month.search(plain):
        return (first - timedelta(days=1)).replace(day=1)
    if (named := _MONTH.search(plain)) is None:
        return None
    number = said_in_any("months")[named["month"]]
    return date(today.year - (number > today.month), number, 1)
