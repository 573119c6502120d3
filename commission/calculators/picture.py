"""What a calculator's plot shows: outputs over one input, around the present point. Pure.

Two plots say more than one declared curve and are put together here: the road load against the
thrust that the power leaves, and torque with power over the motor's speed.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from commission.calculators.catalogue import compute
from commission.errors import CalculationError
from commission.quantities import unit

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from commission.calculators.base import Answer, Calculator, Input, Value

POINTS: Final = 120
_NOTHING: Final[Mapping[str, Answer]] = MappingProxyType({})
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Trace:
    """One curve, in SI."""

    label: str
    points: tuple[Point, ...]
    """Ascending; places without a result are left out."""
    present: Point | None
    """Where the calculation stands; None where that is not on the curve."""


@dataclass(frozen=True, slots=True)
class Picture:
    """One pair of axes with the curves on it; x and y in SI, the units to show them in beside."""

    x_label: str
    x_unit: str
    y_label: str
    y_unit: str
    traces: tuple[Trace, ...]
    over: str = ""
    """The input along x, whose unit a person may have changed; empty where it is none."""
    output: str = ""
    """The output along y, likewise."""
    turned: bool = False
    """Whether the output lies along x and the input along y instead."""


def pictures(
    calculator: Calculator, inputs: Mapping[str, Value], answers: Mapping[str, Answer] = _NOTHING
) -> tuple[Picture, ...]:
    """Return the plots for SI inputs that have a result; empty where the calculator has none.

    The present point comes from the inputs, or, where an alternative was given, from the answers.
    """
    curve = calculator.curve
    own = _MORE.get(calculator.name)
    more = own(inputs) if own is not None else ()
    if curve is None:
        return more
    declared = calculator.input(curve.over)
    ends = tuple(unit(declared.unit).to_si(end) for end in (curve.low, curve.high))
    now = inputs.get(curve.over, _answered(calculator, answers, declared))
    present = now if isinstance(now, float) else None
    rest = _without_rivals(calculator, inputs, curve.over)
    drawn = []
    for name in curve.outputs:
        output = calculator.output(name)
        way = _way(calculator.name, rest, curve.over, name)
        trace = _trace(output.label, way, _stretched((ends[0], ends[1]), present), present)
        if trace.points and calculator.name in _TIME_ALONG:
            drawn.append(_turned(calculator, trace, inputs))
        elif trace.points:
            drawn.append(
                Picture(declared.label, declared.unit, output.label, output.unit, (trace,),
                        curve.over, name)
            )  # fmt: skip
    return (*more, *drawn)


def _turned(calculator: Calculator, trace: Trace, inputs: Mapping[str, Value]) -> Picture:
    """Return a curve with the time along x, as a voltage is seen to fall or rise."""
    curve = calculator.curve
    if curve is None:
        raise ValueError(calculator.name)
    over, output = calculator.input(curve.over), calculator.output(curve.outputs[0])
    label, begins_at = _TIME_ALONG[calculator.name]
    begin = inputs.get(begins_at, 0.0)
    start = {(0.0, begin)} if isinstance(begin, float) else set[Point]()
    points = tuple(sorted(start | {(y, x) for x, y in trace.points if y > 0.0}))
    here = trace.present
    seen = Trace(label, points, None if here is None else (here[1], here[0]))
    return Picture(output.label, output.unit, label, over.unit, (seen,), over.name, output.name,
                   turned=True)  # fmt: skip


def _answered(calculator: Calculator, answers: Mapping[str, Answer], over: Input) -> Answer | None:
    """Return the output that is the same quantity as an input that was not given."""
    same = (
        each for each in calculator.outputs if (each.label, each.unit) == (over.label, over.unit)
    )
    return next((answers[each.name] for each in same if each.name in answers), None)


def has_picture(calculator: Calculator) -> bool:
    """Whether there is anything to plot."""
    return calculator.curve is not None or calculator.name in _MORE


def _way(
    name: str, rest: Mapping[str, Value], over: str, output: str
) -> Callable[[float], float | None]:
    def way(x: float) -> float | None:
        try:
            answer = compute(name, {**rest, over: x}).outputs.get(output)
        except CalculationError:
            return None
        return answer if isinstance(answer, float) and not isinstance(answer, bool) else None

    return way


def _trace(
    label: str,
    way: Callable[[float], float | None],
    ends: tuple[float, float],
    present: float | None,
) -> Trace:
    low, high = ends
    places = (low + (high - low) * at / POINTS for at in range(POINTS + 1))
    points = tuple((x, y) for x in places if (y := way(x)) is not None)
    here = None if present is None else way(present)
    return Trace(label, points, None if present is None or here is None else (present, here))


def _stretched(ends: tuple[float, float], present: float | None) -> tuple[float, float]:
    """Return the ends of the axis, moved outward where the present point lies beyond them."""
    low, high = ends
    if present is None:
        return ends
    room = 0.1 * abs(present - (low if present < low else high))
    return (present - room if present < low else low, present + room if present > high else high)


def _without_rivals(
    calculator: Calculator, inputs: Mapping[str, Value], over: str
) -> dict[str, Value]:
    """Return the inputs without the alternatives of the one that varies."""
    own = {name for group in calculator.one_of if over in group for name in group}
    rivals = {name for group in calculator.one_of for name in group} - own if own else set()
    return {name: value for name, value in inputs.items() if name not in rivals}


def _thrust_and_load(inputs: Mapping[str, Value]) -> tuple[Picture, ...]:
    """Return road load against the thrust that the power leaves: they cross at the top speed."""
    shared = {name: value for name, value in inputs.items() if name not in {"power", "geared"}}
    power, geared = inputs.get("power"), inputs.get("geared")
    load = _way("road-load", shared, "speed", "force")
    try:
        top = compute("top-speed", inputs).outputs["speed"]
    except CalculationError:
        return ()
    if not isinstance(power, float) or not isinstance(top, float):
        return ()
    end = max(1.4 * top, 1.1 * geared if isinstance(geared, float) else 0.0)
    last = geared if isinstance(geared, float) else end
    at_top = load(top)
    if at_top is None:
        return ()
    most = 4.0 * at_top

    def thrust(speed: float) -> float | None:
        # Near standstill the current limits the thrust, not the power: nothing is drawn there.
        return power / speed if 0.0 < speed <= last and power / speed <= most else None

    traces = (
        _trace("thrust there is", thrust, (0.0, end), min(top, last)),
        _trace("road load", load, (0.0, end), min(top, last)),
    )
    return (Picture("speed", "km/h", "force at the wheel", "N", traces),)


def _torque_and_power(inputs: Mapping[str, Value]) -> tuple[Picture, ...]:
    """Return torque, and power beside it, over the speed up to where the voltage is used up."""
    names = ("pole_pairs", "flux", "d_inductance", "q_inductance", "d_current", "q_current")
    shared = {name: inputs[name] for name in names if name in inputs}
    try:
        torque = compute("torque", shared).outputs["torque"]
        given = compute("base-speed", inputs).outputs
    except CalculationError:
        return ()
    base = given["base_speed"]
    if not isinstance(torque, float) or not isinstance(base, float) or torque <= 0.0:
        return ()
    beyond = _weakened(inputs, base)
    end = 2.0 * base

    def at(speed: float) -> float | None:
        return torque if speed <= base else beyond(speed)

    def power(speed: float) -> float | None:
        turning = at(speed)
        return None if turning is None else turning * speed

    return (
        Picture("motor speed", "r/min", "torque", "Nm",
                (_trace("torque", at, (0.0, end), base),)),
        Picture("motor speed", "r/min", "mechanical power", "kW",
                (_trace("mechanical power", power, (0.0, end), base),)),
    )  # fmt: skip


def _weakened(inputs: Mapping[str, Value], base: float) -> Callable[[float], float | None]:
    """Return the torque above base speed: the same current, turned towards -d by field weakening.

    The torque current is what is left of the amplitude at the d current that the speed asks for;
    both are found by halving. Resistance neglected, as in the calculator of that name.
    """
    names = ("pole_pairs", "flux", "d_inductance", "q_inductance", "voltage", "modulation")
    shared = {name: inputs[name] for name in names if name in inputs}
    d_current, q_current = inputs.get("d_current", 0.0), inputs.get("q_current", 0.0)
    if not isinstance(d_current, float) or not isinstance(q_current, float):
        return lambda _speed: None
    most = (d_current * d_current + q_current * q_current) ** 0.5

    def amplitude(speed: float, q: float) -> tuple[float, float]:
        try:
            found = compute(
                "field-weakening", {**shared, "motor_speed": speed, "q_current": q}
            ).outputs
        except CalculationError:
            return float("inf"), 0.0
        size, d = found["amplitude"], found["d_current"]
        return (size, d) if isinstance(size, float) and isinstance(d, float) else (float("inf"), 0)

    def torque(speed: float) -> float | None:
        if speed < base or amplitude(speed, 0.0)[0] > most:
            return None
        low, high = 0.0, q_current
        for _ in range(40):
            middle = (low + high) / 2.0
            low, high = (middle, high) if amplitude(speed, middle)[0] <= most else (low, middle)
        motor = {name: shared[name] for name in names[:4]}
        currents: dict[str, Value] = {"d_current": amplitude(speed, low)[1], "q_current": low}
        try:
            answer = compute("torque", {**motor, **currents}).outputs["torque"]
        except CalculationError:
            return None
        return answer if isinstance(answer, float) else None

    return torque


_TIME_ALONG: Final = {
    "discharge-time": ("voltage left", "voltage"), "precharge": ("share charged", ""),
}  # fmt: skip
"""Calculators of a time that are plotted over it: what then lies along y, and the input it is at
the beginning; empty: zero."""
_MORE: Final[Mapping[str, Callable[[Mapping[str, Value]], tuple[Picture, ...]]]] = {
    "top-speed": _thrust_and_load,
    "base-speed": _torque_and_power,
}
"""Plots beside a calculator's own curve, by its name."""
