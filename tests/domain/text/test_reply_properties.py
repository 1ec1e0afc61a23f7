"""What holds for any text at all, and numbers in words judged by another reader of them."""

import sys
from datetime import date
from types import FrameType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_to_num import alpha2digit

from nudgebot.domain.text.line.number_words import spoken
from nudgebot.domain.text.line.tokens import Kind, tokens
from nudgebot.domain.text.line.vocabulary import lexicon
from nudgebot.domain.text.reply import Intent, read
from tests.corpus.replies import PARTS, rows

TODAY = date(2027, 1, 6)
CORPUS = tuple(row.text for part in PARTS for row in rows(part))
WORDS = tuple({word for line in CORPUS for word in line.split()})


class TestAnyTextHasAReading:
    """ "turns any text into one reading, never fails, and asks back rather than guess a number" """

    @given(st.text(max_size=300), st.dates())
    def test_of_any_characters_on_any_day(self, text: str, today: date) -> None:
        reading = read(text, today)
        assert isinstance(reading.intent, Intent)
        assert reading.minutes is None or 1 <= reading.minutes <= 600
        assert not (reading.ask_back and (reading.minutes is not None or reading.logs))

    @given(st.lists(st.sampled_from(WORDS), max_size=25).map(" ".join), st.dates())
    def test_of_any_words_runners_use_on_any_day(self, text: str, today: date) -> None:
        reading = read(text, today)
        assert reading.rpe is None or 0 <= reading.rpe <= 10
        assert reading.heart_rate is None or 30 <= reading.heart_rate <= 230
        assert list(reading.days) == sorted(set(reading.days))
        if reading.intent is Intent.LOG and reading.day is not None:
            assert reading.day <= today

    @given(st.sampled_from(("ran 40 min", "skip today, work ran late", "45")), st.integers(1500, 4000))
    def test_of_a_very_long_line_whose_end_says_what_it_is_for(self, end: str, length: int) -> None:
        talk = ("the hills were green and the rain held off for once. " * 100)[:length]
        assert read(f"{talk}\n{end}", TODAY) == read(f"{talk[:700]}\n{talk[-699 + len(end) :]}\n{end}", TODAY)

    @given(st.text(max_size=60).filter(lambda text: not any(c.isnumeric() for c in text)))
    def test_tokens_keep_their_places_in_the_line(self, text: str) -> None:
        places = [(token.start, token.end) for token in tokens(text)]
        assert places == sorted(places)
        assert all(0 <= start < end <= len(text) for start, end in places)


def steps(line: str) -> int:
    """How many steps of the interpreter one reading takes: a measure of time that no busy machine disturbs."""
    count = 0

    def step(frame: FrameType, event: str, _: Any) -> Any:
        nonlocal count
        frame.f_trace_opcodes = True
        count += event == "opcode"
        return step

    before = sys.gettrace()
    sys.settrace(step)
    try:
        read(line, TODAY)
    finally:
        sys.settrace(before)
    return count


@pytest.mark.parametrize("piece", ["42 min ", "20 + ", "1:", "no run ", "forty ", "ab", "tue-thu ", "½", "?", "1/2 "])
def test_twice_the_characters_take_about_twice_the_steps(piece: str) -> None:
    # They begin with different words: of lines with the same ends the reading is kept.
    half, whole = (f"{first} {piece * length}"[:length] for first, length in (("so", 1024), ("well", 2048)))
    read(piece, TODAY)
    assert steps(whole) / steps(half) < 2.5  # a quadratic step would make it 4


# Words for tens and ones joined as each language joins them; what they amount to is text2num's to say.
JOINED = {"en": "{} {}", "es": "{} y {}", "fr": "{}-{}", "pt": "{} e {}"}
TENS = {
    "en": ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"),
    "es": ("treinta", "cuarenta", "cincuenta", "sesenta", "setenta", "ochenta", "noventa"),
    "fr": ("vingt", "trente", "quarante", "cinquante", "soixante", "quatre-vingt"),
    "pt": ("vinte", "trinta", "quarenta", "cinquenta", "sessenta", "setenta", "oitenta", "noventa"),
}
ONES = {
    "en": ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    "es": ("dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve"),
    "fr": ("deux", "trois", "quatre", "cinq", "six", "sept", "huit", "neuf"),
    "pt": ("um", "dois", "três", "quatro", "cinco", "seis", "sete", "oito", "nove"),
}
NUMBERS = tuple(
    (language, JOINED[language].format(ten, one))
    for language in JOINED
    for ten in TENS[language]
    for one in ONES[language]
) + tuple(
    ("de", f"{one}und{ten}")
    for one in ("ein", "zwei", "drei", "vier", "fünf", "sechs", "sieben", "acht", "neun")
    for ten in ("zwanzig", "dreißig", "vierzig", "fünfzig", "sechzig", "siebzig", "achtzig", "neunzig")
)


@pytest.mark.parametrize(("language", "words"), NUMBERS)
def test_numbers_in_words_are_what_another_reader_makes_of_them(language: str, words: str) -> None:
    heard = spoken(tokens(words), lexicon(language))
    assert [token.kind for token in heard] == [Kind.NUMBER]
    assert str(int(heard[0].value)) == alpha2digit(words, language)
