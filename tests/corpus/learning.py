"""Trains the learned readers of ordinary lines from lines with labels; scikit-learn is used here and nowhere else.

Every solver runs with a seed, on one thread, for a set number of rounds; what comes out is rounded to whole numbers.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from sklearn.exceptions import ConvergenceWarning
from sklearn.linear_model import LogisticRegression

from nudgebot.domain.text.learned import intents, mentions, stack, sums
from nudgebot.domain.text.learned.features import Table, softmax
from nudgebot.domain.text.learned.intents import INTENTS
from nudgebot.domain.text.learned.mentions import LIMIT, NEW, OLD, OTHER, PULSE, ROLES, RUN, Numeral
from nudgebot.domain.text.learned.stack import Based, Features, Models
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.log_lines.rules import Parsed, parsed
from nudgebot.domain.text.log_lines.units import Sort
from nudgebot.domain.text.triage import Level
from nudgebot.domain.text.weather import weather_in
from tests.corpus import replies, signs_training
from tests.corpus.lines import TODAY, Labelled, all_lines
from tests.corpus.signs_training import Example, matrix
from tests.corpus.weights_file import quantised

SEED = 20270310
FOLDS = 5
ROUNDS, PLAIN_ROUNDS = 15, 60  # passes over hashed features, steps over plain values
INTENT_C, RUN_C, ROLES_C, SUMS_C, STACK_C, MINUTES_C = 10.0, 5.0, 10.0, 0.01, 0.3, 0.3  # by cross-validation
BESIDE_A_RUN = 0.7  # a complaint that holds a run counts so much as a log, the rest as a complaint

OWN = "own"  # the author of the project's own lines

Targets = Sequence[tuple[int, int, float]]  # row, class, weight


@dataclass(frozen=True, slots=True)
class Prepared:
    """A line with all that does not depend on any training."""

    label: Labelled
    parse: Parsed
    seen: Features
    roles: list[int] | None  # of each number; None if the label's minutes cannot be made from the line's numbers


@dataclass(frozen=True, slots=True)
class Corpus:
    """What readers are trained from: people's lines, the project's own replies, its own lines of signs."""

    people: Sequence[Prepared]
    own: Sequence[Prepared]
    signs: Sequence[Example]


def minutes_of(label: Labelled) -> frozenset[int]:
    """The minutes that are right; those of several runs added up."""
    if label.logs:
        return frozenset((sum(minutes for _, minutes in label.logs),))
    return frozenset(m for m in (label.minutes, *label.minutes_ok) if m is not None)


def _whole(value: float) -> set[int]:
    return {int(value + 1e-6), int(value + 0.5)}


def roles_in(label: Labelled, found: list[Numeral]) -> list[int] | None:
    """The role of each number, from the label of the whole line; None if it cannot be told."""
    wanted = minutes_of(label)
    role = {Intent.BUSY: LIMIT, Intent.UNDO: NEW}.get(label.intent, RUN)
    given = [OLD if label.intent is Intent.UNDO else OTHER] * len(found)
    if label.heart_rate is not None:
        given = [PULSE if label.heart_rate in m.values else r for m, r in zip(found, given, strict=True)]
    if label.logs:
        told = [minutes for _, minutes in label.logs]
        for at, mention in enumerate(found):
            match = next((m for m in told if any(m in _whole(v) for v in mention.values)), None)
            if match is not None:
                given[at] = RUN
                told.remove(match)
        return given if not told else None
    if not wanted:
        return given
    ways = [
        (len(parts), sum(found[at].inner for at in parts), -sum(found[at].sort is Sort.DURATION for at in parts), parts)
        for count in (1, 2, 3, 4)
        for parts in combinations(range(len(found)), count)
        if any(
            wanted & _whole(value)
            for value in (found[parts[0]].values if count == 1 else (sum(found[at].values[0] for at in parts),))
        )
    ]
    if not ways:
        return None
    for at in min(ways)[-1]:
        given[at] = role
    return given


def prepared(lines: Iterable[Labelled]) -> list[Prepared]:
    """Every line parsed, with its features."""
    done = []
    for label in lines:
        parse = parsed(weather_in(label.text).rest, TODAY)  # the reader sets the weather aside first
        seen = stack.features(parse)
        done.append(Prepared(label, parse, seen, roles_in(label, seen.mentions)))
    return done


def corpus(every: int = 1) -> Corpus:
    """Every line there is to train on, or one of so many."""
    return Corpus(
        prepared(all_lines()[::every]), prepared(own_lines()[::every]), signs_training.own_examples()[::every]
    )


def own_lines() -> list[Labelled]:
    """The project's own replies, which rules were made from: for the first readers, never for the stack.

    Lines that may be a run and may not are left out.
    """
    return [
        Labelled(
            row.text, row.language, OWN, OWN, tuple(sorted(row.intents)), row.minutes, heart_rate=row.heart_rate,
            logs=tuple(row.logs),
        )
        for part in replies.PARTS
        for row in replies.rows(part)
        if len(row.intents) == 1 or Intent.LOG not in row.intents
    ]  # fmt: skip


def fitted(x: object, targets: Targets, classes: int, *, c: float, solver: str = "saga", rounds: int = ROUNDS) -> Table:
    """A table of one column a class (of one column for two classes) that tells the targets apart.

    Hashed features by stochastic averaged gradients (`saga`), in a tenth of the time of `lbfgs`; plain values by that.
    """
    rows = [row for row, _, _ in targets]
    y = np.array([kind for _, kind, _ in targets])
    weights = np.array([weight for _, _, weight in targets])
    model = LogisticRegression(C=c, max_iter=rounds, solver=solver, random_state=SEED)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ConvergenceWarning)  # the number of rounds is set
        model.fit(x[rows], y, sample_weight=weights)  # type: ignore[index]
    if classes == 2:
        return quantised(model.coef_.tolist(), model.intercept_.tolist())
    size = model.coef_.shape[1]
    weights_by_class, biases = [[0.0] * size for _ in range(classes)], [-12.0] * classes
    for column, kind in enumerate(model.classes_):
        weights_by_class[kind], biases[kind] = model.coef_[column].tolist(), float(model.intercept_[column])
    return quantised(weights_by_class, biases)


def plain_fitted(x: object, targets: Targets, classes: int, *, c: float) -> Table:
    """The same for a few plain values."""
    return fitted(x, targets, classes, c=c, solver="lbfgs", rounds=PLAIN_ROUNDS)


def _scaled(rows: list[list[float]], fit: Callable[[np.ndarray], Table]) -> Table:
    """A table for plain values, trained on values of unit spread."""
    x = np.array(rows)
    spread = x.std(axis=0)
    spread[spread < 1e-6] = 1.0
    table = fit(x / spread)
    weights = [
        [w * table.scales[c] / s for w, s in zip(column, spread.tolist(), strict=True)]
        for c, column in enumerate(table.columns)
    ]
    return quantised(weights, table.biases)


def intent_table(data: Sequence[Prepared]) -> Table:
    """The learned intent."""
    targets: list[tuple[int, int, float]] = []
    for row, one in enumerate(data):
        right = {one.label.intent: 1.0}
        if one.label.intent is Intent.LOG and one.label.triage not in {"none", "rest"}:
            right = {Intent.LOG: BESIDE_A_RUN, Intent.SYMPTOM: 1 - BESIDE_A_RUN}
        elif one.label.author == OWN:
            right = dict.fromkeys(one.label.intents, 1 / len(one.label.intents))
        targets += [(row, INTENTS.index(intent), weight) for intent, weight in right.items()]
    return fitted(
        matrix([one.seen.words for one in data], intents.ROWS, intents.WEIGHTS), targets, len(INTENTS), c=INTENT_C
    )


def run_table(data: Sequence[Prepared]) -> Table:
    """Whether a finished run is told."""
    targets = [(row, int(Intent.LOG is one.label.intent), 1.0) for row, one in enumerate(data)]
    return fitted(matrix([one.seen.words for one in data], intents.ROWS, intents.WEIGHTS), targets, 2, c=RUN_C)


def roles_table(data: Sequence[Prepared]) -> Table:
    """The roles of numbers."""
    rows = [
        ([places], role)
        for one in data
        if one.roles is not None
        for places, role in zip(one.seen.numbers, one.roles, strict=True)
    ]
    targets = [(row, role, 1.0) for row, (_, role) in enumerate(rows)]
    return fitted(matrix([blocks for blocks, _ in rows], mentions.ROWS), targets, len(ROLES), c=ROLES_C)


def sums_table(data: Sequence[Prepared], roles: Sequence[list[list[float]]]) -> Table:
    """The ranker of sums: what tells the right one from each wrong one of its line."""
    rows: list[list[float]] = []
    weights: list[float] = []
    for one, likely in zip(data, roles, strict=True):
        right = minutes_of(one.label)
        if one.label.intent is not Intent.LOG or not right:
            continue
        numbers = sums.numbers_of(one.parse, one.seen.mentions, likely)
        found = sums.candidates_of(numbers)
        told = [
            (c.minutes in right, [said.get(place, 0.0) for place in range(sums.ROWS)])
            for c in found
            for said in (sums.features_of(numbers, c),)
        ]
        good = [f for ok, f in told if ok]
        bad = [f for ok, f in told if not ok]
        for a in good:
            for b in bad:
                rows.append([x - y for x, y in zip(a, b, strict=True)])
                weights.append(1 / (len(good) * len(bad)) ** 0.5)
    half = len(rows)
    rows += [[-value for value in row] for row in rows]
    targets = [(n, int(n < half), weights[n % half]) for n in range(2 * half)]
    table = _scaled(rows, lambda x: plain_fitted(x, targets, 2, c=SUMS_C))
    return Table(table.rows, table.columns, table.scales, (0.0,))


def stack_table(data: Sequence[Prepared], based: Sequence[Based]) -> Table:
    """The stack, from what readers that had not seen a line made of it."""
    rows = [stack.stack_features(one.parse, base) for one, base in zip(data, based, strict=True)]
    targets = [(n, INTENTS.index(one.label.intent), 1.0) for n, one in enumerate(data)]
    return _scaled(rows, lambda x: plain_fitted(x, targets, len(INTENTS), c=STACK_C))


def told_table(data: Sequence[Prepared], based: Sequence[Based]) -> Table:
    """The stack's word on whether a run is told."""
    rows = [stack.stack_features(one.parse, base) for one, base in zip(data, based, strict=True)]
    targets = [(n, int(one.label.intent is Intent.LOG), 1.0) for n, one in enumerate(data)]
    return _scaled(rows, lambda x: plain_fitted(x, targets, 2, c=STACK_C))


