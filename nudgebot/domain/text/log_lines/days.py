"""The day expressions of a line, found from left to right. "Till Friday" includes the Friday."""

from datetime import date

from nudgebot.domain.text.line.cues import Cue
from nudgebot.domain.text.line.parsed_line import ParsedLine
from nudgebot.domain.text.line.tokens import Kind
from nudgebot.domain.text.log_lines.amounts import Amount, Sort
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
    weekday,
)
from nudgebot.domain.text.word_files import words

W = words("days")

MOST = 60  # day expressions of a line that are looked for


def days(line: ParsedLine, amounts: list[Amount], today: date) -> list[Named]:
    """The day expressions of the line, in order; ranges joined."""
    return joined_days(line, _Reader(line, amounts, today).read(), today)


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
            named = self._at(place)
            if named is None:
                amount = self.amounts.get(place)
                last = amount.last if amount else self.line.past(place)
                if amount is None:
                    found.extend(self._inside(place, last))
                place = last
            else:
                found.append(named)
                place = max(named.last, place + 1)
        return found

    def _inside(self, first: int, last: int) -> list[Named]:
        """Days named inside a phrase that means something else: "tomorrow instead", "skip today"."""
        found = []
        for place in range(first, last) if last - first > 1 else ():
            node = self.line.lexicon.root.after.get(self.line.texts[place])
            entry = node.said if node is not None else None
            if entry is not None and Cue.DAY in entry.cues and entry.value is not None:
                found.append(self._one(place, place + 1, int(entry.value)))
        return found

    def _at(self, place: int) -> Named | None:
        token = self.line.tokens[place]
        amount = self.amounts.get(place)
        if amount is not None:
            return self._amount(place, amount)
        cues = self.line.cues(place)
        mark = self.line.marks[place]
        if token.kind is Kind.WORD and mark is not None:
            if Cue.DAY in cues and mark.value is not None:
                offset = int(mark.value)
                return self._one(place, mark.last, offset)
            if Cue.WEEKDAY in cues and self._is_weekday(place):
                return self._weekday(place, mark.last, int(mark.value or 0))
            if Cue.WEEKEND in cues:
                return self._weekend(place, mark.last)
            whole = place > 0 and self.line.texts[place - 1] in W.whole
            if Cue.WEEK in cues and (whole or self._which(place) & {Cue.NEXT, Cue.THIS, Cue.LAST}):
                return self._week(place, mark.last)
            if cues & {Cue.SPAN_WEEK, Cue.WEEK} and Cue.FOR in self.line.own(place - 2) and self._single(place - 1):
                length = 2 * WEEK_DAYS if token.text == "fortnight" else WEEK_DAYS
                return Named(place - 2, mark.last, Shape.LENGTH, lambda _past: (), 1, length)
            if Cue.MONTH in cues and mark.value is not None:
                return self._month_first(place, mark.last, int(mark.value))
            if Cue.ORDINAL in cues and mark.value and Cue.ON_THE in self.line.cues(place - 1):
                return self._ordinal(place, mark.last, int(mark.value))
        return None

    def _single(self, place: int) -> bool:
        """Whether the token says "a" or "one"."""
        return self.line.texts[place] in {"a", "one", "1", "una", "eine", "une", "uma"}

    def _one(self, first: int, last: int, offset: int) -> Named:
        today = self.today
        tense = (offset > 0) - (offset < 0)
        if offset < -30:
            return Named(first, last, Shape.ONE, lambda _past: (), -1)
        return Named(first, last, Shape.ONE, lambda _past: shifted(today, offset), tense)

    def _which(self, place: int) -> frozenset[Cue]:
        """last, next, this, every: right before the day, or (in the Romance languages) right after."""
        before = self.line.cues(place - 1)
        after = self.line.cues(self.line.past(place)) if self.line.language in {"es", "fr", "pt"} else frozenset()
        return (before | after) & _WHICH

    def _is_weekday(self, place: int) -> bool:
        """ "sun" and "sat" are days of the week only where nothing says otherwise."""
        token = self.line.tokens[place]
        if token.text not in W.doubtful:
            return True
        if token.text == "sun" and self.line.text(place + 1) in W.of_the_sky:
            return False
        following = self.line.text(place + 1)
        if token.text in {"so", "do"} and following.isalpha() and following not in W.part_of_day:
            return False  # "ich war so müde": little words, but "so 40" and "do früh"
        before = {"the", "in", "i", "we", "and i", "le", "la", "en", "du", "im", "de", "bord", "o", "ao"}
        return self.line.text(place - 1) not in before or token.dash

    def _weekday(self, first: int, last: int, number: int) -> Named:
        which = self._which(first)
        start = first - 1 if self.line.cues(first - 1) & which else first
        if Cue.EVERY in which or Cue.EVERY in self.line.cues(first):
            gone = weekday(number, frozenset(), True, self.today)
            return Named(start, last, Shape.RECURRING, lambda past: gone if past else (), 0 if first else 1)
        today = self.today
        tense = -1 if Cue.LAST in which else 1 if Cue.NEXT in which else 0
        # "Tuesday the 3rd", "Sat 3 Jan": the date says which
        return Named(start, last, Shape.ONE, lambda past: weekday(number, which, past, today), tense)

    def _weekend(self, first: int, last: int) -> Named:
        which = self._which(first)
        start = first - 1 if self.line.cues(first - 1) & which else first
        today = self.today

        def dates(past: bool) -> tuple[date, ...]:
            saturday = today.toordinal() + 5 - today.weekday()
            if Cue.NEXT in which:
                saturday += WEEK_DAYS
            elif Cue.LAST in which or (past and saturday > today.toordinal()):
                saturday -= WEEK_DAYS
            try:
                found = (date.fromordinal(saturday), date.fromordinal(saturday + 1))
            except (ValueError, OverflowError):
                return ()
            return found if past else tuple(day for day in found if day >= today)

        tense = -1 if Cue.LAST in which else 1 if Cue.NEXT in which else 0
        return Named(start, last, Shape.SEVERAL, dates, tense)

    def _week(self, first: int, last: int) -> Named:
        which = self._which(first)
        start = first - 1 if self.line.cues(first - 1) & which else first
        after = self.line.past(first)
        if self.line.cues(after) & which:
            last = max(last, after + 1)
        today = self.today

        def dates(past: bool) -> tuple[date, ...]:
            monday = today.toordinal() - today.weekday()
            shift = WEEK_DAYS if Cue.NEXT in which else -WEEK_DAYS if Cue.LAST in which else 0
            try:
                found = stretch(date.fromordinal(monday + shift), date.fromordinal(monday + shift + 6))
            except (ValueError, OverflowError):
                return ()
            if shift:
                return found
            return tuple(day for day in found if (day <= today if past else day >= today))

        tense = -1 if Cue.LAST in which else 1 if Cue.NEXT in which else 0
        return Named(start, last, Shape.SEVERAL, dates, tense, week=True)

    def _month_first(self, place: int, last: int, month: int) -> Named | None:
        """January 3, Jan 3rd 2027, enero 3."""
        amount = self.amounts.get(last)
        if amount is None or amount.sort not in {Sort.DATE, Sort.BARE} or not 1 <= amount.value <= 31:
            return None
        day = int(self.line.tokens[last].value)
        return self._date(place, amount.last, day, month)

    def _date(self, first: int, last: int, day: int, month: int) -> Named:
        year = None
        following = self.amounts.get(last)
        if following is not None and following.sort is Sort.BARE and 2000 <= following.value < 2100:
            year, last = int(following.value), last + 1
        today = self.today
        tense = tense_of(of_year(year, month, day, False, today), today) if year else 0
        return Named(first, last, Shape.ONE, lambda past: of_year(year, month, day, past, today), tense)

    def _ordinal(self, first: int, last: int, day: int) -> Named | None:
        today = self.today
        if not 1 <= day <= 31:
            return None
        after = last + 1 if self.line.tokens[last - 1 : last + 1][-1].text in {"of", "de"} else last
        mark = self.line.marks[after] if after < self.size else None
        if mark is not None and Cue.MONTH in mark.cues and mark.value is not None:
            return self._date(first, mark.last, day, int(mark.value))
        if self.line.cues(last) & _NOT_A_DATE:
            return None
        return Named(first, last, Shape.ONE, lambda past: of_month(day, past, today))

    def _amount(self, place: int, amount: Amount) -> Named | None:
        token = self.line.tokens[place]
        today, language = self.today, self.line.language
        match token.kind:
            case Kind.ISO:
                found = of_year(token.parts[0], token.parts[1], token.parts[2], False, today) if token.parts[0] else ()
                return Named(place, place + 1, Shape.ONE, lambda _past: found, tense_of(found, today))
            case Kind.SLASH | Kind.DOTS if amount.sort is Sort.DATE:
                parts = token.parts
                return Named(place, place + 1, Shape.ONE, lambda past: day_and_month(parts, language, past, today))
            case Kind.NUMBER:
                return self._numbered(place, amount)
            case _:
                return None

    def _to_in_month(self, place: int) -> Named | None:
        """10-14 Jan, 10 to 14 January: a range within one month."""
        second = place + 1
        joined = second < self.size and self.line.tokens[second].dash
        if not joined and second < self.size and self.line.cues(second) & {Cue.TO, Cue.UNTIL}:
            second += 1
            joined = second < self.size
        mark = self.line.marks[second + 1] if joined and second + 1 < self.size else None
        if mark is None or Cue.MONTH not in mark.cues or self.line.tokens[second].kind is not Kind.NUMBER:
            return None
        month, today = int(mark.value or 0), self.today
        first_day, last_day = int(self.line.tokens[place].value), int(self.line.tokens[second].value)

        def dates(past: bool) -> tuple[date, ...]:
            ends = of_year(None, month, last_day, past, today)
            try:
                return stretch(ends[0].replace(day=first_day), ends[0]) if ends else ()
            except ValueError:
                return ()

        return Named(place, mark.last, Shape.SEVERAL, dates)

    def _numbered(self, place: int, amount: Amount) -> Named | None:
        token = self.line.tokens[place]
        last = amount.last
        if amount.sort is Sort.SPAN and amount.value == int(amount.value):
            length = int(amount.value)
            before, after = self.line.cues(place - 1), self.line.cues(last)
            if Cue.AGO in after or Cue.AGO in before:
                return self._one(place, last + 1 if Cue.AGO in after else last, -min(length, 30))
            if Cue.WITHIN in before and length <= LONGEST_RANGE:
                return self._one(place - 1, last, length)
            if 0 < length <= LONGEST_RANGE:
                return Named(place, last, Shape.LENGTH, lambda _past: (), 1, length)
            return None
        if token.value != int(token.value) or not 1 <= token.value <= 31:
            return None
        day = int(token.value)
        ends = self._to_in_month(place)
        if ends is not None:
            return ends
        if amount.sort is Sort.DATE:
            mark = self.line.marks[last] if last < self.size else None
            if mark is not None and (Cue.MONTH in mark.cues):
                return self._date(place, mark.last, day, int(mark.value or 0))
            return self._ordinal(place, last, day)
        following = last + 1 if self.line.cues(last) & {Cue.ON_THE} else last
        if amount.sort in {Sort.BARE, Sort.OTHER}:
            while following < self.size and self.line.texts[following] in {".", "de", "of"}:
                following += 1
            mark = self.line.marks[following] if following < self.size else None
            if mark is not None and Cue.MONTH in mark.cues and mark.value is not None:
                return self._date(place, mark.last, day, int(mark.value))
            if (
                Cue.ON_THE in self.line.cues(place - 1)
                and amount.sort is Sort.BARE
                and self.line.language != "en"  # el 3, le 3, am 3, dia 3
            ):
                return self._ordinal(place, last, day)
        return None


_WHICH = frozenset((Cue.LAST, Cue.NEXT, Cue.THIS, Cue.EVERY))
_NOT_A_DATE = frozenset((Cue.RUN, Cue.PART, Cue.WALK, Cue.KM, Cue.MILE, Cue.WEEK, Cue.COUNTED))
