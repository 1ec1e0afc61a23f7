"""From what the rules and the learned readers make of a line to the one reading: taken, or asked about with choices.

A run is stored where both that it was one and its minutes are likely; the plan is changed where that is likely and a
run is not; questions, talk and status are answered. Anything else is asked about: the reading holds the likeliest
choices. What has a grammar of its own stays with the rules: a lone number, the days, a pause without an end.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import pairwise

from nudgebot.domain.model.parameters import Choice, Rule
from nudgebot.domain.text.fevers import may_be_fever
from nudgebot.domain.text.learned import stack, sums
from nudgebot.domain.text.learned.intents import INTENTS, WORDS_READ
from nudgebot.domain.text.learned.stack import Weighed
from nudgebot.domain.text.log_lines.result import Intent, Reading
from nudgebot.domain.text.log_lines.rules import Parsed
from nudgebot.domain.text.log_lines.runs import TELLING
from nudgebot.domain.text.log_lines.units import TIMES, Sort
from nudgebot.domain.text.readings import as_run, is_pause, read_as
from nudgebot.domain.text.sayings import whereabouts_in
from nudgebot.domain.text.word_files import words

W = words("attribution")

# How likely something must be, chosen with every author left out (`python -m tests.corpus.curve`, docs/replies.md).
_LEFT_OUT = "left-out-writers"
STORE_RUN = Rule("a run that the rules found too, to store it", 70, "% likely", _LEFT_OUT, Choice.MEASURED)
STORE_ALONE = Rule("a run that the rules doubt or did not find", 85, "% likely", _LEFT_OUT, Choice.MEASURED)
STORE_AGAINST = Rule("a run told in a question, a hope or a plan", 90, "% likely", _LEFT_OUT, Choice.MEASURED)
STORE_MINUTES = Rule("that its minutes are right, to store it", 60, "% likely", _LEFT_OUT, Choice.MEASURED)
CHANGE_PLAN = Rule("an intent that changes the plan, to act on it", 58, "% likely", _LEFT_OUT, Choice.MEASURED)
RUN_BESIDE = Rule("a run, from which the plan is changed only when asked", 40, "% likely", _LEFT_OUT, Choice.MEASURED)
ANSWERED_BELOW = Rule("a run, from which talk is asked about", 40, "% likely", _LEFT_OUT, Choice.MEASURED)
KNOWN_AGREES = Rule("the rules' reading where they know every word", 25, "% likely", _LEFT_OUT, Choice.MEASURED)
ORDER_AGREES = Rule("the same of a change in a few words", 15, "% likely", "house")
RUN_AGREES = Rule("the same where they read a run", 30, "% likely", _LEFT_OUT, Choice.MEASURED)
SURELY_TALK = Rule("talk, where the rules read nothing", 40, "% likely", _LEFT_OUT, Choice.MEASURED)
NO_QUESTION = Rule("talk, where the rules read a question", 50, "% likely", _LEFT_OUT, Choice.MEASURED)
SURELY_NO_CHANGE = Rule("talk, where the rules read a change", 65, "% likely", _LEFT_OUT, Choice.MEASURED)
SURELY_OTHER = Rule("an answer other than that of the rules' reading", 97, "% likely", _LEFT_OUT, Choice.MEASURED)
LEAST_CHOICE = Rule("a reading that is offered by a button", 2, "% likely", _LEFT_OUT, Choice.MEASURED)
EITHER_WITHIN = Rule("two times told as one or the other, at most so far apart", 4, "words", "house")
ORDER = Rule("a line that may be a short order, up to", 5, "words", "house")
CHOICES = 3  # readings offered

CHANGING = frozenset(
    (Intent.SKIP, Intent.MOVE, Intent.BUSY, Intent.AWAY, Intent.BACK, Intent.UNDO, Intent.SETTINGS)
)  # what changes the plan, the log or the settings
_ANSWERED = frozenset((Intent.STATUS, Intent.ASK, Intent.HELLO))  # nothing is stored or changed
_NO_RUN = frozenset((Intent.SKIP, Intent.BUSY))
_CLOSING = _NO_RUN | {Intent.AWAY}
# How likely talk must be, by what the rules read instead.
_TALK_FROM = {Intent.UNKNOWN: SURELY_TALK.share, Intent.ASK: NO_QUESTION.share, Intent.STATUS: NO_QUESTION.share}


def decided(text: str, today: date) -> Reading:
    """The reading of a line, without the weather it tells: `decided_from`, but for two kinds of line.

    A run whose minutes may be a fever is asked about; a "back" that names a place and no return sets where one runs.
    """
    parse = stack.by_rules(text, today)
    if _is_a_number(parse):
        return parse.reading
    weighed = stack.weighed(stack.models(), *stack.first(text, today))
    reading = decided_from(parse, weighed)
    if reading.intent is Intent.LOG and not reading.ask_back and may_be_fever(text):
        return replace(reading, ask_back=True, minutes=None, choices=choices_of(parse, weighed))
    if reading.intent is Intent.BACK and (place := whereabouts_in(text)) is not None and not place.back:
        return Reading(Intent.SETTINGS, language=reading.language)
    return reading


def decided_from(parse: Parsed, weighed: Weighed) -> Reading:
    """The reading of a line, from what the learned readers make of it. The first of these that holds:

    1. A number alone is what the rules read.
    2. The rules know every word and the learned readers agree: the rules' reading; if that is one of `_ANSWERED` and
       another of these is all but sure, it is that.
    3. A run and its minutes are likely enough, and no limit of a day is: the run.
    4. The likeliest intent gives no reason to leave the rules' reading: that.
    5. The likeliest intent is clear: that.
    6. Else it is asked which is meant.
    """
    rules = parse.reading
    if _is_a_number(parse):
        return rules
    if _agree(parse, weighed):
        answered = max(_ANSWERED, key=weighed.of)
        is_other = rules.intent in _ANSWERED and weighed.of(answered) >= SURELY_OTHER.share
        return read_as(parse, weighed, answered) if is_other else rules
    if not _is_limit(weighed) and _is_stored(parse, weighed):
        return read_as(parse, weighed, Intent.LOG)
    likeliest = max(INTENTS, key=weighed.of)
    if _gives_no_reason(parse, weighed, likeliest):
        return rules
    reading = read_as(parse, weighed, likeliest)
    return reading if _is_clear(parse, weighed, likeliest, reading) else _asked(parse, weighed, reading)


def _agree(parse: Parsed, weighed: Weighed) -> bool:
    """Whether the rules know every word and the learned readers hold what they read, its minutes too if it is a run."""
    rules = parse.reading
    if not _is_all_known(parse) or _is_one_of_two(parse, weighed):
        return False
    if rules.intent is not Intent.LOG:
        is_order = rules.intent in CHANGING and len(parse.line.words) <= ORDER.value
        least = ORDER_AGREES if is_order else KNOWN_AGREES
        return _share_of_rules(parse, weighed) >= least.share
    if _is_limit(weighed) or _holds_other_minutes(parse, weighed):
        return False
    if rules.ask_back:  # the rules lack the minutes, and a reader that can work them out does not
        return weighed.run >= KNOWN_AGREES.share and not _is_worked_out(weighed)
    return weighed.run >= RUN_AGREES.share


def _is_limit(weighed: Weighed) -> bool:
    """Whether the line likely closes a day or limits it: its minutes are to come, and none were run."""
    return weighed.of(Intent.BUSY) >= CHANGE_PLAN.share


def _gives_no_reason(parse: Parsed, weighed: Weighed, likeliest: Intent) -> bool:
    """Whether the likeliest intent is no reason to leave what the rules read.

    Talk is none if it is not likely enough or in strange words: the answer then names the signs and the number. Beside
    a short order that lacks something ("move my run") neither an answer is one nor an unlikely complaint: it is asked
    for what it lacks.
    """
    rules = parse.reading
    if likeliest is Intent.HELLO and (weighed.of(likeliest) < _TALK_FROM.get(rules.intent, 0) or _is_strange(parse)):
        return True
    is_order = rules.intent in CHANGING and rules.ask_back and _is_all_known(parse)
    is_weak = likeliest in _ANSWERED or (likeliest is Intent.SYMPTOM and weighed.of(likeliest) < CHANGE_PLAN.share)
    return is_weak and is_order and len(parse.line.words) <= ORDER.value


def _is_clear(parse: Parsed, weighed: Weighed, likeliest: Intent, reading: Reading) -> bool:
    """Whether the likeliest intent may be taken unasked, `reading` being the line read as this."""
    rules = parse.reading
    changes = rules.intent in CHANGING and _is_all_known(parse)
    if likeliest is Intent.LOG:  # a run without its minutes: they are asked for
        return weighed.minutes is None and weighed.run >= STORE_RUN.share
    if likeliest in CHANGING:
        other_change = rules.intent is not likeliest and (changes or is_pause(rules))
        no_minutes = likeliest is Intent.UNDO and reading.minutes is None  # with a distance it is that which is mended
        of_distance = no_minutes and any(amount.sort is Sort.DISTANCE for amount in parse.amounts)
        likely = weighed.of(likeliest) >= CHANGE_PLAN.share and weighed.run <= RUN_BESIDE.share
        return likely and not other_change and not of_distance
    if weighed.run > ANSWERED_BELOW.share:
        return False
    if likeliest not in {Intent.HELLO, Intent.UNKNOWN}:
        return True
    doubted = _carries_a_change(parse) and weighed.of(likeliest) < SURELY_NO_CHANGE.share
    outweighed = changes and sum(weighed.of(intent) for intent in CHANGING) > weighed.of(likeliest)
    return not doubted and not outweighed


def _asked(parse: Parsed, weighed: Weighed, reading: Reading) -> Reading:
    """The question which reading is meant, `reading` the likeliest.

    A change that the words carry, as the rules read it, is offered first, however unlikely.
    """
    choices = choices_of(parse, weighed)
    if _carries_a_change(parse):
        reading = parse.reading
        choices = (reading, *(each for each in choices if each.intent is not reading.intent))[:CHOICES]
    return replace(reading, ask_back=True, minutes=None, logs=(), choices=choices)


def _carries_a_change(parse: Parsed) -> bool:
    """Whether the rules read days away, or another change that lacks nothing, with no word left over."""
    rules = parse.reading
    return rules.intent is Intent.AWAY or (rules.intent in CHANGING and not rules.ask_back and _is_all_known(parse))


def _is_a_number(parse: Parsed) -> bool:
    """Whether a line is a number alone or a time with its unit, or nothing but signs: there is nothing to weigh."""
    times = [amount for amount in parse.amounts if amount.sort is Sort.DURATION]
    told = (any(time.first <= place < time.last for time in times) for place in parse.line.words)
    return len(parse.amounts) < 2 and all(told)


def _is_stored(parse: Parsed, weighed: Weighed) -> bool:
    """Whether a run and its minutes are likely enough.

    Never where the rules know every word and find no run, unless its minutes are worked out, from a pace or two times
    of day; from a clause that tells of nothing done, as a question, a hope or a plan, only where a run is all but sure.
    """
    if weighed.minutes_right < STORE_MINUTES.share or _is_one_of_two(parse, weighed):
        return False
    if not _tells(parse, weighed):
        return weighed.run >= STORE_AGAINST.share and not _is_all_known(parse)
    if parse.told.runs:
        return weighed.run >= STORE_RUN.share
    return weighed.run >= STORE_ALONE.share and (_is_worked_out(weighed) or not _is_all_known(parse))


def _is_one_of_two(parse: Parsed, weighed: Weighed) -> bool:
    """Whether the likeliest minutes are one of two times told with an "or" between them: "ran 20, or was it 25"."""
    joined = W.either | (W.either_in_spanish if parse.line.language == "es" else set())
    if joined.isdisjoint(parse.line.texts):
        return False
    return any(
        weighed.minutes in {int(one.value), int(other.value)} and other.first - one.last <= EITHER_WITHIN.value
        for one, other in pairwise(amount for amount in parse.amounts if amount.sort in TIMES)
        if not joined.isdisjoint(parse.line.texts[one.last : other.first])
    )


def _holds_other_minutes(parse: Parsed, weighed: Weighed) -> bool:
    """Whether likely minutes are not those of the rules' run, or no reader of sums has these at all."""
    options = [one for _, one in weighed.based.sums]
    own = sums.rules_minutes(parse)
    if own is None or not options or own == weighed.minutes:
        return False
    likely = weighed.minutes_right >= STORE_MINUTES.share and not options[0].rounded
    return likely or own not in {one.minutes for one in options}


