"""What a line is for, beside the sessions it reports."""

from datetime import date
from typing import NamedTuple

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.amounts import Sort
from nudgebot.domain.text.log_lines.clauses import Clause, Mood
from nudgebot.domain.text.log_lines.dates import Named, Shape, shifted
from nudgebot.domain.text.log_lines.intent_overrides import (
    Purpose,
    dates_of,
    reached,
    settled_early,
    turned_down,
)
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.word_files import words

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
    asked = "?" in line.texts
    asked = asked or any(clause.mood is Mood.QUESTION for clause in clauses)
    limits = [
        int(a.value) for c in clauses for a in c.amounts
        if a.sort in {Sort.DURATION, Sort.BARE} and 1 <= a.value <= 600
        and not (a.value == 1 and line.tokens[a.first].spoken)
    ]  # fmt: skip
    talk = _Talk(line, clauses, cues, named, limits, asked, today)
    if len(line.tokens) == 1 and (alone := _ALONE.get(line.texts[0])) is not None:
        return Purpose(alone, today if alone is Intent.SKIP else None)
    if clauses and line.texts[clauses[0].first] in W.why and Cue.STATUS not in cues:
        return Purpose(Intent.ASK)
    settled = settled_early(line, clauses, cues, named, asked, today)
    if settled is not None:
        return settled
    if turned_down(line, clauses, asked):
        return talk.with_days(Intent.SKIP)
    if cues and cues <= _TALK and Cue.CONVERSATION in cues:
        return Purpose(Intent.UNKNOWN)
    return _limited(talk) or _to_a_coming_day(talk) or _by_turn(talk) or _by_rule(talk) or _by_the_rest(talk)


def _limited(talk: _Talk) -> Purpose | None:
    """A day that holds less: "20 min at most on Thursday", "can't run more than 20 today"."""
    line, cues = talk.line, talk.cues
    if not talk.limits:
        return None
    limited = Cue.LIMIT in cues and not cues & {Cue.RAN, Cue.HYPOTHETICAL} and not _what_if(line)
    if not limited and not (Cue.CANNOT in cues and not W.beyond.isdisjoint(line.texts)):
        return None
    dates = dates_of(talk.named, talk.today) or (talk.today,)
    return Purpose(Intent.BUSY, dates[0], dates, talk.limits[-1])


def _to_a_coming_day(talk: _Talk) -> Purpose | None:
    """A run that goes to a coming day: "can I do Friday", "rather Sunday"."""
    line, cues, named = talk.line, talk.cues, talk.named
    coming = [day for day in dates_of(named, talk.today) if day > talk.today]
    if not coming:
        return None
    counted = any(day.shape is Shape.LENGTH for day in named)  # "can I run 2 days in a row?"
    asks = _may_i(line, talk.clauses) or (talk.asked and not cues & _STRONG)
    wanted = not counted and asks and not any(day.paired for day in named)
    rather = not cues & _STRONG and not W.rather.isdisjoint(line.texts)
    return Purpose(Intent.MOVE, talk.today, tuple(coming[:1])) if wanted or rather else None


def _by_turn(talk: _Talk) -> Purpose | None:
    """What a turn of phrase settles before the rules: what if, a swap, days of every week, a long time off."""
    cues, named = talk.cues, talk.named
    if _what_if(talk.line) and not cues & {Cue.COMPLAINT, Cue.MOVE, Cue.SWAP}:
        return Purpose(Intent.ASK)  # "what if I miss a week": nothing is missed by asking
    if Cue.SWAP in cues and [day.shape for day in named] == [Shape.ONE, Shape.ONE]:
        return talk.with_days(Intent.MOVE)
    recurring = any(day.shape is Shape.RECURRING for day in named)
    if recurring and not cues & {Cue.RAN, Cue.DID, Cue.SKIP}:
        return Purpose(Intent.SETTINGS)
    if any(day.length >= LONG_BREAK for day in named) and cues & {Cue.CANNOT, Cue.SKIP} and Cue.STATUS not in cues:
        return talk.with_days(Intent.AWAY)  # "off for two weeks"
    return None


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
    too = "too" in words and set(words[words.index("too") + 1 :][:1]) & W.outside and not set(words) & W.off
    return hello | {Cue.SKIP} if too else hello  # "is it too cold at -25?"


