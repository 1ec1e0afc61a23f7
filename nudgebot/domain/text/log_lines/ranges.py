"""Day expressions joined: from one day to another, until a day, a weekday with its date, days of a week."""

from datetime import date

from nudgebot.domain.text.log_lines.cues import Cue
from nudgebot.domain.text.log_lines.dates import WEEK_DAYS, Named, Shape, shifted, stretch
from nudgebot.domain.text.log_lines.line import Line


def joined_days(line: Line, found: list[Named], today: date) -> list[Named]:
    """Ranges made of two days, "until" and "from", and a weekday with its date."""
    joined: list[Named] = []
    for named in found:
        before = joined[-1] if joined else None
        between = line.tokens[before.last : named.first] if before else ()
        gap = named.first - before.last if before else -1
        cues = line.cues(named.first - 1) | line.own(named.first - 1)
        if Cue.ON_THE in cues:
            cues |= line.own(named.first - 2)  # "from the 10th to the 14th"
        dash = line.tokens[named.first].dash and gap == 0
        if before is not None and before.shape is Shape.ONE and named.shape is Shape.ONE:
            # "from Tuesday to Thursday", "Tue-Thu", "Tue - Thu", "3 until 5 March"
            if dash or (gap in {1, 2} and cues & {Cue.TO, Cue.UNTIL} and len(between) == gap):
                joined[-1] = _range(before, named)
                continue
            if (
                gap <= 1
                and all(t.text in {",", "the", "den", "el", "le", "dia"} for t in between)
                and _same_day(before, named)
            ):
                joined[-1] = named._replace(first=before.first)
                continue
        if (
            before is not None
            and before.shape is Shape.FROM
            and named.shape is Shape.ONE
            and (dash or cues & {Cue.TO, Cue.UNTIL})
        ):
            joined[-1] = _range(before, named)
            continue
        if before is not None and gap <= 1 and {before.week, named.week} == {True, False}:
            week, weekdays = (named, before) if named.week else (before, named)
            if weekdays.shape in {Shape.ONE, Shape.SEVERAL}:
                joined[-1] = _in_week(weekdays, week)
                continue
        leads = named.first - 1 - (Cue.ON_THE in cues and Cue.UNTIL not in cues)
        if named.shape in {Shape.ONE, Shape.SEVERAL} and Cue.UNTIL in line.cues(leads) | line.own(leads):
            joined.append(_until(named, today))
        elif named.shape in {Shape.ONE, Shape.SEVERAL} and Cue.FROM in cues and named.shape is Shape.ONE:
            joined.append(named._replace(shape=Shape.FROM, first=named.first - 1))
        else:
            joined.append(named)
    return joined


def _same_day(a: Named, b: Named) -> bool:
    """Whether a weekday and a date, said one after the other, are one day in one of the tenses."""
    return any(a.dates(past) == b.dates(past) != () for past in (True, False))


def _range(a: Named, b: Named) -> Named:
    def dates(past: bool) -> tuple[date, ...]:
        first, last = a.dates(past), b.dates(past)
        if not first or not last:
            return ()
        start, end = first[0], last[-1]
        if end < start:
            # Friday to Monday: the end is the first such day after the start, or the start the last before
            if past:
                start = next(iter(shifted(start, -WEEK_DAYS)), start)
            else:
                end = next(iter(shifted(end, WEEK_DAYS)), end)
        return stretch(start, end)

    return Named(a.first, b.last, Shape.SEVERAL, dates, a.tense or b.tense, paired=True)


def _in_week(days: Named, week: Named) -> Named:
    """The weekdays of `days` in the week named beside them: "Tue-Thu next week"."""

    def dates(past: bool) -> tuple[date, ...]:
        wanted = {day.weekday() for day in days.dates(past)}
        return tuple(day for day in week.dates(past) if day.weekday() in wanted)

    first, last = min(days.first, week.first), max(days.last, week.last)
    return days._replace(first=first, last=last, dates=dates, tense=week.tense)


def _until(named: Named, today: date) -> Named:
    def dates(_past: bool) -> tuple[date, ...]:
        ends = named.dates(False)
        return stretch(today, ends[-1]) if ends else ()

    return Named(named.first - 1, named.last, Shape.UNTIL, dates, 1)
