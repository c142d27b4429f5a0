"""What a server that is started for classes has beside Streamlit, and says to who starts it."""

import sys

from starlette.middleware import Middleware
from starlette.routing import Route

from exercises.identity.names import shown_code
from exercises.identity.people import IdentityError
from exercises.records import StoreError
from exercises.screens.doorway.routes import DOOR, Gate, routes
from exercises.screens.house import class_use, house


def beside(base: str) -> tuple[list[Route], list[Middleware]]:
    """Return the door's routes and the gate; in local use there are none.

    While there is no instructor, the code for the first one is printed. A server that could let
    nobody in ends with a sentence.

    Parameters
    ----------
    base : the path below which the lab is served, as Streamlit is told it.
    """
    if not class_use():
        return [], []
    try:
        door = house().door
        code = door.setup_code() if door else None
    except (StoreError, IdentityError) as error:
        sys.exit(f"The lab cannot be opened for classes. {error}")
    if code:
        sys.stdout.write(
            f"\n  There is no instructor yet. Set-up code: {shown_code(code)}\n"
            f"  Make the first account at /{DOOR}/first\n\n"
        )
        sys.stdout.flush()
    return routes(base), [Middleware(Gate, base=base)]
