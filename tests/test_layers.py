"""The house stands: imports point downward, and nothing heavy loads before it is needed."""

import subprocess
import sys

import pytest

HEAVY = {"pint", "sqlalchemy", "pydantic", "yaml", "textual", "numpy", "plotext", "cryptography"}


def loaded_by(statement: str) -> set[str]:
    """Return which heavy packages a fresh interpreter has after `statement`."""
    program = f"{statement}\nimport sys\nprint(' '.join(sorted(set(sys.modules))))"
    output = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    ).stdout
    return HEAVY & set(output.split())


@pytest.mark.parametrize(
    ("statement", "allowed"),
    [
        ("import commission.cli.main", set[str]()),
        ("import commission.quantities", set[str]()),
        ("import commission.calculators.catalogue", set[str]()),
        ("import commission.safe_text, commission.errors", set[str]()),
        ("import commission.tui.app", {"textual"}),
        ("import commission.record.bench", set[str]()),
        ("import commission.register.fold, commission.register.moves", set[str]()),
    ],
)
def test_import_loads_nothing_heavy(statement: str, allowed: set[str]) -> None:
    assert loaded_by(statement) <= allowed


def test_core_never_loads_screen_or_disk_libraries() -> None:
    loaded = loaded_by("import commission.job.moves, commission.job.advance, commission.job.route")
    assert not loaded & {"textual", "sqlalchemy", "yaml"}


def test_import_contracts_hold() -> None:
    outcome = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert outcome.returncode == 0, outcome.stdout + outcome.stderr
