"""When the next message may leave, so that the platform need not refuse it, and how long to wait after a failure.

The limits are those of Telegram's bot FAQ, "My bot is hitting limits, how do I avoid this?": about 30 messages a
second overall, one a second to one chat, 20 a minute to one group. Time is any clock that only goes forward, in
seconds, and always an argument.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from telegram.constants import FloodLimit

A_MINUTE = 60.0


@dataclass(frozen=True, slots=True)
class Limits:
    """Messages a second overall and to one chat, and messages a minute to one group."""

    overall: float = float(FloodLimit.MESSAGES_PER_SECOND)
    per_chat: float = float(FloodLimit.MESSAGES_PER_SECOND_PER_CHAT)
    per_group: int = int(FloodLimit.MESSAGES_PER_MINUTE_PER_GROUP)


class Pacer:
    """Keeps the limits; a refusal for a time (429) holds the chat, and two refused chats hold everyone."""

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._workers = 1
        self._free_at = 0.0
        self._chat_free_at: dict[str, float] = {}
        self._group_sent: dict[str, deque[float]] = {}
        self._held_until: dict[str, float] = {}

    def share(self, workers: int) -> None:
        """So many workers speak with the bot's one voice: each keeps to its part of what may leave overall."""
        self._workers = workers

    def chat_at(self, chat: str, now: float) -> float:
        """When `chat` may get its next message, others aside; `now` if it may at once."""
        at = max(now, self._chat_free_at.get(chat, 0.0), self._held_until.get(chat, 0.0))
        sent = self._group_sent.get(chat)
        if sent and len(sent) >= self._limits.per_group:
            at = max(at, sent[0] + A_MINUTE)
        return at

    def anyone_at(self, now: float) -> float:
        """When the next message to anybody may leave; `now` if it may at once."""
        return max(now, self._free_at)

    def took(self, chat: str, now: float) -> None:
        """A message to `chat` leaves at `now`."""
        self._free_at = max(now, self._free_at) + self._workers / self._limits.overall
        self._chat_free_at[chat] = now + 1 / self._limits.per_chat
        if chat.startswith("-"):  # the ids of groups are negative
            sent = self._group_sent.setdefault(chat, deque(maxlen=self._limits.per_group))
            sent.append(now)
        if len(self._chat_free_at) > 10_000:
            self._forget(now)

    def held(self, chat: str, now: float, seconds: float) -> None:
        """The platform asked to leave `chat` alone for `seconds`."""
        others = [until for other, until in self._held_until.items() if other != chat and until > now]
        self._held_until[chat] = now + seconds
        if others:  # no longer one chat's affair
            self._free_at = max(self._free_at, now + seconds)

    def _forget(self, now: float) -> None:
        """Drop what no longer holds anyone back."""
        self._chat_free_at = {chat: at for chat, at in self._chat_free_at.items() if at > now}
        self._held_until = {chat: at for chat, at in self._held_until.items() if at > now}
        self._group_sent = {chat: s for chat, s in self._group_sent.items() if s and s[-1] + A_MINUTE > now}


FIRST_SECONDS = 0.5
LONGEST_SECONDS = 10.0


class Backoff:
    """Each pause is twice the one before, up to the longest; a success starts again."""

    def __init__(self) -> None:
        self._next = FIRST_SECONDS

    def next(self) -> float:
        """Seconds to wait now."""
        now, self._next = self._next, min(self._next * 2, LONGEST_SECONDS)
        return now

    def reset(self) -> None:
        """Things work again."""
        self._next = FIRST_SECONDS
