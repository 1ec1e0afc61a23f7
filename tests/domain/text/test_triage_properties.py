"""Properties of triage, each quoting its clause of docs/safety.md."""

from hypothesis import example, given
from hypothesis import strategies as st

from nudgebot.domain.text.line.tokens import LONGEST_LINE
from nudgebot.domain.text.triage import BY_RANK, Level, Verdict, triage
from tests.corpus.symptoms import lines

HARMLESS = [line.text for part in ("look", "held") for line in lines(part) if line.level is Level.NONE]
GRAVE = (
    "crushing chest pain",
    "I fainted on the run",
    "my face is drooping",
    "I can't breathe",
    "coughing blood",
    "I want to kill myself",
    "my throat is closing up",
    "worst headache of my life",
)
PLAIN_GRAVE = st.sampled_from(
    [
        line.text
        for line in lines("look")
        if line.level is Level.EMERGENCY and line.text.isascii() and len(line.text) < 60
    ]
)
INVISIBLE = st.sampled_from(["\u200b", "\u200c", "\u200d", "\u2060", "\ufeff", "\u00ad", "\u202e", "\u2066"])
LOOK_ALIKE = str.maketrans({"a": "\u0430", "c": "\u0441", "e": "\u0435", "o": "\u043e", "p": "\u0440", "x": "\u0445"})


@given(st.text(max_size=400))
@example("\ud800")
@example("\x00" * 50)
@example("no " * 200)
@example("\u0130\u1e9e\ufdfa")
@example("1/" * 200)
def test_any_text_has_a_verdict(text: str) -> None:
    """ "Total over any Unicode": never an error, and every place of a sign lies in the text."""
    verdict = triage(text)
    assert isinstance(verdict, Verdict)
    assert verdict.level in BY_RANK
    assert all(0 <= sign.start < sign.end <= len(text) for sign in verdict.signs)
    assert verdict.level is (max((s.level for s in verdict.signs), key=lambda level: level.rank, default=Level.NONE))


@given(st.sampled_from(HARMLESS), st.sampled_from(GRAVE), st.sampled_from([". ", "\n", "! ", "? ", " - ", ", ", "; "]))
def test_a_sign_after_a_harmless_line_is_still_heard(harmless: str, grave: str, joint: str) -> None:
    """ "Never suppress on a negation that covers only part of the message": nor on any other harmless words."""
    if joint in {", ", " - "} and any(
        word in harmless.lower().split() for word in ("if", "what", "how", "do", "does", "is", "can", "should", "when")
    ):
        joint = ". "  # one sentence would make the sign part of the question
    assert triage(f"{harmless}{joint}{grave}").level is Level.EMERGENCY


@given(st.sampled_from(HARMLESS), st.sampled_from(GRAVE))
def test_a_sign_before_a_harmless_line_is_still_heard(harmless: str, grave: str) -> None:
    """The highest level in the message wins."""
    assert triage(f"{grave}. {harmless}").level is Level.EMERGENCY


@given(st.sampled_from(HARMLESS), st.sampled_from(GRAVE))
def test_a_sign_in_the_last_words_of_the_longest_line_is_found(harmless: str, grave: str) -> None:
    """A sign is found however late it stands: of what may be sent nothing is left unsearched."""
    before = f"{harmless}. " * (LONGEST_LINE // (len(harmless) + 2))
    line = f"{before[: LONGEST_LINE - len(grave) - 2]}. {grave}"
    assert len(line) <= LONGEST_LINE
    assert triage(line).level.rank >= Level.URGENT.rank


@given(PLAIN_GRAVE, st.data())
def test_invisible_characters_hide_nothing(line: str, data: st.DataObject) -> None:
    """Zero-width and direction characters neither crash triage nor change what it reads."""
    places = data.draw(st.lists(st.integers(0, len(line)), max_size=8))
    written = line
    for place in sorted(places, reverse=True):
        written = written[:place] + data.draw(INVISIBLE) + written[place:]
    assert triage(written).level is triage(line).level


@given(PLAIN_GRAVE)
def test_look_alike_letters_hide_nothing(line: str) -> None:
    """Letters that look like Latin ones (Unicode Technical Standard 39) are read as those."""
    assert triage(line.translate(LOOK_ALIKE)).level is triage(line).level


@given(PLAIN_GRAVE)
def test_full_width_letters_hide_nothing(line: str) -> None:
    """Full-width forms (NFKC) are read as plain ones."""
    wide = "".join(chr(ord(c) + 0xFEE0) if "!" <= c <= "~" else c for c in line)
    assert triage(wide).level is triage(line).level


@given(PLAIN_GRAVE, st.sampled_from(["upper", "title", "full stop", "shout", "spaces", "line end"]))
def test_case_and_a_closing_mark_change_nothing(line: str, way: str) -> None:
    """Capitals, extra spaces and a mark at the end are not part of what is said."""
    ways = {
        "upper": line.upper(),
        "title": line[:1].upper() + line[1:],
        "full stop": line.rstrip(".!?") + ".",
        "shout": line.rstrip(".!?") + "!!!",
        "spaces": "  " + line.replace(" ", "   ") + "  ",
        "line end": line + "\r\n",
    }
    if line.endswith("?") and way in {"full stop", "shout"}:
        return  # a question mark is part of what is said
    assert triage(ways[way]).level is triage(line).level
