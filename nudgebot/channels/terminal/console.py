"""The chat in the terminal: the same conversation, with a clock that moves when told. (docs/talk.md)"""

from __future__ import annotations

import hashlib
import json
import re
import uuid
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final, TextIO
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Engine

from nudgebot.app import handle_message, scheduler
from nudgebot.app.access import Host
from nudgebot.app.attachments import read_attached, read_picture
from nudgebot.app.incoming_files import address_in, read_file
from nudgebot.channels.fetching import read_address
from nudgebot.channels.terminal.state import message_of, state_of
from nudgebot.domain.messages.plan.plan_pages import NOT_DRAWN
from nudgebot.domain.model.actions import Action
from nudgebot.domain.model.runner import Book
from nudgebot.domain.model.speech import REACTION, Button, FileContent, Incoming
from nudgebot.domain.nudging.throttle import Reason
from nudgebot.rendering import pictures
from nudgebot.storage import book_repository, due_queue, inbox, outbox
from nudgebot.storage.letter import Letter

VOICE: Final = "talk"
LEASE: Final = timedelta(minutes=1)
BATCH: Final = 100

SHIFT = re.compile(r"\+(\d{1,4})\s*([mhd])")
MOMENT = re.compile(r"(\d{4}-\d{2}-\d{2})[ T](\d{2}:\d{2})")
SENT = re.compile(r"""@\s*file\s+(?:"([^"]+)"|(\S+))(?:\s+(.*))?""")
PRESS = re.compile(r"#(\d{1,3})(?:\s+of\s+(\d{1,6}))?")


class TalkFault(Exception):  # noqa: N818 - a line that cannot be followed, said back in one line
    """A line of ours that says something impossible."""


@dataclass(slots=True)
class ToldClock:
    """A clock that moves only when told."""

    at: datetime

    def __call__(self) -> datetime:
        return self.at


