"""What a line is for, beside the sessions it reports, or that it mends the last entry: "make that 40", "40, not 45"."""

from __future__ import annotations

from datetime import date
from itertools import pairwise
from typing import NamedTuple

from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.dates import Named, Shape
from nudgebot.domain.text.log_lines.moods import Clause, Mood
from nudgebot.domain.text.log_lines.purposes import Purpose, dates_of, reached, with_days
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.log_lines.units import TIMES, Amount
from nudgebot.domain.text.word_files import words

CORRECTING = words("corrections")
_ENTRY_MINUTES = range(1, 601)  # that an entry can have
_NO_CORRECTION = frozenset((Cue.RAN, Cue.SETTINGS, Cue.LIMIT, Cue.FUTURE, Cue.COMPLAINT))
_WEAK_OPENINGS = frozenset(
    ("not", "to", "rather", "it was", "that was", "sorry", "was")
)  # too common to correct by themselves
W = words("intents")
LONG_BREAK = 3  # days without a run, told as a length, that are a time away; house


class IntentRule(NamedTuple):
    """A line with all of `needs`, one of `any_of` (if any) and none of `bars` is for `intent`."""

    intent: Intent
    any_of: frozenset[Cue]
    needs: frozenset[Cue] = frozenset()
    bars: frozenset[Cue] = frozenset()


def _of(*cues: Cue) -> frozenset[Cue]:
    return frozenset(cues)


# Read from the top; the first rule that holds decides.
RULES = (
    IntentRule(Intent.UNDO, _of(Cue.UNDO)),
    IntentRule(Intent.SYMPTOM, _of(Cue.COMPLAINT), bars=_of(Cue.SKIP, Cue.BACK)),
    IntentRule(Intent.STATUS, _of(Cue.STATUS), bars=_of(Cue.SKIP, Cue.CANNOT)),
    IntentRule(Intent.BACK, _of(Cue.BACK)),
    IntentRule(Intent.AWAY, _of(Cue.AWAY, Cue.PAUSE)),
    IntentRule(Intent.MOVE, _of(Cue.MOVE), bars=_of(Cue.SETTINGS)),
    IntentRule(Intent.SETTINGS, _of(Cue.SETTINGS)),
    IntentRule(Intent.SKIP, _of(Cue.SKIP)),
    IntentRule(Intent.BUSY, _of(Cue.BUSY, Cue.CANNOT)),
    IntentRule(Intent.ASK, _of(Cue.QUESTION)),
    IntentRule(Intent.HELLO, _of(Cue.HELLO)),
)


class _Talk(NamedTuple):
    """The clauses of a line as their purpose is judged: their hints, days and numbers, and whether anything is asked.

    `cues` lose what does not count as the rules go on; `limits` are minutes that may limit a day.
    """

    line: ParsedLine
    clauses: list[Clause]
    cues: frozenset[Cue]
    named: list[Named]
    limits: list[int]
    asked: bool
    today: date

    def with_days(self, intent: Intent) -> Purpose:
        """The purpose `intent`, with the days and minutes that belong to it."""
        return with_days(intent, self.cues, self.named, self.limits, self.today)


def purpose(line: ParsedLine, clauses: list[Clause], today: date) -> Purpose | None:
    """What the clauses are for; None where no rule holds."""
    cues: frozenset[Cue] = frozenset().union(*(_own_cues(clause) for clause in clauses)) if clauses else frozenset()
    named = [day for clause in clauses for day in clause.days]
    asked = "?" in line.texts or any(clause.mood is Mood.QUESTION for clause in clauses)
    limits = [
        int(a.value) for c in clauses for a in c.amounts
        if a.sort in TIMES and 1 <= a.value <= 600 and not (a.value == 1 and line.tokens[a.first].spoken)
    ]  # fmt: skip
    talk = _Talk(line, clauses, cues, named, limits, asked, today)
    if len(line.tokens) == 1 and (alone := _ALONE.get(line.texts[0])) is not None:
        return Purpose(alone, today if alone is Intent.SKIP else None)
    if clauses and line.texts[clauses[0].first] in W.why:
        return Purpose(Intent.ASK)
    settled = None if cues & {Cue.RAN, Cue.DID} else _exchange(talk)
    if settled is not None:
        return settled
    if any(_may_run(line, clause) for clause in clauses):
        return Purpose(Intent.ASK)
    if cues and cues <= _TALK and Cue.CONVERSATION in cues:
        return Purpose(Intent.UNKNOWN)
    return _limited(talk) or _to_a_coming_day(talk) or _by_turn(talk) or _by_rule(talk) or _by_the_rest(talk)


