"""What the pictures have in common: colours, an empty figure, the key, the bytes of a PNG.

Colours are those of Okabe and Ito ("Color Universal Design", 2008), which stay apart for colour-blind eyes; each
also has a shape of its own.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Final

from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.path import Path

DOTS: Final = 100  # px an inch

GROUND: Final = "#14181d"
INK: Final = "#f2f2f2"
FAINT: Final = "#aab2bb"
SKY: Final = "#56b4e9"  # runs; Okabe and Ito's sky blue
YELLOW: Final = "#f0e442"  # long runs; their yellow
ORANGE: Final = "#e69f00"  # gaps; their orange
GREEN: Final = "#009e73"  # the dose; their bluish green
SHADE: Final = "#3a424c"  # away or paused


def blank(width: int, height: int) -> Figure:
    """An empty figure of that size (px)."""
    return Figure(figsize=(width / DOTS, height / DOTS), dpi=DOTS, facecolor=GROUND)


def png(figure: Figure) -> bytes:
    """The figure as PNG; the same figure is the same bytes."""
    out = io.BytesIO()
    figure.savefig(out, format="png", dpi=DOTS, facecolor=GROUND, metadata={"Software": None})
    return out.getvalue()


def warm_up() -> None:
    """Has the fonts read before the first picture needs them."""
    figure = blank(DOTS, DOTS)
    figure.text(0, 0, "0 min", weight="bold")
    figure.text(0, 0, "0 min")
    png(figure)


def key(figure: Figure, *, other: bool = True) -> None:
    """What the marks mean, in one line at the foot; `other` with the mark of other activity."""
    bracket = Path([(-1, 0.4), (-1, -0.4), (1, -0.4), (1, 0.4)])
    round_mark = Line2D(
        [], [], linestyle="none", marker="o", markersize=8, mfc=GROUND, mec=INK, mew=1.5, label="other activity"
    )
    marks: list[Line2D | Patch] = [
        Line2D([], [], linestyle="none", marker="D", markersize=9, color=YELLOW, label="long run"),
        *([round_mark] if other else []),
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


def spans(places: Sequence[int]) -> list[tuple[int, int]]:
    """First and last of each run of whole numbers in a row."""
    found: list[tuple[int, int]] = []
    for place in places:
        if found and place == found[-1][1] + 1:
            found[-1] = (found[-1][0], place)
        else:
            found.append((place, place))
    return found