@dataclass(slots=True)
class Talk:
    """One sitting at the terminal. `clock` gives the time now; `told` moves it, None while it is the real one."""

    engine: Engine
    out: TextIO
    err: TextIO
    now: Callable[[], datetime]
    speaker: str
    zone: ZoneInfo
    as_json: bool = False
    echo: bool = True
    open_door: bool = True  # whether a new name may join
    owner: str = ""  # who hosts the bot
    group: str = ""  # the group chat in which the speaker writes, "" in private
    sent: int = 0  # messages printed so far
    made: int = 0  # codes of invitations
    draw: pictures.Draw = pictures.draw
    folder: Path | None = None  # where pictures are kept, None for nowhere
    buttons: dict[int, tuple[str, tuple[Button, ...]]] = field(default_factory=dict)
    inputs: dict[str, int] = field(default_factory=dict)  # key of a message of ours -> its input line
    last: str = ""  # the newest message, as it was printed

    def play(self, lines: Iterable[str]) -> int:
        """Says or does each line in turn; 0 if all could be followed, else 2."""
        status = 0
        with self.engine.begin() as conn:
            outbox.recover(conn, VOICE, self.now(), all_leases=True)
        self._deliver()
        for number, raw in enumerate(lines, 1):
            line = inbox.storable(raw.rstrip("\r\n"))
            if self.echo:
                self._print(f"> {line}")
            try:
                self._line(line, number)
            except TalkFault as fault:
                self.out.flush()
                self.err.write(f"line {number}: {fault}\n")
                self.err.flush()
                status = 2
        return status

    def show_last(self) -> None:
        """Prints the newest message again, with no buttons: a summary starts from it."""
        self.out.write(self.last + "\n")

    def _line(self, line: str, number: int) -> None:
        if line.startswith("@@"):
            self._say(line[1:], number)
        elif (sent := SENT.fullmatch(line)) is not None:
            self._send(Path(sent[1] or sent[2]), sent[3] or "", number)
        elif line.startswith("@"):
            self._command(line[1:].strip())
        elif (press := PRESS.fullmatch(line.strip())) is not None:
            self._press(int(press[1]), int(press[2]) if press[2] else None, number)
        elif line.strip():
            self._say(line, number)

    def _send(self, path: Path, text: str, number: int) -> None:
        """Sends a file with a line under it; in a group files are nobody's, as on the platform."""
        try:
            with path.open("rb") as stream:
                file = read_file(stream, self.now())
        except OSError as error:
            raise TalkFault(f"cannot read {path}: {error.strerror}") from error
        self._say(text, number, file=None if self.group else file)

    def _say(self, text: str, number: int, action: Action | None = None, file: FileContent | None = None) -> None:
        now = self.now()
        key = f"{VOICE}:{uuid.uuid4().hex}"
        self.inputs[key] = number
        # A group's terminal shows the bot every line, as the platform does to an administrator.
        addressed = not self.group or text.lstrip().startswith("/")
        said = Incoming(key, VOICE, self.speaker, self.speaker, text, now, action, self.group, addressed=addressed)
        address = None if self.group else address_in(text)
        if address is not None:
            text, file = "", read_address(address, now)
        incoming = replace(said, text=text, file=file)
        with self.engine.begin() as conn:
            handle_message.take(conn, incoming, now, Host(self.owner, self.open_door, self._codes))
            due_queue.keep_time(conn, VOICE, now)
        self._deliver()

    def _press(self, label: int, message: int | None, number: int) -> None:
        if message is None:
            mine = [n for n, (to, buttons) in self.buttons.items() if to == self.speaker and buttons]
            if not mine:
                raise TalkFault(f"there are no buttons for {self.speaker} (write the answer as a line)")
            message = max(mine)
        to, buttons = self.buttons.get(message, ("", ()))
        if not buttons or to != self.speaker:
            raise TalkFault(f"message {message} has no buttons for {self.speaker}")
        if not 1 <= label <= len(buttons):
            raise TalkFault(f"message {message} has buttons 1 to {len(buttons)}, not {label}")
        self._say("", number, buttons[label - 1].action)

    def _command(self, command: str) -> None:
        if (shift := SHIFT.fullmatch(command)) is not None:
            self._move(self._after(int(shift[1]), shift[2]))
        elif (moment := MOMENT.fullmatch(command)) is not None:
            try:
                wall = datetime.fromisoformat(f"{moment[1]}T{moment[2]}").replace(tzinfo=self._zone())
            except ValueError as error:
                raise TalkFault(f"{command} is no date and time (like: @ 2027-01-06 07:00)") from error
            self._move(wall.astimezone(UTC))
        elif (name := re.fullmatch(r"as\s+(\S.*)", command)) is not None:
            self.speaker = name[1].strip()
        elif command == "in private":
            self.group = ""
        elif (chat := re.fullmatch(r"in\s+group\s+(\S.*)", command)) is not None:
            self.group = chat[1].strip()
        elif command == "dump":
            self._dump()
        else:
            raise TalkFault(
                "unknown @ line (known: @ +45m, @ +3h, @ +2d, @ 2027-01-06 07:00, @ as NAME, @ in group NAME, "
                "@ in private, @ file PATH, @ dump; @@ says a text that begins with @)"
            )

    def _after(self, amount: int, unit: str) -> datetime:
        now = self.now()
        if unit == "m":
            return now + timedelta(minutes=amount)
        if unit == "h":
            return now + timedelta(hours=amount)
        wall = now.astimezone(self._zone())
        # The same wall time on a later date: a day across a summer-time change has 23 or 25 hours.
        return (wall.replace(fold=0) + timedelta(days=amount)).astimezone(UTC)

    def _move(self, to: datetime) -> None:
        """Time passes; what falls due on the way is delivered at its own time, in order."""
        if to < self.now():
            raise TalkFault(f"time only moves forward, and it is {self.now().astimezone(self._zone()):%Y-%m-%d %H:%M}")
        if not isinstance(self.now, ToldClock):
            self.now = ToldClock(self.now())
        while True:
            coming = [at for at in (scheduler.next_due(self.engine, VOICE), self._next_letter()) if at is not None]
            at = max(min(coming, default=to), self.now.at)
            if not coming or at > to:
                break
            self.now.at = at
            scheduler.tick(self.engine, at, VOICE)
            scheduler.digest(self.engine, at, VOICE)
            self._deliver()
        self.now.at = to
        with self.engine.begin() as conn:
            due_queue.keep_time(conn, VOICE, to)

    def _next_letter(self) -> datetime | None:
        with self.engine.begin() as conn:
            return outbox.next_try(conn, VOICE)

    def _deliver(self) -> None:
        """Prints what waits in the outbox, in order; a nudge that is no longer true is dropped."""
        while True:
            now = self.now()
            with self.engine.begin() as conn:
                letters = outbox.claim(conn, VOICE, now, BATCH, LEASE)
            if not letters:
                return
            for letter in sorted(letters, key=lambda each: each.id):
                if letter.file is not None:
                    self._hand_out(letter, now)
                    continue
                with self.engine.begin() as conn:
                    withdrawn = scheduler.withdrawn(conn, letter, now)
                    found = read_picture(conn, letter, now) if withdrawn is None else None
                    if found is None:
                        outbox.not_sent(conn, letter.id, now, withdrawn or Reason.ERASED)
                        continue
                    zone = self._zone_of(conn, letter)
                picture = None if found.shown is None else self.draw(found.shown)
                text = found.text if found.shown is None or picture else f"{found.text}\n{NOT_DRAWN}"
                self._message(replace(letter, text=text), now.astimezone(zone), picture)
                with self.engine.begin() as conn:
                    outbox.delivered(conn, letter.id, now, str(self.sent))

    def _hand_out(self, letter: Letter, now: datetime) -> None:
        """Prints what a file holds: the terminal has no files."""
        with self.engine.begin() as conn:
            found = read_attached(conn, letter)
            zone = self._zone_of(conn, letter)
        for text in () if found is None else found.texts:
            self._message(replace(letter, text=text), now.astimezone(zone), None)
        with self.engine.begin() as conn:
            outbox.delivered(conn, letter.id, now, str(self.sent))

    def _codes(self, length: int) -> bytes:
        """Codes that come out the same each time a script is played: here they keep nobody out."""
        self.made += 1
        return hashlib.sha256(f"{self.now().isoformat()} {self.made}".encode()).digest()[:length]

    def _message(self, letter: Letter, at: datetime, picture: bytes | None) -> None:
        if letter.kind == REACTION:
            return  # the terminal has no such signs
        self.sent += 1
        self.buttons[self.sent] = (letter.user, letter.buttons)
        size = pictures.size_of(picture) if picture else None
        file = self._kept(picture, letter) if picture else ""
        if self.as_json:
            said = message_of(letter, self.sent, at, self.inputs.get(letter.reply_to or ""))
            if size is not None:
                said["picture"] = {"width": size[0], "height": size[1]} | ({"file": file} if file else {})
            self._print(json.dumps(said, ensure_ascii=False))
            return
        to = f"{letter.chat} (group)" if letter.chat else letter.user
        kept = f": {file}" if file else ""
        text = letter.text if size is None else f"[picture {size[0]} x {size[1]}{kept}]\n{letter.text}"
        self.last = f"< [{at:%Y-%m-%d %H:%M}] {to}: " + text.replace("\n", "\n  ")
        self._print(self.last)
        for place, button in enumerate(letter.buttons, 1):
            self._print(f"#{place} {button.label}")

    def _kept(self, picture: bytes, letter: Letter) -> str:
        """Where a picture was kept, "" if none are."""
        if self.folder is None:
            return ""
        path = self.folder / f"{self.sent}-{letter.picture}.png"
        try:
            path.write_bytes(picture)
        except OSError as error:
            raise TalkFault(f"cannot write {path}: {error.strerror}") from error
        return str(path)

    def _print(self, line: str) -> None:
        self.out.write(line + "\n")
        self.out.flush()

    def _zone(self) -> ZoneInfo:
        with self.engine.begin() as conn:
            return self._zone_of_book(book_repository.find(conn, VOICE, self.speaker))

    def _zone_of(self, conn: Connection, letter: Letter) -> ZoneInfo:
        return self._zone_of_book(book_repository.find(conn, VOICE, letter.user) if letter.runner_id else None)

    def _zone_of_book(self, book: Book | None) -> ZoneInfo:
        return book.profile.tz if book is not None and book.intake.zone else self.zone

    def _dump(self) -> None:
        with self.engine.begin() as conn:
            book = book_repository.find(conn, VOICE, self.speaker)
        shown = state_of(self.speaker, book, self._zone_of_book(book), self.now())
        self._print(json.dumps(shown, ensure_ascii=False))
