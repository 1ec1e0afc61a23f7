"""The ways back: after days without a run by the table or on the walk-run ladder, after an illness by the wait left.

The ladder is also where a runner begins who has run little: who does, when its next step comes, and its sessions.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from enum import StrEnum

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.parameters import COVID_FREE, COVID_WALKS, FEVER_WAIT, ILL_WAIT, RETURN_UP_TO, UPSET_WAIT
from nudgebot.domain.model.runner import Book, Ill, Profile, Training, Walking
from nudgebot.domain.model.week import Return, Session, SessionKind, WalkRun, WeekKind, floor5
from nudgebot.domain.planning import limits
from nudgebot.domain.planning.limits import steady_until
from nudgebot.domain.planning.season import CALM, LIGHT, first_week, last_long

LAST_STEP = 7  # running without a break
# Minutes of running and of walking in one round of each step; a session repeats the round.
STEPS: tuple[tuple[int, int], ...] = ((0, 30), (1, 4), (2, 3), (3, 2), (4, 1), (8, 2), (13, 2), (30, 0))


def starts_on_walk_run(profile: Profile) -> bool:
    """Stated weekly minutes under 30, or screened inactive."""
    return profile.weekly < rules.WALK_RUN_UNDER.value or not profile.active


def climb(book: Book, today: date) -> Book:
    """The book with its place on the walk-run ladder as the log before `today` says; off it after the last step.

    Walking after an illness ends on its day.
    Two clean sessions lead one step up: effort 4 or less, pain 2 or less, the next morning too. A session
    without a word about effort or pain is clean. A runner screened inactive walks for two weeks first.
    """
    place = book.walk_run
    if place is None:
        return book
    if place.walk_until is not None:  # walking after an illness; the days without a run then say what comes
        return replace(book, walk_run=None) if place.walk_until <= today else book
    for _ in range(LAST_STEP + 1):
        clean = [day for day in sorted(limits.running_days(book, place.since)) if day < today and _clean(book, day)]
        if len(clean) < rules.WALK_RUN_CLEAN.value:
            return replace(book, walk_run=replace(place, clean=len(clean)))
        on = clean[rules.WALK_RUN_CLEAN.value - 1] + timedelta(days=1)
        if place.step == 0 and not book.profile.active:
            walked = place.since + timedelta(days=rules.WALK_RUN_WALKS.value)
            if walked > today:
                return replace(book, walk_run=replace(place, clean=len(clean)))
            on = max(on, walked)
        on = max(on, steady_until(book))
        if on > today:
            return replace(book, walk_run=replace(place, clean=len(clean)))
        if place.step == LAST_STEP:
            return replace(book, walk_run=None)
        place = WalkRun(place.step + 1, 0, on)
    return replace(book, walk_run=place)


def labelled(book: Book, session: Session) -> Session:
    """The session with the kind that the runner's place on the walk-run ladder gives it."""
    if isinstance(book.standing, Walking) or session.kind in {SessionKind.EASY, SessionKind.LONG}:
        return session
    if book.walk_run is None:
        return replace(session, kind=SessionKind.EASY)
    return replace(session, kind=SessionKind.WALK_RUN if book.walk_run.step else SessionKind.WALK)


def too_hard(book: Book, today: date) -> bool:
    """Whether the last three runs before `today` were all over easy effort."""
    runs = [entry for entry in book.log if entry.is_run and entry.day < today and not entry.hard]
    last = runs[-rules.HARD_RUNS.value :]
    return len(last) == rules.HARD_RUNS.value and all((run.effort or 0) > rules.EASY_EFFORT.value for run in last)


def step_down(book: Book, today: date) -> Book:
    """The book on walk-run where the last three runs were not easy."""
    if book.walk_run is not None or not isinstance(book.standing, Training) or not too_hard(book, today):
        return book
    return replace(book, walk_run=WalkRun(rules.WALK_RUN_ENTRY.value, 0, today))


