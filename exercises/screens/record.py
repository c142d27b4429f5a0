"""The record as one file: saved from here, put back where there is nothing yet."""

import tempfile
from datetime import UTC, datetime
from pathlib import Path

import streamlit as st

from exercises.backup.archive import BackupError
from exercises.backup.whole import back_up, is_empty, restore
from exercises.records import StoreError
from exercises.screens.house import class_use, house, now_ms

_ERRORS = (BackupError, StoreError)
_LARGEST_MB = 500


def show() -> None:
    """Show what can be done with the record."""
    st.title("Record", anchor=False)
    st.text(
        "Everything that this server keeps, as one file: classes, learners, exercises set, "
        "attempts, marks. It holds no PIN or password that could be read, and it is as private "
        "as the class is. The file can be put back into either kind of database."
    )
    with st.container(key="record_out", border=True):
        st.subheader("Save a backup", anchor=False)
        _out()
    with st.container(key="record_in", border=True):
        st.subheader("Put a backup back", anchor=False)
        _back()


def _out() -> None:
    if st.button("Make a backup", type="primary", key="make_backup"):
        try:
            with st.spinner("Writing it …"):
                content = _backup()
        except _ERRORS as error:
            st.error(str(error))
            return
        day = datetime.fromtimestamp(now_ms() / 1000, tz=UTC).date().isoformat()
        st.download_button(
            f"Save it ({len(content) / 1e6:.1f} MB)",
            content,
            file_name=f"millrace-lab-{day}.zip",
            mime="application/zip",
            on_click="ignore",
            key="save_backup",
        )


def _backup() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "lab.zip"
        back_up(house().store.database, file, at=now_ms())
        return file.read_bytes()


def _back() -> None:
    try:
        empty = is_empty(house().store.database)
    except _ERRORS as error:
        st.error(str(error))
        return
    if not empty:
        told = "Only a database without rows takes a backup, so that nothing is overwritten."
        if class_use():
            told += " Start with a new one: python -m exercises restore FILE.zip"
        st.text(told)
        return
    given = st.file_uploader(
        "A backup of this lab", type="zip", max_upload_size=_LARGEST_MB, key="backup_file"
    )
    if given is not None and st.button("Put it back", key="restore_backup"):
        _restore(given.getvalue())


def _restore(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "lab.zip"
        file.write_bytes(content)
        try:
            rows = restore(house().store.database, file)
        except _ERRORS as error:
            # the folder's name says nothing to a person
            st.error(str(error).replace(str(file), "The file"))
            return
    st.success(f"Put back: {rows['attempt']} attempts with {rows['attempt_event']} events.")
