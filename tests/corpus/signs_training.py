"""How the second reader of signs is trained: from the lines of invented people and the project's own corpora.

A complaint for a clinician or graver is the target. Ordinary complaints (level rest) are left out: they are neither
what the reader is to find nor what it must not ask about. Seeded, one thread, whole numbers: the same bytes each time.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import repeat

from scipy.sparse import csr_matrix
from sklearn.linear_model import LogisticRegression

from nudgebot.domain.text.learned import intents, signs
from nudgebot.domain.text.learned.features import Table
from nudgebot.domain.text.line.parsed_line import line_of
from nudgebot.domain.text.reply import Intent
from nudgebot.domain.text.triage import Level
from nudgebot.domain.text.weather import weather_in
from tests.corpus import lines as people
from tests.corpus import replies, symptoms
from tests.corpus.weights_file import quantised

OWN = "own"  # the author of the project's own corpora
STRENGTH = 8.0  # inverse of the regularisation; 3, 8 and 30 were tried, each author left out


@dataclass(frozen=True, slots=True)
class Example:
    """One line to learn from or to be scored: its level, its language, who wrote it, and what it is besides."""

    text: str
    language: str
    author: str
    level: Level
    is_trap: bool = False
    intent: Intent | None = None

    @property
    def is_complaint(self) -> bool:
        """Whether a clinician or more is needed."""
        return self.level.rank >= Level.CLINICIAN.rank


def examples_of(lines: Iterable[people.Labelled]) -> list[Example]:
    """Lines by invented people as examples."""
    return [
        Example(line.text, line.language, line.author, Level(line.triage), line.is_trap, line.intent) for line in lines
    ]


def own_examples() -> list[Example]:
    """The project's own lines."""
    found: list[Example] = []
    for part in symptoms.PARTS:
        language = part if part in signs.LANGUAGES else "en"
        found += [
            Example(line.text, language, OWN, line.level, line.level is Level.NONE) for line in symptoms.lines(part)
        ]
    for part in replies.PARTS:
        for row in replies.rows(part):
            if Intent.SYMPTOM not in row.intents:
                found.append(Example(row.text, row.language, OWN, Level.NONE, intent=min(row.intents)))
    return found


def matrix(rows: Sequence[Sequence[Collection[int]]], width: int, counts: Iterable[float] = repeat(1.0)) -> csr_matrix:
    """Blocks of places as a matrix `width` wide, round which places go: each block divided by the root of its size,
    times its count, blocks added up.
    """
    starts = [0]
    places: list[int] = []
    values: list[float] = []
    for blocks in rows:
        for block, count in zip(blocks, counts, strict=False):
            places += sorted(place % width for place in block)
            values += [count * max(1, len(block)) ** -0.5] * len(block)
        starts.append(len(places))
    made = csr_matrix((values, places, starts), shape=(len(rows), width))
    made.sum_duplicates()
    return made


@cache
def _heard(text: str) -> list[set[int]]:
    line = line_of(weather_in(text).rest)  # the reader sets the weather aside first
    return intents.heard_blocks(intents.shown_in(line))


def complaint_table(lines: Sequence[Example]) -> Table:
    """The weights of the complaint model."""
    used = [line for line in lines if line.level is not Level.REST]
    model = LogisticRegression(C=STRENGTH, class_weight="balanced", solver="liblinear", dual=True, random_state=0)
    model.fit(
        matrix([_heard(line.text) for line in used], intents.HEARD, intents.HEARD_WEIGHTS),
        [line.is_complaint for line in used],
    )
    return quantised([model.coef_[0].tolist()], [float(model.intercept_[0])])


def language_table(lines: Sequence[Example]) -> Table:
    """The weights that hear the language of a line, one column for each of `signs.LANGUAGES`, from letter groups."""
    used = [line for line in lines if line.language in signs.LANGUAGES]
    seen = matrix([(signs.language_places(line.text),) for line in used], signs.LANGUAGE_PLACES)
    columns, biases = [], []
    for language in signs.LANGUAGES:
        model = LogisticRegression(C=10.0, class_weight="balanced", solver="liblinear", random_state=0)
        model.fit(seen, [line.language == language for line in used])
        columns.append(model.coef_[0].tolist())
        biases.append(float(model.intercept_[0]))
    return quantised(columns, biases)
