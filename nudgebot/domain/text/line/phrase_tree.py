"""Phrases as a tree of words: what the words of log lines and the lay words of complaints are both looked up in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Generic, TypeVar

T = TypeVar("T")


class Node(Generic[T]):
    """A place in the tree: the words that may follow, and what the phrase that ends here says."""

    __slots__ = ("after", "said")

    def __init__(self) -> None:
        self.after: dict[str, Node[T]] = {}
        self.said: T | None = None

    def at(self, phrase: Iterable[str]) -> Node[T]:
        """The place of a phrase, made where it is new."""
        node = self
        for word in phrase:
            following = node.after.get(word)
            if following is None:
                following = node.after[word] = Node()
            node = following
        return node

    def phrases(self, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], T]]:
        """Every phrase of the tree with what it says."""
        if self.said is not None:
            yield path, self.said
        for word, following in self.after.items():
            yield from following.phrases((*path, word))
