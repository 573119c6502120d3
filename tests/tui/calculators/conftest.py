"""The form of a calculator on a screen, waited for until it computes."""

from __future__ import annotations

from contextlib import asynccontextmanager
from typing import TYPE_CHECKING, Any

import pytest

from commission.tui.calculators.form import CalculatorForm
from commission.tui.calculators.opening import open_calculator
from commission.tui.calculators.rows import InputRow, OutputRow

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Callable

    from commission.tui.app import CommissionApp


class Hands:
    """What a person does in a form: strike keys, and go to a field by its name."""

    def __init__(self, app: CommissionApp, pilot: Any, until: Callable[..., Any]) -> None:
        self.app = app
        self.pilot = pilot
        self.until = until

    @property
    def form(self) -> CalculatorForm:
        assert isinstance(self.app.screen, CalculatorForm)
        return self.app.screen

    async def go(self, name: str, *, output: bool = False) -> None:
        """Go to the row of an input, or of an output."""
        kind = OutputRow if output else InputRow
        row = next(row for row in self.form.query(kind) if row.of == name)
        assert row.field is not None
        row.field.focus()
        await self.until(self.pilot, lambda: self.form.in_hand is row, name)

    async def type(self, name: str, text: str, *, output: bool = False) -> None:
        """Type into a row, in place of what stands there."""
        await self.go(name, output=output)
        row = self.form.in_hand
        assert row is not None
        assert row.field is not None
        row.field.select_all()
        await self.pilot.press(*_keys(text))

    def answer(self, name: str) -> Any:
        return self.form.result.answers.get(name)


def _keys(text: str) -> list[str]:
    named = {" ": "space", ".": "full_stop", "-": "minus", "/": "slash", ",": "comma"}
    return [named.get(letter, letter) for letter in text]


@pytest.fixture
def form_on(app_on: Any, until: Any) -> Any:
    """Open the form of a calculator in the app; gives `Hands`."""

    @asynccontextmanager
    async def opened(name: str, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Hands]:
        app = app_on()
        async with app.run_test(size=size, notifications=True) as pilot:
            await until(pilot, lambda: app.bench is not None)
            open_calculator(app, name)
            await until(
                pilot, lambda: isinstance(app.screen, CalculatorForm) and app.screen.is_ready
            )
            yield Hands(app, pilot, until)

    return opened
