"""The judge of simulated lives: it agrees with the rules as published, and finds what breaks them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.model.logbook import LogEntry
from nudgebot.domain.model.nudged import Nudged, NudgeKind, Outcome
from nudgebot.domain.model.runner import (
    Book,
    DayLimit,
    Ill,
    LimitReason,
    OnHold,
    Pause,
    Profile,
    Runner,
    SymptomNote,
    Training,
)
from nudgebot.domain.model.week import Session, SessionKind, WalkRun, Week, WeekKind
from nudgebot.domain.nudging.times import quiet_until
from nudgebot.domain.planning import limits
from nudgebot.domain.profile import intake, intake_codec
from nudgebot.tools.simulate.judge import gaps, loads, pauses, published, sent, weeks
from nudgebot.tools.simulate.judge.findings import Breach, Meant, says_illness_plainly
from nudgebot.tools.simulate.judge.judge import Judge
from nudgebot.tools.simulate.judge.record import Gap, Record
from nudgebot.tools.simulate.judge.sent import Offer
from nudgebot.tools.simulate.lives import HOURS

DAY = timedelta(days=1)
MONDAY = date(2027, 3, 1)
JOINED = datetime(2027, 1, 4, 9, tzinfo=UTC)
OPEN = (90, 90, 90, 90, 90, 90, 90)


def run(day: date, minutes: int) -> LogEntry:
    return LogEntry(f"{day}", day, minutes, noted_at=datetime.combine(day, time(19), UTC))


def week(start: date, *minutes: tuple[int, int], kind: WeekKind = WeekKind.STEP) -> Week:
    """A week with sessions on weekdays: (weekday, minutes)."""
    sessions = tuple(Session(start + DAY * n, m, SessionKind.EASY) for n, m in minutes)
    return Week(start, sum(m for _, m in minutes), 0, kind, sessions)


def book(*laid: Week, log: tuple[LogEntry, ...] = (), profile: Profile | None = None) -> Book:
    """A book whose plan is the last week's."""
    told = profile or Profile(weekly=90, longest=30, open_minutes=OPEN)
    runner = Runner(1, "talk", "ana", "Ana", JOINED, JOINED)
    return Book(runner, told, Training(), log=log, plan=laid[-1].sessions if laid else (), weeks=laid)


def done(laid: Week) -> tuple[LogEntry, ...]:
    return tuple(run(session.day, session.minutes) for session in laid.sessions)


def breaches(found: object) -> set[Breach]:
    return {finding.breach for finding in found}  # type: ignore[attr-defined]


USUAL = ((0, 30), (2, 30), (5, 30))
BEFORE = tuple(week(MONDAY - 7 * n * DAY, *USUAL, kind=WeekKind.STEADY) for n in (4, 3, 2, 1))
RAN = tuple(entry for each in BEFORE for entry in done(each))


@pytest.mark.parametrize(
    ("longest", "cap"), [(0, 30), (25, 30), (30, 35), (49, 50), (50, 55), (60, 65), (90, 95), (100, 110)]
)
def test_the_single_session_cap_by_its_table(longest: int, cap: int) -> None:
    """max(30, L + 5, 10 % more on the grid), docs/season.md; worked out by hand, and as the caps have it."""
    assert published.session_cap(longest) == cap
    nobody = book(profile=Profile(longest=longest))
    assert limits.session_max(nobody, date(2027, 1, 4)) == cap


@pytest.mark.parametrize(
    ("target", "percent", "after"), [(60, 10, 70), (90, 10, 100), (100, 10, 110), (120, 10, 130), (150, 10, 165)]
)
def test_the_weekly_step_by_its_table(target: int, percent: int, after: int) -> None:
    """Ten per cent, ten minutes at least (docs/season.md)."""
    assert published.stepped(target, percent) == after


@pytest.mark.parametrize(("minutes", "after"), [(60, 60), (70, 60), (90, 70), (120, 95), (180, 140)])
def test_the_lighter_week_by_its_table(minutes: int, after: int) -> None:
    assert published.lighter(minutes) == after


