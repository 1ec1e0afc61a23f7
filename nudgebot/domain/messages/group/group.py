"""What is said in a group chat, to a coach, and to a runner about their coach."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import assert_never

from nudgebot.domain.messages.common import and_list, count_of, in_language, short_day
from nudgebot.domain.model.actions import SetShare, ShowSheet
from nudgebot.domain.model.speech import Button
from nudgebot.domain.overview.chat_lines import Bound, CameBack, FixedLine, GroupLine, NotReached, Overview, StopAndCall
from nudgebot.domain.overview.group import Share
from nudgebot.domain.profile import places

FIXED_LINES = {
    FixedLine.WRITTEN_TO_YOU: in_language("written_to_you", "en"),
    FixedLine.PRIVATE_FIRST: "Please write to me in private; here I keep quiet.",
    FixedLine.BOUND_ELSEWHERE: "This chat belongs to another coach's group.",
    FixedLine.NOT_BOUND: "This chat is no group's yet. Its coach can write /bind.",
    FixedLine.COACHES_ONLY: "That is for the coach of this group.",
    FixedLine.GROUP_HELP: (
        "After a run write the minutes here or to me in private: 42 easy. Everything else is private."
    ),
}
COACHES_ONLY = "That is for coaches. /help shows what I understand."
BEGIN_A_GROUP = "That is for coaches. You host this bot: /coach begins a group of your own."
LEAD_ONLY = "That is for the coach who leads the group; /coaches shows who that is."
OWNER_ONLY = "That is for whoever hosts this bot."
NO_COACH_SEES = (
    "You run in no group, so no coach sees anything of you. Whoever hosts this bot can read its database: /privacy."
)
RUNNERS_ONLY = "You run in no group here. An invitation from a coach begins with /start."
PICTURE = Button("The last 12 weeks", ShowSheet())
IN_PRIVATE = "Please write that to me in private."
IN_THE_GROUP = "Write that in the group chat it is about."
EMPTY = "Nobody has joined your group yet. /invite makes a link."
WHO = "Whose? Write the name after it, as on /roster."
NOT_A_CODE = "That invitation is no longer valid. Ask your coach for a new one."
TOO_MANY_CODES = "Too many invitations that are not valid. Try again tomorrow."
ALREADY_IN = "You run in this group already."
LEADS_ALREADY = "You lead a group of your own, and one can lead one at a time. /successor hands yours on."
COACHES_ALREADY = "You look after this group already. /roster shows it."
REMOVED_BEFORE = "That invitation is from before the coach took you out of the group. Ask for a new one."
LEAVE_ASK = (
    "Out of {coach}'s group? Your coach sees nothing of you from then on, what was set for you ends, and coming back "
    "takes a new invitation. Plan and log stay yours. To leave write: /leave group"
)
LEFT = "You have left the group. Your coach sees nothing of you from now on; your running goes on with me."
CLOSED = "The group is closed. Its runners keep their plans and logs."
CLOSE_ASK = "This ends the group for everybody in it; they keep their plans and logs. Write: /close group"
NO_INVITATIONS = "No invitation is open. /invite makes one."
NO_SUCH_INVITATION = "No invitation of yours with that number is open. /invitations shows those that are."
REVOKED = "That invitation is no longer valid."
NOTHING_TO_TELL = (
    "Write it like this: /tell all Sunday at 9, the usual place. Or: /tell Ana, Ben: see you on Sunday. "
    "Or, to those under one word of the roster: /tell silent: no need to explain anything."
)
NOT_SENT = "Nothing is sent."
NO_NOTES = "No note about {name} yet. Write one after the name: /note Ana prefers mornings."
NOTED = "Noted for {name}. It is yours; {name} gets it with /export, so write what you would say."
NOTE_CHANGED = "Changed: {text} (it was: {old})"
NOTE_GONE = "Gone: {text}"
NOTE_UNKNOWN = "You have no note of that number about {name}. /note {name} shows them."
NOTHING_DELIVERED = "You have sent no message in the last eight days."
NO_PLAN_HERE = (
    "Nothing to do for me there: you have no plan of your own here. /help shows what you can write; /start asks the "
    "questions for a plan."
)
NO_PLAN = "Then no plan of your own; what you look after here stays as it is."
ZONE_WANTED = "Write a city or a zone: /zone Lisbon"
SHARE_WANTED = "Write it like this: /share pause on, or /share pause off."


def group_line(line: GroupLine) -> str:
    """One of the lines that may be said in a group chat."""
    match line:
        case FixedLine():
            return FIXED_LINES[line]
        case NotReached(grave):
            stop = "Please stop running and get medical advice today. " if grave else ""
            return f"{stop}I could not reach you in private: open a chat with me and write to me there."
        case StopAndCall(country, language, other, written):
            first = in_language("other_first" if other else "stop_and_call", language)
            first = first.format(call=places.emergency_call(country, language))
            return f"{first}\n{in_language('written_to_you', language)}" if written else first
        case Bound(now):
            return "This chat is the group's now. I keep quiet here." if now else "I say nothing in this chat any more."
        case Overview(names, runners):
            many = count_of(runners, "runner")
            said = f"In rhythm: {and_list(names)}." if names else "A new week, from where everybody is."
            return f"A new week for {many}. {said}" if names else f"{many}. {said}"
        case CameBack(name):
            return f"Good to have {name} back."
        case _:
            assert_never(line)


def ask_which_runner(name: str, labels: Sequence[tuple[str, int]], title: str = "") -> str:
    """A name that nobody or more than one runner of the group has; `title` is which of the coach's groups it is."""
    if not labels:
        where, other = (f" in {title}", ", /group the other groups") if title else ("", "")
        return f"No runner of yours{where} is called {name[:40]}. /roster shows the names{other}."
    either = and_list([label if label.endswith(f"#{number}") else f"{label} #{number}" for label, number in labels])
    return f"{name[:40]} can be {either}. Write the number with its #."


