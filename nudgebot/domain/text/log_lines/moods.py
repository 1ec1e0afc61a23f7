"""How a clause is meant: done, denied, planned, imagined, asked, somebody else's, or time spent on something else."""

from __future__ import annotations

from collections.abc import Iterable
from enum import IntEnum
from typing import NamedTuple

from nudgebot.domain.text.line.cues import ACTIVITIES, Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.line.whose import PlainWord, negated, of_others, segments
from nudgebot.domain.text.log_lines.dates import Named, Shape
from nudgebot.domain.text.log_lines.units import BARE_TO, TIMES, Amount, Sort
from nudgebot.domain.text.word_files import words

W = words("moods")
NEAR = 3  # words between a verb and its number
_FAR_AWAY = frozenset((Cue.HYPOTHETICAL, Cue.LONG_AGO))
_PEOPLE = frozenset((Cue.PERSON, Cue.OTHERS))
_SIGNIFICANT = frozenset((Cue.RAN, Cue.DID, Cue.RUN, Cue.HURTS))
_SO_FAR = frozenset(("", "and", ",", ".", "now", "!", "so", "already"))


class Mood(IntEnum):
    """How a clause is meant."""

    PLAIN = 0  # nothing says
    DONE = 1
    NEGATED = 2
    INTENDED = 3
    PLANNED = 4
    IMAGINED = 5
    OTHERS = 6
    QUESTION = 7
    ELSEWHERE = 8  # time spent on something else


class Clause(NamedTuple):
    """Tokens from `first` up to, not including, `last`, with their hints, what was found among them, and its mood.

    `done`, `ran` and `told` are the places of what was done, of a session gone, and of how long.
    """

    line: ParsedLine
    first: int
    last: int
    cues: frozenset[Cue]
    amounts: tuple[Amount, ...]
    days: tuple[Named, ...]
    asked: bool
    done: list[int]
    ran: list[int]
    told: list[int]
    linked: bool  # joined to the clause before by "and" or a comma, in one sentence
    contrast: bool  # opened by "but", "only", "instead"
    mood: Mood = Mood.PLAIN

    def places(self, *cues: Cue) -> list[int]:
        """The places of the clause with one of these hints."""
        return [] if self.cues.isdisjoint(cues) else places(self.line, self.first, self.last, *cues)

    def spans(self, places: Iterable[int]) -> dict[int, int]:
        """Where words at places of the line, each with its phrase, begin in the clause, and where they end."""
        return {place - self.first: min(self.line.past(place), self.last) - self.first for place in places}

    def words(self) -> list[PlainWord]:
        """The words of the clause, for what tells who is spoken of and what is denied."""
        return [PlainWord(t.text, int(t.kind is Kind.MARK)) for t in self.line.tokens[self.first : self.last]]


def places(line: ParsedLine, first: int, last: int, *cues: Cue) -> list[int]:
    """The places from `first` up to `last` with one of these hints."""
    return [first + n for n, hints in enumerate(line.hints[first:last]) if not hints.isdisjoint(cues)]


def mood_of(said: Clause) -> Mood:
    """How the clause is meant."""
    return (
        _imagined_or_to_come(said)
        or _marked(said)
        or (Mood.OTHERS if _is_somebody_elses(said) else None)
        or (Mood.NEGATED if _is_denied(said) else None)
        or _ahead(said)
        or _told_as_done(said)
    )


def _imagined_or_to_come(said: Clause) -> Mood | None:
    """What is only imagined or long ago, or is still to come by how it is told."""
    line, first, told = said.line, said.first, said.told
    limits = Cue.LIMIT in said.cues
    if not said.cues.isdisjoint(_FAR_AWAY) or any(
        _is_year(line, amount) or (not limits and _is_rate(line, amount)) for amount in said.amounts
    ):
        return Mood.IMAGINED
    if said.done:
        return None
    coming = any(day.tense >= 0 and day.is_open for day in said.days)
    if (
        (coming and Cue.MOVE in said.cues | line.cues(said.last))  # "run 45 sunday instead"
        or (said.last - first > 1 and line.texts[said.last - 1] == "later")
        or _is_to_come_or_under_way(line, said.amounts)
        or (told and _is_infinitive(line, first, told[0]))
    ):
        return Mood.INTENDED
    return None


def _is_rate(line: ParsedLine, amount: Amount) -> bool:
    """Whether a time is so much a week or a day: "50 min a week", "60 minutos a la semana"; not "a week ago"."""
    place = amount.last
    if amount.sort not in TIMES or line.text(place) not in W.each:
        return False
    while line.text(place) in W.each:
        place += 1
    return line.text(place) in W.spans and line.text(place + 1) not in W.gone_by


