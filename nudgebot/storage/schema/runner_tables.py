"""A runner and what is kept of them: one row at most first, then the lists.

What holds a value of the book has a column for each of its fields (`columns_of`).
"""

from __future__ import annotations

from sqlalchemy import Boolean, Column, Date, Index, Integer, LargeBinary, Table, UniqueConstraint

from nudgebot.domain.model.journal import Change
from nudgebot.domain.model.logbook import LogEntry, Recording
from nudgebot.domain.model.nudged import Nudged, Snooze
from nudgebot.domain.model.questions import Asked, PressedReading, SafetyQuestion
from nudgebot.domain.model.runner import DayLimit, Pause, Runner, SymptomNote
from nudgebot.domain.model.week import Return, Session, WalkRun, Week
from nudgebot.storage.schema.columns import (
    TEXT,
    Instant,
    columns_of,
    flag,
    many_of,
    metadata,
    moment,
    number,
    of_runner,
    one_of,
    partial_index,
    row_id,
    word,
)

# A person is (voice, user): one chat may hold many. `next_due` is when to look at the runner again.
runners = Table(
    "runners",
    metadata,
    row_id(),
    *columns_of(Runner, "id"),
    number("half_runs"),
    flag("teaches"),
    Column("next_due", Instant),
    UniqueConstraint("voice", "user"),
    sqlite_autoincrement=True,  # a number is never given to a second person
)
partial_index("ix_runners_due", runners.c.voice, runners.c.next_due, where=runners.c.next_due.is_not(None))

# One row a runner at most: where they stand, what we asked back, a return under way, the walk-run ladder.
standings = Table(  # `kind` says which of the others are filled
    "standings",
    metadata,
    of_runner(primary_key=True),
    word("kind"),
    Column("since", Instant),
    Column("day", Date),
    Column("last_fever", Date),
    Column("last_upset", Date),
    Column("last_ill", Date),
    Column("covid", Boolean),
    Column("deep", Boolean),
    Column("why", TEXT),
    Column("level", TEXT),
    Column("sign", TEXT),
    Column("said", TEXT),
    Column("asked_yes", Boolean),
    Column("number", TEXT),
    Column("clearing_step", TEXT),
    Column("clearing_since", Instant),
    Column("clearing_who", TEXT),
)
questions = one_of("questions", Asked)
safety_questions = one_of("safety_questions", SafetyQuestion)
returns = one_of("returns", Return)
ladders = one_of("ladders", WalkRun)
answers = Table(
    "answers",
    metadata,
    of_runner(primary_key=True),
    Column("question", TEXT, primary_key=True),
    word("answer"),
)

# Many rows a runner. Within one date the order of arrival is the order of `id`.
log = many_of("log", LogEntry, "day")
plan = many_of("plan", Session, "day")
weeks = many_of("weeks", Week, "start", left_out=("sessions",))
layouts = Table(  # the sessions of a week as first laid out
    "layouts",
    metadata,
    row_id(),
    of_runner(),
    Column("start", Date, nullable=False),
    *columns_of(Session),
    Index(None, "runner_id", "start"),
)
limits = many_of("limits", DayLimit, "day")
# At most once, whoever asks.
nudges = many_of("nudges", Nudged, "at", UniqueConstraint("runner_id", "kind", "for_day", "slot"))
snoozes = many_of("snoozes", Snooze, "at")
symptoms = many_of("symptoms", SymptomNote, "day")
pauses = many_of("pauses", Pause, "first")
recordings = many_of("recordings", Recording, "day")
readings = many_of("readings", PressedReading, "at")
changes = many_of("changes", Change, "at")

# Sessions as the runner's calendar has them, and the key of its private feed; null: none is open.
calendar_events = Table(
    "calendar_events",
    metadata,
    row_id(),
    of_runner(index=True),
    word("uid"),
    number("sequence"),
    Column("day", Date, nullable=False),
    number("minutes"),
    word("kind"),
    flag("cancelled"),
    moment("changed_at"),
)
feeds = Table(
    "feeds",
    metadata,
    of_runner(primary_key=True),
    Column("digest", LargeBinary, index=True),
    Column("alarm", Integer),
)