def _by_the_rest(talk: _Talk) -> Purpose | None:
    """What no rule holds for: something denied, a day, a question."""
    cues = talk.cues - _not_meant(talk)
    line, named, limits, today = talk.line, talk.named, talk.limits, talk.today
    talk = talk._replace(cues=cues)
    denied = [clause for clause in talk.clauses if clause.mood is Mood.NEGATED]
    if denied and not talk.asked and any(clause.amounts or clause.cues & _SESSION for clause in denied):
        return talk.with_days(Intent.SKIP)
    if named and cues & {Cue.NO, Cue.NOT} and not limits and not cues & {Cue.RAN, Cue.DID}:
        return talk.with_days(Intent.SKIP)
    if not talk.asked:
        return None
    dates = dates_of(named, today)
    if dates and dates[0] > today:
        return Purpose(Intent.MOVE, today, dates[:1])
    if limits and (line.tokens[0].kind is Kind.NUMBER or Cue.EITHER in line.cues(0)):
        return Purpose(Intent.UNKNOWN, ask_back=True)  # "45 min?"
    return Purpose(Intent.ASK)


def _what_if(line: ParsedLine) -> bool:
    words = list(line.texts[:3])
    return words[:2] == ["what", "if"] or words == ["what", "happens", "if"]


def _may_i(line: ParsedLine, clauses: list[Clause]) -> bool:
    """Whether a clause asks for leave: "can I do Friday", "how about Sunday"."""
    firsts = ((line.texts[c.first], line.texts[c.first + 1]) for c in clauses if c.last - c.first > 1)
    return any(pair in _LEAVE for pair in firsts)


_LEAVE = frozenset((("can", "i"), ("could", "i"), ("may", "i"), ("how", "about"), ("what", "about")))
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
_ALONE = {"back": Intent.BACK, "rest": Intent.SKIP, "rst": Intent.SKIP, "week": Intent.STATUS, "next": Intent.STATUS}
_SESSION = frozenset((Cue.RUN, Cue.RAN, Cue.WALK, Cue.BIKE))
_TALK = frozenset((Cue.CONVERSATION, Cue.KNOWN, Cue.HELLO, Cue.FILLER, Cue.YES, Cue.NO, Cue.NOT, Cue.FUTURE, Cue.SOFT))


def days_away(named: list[Named], today: date) -> tuple[date, ...]:
    """The days of a pause that the expressions name; none where its end is open: "from Monday"."""
    shapes = {day.shape for day in named}
    ends = Shape.FROM not in shapes or bool(shapes & {Shape.LENGTH, Shape.UNTIL})
    return dates_of(named, today) if ends else ()


def _is_open(day: Named) -> bool:
    """Whether a day may be gone or to come: "Friday"."""
    return day.tense == 0 and day.dates(False) != day.dates(True)


def with_days(intent: Intent, cues: frozenset[Cue], named: list[Named], limits: list[int], today: date) -> Purpose:
    """An intent with the days named, and the limit or the corrected value, the last of `limits`."""
    match intent:
        case Intent.SKIP:
            past = dates_of(named, today, past=True)
            ahead = dates_of(named, today)
            if ahead and Cue.CANNOT in cues and not cues & {Cue.DID, Cue.RAN} and all(map(_is_open, named)):
                return Purpose(Intent.BUSY, ahead[0], ahead)  # "dentist on friday, no run"
            coming = tuple(day for day in dates_of(named, today) if day > today)
            if coming and all(day.tense > 0 for day in named):
                return Purpose(Intent.BUSY, coming[0], coming)
            return Purpose(intent, past[0] if past else today)
        case Intent.MOVE:
            dates = dates_of(named, today)
            if not dates:
                return Purpose(intent, today, (), ask_back=True)
            if len(named) == 1 and named[0].shape in {Shape.UNTIL, Shape.LENGTH}:
                late = named[0].shape is Shape.LENGTH  # "by two days" counts from today, "till Saturday" is Saturday
                return Purpose(intent, today, shifted(dates[-1], late))
            if len(named) == 1 and named[0].shape is Shape.SEVERAL and named[0].paired:
                return Purpose(intent, dates[0], reached(dates, today))  # "Monday to Thursday"
            if len(dates) > 1:
                return Purpose(intent, dates[0], dates[1:])
            return Purpose(intent, today, dates)
        case Intent.BUSY:
            dates = dates_of(named, today) or (today,)
            if dates == (today,) and Cue.BUSY not in cues:
                return Purpose(Intent.SKIP, today)  # "can't today" is no run, "busy today" a closed day
            return Purpose(intent, dates[0], dates)
        case Intent.AWAY:
            dates = days_away(named, today)
            first = next(iter(dates_of(named, today)), today)
            return Purpose(intent, dates[0] if dates else first, dates, ask_back=not dates)
        case Intent.UNDO:
            return Purpose(intent, minutes=limits[-1] if limits else None)
        case Intent.BACK | Intent.STATUS:
            dates = dates_of(named, today)
            return Purpose(intent, dates[0] if len(dates) == 1 else None)
        case _:
            return Purpose(intent)
