"""Throws text at both readers of signs that nobody would write: `python -m tests.fuzz.triage [--minutes N] [--seed N]`.

Mutates lines of the corpus (cut, doubled, joined, slipped, hidden behind look-alikes and invisible characters)
and random Unicode. Fails on an exception, on a sign that lies outside the text, on a level that is not the
highest of its signs, and on a grave line that invisible characters or a harmless line beside it silence.
"""

import argparse
import random
import sys
import time

from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.triage import Level, triage
from tests.corpus.lines import TODAY
from tests.corpus.symptoms import PARTS, lines

INVISIBLE = "\u200b\u200c\u200d\u2060\ufeff\u00ad\u202e\u202a\u2066\u034f"
LOOK_ALIKE = {"a": "\u0430", "c": "\u0441", "e": "\u0435", "o": "\u043e", "p": "\u0440", "i": "\u0456"}


def mutated(line: str, others: list[str], dice: random.Random) -> str:
    """`line` after a few cruel changes."""
    for _ in range(dice.randint(1, 6)):
        at = dice.randint(0, len(line))
        match dice.randint(0, 8):
            case 0:
                line = line[:at] + line[at + 1 :]
            case 1:
                line = line[:at] + chr(dice.choice((dice.randint(0, 0x2FFF), dice.randint(0, 0x10FFFF)))) + line[at:]
            case 2:
                line = line + dice.choice((" ", ", ", ". ", "\n", " but ", " no ")) + dice.choice(others)
            case 3:
                line = line[at:] + line[:at]
            case 4:
                line = (line + " ") * dice.randint(1, 12)
            case 5:
                line = line[:at] + dice.choice(INVISIBLE) * dice.randint(1, 5) + line[at:]
            case 6:
                line = "".join(LOOK_ALIKE.get(c, c) if dice.random() < 0.5 else c for c in line)
            case 7:
                line = line[:at] + str(dice.randint(-(10**6), 10**9)) + dice.choice("/.,:%° ") + line[at:]
            case _:
                line = line.replace(" ", "") if dice.random() < 0.3 else line.upper()
    return line[: dice.choice((60, 400, 5000))]


def broken(line: str) -> str:
    """What is wrong with the verdict on `line`, or nothing."""
    try:
        verdict, sure, heard = triage(line), signs.probability(line, TODAY), signs.language_of(line, "en")
    except Exception as error:
        return f"{type(error).__name__}: {error}"
    if not 0 <= sure <= 1 or heard not in signs.LANGUAGES:
        return "no probability or language"
    if any(not 0 <= sign.start < sign.end <= len(line) for sign in verdict.signs):
        return "a sign outside the text"
    highest = max((sign.level for sign in verdict.signs), key=lambda level: level.rank, default=Level.NONE)
    return "" if verdict.level is highest else f"level {verdict.level}, highest sign {highest}"


def silenced(grave: str, harmless: str, dice: random.Random) -> str:
    """A grave line that something harmless silences, or nothing."""
    hidden = "".join(c + (dice.choice(INVISIBLE) if dice.random() < 0.2 else "") for c in grave)
    for written in (hidden, f"{harmless}. {grave}", f"{grave}. {harmless}"):
        if triage(written).level is not Level.EMERGENCY:
            return repr(written)
    return ""


def main() -> int:
    """0 if nothing broke in the time given."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("--minutes", type=float, default=1.0)
    wanted.add_argument("--seed", type=int, default=1)
    given = wanted.parse_args()
    dice = random.Random(given.seed)
    corpus = [line for part in PARTS for line in lines(part)]
    every = [line.text for line in corpus]
    # A line of several scraps ("Chest not. Feels tight.") leans on what follows, so only whole ones are joined.
    grave = [line.text for line in lines("look") if line.level is Level.EMERGENCY and ". " not in line.text]
    harmless = [line.text for line in lines("look") if line.level is Level.NONE]
    until = time.monotonic() + 60 * given.minutes
    done = 0
    faults: list[str] = []
    while time.monotonic() < until and len(faults) < 20:
        done += 1
        line = mutated(dice.choice(every), every, dice)
        if fault := broken(line):
            faults.append(f"{fault}: {line!r}")
        if quiet := silenced(dice.choice(grave), dice.choice(harmless), dice):
            faults.append(f"silenced: {quiet}")
    for fault in faults:
        print(fault)
    print(f"{done} lines mutated and {done} grave lines disguised, {len(faults)} faults, seed {given.seed}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
