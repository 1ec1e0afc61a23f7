"""The words and numbers of a message as triage reads them, each at its place in the text as sent."""

import re
from dataclasses import dataclass

from nudgebot.domain.text.folding import fold

MOST = 4096  # characters read; a longer message is read in its first and last half of this
_LAUGHTER = "😂🤣😹😆😅😜😝🤪"


@dataclass(frozen=True, slots=True)
class Token:
    """One word or number of a message."""

    word: str  # folded, without apostrophes
    start: int  # place in the message as sent
    end: int
    gap: int  # what parts it from the one before: 0 a space, 1 a comma or dash, 2 the end of a sentence
    asked: bool = False  # its sentence ends in a question mark


_PIECE = re.compile(
    r"\d+(?:[.,:/]\d+)*(?![a-z0-9@$])|[a-z0-9@$]+(?:[!|*][a-z0-9@$]+)*(?:'[a-z0-9]+)*|[.!?;\n]+|\u2026"
    rf"|[,:()\[\]{{}}/&+=~\"<>-]+|[{_LAUGHTER}]"
)
_ELISION = re.compile(r"(?:[cdjlmnst]|qu|jusqu|lorsqu|puisqu)'[aeiouhy]")
_CONTRACTED = frozenset(f"{word}'s" for word in ("he", "she", "it", "that", "what", "there", "let", "who", "here"))


def tokens(text: str) -> list[Token]:
    """The words of `text` in order; what laughs is a word."""
    if len(text) > MOST:
        half = MOST // 2
        head, tail = text[:half], text[-half:]
        text = head + "\n" + tail
    plain, places = fold(text)
    out: list[Token] = []
    gap = 2
    singles = 0
    for match in _PIECE.finditer(plain):
        piece = match.group()
        first = piece[0]
        start, end = match.span()
        if first in ".!?;\n\u2026":
            lone_dot = piece == "." and end < len(plain) and plain[end].isalnum()
            gap = max(gap, 1 if lone_dot or (piece.startswith(("..", "\u2026")) and "\n" not in piece) else 2)
            if "?" in piece and out and gap == 2:
                _mark_asked(out)
            continue
        if first in ',:()[]{}/&+=~"<>-':
            tight = start > 0 and plain[start - 1].isalnum() and end < len(plain) and plain[end].isalnum()
            gap = max(gap, 0 if tight and piece in {"-", "/", "+", "&"} else 1)
            continue
        at, last = places[start], places[end - 1] + 1
        if first in _LAUGHTER:
            words = ["lol"]
        elif "'" in piece:
            if piece == "i'll":
                words = ["i", "will"]
            elif _ELISION.match(piece):
                words = piece.split("'")
            elif piece.endswith("'s") and piece not in _CONTRACTED:
                words = [piece[:-2].replace("'", "")]
            else:
                words = [piece.replace("'", "")]
        else:
            words = [piece]
        for word in words:
            out.append(Token(word, at, last, gap))
            gap = 0
        singles += len(piece) == 1
    if singles >= 4:
        out = _join_spelled_out(out)
    return out


def _mark_asked(out: list[Token]) -> None:
    for i in range(len(out) - 1, -1, -1):
        old = out[i]
        out[i] = Token(old.word, old.start, old.end, old.gap, asked=True)
        if old.gap == 2:
            return


def _join_spelled_out(out: list[Token]) -> list[Token]:
    """Letters sent one by one ("c h e s t") made into words again."""
    joined: list[Token] = []
    run: list[Token] = []
    for token in [*out, Token("", 0, 0, 2)]:
        if len(token.word) == 1 and token.word.isalpha() and not (run and token.gap):
            run.append(token)
            continue
        if len(run) >= 4:
            joined.append(Token("".join(t.word for t in run), run[0].start, run[-1].end, run[0].gap, run[0].asked))
        else:
            joined.extend(run)
        run = []
        if len(token.word) == 1 and token.word.isalpha():
            run.append(token)
        elif token.word:
            joined.append(token)
    return joined


def turns(phrases: str) -> dict[str, list[tuple[str, ...]]]:
    """Turns of phrase, parted by commas, by their first word: for `turn_ends`."""
    by_first: dict[str, list[tuple[str, ...]]] = {}
    for phrase in phrases.split(","):
        words = tuple(phrase.split())
        by_first.setdefault(words[0], []).append(words)
    return by_first


def turn_ends(found: list[Token], known: dict[str, list[tuple[str, ...]]]) -> list[tuple[int, int]]:
    """Where each of the `known` turns of phrase begins and ends in a message."""
    return [
        (k, k + len(turn))
        for k, token in enumerate(found)
        for turn in known.get(token.word, ())
        if tuple(each.word for each in found[k : k + len(turn)]) == turn
    ]
