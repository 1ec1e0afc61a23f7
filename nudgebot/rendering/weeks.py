"""The last twelve weeks of one runner, drawn. (docs/pictures.md)"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from nudgebot.domain.messages.common import MONTHS
from nudgebot.domain.overview.progress import DayDone, Progress
from nudgebot.rendering.plot_style import (
    FAINT,
    GREEN,
    GROUND,
    INK,
    ORANGE,
    SHADE,
    SKY,
    YELLOW,
    blank,
    key,
    png,
    spans,
)

WIDTH: Final = 800  # px
HEIGHT: Final = 600


def twelve_weeks(shown: Progress) -> bytes:
    """The picture of `shown`, WIDTH x HEIGHT."""
    figure = blank(WIDTH, HEIGHT)
    weeks = figure.add_axes((0.085, 0.475, 0.895, 0.405))
    days = figure.add_axes((0.085, 0.165, 0.895, 0.235))
    for axes in (weeks, days):
        _bare(axes, shown)
    _weeks(weeks, shown)
    _days(days, shown)
    _words(figure, shown)
    return png(figure)


def _bare(axes: Axes, shown: Progress) -> None:
    """An empty field over the twelve weeks in days, with what was away or paused shaded."""
    axes.set_facecolor(GROUND)
    axes.set_xlim(0, 7 * len(shown.weeks))
    axes.tick_params(colors=FAINT, labelsize=15, length=0)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_color(FAINT)
    axes.set_xticks([])
    for begin, end in spans([_place(shown, day.day) for day in shown.days if day.paused]):
        axes.axvspan(begin, end + 1, facecolor=SHADE, edgecolor=FAINT, hatch="//", linewidth=0, zorder=0)


def _weeks(axes: Axes, shown: Progress) -> None:
    """A column a week with its minutes, against the dose; the week that is not over is left open."""
    top = max([shown.high, *(week.minutes or 0 for week in shown.weeks)]) * 1.18
    axes.set_ylim(0, top)
    axes.set_yticks([])
    axes.axhspan(shown.low, shown.high, facecolor=GREEN, alpha=0.28, zorder=1)
    for edge in {shown.low, shown.high}:
        axes.axhline(edge, color=GREEN, linewidth=2, linestyle=(0, (5, 3)), zorder=1)
        axes.annotate(
            f"{edge}", (0, edge), (-6, 0), textcoords="offset points", color=FAINT, fontsize=15, ha="right", va="center"
        )
    for n, week in enumerate(shown.weeks):
        if not week.minutes:
            continue
        over = n < len(shown.weeks) - 1
        axes.bar(
            7 * n + 3.5, week.minutes, 5.6, facecolor=SKY if over else GROUND, edgecolor=SKY, linewidth=2, zorder=2
        )
        # At the foot of a column, where no dashed line crosses it; an open or a low one carries it on top.
        inside = over and week.minutes > top / 8
        place, colour = (0, GROUND) if inside else (week.minutes, INK)
        axes.annotate(
            f"{week.minutes}",
            (7 * n + 3.5, place),
            (0, 5),
            textcoords="offset points",
            color=colour,
            fontsize=16,
            ha="center",
            zorder=3,
        )


def _days(axes: Axes, shown: Progress) -> None:
    """A stem a run day, as high as the run was long; marks for long runs, other activity and gaps."""
    top = max([30, *(day.run for day in shown.days)])
    axes.set_ylim(-0.3 * top, 1.2 * top)
    axes.set_yticks([])
    axes.spines["bottom"].set_position(("data", 0))
    runs = [day for day in shown.days if day.run]
    places = [_place(shown, day.day) + 0.5 for day in runs]
    axes.vlines(places, 0, [day.run for day in runs], color=SKY, linewidth=3)
    _mark(axes, shown, [day for day in runs if day.long], "D", YELLOW)
    _mark(axes, shown, [day for day in shown.days if day.other and not day.run], "o", INK)
    for begin, end in spans([_place(shown, day.day) for day in shown.days if day.gap]):
        foot = -0.17 * top
        axes.plot(
            [begin + 0.1, begin + 0.1, end + 0.9, end + 0.9], [foot / 2, foot, foot, foot / 2], color=ORANGE, lw=3
        )
    for n, week in enumerate(shown.weeks):
        if n % 3 == 0:
            axes.text(7 * n, -0.36 * top, _dated(week.start, shown), color=FAINT, fontsize=15, va="top")
            axes.vlines(7 * n, -0.3 * top, 0, color=FAINT, linewidth=1)


def _mark(axes: Axes, shown: Progress, marked: Sequence[DayDone], shape: str, colour: str) -> None:
    axes.plot(
        [_place(shown, day.day) + 0.5 for day in marked],
        [day.run for day in marked],
        linestyle="none",
        marker=shape,
        markersize=9 if shape == "D" else 7,
        markerfacecolor=colour if shape == "D" else GROUND,
        markeredgecolor=colour if shape != "D" else GROUND,
        markeredgewidth=1.5,
        zorder=4,
        clip_on=False,
    )


def _words(figure: Figure, shown: Progress) -> None:
    dose = f"{shown.low}" if shown.low == shown.high else f"{shown.low}–{shown.high}"
    figure.text(0.02, 0.935, "Minutes a week", color=INK, fontsize=19, weight="bold")
    figure.text(0.98, 0.938, f"dashed: your dose, {dose} min", color=FAINT, fontsize=15, ha="right")
    figure.text(0.02, 0.41, "Run days", color=INK, fontsize=17, weight="bold")
    key(figure)


def _place(shown: Progress, day: date) -> int:
    return (day - shown.weeks[0].start).days


def _dated(day: date, shown: Progress) -> str:
    """The words "7 Dec"; with the year where the weeks cross one."""
    words = f"{day.day} {MONTHS[day.month - 1]}"
    return words if shown.weeks[0].start.year == shown.today.year else f"{words} {day.year}"