def minutes_table(data: Sequence[Prepared], based: Sequence[Based]) -> Table:
    """How sure the likeliest sum is."""
    told = [
        (stack.minutes_features(one.parse, base), int(base.sums[0][1].minutes in minutes_of(one.label)))
        for one, base in zip(data, based, strict=True)
        if base.sums and one.label.intent is Intent.LOG and minutes_of(one.label)
    ]
    targets = [(n, right, 1.0) for n, (_, right) in enumerate(told)]
    return _scaled([row for row, _ in told], lambda x: plain_fitted(x, targets, 2, c=MINUTES_C))


def folds_of(data: Sequence[Prepared], count: int = FOLDS) -> list[int]:
    """The fold of each line: all lines of a person in one, persons dealt out by the number of their lines.

    Folds of whole authors were tried: the readers of the folds are then so much weaker than the last ones that the
    stack trusts them too little.
    """
    sizes: dict[str, int] = {}
    for one in data:
        sizes[one.label.person] = sizes.get(one.label.person, 0) + 1
    full = [0] * count
    fold = {}
    for person in sorted(sizes, key=lambda name: (-sizes[name], name)):
        fold[person] = full.index(min(full))
        full[fold[person]] += sizes[person]
    return [fold[one.label.person] for one in data]


def _level(one: Prepared) -> Level:
    return Level(one.label.triage)


