"""The result of trials as a screen by itself, for `commission prove --screen`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.tui.app import CommissionApp
from commission.tui.trials.screen import Trials

if TYPE_CHECKING:
    from textual.screen import Screen

    from commission.practice.matrix import Matrix


class TrialsApp(CommissionApp):
    """No bench is opened: trials leave no record."""

    def __init__(self, matrix: Matrix) -> None:
        """Show `matrix`."""
        super().__init__()
        self._matrix = matrix

    def get_default_screen(self) -> Screen[None]:
        return Trials(self._matrix)