def _is_infinitive(line: ParsedLine, first: int, number: int) -> bool:
    """Whether an infinitive or a modal stands before the number: "love to run 60", "might run 40", "I'd do 40"."""
    near = range(number - 1, max(first, number - 1 - NEAR) - 1, -1)
    verb = next((n for n in near if line.texts[n] in W.base), 0)
    if line.language != "en" or verb <= first:
        return False
    before = line.texts[verb - 1]
    if before == "to":
        return line.texts[verb - 2] not in W.achieved
    return before in W.modals


def _is_to_come_or_under_way(line: ParsedLine, amounts: tuple[Amount, ...]) -> bool:
    """Whether the time told is a wait ("back in 20 minutes", not "5k in 32 minutes") or how far into a run one is."""
    far = any(amount.sort is Sort.DISTANCE for amount in amounts)
    for amount in amounts:
        if amount.sort not in TIMES:
            continue
        ahead, after = line.text(amount.last), amount.last + 1
        if not far and line.text(amount.first - 1) == "in":
            return True
        if amount.sort is Sort.DURATION and ahead == "in" and line.text(after) in _SO_FAR:
            return True  # "20 minutes in and loving it"
        after += line.text(after) in W.articles
        if ahead == "into" and (Cue.RUN in line.cues(after) or line.text(after) == "it"):
            return True
    return False


def _marked(said: Clause) -> Mood | None:
    """What a hint settles: called off, a setting, somebody's run, a limit, a question."""
    line, first, done, told = said.line, said.first, said.done, said.told
    if Cue.SKIP in said.cues and all(Cue.SKIP in line.cues(place - 1) for place in said.ran):
        return Mood.NEGATED
    if Cue.SETTINGS in said.cues and not done:
        return Mood.PLANNED
    if told and (_named_person(line, first) or _has_other_subject(said)):
        return Mood.OTHERS
    if not done and (_limits(said) or _is_too_much(said)):
        return Mood.INTENDED
    if told and line.texts[first] in W.asks_first and not W.suffices.isdisjoint(line.texts[first : said.last]):
        return Mood.QUESTION  # "is 20 min enough", "reichen 20 min"
    starts_asking = Cue.QUESTION in line.cues(first) or Cue.QUESTION in line.cues(first + 1)
    return Mood.QUESTION if starts_asking and (said.asked or Cue.RAN not in said.cues or not told) else None


def _is_somebody_elses(said: Clause) -> bool:
    """Whether what was done is said of somebody else, who is not there as company."""
    line, first = said.line, said.first
    verb = min(said.done + said.told, default=said.last)
    if said.cues.isdisjoint(_PEOPLE) or verb == said.last:
        return False
    # the folded "él" is a person before a verb alone, and the article "el" before a noun
    people = [p for p in said.places(*_PEOPLE) if line.texts[p] != "el" or Cue.RAN in line.cues(p + 1)]
    others = [p for p in people if W.company.isdisjoint(line.texts[max(first, p - 2) : p])]
    if not others:
        return False
    hints = {"OTHER": said.spans(others), "SELF": said.spans(said.places(Cue.SELF))}
    words = said.words()
    return of_others(words, hints, segments(words, hints))[verb - first]


def _is_denied(said: Clause) -> bool:
    """Whether a "not" or "no" is about the session: it reaches a run, a doing, or its number."""
    # what follows the session and its number denies something else
    last = said.told[0] if said.ran and said.told else said.last
    denials = [place for place in said.places(Cue.NOT) if place <= last and said.line.denies(place)]
    if not denials:
        return False
    hints = {"NEG": said.spans(denials), "SELF": said.spans(said.places(Cue.SELF))}
    reached = said.spans([*said.places(*_SIGNIFICANT), *said.told])
    flags = negated(said.words(), hints, reached)
    return any(flags[at] for at in reached)


def _ahead(said: Clause) -> Mood | None:
    """What is planned, meant, dated to come, or asked."""
    line, first, last, done = said.line, said.first, said.last, said.done
    if Cue.PLAN in said.cues:
        inside = {place for amount in said.amounts for place in range(amount.first, amount.last)}  # "30 instead of 45"
        plan = [place for place in said.places(Cue.PLAN) if place not in inside or Cue.MINUTE in line.cues(place)]
        if plan and not (done and done[0] < plan[0]):
            return Mood.PLANNED
    will = W.will.intersection(line.texts[first:last])
    if will or Cue.FUTURE in said.cues:
        future = next(n for n in range(first, last) if line.texts[n] in will or Cue.FUTURE in line.hints[n])
        if future < max(said.told, default=last):
            return Mood.INTENDED
    once = [day for day in said.days if day.shape is not Shape.RECURRING]
    if once and all(day.tense > 0 for day in once):
        return Mood.INTENDED
    return Mood.QUESTION if said.asked else None