def _is_worked_out(weighed: Weighed) -> bool:
    """Whether the likeliest minutes are no number of the line."""
    return bool(weighed.based.sums) and bool(weighed.based.sums[0][1].derived)


def _tells(parse: Parsed, weighed: Weighed) -> bool:
    """Whether the clause that holds the likeliest minutes may tell of something done."""
    if not weighed.based.sums or sums.rules_minutes(parse) == weighed.minutes:
        return True
    clause = stack.clause_of(parse, weighed.based, weighed.based.sums[0][1])
    return clause is None or clause.mood in TELLING


def _is_all_known(parse: Parsed) -> bool:
    """Whether the rules know every word of the line; of a very long one nobody asks."""
    return len(parse.line.tokens) <= WORDS_READ and not parse.line.unknown


def _is_strange(parse: Parsed) -> bool:
    """Whether the rules know less than a third of the words: then it is another language, and may be anything."""
    words = range(min(len(parse.line.tokens), WORDS_READ))
    longer = [n for n in words if len(parse.line.tokens[n].text) > 1] or words
    return sum(map(parse.line.known, longer)) * 3 < len(longer)


def _share_of_rules(parse: Parsed, weighed: Weighed) -> float:
    """How likely the learned readers hold what the rules read, which is no run.

    For what is only answered that is how likely nothing is to be stored or changed.
    """
    rules = parse.reading
    if rules.intent in _NO_RUN and rules.minutes is None and {rules.day, *rules.days} <= {None, parse.today}:
        return sum(weighed.of(intent) for intent in _NO_RUN)  # no run today, whichever it is called
    if rules.intent in _CLOSING and len(rules.days) > 1 and rules.minutes is None:
        return sum(weighed.of(intent) for intent in _CLOSING)  # no run on these days, whichever it is called
    if rules.intent in CHANGING:
        return weighed.of(rules.intent)
    return 1 - max(weighed.run, sum(weighed.of(intent) for intent in CHANGING))


