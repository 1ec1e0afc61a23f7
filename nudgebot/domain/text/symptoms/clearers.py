"""Who is said to have cleared running, and when: the answer to "Who was it, and when?". Five languages.

It reads words and judges nobody: a line that names nobody it knows is asked about, and the runner has the last word.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.reply import read_days


class Clearer(StrEnum):
    """Whose word a line passes on."""

    DOCTOR = "doctor"  # a doctor, hospital, emergency department, specialist or clinic
    MIDWIFE = "midwife"
    PHYSIO = "physiotherapist"
    NOBODY = "nobody"  # the writer, a search, a friend, a relative who is none of these
    UNTOLD = "untold"  # a name, or words that say nothing of it


@dataclass(frozen=True, slots=True)
class Visit:
    """The days on which it may have been, as exactly as the line says it."""

    first: date
    last: date


_DOCTOR = re.compile(
    r"\b(?:dr|drs|dra|doc|doctor\w*|docteur\w*|doutora?|gp|gps|md|physician\w*|\w*cardi[oa]log\w*|kardiolog\w*|"
    r"neurolog\w*|pneumolog\w*|pulmonolog\w*|nephrolog\w*|urolog\w*|oncolog\w*|endocrinolog\w*|gyn\w*|gine\w*|"
    r"obstetric\w*|rheumatolog\w*|haematolog\w*|hematolog\w*|internist\w*|ophthalmolog\w*|orthop\w*|ortop\w*|"
    r"specialist\w*|especialista\w*|specialiste\w*|consultant|surgeon|registrar|"
    r"hospital\w*|hopital|clinic|clinics|clinica\w*|clinique|klinik\w*|krankenhaus|spital|"
    r"a ?& ?e|a and e|(?:the|at|in) (?:er|ed)|emergency (?:department|room|dept|clinic)|casualty|"
    r"urgent care|walk[- ]in cent\w+|"
    r"minor injur\w+|urgencias|urgences|notaufnahme|centro de saude|centro de salud|ambulatorio|"
    r"sports medicine|health cent\w+|medical cent\w+|surgery team|"
    r"medic[oa]s?|medecin\w*|generaliste|cirujan[oa]|cirurgia[oa]?|chirurg\w*|arzt|arztin|\w*arzt|\w*arztin|praxis)\b"
)
_MIDWIFE = re.compile(r"\b(?:midwi\w+|hebamme\w*|matrona|comadrona|sage[- ]?femme|parteira)\b")
_PHYSIO = re.compile(
    r"\b(?:physio\w*|physical therap\w+|fisio\w*|kine|kines|kinesi\w*|kinesitherap\w+|krankengymnast\w*)\b"
)
# Words beside which "doctor", "clinic" or "surgeon" mean nobody who examines people.
_NO_CLINICIAN = re.compile(
    r"\b(?:vets?|veterinar\w*|tierarzt\w*|tierklinik|animal|dog'?s|cat'?s|tree surgeon|witch doctor|spin doctor|"
    r"google\w*|googling|internet|online|web|website|forum\w*|video\w*|podcast\w*|articles?|book|books|blog\w*|app|"
    r"chat ?bots?|ai|quiz|horoscope|astrolog\w*|psychic|"
    r"receptionist|student|studying|studies|trainee|wants to be|wannabe|retired|"
    r"running clinic|dentist\w*|pharmac\w+|chiropract\w*|osteopath\w*|homeopath\w*|healer|"
    r"heilpraktiker\w*|massage\w*|masseu\w*|"
    r"hairdresser|trainer|coach|phd|doctorate|(?:doctor|dr|professor) of (?!medicine|sport)\w+)\b"
)
_OF_SOMEBODY_ELSE = re.compile(
    r"\b(?:my |his |her |their )?(?:wife|husband|partner|mum|mom|mother|dad|father|son|daughter|brother|sister|friend|"
    r"neighbour|neighbor|colleague|boss|mate|dog|cat)'?s (?:own )?(?:doctor|doc|gp|dr|consultant|physio\w*|specialist|"
    r"cardiologist|vet)\b"
)
_NOBODY = re.compile(
    r"\b(?:me|myself|i|i did|self|nobody|no one|noone|none|nothing|nadie|ninguem|niemand|personne|keiner|yo|moi|ich|eu|"
    r"google\w*|internet|online|search\w*|web|forum\w*|app|chat ?bot|ai|video\w*|podcast|article|book|"
    r"friends?|mates?|buddy|pal|neighbou?rs?|colleagues?|boss|coach|trainer|team|group|"
    r"wife|husband|partner|spouse|girlfriend|boyfriend|fiancee?|mum|mom|mother|dad|father|parents?|son|daughter|kids?|"
    r"child(?:ren)?|brother|sister|cousin|uncle|aunt|auntie|niece|nephew|gran\w*|nana|family|in-?law|"
    r"frau|mann|mutter|vater|bruder|schwester|freund\w*|nachbar\w*|"
    r"mujer|marido|madre|padre|herman[oa]|amig[oa]|vecin[oa]|femme|mari|mere|pere|frere|soeur|ami|amie|voisine?|"
    r"mulher|mae|pai|irma|irmao|vizinh[oa]|vets?|veterinar\w*|tierarzt\w*|god|body|gut|instinct|feeling)\b"
)
_DENIED = re.compile(
    r"\b(?:not|no|isn'?t|wasn'?t|never|without|kein\w*|nicht|sin|sem|pas|no es|nao)(?: \w+){0,2} "
    r"(?=dr\b|doc|gp|physician|arzt|medic|medec|hospital|clinic|specialist|physio|midwife|hebamme)"
)
# "No hospital" is "in the hospital" in a Portuguese line.
_IN_THE = re.compile(
    r"\b(?:ontem|hoje|segunda|terca|quarta|quinta|sexta|sabado|domingo|passad[oa]|semana|santa|sao|de|da|do)\b"
)
_NOT_YET = re.compile(
    r"\b(?:not yet|not to run|no running|(?:told|asked|wants?) me to (?:wait|rest)|to wait|said no|says no|said not|"
    r"not cleared|hasn'?t cleared|has not cleared|didn'?t (?:clear|see)|did not (?:clear|see)|haven'?t|have not|"
    r"advised against|(?:more|further) tests|waiting for|i'?ll|i will|will see|going to|gonna|booked|have an? "
    r"appointment|tomorrow|next (?:week|month|monday|tuesday|wednesday|thursday|friday|saturday|sunday)|"
    r"noch nicht|warten|nachste woche|ubermorgen|todavia no|aun no|manana|pas encore|demain|ainda nao|amanha)\b"
)
_AGO = re.compile(r"\b(?P<many>couple of|\w+) (?P<unit>day|week|month|year)s? ago\b")
_MANY = {"a": 1, "an": 1, "couple of": 2, "few": 3}
_MONTH = re.compile(
    rf"\b(?:in|im|en|em|last|early|late|mid|of|de) (?P<month>{'|'.join(said_in_any('months'))})\b"
    r"(?:(?:,| de)? (?P<year>20\d\d)\b(?!-))?"
)
_YEAR = re.compile(r"\b(?:in |early |late |back in )?(?P<year>20\d\d)\b")
_LAST = re.compile(r"\b(?:last|past|letzten?|pasado|dernier|passado) (?P<unit>month|year)\b")
_TODAY = re.compile(r"\b(?:today|this morning|just now|hoje|hoy|heute|aujourd'?hui)\b")
_YESTERDAY = re.compile(r"\b(?:yesterday|last night|ontem|ayer|gestern|hier)\b")
DAY = timedelta(days=1)
_DAYS = {"day": 1, "week": 7, "month": 31, "year": 366}


def clearer_in(text: str) -> Clearer:
    """Who a line says it was. A relative or friend who is said to be a doctor is one; a vet is not."""
    line = squeezed(text)
    doubtful = _NO_CLINICIAN.search(line) or _OF_SOMEBODY_ELSE.search(line) or _denied(line)
    if not doubtful:
        for kind, words in ((Clearer.DOCTOR, _DOCTOR), (Clearer.MIDWIFE, _MIDWIFE), (Clearer.PHYSIO, _PHYSIO)):
            if words.search(line):
                return kind
    return Clearer.NOBODY if doubtful or _NOBODY.search(line) else Clearer.UNTOLD


def _denied(line: str) -> bool:
    found = _DENIED.search(line)
    return found is not None and not (found[0].startswith("no ") and _IN_THE.search(line))


def not_yet(text: str) -> bool:
    """Whether a line says that the word is still to come, or was no."""
    return _NOT_YET.search(squeezed(text)) is not None


def visit_in(text: str, today: date) -> Visit | None:
    """When a line says it was; None where it names no time. "In March" is the last March that has begun."""
    days = read_days(text, today, past=True)
    line = squeezed(text)
    if days:
        return Visit(min(days), max(days))
    if (on := today if _TODAY.search(line) else today - DAY if _YESTERDAY.search(line) else None) is not None:
        return Visit(on, on)
    if month := _MONTH.search(line):
        return _whole_month(month, today)
    ago = _AGO.search(line)
    if ago and (many := _many(ago["many"])) is not None:
        unit = _DAYS[ago["unit"]]
        on = today - timedelta(days=min(many * unit, 36_600))
        return Visit(on - timedelta(days=unit // 2), min(today, on + timedelta(days=unit // 2)))
    if last := _LAST.search(line):
        if last["unit"] == "year":
            return Visit(date(today.year - 1, 1, 1), date(today.year - 1, 12, 31))
        end = today.replace(day=1) - timedelta(days=1)
        return Visit(end.replace(day=1), end)
    if year := _YEAR.search(line):
        first = date(int(year["year"]), 1, 1)
        return Visit(first, min(max(today, first), first.replace(month=12, day=31)))
    return None


def _many(word: str) -> int | None:
    """A number in digits or words; None where it is none."""
    return int(word) if re.fullmatch(r"\d{1,3}", word) else said_in_any("numbers").get(word, _MANY.get(word))


def _whole_month(found: re.Match[str], today: date) -> Visit:
    number = said_in_any("months")[found["month"]]
    year = int(found["year"]) if found["year"] else today.year - (number > today.month)
    first = date(year, number, 1)
    after = date(year + number // 12, number % 12 + 1, 1)
    last = after - timedelta(days=1)
    return Visit(first, min(last, today) if first <= today else last)
