"""What is heard and what is said, as values that every voice understands."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from nudgebot.domain.model.actions import Action
from nudgebot.domain.model.logbook import BusyTimes, FileFault, Track

ANSWER = "answer"
QUESTION = "question"
SAFETY = "safety"
NUDGE = "nudge:"  # followed by the kind of nudge
REACTION = "reaction"  # no message: a sign under the one it answers, where the platform has such signs


class Picture(StrEnum):
    """Which picture goes with a message. What it shows is read, and drawn, right before the message leaves."""

    PROGRESS = "progress"  # the last twelve weeks of whom the message is to
    GROUP = "group"  # those of the group that they coach, on one sheet
    RUN = "run"  # the heart rate of the run whose file the message answers


class File(StrEnum):
    """Which file goes with a message. It is written right before the message leaves."""

    EXPORT = "export"  # everything kept of the person
    CALENDAR = "calendar"  # their sessions of the next weeks


@dataclass(frozen=True, slots=True)
class Button:
    """One guess at the answer: a label, and what pressing it does; a line that says so does the same."""

    label: str
    action: Action


@dataclass(frozen=True, slots=True)
class Say:
    """One message to one person: plain text, what kind of message it is, buttons in reading order.

    `kind` is "answer", "question", "safety" or "nudge:KIND"; `asks` is the intake question's id, else None.
    `text` is the caption of the `picture`, where there is one, and says the same; of a `file` it says what it is.
    `page` is which of a picture's pages, from 1. `about` are the numbers of those whom it names beside its reader: who
    is erased is named in no letter that waits.
    """

    text: str
    kind: str = ANSWER
    buttons: tuple[Button, ...] = ()
    asks: str | None = None
    picture: Picture | None = None
    file: File | None = None
    page: int = 1
    about: tuple[int, ...] = ()


FileContent = Track | BusyTimes | FileFault


@dataclass(frozen=True, slots=True)
class Incoming:
    """One line from one person, typed or pressed.

    `key` names the message once and for all: the same key again is the same message. `at` is when it was said
    by the platform's clock (UTC). `file` is what was in a file that came with it, and then `text` is what was written
    under it; None if none came. `action` is what a pressed button does, and then `text` is ""; None for a line.
    `chat` is "" in private, else the group chat, where `addressed` says whether the line was for the bot. `edits`
    is the key of the message that this one corrects. `door` is what an invitation's code is appended to to make a
    link, "" if the voice has no links.
    """

    key: str
    voice: str
    user: str
    name: str
    text: str
    at: datetime
    action: Action | None = None
    chat: str = ""
    edits: str = ""
    addressed: bool = True
    door: str = ""
    file: FileContent | None = None
