"""Conditions that a runner tells in words: a table as data (`conditions.toml`), and whose condition a line speaks of.

What is read is shown back before it holds; what follows from it is in the row. (docs/safety.md, "Told conditions")
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from nudgebot.domain.model.intake import Intake
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.vocabulary import said_in_any

UNDER_AGE = "under_age"  # the id of an age under 18; it stands in no row, since it is read as a number
LANGUAGES = ("en", "es", "de", "fr", "pt")
ADULT_FROM = 18  # years


@dataclass(frozen=True, slots=True)
class Condition:
    """A row: its id, what it is called when shown back, what follows, its words, its source and how that was seen."""

    id: str
    name: str
    follows: frozenset[str]
    words: Mapping[str, tuple[str, ...]]
    source: str
    seen: str


@dataclass(frozen=True, slots=True)
class ToldConditions:
    """A condition that a line tells of the writer, and the line without it, for whatever else it says."""

    id: str
    rest: str


@lru_cache(maxsize=1)
def table() -> tuple[Condition, ...]:
    """Every row, in the order of the file."""
    raw = tomllib.loads(resources.files("nudgebot.domain.profile").joinpath("conditions.toml").read_text("utf-8"))
    return tuple(
        Condition(
            row["id"],
            row["name"],
            frozenset(row["follows"]),
            {language: tuple(row[language]) for language in LANGUAGES},
            row["source"],
            row["seen"],
        )
        for row in raw["condition"]
    )


@lru_cache(maxsize=1)
def by_id() -> Mapping[str, Condition]:
    """The rows by their ids."""
    return {row.id: row for row in table()}


@lru_cache(maxsize=1)
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    found = []
    for row in table():
        words = sorted({word for each in row.words.values() for word in each}, key=len, reverse=True)
        ways = "|".join(re.escape(word).replace(r"\~", r"\w*").replace("~", r"\w*") for word in words)
        found.append((row.id, re.compile(rf"\b(?:{ways})\b" if ways else r"(?!)")))
    return tuple(found)


def confirmed_rows(told: Intake) -> tuple[Condition, ...]:
    """The conditions that the runner has confirmed, in the order of the table."""
    return tuple(row for row in table() if told.tells(row.id))


def keeps_level(told: Intake) -> bool:
    """Whether a condition that was told keeps the weeks as they are."""
    return any("level" in row.follows for row in confirmed_rows(told))


_CLAUSE = re.compile(r"[.;!?,:\n()]+|\b(?:but|and|pero|aber|und|mais|et|mas)\b")
_FIRST = re.compile(
    r"\b(?:i|im|ive|id|me|my|mine|ich|mein\w*|mir|yo|tengo|estoy|soy|tomo|tuve|mi|je|j|jai|suis|prends|mon|ma|mes|"
    r"eu|tenho|estou|sou|tive|meu|minha)\b"
)
_THEIRS = re.compile(
    r"\b(?:he|she|they|hes|shes|theyre|his|her|their|him|them|er|sie|ihr\w*|sein\w*|el|ella|ellos|il|elle|ils|elles|"
    r"lui|ele|ela|eles|somebody|someone|everyone|people|who|whose)\b"
    # "my boss is", "the neighbour has", "our cat's": anybody's noun with a verb of its own
    r"|\b(?:my|our|the|a|an|his|her|mein\w*|unser\w*|mi|nuestr[oa]|mon|ma|notre|o|a|meu|minha|nosso|nossa|un|une|uma?)"
    r" (?!doctor|doc|gp|cardiologist|consultant|specialist|midwife|nurse|test|tests|scan|results?|body|heart|blood)"
    r"(?:\w+ ){1,3}?(?:is|has|had|was|s|got|gets|takes|took|ist|hat|hatte|war|nimmt|a|avait|est|etait|"
    r"prend|tiene|tenia|"
    r"esta|estaba|es|toma|tem|tinha|e|teve)\b"
    r"|\b(?:wife|husband|partner|spouse|girlfriend|boyfriend|mum|mom|mother|mam|dad|father|son|daughter|kid|kids|child|"
    r"children|brother|sister|cousin|uncle|aunt|auntie|tio|tia|tante|onkel|oncle|tio|niece|nephew|gran\w*|nan|nana|friend|friends|mate|neighbou?r|"
    r"colleague|boss|manager|teacher|coach|client|patient|dog|cat|horse|frau|mann|mutter|vater|sohn|tochter|bruder|"
    r"schwester|freund\w*|chef\w*|nachbar\w*|mujer|marido|madre|padre|hijo|hija|herman[oa]|amig[oa]|jef[ea]|femme|mari|"
    r"mere|pere|fils|fille|frere|soeur|ami|amie|patron\w*|collegue|mulher|mae|pai|filh[oa]|irmao?|chefe)s?\b"
)
SOMEBODY_ELSE = re.compile(
    r"\b(?:(?:my|our) )?(wife|husband|partner|mum|mom|mother|dad|father|sister|brother|friend|daughter|son|colleague|"
    r"neighbour|neighbor|he|she|they)\b"
)
_DENIED = re.compile(
    r"\b(?:no|not|dont|don't|doesnt|never|without|isnt|isn't|havent|haven't|arent|cant be|rule out|ruled out|negative|"
    r"clear of|free of|free from|afraid of|scared of|worried about|risk of|prevent|avoid|avoiding|against|"
    r"family history|"
    r"in the family|before (?:my|the)|screened for|tested for|test for|might|could|maybe|nicht|kein\w*|ohne|sin|ni|"
    r"pas|jamais|sans|sem|nao|nunca|nunca tuve)(?: \w+){0,3} ?$"
)
_NOT_A_DENIAL = re.compile(
    r"\b(?:no(?:pe)? (?:just|only|apart|except|but)|not sure if|don'?t know if|forgot to say|"
    r"did not say|didn'?t say|not told you)\b"
)
# Words beside which a condition is a cause, a book, an event or an institution and nobody's own.
_ABOUT = re.compile(
    r"^(?: \w+){0,1}? (?:charity|awareness|research|fundraiser|foundation|society|book|film|movie|documentary|podcast|"
    r"article|course|exam|essay|lecture|ward|nurse|dog|cat|run|runs|race|walk|5k|10k|trust|uk)\b|"
    r"^ of (?:luck|genius|\w+s)\b"
)
_FOR_OTHERS = re.compile(
    r"\b(?:charity|fundrais\w*|in aid of|raising money|read(?:ing)? about|watch\w* a|article on)\b"
)
_LEADS = re.compile(
    r"(?:^|\b)(?:on|got|have|had|diagnosed|with|taking|take|takes|"
    r"use|using|doing|having|starting|started|need|type|was|am|being|under|living with|told|known|since|"
    r"yes|treated|just|still|also|bin|habe|hatte|wurde|werde|operiert|nehme|con|avec|com|mit|oui|ja|si|sim)\b|^\s*$"
)
_OVER = re.compile(
    r"\b(?:no longer|any ?more|is over|are over|is gone|came off|come off|stopped taking|recovered from|"
    r"forget (?:the|my)|ya no|nicht mehr|ne \w+ plus|ja nao)\b"
)
_PERIOD_BACK = re.compile(
    r"\b(?:my |got my )?periods? (?:is|are|has|have|came|come)(?: come)? back\b|\bgot my period\b"
)
_LATELY = re.compile(
    r"\b(?:today|yesterday|last|this|ago|week|weeks|month|months|days?|recent\w*|just|new|fresh|recovering|after|since|"
    r"semana\w*|mes|meses|hace|ayer|woche\w*|monat\w*|vor|gestern|semaine\w*|mois|hier|ontem|ha)\b"
)
_LONG_PAST = re.compile(r"\b(?:years?|jahre\w*|anos?|ans|as a (?:child|kid)|in (?:19|20)\d\d|decades?)\b")
_EXPLAINED = re.compile(
    r"\b(?:menopaus\w*|the pill|pill|coil|implant|iud|contracept\w*|nursing|breast ?feed\w*|pregnan\w*|"
    r"birth|hysterectomy|"
    r"menopausia|wechseljahre\w*|pille|menopause|pilule|pilula)\b"
)
_AGE = re.compile(
    r"(?:\b(?:i am|im|i'm|i just turned|i turn|i will be|aged?)|^\s*only) (?P<age>\d{1,2}|eleven|twelve|"
    r"thirteen|fourteen|"
    r"fifteen|sixteen|seventeen)(?= *(?:$|[.,;!?)]| (?:by the way|btw|years?(?: old)?|yrs?|yo|y/o|now|"
    r"actually|though|tho|"
    r"and|but|so|already|next|in)\b))"
    r"|\b(?P<old>\d{1,2}) (?:years old|year old girl|year old boy|yo|y/o)\b"
    r"|\b(?:ich bin|tengo|j ?'?ai|tenho) (?P<alt>\d{1,2})(?: (?:jahre|anos|ans)| *$)"
)
_NO_AGE = re.compile(
    r"\b(?:stone|st|kg|lbs?|pounds|km|k|miles?|min\w*|weeks?|months?|days?|hours?|h|percent|bpm|degrees|"
    r"th|years? (?:of|in)|"
    r"semanas|wochen|semaines)\b"
)


def condition_in(text: str) -> ToldConditions | None:
    """The condition that a line tells of the writer; None for another person's, a denied one or none."""
    line = squeezed(text).replace("'", "")
    if (age := _age_told(line)) is not None and age < ADULT_FROM:
        return ToldConditions(UNDER_AGE, "")
    for key, pattern in _patterns():
        for found in pattern.finditer(line):
            if _is_own(line, found, key) and _holds(key, line, found):
                return ToldConditions(key, _without(line, found))
    return None


