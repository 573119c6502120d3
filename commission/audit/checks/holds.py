"""Whether hold points were confirmed: by another person, or alone where that is allowed."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from commission.audit.check import Check, Declared
from commission.audit.finding import Finding
from commission.job.closeness import shown
from commission.job.elapsed import seconds
from commission.job.resolved import number_now
from commission.job.state import JobState, Status
from commission.job.witnessing import ALONE, INDEPENDENT, near

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.audit.audited import AuditedJob
    from commission.job.entry import Entry
    from commission.job.plan import PlannedStep
    from commission.register.state import Register

_NO_HOLD: Final = frozenset({Status.CONCEDED, Status.DORMANT, Status.NOT_APPLICABLE})
_DOING: Final = frozenset({"part", "answered", "corrected"})
_HOLDS: Final = Declared(
    "holds",
    "Hold points confirmed by another person",
    "The last answer of each step with a hold was confirmed after it was given, in the role asked "
    "for, by somebody who gave no piece of it; or by the doer as a delayed self-check, where the "
    "procedure allows that, after its time, and nobody else in the register had the role then. "
    "What an independent witness read is as near to the first reading as the procedure wants.",
    "major",
    "NUREG-0899 and DOE-STD-1029-92 (from memory): no progress before a hold point is released",
    version=2,
)


def _holds(job: AuditedJob) -> Iterator[Finding]:
    state = job.state
    if state is None or not job.is_released:
        return
    for step, hold in _walk(job).items():
        planned = state.plan.planned(step)
        if planned.step.hold is None or hold.answer is None or state.steps[step].status in _NO_HOLD:
            continue
        said = (
            hold.wrong(planned.step.hold)
            or _alone(job, state, planned, hold)
            or _apart(state, planned, hold)
        )
        if said:
            answer = hold.answer
            yield Finding(_HOLDS.id, "major", job.stream, said, answer.seq, step, answer.by)


@dataclass(slots=True)
class _Hold:
    """What the entries say of one step's last answer and who confirmed it."""

    attempt: int = 0
    answer: Entry | None = None
    doers: set[str] = field(default_factory=set)
    confirmed: Entry | None = None

    def wrong(self, role: str) -> str:
        """Return what is wrong with the confirmation of the answer, in words."""
        held, answer = self.confirmed, self.answer
        if held is None or answer is None or held.seq < answer.seq:
            return f"The answer was never confirmed; a {role} has to."
        if held.by in self.doers and held.body["mode"] != ALONE:
            return f"Confirmed by {held.by}, who gave the answer."
        if held.body["role"] != role:
            return f"Confirmed as {held.body['role']}; a {role} has to."
        return ""


def _alone(job: AuditedJob, state: JobState, planned: PlannedStep, hold: _Hold) -> str:
    """Return what is wrong with a self-check, in words; empty where another one confirmed."""
    held, answer, how = hold.confirmed, hold.answer, planned.step.witness
    if held is None or answer is None or held.by not in hold.doers:
        return ""
    if how is None or how.alone_after is None:
        return f"Confirmed by {held.by} alone, which the procedure does not allow at this step."
    passed, wanted = seconds(answer.instant, held.instant), number_now(state, how.alone_after)
    if passed < wanted:
        return f"{held.by} looked again alone after {passed:.0f} s; it was to be {wanted:.0f} s."
    others = _others(job.register, str(planned.step.hold), held, hold.doers)
    if others:
        return (
            f"Confirmed by {held.by} alone; {planned.step.hold} by the register was also {others}."
        )
    return ""


def _apart(state: JobState, planned: PlannedStep, hold: _Hold) -> str:
    """Return in words how an independent witness's reading does not bear the first one out."""
    held, answer = hold.confirmed, state.steps[planned.id].answer
    if held is None or answer is None or held.body["mode"] != INDEPENDENT:
        return ""
    first, second = answer.parts[""]["value"], held.body["parts"][""]["value"]
    if held.body["verdict"] != "fail" and near(state, planned, first, second):
        return ""
    return f"{held.by} read {shown(second)}, the first was {shown(first)}, and agreed all the same."


def _others(register: Register | None, role: str, held: Entry, doers: set[str]) -> str:
    """Return who else could have confirmed a hold, by the register at that time."""
    if register is None:
        return ""
    known = (one for one in register.people.values() if one.name not in doers)
    return ", ".join(one.name for one in known if role in register.roles_at(one.id, held.at))


def _walk(job: AuditedJob) -> dict[str, _Hold]:
    found: dict[str, _Hold] = {}
    for entry in job.entries:
        if entry.step is None:
            continue
        stands = found.setdefault(entry.step, _Hold())
        if entry.kind in _DOING and entry.attempt > stands.attempt:
            # Done anew: whoever did it before may confirm it now.
            stands = found[entry.step] = _Hold(entry.attempt, confirmed=stands.confirmed)
        if entry.kind in _DOING:
            stands.doers.add(entry.by)
            if entry.kind != "part":
                stands.answer = entry
        elif entry.kind == "hold_confirmed" and entry.body["agrees"]:
            stands.confirmed = entry
    return found


CHECK: Final = Check(_HOLDS, _holds)
