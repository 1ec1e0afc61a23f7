"""Names on a coach's screen: none hides, none is taken for another's or for a word of ours, each is found again."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.model.runner import Runner
from nudgebot.domain.overview.group import RESERVED
from nudgebot.domain.overview.names import NAME_SHOWN, UNSEEN, find_meant, labels, plain, shown_name
from tests.domain.overview.test_group import JOINED


def person(number: int, name: str) -> Runner:
    return Runner(number, "talk", f"u{number}", name, JOINED, JOINED)


def shown(*names: str) -> list[str]:
    """How these people are written, with the numbers 1, 2, …"""
    return list(labels([person(n, name) for n, name in enumerate(names, 1)], RESERVED).values())


UNSEEN_NAMES = [
    "",
    " ",
    "\u200b\u200b",
    "\u3164",
    "\u2800\u2800",
    "\u202e",
    "\ufe0f",
    "\u115f\u1160",
    "\u034f",
    "\u0301",
]


@pytest.mark.parametrize("name", UNSEEN_NAMES)
def test_a_name_that_cannot_be_seen_is_a_number(name: str) -> None:
    assert shown_name(person(7, name)) == "runner 7"


@pytest.mark.parametrize(
    "name", ["all", "Silent", "3", "ALL", "pausing", "gap open", "everybody", "12", "а\u200bll", "me"]
)
def test_a_name_that_is_a_number_or_a_word_of_a_command_carries_its_number(name: str) -> None:
    (label,) = shown(name)
    assert label.endswith(" #1")


ALIKE = [
    ("Ana", "Аnа"),
    ("Ana", "ANA"),
    ("Ana", "A\u200bna"),
    ("Ian", "lan"),
    ("Bernd", "Bemd"),
    ("Zoë", "Zoe"),
    ("O1ga", "Olga"),
]


@pytest.mark.parametrize(("one", "other"), ALIKE)
def test_names_that_look_alike_are_told_apart_by_their_numbers(one: str, other: str) -> None:
    """Look-alikes after Unicode Technical Standard 39 (confusables)."""
    assert all(label.endswith(f"#{n}") for n, label in enumerate(shown(one, other), 1))


def test_nobody_can_carry_anothers_number_in_their_name() -> None:
    one, other = shown("Ana #2", "Ana")
    assert one != other
    assert one == "Ana 2"
    people = [person(1, "Ana (2)"), person(2, "Ben")]
    assert [each.id for each in find_meant(people, "#2")] == [2]
    assert [each.id for each in find_meant(people, "Ana #2")] == [2]


def test_a_bare_number_asks_where_it_is_a_name_and_a_number() -> None:
    people = [person(3, "Ana"), person(4, "3")]
    assert {each.id for each in find_meant(people, "3")} == {3, 4}
    assert [each.id for each in find_meant(people, "#3")] == [3]
    assert [each.id for each in find_meant(people, "#4")] == [4]


@given(st.lists(st.text(max_size=20), min_size=1, max_size=6))
def test_every_name_is_one_line_that_fits_shows_something_and_leads_back_to_its_person(names: list[str]) -> None:
    people = [person(n, name) for n, name in enumerate(names, 1)]
    for each in people:
        name = shown_name(each)
        assert 0 < len(name) <= max(NAME_SHOWN, len("runner 1"))
        assert not set(name) & UNSEEN
        assert all(unicodedata.category(c)[0] != "C" and c != "#" for c in name)
    for number, label in labels(people, RESERVED).items():
        if label.endswith(f"#{number}"):
            assert [each.id for each in find_meant(people, label)] == [number]
    numbered = [label for label in labels(people, RESERVED).values() if "#" not in label]
    assert len({plain(label) for label in numbered}) == len(numbered)
