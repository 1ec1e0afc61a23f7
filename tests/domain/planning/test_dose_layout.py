"""The dose by goal, and run days from open days."""

from __future__ import annotations

from itertools import product

import pytest

from nudgebot.domain.model.intake import Goal
from nudgebot.domain.model.parameters import REST_GAP, RULES
from nudgebot.domain.model.runner import Profile
from nudgebot.domain.planning import dose
from nudgebot.domain.planning.dose import lengths, longest_gap, run_days, split

ANY = (60,) * 7
MON, TUE, WED, THU, FRI, SAT, SUN = range(7)

# Check values of the trade: common practice, no source.
TOPS = [
    (Goal.HEALTH, 90, 3, (30, 30, 30)),
    (Goal.HEALTH, 120, 4, (30, 30, 30, 30)),
    (Goal.FAT_LOSS, 150, 3, (90, 30, 30)),
    (Goal.ENDURANCE, 180, 3, (90, 45, 45)),
    (Goal.MAINTAIN, 60, 3, (20, 20, 20)),
    (Goal.MAINTAIN, 90, 3, (30, 30, 30)),
]


@pytest.mark.parametrize(("goal", "minutes", "count", "shape"), TOPS)
def test_each_goal_has_its_shape_at_the_top_of_its_dose(
    goal: Goal, minutes: int, count: int, shape: tuple[int, ...]
) -> None:
    profile = Profile(goal=goal)
    assert dose.sessions_for(profile, minutes, 7) == count
    assert lengths(minutes, count, dose.long_run_length(profile)) == shape
    assert minutes in range(dose.band(profile)[0], dose.band(profile)[1] + 1)


def test_a_fat_loss_week_at_the_foot_of_the_dose_is_30_30_60() -> None:
    assert lengths(120, 3, 60) == (60, 30, 30)


@pytest.mark.parametrize(
    ("goal", "band"),
    [(Goal.HEALTH, (90, 120)), (Goal.FAT_LOSS, (120, 150)), (Goal.ENDURANCE, (150, 180)), (Goal.MAINTAIN, (60, 90))],
)
def test_the_dose_table(goal: Goal, band: tuple[int, int]) -> None:
    assert dose.band(Profile(goal=goal)) == band


@pytest.mark.parametrize(("set_to", "dose_is"), [(0, 60), (60, 60), (123, 120), (300, 300), (900, 300)])
def test_a_custom_dose_lies_between_60_and_300(set_to: int, dose_is: int) -> None:
    assert dose.band(Profile(goal=Goal.CUSTOM, custom_minutes=set_to)) == (dose_is, dose_is)


@pytest.mark.parametrize(("run_days_in_a_row", "most"), [(2, 4), (3, 5), (6, 6)])
def test_five_or_six_sessions_need_the_coach(run_days_in_a_row: int, most: int) -> None:
    profile = Profile(goal=Goal.CUSTOM, custom_minutes=300, coach_run_days=run_days_in_a_row)
    assert dose.sessions(profile) == (3, most)


@pytest.mark.parametrize("minutes", range(60, 301, 5))
def test_a_custom_long_run_is_at_most_half_of_the_week(minutes: int) -> None:
    profile = Profile(goal=Goal.CUSTOM, custom_minutes=minutes)
    assert 20 <= dose.long_run_length(profile) <= minutes / 2


@pytest.mark.parametrize(("minutes", "count"), list(product(range(60, 301, 5), (3, 4, 5, 6))))
def test_sessions_other_than_the_long_run_are_equal_within_5_minutes(minutes: int, count: int) -> None:
    for long_run in (0, 20, 40, 60, 90):
        if minutes < count * 20:
            continue
        first, *others = lengths(minutes, count, long_run)
        assert first + sum(others) == minutes
        assert max(others) - min(others) <= 5
        assert first >= max(others)
        assert min(others) >= 20
    assert sum(split(minutes, count)) == minutes


@pytest.mark.parametrize(("long_day", "days"), [(SAT, (MON, WED, SAT)), (SUN, (TUE, THU, SUN))])
def test_the_most_even_layouts_for_three(long_day: int, days: tuple[int, ...]) -> None:
    # Check values of the trade: Mon-Wed-Sat and Tue-Thu-Sun; common practice, no source.
    layout = run_days(ANY, 3, long_day)
    assert (layout.days, layout.long_day, layout.gap_ok) == (days, long_day, True)


def open_on(*days: int, minutes: int = 60) -> tuple[int, ...]:
    return tuple(minutes if day in days else 0 for day in range(7))


def test_only_tuesday_and_thursday_cannot_keep_the_rule_and_the_day_to_open_is_named() -> None:
    layout = run_days(open_on(TUE, THU), 3, SUN)
    assert (layout.days, layout.gap_ok) == ((TUE, THU), False)
    (day,) = layout.open_which
    assert run_days(open_on(TUE, THU, day), 3, SUN).gap_ok


@pytest.mark.parametrize("opened", list(product((0, 60), repeat=7)))
def test_no_gap_of_more_than_two_rest_days_wherever_the_open_days_allow_it(opened: tuple[int, ...]) -> None:
    """No gap of more than two rest days; not more run days in a row than allowed; the open days only."""
    days = [day for day in range(7) if opened[day]]
    layout = run_days(opened, 3, SAT)
    possible = any(
        len(choice) == 3 and longest_gap(choice) <= REST_GAP.value
        for choice in product(*[days] * 3)
        if list(choice) == sorted(set(choice))
    )
    assert layout.gap_ok == possible
    assert set(layout.days) <= set(days)
    assert not any({(day + n) % 7 for n in range(3)} <= set(layout.days) for day in layout.days)
    if days and not possible:
        assert run_days(tuple(60 if opened[d] or d in layout.open_which else 0 for d in range(7)), 3, SAT).gap_ok


def test_the_long_run_falls_on_the_day_asked_for_with_a_rest_day_after_it() -> None:
    for long_day in range(7):
        layout = run_days(ANY, 3, long_day)
        assert layout.long_day == long_day
        assert (long_day + 1) % 7 not in layout.days


def test_the_long_run_keeps_its_day_where_no_rest_day_fits_after_it() -> None:
    layout = run_days(open_on(MON, THU, SUN), 3, SUN)
    assert (layout.days, layout.long_day) == ((MON, THU, SUN), SUN)


def test_a_day_too_short_for_the_long_run_is_not_chosen_for_it() -> None:
    layout = run_days((45, 0, 45, 0, 0, 90, 0), 3, SUN, ordinary=45, long_run=90)
    assert layout.long_day == SAT


def test_a_week_of_no_open_day_has_no_session() -> None:
    layout = run_days((0,) * 7, 3, SAT)
    assert (layout.days, layout.long_day, layout.gap_ok) == ((), None, False)
    assert len(layout.open_which) == 3


def test_every_rule_has_a_unit_and_a_source() -> None:
    assert len(RULES) > 40
    assert all(rule.name and rule.unit and rule.source for rule in RULES)
    assert len({rule.name for rule in RULES}) == len(RULES)
