"""Secrets as they are kept."""

import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from exercises.identity.people import IdentityError
from exercises.identity.seals import Seals, lab_secret


def test_pins_cost_what_owasp_asks_for_and_need_the_labs_secret() -> None:
    """Argon2id with 19 MiB, t=2, p=1: OWASP Password Storage Cheat Sheet (from memory)."""
    seals = Seals("the tests' own secret")

    sealed = seals.sealed_pin("270619")

    assert sealed.startswith("$argon2id$v=19$m=19456,t=2,p=1$")
    assert seals.is_pin(sealed, "270619")
    assert not seals.is_pin(sealed, "270618")
    assert not Seals("another secret of theirs").is_pin(sealed, "270619")


def test_password_outlives_the_labs_secret(seals: Seals) -> None:
    sealed = seals.sealed_password("slow brown fox")

    assert Seals("another secret of theirs", kibibytes=8).is_password(sealed, "slow brown fox")
    assert not seals.is_password(sealed, "slow brown dog")
    assert not seals.is_password(None, "slow brown fox")
    assert not seals.is_password("no hash at all", "slow brown fox")


def test_setup_code_is_the_same_after_a_restart_and_another_elsewhere(seals: Seals) -> None:
    assert seals.setup_code() == Seals("the tests' own secret", kibibytes=8).setup_code()
    assert seals.setup_code() != Seals("another secret of theirs", kibibytes=8).setup_code()


def test_secret_is_made_once_for_its_owner_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("LAB_SECRET", raising=False)
    file = tmp_path / "new" / "secret"
    with ThreadPoolExecutor(8) as pool:
        found = set(pool.map(lambda _: lab_secret(file), range(8)))

    assert len(found) == 1
    assert len(found.pop()) >= 40
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert [each.name for each in file.parent.iterdir()] == ["secret"]


def test_secret_that_others_may_read_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("LAB_SECRET", raising=False)
    file = tmp_path / "secret"
    lab_secret(file)
    file.chmod(0o644)

    with pytest.raises(IdentityError, match=r"secret: others may read it; accepted: its owner"):
        lab_secret(file)


def test_secret_comes_from_the_variable_unless_it_is_short(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LAB_SECRET", "drawn at random by us")
    assert lab_secret(tmp_path / "secret") == "drawn at random by us"
    monkeypatch.setenv("LAB_SECRET", "short")
    with pytest.raises(IdentityError, match=r"^LAB_SECRET: found 5 characters; accepted: 16"):
        lab_secret(tmp_path / "secret")
    assert not list(tmp_path.iterdir())
