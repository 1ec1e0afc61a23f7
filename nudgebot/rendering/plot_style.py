"""What the pictures have in common: colours, an empty figure, the key, the bytes of a PNG.

Colours are those of Okabe and Ito ("Color Universal Design", 2008), which stay apart for colour-blind eyes; each
also has a shape of its own.
"""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import findfont, get_font
from matplotlib.ft2font import FT2Font
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.path import Path

DOTS: Final = 100  # px an inch


@dataclass(frozen=True, slots=True)
class Look:
    """The colours of a picture. `runs` to `dose` are Okabe and Ito's."""

    ground: str
    ink: str
    faint: str
    runs: str
    long: str
    gaps: str
    dose: str
    shade: str  # away or paused


DARK: Final = Look(
    ground="#14181d", ink="#f2f2f2", faint="#aab2bb", runs="#56b4e9", long="#f0e442", gaps="#e69f00", dose="#009e73",
    shade="#3a424c",
)  # fmt: skip
LIGHT: Final = Look(
    ground="#ffffff", ink="#14181d", faint="#565f69", runs="#0072b2", long="#000000", gaps="#d55e00", dose="#009e73",
    shade="#d5dae0",
)  # fmt: skip


def look(*, light: bool) -> Look:
    """The colours on a light or a dark ground."""
    return LIGHT if light else DARK


_NO_LETTER: Final = frozenset({"So", "Cf"})  # pictograms, and what joins two of them
_VARIANT: Final = re.compile("[\ufe00-\ufe0f]")  # says how the sign before it looks, and is none itself


def blank(width: int, height: int, colours: Look = DARK) -> Figure:
    """An empty figure of that size (px)."""
    return Figure(figsize=(width / DOTS, height / DOTS), dpi=DOTS, facecolor=colours.ground)


def bare(axes: Axes, colours: Look) -> None:
    """Makes a field show nothing but what is drawn, and the line it stands on."""
    axes.set_facecolor(colours.ground)
    axes.tick_params(colors=colours.faint, labelsize=15, length=0)
    axes.spines[["top", "right", "left"]].set_visible(False)
    axes.spines["bottom"].set_color(colours.faint)


def png(figure: Figure) -> bytes:
    """The figure as PNG; the same figure is the same bytes."""
    out = io.BytesIO()
    figure.savefig(out, format="png", dpi=DOTS, facecolor=figure.get_facecolor(), metadata={"Software": None})
    return out.getvalue()


def warm_up() -> None:
    """Has the fonts read before the first picture needs them."""
    figure = blank(DOTS, DOTS)
    figure.text(0, 0, "0 min", weight="bold")
    figure.text(0, 0, "0 min")
    png(figure)


@lru_cache(maxsize=1)
def _font() -> FT2Font:
    return get_font(findfont("DejaVu Sans"))  # comes with matplotlib


@lru_cache(maxsize=1)
def _known() -> frozenset[int]:
    return frozenset(_font().get_charmap())


def drawable(text: str) -> str:
    """`text` without pictograms, and without signs that the font lacks (Chinese, …), which would come out as boxes."""
    known = _known()
    kept = (c for c in text if ord(c) in known and unicodedata.category(c) not in _NO_LETTER and not _VARIANT.match(c))
    return " ".join("".join(kept).split())


def fit_text(text: str, room: float, points: float) -> str:
    """`text`, cut so that it goes into `room` (px) in letters of `points`."""
    font = _font()
    font.set_size(points, DOTS)

    def wide(line: str) -> float:
        font.set_text(line, 0.0)
        return float(font.get_width_height()[0]) / 64

    if wide(text) <= room:
        return text
    while text and wide(f"{text}…") > room:
        text = text[:-1].rstrip()
    return f"{text}…"


def key(figure: Figure, colours: Look, *, other: bool = True, pausing: str = "away or paused") -> None:
    """What the marks mean, in one line at the foot: `other` with the mark of other activity, `pausing` the shade's."""
    bracket = Path([(-1, 0.4), (-1, -0.4), (1, -0.4), (1, 0.4)])

    def mark(label: str, **how: Any) -> Line2D:
        return Line2D([], [], linestyle="none", label=label, **how)

    round_mark = mark("other activity", marker="o", markersize=8, mfc=colours.ground, mec=colours.ink, mew=1.5)
    marks: list[Line2D | Patch] = [
        mark("long run", marker="D", markersize=9, color=colours.long),
        *([round_mark] if other else []),
        mark("gap, 3rd rest day on", marker=bracket, markersize=13, mfc="none", mec=colours.gaps, mew=3),
        Patch(facecolor=colours.shade, edgecolor=colours.faint, hatch="//", linewidth=0, label=pausing),
    ]
    figure.legend(
        handles=marks,
        loc="lower center",
        ncols=len(marks),
        frameon=False,
        fontsize=14.5,
        labelcolor=colours.ink,
        handlelength=1.2,
        handletextpad=0.4,
        columnspacing=0.9,
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
