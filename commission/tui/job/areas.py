"""Which area answers which situation and kind of step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.job.values import values
from commission.procedure.model import Attach, Calculate, CrossCheck, Series, SignOff, Sweep
from commission.tui.job.bounds import bounds_for
from commission.tui.job.calculating import CalculateArea, CalculatedArea
from commission.tui.job.cell_rows import COLUMNS, cell_rows
from commission.tui.job.cells import CellsArea
from commission.tui.job.choices import ChoiceArea
from commission.tui.job.fields import FieldsArea
from commission.tui.job.filing import FileArea
from commission.tui.job.gate import DoneArea, GateArea
from commission.tui.job.mode import Kind
from commission.tui.job.prompt import PromptArea
from commission.tui.job.runs import RunsArea
from commission.tui.job.signing import SignArea
from commission.tui.job.taken import TakenArea
from commission.tui.job.waiting import WaitArea, WaitFieldsArea

if TYPE_CHECKING:
    from commission.job.ask import Ask, Asking
    from commission.job.plan import PlannedStep
    from commission.job.state import JobState
    from commission.tui.job.area import Area
    from commission.tui.job.mode import Mode
    from commission.tui.job.scale import Bounds
    from commission.tui.job.session import JobSession

_CHOSEN: Final = frozenset({"choice", "yes_no"})
_LOOK: Final = "Enter goes back to the open step."
_CORRECT: Final = "  F7 corrects this answer."
_SENTENCES: Final = {
    Kind.CONCEDE: "FAILED. Enter: a concession.  F7: a lead has it done again.",
    Kind.STOPPED: "STOPPED. Enter: a lead looks at it and lets it go on.",
    Kind.ENDED: "F10 leaves the job.  F2 looks at its steps.",
}


def area_for(mode: Mode, session: JobSession, technician: str) -> Area:
    """Return the area for a situation."""
    match mode.kind:
        case Kind.CAUTION:
            return GateArea("caution", "I have read the caution above.")
        case Kind.REREAD:
            return GateArea("reread", "I have read the last steps again.")
        case Kind.ANSWER if mode.planned is not None and mode.asking is not None:
            return _answer(mode.planned, mode.asking, session, technician)
        case _:
            return PromptArea(mode.kind.value, _sentence(mode, session.state))


def _sentence(mode: Mode, state: JobState) -> str:
    if mode.planned is None or mode.kind in _SENTENCES:
        return _SENTENCES[mode.kind]
    if mode.kind is Kind.HOLD:
        return f"HOLD POINT: another {mode.planned.step.hold} confirms this. Enter: who it is."
    answered = state.steps[mode.planned.id].answer is not None and not state.outcome
    return f"{_LOOK}{_CORRECT if answered else ''}"


def _answer(planned: PlannedStep, asking: Asking, session: JobSession, technician: str) -> Area:
    step, state = planned.step, session.state
    if asking.some:
        return CellsArea(cell_rows(state, asking, step.kind), COLUMNS[step.kind])
    match step:
        case Calculate():
            return _calculation(step, asking, state)
        case Series() | Sweep():
            return RunsArea(asking.asks, step, state.steps[step.id].parts)
        case SignOff():
            name = technician if step.role in state.people.get(technician, ()) else ""
            return SignArea(
                asking.asks[0].name, step, name, session.head, state.seq, keyed=bool(state.ids)
            )
        case Attach():
            return FileArea(asking.asks[0])
        case _:
            return _by_asks(planned, asking, state)


def _calculation(step: Calculate, asking: Asking, state: JobState) -> Area:
    typed = [ask for ask in asking.asks if ask.type != "done"]
    taken = next((ask.name for ask in asking.asks if ask.type == "done"), "")
    if typed:
        return CalculateArea(typed, taken, step, state)
    return CalculatedArea(taken, step, state)


def _cross_checks(asking: Asking) -> Area:
    *reasons, taken = asking.asks
    if reasons:
        return TakenArea(reasons, taken.name, f"{taken.label}.")
    return DoneArea(taken.name, f"{taken.label}.")


def _by_asks(planned: PlannedStep, asking: Asking, state: JobState) -> Area:
    if isinstance(planned.step, CrossCheck):
        return _cross_checks(asking)
    if asking.asks[0].type == "done":
        return _done(planned, asking)
    if all(ask.type in _CHOSEN for ask in asking.asks):
        return ChoiceArea(asking.asks)
    known = values(state)

    def bounds(ask: Ask) -> Bounds:
        return bounds_for(planned.step, ask, known)

    if asking.wait is not None and asking.wait.remaining > 0:
        return WaitFieldsArea(asking.asks, bounds, asking.wait)
    return FieldsArea(asking.asks, bounds)


def _done(planned: PlannedStep, asking: Asking) -> Area:
    first = asking.asks[0]
    if asking.wait is not None:
        return WaitArea(first.name, first.label, asking.wait)
    reason = asking.asks[1].name if "cannot" in first.choices and len(asking.asks) > 1 else ""
    is_plain = planned.step.kind == "confirm"
    return DoneArea(first.name, "Done." if is_plain else first.label, reason=reason)
