"""How the two readers of signs do together on lines of an author the second reader was not trained on.

`python -m tests.corpus.signs_curve [PARTS] [--misses]` trains the readers without the author of a line, as
`tests.corpus.curve` does, and prints for each author and for all: complaints answered as nothing, emergencies answered
none or rest and unasked, lines told two levels too little and unasked, and harmless lines asked, each with its Wilson
interval (95 %); then all of it at other thresholds. The table of signs was mended on these lines, so that its share
here flatters.
"""

import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import sqrt

from threadpoolctl import threadpool_limits

from nudgebot.domain.dialogue.health.safety_question import kind_of
from nudgebot.domain.text.learned import signs, stack
from nudgebot.domain.text.learned.features import logistic
from nudgebot.domain.text.reply import Intent, Reading
from nudgebot.domain.text.triage import Level, triage
from tests.corpus import curve, learning
from tests.corpus.signs_training import Example, examples_of

Z = 1.96  # standard deviations of a 95 % interval


@dataclass(frozen=True, slots=True)
class ToldLine:
    """What became of a line: the level told, whether a question was open for it, how sure the second reader was."""

    line: Example
    level: Level
    plain_question: bool
    about_complaint: bool  # the reader of replies took it for a complaint, and no level was found
    kind: signs.LineKind
    sure: float = 0.0

    def asked(self, shift: float = 0.0) -> bool:
        """Whether a question is asked, with the thresholds moved by `shift`."""
        if self.plain_question:
            return True
        if self.level.rank >= Level.CLINICIAN.rank:
            return False
        heard = len(self.line.text.split()) >= signs.LEAST_WORDS[self.kind].value
        return self.about_complaint or (heard and self.sure >= signs.ASK_FROM[self.kind].share + shift)


def told(line: Example, sure: float, reading: Reading) -> ToldLine:
    """One line read by the table of signs beside what the reader of replies makes of it."""
    verdict = triage(line.text)
    symptom = reading.intent is Intent.SYMPTOM and verdict.level is Level.NONE
    return ToldLine(line, verdict.level, bool(verdict.question), symptom, kind_of(verdict, reading), sure)


def interval(hits: int, of: int) -> tuple[float, float]:
    """The Wilson score interval of a share at 95 % (Wilson, J Am Stat Assoc 1927;22:209; from memory)."""
    if not of:
        return 0.0, 1.0
    share, scale = hits / of, 1 + Z * Z / of
    middle = (share + Z * Z / (2 * of)) / scale
    half = Z / scale * sqrt(share * (1 - share) / of + Z * Z / (4 * of * of))
    return max(0.0, middle - half), min(1.0, middle + half)


Test = Callable[[ToldLine, bool], bool]
Kind = Callable[[Example], bool]
# What is counted: of which lines, and which of them (given whether a question was asked).
COUNTS: dict[str, tuple[Kind, Test]] = {
    "complaints left": (lambda x: x.is_complaint, lambda t, asked: t.level is Level.NONE and not asked),
    "emergencies left": (
        lambda x: x.level is Level.EMERGENCY,
        lambda t, asked: t.level.rank <= Level.REST.rank and not asked,
    ),
    "… in other languages": (
        lambda x: x.level is Level.EMERGENCY and x.language != "en",
        lambda t, asked: t.level.rank <= Level.REST.rank and not asked,
    ),
    "two levels too little": (
        lambda x: x.is_complaint,
        lambda t, asked: t.line.level.rank - t.level.rank >= 2 and not asked,
    ),
    "tempting asked": (lambda x: x.level is Level.NONE and x.is_trap, lambda _, asked: asked),
    "tempting urgent": (
        lambda x: x.level is Level.NONE and x.is_trap,
        lambda t, _: t.level.rank >= Level.URGENT.rank,
    ),
    "runs asked": (
        lambda x: x.level is Level.NONE and not x.is_trap and x.intent is Intent.LOG,
        lambda _, asked: asked,
    ),
    "other plain asked": (
        lambda x: x.level is Level.NONE and not x.is_trap and x.intent is not Intent.LOG,
        lambda _, asked: asked,
    ),
    "ordinary complaints asked": (lambda x: x.level is Level.REST, lambda _, asked: asked),
}


def counted(lines: Sequence[ToldLine], shift: float = 0.0) -> dict[str, tuple[int, int]]:
    """How many of how many, by name."""
    out = {}
    for name, (kind, test) in COUNTS.items():
        mine = [line for line in lines if kind(line.line)]
        out[name] = sum(test(line, line.asked(shift)) for line in mine), len(mine)
    return out


def shown(figures: dict[str, tuple[int, int]]) -> str:
    """The figures on one line each, with intervals."""
    rows = []
    for name, (hits, of) in figures.items():
        low, high = interval(hits, of)
        share = f"{hits / of:6.1%} ({low:.1%} to {high:.1%})" if of else "–"
        rows.append(f"  {name:26} {hits:4} of {of:5}  {share}")
    return "\n".join(rows)


def left_out(parts: int) -> list[ToldLine]:
    """Every line by an invented person, as read by readers that saw no line of its author."""
    found: list[ToldLine] = []
    for one, models, based in curve.left_out(learning.corpus(), parts):
        (line,) = examples_of([one.label])
        sure = logistic(models.asked.scores_of(stack.asked_features(one.parse, based))[0])
        _, reading = curve.read_by(one, models, based)
        found.append(told(line, sure, reading))
    return found


def misses(lines: Iterable[ToldLine]) -> list[ToldLine]:
    """Complaints that were neither recognised nor asked about."""
    return [line for line in lines if line.line.is_complaint and line.level is Level.NONE and not line.asked()]


def main(arguments: Sequence[str]) -> None:
    """Prints the figures."""
    parts = next((int(given) for given in arguments if given.isdigit()), curve.PARTS)
    with threadpool_limits(1):
        found = left_out(parts)
    for author in sorted({line.line.author for line in found}):
        mine = [line for line in found if line.line.author == author]
        numbers = ", ".join(f"{name} {hits}/{of}" for name, (hits, of) in counted(mine).items() if of)
        print(f"{author} ({'/'.join(sorted({line.line.language for line in mine}))}): {numbers}")
    print("all, at " + ", ".join(f"{least.share} for {kind} lines" for kind, least in signs.ASK_FROM.items()))
    print(shown(counted(found)))
    unread = [replace(line, level=Level.NONE, plain_question=False) for line in found]
    print("the second reader and the reader of replies alone\n" + shown(counted(unread)))
    for shift in (-0.25, -0.2, -0.15, -0.1, -0.05, 0.05, 0.1, 0.15, 0.2):
        rates = ", ".join(f"{name} {hits / of:.1%}" for name, (hits, of) in counted(found, shift).items() if of)
        print(f"thresholds {shift:+.2f}: {rates}")
    if "--misses" in arguments:
        for line in misses(found):
            print(f"{line.line.level:9} {line.sure:.2f} {line.line.language} {line.line.text}")


if __name__ == "__main__":
    main(sys.argv[1:])
