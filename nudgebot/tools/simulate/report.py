"""What a simulation came to: as a page to read, as values, and as one picture.

The picture has minutes a week with and without replanning, and what was sent unasked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.tools.simulate.judge.findings import Breach
from nudgebot.tools.simulate.lives import Life
from nudgebot.tools.simulate.tally import SETTLED_FROM, Tally

if TYPE_CHECKING:
    from matplotlib.axes import Axes

WHOLE = "all"
KINDS = tuple(kind.value for kind in NudgeKind if kind is not NudgeKind.COACH_DIGEST)
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


def add_up(lives: Mapping[Life, Tally]) -> Tally:
    """All kinds of life together."""
    together = Tally()
    for tally in lives.values():
        together.add(tally)
    return together


def page(lives: Mapping[Life, Tally], weeks: int, seed: int, *, twice: bool = True) -> Iterator[str]:
    """The lines of the report; what weeks left alone come to is known where each was lived `twice`."""
    every = add_up(lives)
    ending = ", each lived twice" if twice else ""
    yield f"{every.runners} runners, {weeks} weeks each, seed {seed}: {every.weeks} runner-weeks{ending}"
    yield f"{every.lines} lines said, {every.plans} plans looked at, {every.changes} changes of summer time"
    yield ""
    late = f"week {SETTLED_FROM + 1}"
    for heads in (
        ("", "weeks", "90 %", "in the", "from", "min a", "left", "won", "nudges", "most in"),
        ("runner", "", "done", "dose", late, "week", "alone", "back", "a week", "7 days"),
    ):
        yield f"{heads[0]:<11}" + "".join(f"{head:>8}" for head in heads[1:])
    for name, tally in (*((life.value, tally) for life, tally in lives.items()), (WHOLE, every)):
        a_week = max(1, tally.weeks)
        late = f"{tally.late_in_dose / tally.late_weeks:.0%}" if tally.late_weeks else "-"
        alone = f"{'-':>8}" * 2
        if twice:
            alone = f"{tally.without / a_week:>8.1f}{(tally.minutes - tally.without) / a_week:>+8.1f}"
        yield (
            f"{name:<11}{tally.weeks:>8}{tally.on_target / a_week:>8.0%}{tally.in_dose / a_week:>8.0%}{late:>8}"
            f"{tally.minutes / a_week:>8.1f}{alone}{tally.nudges / a_week:>8.2f}{tally.most_a_week:>8}"
        )
    yield "in the dose: of its weekly minutes; won back: by replanning, against weeks left as they were laid out"
    yield ""
    yield f"{'nudge':<16}{'a week':>8}{'sent':>8}{'held back':>11}{'dropped':>9}"
    for kind in KINDS:
        sent, held, dropped = every.sent[kind], every.held_back[kind], every.dropped[kind]
        if sent or held or dropped:
            yield f"{kind:<16}{sent / max(1, every.weeks):>8.2f}{sent:>8}{held:>11}{dropped:>9}"
    held, dropped = every.held_back.total(), every.dropped.total()
    yield f"{WHOLE:<16}{every.nudges / max(1, every.weeks):>8.2f}{every.nudges:>8}{held:>11}{dropped:>9}"
    yield f"within three hours of a change of summer time: {every.near_changes}"
    yield ""
    yield "days past the two-day rule, as they were lived:"
    yield f"  {every.gaps_skipped:>6} after a planned run that the runner did not do"
    yield f"  {every.gaps_paused:>6} while ill, on hold, or on the way back"
    yield f"  {every.gaps_closed:>6} with no room for a run in the plan"
    yield ""
    yield "own words, by what they were about and what they were read as:"
    for read, count in sorted(every.read.items()):
        yield f"  {count:>6} {read}"
    yield ""
    yield "must be 0:"
    for breach in Breach:
        yield f"  {every.breaches[breach.name]:>6} {breach}"


def fault(every: Tally) -> str:
    """One line about what must be 0 and is not; "" if all of it is."""
    first = "; ".join(list(every.found)[:3])
    named = "; ".join(f"{count} {breach}" for breach, count in every.faults.items())
    return f"{named}. First: {first}" if named else ""


def values(lives: Mapping[Life, Tally], weeks: int, seed: int, *, twice: bool = True) -> dict[str, object]:
    """The same as one object."""
    every = add_up(lives)
    return {
        "runners": every.runners,
        "weeks": weeks,
        "seed": seed,
        "lives": {life.value: _values(tally, twice=twice) for life, tally in lives.items()},
        WHOLE: _values(every, twice=twice),
        "must_be_0": {breach.name.lower(): every.breaches[breach.name] for breach in Breach},
        "found": dict(every.found),
    }


def _values(tally: Tally, *, twice: bool) -> dict[str, object]:
    weeks = max(1, tally.weeks)
    return {
        "runners": tally.runners,
        "runner_weeks": tally.weeks,
        "weeks_90_percent_done": tally.on_target,
        "weeks_in_dose": tally.in_dose,
        "weeks_in_dose_later": [tally.late_in_dose, tally.late_weeks],
        "minutes": tally.minutes,
        "minutes_left_alone": tally.without if twice else None,
        "minutes_recovered": tally.minutes - tally.without if twice else None,
        "plans": tally.plans,
        "gap_days": {"skipped": tally.gaps_skipped, "paused": tally.gaps_paused, "closed": tally.gaps_closed},
        "nudges_a_week": round(tally.nudges / weeks, 3),
        "most_nudges_in_7_days": tally.most_a_week,
        "nudges": {
            kind: {"sent": tally.sent[kind], "held_back": tally.held_back[kind], "dropped": tally.dropped[kind]}
            for kind in KINDS
        },
        "nudges_near_summer_time": tally.near_changes,
        "summer_time_changes": tally.changes,
        "lines": tally.lines,
        "own_words": dict(sorted(tally.read.items())),
    }


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
