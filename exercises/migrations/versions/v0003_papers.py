"""Papers: what somebody is still working on."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "paper",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.BigInteger(), nullable=False),
        sa.Column("learner_id", sa.Text()),
        sa.PrimaryKeyConstraint("id", name="pk_paper"),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name="fk_paper_learner_id", ondelete="CASCADE"
        ),
    )
    op.create_index("ix_paper_learner_id", "paper", ["learner_id"])
