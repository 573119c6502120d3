"""Options named before a subcommand hold for it, too."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., Any]:
    """Run a command where the environment names another store."""
    environment = {**os.environ, "COMMISSION_STORE": str(tmp_path / "other.db")}

    def call(*words: str) -> Any:
        return subprocess.run(
            [sys.executable, "-m", "commission", *words], capture_output=True, text=True,
            check=False, env=environment, stdin=subprocess.DEVNULL,
        )  # fmt: skip

    return call


@pytest.mark.parametrize(
    "words",
    [
        ("--store", "HERE", "jobs"),
        ("jobs", "--store", "HERE"),
        ("--store", "THERE", "jobs", "--store", "HERE"),
    ],
)
def test_the_store_named_nearest_is_meant_before_that_of_the_environment(
    run: Any, tmp_path: Path, words: tuple[str, ...]
) -> None:
    here = str(tmp_path / "here.db")
    said = run(*(here if word == "HERE" else word for word in words)).stderr
    assert f"There is no store at {here} yet." in said


def test_the_store_named_before_a_command_of_audits_is_the_one_audited(
    run: Any, tmp_path: Path
) -> None:
    here = str(tmp_path / "here.db")
    for words in (("audit", "--store", here, "run"), ("--store", here, "audit", "list")):
        assert here in run(*words).stderr


def test_without_the_option_the_environment_names_the_store(run: Any, tmp_path: Path) -> None:
    assert str(tmp_path / "other.db") in run("jobs").stderr


def test_plain_named_before_open_is_meant(run: Any, tmp_path: Path) -> None:
    done = run("--plain", "--store", str(tmp_path / "here.db"), "open", "20300101-BCDF")
    assert "need a terminal" not in done.stderr
