"""What `--help` says: each command of the workshop gives an example that it would take."""

from __future__ import annotations

import shlex

import pytest
import typer

from commission.cli.examples import EXAMPLES
from commission.cli.main import app


@pytest.mark.parametrize("words", EXAMPLES)
def test_the_help_of_a_command_gives_an_example_that_it_would_take(words: str) -> None:
    found = typer.main.get_command(app)
    for word in words.split():
        found = found.commands[word]  # type: ignore[attr-defined]
    assert found.epilog is not None
    assert found.epilog.startswith(f"Example: commission {words} ")
    given = shlex.split(found.epilog.removeprefix(f"Example: commission {words} "))
    context = found.make_context(words, given)  # raises where an option or a number is wrong
    assert context.params