def choices_of(parse: Parsed, weighed: Weighed) -> tuple[Reading, ...]:
    """The likeliest readings, at most `CHOICES`, the likeliest first; of a run each of the likeliest minutes."""
    likely: list[tuple[float, int, Intent, sums.MinutesOption | None]] = []
    for place, intent in enumerate(INTENTS):
        if intent is Intent.UNKNOWN:
            continue  # "something else" is always offered
        chance = max(weighed.run, weighed.of(intent)) if intent is Intent.LOG else weighed.of(intent)
        if intent is Intent.LOG and weighed.based.sums:
            best = weighed.minutes_right
            shares = [best, *((1 - best) * share / max(1e-9, 1 - weighed.based.sums[0][0])
                              for share, _ in weighed.based.sums[1:3])]  # fmt: skip
            for share, (_, candidate) in zip(shares, weighed.based.sums[:3], strict=True):
                likely.append((chance * share, -place, intent, candidate))
        else:
            likely.append((chance, -place, intent, None))
    likely.sort(key=lambda one: one[:2], reverse=True)
    return tuple(
        read_as(parse, weighed, intent) if candidate is None else as_run(parse, weighed, candidate)
        for chance, _, intent, candidate in likely[:CHOICES]
        if chance >= LEAST_CHOICE.share
    )


def meant(text: str, today: date, intent: Intent, minutes: int | None) -> Reading | None:
    """The line as its writer said that it is meant; None where no run of these minutes can be found in it."""
    parse, based = stack.first(text, today)
    weighed = stack.weighed(stack.models(), parse, based)
    if intent is not Intent.LOG or minutes is None:
        return read_as(parse, weighed, intent)
    told = next((one for _, one in weighed.based.sums if one.minutes == minutes), None)
    return None if told is None else as_run(parse, weighed, told)
