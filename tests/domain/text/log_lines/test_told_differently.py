"""Numbers, days and complaints in forms that are easily taken for something else; each with its near miss."""

from datetime import date

import pytest

from nudgebot.domain.text.fevers import may_be_fever
from nudgebot.domain.text.learned import intents, stack
from nudgebot.domain.text.line.parsed_line import line_of
from nudgebot.domain.text.log_lines.days_off import stretch_of_month
from nudgebot.domain.text.log_lines.rules import parsed
from nudgebot.domain.text.reply import Intent, read
from nudgebot.domain.text.triage import Level, triage

TODAY = date(2027, 3, 10)  # a Wednesday


@pytest.mark.parametrize(
    ("line", "km"),
    [
        ("four and a half miles in 50 min", 4.5 * 1.609344),  # the international mile of 1959
        ("6 and a half km, 44 min", 6.5),
        ("cuatro kilómetros y medio en 33 min", 4.5),
        ("trois kilomètres et demi en 26 min", 3.5),
        ("cinco quilómetros e meio em 40 min", 5.5),
        ("four miles and a bit, 44 min", 4 * 1.609344),
    ],
)
def test_a_distance_is_said_with_its_half(line: str, km: float) -> None:
    assert parsed(line, TODAY).reading.distance_km == pytest.approx(km, abs=1e-3)


@pytest.mark.parametrize("line", ["no 38", "nope 52", "nein 38", "non 27", "não 44"])
def test_a_no_and_a_number_mend_the_last_entry(line: str) -> None:
    found = read(line, TODAY)
    assert (found.intent, found.minutes) == (Intent.UNDO, int(line.split()[1]))


@pytest.mark.parametrize("line", ["not 38", "no 38 today", "no run", "no 38 for me"])
def test_a_refusal_mends_nothing(line: str) -> None:
    assert parsed(line, TODAY).reading.intent is not Intent.UNDO


@pytest.mark.parametrize("line", ["35 bike no run", "28 swim, no run", "50 Rad kein Lauf"])
def test_what_moved_instead_of_a_run_counts(line: str) -> None:
    found = parsed(line, TODAY).reading
    assert (found.intent, found.minutes) == (Intent.LOG, int(line.split(maxsplit=1)[0]))


def test_a_distance_put_right_calls_no_run_off_and_takes_nothing_back_unasked() -> None:
    found = read("it was 3.1 miles not 3.4", TODAY)
    assert found.intent is not Intent.SKIP and (found.intent is not Intent.UNDO or found.ask_back)


@pytest.mark.parametrize(
    ("line", "may_be"),
    [
        ("influenza 41", True),
        ("grippe 40", True),
        ("covid, 40", True),
        ("flu gone, 40", False),
        ("flu but ran 40", False),
        ("flu, 40 min", False),
        ("flu, 45", False),  # no body has that
    ],
)
def test_a_bare_number_beside_an_illness_may_be_a_fever(line: str, *, may_be: bool) -> None:
    assert may_be_fever(line) is may_be
    if may_be:
        assert read(line, TODAY).minutes is None


@pytest.mark.parametrize(
    ("line", "first", "last"),
    [
        ("at my aunt's from the 21 to the 27, no shoes packed", (3, 21), (3, 27)),
        ("no running 13-16, course in Leeds", (3, 13), (3, 16)),
        ("vom 14. bis 19. bin ich weg", (3, 14), (3, 19)),
        ("estoy fuera del 22 al 29", (3, 22), (3, 29)),
        ("du quinze au vingt je suis à Dijon", (3, 15), (3, 20)),
        ("fora de 28 de março a 3 de abril", (3, 28), (4, 3)),
        ("away the 30 till the 2", (3, 30), (4, 2)),
    ],
)
def test_a_pause_is_told_by_days_of_the_month(line: str, first: tuple[int, int], last: tuple[int, int]) -> None:
    found = stretch_of_month(line_of(line), TODAY)
    assert (found[0], found[-1]) == (date(2027, *first), date(2027, *last))


@pytest.mark.parametrize("line", ["20 to 30 min", "ran 12, walked 14", "3 km to the lake and 12 back", "0 to 40"])
def test_other_numbers_are_no_days_of_the_month(line: str) -> None:
    assert stretch_of_month(line_of(line), TODAY) == ()


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("my quads are killing me", Level.REST),
        ("my knee is killing me", Level.CLINICIAN),
        ("ankle a bit stiff, should I still run", Level.REST),
        ("ankle still stiff, can I run", Level.CLINICIAN),
        ("n tenho dor no peito", Level.NONE),
        ("tenho dor no peito", Level.EMERGENCY),
        ("ma patronne m'étouffe, au sens figuré", Level.NONE),
        ("j'étouffe", Level.EMERGENCY),
        ("on m'a sifflée pendant mon footing", Level.NONE),
        ("ça siffle quand je respire", Level.CLINICIAN),
        ("da Hundl und a Schweindl, 30 Min", Level.NONE),
        ("mir ist schwindlig", Level.CLINICIAN),
    ],
)
def test_a_turn_of_phrase_is_no_sign_and_the_sign_beside_it_is(line: str, level: Level) -> None:
    assert triage(line).level is level


def test_lines_that_say_the_same_in_two_languages_are_the_same_steps() -> None:
    one, other = (parsed(line, TODAY).line for line in ("42 min easy", "42 Minuten locker"))
    assert set(intents._of_steps(one)) == set(intents._of_steps(other))
    assert (
        stack.features(parsed("42 min easy", TODAY)).words != stack.features(parsed("42 Minuten locker", TODAY)).words
    )
