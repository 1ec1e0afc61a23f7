"""The group on one screen: who needs a word first, and beside each name the one fact that says why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Final

from nudgebot.domain.messages.common import DAY_NAMES, count_of, short_day, sums
from nudgebot.domain.messages.plan.progress import day_and_month
from nudgebot.domain.overview.group import Sight, State
from nudgebot.domain.overview.group_report import SheetRow

HEADINGS: Final = {
    State.SILENT: "Silent",
    State.PAUSING: "Pausing",
    State.GAP_OPEN: "Gap open",
    State.GAP_TONIGHT: "Gap opens tonight",
    State.MORE: "More than planned",
    State.BACK: "Back from a break",
    State.JOINING: "Not through the questions yet",
    State.TODAY: "Session today",
    State.IN_RHYTHM: "In rhythm",
}
# What a coach may call them in "/tell silent: …", beside the words of the headings.
STATE_WORDS: Final[Mapping[str, frozenset[State]]] = {
    **{heading.casefold(): frozenset({state}) for state, heading in HEADINGS.items()},
    "gap": frozenset({State.GAP_OPEN, State.GAP_TONIGHT}),
    "more": frozenset({State.MORE}),
    "back": frozenset({State.BACK}),
    "joining": frozenset({State.JOINING}),
    "today": frozenset({State.TODAY}),
    "rhythm": frozenset({State.IN_RHYTHM}),
}


def roster(seen: Sequence[Sight], labels: Mapping[int, str], today: date, title: str = "") -> str:
    """The group on one phone screen: a line a state, those who need a word first; `title` is which of several."""
    lines = [", ".join(filter(None, (title, short_day(today), count_of(len(seen), "runner"))))]
    for state in State:
        named = [f"{labels[s.member.id]} {fact(s, today)}".rstrip() for s in seen if s.state is state]
        if named:
            lines.append(f"{HEADINGS[state]}: {', '.join(named)}")
    return "\n".join(lines)


def fact(seen: Sight | SheetRow, today: date) -> str:
    """The fact beside a name: days of silence or pausing, minutes of the target, or the last day with activity.

    Of whoever runs in a pause also the last run: nothing is planned for them, and perhaps a word helps.
    """
    if seen.target:
        return sums(seen.done, seen.target)
    last = "" if seen.last is None else _short(seen.last, today)
    if not seen.days:
        return last
    why = f" ({seen.why})" if seen.why else ""
    ran = f", ran {last}" if last and seen.state is State.PAUSING else ""
    return f"{seen.days} d{why}{ran}"


def _short(day: date, today: date) -> str:
    return DAY_NAMES[day.weekday()][:3] if (today - day).days < 7 else day_and_month(day)
