"""What is said beside the plan: short answers, buttons that are out of date, and the pages about the bot itself."""

from __future__ import annotations

from collections.abc import Sequence

from nudgebot.domain.messages.group.host import say_how_long

HELLO = "Hello. Write a line after a run, or /week for the plan."
AGREED = "Good. Write the minutes afterwards, that is all."
THANKS = "Any time."
HEARD = "Thanks for telling me."
NOTHING_PLANNED = "Nothing is planned meanwhile, so there is nothing to call off."
UNKNOWN_WHILE_ILL = "I did not get that. How are you: better, the same, or worse?"
UNKNOWN = "I did not get that. After a run just write the minutes, 42 easy for instance; /help shows the rest."
ABOUT_OTHERS = "I hope they are looked after. If it is there now, or comes back: {call}."
SOMEBODY_ELSES = (
    "So I took it: it was about somebody else, and your own running stays as it is. I hope they are looked after. If "
    "it is there now, or comes back: {call}."
)
TEXT_ONLY = "I read text, runs as GPX files, and calendars. After a run just write the minutes: 42 easy."
TEXT_ONLY_AT_FIRST = "I read text, nothing else. Write /start, and I ask you a few things before the first run."
STOPPED = "I go silent now. Your log stays; write anything when you want me back, or /erase to delete all of it."
BY_INVITATION = "This bot is by invitation. Whoever coaches or hosts here can send you one."
NOT_NOW = "That button is out of date. Just write it as a line."
NOT_OPEN = "That question is no longer open. Just write it as a line."
IF_MISSED = (
    "Nothing bad. Minutes not run come back where the week has room; the rest is let go. "
    "After a longer break the first runs are shorter. Write what changes, like busy thursday, and I rearrange."
)
CANNOT_ANSWER = "I have no good answer to that. About the plan, /why and /week may help; about health, ask a clinician."
WELCOME_BACK = "Welcome back."


HELP_LINES = """Just write what happened, in one line:
42 easy · ran 30 min yesterday · 20 + 25 · 5 km in 34 min
no run today · kid sick, tomorrow? · busy thu and fri · 20 min at most tomorrow
away mon to thu · back · bike 40 instead of my run
my calf hurts 3/10 · undo · what's next?"""
HELP_CAUTION = (
    "I read for warning signs, but I can miss them. In an emergency call your emergency number, do not write to me."
)

PRIVACY = """What is stored: your answers, your minutes, the complaints you wrote to me, when I wrote to you.
Where: in the database of whoever hosts this bot, nowhere else. The chat platform sees what passes through it.
Who sees it: you. A host can read the database, and train the reader with your lines once you say /teach yes. A coach
sees your name, minutes, dose and rhythm, of your health nothing but “pausing”; /share lets more through, kind by
kind. In a group chat nothing of your health is said.
{how_long}
/erase deletes all of it at once, in two steps; /export hands it over first. Backups follow the host's rules.
No advertising, no analytics, no sale."""

EXPORTED = (
    "Everything kept of you: all of it as JSON, and each list as CSV. Nothing is deleted by it; /erase does that."
)
ERASE_ASK = "This deletes everything about you here, at once and for good. Write: erase everything"
ERASED = "Everything about you is deleted here. /start begins anew."
ERASE_KEPT = "Nothing is deleted."


def help_page(commands: Sequence[str]) -> str:
    """What can be written, with a line for each group of commands, and the caution."""
    return "\n".join([HELP_LINES, *commands, HELP_CAUTION])


HELP_WIDTH = 100  # characters of a line of commands


def in_lines(told: Sequence[str]) -> str:
    """Short pieces, several on a line."""
    lines: list[str] = []
    for piece in told:
        if lines and len(lines[-1]) + len(piece) + 3 <= HELP_WIDTH:
            lines[-1] += f" · {piece}"
        else:
            lines.append(piece)
    return "\n".join(lines)


def privacy(months: int) -> str:
    """What is stored, where, who sees it, and how long: so many months."""
    return PRIVACY.format(how_long=say_how_long(months))
