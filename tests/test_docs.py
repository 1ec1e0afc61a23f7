"""What the docs say is true: commands, settings, the README's two lines and its conversation."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from nudgebot.app import commands
from nudgebot.domain.model.rights import Where, Who
from tests.test_cli import COMMANDS as SHELL_COMMANDS

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = sorted([ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")])


def sh_blocks(page: str) -> list[str]:
    return re.findall(r"^```sh\n(.*?)^```", page, re.MULTILINE | re.DOTALL)


def test_the_first_two_shell_blocks_are_one_line_each_the_demo_and_the_tests() -> None:
    demo, tests, *_ = sh_blocks(README)
    assert demo.count("\n") == tests.count("\n") == 1
    assert demo.rstrip().endswith("nudgebot demo")
    assert "pytest" in tests
    assert "pytest" not in demo


def test_what_the_demo_line_installs_holds_no_test_tool() -> None:
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    runs_on, marker, tools = lock.partition("# test tools")
    assert marker
    for tool in ("pytest", "hypothesis", "ruff", "mypy", "ortools"):
        assert not re.search(rf"^{tool}==", runs_on, re.MULTILINE)
        assert re.search(rf"^{tool}==", tools, re.MULTILINE)
    assert "://" not in lock


def test_ci_runs_the_test_line_of_the_readme() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    awk = re.search(r"awk '(.*?)' README\.md", script)
    assert awk
    found = subprocess.run(["awk", awk[1], str(ROOT / "README.md")], capture_output=True, text=True, check=True)
    assert found.stdout == sh_blocks(README)[1]


def test_the_conversation_of_the_readme_is_one_that_was_played() -> None:
    played = (ROOT / "tests" / "dialogues" / "readme.txt").read_text(encoding="utf-8").split("\n", 1)[1]
    assert f"```text\n{played}```" in README


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_somewhere(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#\s]+)\)", text):
        if "://" not in target:
            assert (page.parent / target).exists(), target


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_command_of_ours_that_a_page_names_is_there(page: Path) -> None:
    for block in re.findall(r"`(python -m tests[\w.]*)", page.read_text(encoding="utf-8")):
        module = block.removeprefix("python -m ").replace(".", "/")
        assert (ROOT / f"{module}.py").exists() or (ROOT / module / "__main__.py").exists(), block


def test_every_shell_command_is_in_the_docs() -> None:
    docs = "\n".join(page.read_text(encoding="utf-8") for page in PAGES)
    for command in SHELL_COMMANDS:
        assert f"nudgebot {command}" in docs


def as_list() -> str:
    """The list of docs/commands.md: commands by who may use them and where, with the words that do without a slash."""
    roles = {
        Who.KNOWN: "everybody",
        Who.RUNNER: "runners of a group",
        Who.COACH: "coaches",
        Who.LEAD: "the leading coach",
        Who.OWNER: "the owner",
    }
    places = {Where.ANYWHERE: "anywhere", Where.PRIVATE: "in private", Where.GROUP_CHAT: "in the group's chat"}
    rows: dict[str, list[str]] = {}
    for row in commands.COMMANDS:
        uses = "; ".join(f"`{row.usage(use)}` {use.says}" for use in row.help) or f"`/{row.name}` {row.menu}"
        group = f"{', '.join(roles[who] for who in row.right.who)}, {places[row.right.where]}".capitalize()
        words = f" (*{', '.join(sorted(row.words))}*)" if row.words else ""
        rows.setdefault(group, []).append(f"- {uses}{words}\n")
    return "\n".join(f"**{group}**\n{''.join(lines)}" for group, lines in rows.items())


def test_the_page_of_commands_is_the_table_of_commands() -> None:
    page = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    assert as_list() in page, f"docs/commands.md should hold:\n{as_list()}"


def test_the_tree_of_the_house_names_every_folder_and_no_module_that_is_not_there() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    (tree,) = re.findall(r"^```\n(nudgebot/\n.*?)^```", page, re.MULTILINE | re.DOTALL)
    folders: list[Path] = []  # the one that a line stands in, and those around it
    named: set[Path] = set()
    for line in tree.splitlines():
        depth = (len(line) - len(line.lstrip())) // 4
        if head := re.match(r" *(\w+)/", line):
            folders[depth:] = [(folders[depth - 1] if depth else ROOT) / head[1]]
            named.add(folders[-1])
        for module in re.findall(r"\w+\.py", line):
            inside = folders[:depth] if line.lstrip().startswith(module) and depth < 2 else folders
            assert (inside[-1] / module).is_file(), f"{inside[-1] / module} is on the page and not there"
    files = (ROOT / "nudgebot").rglob("*.*")
    there = {path.parent for path in files if path.suffix in {".py", ".toml", ".txt"}}
    assert named == there


# Pages with a row that cannot be broken: a source with its statement, a lot at first sight, a problem on one line.
WIDE = {"first-sight.md", "replanning.md", "sources-safety.md", "sources.md"}


@pytest.mark.parametrize("page", [page for page in PAGES if page.name not in WIDE | {"README.md"}], ids=str)
def test_no_line_of_a_page_is_longer_than_a_screen_is_wide(page: Path) -> None:
    lines = page.read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if len(line) > 120] == []


def test_nothing_names_a_place_outside_the_project() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "import nudgebot, pathlib; print(pathlib.Path(nudgebot.__file__).parent)"],
        capture_output=True,
        text=True,
        check=True,
    )
    package = Path(done.stdout.strip())
    for path in [*package.rglob("*.py"), *PAGES]:
        text = path.read_text(encoding="utf-8")
        assert "/ho" + "me/" not in text.replace("/home/nudgebot", ""), path
        assert "/tm" + "p/" not in text, path


def test_every_notice_of_shipped_data_names_a_file_that_is_shipped_and_goes_with_it() -> None:
    notices = sorted((ROOT / "docs" / "licences").glob("*.txt"))
    assert [notice.stem for notice in notices] == ["geonames", "scowl", "unicode"]
    for notice in notices:
        head = notice.read_text(encoding="utf-8").split("\n\n", 1)[0]
        (first, *_) = re.findall(r"nudgebot/[\w/]+\.\w+", head)
        assert (ROOT / first).is_file(), first
    pyproject = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert 'license-files = ["LICENSE", "docs/licences/*.txt"]' in pyproject
    assert (ROOT / "nudgebot" / "py.typed").is_file()
