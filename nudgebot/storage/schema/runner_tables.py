"""A runner and what is kept of them: one row at most first, then the lists."""

from __future__ import annotations

from sqlalchemy import Boolean, Column, Date, Float, Index, Integer, LargeBinary, Table, UniqueConstraint

from nudgebot.storage.schema.columns import (
    TEXT,
    Instant,
    flag,
    metadata,
    moment,
    number,
    of_runner,
    partial_index,
    row_id,
    word,
)

# A person is (voice, user): one chat may hold many. `next_due` is when to look at the runner again.
runners = Table(
    "runners",
    metadata,
    row_id(),
    word("voice"),
    word("user"),
    word("name"),
    moment("joined_at"),
    moment("last_heard"),
    flag("stopped"),
    flag("reachable"),
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
questions = Table(
    "questions",
    metadata,
    of_runner(primary_key=True),
    word("what"),
    moment("at"),
    word("token"),
    word("line"),
    Column("day", Date),
    word("detail"),
)
safety_questions = Table(
    "safety_questions",
    metadata,
    of_runner(primary_key=True),
    moment("at"),
    word("token"),
    word("line"),
    word("language"),
    number("times"),
    Column("yes_at", Instant),
    Column("walking_since", Instant),
)
returns = Table(
    "returns",
    metadata,
    of_runner(primary_key=True),
    Column("since", Date, nullable=False),
    number("days"),
    number("old_week"),
    number("old_long"),
    number("old_target"),
)
ladders = Table(
    "ladders",
    metadata,
    of_runner(primary_key=True),
    number("step"),
    number("clean"),
    Column("since", Date, nullable=False),
    Column("walk_until", Date),
)

answers = Table(
    "answers",
    metadata,
    of_runner(primary_key=True),
    Column("question", TEXT, primary_key=True),
    word("answer"),
)

changes = Table(  # the last things that can be taken back; `parts` is text of the core's own
    "changes",
    metadata,
    row_id(),
    of_runner(),
    word("key"),
    moment("at"),
    word("parts"),
    flag("restores"),
    Index(None, "runner_id", "at"),
)

# Many rows a runner. Within one date the order of arrival is the order of `id`.
log = Table(
    "log",
    metadata,
    row_id(),
    of_runner(),
    word("key"),
    Column("day", Date, nullable=False),
    number("minutes"),
    word("activity"),
    flag("in_place_of_run"),
    Column("effort", Integer),
    Column("heart_rate", Integer),
    Column("distance_km", Float),
    flag("hard"),
    number("cap"),
    Column("noted_at", Instant),
    Index(None, "runner_id", "day"),
)
plan = Table(
    "plan",
    metadata,
    row_id(),
    of_runner(),
    Column("day", Date, nullable=False),
    number("minutes"),
    word("kind"),
    Index(None, "runner_id", "day"),
)
weeks = Table(
    "weeks",
    metadata,
    row_id(),
    of_runner(),
    Column("start", Date, nullable=False),
    number("target"),
    number("full"),
    number("long_run"),
    word("kind"),
    Index(None, "runner_id", "start"),
)
layouts = Table(  # the sessions of a week as first laid out
    "layouts",
    metadata,
    row_id(),
    of_runner(),
    Column("start", Date, nullable=False),
    Column("day", Date, nullable=False),
    number("minutes"),
    word("kind"),
    Index(None, "runner_id", "start"),
)
limits = Table(
    "limits",
    metadata,
    row_id(),
    of_runner(),
    Column("day", Date, nullable=False),
    number("minutes"),
    word("reason"),
    Index(None, "runner_id", "day"),
)
nudges = Table(
    "nudges",
    metadata,
    row_id(),
    of_runner(),
    word("kind"),
    Column("for_day", Date, nullable=False),
    word("slot"),
    moment("due_at"),
    moment("at"),
    word("outcome"),
    word("reason"),
    Column("answered_at", Instant),
    UniqueConstraint("runner_id", "kind", "for_day", "slot"),  # at most once, whoever asks
    Index(None, "runner_id", "at"),
)
snoozes = Table(
    "snoozes",
    metadata,
    row_id(),
    of_runner(),
    word("key"),
    word("kind"),
    Column("for_day", Date, nullable=False),
    moment("at"),
    Index(None, "runner_id", "at"),
)
symptoms = Table(
    "symptoms",
    metadata,
    row_id(),
    of_runner(),
    Column("day", Date, nullable=False),
    word("level"),
    word("sign"),
    word("spot"),
    Column("score", Integer),
    Column("at", Instant),
    Index(None, "runner_id", "day"),
)

pauses = Table(
    "pauses",
    metadata,
    row_id(),
    of_runner(),
    Column("first", Date, nullable=False),
    Column("last", Date, nullable=False),
    Index(None, "runner_id", "first"),
)
# What a file told of the run whose log entry has that key; no place is kept.
recordings = Table(
    "recordings",
    metadata,
    row_id(),
    of_runner(),
    word("key"),
    word("sent_as"),
    Column("day", Date, nullable=False),
    moment("started_at"),
    number("total_seconds"),
    number("moving_seconds"),
    *(
        Column(name, Integer)
        for name in ("distance_m", "climb_m", "heart_rate", "under", "inside", "over", "low", "high")
    ),
    word("pulse"),
    Index(None, "runner_id", "day"),
)
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

readings = Table(
    "readings",
    metadata,
    row_id(),
    of_runner(),
    moment("at"),
    word("key"),
    word("digest"),
    word("intent"),
    Column("minutes", Integer),
    word("line"),
    Index(None, "runner_id", "at"),
)
