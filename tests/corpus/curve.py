"""How well lines of unknown writers are read: `python -m tests.corpus.curve [PARTS]`.

Every author is left out of the training of whatever reads the author's lines: they are dealt into PARTS groups
(8 unless told), and each is read by readers trained on the others alone. At the thresholds in use, with intervals.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from threadpoolctl import threadpool_limits

from nudgebot.domain.text.decision import decided_from
from nudgebot.domain.text.learned import stack
from nudgebot.domain.text.learned.stack import Based, Models
from tests.corpus import learning, scoring
from tests.corpus.learning import Corpus, Prepared
from tests.corpus.scoring import Pair

PARTS = 8


def groups_of(data: Sequence[Prepared], parts: int) -> list[list[str]]:
    """The authors in `parts` groups of about as many lines each."""
    sizes = Counter(one.label.author for one in data)
    groups: list[list[str]] = [[] for _ in range(parts)]
    for author, _ in sorted(sizes.items(), key=lambda item: (-item[1], item[0])):
        min(groups, key=lambda group: sum(sizes[name] for name in group)).append(author)
    return [group for group in groups if group]


def left_out(corpus: Corpus, parts: int) -> Iterator[tuple[Prepared, Models, Based]]:
    """Every line with readers that have not seen its author, and what the first of them make of it."""
    for group in groups_of(corpus.people, parts):
        others = [one for one in corpus.people if one.label.author not in group]
        models = learning.trained(replace(corpus, people=others))
        for one in corpus.people:
            if one.label.author in group:
                yield one, models, stack.based(models, one.parse, one.seen)
        sys.stderr.write(f"read {', '.join(group)}\n")


def read_by(one: Prepared, models: Models, based: Based) -> Pair:
    """A line with its reading."""
    return one.label, decided_from(one.parse, stack.weighed(models, one.parse, based))


def main(arguments: list[str]) -> int:
    """Print the figures, of all lines, of ordinary traffic, and author by author."""
    parts = int(arguments[0]) if arguments else PARTS
    with threadpool_limits(1):
        corpus = learning.corpus()
        pairs = [read_by(*found) for found in left_out(corpus, parts)]
    tables = {
        "rules alone": scoring.of_traffic([(one.label, one.parse.reading) for one in corpus.people]),
        "whole, author left out": scoring.of_traffic(pairs),
    }
    for reader, by_traffic in tables.items():
        for traffic, shares in by_traffic.items():
            sys.stdout.write(f"\n{reader}, {traffic}\n")
            for share in shares:
                low, high = share.interval()
                sys.stdout.write(
                    f"  {share.name:32}{share.value:7.1%}  {low:6.1%} to {high:6.1%}  {share.held} of {share.of}\n"
                )
    sys.stdout.write("\nby author\n")
    for author in sorted({label.author for label, _ in pairs}):
        shares = scoring.figures([pair for pair in pairs if pair[0].author == author])
        sys.stdout.write(f"  {author:6}{' '.join(f'{share.value:7.1%}' for share in shares)}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
