"""`commission people`, by its own process: passphrases come through file descriptors."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

ADA, BEN = "correct horse battery", "another long phrase"


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    """Run a command; `own` and `lead` are lines for the two descriptors."""

    def call(*words: str, own: str = "", lead: str = "") -> subprocess.CompletedProcess[str]:
        given: list[str] = []
        passed: list[int] = []
        for option, text in (("--passphrase-fd", own), ("--lead-passphrase-fd", lead)):
            if text:
                reading, writing = os.pipe()
                os.write(writing, f"{text}\n".encode())
                os.close(writing)
                passed.append(reading)
                given += [option, str(reading)]
        environment = {**os.environ, "COMMISSION_HOME": str(tmp_path / "home")}
        environment.pop("COMMISSION_STORE", None)
        try:
            return subprocess.run(
                [sys.executable, "-m", "commission", *words, *given],
                capture_output=True, text=True, check=False, env=environment,
                pass_fds=passed, stdin=subprocess.DEVNULL,
            )  # fmt: skip
        finally:
            for one in passed:
                os.close(one)

    return call


@pytest.fixture
def staffed(run: Any) -> Any:
    assert run("people", "add", "Ada Nwosu", "--role", "lead", own=ADA).returncode == 0
    done = run("people", "add", "Ben Ito", "--role", "witness", "--id", "ben", own=BEN, lead=ADA)
    assert done.returncode == 0, done.stderr
    return run


def test_an_empty_register_says_how_to_begin(run: Any) -> None:
    done = run("people", "list")
    assert (done.returncode, done.stdout) == (0, "")
    assert "people add" in done.stderr


def test_people_are_listed_with_roles_and_keys(staffed: Any) -> None:
    shown = staffed("people", "list").stdout.splitlines()
    assert [line.split()[0] for line in shown] == ["ada-nwosu", "ben"]
    listed = json.loads(staffed("people", "list", "--json").stdout)
    assert listed[1]["roles"] == ["witness"]
    assert listed[1]["initials"] == "BI"
    assert len(listed[1]["key"]) == 64


def test_roles_are_told_in_one_order(staffed: Any) -> None:
    roles = ("--role", "witness", "--role", "auditor")
    added = staffed("people", "add", "Cleo Ek", *roles, own=BEN, lead=ADA).stderr
    assert "auditor, witness" in added
    assert "auditor, witness" in staffed("people", "list").stdout


def test_the_register_is_verified_like_any_record(staffed: Any, tmp_path: Path) -> None:
    done = staffed("verify", "--all")
    assert done.returncode == 0
    assert "register: whole, 2 entries, 2 signatures hold" in done.stdout
    assert staffed("export", "register", "-o", str(tmp_path / "r.jsonl")).returncode == 0
    assert staffed("verify", str(tmp_path / "r.jsonl")).returncode == 0


@pytest.mark.parametrize(
    ("words", "own", "lead", "said"),
    [
        (("add", "Cleo Ek", "--role", "witness"), BEN, "", "no terminal"),
        (("add", "Cleo Ek", "--role", "boss"), BEN, ADA, "'boss' is not one|boss is not one"),
        (("add", "Ben Ito", "--role", "lead"), BEN, ADA, "is registered as ben"),
        (("add", "Bea", "--id", "ben", "--role", "lead"), BEN, ADA, "never used again"),
        (("add", "Cleo Ek", "--role", "lead"), "short", ADA, "has 5 characters"),
        (("add", "Cleo Ek", "--role", "lead", "--by", "ben"), BEN, ADA, "no lead with a valid"),
        (("retire", "zoe", "--reason", "gone"), "", ADA, "not in the register"),
        (("retire", "ben", "--reason", "x"), "", ADA, "nothing was entered"),
        (("retire", "ada-nwosu", "--reason", "gone"), "", ADA, "only lead"),
        (("retire", "ben", "--reason", "gone"), "", "wrong phrase here", "wrong try 1"),
        (("renew", "ben", "--reason", "lost", "--lost"), BEN, "", "Another lead can renew"),
        (("roles", "ben", "--role", "witness"), "", ADA, "just these roles"),
    ],
)
def test_a_refusal_says_why_and_changes_nothing(
    staffed: Any, words: tuple[str, ...], own: str, lead: str, said: str
) -> None:
    before = staffed("people", "list").stdout
    done = staffed("people", *words, own=own, lead=lead)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert any(part in done.stderr for part in said.split("|")), done.stderr
    assert staffed("people", "list").stdout.replace(", 1 wrong try", "") == before


def test_a_person_lives_through_roles_renewal_revocation_and_retirement(staffed: Any) -> None:
    for words, own in (
        (("roles", "ben", "--role", "technician", "--role", "witness"), ""),
        (("renew", "BI", "--reason", "key file lost"), "a third long phrase"),
        (("revoke", "ben", "--reason", "notebook stolen"), ""),
        (("renew", "ben", "--reason", "stolen before"), "a fourth long phrase"),
        (("retire", "Ben Ito", "--reason", "moved away"), ""),
    ):
        done = staffed("people", *words, own=own, lead=ADA)
        assert done.returncode == 0, done.stderr
    ben = json.loads(staffed("people", "list", "--json").stdout)[1]
    assert (ben["roles"], ben["key"]) == ([], None)
    assert ben["until"] is not None
    assert staffed("verify", "--all").returncode == 0


def test_a_lone_lead_recovers_and_every_verification_repeats_it(staffed: Any) -> None:
    done = staffed(
        "people", "renew", "AN", "--reason", "forgotten", "--lost", own="a new phrase it is"
    )
    assert done.returncode == 0, done.stderr
    assert "entry 3 gave a lone lead a new key" in staffed("verify", "register").stderr


def test_the_passphrase_is_changed_by_its_owner(staffed: Any) -> None:
    done = staffed("people", "passphrase", "ben", own=f"{BEN}\nquite another phrase")
    assert done.returncode == 0, done.stderr
    assert staffed("people", "passphrase", "ben", own=f"{BEN}\nyet another phrase").returncode == 2


def test_a_damaged_register_is_said_and_nobody_is_added(staffed: Any, tmp_path: Path) -> None:
    import sqlite3

    store = sqlite3.connect(tmp_path / "home" / "bench.db")
    for (name,) in store.execute("SELECT name FROM sqlite_master WHERE type='trigger'").fetchall():
        store.execute(f"DROP TRIGGER {name}")
    store.execute("UPDATE entry SET line = replace(line, 'witness', 'auditor') WHERE seq = 2")
    store.commit()
    store.close()
    done = staffed("people", "add", "Cleo Ek", "--role", "lead", own=BEN, lead=ADA)
    assert done.returncode == 2
    assert "not whole" in done.stderr
    assert staffed("verify", "register").returncode == 1
