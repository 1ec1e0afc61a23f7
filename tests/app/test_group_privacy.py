"""Nothing of health, and no reason for a pause, is ever said in a group chat, whatever is said and whoever asks."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import nudgebot
from nudgebot.app.digest import send_digest
from nudgebot.domain.messages.common import in_all
from nudgebot.domain.messages.group.group import group_line
from nudgebot.domain.model.speech import REACTION, SAFETY
from nudgebot.domain.overview import chat_lines
from nudgebot.domain.overview.chat_lines import GroupLine, Overview, StopAndCall
from nudgebot.storage import coach_repository
from tests.company import ANA, BEN, CHAT, CLEO, COACH, EVE, HOST, World, world
from tests.memory import give_back

# Words of health, of its figures, and of reasons for a pause, in the languages that triage reads.
OF_HEALTH = re.compile(
    r"\b(?:pain|hurt|sore|ache|chest|heart|pulse|bpm|breath|faint|dizz|calf|knee|shin|fever|ill|illness|sick|cold|flu|"
    r"injur|hold|paus|away|holiday|clinician|doctor|physio|symptom|sign|weight|kg|kilo|pregnan|medicine|disease|dolor|"
    r"schmerz|douleur|dor|brust|pecho|effort|silent|gap|missed|skipped)\w*",
    re.IGNORECASE,
)
NUMBERS = re.compile(r"\d+")
LINES = (
    "42 easy", "20 min, hr 171, effort 9", "no run today, my knee hurts 6/10", "fever since last night", "chest pain",
    "crushing chest pain and my arm is numb", "me duele el pecho", "my dad collapsed, not breathing", "tired",
    "away mon to thu", "i weigh 92 kg now", "pregnant", "/week", "/why", "/safety", "/help", "/settings", "/roster",
    "/runner Ana", "/overview", "/bind", "/unbind", "/share", "/share name on", "/share pause on",
    "/share complaints on", "/export", "/leave group", "/back", "yes", "no", "cleared", "Dr Sousa, Monday", "stop",
    "/note Ana has a bad knee",
    "/tell all Ana has chest pain", "send", "/set Ana step 5", "/start", "/erase", "see you at six",
    "lovely evening",
    "/claim", "/claim AAAAAAAAAAAAAAAAAAAAAA", "/hand_over", "/retention 18 months", "/privacy", "/progress",
    "/unknown", "good luck with the calf Ben", "undo", "busy tomorrow",
)  # fmt: skip
SAID = st.tuples(
    st.sampled_from((ANA, BEN, CLEO, COACH, EVE, HOST)),
    st.sampled_from(LINES),
    st.sampled_from((CHAT, CHAT, "")),
    st.booleans(),
    st.sampled_from((0, 0, 3, 30, 24 * 8)),
)


def fine(text: str, kind: str) -> bool:
    """Whether a text may be said in a group chat."""
    if kind == SAFETY:
        first, _, rest = text.partition("\n")
        shapes = {*in_all("stop_and_call").values(), *in_all("other_first").values()}
        patterns = [re.escape(shape).replace(re.escape("{call}"), r"[^.\n]{0,80}") for shape in shapes]
        said = any(re.fullmatch(pattern, first) for pattern in patterns)
        return said and rest in {"", *in_all("written_to_you").values()}
    return not OF_HEALTH.search(text)


@settings(max_examples=40)
@given(st.lists(SAID, min_size=3, max_size=25))
def test_no_message_to_a_group_holds_anything_of_health(said: list[tuple[str, str, str, bool, int]]) -> None:
    """Only the emergency line goes to a group, naming no sign; all else of health is said in private."""
    people = world()
    for user, text, chat, addressed, hours in said:
        people.now += timedelta(hours=hours)
        letters = people.say(user, text, chat=chat, addressed=addressed or text.startswith("/"))
        with people.engine.begin() as conn:
            for number in coach_repository.digests_due(conn, "telegram", people.now):
                send_digest(conn, *number, people.now)
        for letter in [*letters, *people.deliver()]:
            if not letter.chat or not letter.text:
                continue
            assert letter.buttons == ()
            assert fine(letter.text, letter.kind), (text, letter.text)
            if letter.kind == REACTION:
                assert letter.text == "👍"
    give_back()


def test_what_the_property_looks_for_would_be_found() -> None:
    for text in ("Ana is ill", "Ben: pausing", "chest", "on hold", "heart rate 171"):
        assert not fine(text, "answer")
    assert not fine("Stop now: chest pain. Do not drive yourself.", SAFETY)


GROUP_LINES = [
    *chat_lines.FixedLine,
    chat_lines.NotReached(grave=False),
    chat_lines.Bound(now=True),
    chat_lines.Bound(now=False),
    Overview(("Ana", "Ben"), 5),
    Overview((), 1),
    chat_lines.CameBack("Ana"),
]


@pytest.mark.parametrize("line", GROUP_LINES, ids=str)
def test_the_lines_for_a_group_hold_no_word_of_health(line: GroupLine) -> None:
    assert fine(group_line(line), "answer")
    assert len(group_line(line)) <= 200


def test_every_line_for_a_group_is_looked_at() -> None:
    tested = {type(line) for line in GROUP_LINES} | {StopAndCall}
    assert tested == set(get_args(GroupLine))


@pytest.mark.parametrize("language", list(in_all("stop_and_call")))
@pytest.mark.parametrize("other", [False, True])
def test_the_emergency_line_names_no_sign(language: str, other: bool) -> None:
    for country in ("", "PT", "US", "BR"):
        text = group_line(StopAndCall(country, language, other, written=True))
        assert fine(text, SAFETY)
        assert not OF_HEALTH.search(text)


def calls() -> Iterator[tuple[str, ast.Call]]:
    for path in Path(nudgebot.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func).endswith("outbox.put"):
                yield path.name, node


def test_a_letter_to_a_group_is_put_in_two_places_the_lines_and_the_sign() -> None:
    to_groups = [name for name, call in calls() if any(word.arg == "chat" for word in call.keywords)]
    assert sorted(to_groups) == ["coaching.py", "group_chat.py"]


def people_in_a_group() -> World:
    return world()


SEEN = [
    ("42 easy", False, ["👍"], True),
    ("see you at six", False, [], False),
    ("lovely evening", False, [], False),
    ("no run today", False, [], False),
    ("no run today", True, ["👍"], True),
    ("/week", True, ["I have written to you."], True),
    ("my calf hurts 6/10", False, ["I have written to you."], True),
    ("chest pain", False, ["Stop now and call 112. Do not drive yourself.\nI have written to you."], True),
    ("/help", True, [group_line(chat_lines.FixedLine.GROUP_HELP)], False),
    ("/export", True, [group_line(chat_lines.FixedLine.PRIVATE_FIRST)], False),
    ("/bind", True, [group_line(chat_lines.FixedLine.COACHES_ONLY)], False),
]


@pytest.mark.parametrize(("text", "addressed", "in_group", "in_private"), SEEN)
def test_what_a_line_in_a_group_leads_to(text: str, addressed: bool, in_group: list[str], in_private: bool) -> None:
    letters = people_in_a_group().say(ANA, text, chat=CHAT, addressed=addressed)
    assert [letter.text for letter in letters if letter.chat] == in_group
    assert any(not letter.chat for letter in letters) is in_private
    assert {letter.user for letter in letters} <= {ANA}


def test_a_stranger_in_a_group_is_answered_in_an_emergency_and_otherwise_once_and_politely() -> None:
    people = people_in_a_group()
    assert people.say(EVE, "hello all", chat=CHAT, addressed=False) == []
    (polite,) = people.texts(EVE, "/week", chat=CHAT)
    assert polite == group_line(chat_lines.FixedLine.PRIVATE_FIRST)
    assert people.say(EVE, "/week", chat=CHAT) == []
    (line,) = people.say(EVE, "crushing chest pain", chat=CHAT, addressed=False)
    assert (line.chat, line.kind) == (CHAT, SAFETY)
    assert people.book(EVE) is None


def test_a_corrected_report_in_a_group_corrects_the_log() -> None:
    people = people_in_a_group()
    people.say(ANA, "42 easy", chat=CHAT, addressed=False, key="tg:-100:5")
    people.say(ANA, "45 easy", chat=CHAT, addressed=False, key="tg:-100:5:9", edits="tg:-100:5")
    book = people.book(ANA)
    assert book is not None
    assert [entry.minutes for entry in book.log] == [45]
