"""The whole bench: its pages, what is seen, and what was said last."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.practice.panel.hands import HandsPage
from commission.practice.panel.instruments import Instruments
from commission.practice.panel.looks import LooksPage, PapersPage
from commission.practice.panel.program import ProgramPage
from commission.practice.panel.rows import Row, Said
from commission.practice.panel.seen import Sight, sights

if TYPE_CHECKING:
    from commission.practice.panel.rows import Page
    from commission.practice.panel.world import World

BIKE: Final = "bike"
_PAGE: Final = "page:"
HINT: Final = (
    "This is the bench. Up and Down choose,\n"
    "Enter does it, Left and Right change it.\n"
    "F11 or Tab: the card. Type there what you saw."
)


class Benchtop:
    """The pages of one bench; `page` is the one in front."""

    def __init__(self, world: World) -> None:
        """Stand at the bike, with the hint of how this works."""
        self.world = world
        self.instruments = Instruments(world)
        self._pages: dict[str, Page] = {
            BIKE: HandsPage(world, self.instruments),
            "program": ProgramPage(world),
            "papers": PapersPage(world),
            "looks": LooksPage(world),
        }
        self.at = BIKE
        self.said = HINT

    @property
    def page(self) -> Page:
        """The page in front."""
        return self._pages[self.at]

    def rows(self) -> tuple[Row, ...]:
        """Return the rows of the page in front, with the ways to the others."""
        if self.at != BIKE:
            back = Row(f"{_PAGE}{BIKE}", "‹ Back to the bike", "", "goes back")
            return (back, *self.page.rows())
        ways = (
            Row(f"{_PAGE}{name}", f"{page.title} ›", "", "goes there")
            for name, page in self._pages.items()
            if name != BIKE
        )
        return (*self.page.rows(), *ways)

    def sights(self) -> tuple[Sight, ...]:
        """Return what is seen, with the instrument in hand last."""
        tools = self.instruments
        shows = f"{tools.shown}   {tools.spot.words}" if tools.shown else "not put on yet"
        meter = Sight("Meter", shows)
        return (*sights(self.world.bike), meter)

    def enter(self, row: str) -> None:
        """Do what Enter does at a row."""
        if row.startswith(_PAGE):
            self.at, self.said = row.removeprefix(_PAGE), ""
        else:
            self._keep(self.page.enter(row))

    def turn(self, row: str, by: int) -> None:
        """Do what Left (−1) and Right (+1) do at a row."""
        if not row.startswith(_PAGE):
            self._keep(self.page.turn(row, by))

    def take(self, row: str, typed: str) -> None:
        """Take what was typed for a row.

        Raises:
            CommissionError: it is not understood; nothing has changed.
        """
        self._keep(self.page.take(row, typed))

    def back(self) -> bool:
        """Go back to the bike; return whether another page was in front."""
        was, self.at = self.at, BIKE
        return was != BIKE

    def _keep(self, said: Said) -> None:
        self.said = said.text
