"""The learned readers: hashing and weight files, the numbers of a line, what can be worked out, and the decision."""

from datetime import date
from zlib import crc32

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nudgebot.domain.text import decision
from nudgebot.domain.text.learned import derived, mentions, stack, sums
from nudgebot.domain.text.learned.features import Table, hashed, softmax, tables_in
from nudgebot.domain.text.learned.intents import INTENTS
from nudgebot.domain.text.log_lines.rules import parsed
from nudgebot.domain.text.reply import Intent, read
from tests.corpus.scoring import Share
from tests.corpus.train import sample
from tests.corpus.weights_file import quantised, sample_in, written

TODAY = date(2027, 3, 10)  # a Wednesday


def test_the_hash_is_the_published_one() -> None:
    # The check value of CRC-32 in the catalogue of parametrised CRC algorithms (G. Cook): "123456789" gives CBF43926.
    assert crc32(b"123456789") == 0xCBF43926
    assert hashed(["123456789"], 1 << 14) == {0xCBF43926 & 0x3FFF}


def test_each_place_is_there_once() -> None:
    assert hashed(["b", "a", "b"], 1 << 10) == {crc32(b"a") & 1023, crc32(b"b") & 1023}


_weights = st.lists(st.floats(-50, 50), min_size=3, max_size=3)


@given(st.lists(_weights, min_size=1, max_size=4))
def test_a_weights_file_gives_back_what_was_written(columns: list[list[float]]) -> None:
    table = quantised(columns, [0.5] * len(columns))
    assert tables_in(written({"one": table, "two": table})) == {"one": table, "two": table}


@given(_weights)
def test_whole_number_weights_are_within_half_a_step(column: list[float]) -> None:
    table = quantised([column], [0.0])
    # the scale keeps four digits, so the largest weight may be off by that much too
    step = table.scales[0]
    assert all(
        abs(weight - step * whole) <= 0.5 * step + 1e-3 * abs(weight)
        for weight, whole in zip(column, table.columns[0], strict=True)
    )


@pytest.mark.parametrize("change", [-1, 1])
def test_a_weights_file_of_another_length_is_refused(change: int) -> None:
    data = written({"one": quantised([[1.0, 2.0]], [0.0])})
    with pytest.raises(ValueError, match="weights"):
        tables_in(data[:-1] if change < 0 else data + b"\0")


def test_a_block_counts_by_the_root_of_its_size() -> None:
    table = quantised([[127.0, 127.0, -127.0, 0.0]], [1.0])
    assert table.scores([[0, 1], [2], []]) == pytest.approx([1.0 + 254 / 2**0.5 - 127])


@given(st.lists(st.floats(-500, 500), min_size=1, max_size=13))
def test_shares_add_up_to_one(scores: list[float]) -> None:
    shares = softmax(scores)
    assert sum(shares) == pytest.approx(1)
    assert all(0 <= share <= 1 for share in shares)


def test_the_weights_are_those_that_the_lines_and_the_rules_train() -> None:

    # A sample stands for all of them, byte for byte; `python -m tests.corpus.train --check` trains everything, and is
    # no part of the suite: on another kind of processor its last bits may differ.
    assert sample_in(stack.WEIGHTS) == sample(), "stale: python -m tests.corpus.train"


def test_the_weights_of_the_package_have_the_shape_that_is_read() -> None:
    models = stack.models()
    assert len(models.intent.columns) == len(models.stack.columns) + 1 == len(INTENTS) + 1
    assert len(models.roles.columns) == len(mentions.ROLES)
    parse, based = stack.first("did 35 with the dog", TODAY)
    assert models.stack.rows == len(stack.stack_features(parse, based))
    assert models.asked.rows == len(stack.asked_features(parse, based))
    assert models.minutes.rows == len(stack.minutes_features(parse, based))
    numbers = sums.numbers_of(parse, based.mentions, based.roles)
    assert models.sums.rows == sums.ROWS > max(sums.features_of(numbers, based.sums[0][1]))


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("out at 18:05, home by 18:47", 42),
        ("from 5.50 to 6.20 along the dyke", 30),
        ("de 7h15 à 7h50 avec Odile", 35),
        ("0610 bis 0645 ums Moor", 35),
        ("started 11:50, finished 12:25", 35),
        ("out at quarter past seven, in by ten to eight", 35),
        ("half eight to ten past nine on the towpath", 40),
        ("das sete e meia às oito e cinco na praia", 35),
        ("raus um halb sieben, zurück zehn nach sieben", 40),
        ("von Viertel vor acht bis fünf vor halb neun", 40),
        ("de six heures moins dix à six heures et quart", 25),
        ("salí a las ocho menos cuarto, volví a las ocho y veinte", 35),
        ("das sete e um quarto às sete e quarenta", 25),
    ],
)
def test_the_time_between_two_times_of_day_is_offered(line: str, minutes: int) -> None:
    found = derived.derived_of(parsed(line, TODAY))
    assert minutes in {round(one.minutes) for one in found if one.kind == derived.SPAN}


