"""What the door answers to a form, without the web round it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from exercises.identity.door import Door
from exercises.identity.people import IdentityError, Person
from exercises.records import StoreError
from exercises.screens.doorway import forms

Fields = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Answer:
    """A page to show; or with ``goes_to`` another one to go to.

    Attributes
    ----------
    token : the sign-in that the browser is to keep; empty to drop the one it has; None: as is.
    """

    status: int
    page: str = ""
    goes_to: str = ""
    token: str | None = None


def show_joining(_door: Door, person: Person | None) -> Answer:
    """Show the learners' form, or who is signed in."""
    return Answer(200, forms.known(person) if person else forms.joining({}))


def show_signing_in(door: Door, _person: Person | None) -> Answer:
    """Show the instructors' form."""
    return Answer(200, forms.signing_in({}, is_new=door.setup_code() is not None))


def show_first(door: Door, _person: Person | None) -> Answer:
    """Show the form for the first account, as long as there is none."""
    if door.setup_code() is None:
        return Answer(404, forms.told("No such page", "There is an instructor here already."))
    return Answer(200, forms.first_account({}))


def show_out(_door: Door, _person: Person | None) -> Answer:
    """Lead to the page with the button: an address alone signs nobody out."""
    return Answer(303, goes_to="../door")


def join(door: Door, fields: Fields, at: int) -> Answer:
    """Let a learner in, for the first time or again."""
    way = door.come_back if fields.get("been") == forms.BACK else door.join
    return _let_in(
        lambda: way(_of(fields, "code"), _of(fields, "nickname"), _of(fields, "pin"), at=at),
        lambda problem: forms.joining(fields, problem),
        goes_to="./",
    )


def sign_in(door: Door, fields: Fields, at: int) -> Answer:
    """Let an instructor in."""
    return _let_in(
        lambda: door.sign_in(_of(fields, "login"), _of(fields, "password"), at=at),
        lambda problem: forms.signing_in(fields, problem),
        goes_to="../",
    )


def make_first(door: Door, fields: Fields, at: int) -> Answer:
    """Make the first account."""
    return _let_in(
        lambda: door.first_instructor(
            _of(fields, "code"), _of(fields, "login"), _of(fields, "password"), at=at
        ),
        lambda problem: forms.first_account(fields, problem),
        goes_to="../",
    )


def sign_out(door: Door, token: str | None) -> Answer:
    """Sign out, in every window of this browser."""
    if token:
        door.sign_out(token)
    return Answer(303, goes_to="../door", token="")


def _of(fields: Fields, name: str) -> str:
    return fields.get(name, "")


def _let_in(way: Callable[[], str], form_with: Callable[[str], str], *, goes_to: str) -> Answer:
    try:
        token = way()
    except IdentityError as error:
        return Answer(403, form_with(str(error)))
    except StoreError as error:
        return Answer(503, form_with(str(error)))
    return Answer(303, goes_to=goes_to, token=token)
