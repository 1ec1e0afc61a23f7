"""What a runner says of days that are taken by a rule, read: "first Monday of the month I can't", "4 on 4 off".

Each idea is a row of word stems in the five languages of the project; the rule comes of the ideas a line holds. Without
a rule, or without a reason to close or limit days, a line is read as any other. First come the weekdays by name, and
which of them a line means as days of every week.
"""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import replace
from datetime import date, timedelta
from typing import Final, NamedTuple

from nudgebot.domain.model.repeat import Repeat
from nudgebot.domain.text.folding import squeezed
from nudgebot.domain.text.line.vocabulary import said_in_any
from nudgebot.domain.text.reply import read_days, read_pause
from nudgebot.domain.text.word_files import patterns

DAY_WORDS: Final = (
    ("monday", "montag", "lunes", "lundi", "segunda"),
    ("tuesday", "tues", "dienstag", "martes", "mardi", "terca"),
    ("wednesday", "weds", "mittwoch", "miercoles", "mercredi", "quarta"),
    ("thursday", "thurs", "donnerstag", "jueves", "jeudi", "quinta"),
    ("friday", "freitag", "viernes", "vendredi", "sexta"),
    ("saturday", "samstag", "sabado", "samedi"),
    ("sunday", "sonntag", "domingo", "dimanche"),
)
SHORT_NAMES: Final = ("mon", "tue", "wed", "thu", "thur", "fri", "sat", "sun")
_OF_ALL: Final = "|".join(sorted((*(n for names in DAY_WORDS for n in names), *SHORT_NAMES), key=len, reverse=True))
# A plural, or a day behind "every", "on", "am", "los", "le", "aos": in a line about every week it is that weekday.
_NAMED: Final = re.compile(rf"(?<![a-z])({_OF_ALL})(s|(?<=tag)en?|)(?![a-z])")
_WHOLE: Final = (
    (re.compile(r"\b(?:weekends?|wochenenden?|fines? de semana|week-?ends?|fins? de semana)\b"), (5, 6)),
    (re.compile(r"\b(?:weekdays|week days|work ?days|working days)\b"), (0, 1, 2, 3, 4)),
)
P = patterns("repeats")
PLACES: Final = ((1, P.first), (2, P.second), (3, P.third), (4, P.fourth), (-1, P.last))
CYCLE: Final = re.compile(r"\b(\d{1,2})(?: days?)? on,?(?: and)? (\d{1,2})(?: days?)? off\b")
_MONTH: Final = "|".join(sorted((*said_in_any("months"), "abr"), key=len, reverse=True))
_UNTIL: Final = r"(?:until|till?|til|up to|bis|hasta|jusqu'?(?:en|au|a)?|ate)(?: the)?"
_END_OF: Final = r"(?: (?:end of|ende|fin de|fin|fim de))?"
_FOR: Final = re.compile(
    r"\b(?:for|fur|por|pendant|durante|the next|next)?\s*(?:the next )?(\d{1,2}|a|an|one|two|three|four|five|six|"
    r"einen|zwei|drei|vier|sechs|un|una|dos|tres|cuatro|deux|trois|quatre|um|uma|dois|duas) "
    r"(weeks?|months?|wochen?|monate?n?|semanas?|mes(?:es)?|semaines?|mois)\b"
)
_LIMIT: Final = re.compile(
    r"\b(?:(?:at most|max(?:imum)?|only|just|no more than|up to|hochstens|nur|como mucho|maximo|au plus) )?(\d{1,3}) ?"
    r"(?:min(?:ute|uto)?s?|m)\b(?: (?:at most|max(?:imum)?|only|tops))?"
)
LONGEST: Final = 22  # words; a longer line tells a story
MOST_CYCLE: Final = 28  # days
DAYS_OF_A_RULE: Final = 10  # an end further off than this makes a weekday one of every week


