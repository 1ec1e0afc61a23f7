"""Who needs a word, and why: the order of the roster, and the one fact beside each name."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from nudgebot.domain.messages.group import coach as pages
from nudgebot.domain.messages.group.roster import fact
from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.runner import DayLimit, LimitReason, OnHold, Pause, Walking
from nudgebot.domain.model.week import Return, Session, WeekKind
from nudgebot.domain.overview.group import Group, Member, Share, State, roster, sight
from tests.domain.overview.test_group import DAY, JOINED, KIM, member, on

MONDAY = date(2027, 1, 4)


def beside(who: Member, day: int) -> str:
    return fact(sight(who, on(day)), MONDAY + day * DAY)


def closed(first: int, last: int, reason: LimitReason = LimitReason.AWAY) -> tuple[DayLimit, ...]:
    return tuple(DayLimit(MONDAY + n * DAY, 0, reason) for n in range(first, last + 1))


def planned(who: Member, *days: int) -> Member:
    return replace(who, book=replace(who.book, plan=tuple(Session(MONDAY + n * DAY, 20) for n in days)))


def test_a_session_planned_today_is_no_gap() -> None:
    ran = member(runs=(0,))
    assert sight(planned(ran), on(4)).state is State.GAP_OPEN
    assert sight(planned(ran, 4), on(4)).state is State.TODAY
    assert sight(planned(ran, 5), on(4)).state is State.GAP_OPEN
    assert sight(planned(ran, 3), on(3)).state is State.IN_RHYTHM
    called_off = planned(member(runs=(0,), limits=closed(4, 4, LimitReason.SKIP)), 4)
    assert sight(called_off, on(4)).state is State.GAP_OPEN


@pytest.mark.parametrize("back_for", [1, 3, 6])
def test_an_announced_absence_is_no_silence_and_the_days_after_it_are(back_for: int) -> None:
    away = member(runs=(0,), limits=closed(1, 14))
    assert sight(away, on(14)).state is State.PAUSING
    assert sight(away, on(14 + back_for)).state is not State.SILENT
    assert sight(away, on(14 + 7)).state is State.SILENT
    assert beside(away, 14 + 7) == "7 d"
    held = member(runs=(0,), pauses=(Pause(MONDAY, MONDAY + 14 * DAY),))
    assert sight(held, on(14 + back_for)).state is not State.SILENT


@pytest.mark.parametrize(("minutes", "state"), [(80, State.IN_RHYTHM), (97, State.IN_RHYTHM), (98, State.MORE)])
def test_more_than_planned_is_from_130_percent_on_and_says_how_much(minutes: int, state: State) -> None:
    ran = member(runs=(0,))
    week = replace(ran.book.weeks[-1], target=75)
    log = (LogEntry("a", MONDAY, minutes),)
    over = replace(ran, book=replace(ran.book, weeks=(week,), log=log))
    assert sight(over, on(1)).state is state
    if state is State.MORE:
        assert beside(over, 1) == f"{minutes} min (75 planned)"
        # It is still told through the week after, on whose Monday a digest finds a new week with nothing in it.
        runs = member(runs=(6,))
        later = replace(over.book, runner=runs.book.runner, log=(*log, *runs.book.log))
        assert sight(Member(later), on(7)).state is State.MORE


def test_a_little_over_a_small_week_is_not_worth_a_word() -> None:
    ran = member(runs=(0,))
    book = replace(ran.book, weeks=(replace(ran.book.weeks[-1], target=20),), log=(LogEntry("a", MONDAY, 35),))
    assert sight(replace(ran, book=book), on(1)).state is State.IN_RHYTHM


def test_back_from_a_break_is_the_same_word_whatever_the_break_was() -> None:
    back = Return(MONDAY + 1 * DAY, 14, 80, 35, 90)
    plain = member(runs=(0, 1, 2), returning=back)
    assert sight(plain, on(2)).state is State.BACK
    assert beside(plain, 2) == "Wed"
    ill = member(runs=(0, 1, 2), returning=back, limits=closed(0, 0, LimitReason.ILL))
    assert (sight(ill, on(2)).state, beside(ill, 2)) == (State.BACK, "Wed")


def test_the_days_of_a_pause_are_counted_and_today_is_one_of_them() -> None:
    hold = OnHold(JOINED, "urgent", "calf", "said")
    assert beside(member(standing=hold), 8) == "9 d"
    assert beside(member(limits=closed(2, 9)), 8) == "7 d"
    shared = replace(member(limits=closed(2, 9)), shares=frozenset({Share.PAUSE}))
    assert beside(shared, 8) == "7 d (away)"


def test_the_last_day_is_a_weekday_while_it_can_be_no_other_weeks() -> None:
    ran = member(runs=(0,), heard=9)
    assert beside(planned(ran), 5) == "Mon"
    assert beside(planned(ran), 9) == "4 Jan"


def test_the_order_is_silence_pauses_gaps_more_than_planned_breaks_and_then_the_rhythm() -> None:
    people = {
        "rhythm": member("R", 2, runs=(0, 7, 8)),
        "gap": planned(member("G", 3, runs=(0,), heard=8)),
        "silent": member("S", 4, runs=(0,)),
        "pausing": member("P", 5, standing=OnHold(JOINED, "urgent", "calf", "said")),
        "back": member("B", 6, runs=(0, 7, 8), returning=Return(MONDAY + 7 * DAY, 14, 80, 35, 90)),
    }
    seen = roster(Group(1, KIM, members=tuple(people.values())), on(8))
    assert [each.member.name for each in seen] == ["S", "P", "G", "B", "R"]
    assert list(State)[:6] == [State.SILENT, State.PAUSING, State.GAP_OPEN, State.GAP_TONIGHT, State.MORE, State.BACK]


def test_walking_until_cleared_reads_as_any_other_weeks_on_every_page_of_the_coach() -> None:
    """What a clinician has yet to clear is the runner's own: neither a target nor a state gives it away."""
    for runs in ((), (0,), (0, 2, 4)):
        usual = member(runs=runs)
        walks = replace(
            usual.book,
            standing=Walking(JOINED, "screening"),
            weeks=tuple(replace(week, kind=WeekKind.WALKING, target=90) for week in usual.book.weeks),
        )
        many = tuple(replace(entry, minutes=60) for entry in walks.log)
        for book in (walks, replace(walks, log=many)):
            seen = sight(Member(book), on(5))
            assert seen.state is sight(Member(replace(usual.book, log=book.log, weeks=())), on(5)).state
            page = pages.runner_page(Member(book), "Ana", on(5))
            assert "90" not in page
            assert " of " not in page
            assert "walk" not in page.casefold()


def test_runs_are_listed_by_day_the_newest_first() -> None:
    text = pages.runner_page(member(runs=(0, 2, 5)), "Ana", on(6))
    assert "Runs by day (min): Sat 9 Jan 20, Wed 6 Jan 20, Mon 4 Jan 20" in text
    assert timedelta(days=pages.DAYS_SHOWN) == timedelta(weeks=4)
