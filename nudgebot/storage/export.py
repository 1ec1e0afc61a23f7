"""Everything that is kept of one person, for that person: whole as JSON, the log as CSV. (docs/export.md)

The tables are walked by their references, so a table that is added is in the export without being named here.
"""

from __future__ import annotations

import csv
import io
import json
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import Column, Connection, Table, and_, select

from nudgebot.storage import schema

FORMAT: Final = "nudgebot export 1"
CSV_COLUMNS: Final = ("day", "minutes", "activity", "in_place_of_run", "effort", "heart_rate", "distance_km", "hard")
# Notes that a coach wrote are about the runner they are about; for the coach they are somebody else's.
_NOT_THE_WRITERS: Final = frozenset({("notes", "author_id"), ("mentions", "runner_id")})
# What a spreadsheet takes for a formula (OWASP, "CSV Injection"): such a cell is given an apostrophe in front.
_FORMULA: Final = frozenset("=+-@\t\r\n＝＋－＠")
_NUMBER: Final = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")
ABOUT: Final = """What is in this archive: everything that nudgebot keeps of {name}, written when /export was asked for.

everything.json   all of it, for programs; each list is a table of the database
log.csv           your sessions: day, minutes, activity, effort (0 to 10), heart rate (beats a minute), distance (km)
the other .csv    the same lists as in everything.json, for a spreadsheet; a list without rows has no file

Days are your own calendar dates; moments are in UTC. An empty cell is something you did not tell. A cell that begins
like a formula has an apostrophe in front of it, so that a spreadsheet shows it and does not run it.

Coached by: {coaches}
What each column means: docs/export.md of the project. Nothing was deleted by this; /erase does that.
"""
# Messages on their way: what was said and when; how often a call was tried is ours.
_LETTERS: Final = {
    "inbox": ("raw", "state", "received_at", "ended_at"),
    "outbox": ("kind", "text", "chat", "state", "put_at", "ended_at"),
}


def everything(conn: Connection, runner_id: int) -> dict[str, Any]:
    """All rows of a person by table, in the order in which they were written; LookupError where there is none."""
    person = conn.execute(select(schema.runners).where(schema.runners.c.id == runner_id)).mappings().one_or_none()
    if person is None:
        raise LookupError("no such runner", runner_id)
    found: dict[str, Any] = {"format": FORMAT, "runner": _row(schema.runners, dict(person))}
    for table in schema.metadata.sorted_tables:
        column = owner_column(table)
        if table.name in _LETTERS:
            of_person = and_(table.c.voice == person["voice"], table.c.user == person["user"])
        elif column is not None:
            of_person = column == runner_id
        else:
            continue
        rows = conn.execute(select(table).where(of_person).order_by(*table.primary_key.columns)).mappings()
        found[table.name] = [_row(table, dict(row)) for row in rows]
    found["coached_by"] = [{"name": name, "since": _value(since)} for name, since in _coaches(conn, runner_id)]
    return found


def _coaches(conn: Connection, runner_id: int) -> list[tuple[str, datetime]]:
    """Who coaches the group that somebody runs in, and since when."""
    members, coaches = schema.members.c, schema.coaches.c
    now = members.left_at.is_(None)
    group = select(members.group_id).where(members.runner_id == runner_id, now).scalar_subquery()
    named = select(schema.runners.c.name, coaches.since).join(schema.coaches, coaches.runner_id == schema.runners.c.id)
    rows = conn.execute(named.where(coaches.group_id == group).order_by(coaches.leads.desc(), coaches.since))
    return [(row.name, row.since) for row in rows]


def owner_column(table: Table) -> Column[Any] | None:
    """The column that says whose a row is, None for a table that is nobody's."""
    for column in table.columns:
        names_runner = any(key.column.table is schema.runners for key in column.foreign_keys)
        if names_runner and (table.name, column.name) not in _NOT_THE_WRITERS:
            return column
    return None


def columns(table: Table) -> tuple[str, ...]:
    """The columns of a table as they are exported: neither our numbers nor digests."""
    if table.name in _LETTERS:
        return _LETTERS[table.name]
    names_row = {key.name for key in table.columns if key.foreign_keys or key.name == "id"}
    return tuple(c.name for c in table.columns if c.name not in names_row and c.name != "digest")


def as_json(found: dict[str, Any]) -> str:
    """The export as JSON text (RFC 8259), one row a line."""
    lines = [f' "format": {json.dumps(found["format"])}', f' "runner": {_dump(found["runner"])}']
    for name, rows in found.items():
        if isinstance(rows, list):
            body = ",\n  ".join(_dump(row) for row in rows)
            lines.append(f" {json.dumps(name)}: [{body}]" if len(rows) < 2 else f" {json.dumps(name)}: [\n  {body}]")
    return "{\n" + ",\n".join(lines) + "\n}"


def as_zip(found: dict[str, Any]) -> bytes:
    """An explanation, `everything.json`, and each list with rows as a CSV file; the same rows are the same bytes.

    The CSV files begin with a byte order mark, by which spreadsheets know UTF-8.
    """
    coaches = ", ".join(each["name"] for each in found["coached_by"]) or "nobody"
    about = ABOUT.format(name=found["runner"]["name"], coaches=coaches)
    files = {"about.txt": about, "everything.json": as_json(found) + "\n"}
    for name, rows in found.items():
        if isinstance(rows, list) and rows:
            text = log_csv(found) if name == "log" else _csv(tuple(rows[0]), rows)
            files[f"{name}.csv"] = f"\ufeff{text}"
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in files.items():
            packed.writestr(zipfile.ZipInfo(name), text.encode(), zipfile.ZIP_DEFLATED)
    return out.getvalue()


def log_csv(found: dict[str, Any]) -> str:
    """The log as CSV text (RFC 4180, with LF), oldest day first."""
    return _csv(CSV_COLUMNS, sorted(found["log"], key=lambda row: str(row["day"])))


def _csv(names: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, names, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows({name: _defused(value) for name, value in row.items()} for row in rows)
    return out.getvalue()


def _defused(value: object) -> object:
    """A cell that no spreadsheet takes for a formula, its line breaks all alike."""
    if not isinstance(value, str):
        return value
    plain = value.replace("\r\n", "\n").replace("\r", "\n")
    formula = plain and plain[0] in _FORMULA and not _NUMBER.fullmatch(plain)
    return f"'{plain}" if formula else plain


def _dump(row: dict[str, Any]) -> str:
    return json.dumps(row, ensure_ascii=False)


def _row(table: Table, row: dict[str, Any]) -> dict[str, Any]:
    return {name: _value(row[name]) for name in columns(table)}


def _value(value: object) -> object:
    return value.isoformat() if isinstance(value, datetime | date) else value
