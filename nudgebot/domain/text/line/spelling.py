"""Words that are one slip of the thumb away from words we know: for every vocabulary the same."""

from __future__ import annotations

from collections.abc import Iterable

LONG = 8  # letters from which two slips in a word still point at one word


def shortened(word: str) -> list[str]:
    """The word less each of its letters."""
    return [word[:place] + word[place + 1 :] for place in range(len(word))]


def is_one_slip(a: str, b: str) -> bool:
    """Whether one letter added, dropped, changed or swapped with its neighbour turns `a` into `b`."""
    if len(a) > len(b):
        a, b = b, a
    at = next((n for n, (x, y) in enumerate(zip(a, b, strict=False)) if x != y), len(a))
    if len(a) < len(b):
        return len(b) - len(a) == 1 and a[at:] == b[at + 1 :]
    return a[at + 1 :] == b[at + 1 :] or (a[at : at + 2] == b[at : at + 2][::-1] and a[at + 2 :] == b[at + 2 :])


class Slips:
    """Words by themselves less one letter: whatever is one slip away shares such a key."""

    def __init__(self, words: Iterable[str]) -> None:
        self._by_key: dict[str, str] = {}  # words parted by blanks: a list for each key would take most of the time
        for word in sorted(words):
            for key in {word, *shortened(word)}:
                held = self._by_key.get(key)
                self._by_key[key] = word if held is None else f"{held} {word}"

    def near(self, word: str) -> set[str]:
        """Every word one slip away; of a long word also those two slips away."""
        keys = {word, *shortened(word)}
        found = {near for key in keys & self._by_key.keys() for near in self._by_key[key].split()}
        return {
            near
            for near in found
            if is_one_slip(word, near) or (len(word) >= LONG and len(near) >= LONG and abs(len(near) - len(word)) <= 1)
        }
