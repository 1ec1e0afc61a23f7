"""A line that mends the last entry: "make that 40", "40, not 45", "change it to 50"."""

from __future__ import annotations

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.log_lines.units import TIMES, Amount
from nudgebot.domain.text.word_files import words

W = words("corrections")
_MINUTES = range(1, 601)  # that an entry can have
_NO_CORRECTION = frozenset((Cue.RAN, Cue.SETTINGS, Cue.LIMIT, Cue.FUTURE, Cue.COMPLAINT))
_WEAK = frozenset(("not", "to", "rather", "it was", "that was", "sorry", "was"))  # too common to correct by themselves


def correction(line: ParsedLine, amounts: list[Amount]) -> int | None:
    """The minutes that the last entry should have; None where the line corrects nothing."""
    if not line.said.isdisjoint(_NO_CORRECTION) or Cue.QUESTION in line.cues(0):  # "why 45 and not 30?"
        return None
    told = [a for a in amounts if a.sort in TIMES and int(a.value) in _MINUTES]
    told = [a for a in told if not (a.value == 1 and line.tokens[a.first].spoken)]  # "last one was wrong, it was 38"
    meant = [a for a in told if _opens_with_no(line, a) or not _is_denied(line, a)]
    if len(meant) != 1 or not (len(told) == 2 or Cue.UNDO in line.said or _begins(line, meant[0])):
        return None
    return int(meant[0].value)


def _is_denied(line: ParsedLine, amount: Amount) -> bool:
    return line.denies(amount.first - 1)


def _opens_with_no(line: ParsedLine, amount: Amount) -> bool:
    """Whether the line is a no and the amount, and nothing else: "no 35" takes back what was stored."""
    return amount.first == 1 and amount.last == len(line.tokens) and line.texts[0] in W.no


def _begins(line: ParsedLine, amount: Amount) -> bool:
    """Whether the line opens with a phrase of correction, or changes something to the amount."""
    texts, ends = line.texts, amount.last == len(line.tokens)
    opening = next((place for place, text in enumerate(texts) if text not in W.openings), 0)
    mark = line.marks[opening]
    if opening and ends and mark is not None and Cue.MAKE_THAT in mark.cues:
        return True  # "no sorry it was 50"
    if opening == amount.first and ends and not W.takes_back.isdisjoint(texts[:opening]):
        return True  # "no sorry, 50"
    if texts[0] in W.changing and texts[amount.first - 1] == "to":
        return True
    mark = line.marks[0]
    if mark is None or Cue.MAKE_THAT not in mark.cues:
        return False
    return " ".join(texts[mark.first : mark.last]) not in _WEAK or texts[-1] == "actually"
