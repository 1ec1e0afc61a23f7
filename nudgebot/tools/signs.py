"""The tables of signs for the clinician who reviews them: out as one CSV or one page, back in with what was changed.

The CSV (RFC 4180, UTF-8) has one row for each sign, condition, threshold and answer; the reviewer fills in the last
four columns. Reading it back says which rows were reviewed or changed, by whom and how, and which no longer fit the
tables.
(docs/safety.md, "To review the signs")
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Sequence
from dataclasses import astuple, dataclass, fields
from typing import TextIO

from nudgebot.domain.messages.common import in_all, rows
from nudgebot.domain.messages.health.complaints import CARE, LEVEL
from nudgebot.domain.messages.reviewed_answers import answers
from nudgebot.domain.profile import conditions
from nudgebot.domain.text.learned import signs
from nudgebot.domain.text.symptoms import numbers
from nudgebot.domain.text.symptoms.lay_words import LANGUAGES, spelled
from nudgebot.domain.text.symptoms.table import Row, table

DONE, FAILED = 0, 1
MOST_WORDS = 12  # lay words of a concept that are shown; the lexicons hold them all
REVIEW = ("reviewer", "reviewed_on", "new_level", "remark")  # what the reviewer fills in
LEVELS = ("emergency", "urgent", "clinician", "rest", "none")


@dataclass(frozen=True, slots=True)
class ReviewRow:
    """One row to review: what it is, its level, words, source and how that was seen, then the reviewer's own."""

    table: str  # "sign", "condition", "threshold" or "answer"
    id: str
    level: str
    words: str
    effect_of_time: str
    holds_for_others: str
    source: str
    seen: str
    reviewer: str = ""
    reviewed_on: str = ""
    new_level: str = ""
    remark: str = ""


COLUMNS = tuple(field.name for field in fields(ReviewRow))
FIXED = tuple(name for name in COLUMNS if name not in REVIEW)


def entries() -> tuple[ReviewRow, ...]:
    """Every row to review, in the order of the tables."""
    return tuple(row for part in PARTS for row in part())


def _signs() -> Iterable[ReviewRow]:
    return (
        ReviewRow("sign", row.id, row.level, _words(row), row.past, "yes" if row.others else "no", row.source, row.seen)
        for row in sorted(table(), key=lambda row: LEVELS.index(row.level))
    )


def _words(row: Row) -> str:
    """The patterns of a sign, each concept with its commonest English words."""
    ways = []
    for pattern in row.patterns:
        groups = [
            " near ".join("/".join(_named(concept) for concept in sorted(atom)) for atom in group)
            for group in pattern.groups
        ]
        absent = f" without {', '.join(sorted(pattern.absent))}" if pattern.absent else ""
        ways.append(" with ".join(groups) + absent)
    return "; ".join(ways)


def _named(concept: str) -> str:
    found = spelled("en").get(concept, [])[:MOST_WORDS]
    return f"{concept} ({', '.join(found)})" if found else concept


def _conditions() -> Iterable[ReviewRow]:
    """Standing conditions with their words in every language; what follows stands first. Running waits at clinician."""
    for row in conditions.table():
        level = "clinician" if conditions.needs_clinician(frozenset({row.id})) else ""
        words = "; ".join(f"{language}: {', '.join(named)}" for language, named in row.words.items() if named)
        yield ReviewRow(
            "condition", row.id, level, f"follows: {', '.join(sorted(row.follows))}. {words}", "", "no", row.source,
            row.seen,
        )  # fmt: skip


def _pressure(limit: tuple[int, int]) -> str:
    return f"{limit[0]} or {limit[1]} and over"


def _thresholds() -> Iterable[ReviewRow]:
    limits = (
        ("fever, °C", "rest", "38 and over", "fever", "seen in copies"),
        ("heat, °C", "emergency", "40 and over", "heat", "seen in copies"),
        ("blood pressure, mmHg", "urgent", _pressure(numbers.BP_CRISIS), "blood pressure", "our own choice"),
        ("blood pressure, mmHg, high", "clinician", _pressure(numbers.BP_HIGH), "blood pressure", "seen in copies"),
        ("blood pressure, mmHg, raised", "rest", _pressure(numbers.BP_RAISED), "blood pressure", "seen in copies"),
        ("sugar, mmol/L and mg/dL, low", "clinician", "under 3.9 or 70", "low sugar", "seen"),
        ("sugar, mmol/L and mg/dL, high", "urgent", "19.4 or 250 and over", "diabetes", "seen"),
        ("pulse at rest, fast, beats a minute", "urgent", "120 and over", "exercise screening", "from memory"),
        ("pulse, slow, beats a minute", "urgent", f"{numbers.SLOW} and under", "exercise screening", "from memory"),
        ("pain of 10", "clinician", "over 5", "pain rule", "seen in copies"),
        ("pain of 10, mild", "rest", "3 to 5", "pain rule", "seen in copies"),
    )
    for name, level, words, source, seen in limits:
        yield ReviewRow("threshold", name, level, words, "", "", source, seen)
    for kind, least in signs.ASK_FROM.items():
        words = f"the second reader asks about a line of kind {kind} from a probability of {least.share} on"
        yield ReviewRow("threshold", f"second reader, {kind}", "", words, "", "", "house", "measured, docs/safety.md")


