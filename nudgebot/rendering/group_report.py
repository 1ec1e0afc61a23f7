"""The twelve weeks of a coach's group, drawn: a row a runner, all on one sheet. (docs/pictures.md)

One field the size of the picture, in whose pixels everything is placed: a field a runner would take seconds.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import groupby
from typing import Final, TypeAlias

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection, PolyCollection

from nudgebot.domain.messages.group.roster import HEADINGS, fact, title
from nudgebot.domain.messages.plan.plan_pages import day_and_month
from nudgebot.domain.overview.group_report import Sheet, SheetRow
from nudgebot.domain.overview.progress import WEEKS, Progress, first_shown
from nudgebot.rendering.plot_style import Look, blank, drawable, fit_text, key, look, png, spans

WIDTH: Final = 800  # px, as all that follows
TOP: Final = 122  # the title, what the marks are against, and the dates
FOOT: Final = 56  # the key
HEADING: Final = 34  # a state, before its runners
ROW: Final = 100
NAME: Final = (16, 196)  # from and to where the columns stand
CHART: Final = (206, 636)
NOW: Final = 684
DOSE: Final = 788
TYPE: Final = 15  # points; 10 px are left of it where the picture is 400 px wide
DAY: Final = (CHART[1] - CHART[0]) / (7 * WEEKS)

Points: TypeAlias = Sequence[tuple[float, float]]


@dataclass(slots=True)
class _Marks:
    """Shapes gathered from all rows, each kind drawn at once."""

    pauses: list[Points] = field(default_factory=list)
    bands: list[Points] = field(default_factory=list)
    edges: list[Points] = field(default_factory=list)
    bases: list[Points] = field(default_factory=list)
    done: list[Points] = field(default_factory=list)
    open: list[Points] = field(default_factory=list)
    gaps: list[Points] = field(default_factory=list)
    long: list[tuple[float, float]] = field(default_factory=list)


def group_sheet(shown: Sheet) -> bytes:
    """The picture of `shown`, WIDTH wide and as high as it has runners."""
    states = [(state, [*lines]) for state, lines in groupby(shown.lines, lambda line: line.state)]
    height = TOP + HEADING * len(states) + ROW * len(shown.lines) + FOOT
    colours = look(light=shown.light)
    figure = blank(WIDTH, height, colours)
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_axis_off()
    axes.set_xlim(0, WIDTH)
    axes.set_ylim(height, 0)
    _title(axes, shown, colours)
    marks = _Marks()
    y = float(TOP)
    for state, lines in states:
        axes.text(NAME[0], y + HEADING - 9, HEADINGS[state], color=colours.faint, fontsize=TYPE)
        axes.plot([NAME[0], DOSE], [y + HEADING] * 2, color=colours.shade, linewidth=1.5)
        y += HEADING
        for line in lines:
            _row(axes, marks, line, y, shown, colours)
            y += ROW
    _draw(axes, marks, colours)
    key(figure, colours, other=False, pausing="pausing")
    return png(figure)


def _title(axes: Axes, shown: Sheet, colours: Look) -> None:
    axes.text(NAME[0], 36, title(shown), color=colours.ink, fontsize=18, weight="bold")
    note = f"Minutes a week, all on one scale to {shown.top}; dashed: the dose"
    axes.text(NAME[0], 68, note, color=colours.faint, fontsize=TYPE)
    first = first_shown(shown.today)
    for week in range(0, WEEKS, 4):
        axes.text(
            CHART[0] + 7 * week * DAY,
            TOP - 12,
            day_and_month(first + timedelta(weeks=week)),
            color=colours.faint,
            fontsize=TYPE,
        )
    axes.text(NOW, TOP - 12, "now", color=colours.faint, fontsize=TYPE, ha="right")
    axes.text(DOSE, TOP - 12, "dose", color=colours.faint, fontsize=TYPE, ha="right")


def _row(axes: Axes, marks: _Marks, line: SheetRow, y: float, shown: Sheet, colours: Look) -> None:
    base = y + ROW * 0.76
    beside = fact(line, shown.today)
    name = fit_text(drawable(line.name) or f"runner {line.number}", NAME[1] - NAME[0], TYPE)
    axes.text(NAME[0], base, fit_text(beside, NAME[1] - NAME[0], TYPE), color=colours.faint, fontsize=TYPE)
    # A name is no formula, whatever signs it has.
    axes.text(NAME[0], base - ROW * 0.3, name, color=colours.ink, fontsize=TYPE, parse_math=False)
    if line.weeks is None:
        return
    now = line.weeks.weeks[-1].minutes or 0
    low, high = line.weeks.low, line.weeks.high
    axes.text(NOW, base, f"{now}", color=colours.ink, fontsize=TYPE, ha="right", weight="bold")
    axes.text(DOSE, base, f"{low}–{high}" if low != high else f"{low}", color=colours.faint, fontsize=TYPE, ha="right")
    _chart(marks, line.weeks, y, base, shown.top)


def _chart(marks: _Marks, shown: Progress, y: float, base: float, top: int) -> None:
    """A column a week on `base`; `top` is how many minutes the height of a row stands for."""
    unit = (base - y - 0.08 * ROW) / top
    left, right = CHART
    marks.bases.append([(left, base), (right, base)])
    marks.bands.append(_box(left, base - shown.high * unit, right, base - shown.low * unit))
    marks.edges += [[(left, base - edge * unit), (right, base - edge * unit)] for edge in {shown.low, shown.high}]
    for n, week in enumerate(shown.weeks):
        if week.minutes:
            column = _box(left + (7 * n + 1) * DAY, base - week.minutes * unit, left + (7 * n + 6) * DAY, base)
            (marks.done if n < len(shown.weeks) - 1 else marks.open).append(column)
            days = shown.days[7 * n : 7 * n + 7]
            if any(day.long for day in days):
                marks.long.append((left + (7 * n + 3.5) * DAY, base - week.minutes * unit))
    for begin, end in _stretches(day.paused for day in shown.days):
        marks.pauses.append(_box(left + begin * DAY, y + 0.04 * ROW, left + (end + 1) * DAY, y + 0.96 * ROW))
    foot = base + 0.12 * ROW
    for begin, end in _stretches(day.gap for day in shown.days):
        near, far = left + begin * DAY, left + (end + 1) * DAY
        marks.gaps.append([(near, base + 4), (near, foot), (far, foot), (far, base + 4)])


def _draw(axes: Axes, marks: _Marks, colours: Look) -> None:
    axes.add_collection(
        PolyCollection(
            marks.pauses, facecolor=colours.shade, edgecolor=colours.faint, hatch="///", linewidth=0, zorder=1
        )
    )
    axes.add_collection(PolyCollection(marks.bands, facecolor=colours.dose, alpha=0.28, linewidth=0, zorder=2))
    axes.add_collection(
        LineCollection(marks.edges, colors=colours.dose, linewidths=1.5, linestyles=[(0, (5, 3))], zorder=2)
    )
    axes.add_collection(LineCollection(marks.bases, colors=colours.faint, linewidths=1, zorder=2))
    axes.add_collection(
        PolyCollection(marks.done, facecolor=colours.runs, edgecolor=colours.runs, linewidth=1.5, zorder=3)
    )
    axes.add_collection(
        PolyCollection(marks.open, facecolor=colours.ground, edgecolor=colours.runs, linewidth=1.5, zorder=3)
    )
    axes.add_collection(LineCollection(marks.gaps, colors=colours.gaps, linewidths=2.5, zorder=4))
    if marks.long:
        axes.plot(*zip(*marks.long, strict=True), "D", ms=7, mfc=colours.long, mec=colours.ground, mew=1, zorder=5)


def _box(left: float, top: float, right: float, bottom: float) -> Points:
    return [(left, top), (right, top), (right, bottom), (left, bottom)]


def _stretches(marked: Iterable[bool]) -> list[tuple[int, int]]:
    return spans([place for place, each in enumerate(marked) if each])
