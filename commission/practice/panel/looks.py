"""Papers, plates and closer looks: what is read, counted, asked or tried besides the controls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, cast

from commission.errors import CommissionError
from commission.job.ask import Ask, Asking
from commission.practice.panel.instruments import PROBED
from commission.practice.panel.rows import PlainPage, Row, Said
from commission.practice.probes import ANSWERS, Look, answer, probe_of
from commission.practice.probes.settings import text_of
from commission.procedure.vocabulary import PROBES, role_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.job.plan import Plan, PlannedStep
    from commission.practice.panel.world import World
    from commission.procedure import model

HANDS: Final = frozenset(
    {
        "bike.on_stand", "bike.off_stand", "bike.startup_mode", "controller.session",
        "cooling.running", "motor.run", "motor.sense", "motor.speed_sign", "sensor.angle",
        "temperature.controller", "temperature.motor", "throttle.unplugged", "wheel.at_rest",
        "wheel.direction", "wheel.free", "interlock.brake", "interlock.stand", "interlock.tilt",
        "power.off_seen", "power.key", "power.cold", "setting",
    }
)  # fmt: skip
"""Probes that are answered by the controls, the display, the wheel and the controller's program."""
_OWN: Final = ("handover.", "file.", "power.", "drive.", "pack.isolated", "pack.connected")
"""Beginnings of probes that are for a person to decide, or acts of the pages beside this one."""


@dataclass(frozen=True, slots=True)
class Thing:
    """Something to look at, with what is told of it."""

    probe: str
    title: str
    asks: tuple[Ask, ...]
    step: Any
    instrument: str = ""


class LooksPage(PlainPage):
    """Everything else that the procedure asks of a bike, by what it is; found at Enter."""

    title = "Look closer"

    def __init__(self, world: World) -> None:
        """Offer what the procedure of `world` may ask; nothing has been looked at."""
        self._world = world
        self._things = {thing.probe: thing for thing in things(world.plan)}
        self._found: dict[str, tuple[str, ...]] = {}

    def rows(self) -> tuple[Row, ...]:
        """See `Page`."""
        return tuple(self._rows())

    def _rows(self) -> Iterator[Row]:
        for probe, thing in self._things.items():
            found = self._found.get(probe, ())
            one = found[0] if len(found) == 1 else ""
            yield Row(probe, thing.title, one, "tells what is found")
            if len(found) > 1:
                for at, line in enumerate(found):
                    yield Row(f"{probe}:{at}", f"   {line}", heading=True)
        for planned in self._world.plan.steps:
            if planned.kind == "attach" and not (planned.step.probe or "").startswith("file."):
                yield Row(f"photo:{planned.id}", f"Photograph: {cast('Any', planned.step).what}",
                          "", "writes a file for the job")  # fmt: skip

    def enter(self, row: str) -> Said:
        """See `Page`."""
        self._world.now_s()
        self._world.touched += 1
        if row.startswith("photo:"):
            return Said(self._photograph(row.partition(":")[2]))
        thing = self._things.get(row)
        if thing is None:
            return Said()
        try:
            self._found[row] = tuple(self._told(thing))
        except CommissionError as error:
            self._found.pop(row, None)
            return Said(error.message)
        return Said("; ".join(self._found[row]))

    def _told(self, thing: Thing) -> Iterator[str]:
        memo: dict[str, Any] = {}
        asking = Asking("", "", "", thing.asks)
        for ask in thing.asks:
            look = Look(self._world.bike, thing.probe, ask, asking, thing.step,
                        thing.instrument, {}, memo)  # fmt: skip
            text = f"{answer(look)} {ask.unit}".strip()
            yield text if len(thing.asks) == 1 else f"{ask.label}: {text}"

    def _photograph(self, step: str) -> str:
        what = cast("Any", self._world.plan.planned(step).step)
        ending = what.types[0] if what.types else ".txt"
        return self._world.write(f"{step}{ending}", f"PRACTICE: {what.what}\n")


class PapersPage(PlainPage):
    """What plates, data sheets and labels say of this bike; it need not be true."""

    title = "Papers and plates"

    def __init__(self, world: World) -> None:
        """Lay out the papers."""
        self._world = world

    def rows(self) -> tuple[Row, ...]:
        """See `Page`."""
        papers, rows = self._world.bike.build.papers, []
        for planned in self._world.plan.steps:
            if planned.kind != "fact":
                continue
            fact = cast("Any", planned.step).fact
            value = papers.get(role_of(fact))
            text = "not stated" if value is None else f"{text_of(fact, value)} {fact.unit or ''}"
            rows.append(Row(fact.id, fact.label, text.strip()))
        return tuple(rows) or (Row("none", "This procedure asks for no facts.", heading=True),)


def things(plan: Plan) -> tuple[Thing, ...]:
    """Return what a procedure asks of a bike besides what hands, instruments and program tell."""
    found: dict[str, Thing] = {}
    for planned in plan.steps:
        probe = planned.step.probe or ""
        if planned.kind == "fact" or probe in HANDS or probe.startswith(_OWN):
            continue
        asks = tuple(ask for ask in _asks(planned) if _is_looked_for(probe, ask))
        if asks and probe not in found:
            known = PROBES.get(probe)
            title = ", ".join(ask.label for ask in asks) if known is None else known.what
            found[probe] = Thing(
                probe, _capital(title), asks, planned.step, _instrument(plan, planned)
            )
    return tuple(found.values())


def _is_looked_for(probe: str, ask: Ask) -> bool:
    name = probe_of(probe, ask.name)
    return (
        name is not None
        and name not in PROBED
        and not (name in PROBES and PROBES[name].sort == "done" and name not in _ACTS)
    )


_ACTS: Final = frozenset({"pack.fitted", "pack.taken_out"})


def _asks(planned: PlannedStep) -> Iterator[Ask]:
    """Return what a step asks that a look at the bike can answer; of most kinds nothing."""
    ask = _ASKS.get(planned.kind)
    return iter(()) if ask is None else ask(planned.step, planned.step.probe or "")


def _texts(step: model.Identify, probe: str) -> Iterator[Ask]:
    return (Ask(each.id, each.label, "text", probe=probe) for each in step.fields)


def _reading(step: model.Measure, probe: str) -> Iterator[Ask]:
    yield Ask("value", step.title, "quantity", step.unit, probe=probe)


def _choice(step: model.StepBase, probe: str) -> Iterator[Ask]:
    known = PROBES.get(probe)
    names = tuple(each.name for each in known.outcomes) if known is not None else ()
    yield Ask("value", step.title, "choice", choices=names, probe=probe)


def _columns(step: model.Series, probe: str) -> Iterator[Ask]:
    return (Ask(each.id, each.label, "quantity", each.unit, probe=probe) for each in step.columns)


def _inputs(step: model.Calculate, probe: str) -> Iterator[Ask]:
    from commission.calculators import catalogue

    if not probe:
        return
    for each in catalogue.get(step.calculator).inputs:
        if each.name not in step.inputs and f"{probe}.{each.name}" in ANSWERS:
            yield Ask(each.name, each.label, "quantity", each.unit, probe=probe)


_ASKS: Final[dict[str, Callable[[Any, str], Iterator[Ask]]]] = {
    "identify": _texts, "measure": _reading, "choose": _choice, "observe": _choice,
    "confirm": _choice, "series": _columns, "calculate": _inputs,
}  # fmt: skip


def _instrument(plan: Plan, planned: PlannedStep) -> str:
    kinds = {each.id: each.kind for each in plan.procedure.equipment}
    return kinds.get(cast("Any", planned.step).instrument or "", "")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
