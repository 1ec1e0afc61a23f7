"""What a runner wants to hear unasked, in words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import time
from typing import Final

from nudgebot.domain.messages.common import DAY_NAMES, and_list, short_day
from nudgebot.domain.model.intake import Quiet
from nudgebot.domain.model.nudged import AS_USUAL, DayPart, NudgeAmount, NudgeWish

AMOUNTS: Final[Mapping[NudgeAmount, str]] = {
    NudgeAmount.USUAL: "",
    NudgeAmount.FEWER: "the warning before a long gap and the week's review, no more",
    NudgeAmount.WEEKLY: "the week's review, no more",
}
PARTS: Final[Mapping[DayPart, str]] = {
    DayPart.ANY: "",
    DayPart.MORNINGS: "nothing after noon",
    DayPart.EVENINGS: "nothing before noon; reminders come the evening before",
}
STILL_SAFE: Final = "After a warning sign I still ask once or twice."
HOW_MUCH: Final = "How much would you like to hear from me?"
OPTIONS: Final = (
    ("As usual", AS_USUAL),
    ("Fewer", NudgeWish(NudgeAmount.FEWER)),
    ("Once a week", NudgeWish(NudgeAmount.WEEKLY)),
    ("Evening before", NudgeWish(eve=True)),
)


def wish_words(wish: NudgeWish) -> str:
    """The wish as one line."""
    evening = wish.eve and wish.part is not DayPart.EVENINGS
    parts = [
        AMOUNTS[wish.amount],
        PARTS[wish.part],
        "reminders come the evening before" if evening else "",
        f"nothing on {and_list([f'{DAY_NAMES[day]}s' for day in wish.without])}" if wish.without else "",
        f"nothing up to and including {short_day(wish.silent_to)}" if wish.silent_to else "",
    ]
    return "; ".join(filter(None, parts)) or AS_USUAL.text


def confirm_wish(wish: NudgeWish) -> str:
    """The wish as it holds from now on."""
    if wish == AS_USUAL:
        return "Fine, messages as usual again."
    return f"Fine. Messages from now on: {wish_words(wish)}. {STILL_SAFE}"


def confirm_quiet(quiet: Quiet, *, moved: bool) -> str:
    """The quiet hours as they are from now on; `moved` where the morning reminder comes at their end."""
    reminder = f" The morning reminder comes at {quiet.last:%H:%M}." if moved else ""
    return f"Fine, I stay silent from {quiet.first:%H:%M} to {quiet.last:%H:%M}.{reminder}"


def say_same(wish: NudgeWish) -> str:
    """The wish that was in force already."""
    return f"That is how it is already: {wish_words(wish)}."


def ask_about_clash(remind: time, run: time) -> str:
    """A reminder after the run it is for."""
    clash = f"The reminder at {remind:%H:%M} comes after your usual run at {run:%H:%M}."
    return f"{clash} Shall it come the evening before instead?"