@pytest.mark.parametrize(
    ("days", "shares"),
    [(5, [100] * 5), (6, [50, 50, 50, 75, 75, 75]), (7, [50, 50, 50, 50, 75, 75, 75]), (29, [100] * 29)],
)
def test_the_return_table_day_by_day(days: int, shares: list[int]) -> None:
    gap = Gap(MONDAY, days)
    assert [gap.share_on(MONDAY + DAY * n) for n in range(days)] == shares
    assert gap.share_on(MONDAY + DAY * days) == 100


@given(st.lists(st.integers(0, 120), min_size=14, max_size=90))
def test_its_caps_are_those_of_the_planner_where_nothing_is_left_out(minutes: list[int]) -> None:
    """Two readings of one rule. Under ten minutes is no run day; days in a row without one make a return."""
    begun = MONDAY - DAY * len(minutes)
    log = tuple(run(begun + DAY * n, m or 10) for n, m in enumerate(minutes))
    first = week(begun - DAY * begun.weekday(), *((n, 20) for n in range(begun.weekday(), 7)))
    laid = book(first, week(MONDAY, *USUAL), log=log)
    capped = tuple(
        replace(e, cap=limits.session_max(replace(laid, log=tuple(o for o in log if o.day < e.day)), e.day))
        for e in log
    )
    laid = replace(laid, log=capped)
    record = Record(laid, MONDAY)
    assert record.mean_week(MONDAY) == pytest.approx(limits.mean_week(laid, MONDAY))


def test_a_plan_over_its_limits_is_found_out() -> None:
    wrong = week(MONDAY, (0, 303), (1, 90), (2, 90))
    found = breaches(loads.broken(Record(book(*BEFORE, wrong, log=RAN), MONDAY), MONDAY))
    assert found == {Breach.SINGLE_SESSION, Breach.TIME, Breach.GRID, Breach.RUN_DAYS}
    full = replace(week(MONDAY, (0, 35), (2, 35), (4, 35), (6, 35)), target=90)
    assert breaches(loads.broken(Record(book(*BEFORE, full, log=RAN), MONDAY), MONDAY)) == {Breach.SEVEN_DAYS}
    assert breaches(loads.broken(Record(book(*BEFORE, week(MONDAY, *USUAL), log=RAN), MONDAY), MONDAY)) == set()


def test_a_return_faster_than_its_table_is_found_out() -> None:
    back = MONDAY + 7 * DAY
    slow, fast = (week(back, (0, m), (3, m), kind=WeekKind.RETURN) for m in (20, 30))
    empty = week(MONDAY, kind=WeekKind.BACK)
    assert breaches(loads.broken(Record(book(*BEFORE, empty, slow, log=RAN), back), back)) == set()
    assert Breach.RETURN in breaches(loads.broken(Record(book(*BEFORE, empty, fast, log=RAN), back), back))


def test_a_longer_run_on_the_way_back_counts_as_planned() -> None:
    back = MONDAY + 7 * DAY
    laid = week(back, (0, 20), (3, 20), kind=WeekKind.RETURN)
    after = book(*BEFORE, week(MONDAY, kind=WeekKind.BACK), laid, log=(*RAN, run(back, 35)))
    assert Record(after, back).counted_on(back) == 20
    instead, beside = back + DAY, back + 2 * DAY  # no session stands on either day
    moved = Record(replace(after, log=(*RAN, run(instead, 35), run(beside, 35))), beside)
    assert (moved.counted_on(instead), moved.counted_on(beside)) == (20, 35)


def test_a_run_right_after_more_than_four_weeks_is_found_out() -> None:
    late = MONDAY + 35 * DAY
    found = loads.broken(Record(book(*BEFORE, week(late, *USUAL), log=RAN), late), late)
    assert Breach.LADDER in breaches(found)


