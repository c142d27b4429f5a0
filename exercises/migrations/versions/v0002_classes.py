"""Instructors, classes, learners, assignments, sign-ins; whose an attempt is, who marked it."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables; SQLite rebuilds ``attempt``, which no trigger is on."""
    _make_instructors_and_classes()
    _make_learners()
    _make_assignments()
    _make_sign_ins()
    _add_to_attempts_and_marks()


def _make_instructors_and_classes() -> None:
    op.create_table(
        "instructor",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("login", sa.Text(), nullable=False),
        sa.Column("secret_hash", sa.Text()),
        sa.Column("oidc_iss_sub", sa.Text()),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_instructor"),
        sa.UniqueConstraint("login", name="uq_instructor_login"),
        sa.UniqueConstraint("oidc_iss_sub", name="uq_instructor_oidc_iss_sub"),
    )
    op.create_table(
        "class_room",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("instructor_id", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("join_code", sa.Text(), nullable=False),
        sa.Column("joining_open", sa.Boolean(), nullable=False),
        sa.Column("erase_after", sa.BigInteger()),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_class_room"),
        sa.UniqueConstraint("join_code", name="uq_class_room_join_code"),
        sa.ForeignKeyConstraint(
            ["instructor_id"], ["instructor.id"], name="fk_class_room_instructor_id"
        ),
    )
    op.create_index("ix_class_room_instructor_id", "class_room", ["instructor_id"])


def _make_learners() -> None:
    op.create_table(
        "learner",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("class_id", sa.Text()),
        sa.Column("nickname", sa.Text(), nullable=False),
        sa.Column("nickname_key", sa.Text(), nullable=False),
        sa.Column("pin_hash", sa.Text()),
        sa.Column("group_name", sa.Text()),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_learner"),
        sa.UniqueConstraint("class_id", "nickname_key", name="uq_learner_class_id_nickname_key"),
        sa.ForeignKeyConstraint(
            ["class_id"], ["class_room.id"], name="fk_learner_class_id", ondelete="CASCADE"
        ),
    )


def _make_assignments() -> None:
    op.create_table(
        "assignment",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("class_id", sa.Text(), nullable=False),
        sa.Column("exercise_digest", sa.Text(), nullable=False),
        sa.Column("opens", sa.BigInteger()),
        sa.Column("due", sa.BigInteger()),
        sa.Column("rules", sa.Text(), nullable=False),
        sa.Column("released_at", sa.BigInteger()),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_assignment"),
        sa.ForeignKeyConstraint(
            ["class_id"], ["class_room.id"], name="fk_assignment_class_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["exercise_digest"], ["exercise_version.digest"], name="fk_assignment_exercise_digest"
        ),
    )
    op.create_index("ix_assignment_class_id", "assignment", ["class_id"])


def _make_sign_ins() -> None:
    op.create_table(
        "sign_in",
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("learner_id", sa.Text()),
        sa.Column("instructor_id", sa.Text()),
        sa.Column("expires", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("token_hash", name="pk_sign_in"),
        sa.CheckConstraint(
            "(learner_id IS NULL) <> (instructor_id IS NULL)", name="ck_sign_in_one_person"
        ),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name="fk_sign_in_learner_id", ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["instructor_id"],
            ["instructor.id"],
            name="fk_sign_in_instructor_id",
            ondelete="CASCADE",
        ),
    )
    op.create_index("ix_sign_in_learner_id", "sign_in", ["learner_id"])
    op.create_index("ix_sign_in_instructor_id", "sign_in", ["instructor_id"])
    op.create_table(
        "throttle",
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("fails", sa.Integer(), nullable=False),
        sa.Column("until", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("subject", name="pk_throttle"),
    )


def _add_to_attempts_and_marks() -> None:
    with op.batch_alter_table("attempt") as attempt:
        for name in ("learner", "assignment"):
            attempt.add_column(sa.Column(f"{name}_id", sa.Text()))
            attempt.create_foreign_key(
                f"fk_attempt_{name}_id", name, [f"{name}_id"], ["id"], ondelete="CASCADE"
            )
            attempt.create_index(f"ix_attempt_{name}_id", [f"{name}_id"])
    op.add_column("mark", sa.Column("made_by", sa.Text()))
    op.add_column("mark", sa.Column("reason", sa.Text()))
