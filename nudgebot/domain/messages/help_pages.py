"""Longer pages about the bot itself: help, privacy, and what is said before everything is deleted."""

from __future__ import annotations

from collections.abc import Sequence

from nudgebot.domain.messages.group.host import say_how_long

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
