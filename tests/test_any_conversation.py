"""Random conversations through the whole core: whatever is said and however time goes, the promises hold."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.talking import joined

LINES = st.sampled_from(
    [
        "20 easy",
        "{n}",
        "ran {n} yesterday",
        "{n} min, hr 135, effort 6",
        "bike 40",
        "bike 30 instead of my run",
        "no run today",
        "kid sick, tomorrow?",
        "busy tomorrow",
        "busy this weekend",
        "only 20 min tomorrow",
        "away for 3 days",
        "back",
        "undo",
        "make that {n}",
        "tired",
        "fever",
        "better",
        "my knee hurts 4/10",
        "my calf is sore",
        "chest pain",
        "/back",
        "yes",
        "no",
        "cleared",
        "Dr Sousa, on Monday",
        "not this week",
        "did it",
        "second run",
        "correction",
        "the same",
        "later",
        "stop",
        "goal health",
        "days tue 40, thu 40, sat 60, sun 60",
        "/week",
        "/why",
        "/season",
        "hello",
        "qwertz",
        "#1",
        "#2",
    ]
)
STEPS = st.sampled_from(["@ +20m", "@ +3h", "@ +9h", "@ +1d", "@ +1d", "@ +2d", "@ +6d"])
TALKS = st.lists(
    st.one_of(LINES, STEPS, STEPS).flatmap(lambda line: st.integers(10, 70).map(lambda n: line.replace("{n}", str(n)))),
    min_size=5,
    max_size=40,
)


def _days(dump: dict[str, Any]) -> tuple[Counter[date], dict[date, int]]:
    ran: Counter[date] = Counter()
    for entry in dump["log"]:
        if entry["kind"] == "run":
            ran[date.fromisoformat(entry["date"])] += entry["minutes"]
    return ran, {date.fromisoformat(each["date"]): each["minutes"] for each in dump["plan"]}


@settings(max_examples=25)
@given(TALKS)
def test_no_conversation_breaks_a_promise(lines: list[str]) -> None:
    played = joined("\n".join(f"{line}\n@ dump" for line in lines))
    nudges = [message for message in played.messages if message["kind"].startswith("nudge:")]
    ordinary = [n for n in nudges if n["kind"] not in {"nudge:safety_followup", "nudge:snoozed"}]
    # Two of a kind on a day are the gap warning's evening and morning; at most two a day; never in quiet hours.
    assert max(Counter((n["kind"], n["at"][:10]) for n in ordinary).values(), default=0) <= 2
    assert max(Counter(n["at"][:10] for n in ordinary).values(), default=0) <= 2
    assert all("06:30" <= n["at"][11:16] < "21:30" for n in ordinary)
    # Every line is answered, and only then: a script's own lines aside, each has an answer with its number.
    answered = {message["reply_to"] for message in played.messages if message["reply_to"]}
    said = [
        n
        for n, line in enumerate("\n".join(f"{each}\n@ dump" for each in lines).splitlines(), 20)
        if line[0] not in "@#"
    ]
    assert set(said) <= answered
    dumps = [each for each in played.objects if "runner" in each]
    held = False
    for dump in dumps:
        ran, planned = _days(dump)
        today = date.fromisoformat(dump["today"])
        if dump["standing"] in {"hold", "ill"}:
            assert dump["plan"] == []
        held |= dump["standing"] == "hold"
        days = sorted({*planned, *(day for day, minutes in ran.items() if minutes >= 10)})
        for first, third in zip(days, days[2:], strict=False):
            assert third - first > timedelta(days=2) or third not in planned, (today, first, third)
        for day, minutes in planned.items():
            assert day >= today
            assert minutes % 5 == 0
            assert 20 <= minutes <= 90
        # What is wanted stays within the target; the shortest run that closes a gap may come on top of it.
        this_week = sum(m for d, m in planned.items() if d - timedelta(days=d.weekday()) <= today)
        assert this_week + min(dump["target"], dump["done"]) <= dump["target"] + 20
    if held and "cleared" not in lines and "yes" not in lines and "#1" not in lines:
        assert dumps[-1]["standing"] == "hold"