def _exchange(talk: _Talk) -> Purpose | None:
    """A run that changes its day without a verb of moving: "45 sunday instead of today", "Friday's run on Saturday"."""
    line, cues, named, today = talk.line, talk.cues, talk.named, talk.today
    forward = {"bring", "forward"} <= set(line.texts)
    if forward and len(named) == 1 and (dates := named[0].coming):
        return Purpose(Intent.MOVE, dates[0], reached(dates, today))
    if len(named) != 2 or any(day.shape is not Shape.ONE for day in named):
        return None
    first, second = (next(iter(day.coming), today) for day in named)
    if first < today or first == second:
        return None
    between = list(line.texts[named[0].last : named[1].first])
    if between[-1:] in (["than"], ["als"], ["que"], ["not"]) or between[-2:] == ["instead", "of"]:
        session = cues & {Cue.RUN, Cue.MOVE} or any(clause.amounts for clause in talk.clauses)
        clear = session or "not" not in between
        return Purpose(Intent.MOVE, second, (first,)) if clear else None
    only_day = talk.clauses[-1].first == named[1].first and talk.clauses[-1].last == named[1].last
    if (
        line.texts[named[0].last - 1].endswith("'s")
        # "not today, tomorrow"
        or (
            only_day
            and cues & {Cue.SKIP, Cue.CANNOT, Cue.NOT}
            and between[-1:] in ([","], ["."], ["-"], [";"], ["but"])
        )
    ):
        return Purpose(Intent.MOVE, first, (second,))
    return None


def _may_run(line: ParsedLine, clause: Clause) -> bool:
    """Whether a clause asks whether one may run as things are: "can I run with a cold?"."""
    asks = line.texts[clause.first : clause.first + 2] in _LEAVE_TO or line.texts[clause.first] in W.safe
    return asks and clause.mood is Mood.QUESTION and Cue.COMPLAINT in clause.cues and bool(clause.cues & _ACTIVE)


def _limited(talk: _Talk) -> Purpose | None:
    """A day that holds less: "20 min at most on Thursday", "can't run more than 20 today"."""
    cues = talk.cues
    if not talk.limits:
        return None
    texts = talk.line.texts
    beyond = Cue.CANNOT in cues and any(n > 1 and texts[n - 2] in W.beyond for n in talk.line.numerals)
    if not beyond and (Cue.LIMIT not in cues or cues & {Cue.RAN, Cue.HYPOTHETICAL}):
        return None
    dates = dates_of(talk.named, talk.today) or (talk.today,)
    return Purpose(Intent.BUSY, dates[0], dates, talk.limits[-1])


def _to_a_coming_day(talk: _Talk) -> Purpose | None:
    """A run that goes to a coming day: "how about Friday?", "rather Sunday"."""
    line, cues, named = talk.line, talk.cues, talk.named
    coming = [day for day in dates_of(named, talk.today) if day > talk.today]
    if not coming:
        return None
    counted = any(day.shape is Shape.LENGTH for day in named)  # "can I run 2 days in a row?"
    offers = any(pair in _OFFERS for pair in pairwise(line.texts))
    asks = talk.asked and (offers or not cues & _STRONG)
    wanted = not counted and asks and not any(day.paired for day in named)
    rather = not cues & _STRONG and not W.rather.isdisjoint(line.texts)
    return Purpose(Intent.MOVE, talk.today, tuple(coming[:1])) if wanted or rather else None


def _by_turn(talk: _Talk) -> Purpose | None:
    """What a turn of phrase settles before the rules: what if, a swap, days of every week, a long time off."""
    cues, named = talk.cues, talk.named
    if talk.line.texts[:2] == ("what", "if") and not cues & {Cue.COMPLAINT, Cue.MOVE, Cue.SWAP}:
        return Purpose(Intent.ASK)  # "what if I miss a week": nothing is missed by asking
    if Cue.SWAP in cues and [day.shape for day in named] == [Shape.ONE, Shape.ONE]:
        return talk.with_days(Intent.MOVE)
    recurring = any(day.shape is Shape.RECURRING for day in named)
    if recurring or _never_again(talk):
        return Purpose(Intent.SETTINGS)
    long = any(day.length >= LONG_BREAK for day in named) and W.lasting.isdisjoint(talk.line.texts)
    no_run = any(clause.mood is Mood.NEGATED and Cue.RUN in clause.cues for clause in talk.clauses)
    no_run |= not W.nothing.isdisjoint(talk.line.texts)
    if long and (cues & {Cue.CANNOT, Cue.SKIP} or no_run):
        return talk.with_days(Intent.AWAY)  # "off for two weeks", "trois semaines sans courir"
    return None


def _never_again(talk: _Talk) -> bool:
    """Whether a weekday is given up for good: "nunca mais à segunda"."""
    pairs = pairwise(talk.line.texts)
    return Cue.WEEKDAY in talk.cues and any(one in W.never and other in W.again for one, other in pairs)


def _by_rule(talk: _Talk) -> Purpose | None:
    """The first of RULES that holds."""
    cues = talk.cues - _not_meant(talk)
    for rule in RULES:
        if cues & rule.any_of and rule.needs <= cues and not cues & rule.bars:
            return talk._replace(cues=cues).with_days(rule.intent)
    return None


def _not_meant(talk: _Talk) -> frozenset[Cue]:
    """Hints that a question, or the lack of one, takes away."""
    if not talk.asked:
        return frozenset({Cue.QUESTION})  # "my brother does 60"
    words = list(talk.line.texts)
    hello = frozenset({Cue.HELLO}) if words[0] in W.whether else frozenset()  # "are hills ok?"
    return hello | {Cue.SKIP} if "too" in words else hello  # "is it too cold at -25?"


