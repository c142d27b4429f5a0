"""The first tables: versions of circuits and exercises, attempts, events, marks."""

import sqlalchemy as sa
from alembic import op

from exercises.migrations.triggers import keep_with_its_attempt, refuse_changes

revision = "0001"
down_revision = None

_NEVER_CHANGED = ("circuit_version", "exercise_version", "attempt_event", "mark")
_GOES_WITH_ITS_ATTEMPT = ("attempt_event", "mark")


def upgrade() -> None:
    """Make the tables and the triggers that guard them."""
    _make_versions()
    _make_attempts()
    _make_marks()
    _make_triggers()


def _make_versions() -> None:
    op.create_table(
        "circuit_version",
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("kept_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_circuit_version"),
    )
    op.create_table(
        "exercise_version",
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("circuit_digest", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("kept_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_exercise_version"),
        sa.ForeignKeyConstraint(
            ["circuit_digest"],
            ["circuit_version.digest"],
            name="fk_exercise_version_circuit_digest",
        ),
    )


def _make_attempts() -> None:
    op.create_table(
        "attempt",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("exercise_digest", sa.Text(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("engine", sa.Text(), nullable=False),
        sa.Column("started_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_attempt"),
        sa.ForeignKeyConstraint(
            ["exercise_digest"], ["exercise_version.digest"], name="fk_attempt_exercise_digest"
        ),
    )
    op.create_table(
        "attempt_event",
        sa.Column("attempt_id", sa.Text(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("attempt_id", "seq", name="pk_attempt_event"),
        sa.UniqueConstraint("attempt_id", "key", name="uq_attempt_event_attempt_id_key"),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name="fk_attempt_event_attempt_id", ondelete="CASCADE"
        ),
    )


def _make_marks() -> None:
    op.create_table(
        "mark",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("attempt_id", sa.Text(), nullable=False),
        sa.Column("up_to_seq", sa.Integer(), nullable=False),
        sa.Column("events_digest", sa.Text(), nullable=False),
        sa.Column("marker", sa.Text(), nullable=False),
        sa.Column("weights", sa.Text(), nullable=False),
        sa.Column("columns", sa.Text(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_mark"),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name="fk_mark_attempt_id", ondelete="CASCADE"
        ),
    )
    op.create_index("ix_mark_attempt_id", "mark", ["attempt_id"])


def _make_triggers() -> None:
    for table in _NEVER_CHANGED:
        refuse_changes(table)
    for table in _GOES_WITH_ITS_ATTEMPT:
        keep_with_its_attempt(table)
