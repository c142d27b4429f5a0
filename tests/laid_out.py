"""A SQLite file with the lab's tables and no rows, without migrating for every test."""

import atexit
import shutil
import tempfile
from functools import lru_cache
from pathlib import Path

from exercises.store import open_store


def laid_out(file: Path) -> str:
    """Make the file, and return its address."""
    shutil.copyfile(_template(), file)
    return f"sqlite:///{file}"


@lru_cache(maxsize=1)
def _template() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="lab_laid_out_"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    file = folder / "lab.db"
    open_store(f"sqlite:///{file}").close()  # the last one out folds the log into the file
    return file
