"""The day expressions of a line, found from left to right. "Till Friday" includes the Friday."""

from collections.abc import Callable
from datetime import date

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.line.vocabulary import Mark
from nudgebot.domain.text.log_lines.dates import (
    LONGEST_RANGE,
    WEEK_DAYS,
    Named,
    Shape,
    day_and_month,
    joined_days,
    of_month,
    of_year,
    shifted,
    stretch,
    tense_of,
    week_of,
    weekday,
    weekend,
)
from nudgebot.domain.text.log_lines.units import Amount, Sort
from nudgebot.domain.text.word_files import words

W = words("days")

MOST = 32  # day expressions of a line that are looked for


def days(line: ParsedLine, amounts: list[Amount], today: date) -> list[Named]:
    """The day expressions of the line, in order; ranges joined."""
    return joined_days(line, single_days(line, amounts, today), today)


def single_days(line: ParsedLine, amounts: list[Amount], today: date) -> list[Named]:
    """The day expressions of the line, in order, each by itself."""
    return _Reader(line, amounts, today).read()


class _Reader:
    """Finds single day expressions, left to right."""

    def __init__(self, line: ParsedLine, amounts: list[Amount], today: date) -> None:
        self.line = line
        self.today = today
        self.amounts = {amount.first: amount for amount in amounts}
        self.size = len(line.tokens)

    def read(self) -> list[Named]:
        found: list[Named] = []
        place = 0
        while place < self.size and len(found) < MOST:
            amount, mark = self.amounts.get(place), self.line.marks[place]
            if amount is None and (mark is None or (mark.last == place + 1 and mark.cues.isdisjoint(_OF_DAYS))):
                place += 1
                continue
            named = self._word(place) if amount is None else self._amount(place, amount)
            if named is not None:
                found.append(named)
                place = max(named.last, place + 1)
            elif amount is not None:
                place = amount.last
            else:
                last = self.line.past(place)
                found.extend(self._inside(place, last))
                place = last
        return found

    def _inside(self, first: int, last: int) -> list[Named]:
        """Days named inside a phrase that means something else: "tomorrow instead", "skip today"."""
        if last - first < 2:
            return []
        entries = ((at, self.line.lexicon.entry(self.line.texts[at])) for at in range(first, last))
        return [
            self._one(at, at + 1, int(entry.value))
            for at, entry in entries
            if entry is not None and entry.value is not None and Cue.DAY in entry.cues
        ]

    def _word(self, place: int) -> Named | None:
        line, cues, mark = self.line, self.line.cues(place), self.line.marks[place]
        if mark is None or cues.isdisjoint(_OF_DAYS):
            return None
        last, value = mark.last, None if mark.value is None else int(mark.value)
        if Cue.DAY in cues and value is not None:
            return self._one(place, last, value)
        if Cue.WEEKDAY in cues and self._is_weekday(place):
            return self._weekday(place, last, value or 0)
        if Cue.WEEKEND in cues:
            return self._stretch(place, last, weekend)
        if Cue.WEEK in cues and (which := self._which(place) & {Cue.NEXT, Cue.THIS, Cue.LAST}):
            return self._stretch(place, last + bool(line.cues(last) & which), week_of)._replace(week=True)
        if cues & {Cue.SPAN_WEEK, Cue.WEEK} and Cue.FOR in line.own(place - 2) and line.text(place - 1) in W.single:
            length = 2 * WEEK_DAYS if line.texts[place] == "fortnight" else WEEK_DAYS
            return Named(place - 2, last, Shape.LENGTH, (), (), 1, length)
        if Cue.MONTH in cues and value is not None:  # January 3, Jan 3rd 2027, enero 3
            amount = self.amounts.get(last)
            return None if amount is None else self._date(place, amount.last, int(line.tokens[last].value), value)
        if Cue.ORDINAL in cues and value and Cue.ON_THE in line.cues(place - 1):
            return self._ordinal(place, last, value)
        return None

    def _one(self, first: int, last: int, offset: int) -> Named:
        dates = shifted(self.today, offset) if offset >= -30 else ()
        return Named(first, last, Shape.ONE, dates, dates, (offset > 0) - (offset < 0))

    def _which(self, place: int) -> frozenset[Cue]:
        """last, next, this, every: right before the day, or (in the Romance languages) right after."""
        after = self.line.cues(self.line.past(place)) if self.line.language in {"es", "fr", "pt"} else frozenset()
        return (self.line.cues(place - 1) | after) & _WHICH

    def _is_weekday(self, place: int) -> bool:
        """ "sun" and "sat" are days of the week only where nothing says otherwise."""
        text, following = self.line.texts[place], self.line.text(place + 1)
        if text not in W.doubtful:
            return True
        if text == "sun" and following in W.of_the_sky:
            return False
        if text in {"so", "do"} and not following.isdigit():
            return False  # "ich war so müde": little words, but "so 40"
        return self.line.text(place - 1) not in W.no_day_after

    def _weekday(self, first: int, last: int, number: int) -> Named:
        which, today = self._which(first), self.today
        start = first - bool(self.line.cues(first - 1) & which)
        if Cue.EVERY in which | self.line.cues(first):
            return Named(start, last, Shape.RECURRING, weekday(number, frozenset(), True, today), ())
        gone, coming = (weekday(number, which, past, today) for past in (True, False))
        return Named(start, last, Shape.ONE, gone, coming, _tense(which))

    def _stretch(self, first: int, last: int, dates: Callable[[frozenset[Cue], bool, date], tuple[date, ...]]) -> Named:
        """A weekend or a week: this, last or next."""
        which, today = self._which(first), self.today
        start = first - bool(self.line.cues(first - 1) & which)
        return Named(start, last, Shape.SEVERAL, dates(which, True, today), dates(which, False, today), _tense(which))

    def _date(self, first: int, last: int, day: int, month: int) -> Named:
        gone, coming = (of_year(None, month, day, past, self.today) for past in (True, False))
        return Named(first, last, Shape.ONE, gone, coming)

    def _month_at(self, place: int) -> Mark | None:
        """The name of a month at `place`."""
        mark = self.line.marks[place] if place < self.size else None
        return mark if mark is not None and Cue.MONTH in mark.cues and mark.value is not None else None

    def _ordinal(self, first: int, last: int, day: int) -> Named | None:
        if not 1 <= day <= 31:
            return None
        mark = self._month_at(last + (self.line.text(last) in {"of", "de"}))
        if mark is not None:
            return self._date(first, mark.last, day, int(mark.value or 0))
        if self.line.cues(last) & _NOT_A_DATE:
            return None
        return Named(first, last, Shape.ONE, of_month(day, True, self.today), of_month(day, False, self.today))

    def _amount(self, place: int, amount: Amount) -> Named | None:
        token, today, language = self.line.tokens[place], self.today, self.line.language
        parts = token.parts
        match token.kind:
            case Kind.ISO:
                found = of_year(parts[0], parts[1], parts[2], False, today) if parts[0] else ()
                return Named(place, place + 1, Shape.ONE, found, found, tense_of(found, today))
            case Kind.SLASH | Kind.DOTS if amount.sort is Sort.DATE:
                gone, coming = (day_and_month(parts, language, past, today) for past in (True, False))
                return Named(place, place + 1, Shape.ONE, gone, coming)
            case Kind.NUMBER:
                return self._span(place, amount) if amount.sort is Sort.SPAN else self._numbered(place, amount)
            case _:
                return None

    def _span(self, place: int, amount: Amount) -> Named | None:
        """A number of days: ago, from now, or how long."""
        length, last = int(amount.value), amount.last
        before, after = self.line.cues(place - 1), self.line.cues(last)
        if Cue.AGO in after | before:
            return self._one(place, last + (Cue.AGO in after), -min(length, 30))
        if not 0 < length <= LONGEST_RANGE:
            return None
        if Cue.WITHIN in before:
            return self._one(place - 1, last, length)
        return Named(place, last, Shape.LENGTH, (), (), 1, length)

    def _to_in_month(self, place: int) -> Named | None:
        """10-14 Jan, 10 to 14 January: a range within one month."""
        tokens, second = self.line.tokens, place + 1
        if second < self.size and not tokens[second].dash and self.line.cues(second) & {Cue.TO, Cue.UNTIL}:
            second += 1
        elif second >= self.size or not tokens[second].dash:
            return None
        mark = self._month_at(second + 1)
        if mark is None or tokens[second].kind is not Kind.NUMBER:
            return None
        first_day = int(tokens[place].value)
        gone, coming = (
            stretch(ends[0].replace(day=min(first_day, 28)), ends[0])[max(0, first_day - 28) :] if ends else ()
            for past in (True, False)
            for ends in (of_year(None, int(mark.value or 0), int(tokens[second].value), past, self.today),)
        )
        return Named(place, mark.last, Shape.SEVERAL, gone, coming)

    def _numbered(self, place: int, amount: Amount) -> Named | None:
        """A day of the month: "10-14 Jan", "the 3rd of May", "3 January", "el 3"."""
        value, last = self.line.tokens[place].value, amount.last
        if value != int(value) or not 1 <= value <= 31:
            return None
        if amount.sort is not Sort.DATE and self.line.said.isdisjoint(_OF_A_MONTH):
            return None  # as in most lines
        day = int(value)
        ends = self._to_in_month(place)
        if ends is not None:
            return ends
        if amount.sort is Sort.DATE:
            mark = self._month_at(last)
            return self._date(place, mark.last, day, int(mark.value or 0)) if mark else self._ordinal(place, last, day)
        if amount.sort not in {Sort.BARE, Sort.OTHER}:
            return None
        following = last + (Cue.ON_THE in self.line.cues(last))
        while self.line.text(following) in {".", "de", "of"}:
            following += 1
        mark = self._month_at(following)
        if mark is not None:
            return self._date(place, mark.last, day, int(mark.value or 0))
        named = Cue.ON_THE in self.line.cues(place - 1) and amount.sort is Sort.BARE
        return self._ordinal(place, last, day) if named and self.line.language != "en" else None  # el 3, am 3, dia 3


def _tense(which: frozenset[Cue]) -> int:
    return -1 if Cue.LAST in which else 1 if Cue.NEXT in which else 0


_OF_DAYS = frozenset((Cue.DAY, Cue.WEEKDAY, Cue.WEEKEND, Cue.WEEK, Cue.SPAN_WEEK, Cue.MONTH, Cue.ORDINAL))
_OF_A_MONTH = frozenset((Cue.MONTH, Cue.ON_THE))
_WHICH = frozenset((Cue.LAST, Cue.NEXT, Cue.THIS, Cue.EVERY))
_NOT_A_DATE = frozenset((Cue.RUN, Cue.PART, Cue.WALK, Cue.KM, Cue.MILE, Cue.WEEK, Cue.COUNTED))