def over_in(text: str) -> str | None:
    """The condition that a line says is over for the writer: "no longer on warfarin", "my period is back"."""
    line = squeezed(text).replace("'", "")
    if _PERIOD_BACK.search(line):
        return "period"
    if _OVER.search(line) is None or _THEIRS.search(line):
        return None
    return next((key for key, pattern in _patterns() if pattern.search(line)), None)


def conditions_in(text: str) -> frozenset[str]:
    """The ids of all conditions that a line names as the writer's."""
    line = squeezed(text).replace("'", "")
    return frozenset(key for key, way in _patterns() for found in way.finditer(line) if _is_own(line, found, key))


def is_somebody_elses(text: str) -> bool:
    """Whether a line names a condition, and only of somebody else."""
    line = squeezed(text).replace("'", "")
    named = [(key, found) for key, pattern in _patterns() for found in pattern.finditer(line)]
    return bool(named) and not any(_is_own(line, found, key) for key, found in named)


def _clause(line: str, found: re.Match[str]) -> tuple[str, str]:
    """What stands in the clause before a match and after it."""
    starts = [cut.end() for cut in _CLAUSE.finditer(line, 0, found.start())]
    end = _CLAUSE.search(line, found.end())
    return line[max(starts, default=0) : found.start()], line[found.end() : end.start() if end else len(line)]


