"""Who coaches a group: a second coach, a stand-in, a successor, and coaches of several groups."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from nudgebot.app import scheduler
from nudgebot.app.commands import COMMANDS
from nudgebot.app.request import Command
from nudgebot.domain.messages.group.group import COACHES_ONLY, LEAD_ONLY
from nudgebot.domain.model.rights import Who
from nudgebot.storage import coach_repository, group_repository
from tests.company import (
    ANA,
    BEN,
    CHAT,
    COACH,
    DAN,
    EVE,
    HOST,
    NAMES,
    OTHER_CHAT,
    OTHER_COACH,
    World,
    comes,
    digested,
    roster,
    world,
)

DAY = timedelta(days=1)
SECOND, STAND_IN = DAN, EVE


# Two coaches, a stand-in, a successor


def test_a_second_coach_sees_and_does_what_the_first_does_and_everybody_is_told(people: World) -> None:
    code = people.code(COACH, "/second_coach")
    letters = people.say(SECOND, f"/start {code}")
    assert sorted(letter.user for letter in letters) == sorted([ANA, BEN, COACH, SECOND])
    assert all("Dan looks after Kim's group" in letter.text for letter in letters if letter.user in {ANA, BEN})
    assert ["Dan looks after the group with you" in letter.text for letter in letters if letter.user == COACH] == [True]
    assert roster(people, SECOND) == roster(people, COACH)
    people.say(SECOND, "/tell Ana: see you on Friday")
    assert "Dan, your coach: see you on Friday" in [letter.text for letter in people.say(SECOND, "send")]
    assert {letter.user for letter in people.say(BEN, "/leave group")} == {BEN, COACH, SECOND}


def test_a_stand_in_looks_after_the_group_on_their_days_and_on_no_others(people: World) -> None:
    comes(people, STAND_IN, "/stand_in 10 jan to 16 jan")
    for day, theirs in ((9, False), (10, True), (16, True), (17, False)):
        people.now = datetime(2027, 1, day, 12, tzinfo=UTC)
        assert ("2 runners" in roster(people, STAND_IN)) is theirs, day
        assert "2 runners" in roster(people, COACH)
    scheduler.digest(people.engine, people.now, "telegram")
    assert "stands in" not in people.texts(COACH, "/coaches")[0]


@pytest.mark.parametrize("rest", ["", "soon", "1 feb to 30 jul"])
def test_a_stand_in_without_days_or_for_too_long_gets_no_link(people: World, rest: str) -> None:
    assert "/start" not in people.texts(COACH, f"/stand_in {rest}")[0]


def test_a_successor_leads_the_group_with_its_notes_and_settings_and_the_former_coach_is_out(people: World) -> None:
    people.say(COACH, "/note Ana prefers mornings")
    people.say(COACH, "/set Ana step 5")
    comes(people, SECOND, "/successor")
    assert "prefers mornings" in people.texts(SECOND, "/runner Ana")[0]
    assert "step" in people.texts(SECOND, "/set")[0]
    assert people.texts(COACH, "/roster") == [COACHES_ONLY]
    assert people.texts(SECOND, "/overview", chat=CHAT)
    letters = people.say(ANA, "/decline step")
    assert {letter.user for letter in letters} == {ANA, SECOND}


@pytest.mark.parametrize("command", ["/second_coach", "/stand_in 5 jan to 16 jan", "/successor"])
def test_what_was_shared_with_one_coach_is_not_seen_by_the_next_before_it_is_shared_again(
    people: World, command: str
) -> None:
    people.say(ANA, "/share effort on")
    people.say(ANA, "20 min, effort 4")
    people.now += DAY
    comes(people, SECOND, command)
    assert "Effort" not in people.texts(SECOND, "/runner Ana")[0]
    seen = people.texts(ANA, "/share")[0]
    assert "effort: off" in seen if command == "/successor" else "effort: on for Kim" in seen
    people.say(ANA, "/share effort on")
    assert "Effort: Mon 4 Jan 4" in people.texts(SECOND, "/runner Ana")[0]
    assert "effort: on," in people.texts(ANA, "/share")[0]


def test_a_group_goes_to_its_second_coach_when_the_first_is_erased_or_steps_down(people: World) -> None:
    comes(people, SECOND, "/second_coach")
    people.say(COACH, "/erase")
    letters = people.say(COACH, "erase everything")
    assert "Dan leads the group from now on" in " ".join(letter.text for letter in letters if letter.user == ANA)
    assert "2 runners" in roster(people, SECOND)
    people.say(SECOND, "/close group")
    with people.engine.begin() as conn:
        assert coach_repository.groups(conn, "telegram") == (2,)


def test_one_leads_one_group_at_a_time_and_a_used_link_opens_nothing(people: World) -> None:
    code = people.code(COACH, "/successor")
    assert "one can lead one at a time" in people.texts(OTHER_COACH, f"/start {code}")[0]
    people.say(SECOND, f"/start {code}")
    people.say(STAND_IN, f"/start {code}")
    assert people.book(STAND_IN) is None


def test_the_lead_and_the_host_take_a_coach_off_after_a_question(people: World) -> None:
    comes(people, SECOND, "/second_coach")
    assert "Shall I" in people.texts(COACH, "/dismiss Dan")[0]
    assert "2 runners" in roster(people, SECOND)
    people.say(COACH, "yes")
    assert people.texts(SECOND, "/roster") == [COACHES_ONLY]
    assert "Kim" in people.texts(HOST, "/coaches")[0]
    people.say(HOST, "/dismiss Kim")
    told = people.say(HOST, "yes")
    assert {ANA, BEN, COACH, HOST} == {letter.user for letter in told}
    assert people.texts(COACH, "/roster") == [COACHES_ONLY]
    assert "Cleo" in roster(people, OTHER_COACH)


def test_a_second_coach_takes_off_nobody_but_themselves(people: World) -> None:
    comes(people, SECOND, "/second_coach")
    for whom in ("Kim", "Lou", "Ana"):
        assert "/coaches" in people.texts(SECOND, f"/dismiss {whom}")[0]
        people.say(SECOND, "yes")
    assert "2 runners" in roster(people, COACH)
    people.say(SECOND, "/dismiss me")
    people.say(SECOND, "yes")
    assert people.texts(SECOND, "/roster") == [COACHES_ONLY]
    assert people.book(SECOND) is not None


# Somebody who has a group stands in elsewhere as well


def both(people: World, days: str = "4 jan to 16 jan") -> World:
    """Lou, who leads a group with Cleo in it, stands in for Kim."""
    assert any("/group Kim" in text for text in comes(people, OTHER_COACH, f"/stand_in {days}"))
    return people


def test_a_coach_with_a_group_stands_in_elsewhere_and_has_one_of_them_at_the_desk(people: World) -> None:
    both(people)
    assert roster(people, OTHER_COACH).startswith("your own group, Mon 4 Jan, 1 runner")
    assert "No runner of yours in your own group is called Ana" in people.texts(OTHER_COACH, "/runner Ana")[0]
    assert "At your desk now: Kim's group, 2 runners" in people.texts(OTHER_COACH, "/group kim")[0]
    assert roster(people, OTHER_COACH).startswith("Kim's group, Mon 4 Jan, 2 runners")
    assert "Kim's group" in people.texts(OTHER_COACH, "/tell all the lake on Friday")[0]
    assert sorted(letter.user for letter in people.say(OTHER_COACH, "send")) == [ANA, BEN, OTHER_COACH]
    assert people.texts(OTHER_COACH, "/successor") == [LEAD_ONLY]
    people.say(OTHER_COACH, "/group own")
    assert "Cleo" in roster(people, OTHER_COACH)
    people.deliver()
    assert "Arrived: Ana and Ben" in people.texts(OTHER_COACH, "/delivered")[0]
    shown = people.texts(OTHER_COACH, "/group")[0]
    assert shown.startswith("Your own group, at your desk now\nKim's group\n")
    assert "one group" in people.texts(COACH, "/group")[0]


def test_what_was_asked_about_one_group_is_not_carried_out_at_the_other(people: World) -> None:
    both(people)
    (asked,) = people.say(OTHER_COACH, "/tell all we start at nine")
    people.say(OTHER_COACH, "/group Kim")
    assert {letter.user for letter in people.say(OTHER_COACH, "send")} == {OTHER_COACH}
    assert {letter.user for letter in people.press(OTHER_COACH, asked.buttons[0])} == {OTHER_COACH}
    people.say(OTHER_COACH, "/remove Ana")
    people.say(OTHER_COACH, "/group own")
    people.say(OTHER_COACH, "yes")
    assert "2 runners" in roster(people, COACH)


def test_in_a_chat_a_coach_of_several_speaks_for_the_group_of_that_chat(people: World) -> None:
    both(people)
    for chat in (CHAT, OTHER_CHAT):
        assert "another coach" not in people.texts(OTHER_COACH, "/overview", chat=chat)[0]


def test_each_group_of_a_coach_has_a_digest_of_its_own(people: World) -> None:
    both(people)
    people.say(OTHER_COACH, "/digest sat 09:30")
    people.say(OTHER_COACH, "/group Kim")
    people.say(OTHER_COACH, "/digest sat 09:30")
    assert digested(people, datetime(2027, 1, 9, 9, 30, tzinfo=UTC)) == [OTHER_COACH, OTHER_COACH]


def test_a_stand_in_with_a_group_leaves_the_other_alone_and_keeps_their_own(people: World) -> None:
    both(people)
    people.say(OTHER_COACH, "/group Kim")
    assert "looks after the group no more" in people.texts(COACH, "/dismiss Lou")[0]
    people.say(COACH, "yes")
    assert roster(people, OTHER_COACH).startswith("Mon 4 Jan, 1 runner")
    both(people)
    people.say(OTHER_COACH, "/erase")
    people.say(OTHER_COACH, "erase everything")
    assert "2 runners" in roster(people, COACH)
    assert people.texts(COACH, "/coaches") == ["Kim: leads the group"]


def test_a_stand_in_is_told_when_it_begins_and_that_it_is_over(people: World) -> None:
    comes(people, STAND_IN, "/stand_in 10 jan to 16 jan")
    early = "You look after Kim's group from Sun 10 Jan to Sat 16 Jan; that works then."
    assert people.texts(STAND_IN, "/roster") == [early]
    people.now = datetime(2027, 1, 17, 9, tzinfo=UTC)
    people.deliver()
    scheduler.digest(people.engine, people.now, "telegram")
    assert [(letter.user, letter.text[:33]) for letter in people.deliver()] == [
        (STAND_IN, "Your days with Kim's group are ov")
    ]
    assert people.texts(STAND_IN, "/roster") == [COACHES_ONLY]
    assert not [
        letter for letter in people.say(DAN, f"/start {people.code(COACH, '/successor')}") if letter.user == EVE
    ]
    assert "You look after Dan's group" in people.texts(STAND_IN, f"/start {people.code(DAN, '/second_coach')}")[-1]


def test_a_coach_who_has_told_no_clock_is_on_that_of_who_leads_the_group(people: World) -> None:
    assert "UTC's clock: /zone Lisbon sets yours" in people.texts(COACH, "/digest")[0]
    people.say(COACH, "/zone Auckland")
    comes(people, STAND_IN, "/second_coach")
    assert "next on Sun 10 Jan." in people.texts(STAND_IN, "/digest sun 18:00")[0]
    assert digested(people, datetime(2027, 1, 10, 4, 59, tzinfo=UTC)) == []
    assert digested(people, datetime(2027, 1, 10, 5, 0, tzinfo=UTC)) == [STAND_IN]


# Rights, by every role


@pytest.mark.parametrize("row", [row for row in COMMANDS if Who.LEAD in row.right.who], ids=lambda row: row.name)
@pytest.mark.parametrize("user", [SECOND, STAND_IN, ANA, HOST, OTHER_COACH], ids=lambda user: NAMES[user])
def test_the_group_is_handed_on_and_closed_by_who_leads_it_alone(row: Command, user: str) -> None:
    people = world()
    comes(people, SECOND, "/second_coach")
    comes(people, STAND_IN, "/stand_in 4 jan to 16 jan")
    rest = {"close": "group", "stand_in": "20 jan to 22 jan"}.get(row.name, "")
    texts = people.texts(user, f"/{row.name} {rest}".strip())
    if user in {SECOND, STAND_IN}:
        assert texts == [LEAD_ONLY]
    runs = (people.number(ANA), people.number(BEN))
    with people.engine.begin() as conn:
        assert coach_repository.lead_of(conn, 1).user == COACH
        assert group_repository.member_ids(conn, 1) == runs
