"""How long to wait before trying again."""

from __future__ import annotations

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
