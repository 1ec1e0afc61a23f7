"""People's names on somebody else's screen: shown safely, told apart, and found again by what is typed.

A name is the platform's and can be anything: a number, a word of ours, letters that look like another's, or nothing
that can be seen. So whoever could be taken for somebody else is shown with a number behind "#", which no name holds.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final

from nudgebot.domain.model.runner import Runner
from nudgebot.domain.text.folding import squeezed

NAME_SHOWN: Final = 16  # characters of a name on the roster: thirty names fit one phone screen
MARKS_SHOWN: Final = 2  # accents on one letter; more of them run into the lines above
# Letters and symbols that show nothing (Unicode 15.1, Default_Ignorable_Code_Point, and the empty Braille pattern).
UNSEEN: Final = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u180b\u180c\u180d\u180f\u2800\u3164\uffa0")
PUNCTUATION: Final = frozenset(',:;()[]{}<>#"“”')  # what our lines set names apart with
WORDS: Final = frozenset({"all", "and", "everybody", "send", "yes", "no", "picture", "me"})  # what our commands take
_NUMBER: Final = re.compile(r"(?:.*\s)?#\s*([0-9]{1,9})")
_ALIKE: Final = str.maketrans({"i": "l", "1": "l", "|": "l", "0": "o"})  # UTS 39 has I, 1 and l, 0 and O for one


def shown_name(runner: Runner) -> str:
    """A person's name: no sign that shows nothing, turns the line round or parts our words; cut to what fits."""
    kept: list[str] = []
    marks = 0
    for c in unicodedata.normalize("NFC", runner.name):
        kind = unicodedata.category(c)
        marks = marks + 1 if kind[0] == "M" else 0
        if marks > MARKS_SHOWN or c in UNSEEN or kind in {"Cf", "Cn", "Co", "Cs"}:
            continue
        kept.append(" " if kind == "Cc" or kind[0] == "Z" or c in PUNCTUATION else c)
    words = " ".join("".join(kept).split())[:NAME_SHOWN].rstrip()
    seen = any(unicodedata.category(c)[0] in "LNSP" for c in words)
    return words if seen else f"runner {runner.id}"


def labels(people: Sequence[Runner], taken: frozenset[str] = WORDS) -> Mapping[int, str]:
    """How each of `people` is written among the others, by number: with it where a name alone could mean another."""
    names = {each.id: shown_name(each) for each in people}
    alike = Counter(_looks(name) for name in names.values())
    return {
        number: f"{name} #{number}"
        if alike[_looks(name)] > 1 or plain(name) in taken or plain(name).isdecimal()
        else name
        for number, name in names.items()
    }


def find_meant(people: Sequence[Runner], written: str) -> tuple[Runner, ...]:
    """Whom `written` can mean: the one of that number behind "#", else by the whole name, else by its beginning.

    A bare number means the person of that number as well as one who is called so.
    """
    numbered = _NUMBER.fullmatch(written.strip())
    if numbered is not None:
        return tuple(each for each in people if each.id == int(numbered[1]))
    wanted = plain(written)
    names = [(each, {plain(shown_name(each)), plain(each.name)}) for each in people]
    bare = wanted if wanted.isascii() and wanted.isdecimal() else ""
    whole = tuple(each for each, both in names if wanted in both or (bare and str(each.id) == bare))
    return whole or tuple(each for each, both in names if wanted and any(n.startswith(wanted) for n in both))


def plain(name: str) -> str:
    """A name as it is compared: look-alike letters folded by Unicode Technical Standard 39, small, single spaces."""
    return squeezed("".join(c for c in name if c not in UNSEEN)).casefold()


def _looks(name: str) -> str:
    return plain(name).translate(_ALIKE).replace("rn", "m").replace(" ", "")
