"""What a simulation came to: as a page to read, and as values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from nudgebot.domain.model.nudged import NudgeKind
from nudgebot.tools.simulate.judge.findings import Breach
from nudgebot.tools.simulate.lives import Life
from nudgebot.tools.simulate.tally import SETTLED_FROM, Tally

WHOLE = "all"
KINDS = tuple(kind.value for kind in NudgeKind if kind is not NudgeKind.COACH_DIGEST)


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
