"""Text as Telegram takes it: plain, at most 4096 UTF-16 units a message."""

from __future__ import annotations

from telegram.constants import MessageLimit

MAX_UNITS = int(MessageLimit.MAX_TEXT_LENGTH)
MAX_CAPTION = int(MessageLimit.CAPTION_LENGTH)


def units(text: str) -> int:
    """Length in UTF-16 code units, the platform's measure: an emoji counts as two."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def split(text: str, limit: int = MAX_UNITS, *, first: int | None = None) -> tuple[str, ...]:
    """`text` in pieces of at most `limit` units, none blank: cut after a line, else at a space, else anywhere.

    `first` is the limit of the first piece where that is another one.
    """
    pieces: list[str] = []
    rest = text.strip()
    while units(rest) > (room := limit if pieces or first is None else first):
        end = _reach(rest, room)
        cut = rest.rfind("\n", 0, end + 1)
        if cut <= 0:
            cut = rest.rfind(" ", 0, end + 1)
        if cut <= 0:
            cut = end
        pieces.append(rest[:cut].rstrip())
        rest = rest[cut:].lstrip()
    if rest:
        pieces.append(rest)
    return tuple(pieces)


def _reach(text: str, limit: int) -> int:
    """How many characters of `text` fit into `limit` units."""
    used = 0
    for count, character in enumerate(text):
        used += 2 if ord(character) > 0xFFFF else 1
        if used > limit:
            return count
    return len(text)
