"""A screen that fails for a reason nobody foresaw says so in a sentence."""

from streamlit.testing.v1 import AppTest

SCRIPT = """
from exercises.screens.guard import guarded

def show():
    raise RuntimeError("W4 is open")

guarded(show)()
"""


def test_a_failing_screen_tells_no_traceback_and_no_fault() -> None:
    app = AppTest.from_string(SCRIPT).run()
    assert not app.exception
    assert [error.value for error in app.error] == [
        "Something went wrong here. Nothing is lost: load the page again and go on."
    ]