def _clean(book: Book, day: date) -> bool:
    efforts = [entry.effort or 0 for entry in book.log if entry.day == day and entry.counts]
    pains = [note.score or 0 for note in book.symptoms if note.day in {day, day + timedelta(days=1)}]
    return max(efforts, default=0) <= rules.EASY_EFFORT.value and max(pains, default=0) <= rules.CLEAN_PAIN.value


def coming_back(book: Book, today: date) -> Book:
    """The book with the return, or the place on the walk-run ladder, that it has come to on `today`, or without one.

    A break that is still open counts as ending today; the return of a break that ended begins with the first
    run after it. A return that has run out stays in the book until the next week is laid out.
    """
    book = climb(book, today)
    if not isinstance(book.standing, Training):
        return book
    off = limits.days_off(book, today)
    if off > RETURN_UP_TO.value:
        place = book.walk_run
        # A restart that nothing was done on yet stands; sessions from before the break count for no step.
        fresh = place is not None and place.step == 0 and not limits.running_days(book, place.since)
        return replace(book, returning=None, walk_run=place if fresh else WalkRun(0, 0, today))
    last = next(iter(reversed(limits.breaks(book, today))), None)
    if last is not None and last.days <= RETURN_UP_TO.value and last.back + timedelta(days=last.days) > today:
        return replace(book, returning=_return_from(book, last))
    if book.returning is not None and book.returning.end >= today:
        return replace(book, returning=None)  # a late log closed the break that it was for
    return book


def _return_from(book: Book, pause: limits.Break) -> Return:
    held = book.returning
    if held is not None:
        return replace(held, since=pause.back, days=pause.days)
    old_week = floor5(limits.mean_before(limits.as_planned(book), pause.first))
    # A week that the break took whole was never run: it is no old week.
    ran = [week for week in book.weeks if week.kind not in CALM and week.start < pause.first]
    if not ran:
        first = first_week(book.profile)
        return Return(pause.back, pause.days, old_week, first.long_run, first.full)
    full = next((week for week in reversed(ran) if week.kind not in LIGHT), ran[-1])
    return Return(pause.back, pause.days, old_week, last_long(ran), full.base)


def old_longest(book: Book) -> int:
    """The longest session (min) of the ordinary week before the return; 0 if there is none to go by."""
    if book.returning is None:
        return 0
    first = book.returning.since - timedelta(days=book.returning.days)
    ran = [w for w in book.weeks if w.kind not in CALM and w.kind is not WeekKind.LIGHTER and w.start < first]
    return max((week.longest for week in ran[-2:]), default=0)


class Wait(StrEnum):
    """What the wait after an illness is counted from."""

    FEVER = "fever"  # the last fever, without fever medicine
    UPSET = "upset"  # the last vomiting or diarrhoea
    COVID = "covid"  # the last symptom of any kind
    ILL = "ill"  # the last word of being ill


def days_of_wait(wait: Wait) -> int:
    """Days from the last day that counts to the first on which a run may be planned.

    Seven whole days free of symptoms end on the eighth day after the last one with any.
    """
    match wait:
        case Wait.FEVER:
            return FEVER_WAIT.value
        case Wait.UPSET:
            return UPSET_WAIT.value
        case Wait.COVID:
            return COVID_FREE.value + 1
        case Wait.ILL:
            return ILL_WAIT.value


def wait_of(ill: Ill) -> tuple[Wait, date]:
    """The wait that ends last, and the last day that counts for it."""
    told: list[tuple[Wait, date]] = []
    if ill.last_fever is not None:
        told.append((Wait.FEVER, ill.last_fever))
    if ill.last_upset is not None:
        told.append((Wait.UPSET, ill.last_upset))
    if ill.covid:
        told.append((Wait.COVID, ill.last_ill or ill.since))
    if not told:
        told.append((Wait.ILL, ill.last_ill or ill.since))
    return max(told, key=lambda each: first_run_day(*each))


def first_run_day(wait: Wait, last: date) -> date:
    """The first day on which a run may be planned, `last` being the last day that counts."""
    return last + timedelta(days=days_of_wait(wait))


def walks_until(first: date) -> date:
    """The day on which the walking after covid below the neck ends, begun on `first`."""
    return first + timedelta(days=COVID_WALKS.value)
