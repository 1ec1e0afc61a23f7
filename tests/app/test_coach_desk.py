"""What a coach sets, notes, writes and hears: settings taken back, notes, messages, their fate, the digest."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from tests.company import (
    ANA,
    BEN,
    COACH,
    DAN,
    NOW,
    OTHER_COACH,
    World,
    comes,
    digested,
)

DAY = timedelta(days=1)
SECOND = DAN


# Settings


def test_a_setting_is_taken_back_and_what_is_set_is_seen(people: World) -> None:
    assert "Nothing is set" in people.texts(COACH, "/set")[0]
    people.say(COACH, "/set Ana step 5")
    assert "Ana: a weekly step of 5 %" in people.texts(COACH, "/set")[0]
    letters = people.say(COACH, "/set Ana step usual")
    assert {letter.user for letter in letters} == {ANA, COACH}
    book = people.book(ANA)
    assert book is not None
    assert book.profile.coach_step == 10
    assert "Nothing is set" in people.texts(COACH, "/set")[0]


def test_the_runners_settings_list_what_the_coach_set(people: World) -> None:
    people.say(COACH, "/set Ana session 40")
    assert "set by your coach: no run over 40 min (/decline session" in people.texts(ANA, "/settings")[0]


@pytest.mark.parametrize("how", ["button", "line"])
def test_what_is_declined_for_good_is_not_set_again_before_the_runner_allows_it(people: World, how: str) -> None:
    told, _ = people.say(COACH, "/set Ana session 40")
    if how == "button":
        assert told.buttons[1].label == "Do not set this again"
        people.press(ANA, told.buttons[1])
    else:
        people.say(ANA, "/decline session for good")
    (refused,) = people.say(COACH, "/set Ana session 40")
    assert "not set by a coach" in refused.text
    assert "not to be set by a coach: session" in people.texts(ANA, "/settings")[0]
    people.say(ANA, "/decline session off")
    assert {letter.user for letter in people.say(COACH, "/set Ana session 40")} == {ANA, COACH}


@pytest.mark.parametrize("line", ["/set Ana session 40", "/remove Ana"])
def test_a_runner_who_said_stop_is_told_with_their_next_word_and_the_coach_is_told_so(people: World, line: str) -> None:
    people.say(ANA, "stop")
    people.deliver()
    people.say(COACH, line)
    last = people.texts(COACH, "yes")[-1] if "remove" in line else people.texts(COACH, line)[-1]
    assert "with their next word" in last
    people.now += 3 * DAY
    assert not [letter for letter in people.deliver() if letter.user == ANA]
    people.say(ANA, "hello")
    assert [letter for letter in people.deliver() if letter.user == ANA and "Kim" in letter.text]


# Questions in plain words


@pytest.mark.parametrize(
    "line",
    ["how is Ana doing?", "when did ana last run", "¿qué tal va Ana esta semana?", "wie läuft es bei Ana?"],
)
def test_a_question_that_names_a_runner_shows_that_runner(people: World, line: str) -> None:
    people.say(ANA, "25 easy")
    (page,) = people.texts(COACH, line)
    assert page == people.texts(COACH, "/runner Ana")[0]


@pytest.mark.parametrize("line", ["who needs a word?", "Roster"])
def test_who_needs_a_word_is_answered_without_a_slash(people: World, line: str) -> None:
    assert people.texts(COACH, line) == people.texts(COACH, "/roster")


@pytest.mark.parametrize("line", ["how are Ana and Ben doing?", "Ana told me that her chest hurts", "how is Zoe?"])
def test_no_page_is_shown_where_two_or_nobody_are_named_or_a_sign_is_told(people: World, line: str) -> None:
    assert "Runs by day" not in "".join(people.texts(COACH, line))


@pytest.mark.parametrize("speaker", [BEN, OTHER_COACH])
def test_a_question_about_a_runner_shows_nothing_to_those_who_do_not_coach_her(people: World, speaker: str) -> None:
    people.say(ANA, "25 easy")
    assert "25" not in "".join(people.texts(speaker, "how is Ana doing?"))


# Notes


def test_a_note_is_shown_changed_and_taken_away(people: World) -> None:
    people.say(COACH, "/note Ana prefers mornings")
    people.say(COACH, "/note Ana works nights")
    assert "1: prefers mornings" in people.texts(COACH, "/note Ana")[0]
    people.say(COACH, "/note Ana 1 prefers evenings")
    people.say(COACH, "/note Ana 2 delete")
    page = people.texts(COACH, "/note Ana")[0]
    assert "1: prefers evenings" in page
    assert "nights" not in page
    assert "no note of that number" in people.texts(COACH, "/note Ana 7 delete")[0]


# Messages by state, and what became of them


def test_a_message_goes_to_those_under_one_word_of_the_roster_and_names_them_first(people: World) -> None:
    people.now = NOW + 8 * DAY
    people.say(BEN, "hello")
    (shown,) = people.say(COACH, "/tell silent: no need to explain anything")
    assert shown.text.startswith("To Ana (silent):")
    assert {letter.user for letter in people.say(COACH, "send")} == {ANA, COACH}
    assert "Nobody is on the roster" in people.texts(COACH, "/tell pausing: get well")[0]


def test_what_was_delivered_is_told_runner_by_runner(people: World) -> None:
    assert "no message" in people.texts(COACH, "/delivered")[0]
    people.say(BEN, "stop")
    people.deliver()
    people.say(COACH, "/tell all Sunday, the lake")
    (done, *_) = [letter for letter in people.say(COACH, "send") if letter.user == COACH]
    assert "Ben asked me for silence" in done.text
    assert "On its way: Ana" in people.texts(COACH, "/delivered")[0]
    people.deliver()
    assert "Arrived: Ana" in people.texts(COACH, "/delivered")[0]


@pytest.mark.parametrize("line", ["away until 20 jan", "fever", "crushing chest pain"])
def test_a_message_about_running_waits_for_whoever_pauses_whatever_the_reason(people: World, line: str) -> None:
    """Were those on holiday told to run and the ill not, the answer would say who is ill."""
    people.say(ANA, line)
    people.say(COACH, "/tell Ana: run an easy half hour")
    letters = people.say(COACH, "send")
    assert {letter.user for letter in letters} == {COACH}
    assert "Ana is pausing" in letters[-1].text


# The digest


@pytest.mark.parametrize(
    ("line", "at"),
    [("sun 18:00", datetime(2027, 1, 10, 18, tzinfo=UTC)), ("friday", datetime(2027, 1, 8, 7, 30, tzinfo=UTC))],
)
def test_each_coach_has_a_digest_day_and_hour_of_their_own(people: World, line: str, at: datetime) -> None:
    comes(people, SECOND, "/second_coach")
    people.say(COACH, f"/digest {line}")
    assert digested(people, at - timedelta(minutes=1)) == []
    assert digested(people, at) == [COACH]
    monday = datetime(2027, 1, 11, 7, 30, tzinfo=UTC)
    assert COACH not in digested(people, monday)


def test_a_coach_who_wants_no_digest_gets_none(people: World) -> None:
    people.say(COACH, "/digest off")
    assert digested(people, datetime(2027, 1, 11, 7, 30, tzinfo=UTC)) == [OTHER_COACH]
    assert "/digest sun 18:00" in people.texts(COACH, "/digest blue moon")[0]
