"""What is said about who coaches a group: second coaches, stand-ins, successors, the hour of the digest; accounts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from nudgebot.domain.messages.common import DAY_NAMES, capital, count_of, short_day
from nudgebot.domain.overview.group import DigestTime

# What an invitation does, and its name in the list of those that are open; by the words of `Opens`.
OPENS: Final = {
    "coach": "makes one person a coach",
    "second coach": "makes one person a second coach of your group, who sees and does what you do",
    "successor": "makes one person lead your group in your place, with your notes about its runners",
    "account": "joins another account of yours to this one, with plan, log and all; give it to no one else",
}
WHAT: Final = {
    "runner": "runners",
    "friend": "friends",
    "coach": "a coach",
    "second coach": "a second coach",
    "stand-in": "a stand-in",
    "successor": "a successor",
    "account": "another account of yours",
}
STAND_IN_WANTED = "Write the days after it, at most three months: /stand_in 12 jul to 26 jul"
DIGEST_WANTED = "Write a weekday and a time, or off: /digest sun 18:00"
NOBODY_TO_DISMISS = "Write whom, by a name from /coaches: /dismiss Lou. To end your own group: /close group."
DISMISS_KEPT = "Everything stays as it is."
YOU_COACH_NO_MORE = "You look after the group no more. A plan of your own goes on as it is."
WAS_DISMISSED = f"{YOU_COACH_NO_MORE[:-1]}; /export hands you what is yours."
ACCOUNT_HAS_A_PLAN = (
    "This account has a plan of its own here, and two plans cannot become one. /erase this one first, or go on with it."
)
ACCOUNT_SAME = "This is the account that made the code. Open it from the new one."
ACCOUNT_LEFT = (
    "Your plan and log are with another account of yours now, by the code that you made here. If that was not you, "
    "tell whoever hosts this bot at once."
)
ACCOUNT_JOINED = "It is you: plan, log and settings are with this account now, and no longer with the old one."


def stands_in(first: date, last: date) -> str:
    """What an invitation of a stand-in does."""
    return f"lets one person look after your group from {short_day(first)} to {short_day(last)}"


def welcome_coach(lead: str, runners: int, span: tuple[datetime, datetime] | None, zone: ZoneInfo) -> str:
    """To somebody who looks after a group together with, or in place of, who leads it."""
    when = f" {_days(span, zone)}" if span else ""
    return (
        f"You look after {lead}'s group of {count_of(runners, 'runner')}{when}. /roster shows who needs a word first, "
        "/help coach the rest. "
        "What runners have shared with others before is not yours to see; they can share it with you."
    )


def own_group_first(lead: str) -> str:
    """To somebody who has a group of their own and looks after another one as well."""
    return f"Your own group stays at your desk: /group {lead} puts that one there, /group own yours again."


def title(lead: str, *, own: bool) -> str:
    """What a coach of several groups calls one of them."""
    return "your own group" if own else f"{lead}'s group"


def list_groups(titles: Sequence[str], at_desk: int) -> str:
    """A coach's groups, and which of them is at the desk."""
    lines = [f"{title}{', at your desk now' if n == at_desk else ''}" for n, title in enumerate(titles)]
    return "\n".join([*map(capital, lines), GROUP_WANTED])


def say_at_desk(title: str, runners: int) -> str:
    """Another group of a coach's is at the desk."""
    return f"At your desk now: {title}, {count_of(runners, 'runner')}. What you write as a coach is about it."


GROUP_WANTED = "/group and the name of who leads it puts another one at your desk, /group own your own."
ONE_GROUP = "You look after one group, and what you write as a coach is about it."


def say_not_yet(lead: str, span: tuple[datetime, datetime], zone: ZoneInfo) -> str:
    """To a stand-in whose days have not come."""
    return f"You look after {lead}'s group {_days(span, zone)}; that works then."


def thank_stand_in(lead: str) -> str:
    """To a stand-in whose days are over."""
    return f"Your days with {lead}'s group are over, and you see nothing of it any more. Thank you for standing in."


def say_leads(name: str) -> str:
    """To the coaches of a group: somebody else leads it."""
    return f"{name} leads the group from now on. /coaches shows who looks after it."


def tell_leads(runners: int, *, second: bool) -> str:
    """To somebody who leads a group from now on; `second` is whether they have coached it already."""
    unseen = " What runners shared with the former coach is not yours to see; they can share it with you."
    return (
        f"You lead the group of {count_of(runners, 'runner')} from now on. /roster shows who needs a word first, "
        f"/help coach the rest.{'' if second else unseen}"
    )


def say_looks_after(name: str, lead: str, span: tuple[datetime, datetime] | None, zone: ZoneInfo) -> str:
    """To the runners of a group: somebody coaches it as well."""
    when = f" {_days(span, zone)}" if span else ""
    return (
        f"{name} looks after {lead}'s group as well{when} and sees what {lead} sees, but for what you shared before "
        "today. /share shows it."
    )


def say_also_coaches(name: str, span: tuple[datetime, datetime] | None, zone: ZoneInfo) -> str:
    """To the coaches of a group: somebody coaches it as well."""
    when = f" {_days(span, zone)}" if span else ""
    return f"{name} looks after the group with you{when}, and sees and does what you do. The runners are told."


def list_coaches(told: Sequence[tuple[str, bool, tuple[datetime, datetime] | None]], zone: ZoneInfo) -> str:
    """Who coaches a group: name, whether they lead it, a stand-in's time."""
    lines = [
        f"{name}: {'leads the group' if leads else f'stands in {_days(span, zone)}' if span else 'second coach'}"
        for name, leads, span in told
    ]
    return "\n".join(lines)


def list_all_coaches(groups: Sequence[tuple[str, int]]) -> str:
    """For whoever hosts the bot: who leads a group, and of how many runners."""
    return "\n".join(f"{name}: {count_of(many, 'runner')}" for name, many in groups)


NO_COACHES = "Nobody coaches a group here. /invite_coach makes a link for somebody who will."


def ask_to_dismiss(name: str, runners: int, follows: str) -> str:
    """Before a coach is taken off; `follows` is who leads the group after that, "" if it ends."""
    if not runners:
        return f"{name} looks after the group no more from then on. Shall I do that?"
    after = f"{follows} leads it then" if follows else f"It ends for its {runners} runners, who keep plan and log"
    return f"{name} leads a group. {after}. Shall I do that?"


def confirm_dismissed(name: str) -> str:
    """To who dismissed a coach."""
    return f"{name} looks after the group no more and is told."


def say_digest(wanted: DigestTime, at: datetime | None, zone: ZoneInfo, *, zone_told: bool) -> str:
    """When the digest comes; with a word on the clock where the coach has told none."""
    if wanted.day is None or at is None:
        return "No week at a glance comes by itself. /digest mon 07:30 brings it back; /roster shows it any time."
    next_one = short_day(at.astimezone(zone).date())
    clock = "" if zone_told else f" That is by {zone.key}'s clock: /zone Lisbon sets yours."
    return f"The week at a glance comes on {DAY_NAMES[wanted.day]}s at {wanted.at:%H:%M}, next on {next_one}.{clock}"


def _days(span: tuple[datetime, datetime], zone: ZoneInfo) -> str:
    first, last = (each.astimezone(zone) for each in span)
    return f"from {short_day(first.date())} to {short_day((last - timedelta(seconds=1)).date())}"
