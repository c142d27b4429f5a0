"""Write the next version: ``python -m exercises.migrations "add classes"``."""

import sys
import tempfile
from pathlib import Path

from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy import URL, NullPool

from exercises.engines import engine_on
from exercises.migrations.upgrade import configuration, upgrade


def main(title: str) -> None:
    """Write a version from the difference between the tables and the versions so far."""
    config = configuration()
    newest = ScriptDirectory.from_config(config).get_current_head() or "0"
    number = f"{int(newest) + 1:04}"
    config.set_main_option("file_template", "v%%(rev)s_%%(slug)s")
    with tempfile.TemporaryDirectory() as folder:
        url = URL.create("sqlite", database=str(Path(folder) / "newest.db"))
        upgrade(url, patience_ms=1000)
        engine = engine_on(url, patience_ms=1000, pool=NullPool)
        with engine.connect() as connection:
            config.attributes["connection"] = connection
            command.revision(config, title, autogenerate=True, rev_id=number)
        engine.dispose()


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit('usage: python -m exercises.migrations "what the new version adds"')
    main(sys.argv[1])
