"""Triggers that guard what is never changed, on either database.

Every version that makes or rebuilds a guarded table calls these again.
"""

from alembic import op

_POSTGRESQL_CHANGED = """
CREATE FUNCTION {table}_is_never_changed() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '{table} is never changed'; END $$
"""
_POSTGRESQL_GOES = """
CREATE FUNCTION {table}_goes_with_its_attempt() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN
  IF EXISTS (SELECT 1 FROM attempt WHERE id = OLD.attempt_id) THEN
    RAISE EXCEPTION '{table} goes only with its attempt';
  END IF;
  RETURN OLD;
END $$
"""


def refuse_changes(table: str) -> None:
    """Refuse every UPDATE of a table, and on PostgreSQL its TRUNCATE, which passes by DELETE."""
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            f"CREATE TRIGGER {table}_is_never_changed BEFORE UPDATE ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} is never changed'); END"
        )
        return
    op.execute(_POSTGRESQL_CHANGED.format(table=table))
    op.execute(
        f"CREATE TRIGGER {table}_is_never_changed BEFORE UPDATE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_is_never_changed()"
    )
    op.execute(
        f"CREATE TRIGGER {table}_is_never_emptied BEFORE TRUNCATE ON {table} "
        f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_is_never_changed()"
    )


def keep_with_its_attempt(table: str) -> None:
    """Refuse a DELETE of rows whose attempt is there."""
    # a cascade has removed the attempt before it comes to these rows
    if op.get_bind().dialect.name == "sqlite":
        op.execute(
            f"CREATE TRIGGER {table}_goes_with_its_attempt BEFORE DELETE ON {table} "
            "WHEN EXISTS (SELECT 1 FROM attempt WHERE id = OLD.attempt_id) "
            f"BEGIN SELECT RAISE(ABORT, '{table} goes only with its attempt'); END"
        )
        return
    op.execute(_POSTGRESQL_GOES.format(table=table))
    op.execute(
        f"CREATE TRIGGER {table}_goes_with_its_attempt BEFORE DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_goes_with_its_attempt()"
    )
