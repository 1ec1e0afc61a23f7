"""Numbers that are a complaint by themselves: a pain score, a body temperature, a blood pressure, a sugar, a pulse.

Which number is a temperature, a pulse or a pressure is claimed in `claims`, once for triage and the log reader.
Limits: fever from 37.8 °C or 100 °F (house; 38.0 and 100.4 are common practice); 40 °C or 104 °F in heat (CDC,
heat illness); blood pressure 140/90 and 160/100 mmHg (JNC 7, stages 1 and 2) and 180/110; low sugar under
3.9 mmol/L or 70 mg/dL (ADA, Diabetes Care 2017, table 6.3: the alert value); ketone checks from 13.9 and 19.4 mmol/L
(ADA position statement 2016, table 1).
"""

import re
from bisect import bisect_right
from collections.abc import Sequence
from typing import assert_never

from nudgebot.domain.text.claims import Claim, Claimed, claimed_at, claims
from nudgebot.domain.text.fevers import is_fever
from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import line_of
from nudgebot.domain.text.line.tokens import NUMERIC, ends_of, tokens
from nudgebot.domain.text.line.vocabulary import number_words
from nudgebot.domain.text.log_lines.amounts import amounts
from nudgebot.domain.text.log_lines.units import Sort
from nudgebot.domain.text.symptoms.lay_words import Mention, SignWord
from nudgebot.domain.text.word_files import words

W = words("sign_numbers")

HOT = 40  # degrees Celsius (CDC, heat illness: 104 °F)
FAST_AT_REST = 120  # beats a minute
SLOW = 35
# mmHg, upper or lower value at rest (docs/sources-safety.md, "blood pressure")
BP_CRISIS = (180, 110)
BP_HIGH = (160, 100)
BP_RAISED = (140, 90)
_COUNTED = W.weeks | W.sugar
_SUGAR_REACH = 6  # tokens between the word and its number
_DECIMAL = re.compile(r"\d{1,3}(?:[.,]\d)?$")


def scores(text: str, found: Sequence[SignWord]) -> list[tuple[int, int]]:
    """Each pain score of 10 in a message that names a place or a complaint: its token and its value."""
    # Without a number there is none, and the line need not be read.
    if not any(token.kind in NUMERIC or token.text in number_words() for token in tokens(ends_of(text))):
        return []
    line = line_of(text)
    starts = [token.start for token in found]
    out: list[tuple[int, int]] = []
    for amount in amounts(line):
        of_ten = Cue.OUT_OF in line.cues(amount.last)  # "six or seven out of ten"
        if amount.sort in {Sort.PAIN, Sort.EFFORT} or (amount.sort is Sort.RANGE and of_ten):
            value = line.tokens[amount.last - 1].value if amount.sort is Sort.RANGE else amount.value
            near = range(amount.first - 3, amount.first)
            effort = any(Cue.EFFORT in line.cues(place) or line.text(place) in W.effort for place in near)
            if amount.sort is Sort.PAIN or not effort:
                out.append((bisect_right(starts, line.tokens[amount.first].start) - 1, int(value)))
    return out


def measured(text: str, found: Sequence[SignWord], scored: list[tuple[int, int]]) -> list[Mention]:
    """The concepts that the numbers of `text` name; `found` are its tokens, `scored` its pain scores."""
    out: list[Mention] = []
    for k, value in scored:
        out.append(Mention("PAIN_HIGH" if value > 5 else "PAIN_MID" if value >= 3 else "PAIN_LOW", k, k + 1))
    digits = [(k, token) for k, token in enumerate(found) if token.word[0].isdigit()]
    if not digits or (_COUNTED.isdisjoint([token.word for token in found]) and not claims(text)):
        return out
    for k, token in digits:
        unit = found[k + 1].word if k + 1 < len(found) and not found[k + 1].gap else ""
        if unit in W.weeks and token.word.isdigit() and 4 <= int(token.word) <= 42:
            out.append(Mention("PREG_WEEKS", k, k + 2))
        claim = claimed_at(text, token.start, token.end)
        if claim is not None and claim.start < token.start and found[k - 1].start >= claim.start:
            continue  # the lower value of a pressure
        concept = _claimed(claim) if claim is not None else _named_by(token.word, found, k)
        if concept:
            last = next((n for n in range(k, len(found)) if claim is None or found[n].end >= claim.end), k)
            out.append(Mention(concept, k, last + 1))
    return out


def _named_by(word: str, found: Sequence[SignWord], k: int) -> str:
    if _DECIMAL.match(word) and _near(W.sugar, found, k, _SUGAR_REACH):
        value = float(word.replace(",", "."))
        if value < 1 and value != int(value):  # grams a litre, as told in French: 0.7 is 70 mg/dL
            return "SUGAR_VERY_LOW" if value < 0.36 else "SUGAR_LOW_NUMBER" if value < 0.7 else ""
        if (value < 2 and "." in word) or (10 < value < 36 and _is_in_sentence("mg", found, k)):
            return "SUGAR_VERY_LOW"
        if 2 <= value < 3.9 or 36 <= value < 70:
            return "SUGAR_LOW_NUMBER"
        if value >= 250 or 19.4 <= value < 36:
            return "SUGAR_HIGH_NUMBER"
    return ""


def _is_in_sentence(word: str, found: Sequence[SignWord], k: int) -> bool:
    first = next((at for at in range(k, 0, -1) if found[at].gap == 2), 0)
    last = next((at for at in range(k + 1, len(found)) if found[at].gap == 2), None)
    return word in [token.word for token in found[first:last]]


def _near(named: frozenset[str], found: Sequence[SignWord], k: int, reach: int) -> bool:
    """Whether one of the words `named` stands shortly before the number at token `k`, no other number between."""
    for at in range(k - 1, max(-1, k - reach - 1), -1):
        if found[at].word in named:
            return True
        if found[at].word[0].isdigit() or found[at + 1].gap == 2:
            return False
    return False


def _claimed(claim: Claim) -> str:
    """The concept of a number that belongs to the body."""
    match claim.what:
        case Claimed.TEMPERATURE:
            if claim.value >= HOT:
                return "TEMP_40"
            return "FEVER_NUMBER" if is_fever(claim.value) else ""
        case Claimed.RESTING_PULSE:
            return "HR_ODD" if claim.value >= FAST_AT_REST or claim.value <= SLOW else ""
        case Claimed.PULSE:
            return "HR_ODD" if claim.value <= SLOW else ""
        case Claimed.PRESSURE:
            levels = (("BP_CRISIS", BP_CRISIS), ("BP_HIGH", BP_HIGH), ("BP_RAISED", BP_RAISED))
            return next((name for name, most in levels if claim.value >= most[0] or claim.lower >= most[1]), "")
        case Claimed.SYMPTOM_TIME:
            return ""
        case _:
            assert_never(claim.what)
