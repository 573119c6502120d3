"""What a probe is told when it is asked, and the two ways in which it can have no answer."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from commission.errors import CommissionError
from commission.procedure.vocabulary import PROBES, option_for
from commission.quantities import unit

if TYPE_CHECKING:
    from commission.job.ask import Ask, Asking
    from commission.practice.bike import Bike


class NoAnswerError(CommissionError):
    """The virtual bike does not understand what is asked: the procedure's or this program's gap."""


class NothingSeenError(CommissionError):
    """There is nothing to type: the bike itself does not let it be seen or done."""


@dataclass(slots=True)
class Look:
    """One thing that a person at the bike is asked."""

    bike: Bike
    probe: str
    ask: Ask
    asking: Asking
    step: Any
    """The step of the procedure, or the pseudo-step of a fact."""
    instrument: str = ""
    """The kind of instrument that the step names; empty for none."""
    given: dict[str, str] = field(default_factory=dict)
    """What was typed already for this piece, by the asked names."""
    memo: dict[str, Any] = field(default_factory=dict)
    """What was seen once for the whole piece."""

    def chosen(self, seen: str) -> str:
        """Return the option for an outcome of this probe.

        Raises:
            NoAnswerError: no option of the step stands for it.
        """
        outcomes = PROBES[self.probe].outcomes
        option = option_for(outcomes, seen, self.ask.choices)
        if option is None:
            raise NoAnswerError(
                f"No option stands for what was seen ({seen}); there are: "
                f"{', '.join(self.ask.choices)}.",
                "`commission check` warns of options that no outcome matches.",
            )
        return option

    def measured(self, place: str, kind: str = "") -> str:
        """Return what the step's instrument (or one of `kind`) shows at a place."""
        return self.bike.instruments.put(self.instrument or kind, place, self.ask.unit)

    def shown(self, kind: str, truth: float) -> str:
        """Return what the step's instrument (or one of `kind`) shows for a truth in SI."""
        return self.bike.instruments.read(self.instrument or kind, truth, self.ask.unit)

    def displayed(self, si: float, decimals: int) -> str:
        """Return a number as a display shows it, with so many decimals of the asked unit."""
        text = f"{unit(self.ask.unit).from_si(si):.{decimals}f}"
        return text.removeprefix("-") if float(text) == 0.0 else text

    def printed(self, si: float) -> str:
        """Return a number as it is printed on a part, in the asked unit."""
        return f"{unit(self.ask.unit).from_si(si):.6g}"


def switched_on(bike: Bike) -> None:
    """Turn the key on where it is off.

    Raises:
        NothingSeenError: nothing lights up.
    """
    bike.key(on=True)
    if not bike.display_on:
        raise NothingSeenError("Nothing lights up with the key on.")