def welcome(coaches: Sequence[str]) -> str:
    """To somebody who has just joined a group."""
    lead = coaches[0]
    both = "" if len(coaches) < 2 else f" {and_list(coaches)} look after it together."
    return (
        f"You run in {lead}'s group now.{both} {and_list(coaches)} see{'s' if len(coaches) == 1 else ''} your name, "
        "your minutes, your dose and whether you are in rhythm; of your health nothing but “pausing”, one word for "
        "illness, holds and days away. /share shows all of it and lets more through, /leave ends it at any time."
    )


def say_joined(name: str) -> str:
    """To the coach."""
    return f"{name} has joined your group."


def say_left(name: str) -> str:
    """To the coach."""
    return f"{name} has left your group."


def say_taken_out(coach: str) -> str:
    """To a runner whom the coach took out of the group."""
    return (
        f"{coach} has taken you out of the group. Plan and log stay yours, and I go on as before; "
        "/export hands them to you, /erase deletes them."
    )


def say_closed(coach: str) -> str:
    """To a runner whose group is closed; `coach` is "" if they are erased, and named no more."""
    whose = f"{coach}'s" if coach else "Your"
    return f"{whose} group is closed. Plan and log stay yours, and I go on as before."


def say_leave_first(coach: str) -> str:
    """To a runner of one group who opens another one's invitation."""
    return f"You run in {coach}'s group. Leave it first with /leave, then open the new invitation again."


def invitation(code: str, door: str, whom: str, until: datetime, number: int) -> str:
    """A new invitation that does what `whom` says; `door` is what the code is appended to where there are links."""
    how = f"{door}{code}" if door else f"/start {code}"
    also = f"\nOr, written to me in private: /start {code}" if door else ""
    return f"This {whom}, until {short_day(until.date())}:\n{how}{also}\n/revoke {number} takes it back."


def lets_in(uses: int) -> str:
    """What an invitation for runners does."""
    return f"lets {'one runner' if uses == 1 else f'{uses} runners'} in"


