"""The door: joining a class, signing in and out, the first instructor, who somebody is."""

from exercises.identity import names
from exercises.identity.people import (
    MOST_LEARNERS,
    SIGN_IN_MS,
    ClassRoom,
    NotAccepted,
    NotLetIn,
    People,
    Person,
)
from exercises.identity.seals import Seals, new_token, token_hash
from exercises.identity.waits import wait_words

SETUP = "set-up"
_NO_MATCH = "Nickname and PIN do not go together in this class. Look at both and try again."
_NO_CLASS = "There is no class of that code. Look at the code and try again."
_NO_ACCOUNT = "Login and password do not go together. Look at both and try again."


def subject_of(class_id: str, nickname: str) -> str:
    """Return what tries at a learner's PIN are counted under."""
    return f"learner {class_id} {names.nickname_key(nickname)}"


class Door:
    """The way in and out. Every way in gives a token, for the browser alone to keep."""

    def __init__(self, people: People, seals: Seals) -> None:
        self._people, self._seals = people, seals

    def setup_code(self) -> str | None:
        """Return the code for the first instructor, None once there is one."""
        return None if self._people.has_instructor() else self._seals.setup_code()

    def first_instructor(self, code: str, login: str, password: str, *, at: int) -> str:
        """Make the first account with the set-up code, and sign in with it.

        Raises
        ------
        NotAccepted, NotLetIn
            Also when there is an instructor already.
        """
        login, password = names.login(login), names.password(password)
        self._count(SETUP, at)
        if names.code(code) != self._seals.setup_code():
            raise NotLetIn("That is not the set-up code that the server printed when it started.")
        sealed = self._seals.sealed_password(password)
        account = self._people.add_instructor(login, sealed, at=at, only_first=True)
        if account is None:
            raise NotLetIn("There is an instructor already: sign in, or ask them for an account.")
        self._people.clear_tries(SETUP)
        return self._signed_in(Person("instructor", account.id, account.login), at)

    def sign_in(self, login: str, password: str, *, at: int) -> str:
        """Sign an instructor in.

        Raises
        ------
        NotLetIn
            If login and password do not go together, or were tried too often.
        """
        try:
            login = names.login(login)
        except NotAccepted as error:
            raise NotLetIn(_NO_ACCOUNT) from error
        subject = f"instructor {login}"
        self._count(subject, at)
        account = self._people.instructor(login)
        sealed = account.secret_hash if account else None
        if not self._seals.is_password(sealed, password[:200]) or account is None:
            raise NotLetIn(_NO_ACCOUNT)
        self._people.clear_tries(subject)
        return self._signed_in(Person("instructor", account.id, account.login), at)

    def join(self, code: str, nickname: str, pin: str, *, at: int) -> str:
        """Let a learner join a class for the first time.

        Raises
        ------
        NotAccepted, NotLetIn
            Also when the nickname is taken, or the class takes nobody new.
        """
        room = self._class(code)
        nickname, pin = names.nickname(nickname), names.pin(pin)
        if not room.joining_open or room.learners >= MOST_LEARNERS:
            raise NotLetIn("This class takes no new learners now. Ask your instructor.")
        key = names.nickname_key(nickname)
        taken = (
            f"Somebody called {nickname} is in this class already. If that is you, choose “I have "
            "been here before”; if not, take another nickname."
        )
        if self._people.learner_named(room.id, key):
            raise NotLetIn(taken)
        sealed = self._seals.sealed_pin(pin)
        learner = self._people.add_learner(room.id, nickname, key, sealed, at=at)
        if learner is None:
            raise NotLetIn(taken)
        return self._signed_in(Person("learner", learner.id, learner.nickname, room.id), at)

    def come_back(self, code: str, nickname: str, pin: str, *, at: int) -> str:
        """Let a learner in who has joined before.

        Raises
        ------
        NotAccepted, NotLetIn
            If class, nickname and PIN do not go together, or were tried too often.
        """
        room = self._class(code)
        nickname = names.nickname(nickname)
        subject = subject_of(room.id, nickname)
        self._count(subject, at)
        learner = self._people.learner_named(room.id, names.nickname_key(nickname))
        sealed = learner.pin_hash if learner else None
        if not self._seals.is_pin(sealed, pin.strip()[:40]) or learner is None:
            raise NotLetIn(_NO_MATCH)
        self._people.clear_tries(subject)
        return self._signed_in(Person("learner", learner.id, learner.nickname, room.id), at)

    def sign_out(self, token: str) -> None:
        """Have a token let nobody in any more, in whatever window."""
        self._people.end_sign_in(token_hash(token))

    def who_is(self, token: str | None, *, at: int) -> Person | None:
        """Return who is signed in with a token; None if it is forged, ended or too old."""
        return self._people.person(token_hash(token), at=at) if token else None

    def _class(self, code: str) -> ClassRoom:
        kept = names.code(code)
        room = self._people.class_of_code(kept) if kept else None
        if room is None:
            raise NotLetIn(_NO_CLASS)
        return room

    def _count(self, subject: str, at: int) -> None:
        """Count the try before anything is compared, so that many at once gain nothing."""
        left = self._people.count_try(subject, at=at)
        if left:
            who = "" if subject == SETUP else ", or ask your instructor"
            raise NotLetIn(f"Too many tries. Try again in {wait_words(left)}{who}.")

    def _signed_in(self, person: Person, at: int) -> str:
        token = new_token()
        self._people.keep_sign_in(token_hash(token), person, at=at, expires=at + SIGN_IN_MS)
        return token