def test_a_step_of_the_ladder_without_two_clean_sessions_is_found_out() -> None:
    walks = week(MONDAY, (0, 30), (2, 30), (4, 30), kind=WeekKind.WALK_RUN)
    clean = book(walks, log=(run(MONDAY, 30), run(MONDAY + 2 * DAY, 30)), profile=Profile(open_minutes=OPEN))
    friday = MONDAY + 4 * DAY
    fits = replace(clean, walk_run=WalkRun(1, 0, friday))
    assert breaches(loads.step_too_early(Record(fits, friday))) == set()
    early = replace(clean, walk_run=WalkRun(2, 0, friday))
    assert breaches(loads.step_too_early(Record(early, friday))) == {Breach.LADDER}


@pytest.mark.parametrize(("minutes", "found"), [(33, set()), (40, {Breach.WEEK_STEP})])
def test_a_week_over_the_step_is_found_out(minutes: int, found: set[Breach]) -> None:
    before = BEFORE[2:]
    profile = Profile(weekly=90, longest=30, open_minutes=OPEN, custom_minutes=300)
    laid = week(MONDAY, (0, minutes), (2, minutes), (5, minutes))
    runs = tuple(entry for each in before for entry in done(each))
    assert (
        breaches(weeks.laid(Record(book(*before, laid, log=runs, profile=profile), MONDAY), laid, begun=False)) == found
    )


def test_a_week_half_done_leads_to_no_step() -> None:
    laid = week(MONDAY, (0, 35), (2, 35), (5, 30))
    runs = RAN[:-2]
    assert Breach.WEEK_STEP in breaches(weeks.laid(Record(book(*BEFORE, laid, log=runs), MONDAY), laid, begun=False))


def test_a_lighter_week_left_out_is_found_out_and_at_the_top_it_is_none() -> None:
    laid = week(MONDAY, (0, 35), (2, 35), (5, 30))
    found = weeks.laid(Record(book(*BEFORE, laid, log=RAN), MONDAY), laid, begun=False)
    assert breaches(found) == {Breach.NO_LIGHTER_WEEK}
    top = [week(MONDAY - 7 * n * DAY, (0, 30), (2, 30), (4, 30), (6, 30)) for n in (4, 3, 2, 1)]
    runs = tuple(entry for each in top for entry in done(each))
    steady = week(MONDAY, (0, 30), (2, 30), (4, 30), (6, 30))
    assert breaches(weeks.laid(Record(book(*top, steady, log=runs), MONDAY), steady, begun=False)) == set()


def test_a_full_week_right_after_weeks_of_illness_is_found_out() -> None:
    """Target 90, then 30 and 20 min done through two fevers: at most 60 after that (docs/season.md)."""
    light = [week(MONDAY + 7 * n * DAY, *USUAL) for n in (0, 1)]
    runs = (*RAN, run(MONDAY, 30), run(MONDAY + 12 * DAY, 20))
    ill = tuple(DayLimit(MONDAY + DAY * n, 0, LimitReason.ILL) for n in (2, 3, 4, 8, 9, 10))
    start = MONDAY + 14 * DAY
    for minutes, wrong in ((20, False), (30, True)):
        laid = week(start, (0, minutes), (2, minutes), (5, minutes))
        sick = replace(book(*BEFORE, *light, laid, log=runs), limits=ill)
        found = breaches(weeks.laid(Record(sick, start), laid, begun=False))
        assert (Breach.AFTER_LIGHT_WEEK in found) == wrong


