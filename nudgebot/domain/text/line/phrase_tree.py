"""Phrases as a tree of words: what the words of log lines and the lay words of complaints are both looked up in.

Where many phrases go on alike ("the saw coughs", "the van coughs") they share what follows: a part that several words
lead to is copied only when one of them has something of its own there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Generic, TypeVar

T = TypeVar("T")
Slot = Sequence[tuple[str, ...]]  # the words that may stand at one place of a phrase; () where nothing may


class Node(Generic[T]):
    """A place in the tree: the words that may follow, and all that the phrases which end here say."""

    __slots__ = ("after", "is_shared", "said")

    def __init__(self) -> None:
        self.after: dict[str, Node[T]] = {}
        self.said: tuple[T, ...] = ()
        self.is_shared = False

    def at(self, phrase: Iterable[str]) -> Node[T]:
        """The place of a phrase, made where it is new, and this phrase's alone."""
        node = self
        for word in phrase:
            node = node._own(word)
        return node

    def _own(self, word: str) -> Node[T]:
        following = self.after.get(word)
        if following is None:
            following = self.after[word] = Node()
        elif following.is_shared:
            following = self.after[word] = following._copy()
        return following

    def _copy(self) -> Node[T]:
        copy: Node[T] = Node()
        copy.after, copy.said = dict(self.after), self.said
        for following in self.after.values():
            following.is_shared = True
        return copy

    def add(self, slots: Sequence[Slot], said: T) -> None:
        """Every phrase that has one way of each slot; one without a word says nothing."""
        if all(len(slot) == 1 for slot in slots):
            node = self.at(word for (words,) in slots for word in words)
            if node is not self and said not in node.said:
                node.said += (said,)
            return
        rest: Node[T] = Node()
        rest.said = (said,)
        for slot in reversed(slots):
            node = Node()
            for words in slot:
                if words:
                    node.at(words[:-1]).lead(words[-1], rest)
                else:
                    node.join(rest)
            rest = node
        rest.said = ()
        self.join(rest)

    def lead(self, word: str, rest: Node[T]) -> None:
        """Lets a word lead to what stands at another place too."""
        mine = self.after.get(word)
        if mine is None:
            self.after[word] = rest
            rest.is_shared = True
        elif mine is not rest:
            self._own(word).join(rest)

    def join(self, other: Node[T]) -> None:
        """Lets phrases that go on here go on as those at another place too."""
        self.said += tuple(each for each in other.said if each not in self.said)
        for word, following in other.after.items():
            self.lead(word, following)
