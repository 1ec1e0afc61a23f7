"""One picture of a simulation: minutes a week with and without replanning, and what was sent unasked."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from nudgebot.tools.simulate.lives import Life
from nudgebot.tools.simulate.tally import Tally

if TYPE_CHECKING:
    from matplotlib.axes import Axes

ENDINGS = (".svg", ".png")
INK, FAINT = "#1d2733", "#9aa5b1"
BLUE, ORANGE = "#0072b2", "#d55e00"  # Okabe and Ito, "Color Universal Design", 2008: apart for colour-blind eyes
# What is sent, in the order it is stacked: kinds, what they are called, and a shade from dark to light.
STACK = (
    (("morning",), "morning", "#1b3a57"),
    (("gap_warning",), "gap warning", "#d55e00"),
    (("check_in",), "check-in", "#5b8db8"),
    (("week_review",), "review", "#a9c7e0"),
    (("how_are_you", "safety_followup", "silence", "snoozed"), "other", "#d9dee4"),
)


def can_draw() -> bool:
    """Whether matplotlib, which is optional, is installed."""
    return find_spec("matplotlib") is not None


def draw(lives: Mapping[Life, Tally], path: Path) -> None:
    """Draws the picture to `path`; raises OSError where it cannot be written there."""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    shown = [(life.value, tally) for life, tally in lives.items() if tally.weeks][::-1]
    with rc_context({"svg.hashsalt": "nudgebot", "font.size": 10, "text.color": INK, "axes.labelcolor": INK}):
        figure = Figure(figsize=(9, 4), layout="constrained", facecolor="white")
        minutes, nudges = figure.subplots(1, 2, sharey=True, width_ratios=(3, 2))
        _minutes(minutes, shown)
        _nudges(nudges, shown)
        for axes in (minutes, nudges):
            axes.set_yticks(range(len(shown)), [name for name, _ in shown], color=INK)
            axes.tick_params(length=0, colors=INK)
            axes.spines[["top", "right", "left"]].set_visible(False)
            axes.spines["bottom"].set_color(FAINT)
        plain = {"Date": None} if path.suffix == ".svg" else None
        figure.savefig(path, dpi=150, metadata=plain)


def _minutes(axes: Axes, shown: list[tuple[str, Tally]]) -> None:
    """For each kind of runner a line from the minutes of weeks left alone to those of replanned ones."""
    for row, (_, tally) in enumerate(shown):
        with_it, without = tally.minutes / tally.weeks, tally.without / tally.weeks
        axes.plot([without, with_it], [row, row], color=FAINT, linewidth=2, zorder=1)
        axes.scatter(without, row, marker="D", s=42, color=ORANGE, zorder=2, label="left alone" if not row else None)
        axes.scatter(with_it, row, marker="o", s=58, color=BLUE, zorder=3, label="replanned" if not row else None)
        beside = max(with_it, without)
        axes.annotate(f"{with_it - without:+.0f}", (beside, row), (9, -4), textcoords="offset points")
    axes.set_xlim(0, 1.15 * max(max(t.minutes, t.without) / t.weeks for _, t in shown))
    axes.set_xlabel("minutes run a week, and the difference")
    axes.legend(loc="lower left", bbox_to_anchor=(0, 1), ncols=2, frameon=False, borderaxespad=0.2)


def _nudges(axes: Axes, shown: list[tuple[str, Tally]]) -> None:
    """For each kind of runner what is sent in a week, one kind on another."""
    for row, (_, tally) in enumerate(shown):
        left = 0.0
        for kinds, name, shade in STACK:
            width = sum(tally.sent[kind] for kind in kinds) / tally.weeks
            label = name if not row else None
            axes.barh(row, width, left=left, height=0.55, color=shade, edgecolor="white", linewidth=0.8, label=label)
            left += width
        axes.annotate(f"{left:.1f}", (left, row), (5, -4), textcoords="offset points")
    axes.set_xlim(0, 1.18 * max(t.nudges / t.weeks for _, t in shown))
    axes.set_xlabel("nudges a week, 8 at most")
    axes.legend(
        loc="lower left", bbox_to_anchor=(0, 1), ncols=3, frameon=False, borderaxespad=0.2, columnspacing=1,
        handlelength=1,
    )  # fmt: skip