def lets_friends_in(uses: int) -> str:
    """What an invitation of a host who coaches nobody does."""
    return f"lets {'one friend' if uses == 1 else f'{uses} friends'} in, each with a plan of their own and no coach"


def list_invitations(open_ones: Sequence[tuple[int, str, int, datetime]]) -> str:
    """The invitations that still open: number, what for, uses left, until when."""
    return "\n".join(
        f"{number}: {what}, {uses} left, until {short_day(until.date())}. /revoke {number}"
        for number, what, uses, until in open_ones
    )


def welcome_coach(*, new: bool) -> str:
    """To somebody who has become a coach."""
    first = "You coach a group now." if new else "You coach a group already."
    return (
        f"{first} /invite makes a link for your runners, /roster shows them. "
        "In the group's chat write /bind to make it the group's.\n"
        "Mondays at 07:30 you get the week at a glance, /digest sun 18:00 says when else; /zone Lisbon sets your clock "
        "if you do not run here.\n"
        "/help coach shows the rest; /start gives you a plan of your own as well."
    )


def share_buttons(shares: frozenset[Share]) -> tuple[Button, ...]:
    """A switch for each kind."""
    return tuple(
        Button(f"{kind.value.capitalize()} {word}", SetShare(kind.value, word == "on"))
        for kind in Share
        for word in (("off" if kind in shares else "on"),)
    )


def say_leads_now(name: str, *, second: bool) -> str:
    """To the runners of a group: somebody else leads it; `second` is whether they have coached it already."""
    if second:
        return f"{name} leads the group from now on. What {name} sees of you stays as it is; /share shows it."
    return (
        f"{name} leads the group from now on and sees your minutes, your dose and whether you are in rhythm. What you "
        "had shared with the former coach beyond that stays unseen; /share lets it through again."
    )


def say_handed_on(name: str) -> str:
    """To who led a group until now."""
    return f"{name} leads your group from now on, with your notes about its runners. A plan of your own goes on."


def ask_to_send(names: Sequence[str], text: str, state: str = "") -> str:
    """A message of the coach's, shown before it goes out; `state` is by which word they were meant."""
    who = f"{and_list(names)} ({state})" if state else and_list(names)
    return f"To {who}:\n“{text}”\nSend it?"


def ask_to_send_all(many: int, text: str, title: str = "") -> str:
    """A message to everybody, shown before it goes out; `title` is to which of the coach's groups."""
    who = "your one runner" if many == 1 else f"all {many} runners"
    return f"To {f'{who}, {title}' if title else who}:\n“{text}”\nSend it?"


def say_nobody_is(state: str) -> str:
    """A message to a state in which nobody is."""
    return f"Nobody is on the roster under “{state}” just now, so there is nobody to send it to."


def say_not_now(names: Sequence[str]) -> str:
    """A message about running that waits: who pauses, and never why."""
    pausing = "is pausing" if len(names) == 1 else "are pausing"
    return f"Not now: {and_list(names)} {pausing}, so a message about running does not go there."


def pass_on(coach: str, text: str) -> str:
    """A coach's message, as the runner gets it."""
    return f"{coach}, your coach: {text}"


def say_sent(many: int, later: int, silent: Sequence[str]) -> str:
    """How many letters are on their way, and who asked for silence."""
    waits = f" {later} of them when quiet hours end." if later else ""
    said = f"On its way to {count_of(many, 'runner')}.{waits}" if many else NOT_SENT
    asked = f" {and_list(silent)} asked me for silence and got nothing." if silent else ""
    return f"{said}{asked} /delivered shows what arrived." if many else f"{said}{asked}"


def list_delivered(arrived: Sequence[str], waits: Sequence[str], lost: Sequence[str]) -> str:
    """What became of the coach's last message."""
    told = (("Arrived", arrived), ("On its way", waits), ("Not delivered", lost))
    return "Your last message.\n" + "\n".join(f"{what}: {and_list(names)}" for what, names in told if names)
