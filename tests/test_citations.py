"""What is cited is there: pages, their sections and the keys of the sources, cited from code, tests and pages."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from nudgebot.domain.messages.reviewed_answers import answers

ROOT = Path(__file__).parent.parent
PAGES = (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md")))
FILES = (
    *PAGES,
    *(
        path
        for folder in ("nudgebot", "tests", "deploy")
        for path in sorted((ROOT / folder).rglob("*"))
        if path.suffix in {".py", ".md", ".txt", ".toml", ".service", ".example", ".yaml", ".sh"}
        if "lines" not in path.parts and path.name != Path(__file__).name
    ),
    ROOT / "pyproject.toml",
    ROOT / ".ci" / "run",
)
SECTION = re.compile(r'\b(docs/[\w-]+\.md),(?:\s+#?\s*)"([^"]+)"')
ANCHOR = re.compile(r"([\w./-]*\b[\w-]+\.md)#([\w-]+)")
PAGE = re.compile(r"\b(?:docs/[\w-]+|README|DEVELOPERS)\.md\b")


def headings(page: Path) -> list[str]:
    return re.findall(r"^#+ (.+)$", page.read_text(encoding="utf-8"), re.MULTILINE)


def cited_as(page: Path) -> list[str]:
    """What a page may be cited for: its headings, and the first cells of its rows where it is a page of sources."""
    rows = re.findall(r"^\| `?([^|`]+?)`? \|", page.read_text(encoding="utf-8"), re.MULTILINE)
    return [*headings(page), *(rows if page.stem.startswith("sources") else ())]


def anchors(page: Path) -> set[str]:
    """The names of its sections as they stand in a link: small letters, hyphens for spaces."""
    return {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in headings(page)}


def texts() -> Iterator[tuple[Path, str]]:
    """Each file with its text on one line, since a citation may go over a line's end."""
    for path in FILES:
        yield path, " ".join(path.read_text(encoding="utf-8").split())


def test_every_page_that_is_named_is_there() -> None:
    named = {(path.relative_to(ROOT), name) for path, text in texts() for name in PAGE.findall(text)}
    assert len(named) > 100
    assert [each for each in sorted(named) if not (ROOT / each[1]).is_file()] == []


def test_every_section_that_is_cited_by_its_name_is_on_its_page() -> None:
    cited = {(path.relative_to(ROOT), *found) for path, text in texts() for found in SECTION.findall(text)}
    assert len(cited) > 15
    assert [each for each in sorted(cited) if not any(h.startswith(each[2]) for h in cited_as(ROOT / each[1]))] == []


def test_every_link_into_a_page_leads_to_a_section_of_it() -> None:
    links = {(path, *found) for path, text in texts() for found in ANCHOR.findall(text)}
    assert len(links) > 10
    wrong = [
        (path.name, page, anchor)
        for path, page, anchor in sorted(links)
        if anchor not in anchors(path.parent / page if path in PAGES else ROOT / page)
    ]
    assert wrong == []


@pytest.mark.parametrize("source", sorted({row.source for row in answers() if "docs/" in row.source}))
def test_the_page_and_section_behind_a_reviewed_answer_are_there(source: str) -> None:
    page, _, section = source.partition(", ")
    assert not section or section in headings(ROOT / page)
