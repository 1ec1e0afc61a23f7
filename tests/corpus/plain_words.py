"""Writes the everyday words that triage must leave as they stand: `python -m tests.corpus.plain_words LIST ...`.

`LIST` are word lists of SCOWL, one word a line (Debian's wbritish and wamerican hold them, with their licence); without
any the words in the file are kept. Kept are the words that the mender would take for a slip of one of ours, those of
the reader's own word files, of `common_words.txt` and of harmless lines by invented people likewise; so it is run again
when the lexicons of signs or the lines grow. It keeps the header of the file.
"""

import sys
import tomllib
from importlib import resources
from pathlib import Path

from nudgebot.domain.text.folding import fold
from nudgebot.domain.text.learned.intents import skeleton
from nudgebot.domain.text.line.tokens import Kind, tokens
from nudgebot.domain.text.symptoms import heard_words
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES
from tests.corpus.lines import all_lines

LONGEST = 14  # letters
DENIALS = frozenset(("cant", "cannot", "couldnt", "dont", "wont", "kann", "nicht", "puedo", "peux", "consigo"))
READ = resources.files("nudgebot.domain.text.line") / "words"
COMMON = Path(__file__).with_name("common_words.txt")
HOME = Path(heard_words.__file__).parent / "plain_words.txt"


def of_reader() -> set[str]:
    """Every single word of the reader's word files, in all languages."""
    found: set[str] = set()
    for name in ("any", *LANGUAGES):
        content = tomllib.loads((READ / f"{name}.toml").read_text("utf-8"))
        for phrases in content["cues"].values():
            found.update(word for phrase in phrases for word in phrase.split())
    return found


def of_lines() -> set[str]:
    """The words of people's harmless lines that stand in no complaint and are no spelling by ear of one of ours."""
    harmless: set[str] = set()
    complaints: set[str] = set()
    for line in all_lines():
        said = {token.text for token in tokens(line.text) if token.kind is Kind.WORD}
        (harmless if line.triage == "none" else complaints).update(said)
    return {word for word in harmless - complaints if not _is_by_ear(word)}


def _is_by_ear(word: str) -> bool:
    """Whether a word is mended into one of the same consonants, in the same order: "wheezin", "infartou"."""
    mended = "".join(heard_words.mended_blindly(word))
    short, whole = sorted((skeleton(word), skeleton(mended)), key=len)
    return mended in DENIALS or (whole.startswith(short) and len(whole) - len(short) <= 1)


def needed(candidates: set[str]) -> list[str]:
    """Those of the candidates that would be mended if the list were empty."""
    plain = {fold(word)[0] for word in candidates if word == word.lower() and "'" not in word}
    plain = {word for word in plain if word.isascii() and word.isalpha() and 3 <= len(word) <= LONGEST}
    return sorted(word for word in plain if heard_words.mended_blindly(word) != (word,))


def main(lists: list[str]) -> None:
    """Writes the file anew."""
    candidates = of_reader()
    own = (line for line in COMMON.read_text("utf-8").splitlines() if not line.startswith("#"))
    candidates.update(word for line in own for word in line.split())
    candidates |= of_lines() | heard_words.plain_words()
    for name in lists:
        candidates.update(Path(name).read_text("utf-8").split())
    header = [line for line in HOME.read_text("utf-8").splitlines() if line.startswith("#")]
    HOME.write_text("\n".join([*header, *needed(candidates)]) + "\n", "utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
