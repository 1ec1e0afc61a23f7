"""Every number of the plan names a source that is written down, and every source is used."""

from __future__ import annotations

import ast
import importlib
import pkgutil
import re
from pathlib import Path

import nudgebot.domain
from nudgebot.domain.model.parameters import Choice, Rule
from nudgebot.domain.planning.dose import DOSES
from nudgebot.domain.profile import effort
from nudgebot.domain.profile.weather import BANDS
from nudgebot.domain.text.learned import signs

PAGE = Path(__file__).parents[2] / "docs" / "sources.md"
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
    found = {
        id(value): value
        for name in names
        for value in vars(importlib.import_module(name)).values()
        if isinstance(value, Rule)
    }
    return [*found.values(), *(band.start for band in BANDS), *signs.ASK_FROM.values(), *signs.LEAST_WORDS.values()]


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
