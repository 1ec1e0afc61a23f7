"""Trains the learned readers of ordinary lines from lines with labels; scikit-learn is used here and nowhere else.

Every solver runs with a seed, on one thread, for a set number of rounds; what comes out is rounded to whole numbers.
"""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from scipy import sparse
from sklearn.exceptions import ConvergenceWarning
from sklearn.linear_model import LogisticRegression

from nudgebot.domain.text.learned import intents, mentions, stack, sums
from nudgebot.domain.text.learned.features import Table, hashed, quantised, softmax
from nudgebot.domain.text.learned.intents import INTENTS
from nudgebot.domain.text.learned.mentions import LIMIT, NEW, OLD, OTHER, PULSE, ROLES, RUN, Numeral
from nudgebot.domain.text.learned.stack import Based, Models
from nudgebot.domain.text.log_lines.amounts import Sort
from nudgebot.domain.text.log_lines.result import Intent
from nudgebot.domain.text.log_lines.rules import Parsed, parsed
from nudgebot.domain.text.weather import weather_in
from tests.corpus import replies
from tests.corpus.lines import TODAY, Labelled

SEED = 20270310
FOLDS = 5
ROUNDS, PLAIN_ROUNDS = 15, 60  # passes over hashed features, steps over plain values
INTENT_C, ROLES_C, SUMS_C, STACK_C, MINUTES_C = 5.0, 10.0, 1.0, 0.3, 0.3  # by cross-validation
BESIDE_A_RUN = 0.7  # a complaint that holds a run counts so much as a log, the rest as a complaint

OWN = "own"  # the author of the project's own lines

Targets = Sequence[tuple[int, int, float]]  # row, class, weight


@dataclass(frozen=True, slots=True)
class Prepared:
    """A line with all that does not depend on any training."""

    label: Labelled
    parse: Parsed
    blocks: list[list[int]]
    mentions: list[Numeral]
    features: list[list[int]]  # of each number
    roles: list[int] | None  # of each number; None where the label's minutes cannot be made from the line's numbers


def minutes_of(label: Labelled) -> frozenset[int]:
    """The minutes that are right."""
    return frozenset(m for m in (label.minutes, *label.minutes_ok) if m is not None)


def _whole(value: float) -> set[int]:
    return {int(value + 1e-6), int(value + 0.5)}


def roles_in(label: Labelled, found: list[Numeral]) -> list[int] | None:
    """The role of each number, from the label of the whole line; None where it cannot be told."""
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
        found = mentions.mentions_of(parse)
        features = [hashed(mentions.features_of(parse, found, at), mentions.ROWS) for at in range(len(found))]
        done.append(Prepared(label, parse, intents.blocks_of(parse), found, features, roles_in(label, found)))
    return done


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


def matrix(rows: Sequence[Sequence[Sequence[int]]], width: int) -> sparse.csr_matrix:
    """Blocks of places as a matrix: each block divided by the root of its size, blocks added up."""
    starts = [0]
    places: list[int] = []
    values: list[float] = []
    for blocks in rows:
        for block in blocks:
            places += block
            values += [max(1, len(block)) ** -0.5] * len(block)
        starts.append(len(places))
    made = sparse.csr_matrix((values, places, starts), shape=(len(rows), width))
    made.sum_duplicates()
    return made


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
    return fitted(matrix([one.blocks for one in data], intents.ROWS), targets, len(INTENTS), c=INTENT_C)


def run_table(data: Sequence[Prepared]) -> Table:
    """Whether a finished run is told."""
    targets = [(row, int(Intent.LOG is one.label.intent), 1.0) for row, one in enumerate(data)]
    return fitted(matrix([one.blocks for one in data], intents.ROWS), targets, 2, c=INTENT_C)


def roles_table(data: Sequence[Prepared]) -> Table:
    """The roles of numbers."""
    rows = [
        ([places], role)
        for one in data
        if one.roles is not None
        for places, role in zip(one.features, one.roles, strict=True)
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
        found = sums.candidates_of(one.parse, one.mentions, likely)
        told = [(c.minutes in right, sums.features_of(one.parse, one.mentions, likely, c)) for c in found]
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
    """The fold of each line: all lines of a person in one, persons dealt out by the number of their lines."""
    sizes: dict[str, int] = {}
    for one in data:
        sizes[one.label.person] = sizes.get(one.label.person, 0) + 1
    full = [0] * count
    fold = {}
    for person in sorted(sizes, key=lambda name: (-sizes[name], name)):
        fold[person] = full.index(min(full))
        full[fold[person]] += sizes[person]
    return [fold[one.label.person] for one in data]


def fold_roles(data: Sequence[Prepared], own: Sequence[Prepared]) -> list[Table]:
    """For each fold the roles of numbers by a tagger that has not seen its persons."""
    folds = folds_of(data)
    return [
        roles_table([*own, *(one for one, f in zip(data, folds, strict=True) if f != fold)]) for fold in range(FOLDS)
    ]


_NONE = Table(0, (), (), ())


def first_readers(data: Sequence[Prepared], roles: Table, ranker: Table) -> Models:
    """The readers of the line itself; the others are empty."""
    return Models(intent_table(data), run_table(data), roles, ranker, _NONE, _NONE, _NONE)


def out_of_fold(
    data: Sequence[Prepared], own: Sequence[Prepared], taggers: Sequence[Table], ranker: Table
) -> list[Based]:
    """What readers make of each line that have not seen its person."""
    folds = folds_of(data)
    found: list[Based | None] = [None] * len(data)
    for fold, tagger in enumerate(taggers):
        others = [one for one, f in zip(data, folds, strict=True) if f != fold]
        first = first_readers([*own, *others], tagger, ranker)
        for n, one in enumerate(data):
            if folds[n] == fold:
                found[n] = based_of(first, one)
    return [one for one in found if one is not None]


def based_of(first: Models, one: Prepared) -> Based:
    """What the first readers make of a prepared line."""
    roles = [softmax(first.roles.scores([places])) for places in one.features]
    return stack.based(first, one.parse, one.blocks, one.mentions, roles)


def with_stack(first: Models, data: Sequence[Prepared], based: Sequence[Based]) -> Models:
    """All tables, the last ones trained on what readers that had not seen a line's person made of it."""
    return replace(
        first, stack=stack_table(data, based), told=told_table(data, based), minutes=minutes_table(data, based)
    )


def trained(data: Sequence[Prepared], own: Sequence[Prepared]) -> Models:
    """All tables."""
    taggers = fold_roles(data, own)
    likely = [
        [softmax(taggers[fold].scores([places])) for places in one.features]
        for one, fold in zip(data, folds_of(data), strict=True)
    ]
    ranker = sums_table(data, likely)
    based = out_of_fold(data, own, taggers, ranker)
    everything = [*own, *data]
    return with_stack(first_readers(everything, roles_table(everything), ranker), data, based)
