""" "This week only Wednesday and Saturday": what such a line closes is every other day of that week."""

from __future__ import annotations

from datetime import date, timedelta

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.log_lines.amounts import amounts
from nudgebot.domain.text.log_lines.dates import WEEK_DAYS, Named
from nudgebot.domain.text.log_lines.days import single_days
from nudgebot.domain.text.word_files import words

W = words("days")


def closed_by_only(line: ParsedLine, today: date, *, in_a_week: bool = False) -> tuple[date, ...]:
    """The days from `today` on that a line closes by naming the only ones that are open; () if it does not.

    Of the week that is named beside them, else of the week of the first of them. Not where anything is denied ("only
    Monday I can't"), asked, or told in minutes ("only 20 on Friday"). With `in_a_week` the line has to name the week,
    and not as the first of many ("from next week").
    """
    only = W.only | W.only_in_portuguese if line.language == "pt" else W.only
    if only.isdisjoint(line.texts) or "?" in line.texts or Cue.CANNOT in line.said:
        return ()
    if any(line.denies(place) for place in line.words):
        return ()
    told = amounts(line)
    if told:
        return ()
    named = single_days(line, told, today)
    open_days = {day for one in _the_only_ones(line, named, only) for day in one.coming}
    if not open_days:
        return ()
    a_week = next((one for one in named if one.week), None)
    if in_a_week and (a_week is None or line.text(_before(line, a_week.first)) in W.first_of_many):
        return ()
    if a_week is not None:
        week = a_week.coming
    else:
        first = min(open_days)
        monday = first - timedelta(days=first.weekday())
        week = tuple(monday + timedelta(days=n) for n in range(WEEK_DAYS))
    weekdays = {day.weekday() for day in open_days}
    return tuple(day for day in week if day >= today and day.weekday() not in weekdays)


def _the_only_ones(line: ParsedLine, named: list[Named], only: frozenset[str]) -> list[Named]:
    """The days that "only" stands before, or behind with nothing else after it ("today only tea" is none)."""
    found: list[Named] = []
    group: list[Named] = []
    for one in (each for each in named if not each.week and len(each.coming) <= 2):
        before = _before(line, one.first)
        if group and before + 1 <= group[-1].last:
            group.append(one)
        else:
            group = [one]
        behind = line.text(one.last) in only and (
            one.last + 1 >= len(line.texts) or line.texts[one.last + 1] in W.after_only
        )
        if line.text(_before(line, group[0].first)) in only or behind:
            found += group
    return found


def _before(line: ParsedLine, place: int) -> int:
    """The last place before `place` whose word is more than one that joins."""
    place -= 1
    while place >= 0 and line.texts[place] in W.between:
        place -= 1
    return place
