"""The last twelve weeks as a picture (PNG), for a phone, dark or light, whatever the eyes. (docs/pictures.md)

Colours are those of Okabe and Ito ("Color Universal Design", 2008), which stay apart for colour-blind eyes; each
also has a shape of its own. Nothing here keeps state but the pictures drawn last.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from datetime import date
from functools import lru_cache
from importlib.util import find_spec
from typing import TYPE_CHECKING, Final, TypeAlias

from nudgebot.training.progress import DayDone, Progress
from nudgebot.training.wording.common import MONTHS

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH: Final = 800  # px
HEIGHT: Final = 600
KEPT: Final = 64  # pictures; a runner who asks again before the data change gets the one drawn before
DOTS: Final = 100  # px an inch

GROUND: Final = "#14181d"
INK: Final = "#f2f2f2"
FAINT: Final = "#aab2bb"
SKY: Final = "#56b4e9"  # runs; Okabe and Ito's sky blue
YELLOW: Final = "#f0e442"  # long runs; their yellow
ORANGE: Final = "#e69f00"  # gaps; their orange
GREEN: Final = "#009e73"  # the dose; their bluish green
SHADE: Final = "#3a424c"  # away or paused

Draw: TypeAlias = Callable[[Progress], bytes | None]


def draw(shown: Progress) -> bytes | None:
    """The picture of `shown`, WIDTH x HEIGHT; None where matplotlib, which is optional, is not installed."""
    return _drawn(shown) if find_spec("matplotlib") else None


def size_of(picture: bytes) -> tuple[int, int]:
    """Width and height of a PNG (px), from its header: ISO/IEC 15948 (PNG), 11.2.2 IHDR."""
    return int.from_bytes(picture[16:20], "big"), int.from_bytes(picture[20:24], "big")


@lru_cache(maxsize=KEPT)
def _drawn(shown: Progress) -> bytes:
    # Imported here: it is optional, and takes longer to load than all the rest together.
    from matplotlib.figure import Figure  # noqa: PLC0415

    figure = Figure(figsize=(WIDTH / DOTS, HEIGHT / DOTS), dpi=DOTS, facecolor=GROUND)
    weeks = figure.add_axes((0.085, 0.475, 0.895, 0.405))
    days = figure.add_axes((0.085, 0.165, 0.895, 0.235))
    for axes in (weeks, days):
        _bare(axes, shown)
    _weeks(weeks, shown)
    _days(days, shown)
    _words(figure, shown)
    out = io.BytesIO()
    figure.savefig(out, format="png", dpi=DOTS, facecolor=GROUND, metadata={"Software": None})
    return out.getvalue()


def _bare(axes: Axes, shown: Progress) -> None:
    """An empty field over the twelve weeks in days, with what was away or paused shaded."""
    axes.set_facecolor(GROUND)
    axes.set_xlim(0, 7 * len(shown.weeks))
    axes.tick_params(colors=FAINT, labelsize=15, length=0)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_color(FAINT)
    axes.set_xticks([])
    for begin, end in _spans([_place(shown, day.day) for day in shown.days if day.paused]):
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
    for begin, end in _spans([_place(shown, day.day) for day in shown.days if day.gap]):
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
    _key(figure)


def _key(figure: Figure) -> None:
    """What the marks mean, in one line at the foot."""
    from matplotlib.lines import Line2D  # noqa: PLC0415 - see _drawn
    from matplotlib.patches import Patch  # noqa: PLC0415
    from matplotlib.path import Path  # noqa: PLC0415

    bracket = Path([(-1, 0.4), (-1, -0.4), (1, -0.4), (1, 0.4)])
    marks: list[Line2D | Patch] = [
        Line2D([], [], linestyle="none", marker="D", markersize=9, color=YELLOW, label="long run"),
        Line2D(
            [], [], linestyle="none", marker="o", markersize=8, mfc=GROUND, mec=INK, mew=1.5, label="other activity"
        ),
        Line2D([], [], linestyle="none", marker=bracket, markersize=13, mfc="none", mec=ORANGE, mew=3, label="gap"),
        Patch(facecolor=SHADE, edgecolor=FAINT, hatch="//", linewidth=0, label="away or paused"),
    ]
    figure.legend(
        handles=marks,
        loc="lower center",
        ncols=len(marks),
        frameon=False,
        fontsize=15,
        labelcolor=INK,
        handlelength=1.2,
        handletextpad=0.5,
        columnspacing=1.4,
        borderaxespad=0.3,
    )


def _place(shown: Progress, day: date) -> int:
    return (day - shown.weeks[0].start).days


def _spans(places: Sequence[int]) -> list[tuple[int, int]]:
    """First and last of each run of whole numbers in a row."""
    spans: list[tuple[int, int]] = []
    for place in places:
        if spans and place == spans[-1][1] + 1:
            spans[-1] = (spans[-1][0], place)
        else:
            spans.append((place, place))
    return spans


def _dated(day: date, shown: Progress) -> str:
    """The words "7 Dec"; with the year where the weeks cross one."""
    words = f"{day.day} {MONTHS[day.month - 1]}"
    return words if shown.weeks[0].start.year == shown.today.year else f"{words} {day.year}"