def weekdays_in(line: str) -> tuple[int, ...]:
    """The weekdays (0 = Monday) that a folded line names, in order of the week."""
    found = {day for pattern, days in _WHOLE if pattern.search(line) for day in days}
    found |= {_number(name) for name, _ in _NAMED.findall(line)}
    return tuple(sorted(found))


def is_plural(line: str) -> bool:
    """Whether a weekday stands there as one of every week: "Sundays", "every Tuesday", "sonntags", "los domingos"."""
    plural = any(last for _, last in _NAMED.findall(line))
    every = re.search(
        rf"\b(?:every|each|jeden|immer|cada|todos los|los|chaque|tous les|aos|todos os)\b.*?(?:{_OF_ALL})"
        rf"|\ble (?:{_OF_ALL})\b(?! \d)",
        line,
    )
    return plural or every is not None or _WHOLE[1][0].search(line) is not None


def _number(name: str) -> int:
    for day, names in enumerate(DAY_WORDS):
        if name in names or any(each.startswith(name) for each in names[:1]):
            return day
    raise ValueError(name)


class Told(NamedTuple):
    """A rule that was told; `sure` is false where the line does not say how much the days hold."""

    repeat: Repeat
    sure: bool


def says_able(line: str) -> bool:
    """Whether a folded line says what somebody can do: then it is about running, not about messages."""
    return P.able.search(line) is not None


def repeat_in(text: str, today: date) -> Told | None:
    """The rule that a line tells of days that hold less; None if it tells of none."""
    line = squeezed(text.replace("’", "'"))
    if len(line.split()) > LONGEST or "?" in line:
        return None
    limit = _LIMIT.search(line)
    cannot, taken = P.cannot.search(line), P.taken.search(line)
    if not (cannot or taken or limit or CYCLE.search(line)):
        return None
    repeat = _rule(line, text, today)
    if repeat is None:
        return None
    minutes = int(limit[1]) if limit else 0
    why = taken[0].removeprefix("the ").removeprefix("my ").removeprefix("our ") if taken else ""
    sure = limit is not None or cannot is not None
    return Told(replace(repeat, minutes=minutes, why=why), sure)


def _rule(line: str, text: str, today: date) -> Repeat | None:
    """The days of a line as a rule, from the most special form to the plainest."""
    days = weekdays_in(line)
    start, end = _span(line, today)
    if (cycle := CYCLE.search(line)) is not None:
        on, of = int(cycle[1]), int(cycle[1]) + int(cycle[2])
        first = next(iter(read_days(text, today)), today)
        return Repeat(first, on=on, cycle=of, end=end) if 0 < on < of <= MOST_CYCLE else None
    place = next((nth for nth, idea in PLACES if idea.search(line)), 0)
    if days and place and not P.other.search(line) and (P.monthly.search(line) or P.every.search(line)):
        return Repeat(start, days, nth=place, end=end)
    if P.other.search(line):
        whole_week = not days and re.search(r"\b(?:weeks?|wochen?|semanas?|semaines?)\b", line)
        if days or whole_week:
            first = next(iter(Repeat(start, days).dates(start, 1)), start)
            return Repeat(first, days, weeks=2, end=end)
        return None
    if days and end is not None and (is_plural(line) or (end - today).days > DAYS_OF_A_RULE):
        return Repeat(start, days, end=end)
    return _stretch(line, text, today)


def _stretch(line: str, text: str, today: date) -> Repeat | None:
    """Days in a row that a shift or a holiday takes: "late shift next week", "school holidays 5 to 16 April"."""
    if P.taken.search(line) is None or P.cannot.search(line) is not None:
        return None
    named = read_pause(text, today) or read_days(text, today)
    coming = [day for day in named if day >= today]
    if len(coming) < 2 or (coming[-1] - coming[0]).days + 1 != len(coming):
        return None
    return Repeat(coming[0], end=coming[-1])


def days_but(text: str, today: date) -> tuple[date, ...]:
    """The days of "busy all next week except Wednesday"; none for any other line."""
    line = squeezed(text)
    found = P.all_but.search(line)
    if found is None or P.cannot.search(line) is None or not weekdays_in(found[1]):
        return ()
    kept = weekdays_in(found[1])
    return tuple(day for day in read_days(line[: found.start()], today) if day >= today and day.weekday() not in kept)


