"""How long triage takes: `python -m tests.bench.triage`.

Prints the median and the worst time a line of the corpus, the same for splitting the line into words (the
baseline of the ratio), and the slowest of some adversarial lines of 4,096 characters, each also at half its
length: twice the text should take about twice the time.
"""

import statistics
import time
from collections.abc import Callable

from nudgebot.domain.text.learned import signs, stack
from nudgebot.domain.text.triage import triage
from tests.corpus.lines import TODAY
from tests.corpus.symptoms import PARTS, lines

ADVERSARIAL = {
    "one sign over and over": "chest pain ",
    "negations": "no not never without ",
    "a list without end": "no chest pain, ",
    "joined words": "chestpain",
    "one letter": "a",
    "letters one by one": "c h e s t ",
    "brackets": "(((((",
    "numbers": "6/10 38.5 180/120 ",
    "time upon time": "3 days ago last week ",
    "people": "my dad my wife he she ",
    "conditions": "if i get chest pain ",
    "idioms": "heart attack hill ",
    "unknown words": "qwzxv bnmkl ",
    "new words": "",
    "combining marks": "e\u0301\u0301\u0301",
    "look-alikes": "\u0441h\u0435st ",
    "every concept": "calf leg swollen warm red chest pain breathless dizzy numb weak arm face ",
}


def seconds(work: Callable[[], object], times: int) -> float:
    """The median of `times` runs of `work`, in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def adversarial(name: str, length: int) -> str:
    """One adversarial line of `length` characters."""
    piece = ADVERSARIAL[name]
    if not piece:  # words that differ, so that no cache helps
        return " ".join(f"x{number:x}q" for number in range(length))[:length]
    return (piece * (length // len(piece) + 1))[:length]


def asked(line: str) -> float:
    """The second reader on a line that the reader of replies has not read yet."""
    stack.first.cache_clear()
    return signs.probability(line, TODAY)


def main() -> None:
    """Prints the table."""
    corpus = [line.text for part in PARTS for line in lines(part)]
    triage("warm the caches")
    taken = sorted(seconds(lambda line=line: triage(line), 3) for line in corpus)  # type: ignore[misc]
    base = statistics.median(seconds(lambda line=line: line.split(), 3) for line in corpus)  # type: ignore[misc]
    median = statistics.median(taken)
    print(
        f"{len(corpus)} lines: median {median * 1e3:.3f} ms, 99 % under {taken[int(len(taken) * 0.99)] * 1e3:.3f} ms,"
    )
    print(f"  worst {taken[-1] * 1e3:.3f} ms; {median / base:.0f} times a bare split into words")
    heard = sorted(seconds(lambda line=line: asked(line), 1) for line in corpus)  # type: ignore[misc]
    print(f"second reader: median {statistics.median(heard) * 1e3:.3f} ms, worst {heard[-1] * 1e3:.3f} ms")
    hostile = max(seconds(lambda name=name: asked(adversarial(name, 4096)), 1) for name in ADVERSARIAL)  # type: ignore[misc]
    print(f"  slowest of the adversarial lines below: {hostile * 1e3:.1f} ms")
    for name in ADVERSARIAL:
        whole, half = adversarial(name, 4096), adversarial(name, 2048)
        long = seconds(lambda: triage(whole), 3)
        short = seconds(lambda: triage(half), 3)
        print(f"  {name}: {long * 1e3:.1f} ms, {long / short:.1f} times its half")


if __name__ == "__main__":
    main()
