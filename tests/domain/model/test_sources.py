"""Every number of the plan names a source that is written down, and every source is used."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
from pathlib import Path

import nudgebot.domain
from nudgebot.domain.model import parameters
from nudgebot.domain.model.parameters import Choice, Rule
from nudgebot.domain.planning.dose import DOSES
from nudgebot.domain.profile import effort
from nudgebot.domain.profile.weather import BANDS
from nudgebot.domain.text.learned import signs

PAGE = Path(__file__).parents[3] / "docs" / "sources.md"
ROW = re.compile(r"^\| `([a-z0-9-]+)` \| (.+) \| (.+) \| (.+) \|$", re.MULTILINE)
# Said or decided by code that is no row of a table: the screening, the reserve, the limits that our own
# stricter ones are held against, the formula of the globe temperature, what is told beside a dose or instead of a band.
SAID = {
    *("acsm-screening", "karvonen-1957", "runner"),
    *("walk-first", "pain-monitoring", "talk-test", "globe-index"),
    *("who-2020", "pag-2018", "beta-blockers"),
}


def written() -> dict[str, tuple[str, str, str]]:
    return {key: (what, where, seen) for key, what, where, seen in ROW.findall(PAGE.read_text(encoding="utf-8"))}


def rows() -> list[Rule]:
    """Every rule of the trade, beside whatever reader it stands."""
    names = [module.name for module in pkgutil.walk_packages(nudgebot.domain.__path__, "nudgebot.domain.")]
    found = {id(value): value for name in names for value in vars(importlib.import_module(name)).values()}
    rules = [value for value in found.values() if isinstance(value, Rule)]
    return [
        *rules,
        *parameters.ILL_DAYS,
        *parameters.TOO_LATE.values(),
        *(band.start for band in BANDS),
        *signs.ASK_FROM.values(),
        *signs.LEAST_WORDS.values(),
    ]


def used() -> set[str]:
    formulas = {formula.source for formula in effort.AGE_FORMULAS}
    return {rule.source for rule in rows()} | {dose.source for dose in DOSES} | formulas | SAID


def test_every_number_has_its_source_and_every_source_its_number() -> None:
    assert used() == set(written())


def test_every_rule_is_read_by_the_code() -> None:
    made: set[str] = set()
    read: set[str] = set()
    for path in Path(nudgebot.domain.__path__[0]).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            match node:
                case ast.Assign(targets=[ast.Name(name)], value=ast.Call(func=ast.Name("Rule"))):
                    made.add(name)
                case ast.AnnAssign(target=ast.Name(name), value=ast.Call(func=ast.Name("Rule"))):
                    made.add(name)
                case ast.Name(name, ast.Load()) | ast.Attribute(attr=name):
                    read.add(name)
    assert len(made) > 100
    assert made - read == set()


def test_every_source_names_a_publication_and_how_it_was_seen() -> None:
    for key, (what, where, seen) in written().items():
        assert len(what) > 20, key
        assert where, key
        assert re.search("seen|from memory|none", seen), key


def test_a_standard_is_no_choice_of_the_house() -> None:
    assert [rule.name for rule in rows() if (rule.source == "house") != (rule.choice is Choice.HOUSE)] == []


# Of the machine, not of the trade: names of units, room for storage and for questions, how far a search looks.
NOT_OF_THE_TRADE = {
    *("DAY", "WEEK", "TOKEN", "MOST", "DIGEST", "OFFERED", "CHOICES", "CLOCKS_APART", "KEPT_DAYS", "AT_ONCE"),
    *("LONGEST_MESSAGE", "LONGEST_NOTE", "LONGEST_ANSWER", "MANY_WORDS", "PAST_DAYS", "AFTER_DAYS", "_IN_SIGHT"),
    *("SEASON_WEEKS", "LAST_STEP"),
    "STEPS",  # rounds of walk-run, a table of its own (house)
}


def test_what_decides_and_nudges_has_no_number_beside_the_rows() -> None:
    folder = Path(nudgebot.domain.__file__).parent
    files = [path for part in ("nudging", "planning", "dialogue") for path in sorted((folder / part).rglob("*.py"))]
    bare = {name for path in files for name in _bare_numbers(path.read_text(encoding="utf-8"))}
    assert bare == NOT_OF_THE_TRADE


def test_a_bare_number_is_found_whatever_it_stands_in() -> None:
    text = (
        "A = 3\nB: Final = timedelta(hours=2)\nC = (1, 2)\nD = {'x': time(7)}\ne = 4\nF = RULE.value\nG = Rule('x', 1)"
    )
    assert _bare_numbers(text) == {"A", "B", "C", "D"}


def _bare_numbers(text: str) -> set[str]:
    """Names in capitals that a module gives a number, a length or a time of day of its own."""
    found = set()
    for node in ast.parse(text).body:
        target, value = None, None
        if isinstance(node, ast.Assign):
            target, value = node.targets[0], node.value
        elif isinstance(node, ast.AnnAssign):
            target, value = node.target, node.value
        if isinstance(target, ast.Name) and target.id.isupper() and value is not None and _holds_number(value):
            found.add(target.id)
    return found


def _holds_number(value: ast.expr) -> bool:
    match value:
        case ast.Constant(value=int() | float()):
            return True
        case ast.UnaryOp(operand=inner):
            return _holds_number(inner)
        case ast.BinOp(left=left, right=right):
            return _holds_number(left) or _holds_number(right)
        case ast.Tuple(elts=parts) | ast.List(elts=parts) | ast.Dict(values=parts):
            return any(map(_holds_number, parts))
        case ast.Call(func=ast.Name(id="timedelta" | "time"), args=args, keywords=keywords):
            return any(map(_holds_number, [*args, *(keyword.value for keyword in keywords)]))
        case _:
            return False