@pytest.mark.parametrize("line", ["20 y 30", "half of 40, then 10", "ran 15 to 20", "5 of 8 done", "3 e 4 km"])
def test_two_numbers_are_no_two_times_of_day(line: str) -> None:
    assert not [one for one in derived.derived_of(parsed(line, TODAY)) if one.kind == derived.SPAN]


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("6 km, 6:30 jeder", 39),
        ("4 km, 7'15 chacun", 29),
        ("3 miles, 10:00 each", 30),
        ("four miles, nine fifteen a mile", 37),
        ("6 km a seis treinta el kilómetro", 39),
        ("4 km à sept trente au kilomètre", 30),
        ("5 km, sechs zehn pro Kilometer", 30),
    ],
)
def test_a_distance_at_a_pace_is_offered(line: str, minutes: int) -> None:
    found = derived.derived_of(parsed(line, TODAY))
    assert minutes in {int(one.minutes + 1e-6) for one in found if one.kind == derived.PACE}


def test_repeats_are_offered() -> None:
    assert [one.minutes for one in derived.derived_of(parsed("4 times 6 round the pond", TODAY))] == [24]
    assert [one.minutes for one in derived.derived_of(parsed("zweimal 13 um den See", TODAY))] == [26]


@pytest.mark.parametrize(
    ("line", "minutes"),
    [("14 out, 17 back", 31), ("8 and 9 and 10 and 11", 38), ("41, pulse 133", 41), ("31:40 on the track", 32)],
)
def test_every_sum_of_up_to_four_numbers_is_a_candidate(line: str, minutes: int) -> None:
    parse = parsed(line, TODAY)
    found = mentions.mentions_of(parse)
    sure = [[1.0 if role == mentions.RUN else 0.0 for role in range(len(mentions.ROLES))]] * len(found)
    assert minutes in {candidate.minutes for candidate in sums.candidates_of(sums.numbers_of(parse, found, sure))}


@given(st.text(alphabet="0123456789 :,.+xhm'-ab", max_size=120))
def test_candidates_are_minutes_a_run_can_have_and_few(line: str) -> None:
    parse = parsed(line, TODAY)
    found = mentions.mentions_of(parse)
    even = [[1 / len(mentions.ROLES)] * len(mentions.ROLES)] * len(found)
    candidates = sums.candidates_of(sums.numbers_of(parse, found, even))
    assert all(mentions.SHORTEST <= one.minutes <= mentions.LONGEST for one in candidates)
    assert len({one.minutes for one in candidates}) == len(candidates)
    assert len(found) <= mentions.MOST


@given(st.text(max_size=200))
def test_a_reading_that_asks_which_is_meant_stores_nothing_and_offers_at_most_three(line: str) -> None:
    reading = read(line, TODAY)
    assert len(reading.choices) <= decision.CHOICES
    assert not any(choice.choices for choice in reading.choices)
    if reading.choices:
        assert reading.ask_back
        assert reading.minutes is None
        assert reading.logs == ()


def _table(**likely: float) -> Table:
    """A stack that always says the same."""
    biases = tuple(likely.get(intent.value, -20.0) for intent in INTENTS)
    rows = stack.models().stack.rows
    return Table(
        rows,
        ((0,) * rows,) * len(INTENTS),
        (0.0,) * len(INTENTS),
        biases,
    )


def _said(line: str, run: float, right: float, **likely: float) -> stack.Weighed:
    models = stack.models()
    _, based = stack.first(line, TODAY)
    shares = softmax(_table(**likely).scores_of([0.0] * models.stack.rows))
    return stack.Weighed(shares, run, based.sums[0][1].minutes if based.sums else None, right, based)


def test_a_run_is_stored_only_where_both_it_and_its_minutes_are_likely() -> None:
    line = "33 round the loch"
    parse = parsed(line, TODAY)
    sure = decision.decided_from(parse, _said(line, 0.9, 0.9, log=5, hello=1))
    assert (sure.intent, sure.minutes, sure.ask_back) == (Intent.LOG, 33, False)
    for run, right in ((0.6, 0.9), (0.9, 0.3)):
        unsure = decision.decided_from(parse, _said(line, run, right, log=5, hello=1))
        assert unsure.ask_back
        assert unsure.minutes is None
        assert unsure.choices


def test_the_plan_is_not_changed_where_a_run_may_have_been_told() -> None:
    line = "friday zonked, 33 glorious ones today"
    parse = parsed(line, TODAY)
    assert decision.decided_from(parse, _said(line, 0.1, 0.9, skip=5)).choices == ()
    assert decision.decided_from(parse, _said(line, 0.6, 0.9, skip=5)).choices != ()


def test_talk_is_answered_without_asking_unless_a_run_is_likely() -> None:
    line = "33 geese on the field"
    parse = parsed(line, TODAY)
    assert not decision.decided_from(parse, _said(line, 0.2, 0.9, hello=5)).ask_back
    assert decision.decided_from(parse, _said(line, 0.6, 0.9, hello=5)).ask_back


@pytest.mark.parametrize(("held", "of"), [(0, 20), (3, 400), (88, 100), (20, 20)])
def test_intervals_are_those_of_a_library(held: int, of: int) -> None:
    from scipy.stats import binomtest

    known = binomtest(held, of).proportion_ci(method="wilson")
    assert Share("", held, of).interval() == pytest.approx((known.low, known.high), abs=1e-4)