@pytest.mark.parametrize(
    ("done", "ill", "minutes", "wrong"),
    [
        (50, False, 100, False),  # a return that was done: the old target
        (40, False, 100, True),  # one that was not
        (40, False, 60, False),
        (50, True, 100, True),  # one after an illness, however much was done
        (50, True, 60, False),
    ],
)
def test_the_old_target_right_after_a_return_that_was_not_done_is_found_out(
    done: int, ill: bool, minutes: int, wrong: bool
) -> None:
    """Eight days off, then a week of 50 min; the last full week held 100."""
    back = MONDAY + 7 * DAY
    way = [replace(week(MONDAY + 7 * n * DAY, (1, 25), (3, 25), kind=WeekKind.RETURN), full=100) for n in (0, 1)]
    laid = week(MONDAY + 14 * DAY, (0, minutes // 3), (2, minutes // 3), (5, minutes - 2 * (minutes // 3)))
    runs = (*RAN, run(back + DAY, 25), run(back + 3 * DAY, done - 25))
    after = book(*BEFORE, *way, laid, log=runs)
    if ill:
        after = replace(after, pauses=(Pause(MONDAY + DAY, MONDAY + 3 * DAY),))
    found = breaches(weeks.laid(Record(after, laid.start), laid, begun=False))
    assert (Breach.AFTER_LIGHT_WEEK in found) == wrong


@pytest.mark.parametrize(("minutes", "wrong"), [(105, False), (120, True)])
def test_only_the_week_that_ends_a_return_leads_back_to_the_old_target(minutes: int, wrong: bool) -> None:
    """180 min a week, two weeks of return of which only the first was done in full, then 65 of 125 min."""
    full = week(MONDAY - 14 * DAY, (1, 60), (3, 60), (6, 60))
    first = replace(week(MONDAY, (0, 35), (2, 35), (5, 35), kind=WeekKind.RETURN), full=180)
    second = replace(week(MONDAY + 7 * DAY, (0, 50), (2, 50), (5, 50), kind=WeekKind.RETURN), full=180)
    third = week(MONDAY + 14 * DAY, (0, 35), (2, 30), (5, 60), kind=WeekKind.REGAIN)
    laid = week(MONDAY + 21 * DAY, (0, 25), (2, 25), (5, minutes - 50), kind=WeekKind.REGAIN)
    ran = (run(second.start, 40), run(second.start + 2 * DAY, 60), run(second.start + 5 * DAY, 30))
    fewer = (run(third.start, 35), run(third.start + 2 * DAY, 30))
    log = (*done(full), *done(first), *ran, *fewer)
    after = replace(
        book(full, first, second, third, laid, log=log, profile=Profile(weekly=180, longest=60, open_minutes=OPEN)),
        limits=(DayLimit(third.start + 5 * DAY, 0, LimitReason.BUSY),),
    )
    found = breaches(weeks.laid(Record(after, laid.start), laid, begun=False))
    assert (Breach.AFTER_LIGHT_WEEK in found) == wrong
    assert Breach.WEEK_STEP not in found


def test_a_gap_that_could_be_avoided_is_found_out_and_one_that_could_not_is_none() -> None:
    laid = week(MONDAY, (0, 30), (4, 30), (6, 30))
    after = book(*BEFORE, laid, log=(*RAN, run(MONDAY, 30)))
    first = MONDAY + DAY
    assert breaches(gaps.needless(Record(after, first), first, shut=False)) == {Breach.NEEDLESS_GAP}
    closed = tuple(DayLimit(MONDAY + DAY * n, 0, LimitReason.BUSY) for n in (1, 2, 3))
    busy = replace(after, limits=closed)
    assert breaches(gaps.needless(Record(busy, first), first, shut=False)) == set()


@pytest.mark.parametrize(
    ("offer", "wrong"),
    [
        (Offer(MONDAY + DAY, 20, SessionKind.EASY), False),
        (Offer(MONDAY + DAY, 20, SessionKind.WALK), False),
        (Offer(MONDAY + DAY, 60, SessionKind.EASY), True),
        (Offer(MONDAY + 2 * DAY, 20, SessionKind.EASY), True),
        (Offer(MONDAY + 2 * DAY, 20, SessionKind.WALK), False),
    ],
)
def test_an_offer_that_the_plan_forbids_is_found_out(offer: Offer, wrong: bool) -> None:
    """Two run days have been had, or the next day is rest after a big jump."""
    rest = (DayLimit(MONDAY + 2 * DAY, 0, LimitReason.REST),)
    after = replace(book(*BEFORE, week(MONDAY, *USUAL), log=(*RAN, run(MONDAY, 30))), limits=rest)
    assert bool(breaches(sent.offered(Record(after, MONDAY + DAY), [offer]))) == wrong


def test_a_session_while_ill_or_on_hold_is_found_out() -> None:
    laid = book(*BEFORE, week(MONDAY, *USUAL), log=RAN)
    for standing in (Ill(MONDAY), OnHold(JOINED, "urgent", "calf", "calf hot")):
        paused = replace(laid, standing=standing)
        assert breaches(pauses.planned(paused, MONDAY)) == {Breach.PLANNED_PAUSED}
        assert breaches(pauses.planned(replace(paused, plan=()), MONDAY)) == set()


NIGHT = datetime(2027, 3, 1, 20, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.mark.parametrize(
    ("level", "hours", "said", "wrong"),
    [
        ("urgent", 5, ("/back", "yes", "the hospital, today", "cleared"), False),
        ("emergency", 30, ("/back", "yes", "my cardiologist, this morning", "cleared"), False),
        ("emergency", 3, ("/back", "yes", "the emergency department", "cleared"), True),
        ("urgent", 30, ("/back", "yes", "I looked it up", "cleared"), True),
        ("urgent", 30, ("/back", "yes"), True),
        ("urgent", 1, ("that was not about me", "yes", "yes"), False),
        ("urgent", 1, ("that was not about me", "yes"), True),
        ("emergency", 1, ("I was only joking", "yes", "yes"), True),
        ("emergency", 13, ("that was not about me", "yes", "yes"), False),
    ],
)
def test_the_end_of_a_hold_takes_its_steps_and_its_day(
    level: str, hours: int, said: tuple[str, ...], wrong: bool
) -> None:
    laid = book(*BEFORE, log=RAN)
    held = replace(laid, standing=OnHold(NIGHT, level, "chest", "chest tight"))
    at = NIGHT + hours * HOUR
    lines = [(at - timedelta(minutes=len(said) - n), text) for n, text in enumerate(said)]
    assert bool(breaches(pauses.hold_ended(held, laid, at, lines))) == wrong
    assert breaches(pauses.hold_ended(held, held, at, lines)) == set()


def nudge(kind: NudgeKind, at: datetime, day: date) -> Nudged:
    return Nudged(kind, day, "", at, at, Outcome.SENT, "due")


def test_nudges_twice_in_quiet_hours_or_too_many_are_found_out() -> None:
    judge, laid = Judge(), book(*BEFORE, week(MONDAY, *USUAL), log=RAN)
    night = datetime(2027, 3, 1, 23, tzinfo=UTC)
    for kind in (NudgeKind.CHECK_IN, NudgeKind.CHECK_IN, NudgeKind.GAP_WARNING):
        judge.sends(laid, nudge(kind, night, MONDAY), ())
    assert {finding.breach for finding in judge.found} == {Breach.QUIET, Breach.DOUBLE, Breach.CROWDED}


def test_a_run_offered_on_a_hot_day_or_after_a_fever_is_found_out() -> None:
    laid = book(*BEFORE, week(MONDAY, (1, 30), (3, 30)), log=RAN)
    noon = datetime(2027, 3, 1, 12, tzinfo=UTC)
    hot = Judge()
    hot.heard(laid, laid, noon, "42 degrees and 60 % humidity", Meant.HEAT)
    hot.sends(laid, nudge(NudgeKind.GAP_WARNING, noon + 6 * HOUR, MONDAY), (Offer(MONDAY, 20, SessionKind.EASY),))
    assert Breach.HEAT in {finding.breach for finding in hot.found}
    ill = Judge()
    ill.heard(laid, laid, noon, "gripe, 39 de fiebre", Meant.FEVER)
    assert {Breach.NO_PAUSE, Breach.TOO_SOON} <= {finding.breach for finding in ill.found}
    heard = Judge()
    heard.heard(laid, replace(laid, standing=Ill(MONDAY, MONDAY), plan=()), noon, "gripe, 39 de fiebre", Meant.FEVER)
    assert heard.found == []


def test_on_hold_only_the_question_after_low_mood_may_ask_how_it_is() -> None:
    held = replace(book(*BEFORE, week(MONDAY, *USUAL), log=RAN), standing=OnHold(JOINED, "urgent", "calf", "calf hot"))
    asks = Nudged(NudgeKind.HOW_ARE_YOU, MONDAY, "", JOINED, JOINED, Outcome.SENT, "due")
    assert breaches(sent.paused(held, asks, MONDAY)) == {Breach.NUDGED_PAUSED}
    for days, wrong in ((1, False), (2, True), (3, False)):
        told = SymptomNote(MONDAY - DAY * days, "clinician", "low mood for weeks", "", None, JOINED)
        found = breaches(sent.paused(replace(held, symptoms=(told,)), asks, MONDAY))
        assert (Breach.NUDGED_PAUSED in found) == wrong


def test_a_week_that_grows_in_silence_is_found_out() -> None:
    judge, small = Judge(), book(*BEFORE, week(MONDAY, *USUAL), log=RAN)
    grown = replace(small, plan=week(MONDAY, (0, 30), (2, 30), (4, 30), (6, 30)).sessions)
    judge.passed(small, grown, datetime(2027, 3, 1, 8, tzinfo=UTC))
    assert Breach.SILENCE in {finding.breach for finding in judge.found}


@pytest.mark.parametrize(("minutes", "wrong"), [(20, False), (30, True)])
def test_a_walk_of_the_ladder_that_becomes_its_next_step_is_no_growth(minutes: int, wrong: bool) -> None:
    def on_the_ladder(length: int, kind: SessionKind, step: int) -> Book:
        laid = Week(MONDAY, 20, 0, WeekKind.WALK_RUN, (Session(MONDAY + 2 * DAY, length, kind),))
        return replace(book(laid, profile=Profile(open_minutes=OPEN)), walk_run=WalkRun(step, 0, MONDAY))

    judge = Judge()
    before, after = on_the_ladder(20, SessionKind.WALK, 0), on_the_ladder(minutes, SessionKind.WALK_RUN, 1)
    judge.passed(before, after, datetime(2027, 3, 1, 8, tzinfo=UTC))
    assert (Breach.SILENCE in breaches(judge.found)) == wrong


@pytest.mark.parametrize(
    ("line", "plain"),
    [
        ("had a fever all night", True),
        ("Grippe, ich liege flach", True),
        ("gastro depuis hier", True),
        ("no fever, just tired", False),
        ("my wife has the flu", False),
        ("42 min easy", False),
    ],
)
def test_an_illness_in_plain_words_is_known_from_a_line_without_one(line: str, plain: bool) -> None:
    assert says_illness_plainly(line) == plain


@given(
    hours=st.sampled_from(HOURS),
    zone=st.sampled_from(("Europe/Lisbon", "America/Santiago", "Australia/Lord_Howe", "Africa/Cairo", "Asia/Tokyo")),
    minute=st.integers(0, 365 * 24 * 12),
)
def test_quiet_hours_read_off_the_wall_clock_are_those_of_the_nudge_rules(
    hours: tuple[str, str, time], zone: str, minute: int
) -> None:
    """Never in quiet hours; a reminder time that the runner chose inside them ends them there that day."""
    answers = intake_codec.from_rows({"remind_at": hours[0], "quiet": hours[1], "zone": zone})
    joined = datetime(2027, 1, 1, tzinfo=UTC)
    told = Book(Runner(1, "talk", "ana", "Ana", joined, joined), intake.profile(answers), intake=answers)
    at = joined + timedelta(minutes=5 * minute)
    assert sent.is_quiet(told, at) == (quiet_until(told, at) is not None)


def test_a_third_nudge_of_a_day_or_a_ninth_of_seven_days_is_too_many() -> None:
    noon = datetime(2027, 1, 4, 12, tzinfo=UTC)
    two = [(noon, noon.date()), (noon + timedelta(hours=4), noon.date())]
    assert sent.too_many(two, noon + timedelta(hours=8), noon.date())
    assert not sent.too_many(two, noon + DAY, noon.date() + DAY)
    eight = [(noon + n * timedelta(hours=20), date(2027, 2, n + 1)) for n in range(8)]
    assert sent.too_many(eight, noon + 6 * DAY, date(2027, 1, 10))
    assert not sent.too_many(eight, noon + 7 * DAY, date(2027, 1, 11))
