"""English as it is spoken round the world: signs are heard at their level, and harmless lines stay harmless."""

from __future__ import annotations

import pytest

from nudgebot.domain.text.triage import triage


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("I no fit breathe well", "emergency"),
        ("Mi cyaan breathe", "emergency"),
        ("My mouth don bend one side", "emergency"),
        ("I am the goalie and got knocked out", "emergency"),
        ("My wife came with juice, I passed out on the path", "emergency"),
        ("Vision closing in, had to grab the fence", "urgent"),
        ("Darkness before my eyes while running", "urgent"),
        ("The dog bit my hand", "urgent"),
        ("Better without me", "urgent"),
        ("Nobody wid notice if I wisna here", "urgent"),
        ("I am no use to anyone", "urgent"),
        ("My heart dey jump", "clinician"),
        ("Hills give me palpitations", "clinician"),
        ("My eye dey turn me", "clinician"),
        ("Me head's in a reel", "clinician"),
        ("A wee spot on my shin that pulses when I push on it", "clinician"),
        ("Stairs leave me puffed and they never did before", "clinician"),
        ("Belle dey run me", "rest"),
        ("Someone parked a lorry on my chest at the top of the stairs", "emergency"),
        ("At breakfast my words came out like mush", "emergency"),
        ("Next thing I knew I was looking up at the sky behind the stand", "emergency"),
        ("Fever of 39, pain under my ribs and my eyes have gone yellow", "emergency"),
        ("Big toe is scarlet and I cannot bear the sheet on it", "urgent"),
        ("There are rainbows round the lights since last night", "urgent"),
        ("A row of water blisters beside my eye, shingles maybe", "urgent"),
        ("I sleep on four pillows and my ankles are swollen", "urgent"),
        ("They would get the insurance money if I was gone", "urgent"),
        ("The price would give you a heart attack", "none"),
        ("No pulse in the tractor, so I walked", "none"),
        ("Dog's fed and I'm off for my 20 minutes", "none"),
    ],
)
def test_a_sign_in_english_of_any_country_is_heard_at_its_level(line: str, level: str) -> None:
    assert triage(line).level.value == level


@pytest.mark.parametrize(
    "line",
    [
        "The baler choked and collapsed in the top field",
        "The okada passed out for Third Mainland",
        "The chapel bell has a tear in the shoulder so no ringing Sunday",
        "Our parrot fainted off his perch",
        "Heart pain at the price of tomatoes",
        "Those boys are a pain in my chest",
        "The COE price make me vomit blood",
        "She sang and I could not breathe",
        "Could have fainted with joy",
        "The choir sounds much better without me",
        "This phone is no use to anyone",
        "Father in law got two stents on Tuesday and is grumbling about the coffee",
        "Mum fainted at the fair, my aunt came with juice and she is grand",
        "My oga collapsed for office, dem don carry am go hospital",
        "The striker was knocked unconscious, stretchered off, waving",
    ],
)
def test_a_thing_a_turn_of_phrase_and_somebody_cared_for_are_no_sign(line: str) -> None:
    assert triage(line).level.value == "none"
