"""The journal of changes: what a line did to the book is noted, and can be taken back, whatever kind of thing it was.

There is no inverse for each kind of change. The book before a line is compared with the book after it; taking back
puts the values of before in place of those of after. What came later stays: where a later line gave a date other
values, only what this line added is removed. The newest change is taken back to the plan as it would be had the line
not been said; after an older one the days left are planned again.

A hold is in no journal, nor is anything that a line did beside it but its runs; nor is the end of an illness.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any, Final

from nudgebot.domain.dialogue import remembered_readings
from nudgebot.domain.dialogue.values import Answer, Heard, rank_of, regrow, replan, with_intake
from nudgebot.domain.model import intake
from nudgebot.domain.model.actions import Undo
from nudgebot.domain.model.intake import Intake
from nudgebot.domain.model.journal import Change, Part, date_of, parts_of, written
from nudgebot.domain.model.parameters import CHANGES_KEPT
from nudgebot.domain.model.questions import Asked
from nudgebot.domain.model.runner import Book, DayLimit, Ill, Joining, LimitReason, Training, Walking
from nudgebot.domain.model.speech import ANSWER, QUESTION, Button
from nudgebot.domain.planning import planner
from nudgebot.domain.planning.planner import Replanned
from nudgebot.domain.profile import intake_codec
from nudgebot.domain.text.triage import Level

# What no line is taken back in: who it is, what was sent, what is being asked, and the journal itself.
APART: Final = frozenset({"runner", "profile", "nudges", "asked", "safety_question", "changes", "readings", "teaches"})
_NOTED: Final = tuple(each.name for each in fields(Book) if each.name not in APART)
BESIDE: Final = frozenset({"recordings"})  # kept beside a log entry: alone it is nothing to take back
PLANNED: Final = frozenset({"plan", "weeks", "returning", "walk_run", "half_runs"})  # what follows from the rest
# Answers behind which an age, a clinician's word, an emergency or the coach stands; nor is a told condition.
NOT_TAKEN_BACK: Final = frozenset(
    {
        "adult",
        "age_open",
        "cleared",
        "steady_until",
        "coach_runs",
        "runs",
        *(row.field for row in intake.COACH_SETTINGS),
    }
)


@dataclass(frozen=True, slots=True)
class TakenBack:
    """The book without a change; `replanned` is what was planned again after an older one, None after the newest."""

    book: Book
    replanned: Replanned | None


def note_change(before: Book, after: Book, heard: Heard, *, restores: bool = False) -> Book:
    """The book `after` a line, with what the line changed since `before` in its journal."""
    if isinstance(before.standing, Joining) and not isinstance(after.standing, Joining):
        return replace(after, changes=())  # the answers to the intake are changed as settings from now on
    if isinstance(before.standing, Ill) and not isinstance(after.standing, Ill):
        # What the pause was is kept no longer than it lasts.
        over = tuple(change for change in after.changes if not any(lost_and_gained(change, "standing")))
        after = replace(after, changes=over) if len(over) < len(after.changes) else after
    parts = _parts(before, after)
    if not parts:
        return after
    if before.asked is not None:
        parts = (*parts, Part("asked", before.asked, None))
    change = Change(heard.key, heard.at, written(parts), restores)
    kept = tuple(each for each in after.changes if each.key != heard.key)
    return replace(after, changes=(*kept, change)[-CHANGES_KEPT.value :])


def change_of(book: Book, key: str) -> Change | None:
    """What the line of that key changed; None if it is in the journal no longer."""
    return next((change for change in book.changes if change.key == key), None)


def question_before(change: Change) -> Asked | None:
    """The question that the line of the change answered."""
    return next((part.before for part in parts_of(change, Book) or () if part.field == "asked"), None)


def lost_and_gained(change: Change | None, name: str) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """What the field of that name lost and gained by the change, where it is known."""
    parts = () if change is None else parts_of(change, Book) or ()
    part = next((part for part in parts if part.field == name), None)
    if part is None:
        return (), ()
    before, after = (value if isinstance(value, tuple) else (value,) for value in (part.before, part.after))
    return tuple(v for v in before if v not in after), tuple(v for v in after if v not in before)


def take_out(book: Book, change: Change, heard: Heard) -> TakenBack:
    """The book as though the line of the change had not been said."""
    parts = parts_of(change, Book) or ()
    last = bool(book.changes) and book.changes[-1] == change
    back = replace(
        book,
        changes=tuple(each for each in book.changes if each != change),
        asked=None,
        readings=tuple(each for each in book.readings if each.key != change.key),  # pressed by mistake
    )
    plain = [part for part in parts if part.field not in APART | PLANNED | {"intake"}]
    back = replace(back, **{part.field: _restore(back, part, force=last) for part in plain})
    if isinstance(back.standing, Training | Walking):
        planned = [part for part in parts if part.field in PLANNED]
        back = replace(back, **{part.field: _restore(back, part, force=last) for part in planned})
    told = next((part for part in parts if part.field == "intake"), None)
    if told is not None:
        answers = _restore_answers(book, told)
        back = with_intake(back, answers)
    today = book.today(heard.now)
    if not isinstance(back.standing, Training | Walking):
        return TakenBack(planner.pause(back, today) if back.weeks else back, None)
    if last:
        return TakenBack(planner.roll(back, today), None)
    back = planner.relay(back, today) if told is not None else planner.roll(regrow(back, today), today)
    return TakenBack(*replan(back, heard))


def _parts(before: Book, after: Book) -> tuple[Part, ...]:
    names = ("log",) if _is_grave(before, after) else _NOTED
    parts: list[Part] = []
    for name in names:
        old, new = getattr(before, name), getattr(after, name)
        if old is new or old == new:
            continue
        if name == "intake":
            old, new = _changed_answers(old, new)
        elif isinstance(old, tuple) and name not in PLANNED:
            old, new = _of_dates(old, new)
        if old != new:
            parts.append(Part(name, old, new))
    if all(part.field in BESIDE for part in parts):
        return ()
    return tuple(parts) if names is not _NOTED else _with_all_that_is_planned(parts, before, after)


def _with_all_that_is_planned(parts: list[Part], before: Book, after: Book) -> tuple[Part, ...]:
    """The parts with the plan from the last week on, changed or not: the passing of days alone may change it later."""
    kept = [part for part in parts if part.field not in PLANNED]
    for name in sorted(PLANNED):
        old, new = getattr(before, name), getattr(after, name)
        if isinstance(old, tuple):
            first = min([before.weeks[-1].start if before.weeks else date.min, *map(date_of, _of_dates(old, new)[0])])
            old, new = (tuple(value for value in values if date_of(value) >= first) for values in (old, new))
        kept.append(Part(name, old, new))
    return tuple(kept)


def _is_grave(before: Book, after: Book) -> bool:
    """Whether a line told of something, or ended something, that no `undo` may touch."""
    if type(before.standing) is not type(after.standing):
        became_ill = isinstance(before.standing, Training | Walking) and isinstance(after.standing, Ill)
        if not became_ill:
            return True
    elif not isinstance(before.standing, Joining | Training | Walking | Ill) or (
        isinstance(before.standing, Walking) and before.standing != after.standing
    ):
        return True
    new = [note for note in after.symptoms if note not in before.symptoms]
    was, now = _ill_days(before), _ill_days(after)
    if (was - now or (now - was and not new)) and not isinstance(after.standing, Ill):
        return True  # days off for an illness end by their own ways; a day off for a cold may be taken back at once
    return any(rank_of(note.level) >= Level.CLINICIAN.rank for note in new)


def _ill_days(book: Book) -> set[DayLimit]:
    return {limit for limit in book.limits if limit.reason is LimitReason.ILL}


def _changed_answers(before: Intake, after: Intake) -> tuple[tuple[tuple[str, str], ...], ...]:
    """The answers of the intake that differ."""
    old, new = intake_codec.differing_rows(before, after)
    differ = {key for key in old.keys() | new.keys() if old.get(key) != new.get(key)} - NOT_TAKEN_BACK
    keys = sorted(key for key in differ if not key.startswith(intake_codec.TOLD))
    return tuple(tuple((key, rows[key]) for key in keys if key in rows) for rows in (old, new))


def _of_dates(before: tuple[Any, ...], after: tuple[Any, ...]) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """The values of those dates that differ."""
    old, new = _by_date(before), _by_date(after)
    differ = {when for when in old.keys() | new.keys() if old.get(when) != new.get(when)}
    return tuple(v for v in before if date_of(v) in differ), tuple(v for v in after if date_of(v) in differ)


def _by_date(values: tuple[Any, ...]) -> dict[Any, list[Any]]:
    dates: defaultdict[Any, list[Any]] = defaultdict(list)
    for value in values:
        dates[date_of(value)].append(value)
    return dates


def _restore(book: Book, part: Part, *, force: bool) -> Any:
    """The field's value without the change; `force` where nothing but the passing of days came after it."""
    now = getattr(book, part.field)
    if not isinstance(now, tuple):
        # A hold that came later stands; so does anything else that a later line put there.
        same = type(now) is type(part.after) if part.field == "standing" else force
        return part.before if now == part.after or same else now
    if part.field == "log" and any(entry not in now for entry in part.after if entry not in part.before):
        return now  # the run was corrected or taken back since
    before, after, dates = _by_date(part.before), _by_date(part.after), _by_date(now)
    if force and part.field in PLANNED:
        first = min([*before, *after], default=None)
        return (*(value for value in now if first is None or date_of(value) < first), *part.before)
    for when in before.keys() | after.keys():
        was, became, have = before.get(when, []), after.get(when, []), dates.get(when, [])
        if have == became:
            dates[when] = was
        elif all(value in have for value in became if value not in was):
            lost = [value for value in was if value not in became]
            dates[when] = [value for value in have if value in was or value not in became] + lost
    return tuple(value for when in sorted(dates) for value in dates[when])