def asked_table(data: Sequence[Prepared], based: Sequence[Based]) -> Table:
    """Whether a line is about a complaint, from how it sounds and what it is for; ordinary complaints left out."""
    rows: list[list[float]] = []
    targets: list[tuple[int, int, float]] = []
    for one, base in zip(data, based, strict=True):
        if _level(one) is not Level.REST:
            targets.append((len(rows), int(_level(one).rank >= Level.CLINICIAN.rank), 1.0))
            rows.append(stack.asked_features(one.parse, base))
    return _scaled(rows, lambda x: plain_fitted(x, targets, 2, c=STACK_C))


def sign_examples(data: Sequence[Prepared], own: Sequence[Example]) -> list[Example]:
    """What the second reader of signs is trained from."""
    return [*signs_training.examples_of(one.label for one in data), *own]


_NONE = Table(0, (), (), ())


def first_readers(corpus: Corpus, roles: Table, ranker: Table) -> Models:
    """The readers of the line itself; the others are empty."""
    everything = [*corpus.own, *corpus.people]
    intent, run = intent_table(everything), run_table(everything)
    both = Table(intent.rows, intent.columns + run.columns, intent.scales + run.scales, intent.biases + run.biases)
    return Models(
        both, roles, ranker, stack=_NONE, told=_NONE, minutes=_NONE,
        complaint=signs_training.complaint_table(sign_examples(corpus.people, corpus.signs)), asked=_NONE,
        language=_NONE,
    )  # fmt: skip


def out_of_fold(corpus: Corpus, taggers: Sequence[Table], ranker: Table) -> list[Based]:
    """What readers make of each line that have not seen its person."""
    folds = folds_of(corpus.people)
    found: list[Based | None] = [None] * len(corpus.people)
    for fold, tagger in enumerate(taggers):
        others = [one for one, f in zip(corpus.people, folds, strict=True) if f != fold]
        first = first_readers(replace(corpus, people=others), tagger, ranker)
        for n, one in enumerate(corpus.people):
            if folds[n] == fold:
                found[n] = stack.based(first, one.parse, one.seen)
    return [one for one in found if one is not None]


def with_stack(first: Models, data: Sequence[Prepared], based: Sequence[Based]) -> Models:
    """The last tables too, trained on what readers that had not seen a line's person made of it."""
    return replace(
        first,
        stack=stack_table(data, based),
        told=told_table(data, based),
        minutes=minutes_table(data, based),
        asked=asked_table(data, based),
    )


def trained(corpus: Corpus) -> Models:
    """All tables."""
    folds = folds_of(corpus.people)
    taggers = [
        roles_table([*corpus.own, *(one for one, f in zip(corpus.people, folds, strict=True) if f != fold)])
        for fold in range(FOLDS)
    ]
    likely = [
        [softmax(taggers[fold].scores([places])) for places in one.seen.numbers]
        for one, fold in zip(corpus.people, folds, strict=True)
    ]
    ranker = sums_table(corpus.people, likely)
    based = out_of_fold(corpus, taggers, ranker)
    first = first_readers(corpus, roles_table([*corpus.own, *corpus.people]), ranker)
    language = signs_training.language_table(sign_examples(corpus.people, corpus.signs))
    return replace(with_stack(first, corpus.people, based), language=language)
