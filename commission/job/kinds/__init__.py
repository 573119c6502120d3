"""The step kinds: one handler each."""

from commission.job.kinds.choices import Choose, Observe
from commission.job.kinds.confirm import Confirm
from commission.job.kinds.fact import Fact
from commission.job.kinds.handler import Handler, Look
from commission.job.kinds.identify import Identify
from commission.job.kinds.measure import Measure

__all__ = ["HANDLERS", "Handler", "Look"]

HANDLERS: dict[str, Handler] = {
    "fact": Fact(),
    "confirm": Confirm(),
    "measure": Measure(),
    "choose": Choose(),
    "identify": Identify(),
    "observe": Observe(),
}
"""By the kind a step names."""
