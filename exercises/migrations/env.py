"""Run the versions on the connection that ``upgrade`` passes in, within its transaction."""

from alembic import context

from exercises.tables import metadata


def run() -> None:
    """Run the versions that the command asks for."""
    context.configure(
        connection=context.config.attributes["connection"],
        target_metadata=metadata,
        render_as_batch=True,
    )
    with context.begin_transaction():
        context.run_migrations()


# Alembic executes this file; whoever merely imports it has no context to run in
if hasattr(context, "config"):
    run()
