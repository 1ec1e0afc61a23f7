"""Which nudges a week calls for: hand-made weeks, and what is sent, as text."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.domain.model.runner import Ill, Joining, OnHold, Standing, Training, Walking, at_wall
from nudgebot.domain.model.week import Return, WalkRun, WeekKind
from nudgebot.domain.nudging import nudges
from nudgebot.domain.nudging.throttle import Reason
from tests.domain.drawn_weeks import BERLIN, MONDAY, drawn, play, sent, unsent, utc

MWS = "Mon 45, Wed 45, Sat 90"
TTS = "Tue 45, Thu 45, Sun 90"
DONE_MWS = "Mon 18:55 ran 45, Wed 18:50 ran 45, Sat 18:30 ran 90"
MORNINGS_MWS = ["Mon 07:00 morning", "Wed 07:00 morning", "Sat 07:00 morning"]
REVIEW = "Sun 19:30 week_review"


@pytest.mark.parametrize(
    ("plan", "past", "said", "expected"),
    [
        (MWS, "Sat", DONE_MWS, [*MORNINGS_MWS, REVIEW]),
        # Runs before breakfast, even before the reminder: then there is nothing left to remind of.
        (MWS, "Sat", "Mon 06:45 ran 45, Wed 06:45 ran 45, Sat 06:45 ran 90", [REVIEW]),
        (
            TTS,
            "Sun",
            "Tue 18:50 ran 45, Thu 18:50 ran 45, Sun 18:30 ran 90",
            ["Tue 07:00 morning", "Thu 07:00 morning", "Sun 07:00 morning", REVIEW],
        ),
        (TTS, "Sun", "Tue 07:50 ran 45, Thu 07:50 ran 45, Sun 09:00 ran 90",
            ["Tue 07:00 morning", "Thu 07:00 morning", "Sun 07:00 morning", REVIEW]),
    ],
)  # fmt: skip
def test_a_perfect_week_gets_its_mornings_and_the_review_and_nothing_else(
    plan: str, past: str, said: str, expected: list[str]
) -> None:
    assert sent(play(drawn(plan, past=past), said)) == expected


@pytest.mark.parametrize(
    ("plan", "said", "expected"),
    [
        # Last run Monday: Tuesday is the first rest day, Wednesday evening warns, Thursday is the last day.
        ("Mon 45", "Mon 18:50 ran 45", ["Mon 07:00 morning", "Wed 20:00 gap_warning", "Thu 07:00 gap_warning"]),
        # A session that is still open on Wednesday does not stop the warning, which takes the check-in's place.
        ("Mon 45, Wed 45", "Mon 18:50 ran 45",
            ["Mon 07:00 morning", "Wed 07:00 morning", "Wed 20:00 gap_warning", "Thu 07:00 gap_warning"]),
        # The last day holds a session: only its reminder, and at 20:00 the warning instead of the check-in.
        ("Mon 45, Thu 45", "Mon 18:50 ran 45", ["Mon 07:00 morning", "Thu 07:00 morning", "Thu 20:00 gap_warning"]),
        # The last day's session is run in time: no warning at all.
        ("Mon 45, Thu 45", "Mon 18:50 ran 45, Thu 18:40 ran 45", ["Mon 07:00 morning", "Thu 07:00 morning"]),
        # The last day's session is called off that noon: its evening warns no more, the answer named the gap.
        ("Mon 45, Thu 45", "Mon 18:50 ran 45, Thu 12:00 off", ["Mon 07:00 morning", "Thu 07:00 morning"]),
        # A walk of ten minutes ends the gap just as well, nine minutes do not.
        ("Mon 45", "Mon 18:50 ran 45, Wed 12:00 walked 10", ["Mon 07:00 morning"]),
        ("Mon 45", "Mon 18:50 ran 45, Wed 12:00 walked 9, Thu 06:00 walked 30",
            ["Mon 07:00 morning", "Wed 20:00 gap_warning"]),
        # Between the evening's warning and the morning's the run was logged.
        ("Mon 45", "Mon 18:50 ran 45, Wed 20:30 ran 20", ["Mon 07:00 morning", "Wed 20:00 gap_warning"]),
        # A run before the day turns at 03:00 belongs to the evening before: Tuesday is no rest day.
        ("Mon 45", "Mon 18:50 ran 45, Wed 01:30 ran 20", ["Mon 07:00 morning", "Thu 20:00 gap_warning"]),
    ],
)  # fmt: skip
def test_the_gap_warning_comes_the_evening_before_the_last_allowed_day_and_again_that_morning(
    plan: str, said: str, expected: list[str]
) -> None:
    assert sent(play(drawn(plan, past="Sun"), said, days=4)) == expected


@pytest.mark.parametrize(
    ("said", "warned"),
    [
        # A conference from Tuesday to Thursday after Monday's run: the gap was named when it was said.
        ("Mon 18:50 ran 45, Mon 20:00 busy Tue 0, Mon 20:01 busy Wed 0, Mon 20:02 busy Thu 0", []),
        ("Mon 18:50 ran 45, Mon 20:00 away Tue Thu", []),
        # Wednesday and Thursday called off, Tuesday was a rest day anyway.
        ("Mon 18:50 ran 45, Tue 20:00 off Wed, Tue 20:01 off Thu", []),
        # Thursday is closed, but Wednesday's run simply did not come: nobody named that gap.
        ("Mon 18:50 ran 45, Mon 20:00 busy Thu 0", ["Wed 20:00 gap_warning", "Thu 07:00 gap_warning"]),
        # A quarter of an hour is left on Thursday: enough for a walk, so the gap was not announced.
        ("Mon 18:50 ran 45, Mon 20:00 off Wed, Mon 20:01 busy Thu 15",
            ["Wed 20:00 gap_warning", "Thu 07:00 gap_warning"]),
    ],
)  # fmt: skip
def test_a_gap_that_the_runner_announced_gets_no_warning(said: str, warned: list[str]) -> None:
    week = play(drawn("Mon 45, Wed 45, Fri 45", past="Sun"), said, days=4)
    assert [line for line in sent(week) if "gap" in line] == warned


def test_a_gap_that_follows_from_the_open_days_alone_is_no_news() -> None:
    only = replace(BERLIN, open_minutes=(0, 45, 0, 45, 0, 0, 0))
    week = play(drawn("Tue 45, Thu 45", profile=only), "Tue 18:50 ran 45, Thu 18:50 ran 45")
    assert sent(week) == ["Tue 07:00 morning", "Thu 07:00 morning", REVIEW]


def test_a_habitual_commute_ends_gaps() -> None:
    rides = replace(BERLIN, commute="bike", commute_minutes=200)
    assert "gap" not in " ".join(sent(play(drawn("Sat 45", profile=rides))))
    strolls = replace(rides, commute_minutes=45)  # nine minutes a day are under ten
    assert "Mon 20:00 gap_warning" in sent(play(drawn("Sat 45", profile=strolls)))


def test_an_evening_runner_is_not_warned_before_the_run_can_be_over() -> None:
    late = replace(BERLIN, run_time=time(19))
    plan, ran = "Mon 45, Wed 45", "Mon 20:00 ran 45, Wed 19:50 ran 45"
    week = play(drawn(plan, profile=late, past="Sun"), ran, days=4)
    assert sent(week) == ["Mon 07:00 morning", "Wed 07:00 morning"]
    open_yet = play(drawn(plan, profile=late, past="Sun"), "Mon 20:00 ran 45", days=3)
    assert sent(open_yet)[-1] == "Wed 21:00 gap_warning"


@pytest.mark.parametrize("run_time", ["06:15", "12:30", "17:00", "18:00", "19:00"])
@pytest.mark.parametrize("late", [0, 65, 119])
def test_whoever_tells_within_two_hours_of_the_usual_run_time_is_neither_asked_nor_warned(
    run_time: str, late: int
) -> None:
    runs_at = replace(BERLIN, run_time=time.fromisoformat(run_time))
    told = (datetime.combine(MONDAY, runs_at.run_time) + timedelta(minutes=late)).strftime("%H:%M")
    said = f"Mon {told} ran 45, Wed {told} ran 45, Sat {told} ran 90"
    lines = sent(play(drawn(MWS, profile=runs_at), said))
    assert {line.split()[2] for line in lines} <= {"morning", "week_review"}


@pytest.mark.parametrize(
    ("run_time", "asked"), [("18:00", "20:00"), ("18:30", "20:30"), ("12:15", "14:15"), ("17:00", "19:00")]
)
def test_the_check_in_comes_two_hours_after_the_usual_run_time(run_time: str, asked: str) -> None:
    runs_at = replace(BERLIN, run_time=time.fromisoformat(run_time))
    assert sent(play(drawn("Mon 45", profile=runs_at, past="Sun"), days=1)) == [
        "Mon 07:00 morning",
        f"Mon {asked} check_in",
    ]


@pytest.mark.parametrize(
    "said", ["Mon 19:59 ran 45", "Mon 12:00 off", "Mon 19:00 moved Mon Tue", "Mon 09:00 away Mon Mon", "Mon 09:00 stop"]
)
def test_no_check_in_once_the_session_is_done_called_off_or_moved(said: str) -> None:
    assert sent(play(drawn("Mon 45", past="Sun"), said, days=1)) == ["Mon 07:00 morning"]


def test_ten_minutes_on_the_bike_do_not_answer_for_the_run() -> None:
    book = play(drawn("Mon 45", past="Sun"), "Mon 18:00 walked 30", days=1)
    assert sent(book)[-1] == "Mon 20:00 check_in"
    walks = play(drawn("Mon 30 walk", past="Sun"), "Mon 18:00 walked 30", days=1)
    assert sent(walks) == ["Mon 07:00 morning"]


@pytest.mark.parametrize(
    ("plan", "said", "around_the_review"),
    [
        # The last day's session is open: the review becomes the check-in and waits for the morning.
        ("Tue 45, Thu 45, Sun 45", "Tue 18:50 ran 45, Thu 18:50 ran 45",
            ["Sun 07:00 morning", "Sun 20:00 gap_warning", "2Mon 07:00 week_review"]),
        ("Tue 45, Thu 45, Sat 30, Sun 60", "Tue 18:50 ran 45, Thu 18:50 ran 45, Sat 18:50 ran 30",
            ["Sun 07:00 morning", "Sun 19:30 check_in", "2Mon 07:00 week_review", "2Mon 20:00 gap_warning"]),
        # Done before half past seven: the ordinary review.
        ("Tue 45, Thu 45, Sat 30, Sun 60", "Tue 18:50 ran 45, Thu 18:50 ran 45, Sat 18:50 ran 30, Sun 19:20 ran 60",
            ["Sun 07:00 morning", "Sun 19:30 week_review"]),
        # Displaced by a gap warning of the same evening: the next morning too.
        ("Tue 45, Fri 45", "Tue 18:50 ran 45, Fri 18:50 ran 45",
            ["Sun 20:00 gap_warning", "2Mon 07:00 gap_warning"]),
    ],
)  # fmt: skip
def test_the_review_becomes_the_check_in_while_the_last_session_is_open(
    plan: str, said: str, around_the_review: list[str]
) -> None:
    week = play(drawn(plan, past="Sat Sun"), said, days=8)
    assert [line for line in sent(week) if line.startswith(("Sun", "2Mon"))] == around_the_review


def test_a_review_put_off_to_the_morning_names_that_mornings_session() -> None:
    plan, ran = "Tue 45, Thu 45, Sat 30, Sun 60, 2Mon 45", "Tue 18:50 ran 45, Thu 18:50 ran 45, Sat 18:50 ran 30"
    week = play(drawn(plan, past="Sat Sun"), ran, days=8)
    assert [line for line in sent(week) if line.startswith("2Mon 07")] == ["2Mon 07:00 week_review"]
    assert "2Mon 07:00 morning: in the review" in unsent(week)


def test_the_review_follows_the_answer_and_is_then_not_sent_again() -> None:
    plan, ran = "Tue 45, Thu 45, Sat 30, Sun 60", "Tue 18:50 ran 45, Thu 18:50 ran 45, Sat 18:50 ran 30"
    asked = play(drawn(plan, past="Sat Sun"), ran + ", Sun 19:45 ran 60", days=7)
    at = at_wall(MONDAY + timedelta(days=6), time(19, 45), BERLIN)
    before = replace(asked, log=asked.log[:-1])
    assert nudges.review_with_answer(before, at) is None  # no answer yet
    assert nudges.review_with_answer(asked, at - timedelta(hours=1)) is None  # its own time is still to come
    verdict = nudges.review_with_answer(asked, at)
    assert verdict is not None
    assert (verdict.nudged.kind, verdict.nudged.outcome) == (NudgeKind.WEEK_REVIEW, Outcome.SENT)
    told = replace(asked, nudges=(*asked.nudges, verdict.nudged))
    assert nudges.review_with_answer(told, at) is None
    morning = at_wall(MONDAY + timedelta(days=7), time(7), BERLIN)
    assert nudges.settle_due(told, morning) == ()
    assert [v.nudged.kind for v in nudges.settle_due(asked, morning)] == [NudgeKind.WEEK_REVIEW]


def test_no_review_of_a_pause() -> None:
    book = drawn("")
    paused = replace(book, weeks=tuple(replace(week, kind=WeekKind.PAUSE) for week in book.weeks))
    assert "week_review" not in " ".join(sent(play(paused)))


def test_the_training_week_may_end_on_another_day() -> None:
    saturday = MONDAY - timedelta(days=2)
    book = drawn("")
    shifted = replace(book, weeks=(replace(book.weeks[0], start=saturday),))
    assert [line for line in sent(play(shifted)) if "review" in line] == ["Fri 19:30 week_review"]


def test_silence_gets_a_first_word_after_seven_days_another_after_fourteen_and_then_nothing() -> None:
    plan = ", ".join(f"{week}{day} 45" for week in ("", "2", "3") for day in ("Tue", "Thu", "Sun"))
    book = drawn(plan)  # last heard on Sunday at noon
    lines = sent(play(book, days=60))
    assert [line for line in lines if "silence" in line] == ["Sun 12:00 silence", "2Sun 12:00 silence"]
    assert [line for line in lines if line.startswith("Sun")] == ["Sun 12:00 silence"]
    assert lines[-1] == "2Sun 12:00 silence"
    assert nudges.next_look(play(book, days=60), at_wall(MONDAY + timedelta(days=60), time(3), BERLIN)) is None


def test_any_word_starts_the_silence_anew() -> None:
    lines = sent(play(drawn(""), "Thu 20:00 hello", days=20))
    assert [line for line in lines if "silence" in line] == ["2Thu 20:00 silence", "3Thu 20:00 silence"]


def test_days_away_are_no_silence() -> None:
    lines = sent(play(drawn(""), "Mon 20:00 away Tue 2Wed", days=21))
    assert [line for line in lines if "silence" in line] == ["3Wed 20:00 silence"]


def test_never_during_away() -> None:
    lines = sent(play(drawn(MWS + ", 2Mon 45"), "Mon 06:00 away Mon Sun", days=8))
    assert lines == ["2Mon 07:00 morning", "2Mon 20:00 check_in"]


def test_on_hold_only_the_follow_ups_three_of_them() -> None:
    book = play(drawn(MWS + ", 2Mon 45, 2Wed 45"), "Mon 12:00 hold", days=21)
    assert sent(book) == [
        "Mon 07:00 morning",
        "Tue 12:00 safety_followup",
        "Fri 12:00 safety_followup",
        "2Mon 12:00 safety_followup",
    ]
    assert nudges.next_look(book, at_wall(MONDAY + timedelta(days=14), time(3), BERLIN)) is None


def test_a_follow_up_by_night_waits_for_the_end_of_quiet_hours() -> None:
    book = play(drawn("", past="Sun"), "Mon 23:30 hold", days=4)
    assert sent(book) == ["Wed 06:30 safety_followup"]


def test_no_follow_up_once_the_hold_has_ended() -> None:
    book = play(drawn(""), "Mon 12:00 hold, Wed 09:00 cleared", days=6)
    assert [line for line in sent(book) if "safety" in line] == ["Tue 12:00 safety_followup"]


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("Mon 20:00 sore", ["Tue 07:00 how_are_you"]),
        ("Mon 20:00 sore, Tue 07:10 sore", ["Tue 07:00 how_are_you", "Wed 07:00 how_are_you"]),
        ("Mon 20:00 sore, Tue 07:10 sore, Wed 07:10 sore, Thu 07:10 sore",
            ["Tue 07:00 how_are_you", "Wed 07:00 how_are_you", "Fri 07:00 how_are_you"]),
        ("Mon 20:00 sore, Mon 21:00 sore", ["Tue 07:00 how_are_you"]),
    ],
)  # fmt: skip
def test_how_are_you_comes_the_morning_after_rest_at_most_two_days_in_a_row(said: str, asked: list[str]) -> None:
    assert [line for line in sent(play(drawn("Tue 45, Thu 45"), said)) if "how" in line] == asked


def test_how_are_you_goes_before_the_morning_reminder() -> None:
    book = play(drawn("Mon 45, Tue 45", past="Sun"), "Mon 20:00 sore", days=2)
    assert "Tue 07:00 how_are_you" in sent(book)
    assert "Tue 07:00 morning: stronger" in unsent(book)


@pytest.mark.parametrize(
    ("standing", "heard"),
    [
        (Joining(), set()),
        (Ill(MONDAY), {NudgeKind.HOW_ARE_YOU}),
        (OnHold(utc("2027-01-03T12:00"), "urgent", "x", "y"), {NudgeKind.SAFETY_FOLLOWUP}),
    ],
)
def test_who_is_joining_ill_or_on_hold_hears_nothing_of_running(standing: Standing, heard: set[NudgeKind]) -> None:
    assert {n.kind for n in play(drawn(MWS, standing=standing), days=14).nudges} == heard


@pytest.mark.parametrize("said", ["", "Mon 20:00 sore"])
def test_who_is_ill_is_asked_how_it_is_on_three_mornings_then_on_days_7_and_14(said: str) -> None:
    asked = ["Tue", "Wed", "Thu", "2Mon", "3Mon"]
    ill = drawn(MWS, standing=Ill(MONDAY))
    assert sent(play(ill, said, days=21)) == [f"{day} 07:00 how_are_you" for day in asked]


@pytest.mark.parametrize(("stopped", "reachable"), [(True, True), (False, False)])
def test_nothing_after_stop_and_nothing_to_whom_we_cannot_reach(stopped: bool, reachable: bool) -> None:
    book = drawn(MWS)
    gone = replace(book, runner=replace(book.runner, stopped=stopped, reachable=reachable))
    now = at_wall(MONDAY, time(7), BERLIN)
    assert nudges.next_look(gone, now) is None
    assert nudges.settle_due(gone, now) == ()
    assert nudges.forecast_nudges(gone, now) == ()
    assert nudges.why_withdrawn(gone, NudgeKind.MORNING, MONDAY, "", now)


def test_the_walking_are_reminded_of_their_walks() -> None:
    book = drawn("Mon 30 walk, Wed 30 walk", standing=Walking(utc("2027-01-01T12:00"), "screening"), past="Sun")
    lines = sent(play(book, "Mon 19:00 walked 30, Wed 18:59 walked 30", days=3))
    assert lines == ["Mon 07:00 morning", "Wed 07:00 morning"]


@pytest.mark.parametrize(
    "change",
    [{"returning": Return(MONDAY, 14, 180, 90, 180)}, {"walk_run": WalkRun(1, 0, MONDAY)}],
)
def test_a_return_and_walk_run_are_warned_too(change: dict[str, Return | WalkRun]) -> None:
    book = drawn("Mon 30", past="Sun")
    coming = replace(book, **change)  # type: ignore[arg-type]
    assert "Wed 20:00 gap_warning" in sent(play(coming, "Mon 18:30 ran 30", days=3))


@pytest.mark.parametrize(
    ("said", "again"),
    [
        ("Mon 07:01 snooze 30 min", "Mon 07:31 snoozed"),
        ("Mon 07:01 snooze 2 h", "Mon 09:01 snoozed"),
        ("Mon 07:01 snooze this evening", "Mon 19:00 snoozed"),
        ("Mon 07:01 snooze tomorrow", "Tue 07:00 snoozed"),
    ],
)
def test_a_snooze_is_sent_once_when_it_was_asked_for(said: str, again: str) -> None:
    book = play(drawn("Mon 45", past="Sun"), said, days=3)
    assert [line for line in sent(book) if "snoozed" in line] == [again]


def test_a_snooze_counts_in_no_limit() -> None:
    book = play(drawn("Mon 45", past="Sun"), "Mon 07:01 snooze 30 min, Mon 07:35 snooze 2 h", days=1)
    assert sent(book) == ["Mon 07:00 morning", "Mon 07:31 snoozed", "Mon 09:35 snoozed", "Mon 20:00 check_in"]


def test_a_snoozed_reminder_is_dropped_once_the_run_is_logged() -> None:
    book = play(drawn("Mon 45", past="Sun"), "Mon 07:01 snooze 2 h, Mon 08:30 ran 45", days=1)
    assert sent(book) == ["Mon 07:00 morning"]


def test_pending_foretells_what_is_sent_when_nothing_changes() -> None:
    book = drawn(MWS)
    now = at_wall(MONDAY, time(3), BERLIN)
    foretold = [(p.kind, p.at) for p in nudges.forecast_nudges(book, now, 7)]
    assert foretold == [(n.kind, n.at) for n in play(book, days=7).nudges if n.outcome is Outcome.SENT]
    assert foretold[0] == (NudgeKind.MORNING, utc("2027-01-04T06:00"))


def test_due_settles_everything_once_and_changes_nothing_itself() -> None:
    book, now = drawn(MWS), at_wall(MONDAY, time(7), BERLIN)
    first = nudges.settle_due(book, now)
    assert first == nudges.settle_due(book, now)
    assert [v.nudged.outcome for v in first] == [Outcome.SENT]
    assert Reason(first[0].nudged.reason).text == "It was due."
    assert nudges.settle_due(replace(book, nudges=tuple(v.nudged for v in first)), now) == ()


def test_what_became_true_by_the_runners_own_word_is_not_sent_at_once() -> None:
    # The session is moved to today long after the reminder time: they know.
    book = play(drawn("Tue 45", past="Sun"), "Mon 08:30 moved Tue Mon", days=1)
    assert sent(book) == ["Mon 20:00 check_in"]


def test_a_new_runner_starts_without_a_gap() -> None:
    book = drawn("Thu 30", past="")
    joined = utc("2027-01-04T18:00")
    new = replace(book, runner=replace(book.runner, joined_at=joined, last_heard=joined))
    assert [line for line in sent(play(new, days=3)) if "gap" in line] == []
    assert date(2027, 1, 7) == MONDAY + timedelta(days=3)
    assert isinstance(new.standing, Training)
