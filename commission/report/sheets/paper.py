"""What a step asks, as lines to write on: the same questions as on the screen, all at once."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from commission.errors import CommissionError
from commission.job import cycling
from commission.job.ask import Ask
from commission.job.closeness import shown
from commission.job.entry import Clock, Instant
from commission.job.judge_limits import number
from commission.job.kinds import HANDLERS
from commission.job.kinds.handler import Look
from commission.job.ledger import ledger
from commission.job.values import values
from commission.procedure import model
from commission.procedure.expression import ExpressionError, UnknownValueError, parse
from commission.report.document import Column, Table

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.job.plan import Plan, PlannedStep
    from commission.report.subject import Subject

_LEFT: Final = (
    Column("what", "read or see", 2.2),
    Column("good", "good", 1.7),
    Column("given", "written by hand", 1.5),
    Column("initials", "initials, time", 1.0),
)
_UNKNOWN: Final = re.compile(r"not known: ([a-z_0-9]+)(?:\.[a-z_0-9.]+)? has no value")
_NOTHING: Final = (CommissionError, UnknownValueError, ExpressionError)


def tables(subject: Subject, planned: PlannedStep) -> list[Table]:
    """Return the lines of a step to write on; of a power cycle a table of settings as well."""
    rows = [(_label(ask), _good(subject, ask), "", "") for ask in _asks(subject, planned)]
    hold = getattr(planned.step, "hold", None)
    if hold:
        rows.append((f"HOLD: confirmed by another person, a {hold}", "", "", ""))
    made = [Table(f"left_{planned.id}", _LEFT, tuple(rows or [("done", "", "", "")]), blank=True)]
    if isinstance(planned.step, model.PowerCycle):
        made.append(_read_again(subject, planned.step))
    return made


def _asks(subject: Subject, planned: PlannedStep) -> list[Ask]:
    """Return what a step will ask, as far as that is known now."""
    state = subject.state
    now = Instant(state.at, state.clock or Clock("", 0))
    look = Look(state, planned.step, {}, values(state), now)
    handler, step = HANDLERS[planned.kind], planned.step
    try:
        if isinstance(step, model.PowerCycle):
            return list(_cycle_asks(look, step))
        if isinstance(step, model.Dwell):
            return [*handler.asks(look, "start"), _timed(handler.asks(look, "done")[0], look,
                                                         step.duration)]  # fmt: skip
        return _repeated(step, list(handler.asks(look, handler.part(look))))
    except _NOTHING:
        return [Ask("value", step.title, "text")]


def _repeated(step: object, asks: list[Ask]) -> list[Ask]:
    """Return the asks of a series or a sweep once for each run or point; others as they are."""
    runs = getattr(step, "runs", 0)
    points = len(getattr(step, "points", ())) or getattr(step, "at_least", 0)
    if not runs and not points:
        return asks
    word = "run" if runs else "point"
    return [
        replace(ask, label=f"{word} {at}: {ask.label}", criterion=ask.criterion if at == 1 else "")
        for at in range(1, (runs or points) + 1)
        for ask in asks
    ]


def _cycle_asks(look: Look, step: model.PowerCycle) -> Iterator[Ask]:
    """Yield what is switched, measured and seen in each cycle that is left."""
    handler = HANDLERS["power_cycle"]
    for at in range(cycling.cycle_in_hand(look.state, step, look.step_state), step.cycles + 1):
        named = f"cycle {at} of {step.cycles}: " if step.cycles > 1 else ""

        asks = [*handler.asks(look, f"{at}:off")]
        if step.below is not None:
            asks += handler.asks(look, f"{at}:bus")
        asks += [_timed(ask, look, step.off_for) for ask in handler.asks(look, f"{at}:on")]
        for ask in handler.asks(look, f"{at}:observe"):
            title = look.state.plan.planned(ask.name).step.title
            asks.append(replace(ask, label=f"{title}: seen"))
        yield from (replace(ask, label=f"{named}{ask.label}") for ask in asks)


def _timed(ask: Ask, look: Look, duration: model.Expression) -> Ask:
    """Return an ask that says how much time has to pass before it."""
    try:
        least = number(duration, look.values)
    except _NOTHING:
        names = [name.partition(".")[0] for name in sorted(parse(str(duration)).names)]
        titles = " and ".join(f"“{_title(look.state.plan, name)}”" for name in names)
        return replace(ask, criterion=f"after the time that follows from {titles}")
    return replace(ask, criterion="" if least is None else f"after at least {least:.0f} s")


def _read_again(subject: Subject, step: model.PowerCycle) -> Table:
    """Return the settings that a power cycle reads, a column for each cycle."""
    ahead = {
        name
        for planned in subject.state.plan.steps
        if isinstance(planned.step, model.Write) and step.settings == "written"
        and planned.remedy_of is None
        and not subject.state.steps[planned.id].status.settled
        for name in planned.step.settings
    }  # fmt: skip
    covered = {*cycling.covered(subject.state, step), *ahead}
    rows = tuple(
        (line.label, _wanted(subject, line.setting), *([""] * step.cycles))
        for line in ledger(subject.state)
        if line.setting in covered
    )
    columns = (
        Column("setting", "setting, read after the cycle", 2.2), Column("good", "good", 1.7),
        *(Column(f"cycle_{at}", f"{step.cycle} cycle {at}", 2.5 / step.cycles)
          for at in range(1, step.cycles + 1)),
    )  # fmt: skip
    return Table(f"cycles_{step.id}", columns, rows, "No setting is read here.", blank=True)


def _wanted(subject: Subject, setting: str) -> str:
    stands = subject.state.settings.get(setting)
    if stands is not None and stands.written is not None:
        return f"{shown(stands.written.given)}, as written"
    return "as written by then"


def _good(subject: Subject, ask: Ask) -> str:
    """Return what counts as good; where that rests on steps to come, by their titles."""

    def titled(found: re.Match[str]) -> str:
        return f"follows from “{_title(subject.state.plan, found[1])}”"

    return _UNKNOWN.sub(titled, ask.criterion)


def _title(plan: Plan, name: str) -> str:
    return plan.planned(name).step.title if name in plan.index else name


def _label(ask: Ask) -> str:
    choices = f" ({' / '.join(ask.choices)})" if ask.choices else ""
    unit = f" [{ask.unit}]" if ask.unit else ""
    return f"{ask.label}{unit}{choices}"
