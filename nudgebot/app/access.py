"""Who may come in: invitations by code, strangers turned away, guesses counted."""

from __future__ import annotations

import base64
import re
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, TypeAlias

from sqlalchemy import Connection

from nudgebot.domain.messages import small_talk
from nudgebot.domain.messages.health import safety
from nudgebot.domain.model.runner import Book, Runner
from nudgebot.domain.model.speech import SAFETY, Incoming, Say
from nudgebot.domain.text.triage import Level, triage
from nudgebot.storage import invitation_repository, outbox, owners
from nudgebot.storage.invitation_repository import Invitation, Knock

Codes: TypeAlias = Callable[[int], bytes]  # that many bytes nobody can guess

CODE_BYTES: Final = 16  # 128 bits; 22 characters of A-Z a-z 0-9 _ -, where a deep link may carry 64
CODE: Final = re.compile(r"\s*/(?:start|claim)(?:@\w+)?\s+([A-Za-z0-9_-]{22})\s*")
GUESSES: Final = 5  # codes that open nothing, from one person in a day; then no code of theirs is looked at
A_DAY: Final = timedelta(days=1)
LASTS: Final = timedelta(days=14)  # an invitation
USES: Final = 20
NOBODY: Final = 0  # the runner number of somebody of whom nothing is kept


@dataclass(frozen=True, slots=True)
class Host:
    """Who hosts the bot by its settings ("" for whoever claimed it with a code), and what makes codes.

    Where the door is not open, a stranger without an invitation gets one polite line; None is open until somebody
    hosts the bot. `feeds` is where calendars reach the web listener, "" if there is none.
    """

    named: str = ""
    open_door: bool | None = True
    codes: Codes = secrets.token_bytes
    feeds: str = ""


@dataclass(frozen=True, slots=True)
class Tried:
    """A code that was tried: what it opens, or why nothing. `hosts` is a code that makes somebody the host."""

    invitation: Invitation | None
    too_often: bool = False
    hosts: bool = False

    @property
    def opens(self) -> bool:
        """Whether the code opens anything."""
        return self.hosts or self.invitation is not None


def try_code(conn: Connection, incoming: Incoming, now: datetime) -> Tried | None:
    """What the code in a line opens; None if the line holds none. One that opens nothing is counted.

    A code said in a group chat opens nothing there; one that makes a host no longer works.
    """
    found = CODE.fullmatch(incoming.text)
    if found is None:
        return None
    if incoming.chat:
        owners.spoil(conn, found[1])
        return None
    who = (conn, incoming.voice, incoming.user, Knock.CODE)
    if invitation_repository.knocks(*who, now - A_DAY) >= GUESSES:
        return Tried(None, too_often=True)
    came = Tried(invitation_repository.invited(conn, found[1], now), hosts=owners.opens(conn, found[1], now))
    if not came.opens:
        invitation_repository.knock(*who, now)
    return came


def new_code(codes: Codes) -> str:
    """A code for an invitation, in the letters that a deep link may carry."""
    return base64.urlsafe_b64encode(codes(CODE_BYTES)).rstrip(b"=").decode()


def stranger(incoming: Incoming) -> Runner:
    """A stranger, as far as an answer needs one."""
    return Runner(NOBODY, incoming.voice, incoming.user, incoming.name, incoming.at, incoming.at)


def turn_away(conn: Connection, incoming: Incoming, now: datetime) -> None:
    """One polite line a day to a stranger, and always the answer to a warning sign; nothing is kept of them."""
    verdict = triage(incoming.text)
    if verdict.level.rank >= Level.CLINICIAN.rank:
        say = Say(safety.answer(verdict, ""), SAFETY)
    elif first_today(conn, incoming, now):
        say = Say(small_talk.BY_INVITATION)
    else:
        return
    outbox.put(conn, stranger(incoming), say, key=f"{incoming.key}/0", now=now, reply_to=incoming.key)


def first_today(conn: Connection, incoming: Incoming, now: datetime) -> bool:
    """Whether this stranger has not been turned away in the last day; from now on they have."""
    who = (conn, incoming.voice, incoming.user, Knock.LINE)
    if invitation_repository.knocks(*who, now - A_DAY):
        return False
    invitation_repository.knock(*who, now)
    return True


def owner(conn: Connection, voice: str, named: str) -> str:
    """The user who hosts the bot, "" for nobody: the one the settings name, else whoever claimed it."""
    found = None if named else owners.host(conn, voice)
    return named or (found[1] if found else "")


def is_owner(book: Book | None, incoming: Incoming, hosts: str) -> bool:
    """Whether a line is the owner's: by the platform's number of the person, never by a name that can be changed."""
    user = book.runner.user if book is not None else incoming.user
    return bool(hosts) and user == hosts
