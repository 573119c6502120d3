"""The step kinds: one handler each."""

from commission.job.kinds.attach import Attach
from commission.job.kinds.calculate import Calculate
from commission.job.kinds.choices import Choose, Observe
from commission.job.kinds.confirm import Confirm
from commission.job.kinds.cross_check import CrossCheck
from commission.job.kinds.dwell import Dwell
from commission.job.kinds.fact import Fact
from commission.job.kinds.handler import Handler, Look
from commission.job.kinds.identify import Identify
from commission.job.kinds.measure import Measure
from commission.job.kinds.power_cycle import PowerCycle
from commission.job.kinds.read_back import ReadBack
from commission.job.kinds.series import Series
from commission.job.kinds.sign_off import SignOff
from commission.job.kinds.sweep import Sweep
from commission.job.kinds.write import Write

__all__ = ["HANDLERS", "Handler", "Look"]

HANDLERS: dict[str, Handler] = {
    "fact": Fact(),
    "confirm": Confirm(),
    "measure": Measure(),
    "choose": Choose(),
    "identify": Identify(),
    "read_back": ReadBack(),
    "write": Write(),
    "calculate": Calculate(),
    "power_cycle": PowerCycle(),
    "observe": Observe(),
    "cross_check": CrossCheck(),
    "series": Series(),
    "sweep": Sweep(),
    "dwell": Dwell(),
    "attach": Attach(),
    "sign_off": SignOff(),
}
"""By the kind a step names."""