def _is_own(line: str, found: re.Match[str], key: str) -> bool:
    before, after = _clause(line, found)
    if _ABOUT.search(after) or _FOR_OTHERS.search(line):
        return False
    if _DENIED.search(before) and not _NOT_A_DENIAL.search(line):
        return False
    whole = f"{before} {found[0]}"
    theirs = [each.end() for each in _THEIRS.finditer(before)]
    mine = [each.end() for each in _FIRST.finditer(whole) if each.start() < max(1, len(whole))]
    own_noun = [each for each in mine if not any(each <= end for end in theirs)]
    if theirs:
        # "my wife says I have epilepsy" is the writer's; "my wife has epilepsy" is not.
        return bool(own_noun) and max(own_noun) > max(theirs)
    if re.search(
        r"^ (?:of|in|for) (?:my|her|his|our|the) (?!arm|leg|heart|kidney|lung|brain|neck|knee|chest)\w+", after
    ):
        return bool(re.search(r"\b(?:i|im|ive)\b", before))
    if mine:
        return True
    if key != "eating" and before.strip() and not _LEADS.search(before):
        return False
    return len(line.split()) <= 14 and not (line.endswith("?") and not mine)


def _holds(key: str, line: str, found: re.Match[str]) -> bool:
    """What a row asks for beyond its words: an operation is of late, a missing period has no plain reason."""
    if key == "operation":
        return _LATELY.search(line) is not None and _LONG_PAST.search(line) is None
    if key == "cancer":
        return _LONG_PAST.search(line) is None or found[0].startswith(("chemo", "radio", "quimio", "chimio"))
    if key == "circulation":
        return not (found[0] == "stroke" and re.search(r"\b(?:swim\w*|swam|pool|lengths?|crawl|arm)\b", line))
    if key == "period":
        return _EXPLAINED.search(line) is None
    if key == "pregnancy":
        return re.search(r"\b(?:no longer|any ?more|not)\b", line) is None
    return True


def _age_told(line: str) -> int | None:
    found = _AGE.search(line)
    if found is None or (found["old"] is None and _NO_AGE.search(line[found.end() : found.end() + 9])):
        return None
    word = found["age"] or found["old"] or found["alt"]
    return int(word) if word.isdigit() else said_in_any("numbers")[word]


def _without(line: str, found: re.Match[str]) -> str:
    """The line without the clause that the condition stands in."""
    before, after = _clause(line, found)
    start, end = found.start() - len(before), found.end() + len(after)
    return f"{line[:start]} {line[end:]}".strip(" ,.;:!")


def needs_clinician(ids: frozenset[str]) -> bool:
    """Whether any of the conditions asks for a clinician before running."""
    return any("clinician" in by_id()[key].follows for key in ids)