def _by_the_rest(talk: _Talk) -> Purpose | None:
    """What no rule holds for: something denied, a day, a question."""
    cues = talk.cues - _not_meant(talk)
    line, named, limits = talk.line, talk.named, talk.limits
    talk = talk._replace(cues=cues)
    denied = [c for c in talk.clauses if c.mood is Mood.NEGATED and len(c.amounts) < 2]  # not "2.2 miles not 2.5"
    if denied and not talk.asked and any(clause.amounts or clause.cues & _SESSION for clause in denied):
        return talk.with_days(Intent.SKIP)
    if named and cues & {Cue.NO, Cue.NOT} and not limits and not cues & {Cue.RAN, Cue.DID}:
        return talk.with_days(Intent.SKIP)
    if not talk.asked:
        return None
    if limits and (line.tokens[0].kind is Kind.NUMBER or Cue.EITHER in line.cues(0)):
        return Purpose(Intent.UNKNOWN, ask_back=True)  # "45 min?"
    return Purpose(Intent.ASK)


_LEAVE_TO = frozenset(
    (*((verb, "i") for verb in ("can", "should", "may", "could", "shall")), ("is", "it"), ("would", "it"))
)
_OFFERS = frozenset((("how", "about"), ("what", "about")))  # "how about Sunday?" is no question about it
_ACTIVE = frozenset(ACTIVITIES)


# With one of these a question about a coming day is about something else than moving a run to it.
_STRONG = frozenset(
    (
        Cue.UNDO, Cue.COMPLAINT, Cue.STATUS, Cue.BACK, Cue.AWAY, Cue.PAUSE, Cue.SETTINGS, Cue.SKIP, Cue.BUSY,
        Cue.CANNOT, Cue.QUESTION, Cue.PLAN,
    )
)  # fmt: skip


def _own_cues(clause: Clause) -> frozenset[Cue]:
    """The hints of a clause; what ails somebody else is no complaint of the runner's."""
    if Cue.PERSON in clause.cues and not clause.cues & {Cue.SELF, Cue.BODY}:
        return clause.cues - {Cue.COMPLAINT, Cue.HURTS}
    return clause.cues


# Words that mean this only where they are the whole line.
_ALONE = {
    "back": Intent.BACK,
    "rest": Intent.SKIP,
    "rst": Intent.SKIP,
    "week": Intent.STATUS,
    "next": Intent.STATUS,
    "nxt": Intent.STATUS,
}
_SESSION = frozenset((Cue.RUN, Cue.RAN, Cue.WALK, Cue.BIKE))
_TALK = frozenset((Cue.CONVERSATION, Cue.KNOWN, Cue.HELLO, Cue.FILLER, Cue.YES, Cue.NO, Cue.NOT, Cue.FUTURE, Cue.SOFT))


def correction(line: ParsedLine, amounts: list[Amount]) -> int | None:
    """The minutes that the last entry should have; None where the line corrects nothing."""
    if not line.said.isdisjoint(_NO_CORRECTION) or Cue.QUESTION in line.cues(0):  # "why 45 and not 30?"
        return None
    told = [a for a in amounts if a.sort in TIMES and int(a.value) in _ENTRY_MINUTES]
    told = [a for a in told if not (a.value == 1 and line.tokens[a.first].spoken)]  # "last one was wrong, it was 38"
    meant = [a for a in told if _opens_with_no(line, a) or not _is_denied(line, a)]
    if len(meant) != 1 or not (len(told) == 2 or Cue.UNDO in line.said or _begins(line, meant[0])):
        return None
    return int(meant[0].value)


def _is_denied(line: ParsedLine, amount: Amount) -> bool:
    return line.denies(amount.first - 1)


def _opens_with_no(line: ParsedLine, amount: Amount) -> bool:
    """Whether the line is a no and the amount, and nothing else: "no 35" takes back what was stored."""
    return amount.first == 1 and amount.last == len(line.tokens) and line.texts[0] in CORRECTING.no


def _begins(line: ParsedLine, amount: Amount) -> bool:
    """Whether the line opens with a phrase of correction, or changes something to the amount."""
    texts, ends = line.texts, amount.last == len(line.tokens)
    opening = next((place for place, text in enumerate(texts) if text not in CORRECTING.openings), 0)
    mark = line.marks[opening]
    if opening and ends and mark is not None and Cue.MAKE_THAT in mark.cues:
        return True  # "no sorry it was 50"
    if opening == amount.first and ends and not CORRECTING.takes_back.isdisjoint(texts[:opening]):
        return True  # "no sorry, 50"
    if texts[0] in CORRECTING.changing and texts[amount.first - 1] == "to":
        return True
    mark = line.marks[0]
    if mark is None or Cue.MAKE_THAT not in mark.cues:
        return False
    return " ".join(texts[mark.first : mark.last]) not in _WEAK_OPENINGS or texts[-1] == "actually"
