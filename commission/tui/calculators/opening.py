"""The ways to the calculators from everywhere; light, so that it may be imported at any time."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from commission.calculators.catalogue import names

if TYPE_CHECKING:
    from textual.app import App


def open_list(app: App[Any]) -> None:
    """Show the list of calculators."""
    from commission.tui.calculators.screen import Calculators

    if not isinstance(app.screen, Calculators):
        app.push_screen(Calculators())


def open_calculator(app: App[Any], name: str) -> None:
    """Show the form of one calculator; in the place of another one's."""
    from commission.tui.calculators.form import CalculatorForm

    if isinstance(app.screen, CalculatorForm):
        app.switch_screen(CalculatorForm(name))
    else:
        app.push_screen(CalculatorForm(name))


def ways(app: App[Any]) -> list[tuple[str, str, partial[None]]]:
    """Return title, detail and what to call: the list, then each calculator by its name."""
    every = [
        (f"Calculate {name}", "calculator", partial(open_calculator, app, name))
        for name in names()
    ]  # fmt: skip
    return [("Calculators", "All calculators by topic", partial(open_list, app)), *every]
