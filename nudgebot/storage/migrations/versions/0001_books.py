"""Runners and their books, the inbox and the outbox."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Makes the first tables. A migration spells its columns out: it must not change when tables.py does."""
    op.create_table(
        "heard",
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_heard")),
    )
    op.create_index(op.f("ix_heard_at"), "heard", ["at"], unique=False)
    op.create_table(
        "inbox",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("voice", sa.String(), nullable=False),
        sa.Column("chat", sa.String(), nullable=False),
        sa.Column("user", sa.String(), nullable=False),
        sa.Column("raw", sa.String(), nullable=True),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("received_at", sa.BigInteger(), nullable=False),
        sa.Column("ended_at", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inbox")),
        sa.UniqueConstraint("key", name=op.f("uq_inbox_key")),
    )
    op.create_index("ix_inbox_ended", "inbox", ["ended_at"], unique=False, sqlite_where=sa.text("ended_at IS NOT NULL"))
    op.create_index("ix_inbox_waiting", "inbox", ["id"], unique=False, sqlite_where=sa.text("ended_at IS NULL"))
    op.create_table(
        "runners",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("voice", sa.String(), nullable=False),
        sa.Column("user", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("joined_at", sa.BigInteger(), nullable=False),
        sa.Column("last_heard", sa.BigInteger(), nullable=False),
        sa.Column("stopped", sa.Boolean(), nullable=False),
        sa.Column("reachable", sa.Boolean(), nullable=False),
        sa.Column("half_runs", sa.Integer(), nullable=False),
        sa.Column("next_due", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_runners")),
        sa.UniqueConstraint("voice", "user", name=op.f("uq_runners_voice_user")),
        sqlite_autoincrement=True,
    )
    op.create_index(
        "ix_runners_due", "runners", ["voice", "next_due"], unique=False, sqlite_where=sa.text("next_due IS NOT NULL")
    )
    op.create_table(
        "answers",
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("question", sa.String(), nullable=False),
        sa.Column("answer", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_answers_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("runner_id", "question", name=op.f("pk_answers")),
    )
    op.create_table(
        "ladders",
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("step", sa.Integer(), nullable=False),
        sa.Column("clean", sa.Integer(), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_ladders_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("runner_id", name=op.f("pk_ladders")),
    )
    op.create_table(
        "layouts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("start", sa.Date(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_layouts_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_layouts")),
    )
    op.create_index(op.f("ix_layouts_runner_id_start"), "layouts", ["runner_id", "start"], unique=False)
    op.create_table(
        "limits",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_limits_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_limits")),
    )
    op.create_index(op.f("ix_limits_runner_id_day"), "limits", ["runner_id", "day"], unique=False)
    op.create_table(
        "log",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("activity", sa.String(), nullable=False),
        sa.Column("in_place_of_run", sa.Boolean(), nullable=False),
        sa.Column("effort", sa.Integer(), nullable=True),
        sa.Column("heart_rate", sa.Integer(), nullable=True),
        sa.Column("distance_km", sa.Float(), nullable=True),
        sa.Column("hard", sa.Boolean(), nullable=False),
        sa.Column("cap", sa.Integer(), nullable=False),
        sa.Column("noted_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_log_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_log")),
    )
    op.create_index(op.f("ix_log_runner_id_day"), "log", ["runner_id", "day"], unique=False)
    op.create_table(
        "nudges",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("for_day", sa.Date(), nullable=False),
        sa.Column("slot", sa.String(), nullable=False),
        sa.Column("due_at", sa.BigInteger(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("outcome", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("answered", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_nudges_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_nudges")),
        sa.UniqueConstraint("runner_id", "kind", "for_day", "slot", name=op.f("uq_nudges_runner_id_kind_for_day_slot")),
    )
    op.create_index(op.f("ix_nudges_runner_id_at"), "nudges", ["runner_id", "at"], unique=False)
    op.create_table(
        "outbox",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=True),
        sa.Column("voice", sa.String(), nullable=False),
        sa.Column("user", sa.String(), nullable=False),
        sa.Column("chat", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("buttons", sa.String(), nullable=False),
        sa.Column("asks", sa.String(), nullable=True),
        sa.Column("reply_to", sa.String(), nullable=True),
        sa.Column("nudge_kind", sa.String(), nullable=True),
        sa.Column("for_day", sa.Date(), nullable=True),
        sa.Column("slot", sa.String(), nullable=True),
        sa.Column("put_at", sa.BigInteger(), nullable=False),
        sa.Column("not_before", sa.BigInteger(), nullable=False),
        sa.Column("stale_at", sa.BigInteger(), nullable=True),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("leased_until", sa.BigInteger(), nullable=True),
        sa.Column("message_id", sa.String(), nullable=True),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("ended_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_outbox_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outbox")),
        sa.UniqueConstraint("key", name=op.f("uq_outbox_key")),
        sqlite_autoincrement=True,
    )
    op.create_index(
        "ix_outbox_ended", "outbox", ["ended_at"], unique=False, sqlite_where=sa.text("ended_at IS NOT NULL")
    )
    op.create_index(
        "ix_outbox_open", "outbox", ["voice", "address", "id"], unique=False, sqlite_where=sa.text("ended_at IS NULL")
    )
    op.create_index(op.f("ix_outbox_runner_id"), "outbox", ["runner_id"], unique=False)
    op.create_table(
        "plan",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_plan_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan")),
    )
    op.create_index(op.f("ix_plan_runner_id_day"), "plan", ["runner_id", "day"], unique=False)
    op.create_table(
        "questions",
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("token", sa.String(), nullable=False),
        sa.Column("line", sa.String(), nullable=False),
        sa.Column("day", sa.Date(), nullable=True),
        sa.Column("detail", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_questions_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("runner_id", name=op.f("pk_questions")),
    )
    op.create_table(
        "safety_questions",
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("token", sa.String(), nullable=False),
        sa.Column("line", sa.String(), nullable=False),
        sa.Column("language", sa.String(), nullable=False),
        sa.Column("times", sa.Integer(), nullable=False),
        sa.Column("yes_at", sa.BigInteger(), nullable=True),
        sa.Column("ill_since", sa.Date(), nullable=True),
        sa.Column("last_fever", sa.Date(), nullable=True),
        sa.Column("walking_since", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_safety_questions_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("runner_id", name=op.f("pk_safety_questions")),
    )
    op.create_table(
        "returns",
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("since", sa.Date(), nullable=False),
        sa.Column("days", sa.Integer(), nullable=False),
        sa.Column("old_week", sa.Integer(), nullable=False),
        sa.Column("old_long", sa.Integer(), nullable=False),
        sa.Column("old_target", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_returns_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("runner_id", name=op.f("pk_returns")),
    )
    op.create_table(
        "snoozes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("for_day", sa.Date(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_snoozes_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_snoozes")),
    )
    op.create_index(op.f("ix_snoozes_runner_id_at"), "snoozes", ["runner_id", "at"], unique=False)
    op.create_table(
        "standings",
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("since", sa.BigInteger(), nullable=True),
        sa.Column("day", sa.Date(), nullable=True),
        sa.Column("last_fever", sa.Date(), nullable=True),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("level", sa.String(), nullable=False),
        sa.Column("sign", sa.String(), nullable=False),
        sa.Column("said", sa.String(), nullable=False),
        sa.Column("asked_yes", sa.Boolean(), nullable=False),
        sa.Column("step", sa.String(), nullable=True),
        sa.Column("step_since", sa.BigInteger(), nullable=True),
        sa.Column("who", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_standings_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("runner_id", name=op.f("pk_standings")),
    )
    op.create_table(
        "symptoms",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("level", sa.String(), nullable=False),
        sa.Column("sign", sa.String(), nullable=False),
        sa.Column("spot", sa.String(), nullable=False),
        sa.Column("score", sa.Integer(), nullable=True),
        sa.Column("at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_symptoms_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_symptoms")),
    )
    op.create_index(op.f("ix_symptoms_runner_id_day"), "symptoms", ["runner_id", "day"], unique=False)
    op.create_table(
        "weeks",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("runner_id", sa.Integer(), nullable=False),
        sa.Column("start", sa.Date(), nullable=False),
        sa.Column("target", sa.Integer(), nullable=False),
        sa.Column("full", sa.Integer(), nullable=False),
        sa.Column("long_run", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["runner_id"], ["runners.id"], name=op.f("fk_weeks_runner_id_runners"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_weeks")),
    )
    op.create_index(op.f("ix_weeks_runner_id_start"), "weeks", ["runner_id", "start"], unique=False)


def downgrade() -> None:
    """Removes everything."""
    op.drop_index(op.f("ix_weeks_runner_id_start"), table_name="weeks")
    op.drop_table("weeks")
    op.drop_index(op.f("ix_symptoms_runner_id_day"), table_name="symptoms")
    op.drop_table("symptoms")
    op.drop_table("standings")
    op.drop_index(op.f("ix_snoozes_runner_id_at"), table_name="snoozes")
    op.drop_table("snoozes")
    op.drop_table("returns")
    op.drop_table("safety_questions")
    op.drop_table("questions")
    op.drop_index(op.f("ix_plan_runner_id_day"), table_name="plan")
    op.drop_table("plan")
    op.drop_index(op.f("ix_outbox_runner_id"), table_name="outbox")
    op.drop_index("ix_outbox_open", table_name="outbox", sqlite_where=sa.text("ended_at IS NULL"))
    op.drop_index("ix_outbox_ended", table_name="outbox", sqlite_where=sa.text("ended_at IS NOT NULL"))
    op.drop_table("outbox")
    op.drop_index(op.f("ix_nudges_runner_id_at"), table_name="nudges")
    op.drop_table("nudges")
    op.drop_index(op.f("ix_log_runner_id_day"), table_name="log")
    op.drop_table("log")
    op.drop_index(op.f("ix_limits_runner_id_day"), table_name="limits")
    op.drop_table("limits")
    op.drop_index(op.f("ix_layouts_runner_id_start"), table_name="layouts")
    op.drop_table("layouts")
    op.drop_table("ladders")
    op.drop_table("answers")
    op.drop_index("ix_runners_due", table_name="runners", sqlite_where=sa.text("next_due IS NOT NULL"))
    op.drop_table("runners")
    op.drop_index("ix_inbox_waiting", table_name="inbox", sqlite_where=sa.text("ended_at IS NULL"))
    op.drop_index("ix_inbox_ended", table_name="inbox", sqlite_where=sa.text("ended_at IS NOT NULL"))
    op.drop_table("inbox")
    op.drop_index(op.f("ix_heard_at"), table_name="heard")
    op.drop_table("heard")
