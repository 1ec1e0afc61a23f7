"""The heart rate of one run over its time, drawn with the easy band. (docs/pictures.md)"""

from __future__ import annotations

from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from nudgebot.domain.messages.runs import minutes_words
from nudgebot.domain.model.logbook import Recording, ShownRun
from nudgebot.rendering.plot_style import Look, bare, blank, look, png

WIDTH: Final = 800  # px
HEIGHT: Final = 450
TICKS: Final = (5, 10, 15, 20, 30, 60, 120)  # min, the first of which there are at most seven


def heart_rate(shown: ShownRun) -> bytes:
    """The picture of `shown`, WIDTH x HEIGHT; where nothing was measured the line is broken."""
    colours, run = look(light=shown.light), shown.recording
    figure = blank(WIDTH, HEIGHT, colours)
    axes = figure.add_axes((0.085, 0.215, 0.885, 0.6))
    _beats(axes, run, colours)
    _band(axes, run, colours)
    _minutes(axes, run)
    _words(figure, run, colours)
    return png(figure)


def _beats(axes: Axes, shown: Recording, colours: Look) -> None:
    beats = shown.beats
    known = [each for each in beats if each is not None]
    low, high = min([*known, shown.low or 999]), max([*known, shown.high or 0])
    bare(axes, colours)
    axes.set_xlim(0, shown.total_seconds / 60)
    axes.set_ylim(low - 8, high + 8)
    share = shown.total_seconds / 60 / len(beats)
    times = [share * (n + 0.5) for n in range(len(beats))]
    axes.plot(
        times, [float("nan") if each is None else each for each in beats], color=colours.runs, linewidth=3, zorder=3
    )
    axes.yaxis.set_major_locator(MaxNLocator(5, integer=True))


def _band(axes: Axes, shown: Recording, colours: Look) -> None:
    if shown.low is None or shown.high is None:
        return
    axes.axhspan(shown.low, shown.high, facecolor=colours.dose, alpha=0.28, zorder=1)
    for edge in (shown.low, shown.high):
        axes.axhline(edge, color=colours.dose, linewidth=2, linestyle=(0, (5, 3)), zorder=2)


def _minutes(axes: Axes, shown: Recording) -> None:
    whole = shown.total_seconds / 60
    every = next((each for each in TICKS if whole / each <= 7), TICKS[-1])
    axes.set_xticks(range(0, int(whole) + 1, every))


def _words(figure: Figure, shown: Recording, colours: Look) -> None:
    figure.text(0.02, 0.9, "Heart rate", color=colours.ink, fontsize=19, weight="bold")
    average = f"on average {shown.heart_rate}" if shown.heart_rate is not None else ""
    figure.text(0.98, 0.903, average, color=colours.faint, fontsize=16, ha="right")
    figure.text(0.975, 0.08, "min", color=colours.faint, fontsize=15, ha="right")
    if shown.low is not None and shown.inside is not None:
        said = f"dashed: your easy range, {shown.low} to {shown.high}; in it {minutes_words(shown.inside)}"
        figure.text(0.02, 0.035, said, color=colours.faint, fontsize=15)
