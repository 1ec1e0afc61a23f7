"""The last twelve weeks of one runner, drawn. (docs/pictures.md)"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from nudgebot.domain.messages.plan.plan_pages import day_and_month, day_and_year
from nudgebot.domain.overview.progress import DayDone, Progress
from nudgebot.rendering.plot_style import Look, bare, blank, key, look, png, spans

WIDTH: Final = 800  # px
HEIGHT: Final = 600


def twelve_weeks(shown: Progress) -> bytes:
    """The picture of `shown`, WIDTH x HEIGHT."""
    colours = look(light=shown.light)
    figure = blank(WIDTH, HEIGHT, colours)
    weeks = figure.add_axes((0.085, 0.475, 0.895, 0.405))
    days = figure.add_axes((0.085, 0.165, 0.895, 0.235))
    for axes in (weeks, days):
        _field(axes, shown, colours)
    _weeks(weeks, shown, colours)
    _days(days, shown, colours)
    _words(figure, shown, colours)
    return png(figure)


def _field(axes: Axes, shown: Progress, colours: Look) -> None:
    """An empty field over the twelve weeks in days, with what was away or paused shaded."""
    bare(axes, colours)
    axes.set_xlim(0, 7 * len(shown.weeks))
    axes.set_xticks([])
    for begin, end in spans([_place(shown, day.day) for day in shown.days if day.paused]):
        axes.axvspan(
            begin, end + 1, facecolor=colours.shade, edgecolor=colours.faint, hatch="//", linewidth=0, zorder=0
        )


def _weeks(axes: Axes, shown: Progress, colours: Look) -> None:
    """A column a week with its minutes, against the dose; the week that is not over is left open."""
    top = max([shown.high, *(week.minutes or 0 for week in shown.weeks)]) * 1.18
    axes.set_ylim(0, top)
    axes.set_yticks([])
    axes.axhspan(shown.low, shown.high, facecolor=colours.dose, alpha=0.28, zorder=1)
    for edge in {shown.low, shown.high}:
        axes.axhline(edge, color=colours.dose, linewidth=2, linestyle=(0, (5, 3)), zorder=1)
        _at_left(axes, edge, colours)
    for n, week in enumerate(shown.weeks):
        if not week.minutes:
            continue
        over = n < len(shown.weeks) - 1
        axes.bar(
            7 * n + 3.5,
            week.minutes,
            5.6,
            facecolor=colours.runs if over else colours.ground,
            edgecolor=colours.runs,
            linewidth=2,
            zorder=2,
        )
        # At the foot of a column, where no dashed line crosses it; an open or a low one carries it on top.
        inside = over and week.minutes > top / 8
        place, colour = (0, colours.ground) if inside else (week.minutes, colours.ink)
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


def _at_left(axes: Axes, minutes: int, colours: Look) -> None:
    """The number of a scale, left of the field."""
    axes.annotate(
        f"{minutes}", (0, minutes), (-6, 0), textcoords="offset points", color=colours.faint, fontsize=15,
        ha="right", va="center",
    )  # fmt: skip


def _days(axes: Axes, shown: Progress, colours: Look) -> None:
    """A stem a run day, as high as the run was long; marks for long runs, other activity and gaps."""
    top = max([30, *(day.run for day in shown.days)])
    axes.set_ylim(-0.3 * top, 1.2 * top)
    axes.set_yticks([])
    axes.spines["bottom"].set_position(("data", 0))
    for minutes in _scale(top):
        axes.axhline(minutes, color=colours.faint, linewidth=0.8, linestyle=(0, (1, 3)), zorder=0)
        _at_left(axes, minutes, colours)
    runs = [day for day in shown.days if day.run]
    places = [_place(shown, day.day) + 0.5 for day in runs]
    axes.vlines(places, 0, [day.run for day in runs], color=colours.runs, linewidth=3)
    _mark(axes, shown, [day for day in runs if day.long], "D", colours.long, colours.ground)
    _mark(axes, shown, [day for day in shown.days if day.other and not day.run], "o", colours.ink, colours.ground)
    for begin, end in spans([_place(shown, day.day) for day in shown.days if day.gap]):
        foot = -0.17 * top
        axes.plot(
            [begin + 0.1, begin + 0.1, end + 0.9, end + 0.9], [foot / 2, foot, foot, foot / 2], color=colours.gaps, lw=3
        )
    for n, week in enumerate(shown.weeks):
        if n % 3 == 0:
            axes.text(7 * n, -0.36 * top, _dated(week.start, shown), color=colours.faint, fontsize=15, va="top")
            axes.vlines(7 * n, -0.3 * top, 0, color=colours.faint, linewidth=1)


def _mark(axes: Axes, shown: Progress, marked: Sequence[DayDone], shape: str, colour: str, ground: str) -> None:
    axes.plot(
        [_place(shown, day.day) + 0.5 for day in marked],
        [day.run for day in marked],
        linestyle="none",
        marker=shape,
        markersize=9 if shape == "D" else 7,
        markerfacecolor=colour if shape == "D" else ground,
        markeredgecolor=colour if shape != "D" else ground,
        markeredgewidth=1.5,
        zorder=4,
        clip_on=False,
    )


def _words(figure: Figure, shown: Progress, colours: Look) -> None:
    dose = f"{shown.low}" if shown.low == shown.high else f"{shown.low}–{shown.high}"
    figure.text(0.02, 0.935, "Minutes a week", color=colours.ink, fontsize=19, weight="bold")
    figure.text(0.98, 0.938, f"dashed: your dose, {dose} min", color=colours.faint, fontsize=15, ha="right")
    figure.text(0.02, 0.41, "Run days, minutes a run", color=colours.ink, fontsize=17, weight="bold")
    key(figure, colours)


def _scale(top: int) -> tuple[int, int]:
    """Two round numbers of minutes, the higher one as near to `top` as it may be, the other half of it."""
    step = next(each for each in (20, 30, 60, 120, 240, 480, 1440) if top < 2 * each or each == 1440)
    return step // 2, step


def _place(shown: Progress, day: date) -> int:
    return (day - shown.weeks[0].start).days


def _dated(day: date, shown: Progress) -> str:
    """The words "7 Dec"; with the year where the weeks cross one."""
    return (day_and_month if shown.weeks[0].start.year == shown.today.year else day_and_year)(day)
