"""The walk-run ladder: who begins on it, when its next step comes, and the kind of session on it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from nudgebot.domain.model import parameters as rules
from nudgebot.domain.model.runner import Book, Profile, Training, Walking
from nudgebot.domain.model.week import Session, SessionKind, WalkRun
from nudgebot.domain.planning import limits
from nudgebot.domain.planning.limits import steady_until

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
