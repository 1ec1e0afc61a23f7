"""The plain way of a plain log: a line that says nothing but one finished run and its minutes, "42 min easy".

Every token of it is accounted for, so that no rule has anything to weigh and no learned reader is asked. A line with
one word more, or one that could be meant otherwise, takes the long way of `reply.read_in_full`, which reads a plain log
alike, by test. What is plain is told by the hints of the vocabulary.
"""

from datetime import date

from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import NUMBER
from nudgebot.domain.text.log_lines.result import Intent, Reading
from nudgebot.domain.text.log_lines.units import BARE_FROM
from nudgebot.domain.text.word_files import words

W = words("plain_log")
MOST_WORDS = Rule("a plain log, up to", 8, "words and signs", "house")
LONGEST = Rule("minutes of a plain log, up to", 120, "min", "house")
LONGEST_BARE = Rule("the same where no unit is told", 60, "min", "house")  # from 61 on the long way may doubt

# All that a word of a plain log may say, beside what changes nothing; of how it was, only that it was easy.
_MINUTES, _SOFT, _DAY = frozenset((Cue.MINUTE,)), frozenset((Cue.SOFT,)), frozenset((Cue.DAY,))
_DONE = frozenset((frozenset((Cue.RUN,)), frozenset((Cue.RUN, Cue.RAN)), frozenset((Cue.DID,))))
_BESIDE = frozenset((Cue.KNOWN, Cue.FILLER, Cue.PART))
# What no word of it may say by itself, whatever phrase it stands in: "langlauf am sonntag", "38 c'est fait".
_NEVER = frozenset(
    (
        Cue.BODY, Cue.CANNOT, Cue.CELSIUS, Cue.CLOCK, Cue.FUTURE, Cue.PART_OF_DAY, Cue.PLAN, Cue.UNTIL, Cue.WALK,
        Cue.WEEKDAY,
    )
)  # fmt: skip


def plain_log(line: ParsedLine, today: date) -> Reading | None:
    """The reading of a line written on `today` that holds one finished run and its minutes; None if it holds more."""
    if len(line.tokens) > MOST_WORDS.value or len(line.numerals) != 1 or line.unknown or line.claims:
        return None
    at = line.numerals[0]
    number = line.tokens[at]
    longest = LONGEST if Cue.MINUTE in line.cues(at + 1) else LONGEST_BARE
    if number.kind is not NUMBER or not number.value.is_integer() or not BARE_FROM <= number.value <= longest.value:
        return None
    if not all(_is_plain(line, place, at) for place in range(len(line.tokens)) if place != at):
        return None
    return Reading(Intent.LOG, minutes=int(number.value), day=today, language=line.language, plain=True)


def _is_plain(line: ParsedLine, place: int, number: int) -> bool:
    """Whether the token at `place` says nothing that a plain log would not; the minutes stand at `number`."""
    mark, text = line.marks[place], line.texts[place]
    if text == "," or (text in {".", "!"} and place == len(line.tokens) - 1):
        return True
    if mark is None or text not in line.lexicon.words or not line.own(place).isdisjoint(_NEVER):
        return False
    says = mark.cues - _BESIDE
    if says == _MINUTES:
        return mark.first == number + 1
    if says == _SOFT:
        return text in W.easy
    return says in _DONE or (says == _DAY and mark.value == 0)
