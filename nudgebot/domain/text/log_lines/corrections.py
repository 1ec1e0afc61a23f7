"""A line that corrects the last entry: "make that 40", "40, not 45", "change it to 50"."""

from nudgebot.domain.text.log_lines.amounts import Amount, Sort
from nudgebot.domain.text.log_lines.cues import Cue
from nudgebot.domain.text.log_lines.lexicon import Mark
from nudgebot.domain.text.log_lines.line import Line
from nudgebot.domain.text.log_lines.tokens import Kind

_SHORTEST, _LONGEST = 1, 600  # minutes that an entry can have
_WEAK = frozenset(("not", "to", "rather", "it was", "that was", "sorry", "was"))  # too common to correct by themselves
_NO = frozenset(("no", "nope", "nein", "non", "nao"))  # "no, 35"
_OPENINGS = _NO | frozenset(("sorry", "oops", "wait", "ah", ",", "perdon", "pardon", "desculpa"))
_CHANGING = frozenset(("change", "correct", "edit", "update", "amend", "fix", "set"))


def correction(line: Line, amounts: list[Amount]) -> int | None:
    """The minutes that the last entry should have; None where the line corrects nothing."""
    everything = frozenset().union(*(line.cues(place) for place in range(len(line.tokens))))
    if everything & {Cue.RAN, Cue.SETTINGS, Cue.LIMIT, Cue.FUTURE, Cue.COMPLAINT}:
        return None
    if Cue.QUESTION in line.cues(0):
        return None  # "why 45 and not 30?"
    told = [a for a in amounts if a.sort in {Sort.DURATION, Sort.BARE} and _SHORTEST <= a.value <= _LONGEST]
    told = [a for a in told if not (a.value == 1 and line.tokens[a.first].spoken)]  # "last one was wrong, it was 38"
    meant = [a for a in told if not _denied(line, a)]
    if len(meant) != 1:
        return None
    both = len(told) == 2
    if both or Cue.UNDO in everything or _begins(line, meant[0]):
        return int(meant[0].value)
    return None


def _denied(line: Line, amount: Amount) -> bool:
    return amount.first > 0 and (Cue.NOT in line.own(amount.first - 1)) and line.denies(amount.first - 1)


def _begins(line: Line, amount: Amount) -> bool:
    """Whether the line opens with a phrase of correction, or changes something to the amount."""
    opening = next((place for place, token in enumerate(line.tokens) if token.text not in _OPENINGS), 0)
    mark = line.marks[opening]
    if opening and mark is not None and Cue.MAKE_THAT in mark.cues and amount.last == len(line.tokens):
        return True  # "no sorry it was 50"
    words = [token.text for token in line.tokens if token.kind is Kind.WORD]
    if words[:1] == ["sorry"] and len(words) == 1:
        return True
    if words[-1:] == ["actually"] and words[:2] in (["it", "was"], ["that", "was"]):
        return True
    first = line.marks[0]
    if first is not None and first.last < amount.first and " ".join(_words(line, first)) == "sorry":
        first = next(
            (mark for mark in line.marks[first.last :] if mark is not None and mark.first > first.first), first
        )
    if line.tokens[0].text in _NO and amount.first <= 2 and amount.last == len(line.tokens):
        return True
    if line.tokens[0].text in _CHANGING and line.tokens[amount.first - 1].text == "to":
        return True
    if first is None or Cue.MAKE_THAT not in first.cues:
        return False
    return " ".join(_words(line, first)) not in _WEAK


def _words(line: Line, mark: Mark) -> list[str]:
    return [token.text for token in line.tokens[mark.first : mark.last]]
