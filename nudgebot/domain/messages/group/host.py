"""What is said to whoever hosts the bot, and to runners before something of theirs is deleted."""

from __future__ import annotations

from datetime import date

from nudgebot.domain.messages.common import short_day
from nudgebot.domain.model.parameters import MONTHS_KEPT, TOLD_BEFORE

NOBODY_HOSTS = "nobody hosts this bot yet and everybody may join; nudgebot owner makes a code to claim it"
CLAIM_WANTED = "Write the code after it, as nudgebot owner printed it: /claim CODE"
CLAIM_NOTHING = "That code is no longer valid. nudgebot owner makes a new one."
NAMED_IN_THE_SETTINGS = "The settings of this bot name its host (NUDGEBOT_OWNER); a code does not change that."
HOSTING = (
    "You host this bot now, and from now on people join by invitation.\n"
    "/coach begins a group of your own, /invite_coach lets somebody else begin one.\n"
    "/retention says how long things are kept, /hand_over lets somebody else host it.\n"
    "/start gives you a plan of your own as well."
)


def print_code(code: str, *, hosted: bool) -> str:
    """The code as the command line prints it."""
    over = "The bot is hosted already; whoever says this hosts it instead.\n" if hosted else ""
    return f"{over}Write this to the bot in private within one hour. It works once.\n/claim {code}\n"


def offer_code(code: str, door: str) -> str:
    """A code for somebody else; `door` is what it is appended to where the platform has links."""
    how = f"{door}{code}\nOr, written to me in private: /claim {code}" if door else f"/claim {code}"
    return (
        f"Whoever opens this within one hour hosts the bot in your place. It works once; give it to no one else.\n{how}"
    )


def say_handed_over(name: str) -> str:
    """To whoever hosted the bot until now."""
    return f"{name} hosts this bot from now on."


def _months(months: int) -> str:
    return f"{months // 12} years" if months % 12 == 0 and months > 12 else f"{months} months"


def show_retention(months: int) -> str:
    """For how long things are kept, and how to change it."""
    return (
        f"Runs, complaints, past weeks, nudges and notes are kept for {_months(months)}, and so is a silent runner's "
        f"book. Write it like this to change it: /retention 18 months, from {MONTHS_KEPT[0]} to {MONTHS_KEPT[-1]}."
    )


def say_out_of_bounds(months: int) -> str:
    """Less than the planner needs, or more than can be meant."""
    return (
        f"It can be {MONTHS_KEPT[0]} to {MONTHS_KEPT[-1]} months: a plan looks back almost five. "
        f"It stays at {_months(months)}."
    )


def confirm_retention(months: int, before: int) -> str:
    """The host changed it."""
    less = f" Whoever has something older is told {TOLD_BEFORE.days} days before it goes." if months < before else ""
    return f"Kept for {_months(months)} from now on.{less} /privacy says so to everybody."


def say_how_long(months: int) -> str:
    """The line of the privacy page."""
    return (
        f"How long: what is older than {_months(months)} is deleted, and so is everything after as long a silence; I "
        f"tell you {TOLD_BEFORE.days} days before."
    )


def warn_old_goes(day: date, months: int) -> str:
    """To a runner whose log reaches further back than is kept."""
    return (
        f"From {short_day(day)} on I delete what is older than {_months(months)}, day by day: runs, complaints, past "
        "weeks. Whoever hosts this bot keeps nothing longer. Your plan goes on as it is; /export hands you all of it."
    )


def warn_silent_goes(day: date, months: int) -> str:
    """To a runner who has been silent for almost as long as things are kept."""
    return (
        f"On {short_day(day)} I delete everything I have of you: whoever hosts this bot keeps nothing longer than "
        f"{_months(months)} without a word. Write anything and it stays; /export hands it to you."
    )