def _restore_answers(book: Book, part: Part) -> Intake:
    """The intake without the change; an answer that was changed again since stays."""
    rows = intake_codec.as_rows(book.intake)
    was, became = dict(part.before), dict(part.after)
    for key in was.keys() | became.keys():
        if rows.get(key) == became.get(key):
            rows.pop(key, None)
            rows |= {key: was[key]} if key in was else {}
    return intake_codec.from_rows(rows)


def keep_change(before: Book, answer: Answer, heard: Heard) -> Answer:
    """The answer with what the line changed in the journal, and the button that takes it back."""
    if answer.erase or answer.book.changes is not before.changes:
        return answer  # a taking back keeps the journal itself
    heard = replace(heard, key=remembered_readings.message_of(before, answer.book) or heard.key)
    after = note_change(before, answer.book, heard)
    change = change_of(after, heard.key)
    is_run = answer.book.log != before.log  # told so from the books, since reading a change back takes longer
    if change is None or isinstance(after.standing, Joining) or (not is_run and _is_health(change)):
        return replace(answer, book=after)
    undo = Button("Undo", Undo(heard.key))
    says = list(answer.says)
    answers = [n for n, each in enumerate(says) if each.kind == ANSWER]
    place = next(iter(answers or [n for n, each in enumerate(says) if each.kind == QUESTION]), None)
    if place is not None and not any(isinstance(each.action, Undo) for one in says for each in one.buttons):
        says[place] = replace(says[place], buttons=(*says[place].buttons, undo))
    return Answer(after, tuple(says))


