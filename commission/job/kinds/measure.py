"""One reading against its limits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.ask import Ask
from commission.job.instrument import CITED
from commission.job.judge import Judgement, conclude
from commission.job.judge_limits import Measured, Shown, bounds, check_bounds, words
from commission.job.judge_uncertainty import uncertainty
from commission.job.kinds.handler import Handler, Look
from commission.quantities import Reading

if TYPE_CHECKING:
    from commission.job.judge_limits import Bounds


class Measure(Handler):
    """Asks `value`."""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:  # noqa: ARG002  one piece
        """See `Handler.asks`."""
        criterion = words(_limits(look), _shown(look))
        probe = look.step.probe or ""
        label = "Reading" if look.equipment is None else f"Reading of the {_instrument(look)}"
        return (Ask("value", label, "quantity", look.step.unit, (), criterion, probe=probe),)

    def read_with_instrument(self, look: Look, part: str) -> frozenset[str]:  # noqa: ARG002
        """See `Handler.read_with_instrument`."""
        return frozenset({"value"} if look.equipment else ())

    def conclude(self, look: Look) -> Judgement:
        """See `Handler.conclude`."""
        given = look.parts[""]["value"]
        reading = Reading(given["typed"], given["unit"])
        sure = uncertainty(reading, look.equipment, given.get(CITED))
        measured = Measured(reading.si, str(reading), uncertainty=sure)
        made = check_bounds(measured, _limits(look), _shown(look), in_words=look.in_words)
        return conclude([made])


def _instrument(look: Look) -> str:
    return "" if look.equipment is None else look.equipment.label.lower()


def _limits(look: Look) -> Bounds:
    return bounds(look.step.limits, look.values, look.step.unit)


def _shown(look: Look) -> Shown:
    return Shown(look.step.unit, look.step.digits)
