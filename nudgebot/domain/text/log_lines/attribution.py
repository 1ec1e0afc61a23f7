"""Whose time an amount is: a way's, an age, a part of a longer time, the time of something beside the session.

Shares ("two thirds of my 45") and what stands beside a session are told in English alone.
"""

from __future__ import annotations

from nudgebot.domain.model.parameters import Rule
from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.log_lines.units import BARE_FROM, BARE_TO, TIMES, Amount, Sort
from nudgebot.domain.text.word_files import words

W = words("attribution")
PARTS = words("parts")
ROUNDS = words("rounds")
_WHOLE = range(1, BARE_TO + 1)  # minutes
_AT_A_RUN = frozenset((Cue.RAN, Cue.RUN))
LEAST_PART = Rule("a bare number walked or run in turn, from", 3, "min", "house")  # "2 walks" are no time
_NEAR = 4  # words from a time to the plus behind it
_FRACTIONS = {"half": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4}


def own_amounts(line: ParsedLine, found: list[Amount]) -> list[Amount]:
    """The amounts, those that are no time of one session made OTHER (an age, a part of another), ways made times."""
    if not found:
        return found
    found = _ways(line, _less(line, found))
    english = line.language == "en"
    if english:
        found = [_share(line, amount) if amount.sort in TIMES else amount for amount in found]
    times = [amount for amount in found if amount.sort in TIMES]
    longest = max((amount.value for amount in times), default=0.0)

    def is_none(amount: Amount) -> bool:
        several = len(times) > 1
        return (
            (several and (_is_age_of(line, amount) or (amount.value < longest and _is_part(line, amount))))
            or (english and (_is_age(line, amount) or _is_label(line, amount)))
            or (english and several and _is_beside(line, amount))
        )

    return [a._replace(sort=Sort.OTHER) if a.sort in TIMES and is_none(a) else a for a in found]


def _less(line: ParsedLine, found: list[Amount]) -> list[Amount]:
    """The amounts, a time less what is taken from it made one: "half an hour less five", "media hora menos cinco"."""
    made: list[Amount] = []
    for each in found:
        before = made[-1] if made else None
        if (
            before is not None
            and before.sort is Sort.DURATION
            and each.sort in TIMES
            and each.value < before.value
            and each.first == before.last + 1
            and line.text(before.last) in W.minus
        ):
            made[-1] = before._replace(value=before.value - each.value, last=each.last)
        else:
            made.append(each)
    return made


def _ways(line: ParsedLine, found: list[Amount]) -> list[Amount]:
    """The amounts, bare numbers made minutes where two ways or parts are told with one each: "7 out, 9 back".

    So too where some are walked and some are run: "walked 10, ran 15, walked 5". Beside rounds that are worked out one
    is enough, "10 walk then 6 x 1 run 2 walk", and a plus: "35 min + 5 walking".
    """
    bare = [amount for amount in found if amount.sort is Sort.BARE and amount.value in _WHOLE]
    words = {each: {line.text(each.last), line.text(each.first - 1)} & PARTS.part for each in bare}
    times = [each for each in found if each.sort is Sort.DURATION]
    rounds = not all(ROUNDS.times.isdisjoint(line.texts[each.first : each.last]) for each in times)
    if rounds:
        beside = {each: line.own(each.last) | line.own(each.first - 1) for each in bare}
        words |= {each: {"walk"} for each, cues in beside.items() if not cues.isdisjoint(ACTIVITIES)}
    ways = frozenset().union(*words.values())
    miles = any(amount.sort is Sort.DISTANCE for amount in found)  # the ways may be told in them
    if miles or Cue.EITHER in line.said:
        return found
    ends = {end for each in times for end in range(each.last, each.last + _NEAR)}
    own = {each for each in bare if each.value > 1 and line.text(each.first - 1) in W.plus and each.first - 1 in ends}
    gone = {each: _how_gone(line, each) for each in bare if each.value >= LEAST_PART.value}
    told = frozenset().union(*gone.values())
    in_turn = all(gone.values()) and Cue.WALK in told and not told.isdisjoint(_AT_A_RUN)
    if in_turn and ROUNDS.times.isdisjoint(line.texts):
        own |= gone.keys()
    if len(ways) >= 2 - rounds:
        own |= {amount for amount in bare if words[amount] or (amount.value >= BARE_FROM and not rounds)}
    return [amount._replace(sort=Sort.DURATION) if amount in own else amount for amount in found]


def _how_gone(line: ParsedLine, amount: Amount) -> frozenset[Cue]:
    """Whether a number was run or walked, by the words on both sides: "ran 20", "5 de marche"; empty if neither."""
    behind = amount.last + (line.text(amount.last) in W.of_what)
    return (line.own(behind) | line.own(amount.first - 1)) & (_AT_A_RUN | {Cue.WALK})


def _is_part(line: ParsedLine, amount: Amount) -> bool:
    """Whether a time lies inside a longer one: "including 5 of warm-up", "35 of it walking", "davon 20 gegangen"."""
    return Cue.INCLUDING in line.cues(amount.first - 1) | line.cues(amount.last)


def _is_age_of(line: ParsedLine, amount: Amount) -> bool:
    """ "with my daughter 13", "mit meiner Tochter, 13": a bare number right behind somebody, beside a time."""
    before = amount.first - 1 - (line.text(amount.first - 1) == ",")
    return amount.sort is Sort.BARE and bool(line.cues(before) & {Cue.PERSON, Cue.OTHERS})


def _share(line: ParsedLine, amount: Amount) -> Amount:
    """The part of an amount that a fraction before it leaves: "half of the 40", "two thirds of my 45"."""
    place = amount.first - 1
    counted = line.text(place - 1) if line.text(place) == "of" else ""
    times = line.tokens[place - 2] if counted in W.rounds else None
    if times is not None and times.value:
        return amount._replace(value=amount.value * times.value, first=place - 2)  # "two laps of 20 minutes"
    while place >= 0 and line.texts[place] in W.of_it:
        place -= 1
    if place < 0 or place == amount.first - 1 or line.texts[place] not in _FRACTIONS:
        return amount
    many = place > 0 and line.tokens[place - 1].spoken
    top = line.tokens[place - 1].value if many else 1
    return amount._replace(value=amount.value * top / _FRACTIONS[line.texts[place]], first=place - many)


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