def swap_in(text: str) -> tuple[int, int] | None:
    """The weekday that is given up for good and the one that comes in its place; None for any other line."""
    line = squeezed(text)
    if P.permanent.search(line) is None:
        return None
    for idea, order in ((P.instead, -1), (P.becomes, 1)):
        for found in idea.finditer(line):
            left, right = weekdays_in(line[: found.start()]), weekdays_in(line[found.end() :])
            if len(left) == len(right) == 1 and left != right:
                return (left[0], right[0]) if order > 0 else (right[0], left[0])
    return None


def given_up(text: str) -> tuple[int, ...]:
    """The weekdays that are closed for good: "no Sundays from now on", "never on Mondays"; none for any other line."""
    line = squeezed(text)
    if P.cannot.search(line) is None or P.monthly.search(line) or P.other.search(line) or len(line.split()) > SHORT:
        return ()
    return weekdays_in(line) if P.permanent.search(line) or is_plural(line) else ()


SHORT: Final = 7  # words of a line that says nothing but which weekdays are out


def free_again(text: str) -> tuple[int, ...] | None:
    """The weekdays that are free again, none where a shift or a holiday is over; None for a line that says no such."""
    line = squeezed(text)
    if P.again.search(line) is None or P.permanent.search(line) or len(line.split()) > SHORT:
        return None
    days = weekdays_in(line)
    return days if days or P.taken.search(line) else None


def _span(line: str, today: date) -> tuple[date, date | None]:
    """From when to when a rule holds; no end where none is told."""
    if until := re.search(rf"\b{_UNTIL}{_END_OF} (?:(\d{{1,2}})(?:st|nd|rd|th|\.)? (?:of )?)?({_MONTH})\b", line):
        year, month = _coming(until[2], today)
        if until[1]:
            return today, date(year, month, min(int(until[1]), monthrange(year, month)[1]))
        whole = re.search(r"\b(?:end of|ende|fin de|fin|fim de)\b", until[0]) is not None
        return today, _last_of(year, month) if whole else date(year, month, 1) - timedelta(days=1)
    if within := re.search(rf"\b(?:in|during|all|im|en|durante|em) ({_MONTH})\b", line):
        year, month = _coming(within[1], today)
        return max(today, date(year, month, 1)), _last_of(year, month)
    if re.search(r"\b(?:this month|diesen monat|este mes|ce mois)\b", line):
        return today, _last_of(today.year, today.month)
    if re.search(r"\b(?:for|over|during) the (?:next|coming) month\b", line):  # from now on, not from the first on
        return today, _months_on(today, 1) - timedelta(days=1)
    if re.search(r"\b(?:next month|nachsten monat|(?:el )?mes que viene|proximo mes|mois prochain)\b", line):
        first = _last_of(today.year, today.month) + timedelta(days=1)
        return first, _last_of(first.year, first.month)
    if (length := _FOR.search(line)) is not None:
        count = {**said_in_any("numbers"), "a": 1, "an": 1}.get(length[1]) or int(length[1])
        if length[2].startswith(("m",)):
            return today, _months_on(today, count) - timedelta(days=1)
        return today, today + timedelta(days=7 * count - 1)
    if (until := re.search(rf"\b{_UNTIL}\b", line)) is not None:
        named = read_days(line[until.start() :], today)
        return today, named[-1] if named and named[-1] > today else None
    return today, None


def _coming(name: str, today: date) -> tuple[int, int]:
    """The year and the month of the next month of a name, this one included."""
    month = {**said_in_any("months"), "abr": 4}[name]
    return today.year + (month < today.month), month


def _last_of(year: int, month: int) -> date:
    return date(year, month, monthrange(year, month)[1])


def _months_on(day: date, count: int) -> date:
    year, month = divmod(day.year * 12 + day.month - 1 + count, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
