"""The tables, as the newest migration leaves them, on either database.

Bodies are text with canonical JSON: digests need the same bytes back. Times are UTC
milliseconds. A test compares these tables with what the migrations make.
"""

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)

circuit_version = Table(
    "circuit_version",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("kept_at", BigInteger, nullable=False),
)

exercise_version = Table(
    "exercise_version",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("circuit_digest", Text, ForeignKey("circuit_version.digest"), nullable=False),
    Column("body", Text, nullable=False),
    Column("kept_at", BigInteger, nullable=False),
)

instructor = Table(
    "instructor",
    metadata,
    Column("id", Text, primary_key=True),
    Column("login", Text, nullable=False, unique=True),
    Column("secret_hash", Text),
    Column("oidc_iss_sub", Text, unique=True),
    Column("made_at", BigInteger, nullable=False),
)

class_room = Table(
    "class_room",
    metadata,
    Column("id", Text, primary_key=True),
    Column("instructor_id", Text, ForeignKey("instructor.id"), nullable=False, index=True),
    Column("title", Text, nullable=False),
    Column("join_code", Text, nullable=False, unique=True),
    Column("joining_open", Boolean, nullable=False),
    Column("erase_after", BigInteger),
    Column("made_at", BigInteger, nullable=False),
)

learner = Table(
    "learner",
    metadata,
    Column("id", Text, primary_key=True),
    Column("class_id", Text, ForeignKey("class_room.id", ondelete="CASCADE")),
    Column("nickname", Text, nullable=False),
    Column("nickname_key", Text, nullable=False),
    Column("pin_hash", Text),
    Column("group_name", Text),
    Column("made_at", BigInteger, nullable=False),
    UniqueConstraint("class_id", "nickname_key"),
)

assignment = Table(
    "assignment",
    metadata,
    Column("id", Text, primary_key=True),
    Column(
        "class_id",
        Text,
        ForeignKey("class_room.id", ondelete="CASCADE"),
        nullable=False,
        index=True,
    ),
    Column("exercise_digest", Text, ForeignKey("exercise_version.digest"), nullable=False),
    Column("opens", BigInteger),
    Column("due", BigInteger),
    Column("rules", Text, nullable=False),
    Column("released_at", BigInteger),
    Column("made_at", BigInteger, nullable=False),
)

sign_in = Table(
    "sign_in",
    metadata,
    Column("token_hash", Text, primary_key=True),
    Column("learner_id", Text, ForeignKey("learner.id", ondelete="CASCADE"), index=True),
    Column("instructor_id", Text, ForeignKey("instructor.id", ondelete="CASCADE"), index=True),
    Column("expires", BigInteger, nullable=False),
    CheckConstraint("(learner_id IS NULL) <> (instructor_id IS NULL)", name="one_person"),
)

throttle = Table(
    "throttle",
    metadata,
    Column("subject", Text, primary_key=True),
    Column("fails", Integer, nullable=False),
    Column("until", BigInteger, nullable=False),
)

paper = Table(
    "paper",
    metadata,
    Column("id", Text, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("version", Integer, nullable=False),
    Column("changed_at", BigInteger, nullable=False),
    Column("learner_id", Text, ForeignKey("learner.id", ondelete="CASCADE"), index=True),
)

attempt = Table(
    "attempt",
    metadata,
    Column("id", Text, primary_key=True),
    Column("exercise_digest", Text, ForeignKey("exercise_version.digest"), nullable=False),
    Column("seed", BigInteger, nullable=False),
    Column("engine", Text, nullable=False),
    Column("started_at", BigInteger, nullable=False),
    # without a learner it is of local use, where nobody signs in
    Column("learner_id", Text, ForeignKey("learner.id", ondelete="CASCADE"), index=True),
    Column("assignment_id", Text, ForeignKey("assignment.id", ondelete="CASCADE"), index=True),
)

attempt_event = Table(
    "attempt_event",
    metadata,
    Column("attempt_id", Text, ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("key", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("at", BigInteger, nullable=False),
    Column("digest", Text, nullable=False),
    UniqueConstraint("attempt_id", "key"),
)

mark = Table(
    "mark",
    metadata,
    Column("id", Integer, primary_key=True),
    Column(
        "attempt_id", Text, ForeignKey("attempt.id", ondelete="CASCADE"), nullable=False, index=True
    ),
    Column("up_to_seq", Integer, nullable=False),
    Column("events_digest", Text, nullable=False),
    Column("marker", Text, nullable=False),
    Column("weights", Text, nullable=False),
    Column("columns", Text, nullable=False),
    Column("made_at", BigInteger, nullable=False),
    # no foreign key: a mark is never changed, whoever leaves
    Column("made_by", Text),
    Column("reason", Text),
)