def _answers() -> Iterable[ReviewRow]:
    said = (
        ("first line of an emergency", "emergency", "stop_and_call"),
        ("first line, somebody else", "emergency", "other_first"),
        ("first line, mind", "emergency", "crisis_first"),
        ("thoughts of self-harm", "urgent", "crisis_today"),
        ("urgent", "urgent", "urgent"),
        ("what would make it an emergency", "urgent", "worsens"),
        ("clinician", "clinician", "clinician"),
        ("clinician, muscle, bone or joint", "clinician", "clinician_msk"),
        ("low sugar", "clinician", "sugar_first"),
        ("closed question", "", "felt"),
        ("signs that mean call", "", "signs_line"),
    )
    aids = ((f"first aid: {row.removeprefix('aid_')}", "emergency", row) for row in rows() if row.startswith("aid_"))
    for name, level, row in (*said, *aids):
        for language in LANGUAGES:
            yield ReviewRow(
                "answer", f"{name} ({language})", level, in_all(row)[language], "", "", "docs/sources-safety.md", ""
            )
    cautions = [*(("caution", *row) for row in CARE.items()), *(("kind word", *row) for row in LEVEL.items())]
    for name, condition, told in cautions:
        yield ReviewRow("answer", f"{name}: {condition}", "", told, "", "", "docs/sources-safety.md", "")
    for answer in answers():
        yield ReviewRow("answer", f"question: {answer.topic}", "", answer.text, "", "", answer.source, "")


PARTS: tuple[Callable[[], Iterable[ReviewRow]], ...] = (_signs, _conditions, _thresholds, _answers)


def write_csv(out: TextIO) -> int:
    """Every row as CSV with a header line; the exit status, 0."""
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows(astuple(entry) for entry in entries())
    return DONE


def write_page(out: TextIO) -> int:
    """Every row as a page to read and to print; the exit status, 0."""
    out.write("Signs, conditions, thresholds and answers. No clinician has reviewed them yet.\n")
    kind = ""
    for entry in entries():
        if entry.table != kind:
            kind = entry.table
            out.write(f"\n{kind.upper()}S\n")
        level = f" [{entry.level}]" if entry.level else ""
        out.write(f"\n{entry.id}{level}\n  {entry.words}\n  source: {entry.source}; {entry.seen or 'see there'}\n")
        out.write("  right? ______  by ____________\n")
    return DONE


def review(lines: Iterable[str], out: TextIO, err: TextIO) -> int:
    """Says what a reviewed CSV changes: 0 if every row fits the tables, else 1 and a line for each that does not."""
    reader = csv.DictReader(lines, restval="")
    missing = [name for name in COLUMNS if name not in (reader.fieldnames or ())]
    if missing:
        err.write(f"the file has no column {', '.join(missing)}; write one with nudgebot signs --csv\n")
        return FAILED
    known = {(entry.table, entry.id): entry for entry in entries()}
    faults = reviewed = changed = 0
    for row in reader:
        where = f"line {reader.line_num}, {row['table']} {row['id']!r}"
        entry = known.get((row["table"], row["id"]))
        problem = _problem(entry, row)
        if problem or entry is None:
            faults += 1
            err.write(f"{where}: {problem}\n")
            continue
        if not any(row[name] for name in REVIEW):
            continue
        reviewed += 1
        new = row["new_level"]
        what = f"{entry.level} → {new}" if new and new != entry.level else "agreed" if not row["remark"] else "remark"
        changed += what != "agreed"
        by = f"{row['reviewer']}{', ' + row['reviewed_on'] if row['reviewed_on'] else ''}"
        out.write(f"{entry.table} {entry.id!r}: {what} ({by}){': ' + row['remark'] if row['remark'] else ''}\n")
    out.write(f"{reviewed} of {len(known)} rows reviewed, {changed} with a change or a remark\n")
    return FAILED if faults else DONE


def _problem(entry: ReviewRow | None, row: dict[str, str]) -> str:
    """Why a reviewed row cannot be taken; "" if it can."""
    if entry is None:
        return "is none of ours"
    edited = [name for name in FIXED if row[name] != getattr(entry, name)]
    if edited:
        return f"{', '.join(edited)} differs from the tables; they may have changed since, write the file anew"
    if row["new_level"] and row["new_level"] not in LEVELS:
        return f"{row['new_level']!r} is no level ({', '.join(LEVELS)})"
    if any(row[name] for name in ("reviewed_on", "new_level", "remark")) and not row["reviewer"].strip():
        return "says nothing of who reviewed it"
    return ""


def run(*, as_csv: bool, reviewed: Sequence[str] | None, out: TextIO, err: TextIO) -> int:
    """The page, or the CSV, or what the lines of a reviewed CSV change; the exit status."""
    if reviewed is not None:
        return review(reviewed, out, err)
    return write_csv(out) if as_csv else write_page(out)