def count_runs(before: Book, answer: Answer) -> Answer:
    """The answer with the runs counted that a line added to the log of `before`, less those that it took back."""
    after, told = answer.book, answer.book.intake
    more = sum(entry.is_run for entry in after.log) - sum(entry.is_run for entry in before.log)
    if not more or isinstance(after.standing, Joining):
        return answer
    return replace(answer, book=replace(after, intake=replace(told, runs=max(0, (told.runs or 0) + more))))


def _is_health(change: Change) -> bool:
    """Whether it is about how the runner feels and no run: its words can be taken back, but no button invites to."""
    if any(lost_and_gained(change, "log")):
        return False
    lost, gained = lost_and_gained(change, "limits")
    pain = any(each.reason is LimitReason.PAIN for each in (*lost, *gained))
    return pain or any(any(lost_and_gained(change, name)) for name in ("standing", "symptoms"))


def forget_first_version(book: Book, heard: Heard) -> tuple[Book, bool]:
    """The book without what the first version of an edited message did, and whether it did anything.

    The question that the first version answered is open again. An illness stays: it ends in its own way.
    """
    change = change_of(book, heard.key)
    if change is not None and not any(lost_and_gained(change, "standing")):
        asked = question_before(change)
        return replace(take_out(book, change, heard).book, asked=asked, readings=book.readings), True
    entries = tuple(entry for entry in book.log if entry.key != heard.key)
    return replace(book, log=entries), len(entries) < len(book.log)
