"""Phrases as a tree of words: what the words of log lines and the lay words of complaints are both looked up in.

A phrase has slots, each with several ways to fill it, so that a few thousand lines spell out to millions of phrases.
They are not spelled out: a place of the tree knows which phrases have come how far, and what follows there is worked
out when a line first comes by. Places that the same phrases have reached alike are one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Generic, NamedTuple, TypeVar

T = TypeVar("T")
Slot = Sequence[tuple[str, ...]]  # the words that may stand at one place of a phrase; () where nothing may


class _Reached(NamedTuple):
    """How far a phrase has come: the next of its words is word `word` of way `way` of slot `slot`."""

    phrase: int
    slot: int  # as many as it has: the phrase ends here
    way: int
    word: int


class Node(Generic[T]):
    """A place in the tree: the words that may follow, and all that the phrases which end here say."""

    __slots__ = ("_reached", "_tree", "after", "said")
    after: dict[str, Node[T]]

    def __init__(self, tree: PhraseTree[T], reached: Iterable[_Reached]) -> None:
        self._tree = tree
        self._reached = tuple(reached)
        self.said: tuple[T, ...] = tree.said_at(self._reached)

    def __getattr__(self, name: str) -> dict[str, Node[T]]:
        """What follows, at the first look alone: from then on it is an attribute like another."""
        if name != "after":
            raise AttributeError(name)
        self.after = self._tree.following(self._reached)
        return self.after


class PhraseTree(Generic[T]):
    """All phrases, and the places that lines have come by so far."""

    def __init__(self) -> None:
        self._phrases: list[tuple[Sequence[Slot], T]] = []
        self._nodes: dict[tuple[_Reached, ...], Node[T]] = {}
        self._root: Node[T] | None = None

    def add(self, slots: Sequence[Slot], said: T) -> None:
        """Every phrase that has one way of each slot; one without a word says nothing."""
        self._phrases.append((slots, said))
        self._root = None

    @property
    def root(self) -> Node[T]:
        """Where every phrase begins."""
        if self._root is None:
            begun = (each for phrase in range(len(self._phrases)) for each in self._openings(phrase, 0))
            self._root = Node(self, (each for each in begun if not self._is_end(each)))
        return self._root

    def said_at(self, reached: Iterable[_Reached]) -> tuple[T, ...]:
        """What the phrases say that end where these have come to."""
        return tuple(dict.fromkeys(self._phrases[each.phrase][1] for each in reached if self._is_end(each)))

    def following(self, reached: Iterable[_Reached]) -> dict[str, Node[T]]:
        """The words that lead on from where these phrases have come to, each with its place."""
        by_word: dict[str, dict[_Reached, None]] = {}  # in the order of the phrases
        for each in reached:
            if not self._is_end(each):
                words = self._phrases[each.phrase][0][each.slot][each.way]
                by_word.setdefault(words[each.word], {}).update(dict.fromkeys(self._after(each, words)))
        return {word: self._node(tuple(places)) for word, places in by_word.items()}

    def _node(self, reached: tuple[_Reached, ...]) -> Node[T]:
        node = self._nodes.get(reached)
        if node is None:
            node = self._nodes[reached] = Node(self, reached)
        return node

    def _after(self, here: _Reached, words: tuple[str, ...]) -> Iterable[_Reached]:
        if here.word + 1 < len(words):
            return (here._replace(word=here.word + 1),)
        return self._openings(here.phrase, here.slot + 1)

    def _openings(self, phrase: int, first: int) -> Iterator[_Reached]:
        """Where a phrase goes on from slot `first`, which may be left out with those after it."""
        slots = self._phrases[phrase][0]
        for slot in range(first, len(slots)):
            yield from (_Reached(phrase, slot, way, 0) for way, words in enumerate(slots[slot]) if words)
            if () not in slots[slot]:
                return
        yield _Reached(phrase, len(slots), 0, 0)

    def _is_end(self, each: _Reached) -> bool:
        return each.slot == len(self._phrases[each.phrase][0])
