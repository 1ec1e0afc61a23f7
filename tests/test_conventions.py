"""What the house asks of every module, and no linter has a rule for."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterator
from graphlib import TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).parent.parent
NOQA = re.compile(r"#\s*noqa\b(.*)")
NAMED = re.compile(r": [A-Z]+[0-9]+(, [A-Z]+[0-9]+)* - \S.*")


def modules(*folders: str) -> list[Path]:
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def public_types(tree: ast.Module) -> Iterator[str]:
    """Classes and named types: `X = A | B`, `X: TypeAlias = …`, `X = Mapping[…]`; not constants, not our privates."""
    for node in tree.body:
        match node:
            case ast.ClassDef(name=name):
                pass
            case ast.AnnAssign(target=ast.Name(id=name), annotation=ast.Name(id="TypeAlias")):
                pass
            case ast.Assign(targets=[ast.Name(id=name)], value=ast.BinOp() | ast.Subscript()):
                pass
            case _:
                continue
        if re.fullmatch(r"[A-Z]\w*[a-z]\w*", name):
            yield name


def test_no_two_public_types_share_a_name() -> None:
    homes: defaultdict[str, list[str]] = defaultdict(list)
    for path in modules("nudgebot"):
        for name in public_types(ast.parse(path.read_text(encoding="utf-8"))):
            homes[name].append(str(path.relative_to(ROOT)))
    assert {name: paths for name, paths in homes.items() if len(paths) > 1} == {}


def test_the_types_of_a_module_are_found_in_every_form() -> None:
    lines = (
        "class Line: ...",
        "class _Own: ...",
        "Heard = A | B",
        "Row: TypeAlias = dict",
        "When = list[int]",
        "ON = 1",
    )
    assert list(public_types(ast.parse("\n".join(lines)))) == ["Line", "Heard", "Row", "When"]


def test_each_silenced_finding_is_named_with_its_reason() -> None:
    silent = []
    for path in modules("nudgebot", "tests"):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
            found = NOQA.search(line)
            if found and path != Path(__file__) and not NAMED.fullmatch(found[1]):
                silent.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()}")
    assert silent == []


def imported(path: Path) -> set[str]:
    """The modules of the package that a file imports, at its head, in a function or for its types alone."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("nudgebot"):
            found |= {f"{node.module}.{alias.name}" for alias in node.names} | {node.module}
        elif isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
    return found


def test_no_module_imports_itself_however_far_round() -> None:
    names = {path: ".".join(path.relative_to(ROOT).with_suffix("").parts) for path in modules("nudgebot")}
    whole = {name: imported(path) & set(names.values()) for path, name in names.items()}
    order = tuple(TopologicalSorter(whole).static_order())  # a circle is a CycleError that names it
    assert set(order) == set(names.values())


NO_ROOMS = {"bench", "corpus", "dialogues", "faults", "fuzz", "servers"}  # what tests play, measure and read
MOST_MODULES = 12  # in a folder that a reader looks over; of a channel, the app and the store more


def test_the_tests_of_the_trade_lie_where_what_they_test_lies() -> None:
    tested = {path.parent.relative_to(ROOT / "tests") for path in modules("tests") if path.name.startswith("test_")}
    rooms = {folder for folder in tested if folder.parts and folder.parts[0] not in NO_ROOMS}
    assert {folder for folder in rooms if not (ROOT / "nudgebot" / folder).is_dir()} == set()
    crowded = {
        str(folder): count
        for folder in rooms
        if folder.parts[0] == "domain"
        and (count := len(list((ROOT / "tests" / folder).glob("test_*.py")))) > MOST_MODULES
    }
    assert crowded == {}
