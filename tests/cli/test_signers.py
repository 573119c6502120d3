"""Who signs at the command line: what a wrong passphrase at a terminal leads to."""

from __future__ import annotations

import getpass
import sys
from typing import TYPE_CHECKING

import pytest

from commission.cli.signers import recorded_name, unlocked
from commission.errors import PassphraseError
from commission.record import enrolling
from commission.record.bench import Bench

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

RIGHT = "correct horse battery"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    """Give a bench with one lead."""
    with Bench.open(tmp_path / "bench.db") as opened:
        enrolling.add(opened, enrolling.Wanted.of("Ada Nwosu", ("lead",)), RIGHT, None)
        opened.sitting.lock()
        yield opened


@pytest.fixture
def typing(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return what will be typed at the terminal, first things first."""
    lines: list[str] = []
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr(getpass, "getpass", lambda _: lines.pop(0))
    return lines


def test_a_wrong_passphrase_at_a_terminal_is_asked_for_again(
    bench: Bench, typing: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    typing += ["wrong wrong wrong", RIGHT]
    assert unlocked(bench, "ada-nwosu", None).person == "ada-nwosu"
    assert "wrong try 1 in a row. Type it again." in capsys.readouterr().err


def test_the_third_wrong_passphrase_ends_the_command(bench: Bench, typing: list[str]) -> None:
    typing += ["wrong wrong wrong"] * 4
    with pytest.raises(PassphraseError, match="wrong try 3 in a row"):
        unlocked(bench, "ada-nwosu", None)
    assert len(typing) == 1


@pytest.mark.parametrize("text", ["ada-nwosu", "an", "ADA nwosu", "Ada Nwosu"])
def test_an_id_a_name_or_initials_stand_for_the_name_that_records_have(
    bench: Bench, text: str
) -> None:
    assert recorded_name(bench, text) == "Ada Nwosu"
    assert recorded_name(bench, "Somebody else") == "Somebody else"
    assert not recorded_name(bench, "")
