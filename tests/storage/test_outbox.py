"""Letters leave in order, in time, and as often as their kind allows."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from sqlalchemy import Connection, select, update

from nudgebot.domain.model.actions import Did, Later, Remind, Resume
from nudgebot.domain.model.nudged import NudgeKind, Outcome
from nudgebot.domain.model.runner import Runner
from nudgebot.domain.model.speech import ANSWER, NUDGE, QUESTION, SAFETY, Button, Say
from nudgebot.storage import book_repository, due_queue, outbox, schema
from nudgebot.storage.letter import Letter, LetterState, sent_once
from tests.storage.examples import NOW, SECRET, TODAY, nudged

pytestmark = pytest.mark.both_engines

LEASE = timedelta(seconds=60)
SECOND = timedelta(seconds=1)
HOUR = timedelta(hours=1)
SENT_AGAIN = (ANSWER, QUESTION, SAFETY, f"{NUDGE}safety_followup")
SENT_ONCE = tuple(f"{NUDGE}{kind}" for kind in NudgeKind if kind is not NudgeKind.SAFETY_FOLLOWUP)


@pytest.fixture
def ana(conn: Connection) -> Runner:
    return book_repository.create(conn, "telegram", "7", "Ana", NOW).runner


def put(conn: Connection, runner: Runner, key: str, kind: str = ANSWER, chat: str = "") -> None:
    assert outbox.put(conn, runner, Say(key, kind), key=key, now=NOW, chat=chat)


def put_nudge(conn: Connection, runner: Runner, kind: NudgeKind, stale_at: datetime | None = None) -> None:
    assert due_queue.settle(conn, runner.id, nudged(kind))
    say = Say("…", f"{NUDGE}{kind}")
    assert outbox.put(conn, runner, say, key=kind, now=NOW, stale_at=stale_at, nudge=nudged(kind))


def claim(conn: Connection, at: datetime = NOW, limit: int = 10) -> list[str]:
    return [letter.key for letter in outbox.claim(conn, "telegram", at, limit, LEASE)]


def state(conn: Connection, key: str) -> str:
    return str(conn.scalars(select(schema.outbox.c.state).where(schema.outbox.c.key == key)).one())


def letter_id(conn: Connection, key: str) -> int:
    return int(conn.scalars(select(schema.outbox.c.id).where(schema.outbox.c.key == key)).one())


def outcome(conn: Connection, runner: Runner, kind: NudgeKind) -> tuple[Outcome, str]:
    return next((n.outcome, n.reason) for n in book_repository.load(conn, runner.id).nudges if n.kind is kind)


def test_a_letter_comes_out_as_it_was_put(conn: Connection, ana: Runner) -> None:
    buttons = (Button("Did it", Did(date(2027, 1, 4))), Button("Später · 30 min", Remind(Later.HALF_HOUR)))
    say = Say("First line\nsecond – line", f"{NUDGE}morning", buttons, asks=None)
    about = nudged(NudgeKind.MORNING, "late")
    assert outbox.put(conn, ana, say, key="k", now=NOW, reply_to="12", chat="-100", stale_at=NOW + HOUR, nudge=about)
    (letter,) = outbox.claim(conn, "telegram", NOW, 10, LEASE)
    assert letter == Letter(
        letter.id, "k", ana.id, "telegram", "7", "-100", say.kind, say.text, buttons, None, "12",
        NudgeKind.MORNING, TODAY, "late", NOW, NOW, NOW + HOUR, attempts=1,
    )  # fmt: skip


def test_the_same_key_is_put_once(conn: Connection, ana: Runner) -> None:
    put(conn, ana, "k")
    assert not outbox.put(conn, ana, Say("other"), key="k", now=NOW)
    assert claim(conn) == ["k"]


def test_a_letter_being_sent_is_not_handed_out_again(conn: Connection, ana: Runner) -> None:
    put(conn, ana, "k")
    assert claim(conn) == ["k"]
    assert claim(conn, NOW + HOUR) == []


def test_letters_to_one_chat_leave_one_after_the_other(conn: Connection, ana: Runner) -> None:
    for key in ("1", "2", "3"):
        put(conn, ana, key)
    assert claim(conn) == ["1"]
    assert claim(conn) == []
    outbox.try_at(conn, letter_id(conn, "1"), NOW + 30 * SECOND)
    assert claim(conn, NOW + 29 * SECOND) == []
    assert claim(conn, NOW + 30 * SECOND) == ["1"]
    outbox.delivered(conn, letter_id(conn, "1"), NOW, "m1")
    assert claim(conn) == ["2"]


def test_another_chat_does_not_wait(conn: Connection, ana: Runner) -> None:
    ben = book_repository.create(conn, "telegram", "8", "Ben", NOW).runner
    put(conn, ana, "1")
    put(conn, ana, "2")
    put(conn, ana, "in a group", chat="-100")
    put(conn, ben, "also in the group", chat="-100")
    put(conn, ben, "3")
    assert claim(conn) == ["1", "in a group", "3"]


def test_a_group_named_like_a_person_is_another_chat(conn: Connection, ana: Runner) -> None:
    put(conn, ana, "private")
    put(conn, ana, "group", chat="7")
    assert claim(conn) == ["private", "group"]


def test_safety_goes_first_then_answers_then_what_was_not_asked_for(conn: Connection, ana: Runner) -> None:
    people = [book_repository.create(conn, "telegram", user, user, NOW).runner for user in "abcd"]
    kinds = (f"{NUDGE}morning", ANSWER, SAFETY, QUESTION)
    for person, kind in zip(people, kinds, strict=True):
        put(conn, person, kind, kind)
    assert claim(conn, limit=3) == [SAFETY, ANSWER, QUESTION]
    assert claim(conn, limit=3) == [f"{NUDGE}morning"]


def test_the_letters_of_another_voice_are_left_alone(conn: Connection, ana: Runner) -> None:
    put(conn, replace(ana, voice="talk"), "k")
    assert claim(conn) == []
    assert outbox.recover(conn, "telegram", NOW, all_leases=True) == 0


def test_a_delivered_letter_is_closed_and_keeps_its_buttons_but_not_its_text(conn: Connection, ana: Runner) -> None:
    outbox.put(conn, ana, Say(SECRET, buttons=(Button("a", Resume()),)), key="k", now=NOW)
    claim(conn)
    number = letter_id(conn, "k")
    outbox.delivered(conn, number, NOW, "m1")
    row = conn.execute(select(schema.outbox)).one()
    assert (row.state, row.message_id, row.text, row.ended_at) == ("sent", "m1", "", NOW)
    kept = outbox.find(conn, number)
    assert kept is not None
    assert kept.buttons == (Button("a", Resume()),)
    outbox.try_at(conn, number, NOW)
    outbox.unknown(conn, number, NOW)
    outbox.refused(conn, number, NOW, "blocked")
    assert state(conn, "k") == "sent"


def test_the_kinds_are_all_of_them() -> None:
    assert all(sent_once(kind) for kind in SENT_ONCE)
    assert not any(sent_once(kind) for kind in SENT_AGAIN)
    assert len(SENT_ONCE) == len(NudgeKind) - 1


@pytest.mark.parametrize("kind", SENT_ONCE)
def test_an_ordinary_nudge_of_unknown_end_counts_as_sent(kind: str, conn: Connection, ana: Runner) -> None:
    put(conn, ana, "unknown", kind)
    claim(conn)
    outbox.unknown(conn, letter_id(conn, "unknown"), NOW)
    put(conn, ana, "killed", kind)
    assert claim(conn) == ["killed"]
    assert outbox.calling(conn, letter_id(conn, "killed"), 1)
    assert outbox.recover(conn, "telegram", NOW + LEASE) == 1
    assert (state(conn, "unknown"), state(conn, "killed")) == ("unknown", "unknown")
    assert claim(conn, NOW + 24 * HOUR) == []


@pytest.mark.parametrize("kind", SENT_ONCE)
def test_a_nudge_that_was_taken_up_and_not_handed_to_the_network_is_sent_by_the_next_start(
    kind: str, conn: Connection, ana: Runner
) -> None:
    put(conn, ana, "waits for its turn", kind)
    claim(conn)
    assert outbox.recover(conn, "telegram", NOW, all_leases=True) == 1
    assert claim(conn) == ["waits for its turn"]


@pytest.mark.parametrize("kind", SENT_AGAIN)
def test_what_must_arrive_is_sent_again_until_it_is_confirmed(kind: str, conn: Connection, ana: Runner) -> None:
    put(conn, ana, "k", kind)
    at = NOW
    pauses = []
    for _ in range(12):
        assert claim(conn, at) == ["k"]
        outbox.unknown(conn, letter_id(conn, "k"), at)
        again = outbox.next_try(conn, "telegram")
        assert again is not None
        pauses.append((again - at) // SECOND)
        at = again
    assert pauses == [2, 4, 8, 16, 32, 64, 128, 256, 300, 300, 300, 300]
    assert claim(conn, at) == ["k"]
    assert outbox.recover(conn, "telegram", at + LEASE - SECOND) == 0
    assert outbox.recover(conn, "telegram", at + LEASE) == 1
    assert claim(conn, at + LEASE) == ["k"]
    outbox.delivered(conn, letter_id(conn, "k"), at, "m")
    assert claim(conn, at + 24 * HOUR) == []


def test_a_start_that_is_alone_waits_for_no_lease(conn: Connection, ana: Runner) -> None:
    put(conn, ana, "k")
    claim(conn)
    assert outbox.recover(conn, "telegram", NOW) == 0
    assert outbox.recover(conn, "telegram", NOW, all_leases=True) == 1
    assert claim(conn) == ["k"]


def test_a_lease_from_before_the_clock_was_set_back_is_over(conn: Connection, ana: Runner) -> None:
    put(conn, ana, "k")
    claim(conn)
    assert outbox.recover(conn, "telegram", NOW - 5 * HOUR) == 1


def test_a_nudge_that_could_not_leave_in_time_is_dropped_and_the_book_says_so(conn: Connection, ana: Runner) -> None:
    put_nudge(conn, ana, NudgeKind.MORNING, stale_at=NOW + 3 * HOUR)
    claim(conn)
    outbox.try_at(conn, letter_id(conn, "morning"), NOW + 4 * HOUR)
    assert claim(conn, NOW + 3 * HOUR) == []
    assert state(conn, "morning") == "waiting"
    assert claim(conn, NOW + 3 * HOUR + SECOND) == []
    assert state(conn, "morning") == "dropped"
    assert outcome(conn, ana, NudgeKind.MORNING) == (Outcome.DROPPED, "too late")


def test_a_nudge_may_leave_at_the_last_moment(conn: Connection, ana: Runner) -> None:
    put_nudge(conn, ana, NudgeKind.MORNING, stale_at=NOW)
    assert claim(conn, NOW) == ["morning"]


def test_a_nudge_that_is_no_longer_true_is_dropped_and_the_book_says_so(conn: Connection, ana: Runner) -> None:
    put_nudge(conn, ana, NudgeKind.MORNING)
    claim(conn)
    outbox.not_sent(conn, letter_id(conn, "morning"), NOW, "already run")
    assert outcome(conn, ana, NudgeKind.MORNING) == (Outcome.DROPPED, "already run")
    assert claim(conn, NOW + HOUR) == []


def test_a_nudge_that_counts_as_sent_stays_sent_in_the_book(conn: Connection, ana: Runner) -> None:
    put_nudge(conn, ana, NudgeKind.MORNING)
    claim(conn)
    outbox.unknown(conn, letter_id(conn, "morning"), NOW)
    assert outcome(conn, ana, NudgeKind.MORNING)[0] is Outcome.SENT


def test_a_runner_who_blocked_us_is_unreachable_and_gets_nothing_more(conn: Connection, ana: Runner) -> None:
    put_nudge(conn, ana, NudgeKind.MORNING)
    put_nudge(conn, ana, NudgeKind.CHECK_IN)
    put(conn, ana, "in a group", chat="-100")
    claim(conn)
    outbox.refused(conn, letter_id(conn, "morning"), NOW, "blocked by the user")
    assert not book_repository.load(conn, ana.id).runner.reachable
    assert outcome(conn, ana, NudgeKind.MORNING) == (Outcome.DROPPED, "blocked by the user")
    assert outcome(conn, ana, NudgeKind.CHECK_IN) == (Outcome.DROPPED, "blocked by the user")
    assert state(conn, "in a group") == "taken"
    assert claim(conn, NOW + HOUR) == []


def test_a_group_that_shut_us_out_says_nothing_about_the_person(conn: Connection, ana: Runner) -> None:
    put(conn, ana, "in a group", chat="-100")
    put(conn, ana, "private")
    claim(conn)
    outbox.refused(conn, letter_id(conn, "in a group"), NOW, "kicked")
    assert book_repository.load(conn, ana.id).runner.reachable
    assert (state(conn, "in a group"), state(conn, "private")) == ("refused", "taken")


def test_somebody_of_whom_nothing_is_kept_is_answered(conn: Connection, ana: Runner) -> None:
    put(conn, replace(ana, id=0, user="99"), "goodbye")
    (letter,) = outbox.claim(conn, "telegram", NOW, 10, LEASE)
    assert (letter.runner_id, letter.user, letter.text) == (None, "99", "goodbye")
    outbox.refused(conn, letter.id, NOW, "blocked")
    assert outbox.find(conn, letter.id) is None  # and of the letter nothing is kept either


def test_ended_letters_are_kept_for_eight_days(conn: Connection, ana: Runner) -> None:
    put(conn, ana, "sent")
    put(conn, ana, "waiting")
    claim(conn)
    outbox.delivered(conn, letter_id(conn, "sent"), NOW, "m")
    outbox.prune(conn, NOW + timedelta(days=8))
    assert state(conn, "sent") == "sent"
    outbox.prune(conn, NOW + timedelta(days=8, seconds=1))
    assert conn.scalars(select(schema.outbox.c.key)).all() == ["waiting"]


def test_a_letter_of_a_kind_that_no_longer_exists_still_leaves(conn: Connection, ana: Runner) -> None:
    put_nudge(conn, ana, NudgeKind.MORNING)
    conn.execute(update(schema.outbox).values(nudge_kind="a word of yesterday"))
    (letter,) = outbox.claim(conn, "telegram", NOW, 10, LEASE)
    assert letter.nudge_kind is None
    outbox.not_sent(conn, letter.id, NOW, "why")


def test_a_letter_that_is_gone_is_nobodys_trouble(conn: Connection) -> None:
    assert outbox.find(conn, 99) is None
    outbox.unknown(conn, 99, NOW)
    outbox.refused(conn, 99, NOW, "why")
    outbox.not_sent(conn, 99, NOW, "why")
    outbox.delivered(conn, 99, NOW, "m")
    assert outbox.next_try(conn, "telegram") is None


def test_a_letter_put_off_from_the_start_lets_later_ones_pass(conn: Connection, ana: Runner) -> None:
    assert outbox.put(conn, ana, Say("in the morning"), key="later", now=NOW, not_before=NOW + HOUR)
    put(conn, ana, "now", SAFETY)
    assert claim(conn) == ["now"]
    outbox.delivered(conn, letter_id(conn, "now"), NOW, "1")
    assert claim(conn, NOW + HOUR) == ["later"]


def test_a_letter_that_waits_for_the_platform_still_holds_its_place(conn: Connection, ana: Runner) -> None:
    put(conn, ana, "first")
    put(conn, ana, "second")
    assert claim(conn) == ["first"]
    outbox.try_at(conn, letter_id(conn, "first"), NOW + HOUR)
    assert claim(conn) == []
    assert claim(conn, NOW + HOUR) == ["first"]


def test_what_was_put_off_is_called_off_for_one_who_wants_to_be_left_alone(conn: Connection, ana: Runner) -> None:
    ben = book_repository.create(conn, "telegram", "8", "Ben", NOW).runner
    for runner in (ana, ben):
        outbox.put(conn, runner, Say("in the morning"), key=runner.name, now=NOW, not_before=NOW + HOUR)
    put(conn, ana, "I go silent now.")
    outbox.call_off(conn, ana.id, NOW)
    assert claim(conn) == ["I go silent now."]
    assert claim(conn, NOW + HOUR) == ["Ben"]
    assert state(conn, "Ana") == LetterState.DROPPED


def test_an_answer_does_not_wait_behind_the_persons_own_nudge(conn: Connection, ana: Runner) -> None:
    put_nudge(conn, ana, NudgeKind.MORNING)
    put(conn, ana, "answer")
    put(conn, ana, "second answer")
    assert claim(conn) == ["answer"]  # one a chat
    assert claim(conn) == []
    outbox.delivered(conn, letter_id(conn, "answer"), NOW, "1")
    assert claim(conn) == ["second answer"]
    outbox.delivered(conn, letter_id(conn, "second answer"), NOW, "2")
    assert claim(conn) == [NudgeKind.MORNING]


def test_a_nudge_that_is_on_its_way_is_not_passed(conn: Connection, ana: Runner) -> None:
    put_nudge(conn, ana, NudgeKind.MORNING)
    assert claim(conn) == [NudgeKind.MORNING]
    put(conn, ana, "answer")
    assert claim(conn) == []
    outbox.try_at(conn, letter_id(conn, NudgeKind.MORNING), NOW + SECOND)  # refused for a time
    assert claim(conn, NOW + SECOND) == [NudgeKind.MORNING]
