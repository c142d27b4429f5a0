"""Secrets, sealed so that a copy of the database gives none of them away."""

import hashlib
import hmac
import os
import secrets
import threading
from pathlib import Path

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError

from exercises.identity.names import LETTERS
from exercises.identity.people import IdentityError

SECRET_VARIABLE = "LAB_SECRET"
_SECRET_FILE = Path(__file__).resolve().parents[2] / ".lab" / "secret"
_SHORTEST_SECRET = 16
_SETUP_LENGTH = 12


class Seals:
    """What seals PINs, passwords and sign-ins.

    PINs are short, so they are first keyed with the laboratory's secret, which is not in the
    database: without it a copy of the database cannot be searched for them.

    Parameters
    ----------
    kibibytes : memory that one comparison takes, so that many at once are dear.
    """

    def __init__(self, secret: str, *, kibibytes: int = 19 * 1024) -> None:
        self._secret = secret.encode()
        # OWASP's password storage sheet: Argon2id, 19 MiB, two passes, one lane (from memory)
        self._hasher = PasswordHasher(time_cost=2, memory_cost=kibibytes, parallelism=1)
        # 19 MiB each: a class that signs in at once must not take the memory of the server
        self._two_at_once = threading.Semaphore(2)
        self._nobodys = self._sealed(secrets.token_urlsafe(16))

    def setup_code(self) -> str:
        """Return the code that lets the first instructor in."""
        digest = int.from_bytes(self._keyed("set-up code"), "big")
        letters = []
        for _ in range(_SETUP_LENGTH):
            digest, which = divmod(digest, len(LETTERS))
            letters.append(LETTERS[which])
        return "".join(letters)

    def sealed_pin(self, pin: str) -> str:
        """Return a PIN as it is kept."""
        return self._sealed(self._keyed_pin(pin))

    def is_pin(self, sealed: str | None, pin: str) -> bool:
        """Whether it is the PIN; as slow where there is none to compare with."""
        return self._is(sealed, self._keyed_pin(pin))

    def sealed_password(self, password: str) -> str:
        """Return a password as it is kept; it outlives the laboratory's secret."""
        return self._sealed(password)

    def is_password(self, sealed: str | None, password: str) -> bool:
        """Whether it is the password; as slow where there is none to compare with."""
        return self._is(sealed, password)

    def _keyed_pin(self, pin: str) -> str:
        return self._keyed(f"pin {pin}").hex()

    def _keyed(self, text: str) -> bytes:
        return hmac.digest(self._secret, text.encode(), "sha256")

    def _sealed(self, secret: str) -> str:
        with self._two_at_once:
            return self._hasher.hash(secret)

    def _is(self, sealed: str | None, secret: str) -> bool:
        with self._two_at_once:
            try:
                self._hasher.verify(sealed or self._nobodys, secret)
            except (Argon2Error, InvalidHashError):
                return False
        return sealed is not None


def new_token() -> str:
    """Return the token of a new sign-in: 256 random bits."""
    return secrets.token_urlsafe(32)


def token_hash(token: str) -> str:
    """Return a token as it is kept: who reads the database cannot sign in with it."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def lab_secret(file: Path | None = None) -> str:
    """Return the laboratory's secret: ``LAB_SECRET``, else that of ``.lab/secret``.

    The file is made, for its owner alone, where there is none. It belongs to no backup; if it
    is lost, learners need new PINs.

    Raises
    ------
    IdentityError
        If it is too short, cannot be read or made, or others may read it.
    """
    told = os.environ.get(SECRET_VARIABLE, "").strip()
    if told:
        return _long_enough(told, SECRET_VARIABLE)
    path = file or _SECRET_FILE
    try:
        return _long_enough(_read_or_made(path), str(path))
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not text"
        raise IdentityError(
            f"{path}: {why}; accepted: a text file, or {SECRET_VARIABLE}."
        ) from error


def _read_or_made(path: Path) -> str:
    path.parent.mkdir(parents=True, exist_ok=True)
    own = path.with_name(f"{path.name}.{secrets.token_hex(8)}")
    if not path.exists():
        descriptor = os.open(own, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "w") as file:
            file.write(secrets.token_urlsafe(32) + "\n")
        try:
            os.link(own, path)  # whole or not at all; of two processes one wins
        except FileExistsError:
            pass
        finally:
            own.unlink()
    if os.name == "posix" and path.stat().st_mode & 0o077:
        raise IdentityError(f"{path}: others may read it; accepted: its owner alone (chmod 600).")
    return path.read_text(encoding="utf-8").strip()


def _long_enough(secret: str, where: str) -> str:
    if len(secret) < _SHORTEST_SECRET:
        raise IdentityError(
            f"{where}: found {len(secret)} characters; accepted: {_SHORTEST_SECRET} or more, "
            "drawn at random."
        )
    return secret