def _told_as_done(said: Clause) -> Mood:
    """What is left is told as it is: done, or plain; unless the time was that of something else."""
    sessions = said.places(*ACTIVITIES)
    # "reading about running for 40 minutes": the running is what the doing is about
    session = bool(sessions) and said.line.texts[sessions[0] - 1] not in {"about", "sobre"}
    if not session and not said.ran and _took_time(said):
        return Mood.ELSEWHERE
    return Mood.DONE if said.done or any(d.tense < 0 for d in said.days) else Mood.PLAIN


def _is_year(line: ParsedLine, amount: Amount) -> bool:
    """Whether a number is a year: "in 2019"."""
    if amount.sort is not Sort.BARE or not 1900 <= amount.value <= 2100:
        return False
    return Cue.WITHIN in line.cues(amount.first - 1) | line.own(amount.first - 1)


def _named_person(line: ParsedLine, first: int) -> bool:
    """Whether the clause begins with a word that nobody knows, before a session: a name, "Pete ran 50"."""
    if first + 1 >= len(line.tokens) or line.tokens[first].kind is not Kind.WORD:
        return False
    if line.texts[first] in W.articles and first + 2 < len(line.tokens) and not line.known(first + 1):
        return Cue.RAN in line.own(first + 2)  # "the tap ran for 45 minutes"
    return not line.known(first) and len(line.texts[first]) > 2 and Cue.RAN in line.own(first + 1)


def _has_other_subject(said: Clause) -> bool:
    """Whether somebody or something else stands right before what was run: "he ran", "the bath just ran"."""
    line, place = said.line, (said.ran or [0])[0] - 1
    while place > said.first and line.texts[place] in W.adverbs:
        place -= 1
    if place < said.first:
        return False
    subject = line.cues(place) | line.own(place)
    return bool(subject & {Cue.OTHERS, Cue.OTHER_DOING})


def _limits(said: Clause) -> bool:
    """Whether the clause limits what is to come: "can only do 30", "max 30 on Thursday"."""
    limits = said.places(Cue.LIMIT)
    if not limits:
        return False
    marks = {mark for place in limits if (mark := said.line.marks[place]) is not None}
    to_come = any(day.tense > 0 or day.is_open for day in said.days)
    times = [a for a in said.amounts if a.sort is Sort.DURATION or (a.sort is Sort.BARE and a.value <= BARE_TO)]
    beside = {place for amount in times for place in (amount.first - 1, amount.last)}
    if any(said.line.text(place) in W.at_most for place in beside):
        return True
    return to_come or len(marks) > 1 or any(mark.last - mark.first > 1 for mark in marks)


def _is_too_much(said: Clause) -> bool:
    """Whether a time is called too much, not one that was run: "40 is too much today", "45 sind mir zu lang"."""
    ends = [amount.last for amount in said.amounts if amount.sort in TIMES]
    ahead = (said.line.texts[end + 1 : end + NEAR] for end in ends if said.line.text(end) in W.called)
    return any(not W.too.isdisjoint(words) for words in ahead)


def _took_time(said: Clause) -> bool:
    """Whether the time told is that of another doing: "worked 45", "45 min meeting"; not "35 before a meeting"."""
    if Cue.OTHER_DOING not in said.cues:
        return False
    dated = {place for day in said.days for place in range(day.first, day.last)}  # "sat" may be a day
    doings = [place for place in said.places(Cue.OTHER_DOING) if place not in dated]
    if not doings:
        return False
    ends = [amount.last + 2 for amount in said.amounts if amount.sort in TIMES]
    aside = next((place for place in doings if place > said.first and _beside(said.line, place)), None)
    return not ends or (aside is None and any(doings[0] <= end for end in ends))


def _beside(line: ParsedLine, place: int) -> bool:
    """Whether a doing only says when or where: "before work", "after the meeting", "at lunch"."""
    before = line.texts[place - 1]
    if place > 1 and before in W.articles:
        return line.texts[place - 2] in W.aside - {"at"}
    return before in W.aside
