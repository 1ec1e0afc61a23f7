"""Whose time an amount is, and who does what the verb says: the grammar around numbers and verbs.

English alone has these rules; the other languages are read by their words.
"""

from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import NUMERIC, Kind
from nudgebot.domain.text.log_lines.amounts import Amount, Sort
from nudgebot.domain.text.word_files import words

W = words("attribution")

_TIMES = frozenset((Sort.DURATION, Sort.BARE))
_MOVING = frozenset((*ACTIVITIES, Cue.RAN))
_SESSION = frozenset((*ACTIVITIES, Cue.RAN, Cue.SOFT, Cue.PART, Cue.HARD, Cue.TOTAL, Cue.DISTANCE_NAMED))
MOST_ROUNDS = 10
_FRACTIONS = {"half": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4}
NEAR = 3  # words between a verb and its number
SHORT_WORD = 3  # letters; a shorter unknown word is a slip or an abbreviation


_SO_FAR = frozenset(("", "and", ",", ".", "now", "!", "so", "already"))


def own_amounts(line: ParsedLine, found: list[Amount]) -> list[Amount]:
    """The amounts, those that are an age, denied or the time of something beside the session made OTHER."""
    if line.language != "en" or not found:
        return found
    times = sum(amount.sort in _TIMES for amount in found)
    found = [_share(line, amount) if amount.sort in _TIMES else amount for amount in found]
    found = [
        a for a, following in zip(found, [*found[1:], None], strict=True) if not following or following.first > a.first
    ]
    return [
        amount._replace(sort=Sort.OTHER)
        if amount.sort in _TIMES
        and (_is_age(line, amount) or _is_label(line, amount) or (times > 1 and _is_beside(line, amount)))
        else amount
        for amount in found
    ]


def _share(line: ParsedLine, amount: Amount) -> Amount:
    """The part of an amount that a fraction before it leaves: "half of the 40", "two thirds of my 45"."""
    place = amount.first - 1
    counted = line.text(place - 1) if line.text(place) == "of" else ""
    times = line.tokens[place - 2] if counted in W.rounds else None
    if times is not None and times.kind is Kind.NUMBER and 1 < times.value <= MOST_ROUNDS:
        return amount._replace(value=amount.value * times.value, first=place - 2)  # "two laps of 20 minutes"
    while place >= 0 and line.texts[place] in W.of_it:
        place -= 1
    if place < 0 or place == amount.first - 1 or line.texts[place] not in _FRACTIONS:
        return amount
    top = line.tokens[place - 1].value if place and line.tokens[place - 1].spoken else 1
    first = place - 1 if place and line.tokens[place - 1].spoken else place
    return amount._replace(value=amount.value * top / _FRACTIONS[line.texts[place]], first=first)


def _is_age(line: ParsedLine, amount: Amount) -> bool:
    """ "I'm 52", "when I was 30"; not "I'm 40 minutes in" and not "it was 40"."""
    if amount.sort is not Sort.BARE or not amount.first:
        return False
    before = line.texts[amount.first - 1]
    if before in W.am or (before in {"was", "am"} and line.text(amount.first - 2) == "i"):
        return True
    return before in W.to_be and bool(line.cues(amount.first - 2) & {Cue.PERSON, Cue.OTHERS})


def _is_label(line: ParsedLine, amount: Amount) -> bool:
    """ "it's 15 outside", "30 off at the shop": a bare number that something else says what it is."""
    before, after = line.text(amount.first - 1), line.text(amount.last)
    named = (before in {"it's", "its", "is"} and after in W.out) or (after == "off" and not amount.first)
    return named and amount.sort is Sort.BARE


def _is_beside(line: ParsedLine, amount: Amount) -> bool:
    """Whether one of several times is denied, or says before or after what: "40 not 50", "30 after a 9 hour shift"."""
    before = amount.first - 1
    if before >= 0 and line.texts[before] == "not":
        return True
    while before >= 0 and line.texts[before] in W.articles:
        before -= 1
    return before > 0 and line.texts[before] in W.aside and Cue.CUT_SHORT not in line.cues(before)


def is_others(line: ParsedLine, first: int, verb: int) -> bool:
    """Whether the subject right before `verb` is somebody else: "he told me he ran", "the champion ran"."""
    place = verb - 1
    while place >= first and line.texts[place] in W.adverbs:
        place -= 1
    if place < first:
        return False
    if Cue.OTHERS in line.cues(place):
        return True
    if line.known(place) or line.tokens[place].end - line.tokens[place].start <= SHORT_WORD:
        return False
    lead = [line.texts[before] for before in range(max(first, place - NEAR), place)]
    return any(text in W.articles for text in lead) and not any(text in {"with", "and", "w"} for text in lead)


def is_to_come(line: ParsedLine, first: int, number: int) -> bool:
    """Whether an infinitive or a modal stands before the number: "love to run 60", "might run 40", "I'd do 40"."""
    near = range(number - 1, max(first, number - 1 - NEAR) - 1, -1)
    verb = next((n for n in near if line.texts[n] in W.base), 0)
    if not verb or verb <= first:
        return False
    before = line.texts[verb - 1]
    if before == "to":
        return verb - 2 < first or line.texts[verb - 2] not in W.achieved
    return before in W.modals or (verb - 2 >= first and line.texts[verb - 2] in W.modals and before != "only")


def is_under_way(line: ParsedLine, amounts: tuple[Amount, ...]) -> bool:
    """Whether the time told is how far into a run the writer is: "20 minutes into my run"."""
    for amount in amounts:
        ahead, after = line.text(amount.last), amount.last + 1
        if amount.sort is Sort.DURATION and ahead == "in" and line.text(after) in _SO_FAR:
            return True  # "20 minutes in and loving it"
        if amount.sort in _TIMES and ahead == "into":
            after += line.text(after) in W.articles
            if Cue.RUN in line.cues(after) or line.text(after) == "it":
                return True
    return False


def is_doubtful(line: ParsedLine, first: int, last: int, before: range) -> bool:
    """Whether the time may be that of a thing nobody knows: "the lasagne took 45", "made soup, took 45".

    `before` are the places of the clause it is joined to; empty where it stands alone.
    """
    if before and _is_bare_time(line, first, last) and any(line.texts[n] in W.weak for n in before):
        strange = any(not line.known(n) and len(line.texts[n]) > SHORT_WORD - 1 for n in before)
        return strange and not any(line.cues(n) & _MOVING for n in before)
    took = next((n for n in range(first, last) if line.texts[n] in W.took), None)
    if took is None or any(line.cues(n) & _SESSION for n in range(first, took)):
        return False
    subject = range(first, took)
    if all(line.texts[n] in {"it", "that"} | W.adverbs for n in subject):
        subject = before
    if any(line.cues(n) & (_SESSION | {Cue.DID}) for n in subject):
        return False
    if any(Cue.SELF in line.cues(n) for n in subject) and not any(line.texts[n] in W.weak for n in subject):
        return False
    return any(line.marks[n] is None and len(line.texts[n]) > SHORT_WORD for n in subject)


def _is_bare_time(line: ParsedLine, first: int, last: int) -> bool:
    """Whether a clause says a time and nothing else."""
    return all(
        line.tokens[n].kind in NUMERIC or line.cues(n) & {Cue.MINUTE, Cue.HOUR, Cue.DURATION}
        for n in range(first, last)
    )
