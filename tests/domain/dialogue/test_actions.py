"""Buttons: each action has a handler and a form of its own, and does its own message's thing, once."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.app.decide import SHARED
from nudgebot.domain.dialogue.actions import HANDLERS
from nudgebot.domain.dialogue.intents import INTENTS
from nudgebot.domain.dialogue.questions.pending_question import QUESTIONS
from nudgebot.domain.model import actions as act
from nudgebot.domain.model.action_codec import ACTIONS, CHOSEN, decode, encode
from nudgebot.domain.model.actions import Action, Chosen
from nudgebot.domain.model.questions import Ask
from nudgebot.domain.text.reply import Intent
from nudgebot.domain.text.sayings import action_in
from tests.talking import joined

DAYS = st.dates(date(2000, 1, 1), date(2100, 1, 1))
ROWS = st.tuples(DAYS, st.integers(1, 120)).map(lambda of: tuple(of[0] + timedelta(days=n) for n in range(of[1])))
WORDS = st.text(st.characters(codec="utf-8"), max_size=40)
MOMENTS = st.datetimes(datetime(2020, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))  # noqa: DTZ001 - hypothesis adds the zone


def of(kind: type[Any], *parts: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.builds(kind, *parts)


CHOICES = st.one_of(
    of(act.Agreed, st.booleans()),
    of(act.ChosenMinutes, st.integers(0, 1_440)),
    of(act.ChosenNumber, st.floats(-60, 600)),
    of(act.ChosenDays, ROWS | st.lists(DAYS, max_size=5).map(tuple)),
    of(act.ChosenOption, st.sampled_from(act.Option)),
    of(act.ChosenReading, st.integers(0, 9)),
    of(act.ChosenValue, WORDS),
)
MAYBE = st.none() | DAYS
ANY_ACTION: st.SearchStrategy[Action] = st.one_of(
    of(act.Reply, WORDS, CHOICES),
    of(act.Undo, WORDS),
    *(of(kind, MAYBE) for kind in (act.Did, act.DidLess, act.InPlaceOfRun, act.Skip, act.LetGo, act.PutOff)),
    of(act.DidShort, st.integers(0, 600), DAYS, st.booleans()),
    of(act.Move, DAYS, DAYS),
    of(act.LimitDay, DAYS, st.integers(0, 600)),
    of(act.Remind, st.sampled_from(act.Later)),
    *(of(kind) for kind in (act.Resume, act.FallSilent, act.ShowSheet, act.LeaveGroup)),
    of(act.Feel, st.sampled_from(act.Feeling)),
    of(act.Misread, MOMENTS),
    of(act.NumberWas, MOMENTS, st.booleans()),
    of(act.ChangeSetting, WORDS),
    of(act.Open, st.sampled_from(act.Page)),
    of(act.SetShare, WORDS, st.booleans()),
    of(act.Decline, WORDS, st.none() | st.integers(0, 300)),
)


def members(union: Any) -> set[Any]:
    return {member for each in get_args(union) for member in (members(each) or {each})}


def test_every_action_has_a_form_and_a_handler_and_so_has_every_intent_and_every_question() -> None:
    assert {kind for kind, _ in ACTIONS.values()} == set(HANDLERS) == members(Action)
    assert {kind for kind, _ in CHOSEN.values()} == members(Chosen)
    assert SHARED.keys() <= HANDLERS.keys()
    assert set(INTENTS) == set(Intent)
    assert set(QUESTIONS) == set(Ask)


@given(ANY_ACTION)
def test_an_action_comes_back_as_it_was_written(action: Action) -> None:
    assert decode(encode(action)) == action


@given(st.text(max_size=80) | ANY_ACTION.map(encode).flatmap(lambda text: st.integers(0, 80).map(lambda n: text[:n])))
def test_any_text_at_all_is_an_action_or_none(text: str) -> None:
    found = decode(text)
    assert found is None or decode(encode(found)) == found


DAY = date(2027, 3, 10)


@pytest.mark.parametrize(
    ("line", "action"),
    [
        ("Did it", act.Did()),
        ("yes, did it on 2027-03-10.", act.Did(DAY)),
        ("shorter 2027-03-10", act.DidLess(DAY)),
        ("Let it go", act.LetGo()),
        ("in place of my run", act.InPlaceOfRun()),
        ("move 2027-03-10 to 2027-03-11", act.Move(DAY, DAY + timedelta(days=1))),
        ("tomorrow", act.PutOff()),
        ("remind me this evening", act.Remind(act.Later.THIS_EVENING)),
        ("skip 2027-02-30", None),
        ("move 2027-13-01 to 2027-01-02", None),
        ("done with the dishes", None),
        ("42 easy", None),
        ("", None),
    ],
)
def test_a_line_that_says_what_a_button_does_is_the_buttons_action(line: str, action: Action | None) -> None:
    assert action_in(line) == action


@pytest.mark.parametrize(
    ("line", "until"),
    [
        ("snooze 20 min", act.Later.HALF_HOUR),
        ("snooze for 1 hour", act.Later.ONE_HOUR),
        ("remind me again in 3 hrs", act.Later.TWO_HOURS),
        ("ask me again in half an hour", act.Later.HALF_HOUR),
        ("erinnere mich bitte in zwei", None),
        ("erinner mich in 45 Minuten", act.Later.HALF_HOUR),
        ("avísame en una hora", act.Later.ONE_HOUR),
        ("rappelle-moi dans 2 heures", act.Later.TWO_HOURS),
        ("lembra-me daqui a 20 minutos", act.Later.HALF_HOUR),
        ("remind me in 12 days", None),
        ("40 min, remind me in an hour", None),
    ],
)
def test_a_line_that_puts_a_message_off_by_a_time_is_no_run(line: str, until: act.Later | None) -> None:
    assert action_in(line) == (act.Remind(until) if until else None)


def log(played: Any) -> list[int]:
    return [entry["minutes"] for entry in played.dump["log"]]


def test_a_double_tap_on_undo_takes_back_one_run() -> None:
    two = "@ 2027-01-04 19:00\n23 easy\n@ 2027-01-05 19:00\n31 easy"
    last = max(m["n"] for m in joined(two).messages if m["buttons"] == ["Undo"])
    played = joined(f"{two}\n#1 of {last}\n#1 of {last}\n@ dump")
    assert log(played) == [23]
    assert played.texts[-1] == "That is taken back already."


def test_undo_under_an_older_message_takes_back_that_messages_run() -> None:
    first = next(m["n"] for m in joined("@ 2027-01-04 19:00\n23 easy").messages if m["buttons"] == ["Undo"])
    played = joined(f"@ 2027-01-04 19:00\n23 easy\n@ 2027-01-05 19:00\n31 easy\n#1 of {first}\n@ dump")
    assert log(played) == [31]


def nudge(lines: str, kind: str) -> int:
    return int(next(m["n"] for m in joined(lines).messages if m["kind"] == f"nudge:{kind}"))


def test_did_it_pressed_twice_counts_one_run() -> None:
    to = "@ 2027-01-04 20:30"
    n = nudge(to, "check_in")
    played = joined(f"{to}\n#1 of {n}\n#1 of {n}\n@ dump")
    assert len(log(played)) == 1
    assert played.texts[-1] == "That one is in the log already."


def test_tomorrow_pressed_again_days_later_moves_no_other_run() -> None:
    n = nudge("@ 2027-01-04 08:00", "morning")
    once = joined(f"@ 2027-01-04 08:00\n#2 of {n}\n@ 2027-01-05 08:00\n@ dump")
    twice = joined(f"@ 2027-01-04 08:00\n#2 of {n}\n@ 2027-01-05 08:00\n#2 of {n}\n@ dump")
    assert once.dump["plan"] == twice.dump["plan"]
    assert "already" in twice.texts[-1]


def test_later_pressed_twice_comes_once() -> None:
    n = nudge("@ 2027-01-04 08:00", "morning")
    played = joined(f"@ 2027-01-04 08:00\n#3 of {n}\n@ +5m\n#3 of {n}\n@ dump")
    assert [p["kind"] for p in played.dump["pending"]].count("snoozed") == 1


def test_worse_pressed_twice_on_one_morning_is_one_bad_morning() -> None:
    to = "@ 2027-01-04 19:00\nmy left calf hurts 2/10\nas planned\n@ 2027-01-05 08:00"
    n = nudge(to, "how_are_you")
    played = joined(f"{to}\n#3 of {n}\n#3 of {n}\n@ dump")
    assert played.dump["standing"] != "hold"


def test_an_answer_to_a_question_that_is_past_answers_no_other() -> None:
    lines = "@ 2027-01-04 19:00\nran this evening"
    n = next(m["n"] for m in joined(lines).messages if m["text"].startswith("How many minutes"))
    played = joined(f"{lines}\n#1 of {n}\n#1 of {n}\n@ dump")
    assert len(log(played)) == 1
    assert "out of date" in played.texts[-1]
