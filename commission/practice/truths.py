"""What a rider would meet after the bike was handed over: the truth that trials judge by.

Looked at as on the morning after: the bus has been dead and the controller holds what it stored.
Each truth has a threshold below which nobody is hurt and nothing breaks; those are our own figures
(common practice, no source) and lie outside what a passed checklist can leave behind.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Final, Literal

from commission.practice import drive
from commission.practice.drive import Hands
from commission.practice.physics import bus, levers, pack, sensors
from commission.practice.speeds import road_speed_limit
from commission.practice.targets import charge_current, paper, right_settings

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.practice.build import Build
    from commission.practice.controller import Controller

Severity = Literal["can injure", "damage", "nuisance"]


@dataclass(frozen=True, slots=True)
class Truth:
    """One thing that is wrong with a bike as it would be ridden."""

    name: str
    """A fixed word or two, for comparing."""
    what: str
    """A sentence with its size."""
    severity: Severity


def truths(build: Build, controller: Controller) -> tuple[Truth, ...]:
    """Return everything that a rider would meet; a sound bike set right has nothing."""
    later = controller.after_cold_start()
    return tuple(found for look in _LOOKS for found in look(build, later))


def _moves(build: Build, controller: Controller) -> Iterator[Truth]:
    run = drive.how_it_runs(build, controller)
    if run.sense < 0:
        yield Truth("backward", "It drives backward under power.", "can injure")
    elif run.sense == 0:
        yield Truth("no drive", "It does not pull away, or throws itself about.", "can injure")
    elif not run.smooth:
        yield Truth("rough", f"The motor knocks: {run.weakest:.0%} at its weakest.", "damage")
    elif run.torque_share < _LEAST_TORQUE:
        yield Truth("weak", f"It has {run.torque_share:.0%} of its torque.", "damage")
    if drive.shown_sense(build, controller) < 0:
        yield Truth("speed sign", "Its speed counts backward.", "nuisance")
    for sensor in build.rotor.sensors:
        if sensor.state == "intermittent":
            yield Truth("intermittent sensor", "A rotor sensor fails now and then.", "can injure")
    if build.rotor.loose > _LOOSE:
        yield Truth("loose sensors", "The rotor sensors shift in their seat.", "damage")
    if build.driveline.drags:
        yield Truth("drags", "The wheel drags.", "nuisance")


_LEAST_TORQUE: Final = 0.97
_LOOSE: Final = 3.0


def _throttle(build: Build, controller: Controller) -> Iterator[Truth]:
    grip = build.throttle

    def asked(signal: float) -> float:
        return drive.demand(build, controller, signal) or 0.0

    released = asked(levers.voltage(grip, levers.let_go(grip, 1.0)))
    if max(released, build.controller.creeps) > 0.0:
        yield Truth("creeps", "It pulls with the throttle let go.", "can injure")
    lost = [asked(levers.voltage(grip, 0.0, plugged=False)), asked(grip.supply)]
    if max(lost) > 0.0:
        yield Truth("runs away", "A lost or shorted throttle signal lets it run.", "can injure")
    elif drive.demand(build, controller, grip.unplugged) is not None:
        yield Truth("lost signal", "A lost throttle signal is not seen as a fault.", "can injure")
    if grip.state in ("open", "shorted to supply"):
        yield Truth("throttle dead", "The throttle does nothing.", "nuisance")
    steps = [asked(levers.voltage(grip, place / 20.0)) for place in range(21)]
    if max(later - one for one, later in pairwise(steps)) > _JUMP:
        yield Truth("surges", "The throttle jumps.", "can injure")
    if max(steps) < _FULL:
        yield Truth("no full throttle", f"At most {max(steps):.0%} can be asked for.", "nuisance")


_JUMP: Final = 0.2
_FULL: Final = 0.9


def _lever(build: Build, controller: Controller) -> Iterator[Truth]:
    lever = build.lever
    if (
        lever is None
        or lever.switch
        or not drive.truth(controller, "regen_by_lever", otherwise=True)
    ):
        return
    low = drive.number(controller, "lever_low", lever.released + 0.1)
    high = drive.number(controller, "lever_high", lever.full - 0.1)
    rest = levers.voltage(lever, levers.let_go(lever, 1.0))
    if (levers.demand(rest, low, high) or 0.0) > 0.0:
        yield Truth("lever brakes", "It brakes with the lever let go.", "can injure")
    if (levers.demand(levers.voltage(lever, 1.0), low, high) or 0.0) < _FULL:
        yield Truth("weak lever", "The lever never brakes fully.", "nuisance")


def _interlocks(build: Build, controller: Controller) -> Iterator[Truth]:
    fitted = build.switches
    for name, there, hands in (
        ("brake", fitted.brake_fitted, Hands(brake=True)),
        ("stand", fitted.stand_fitted, Hands(stand_out=True)),
        ("tilt", fitted.tilt_fitted, Hands(tilted=True)),
    ):
        if there and not drive.stops(build, controller, hands):
            yield Truth(f"{name} does not cut", f"The {name} does not cut the drive.", "can injure")
    for name, there in (("stand_switch", fitted.stand_fitted), ("tilt_sensor", fitted.tilt_fitted)):
        if not there and drive.truth(controller, name, otherwise=False):
            what = "An input without a sensor cuts the drive at a bump."
            yield Truth(f"{name} not fitted", what, "can injure")
    if not fitted.key_works:
        yield Truth("key", "The key does not switch the drive off.", "can injure")
    mode = controller.obeyed("startup_mode")
    if mode not in (None, "low"):
        yield Truth("start-up mode", f"It starts in the mode {mode}.", "can injure")


def _speed(build: Build, controller: Controller) -> Iterator[Truth]:
    true, declared = road_speed_limit(build, controller), build.owner.declared_speed
    if true > 1.06 * declared:
        what = f"It runs {true / declared - 1.0:.0%} faster than declared."
        yield Truth("too fast", what, "can injure")
    elif true < 0.9 * declared:
        yield Truth("too slow", f"It runs {1.0 - true / declared:.0%} slower.", "nuisance")
    if build.controller.storage.display_unit != "km/h" or controller.obeyed("speed_unit") == "mph":
        yield Truth("display unit", "The display counts miles.", "can injure")


_HIGHEST: Final[tuple[tuple[str, Severity, float], ...]] = (
    ("phase_current_limit", "damage", 1.05),
    ("battery_current_limit", "can injure", 1.05),
    ("high_voltage_cutoff", "can injure", 1.02),
)
"""Settings that must not be higher than right, and by what factor that counts."""


def _limits(build: Build, controller: Controller) -> Iterator[Truth]:
    right = right_settings(build)
    for role, severity, too_much in _HIGHEST:
        most = float(right[role])
        has = drive.number(controller, role, most)
        if has > too_much * most:
            yield Truth(
                role, f"{role.replace('_', ' ')} is {has / most - 1:.0%} too high.", severity
            )
    lowest = float(right["low_voltage_cutoff"])
    if drive.number(controller, "low_voltage_cutoff", lowest) < 0.98 * lowest:
        yield Truth("low_voltage_cutoff", "The cells are discharged too far.", "damage")
    if drive.number(controller, "low_voltage_cutoff", lowest) > pack.open_voltage(build.pack):
        yield Truth("cuts out", "The low voltage cut-off ends the drive.", "nuisance")
    regen = drive.number(controller, "regen_current_limit", 0.0)
    if regen > 1.1 * charge_current(build) + 1.0:
        yield Truth("regen_current_limit", f"Regeneration pushes {regen:.0f} A.", "can injure")
    for role, own, share in (
        ("motor_flux", build.motor.flux, 0.15), ("motor_resistance", build.motor.resistance, 0.3),
    ):  # fmt: skip
        if abs(drive.number(controller, role, own) / own - 1.0) > share:
            yield Truth(role, f"{role.replace('_', ' ')} is another motor's.", "damage")
    if drive.truth(controller, "field_weakening", otherwise=False):
        yield Truth("field weakening", "Field weakening is on.", "damage")
    low = drive.number(controller, "power_level_low", 0.4)
    if low > _LOW_MODE:
        yield Truth("power_level_low", f"The low mode gives {low:.0%}.", "can injure")


_LOW_MODE: Final = 0.45


def _heat(build: Build, controller: Controller) -> Iterator[Truth]:
    warmth, cooling = build.temperature, build.cooling
    kind = controller.obeyed("motor_sensor_kind")
    if warmth.motor_kind != "none":
        hot = warmth.ambient + 90.0
        ohms = sensors.motor_sensor(warmth, hot)
        shown = sensors.displayed(str(kind or warmth.motor_kind), ohms)
        if shown is None or abs(shown - hot) > _HOT:
            yield Truth("motor temperature", "The hot motor is not seen as hot.", "damage")
    if abs(warmth.controller_offset) > _HOT:
        yield Truth("controller temperature", "The controller's heat is misread.", "damage")
    if warmth.motor_heat > _HOT:
        yield Truth("motor heats", f"The motor gets {warmth.motor_heat:.0f} K too hot.", "damage")
    for name, there, works in (
        ("pump", cooling.pump_fitted, cooling.pump_works),
        ("fan", cooling.fan_fitted, cooling.fan_works),
    ):
        on = drive.truth(controller, f"{name}_output", otherwise=True)
        if there and not (works and on and not cooling.runs_backward):
            yield Truth(f"{name} fails", f"The {name} does not cool.", "damage")
    if not cooling.path_clear:
        yield Truth("cooling blocked", "Nothing carries the heat away.", "damage")


_HOT: Final = 15.0
"""K."""


def _wires(build: Build, controller: Controller) -> Iterator[Truth]:
    del controller
    wiring, full = build.wiring, pack.full_voltage(build.pack)
    need = 500.0 if wiring.topology == "combined" else 100.0
    if min(bus.isolation(wiring, pole) for pole in ("positive", "negative")) < need * full:
        yield Truth("isolation", "The insulation to the frame is too low.", "can injure")
    if wiring.bonding_resistance > 0.11:  # noqa: PLR2004  0.1 Ω and a meter's error
        yield Truth("bonding", "The case is not bonded to the frame.", "can injure")
    current = float(right_settings(build)["battery_current_limit"])
    if (heat := wiring.joint_resistance * current**2) > _HOT_JOINT:
        yield Truth("hot joint", f"A joint of the battery cables takes {heat:.0f} W.", "damage")
    if wiring.fuse_voltage < full:
        yield Truth("fuse voltage", "The fuse cannot break the pack's voltage.", "can injure")
    if not _LOOSEST < wiring.mounting_torque / MOUNTING_TORQUE < _TIGHTEST:
        yield Truth("mounting torque", "The controller is not seated as it should be.", "damage")
    if not _LOOSEST < wiring.terminal_torque / TERMINAL_TORQUE < _TIGHTEST:
        yield Truth("terminal torque", "A power terminal is not tight as it should be.", "damage")


_LONGEST_FILLING: Final = 60.0
"""s; a pre-charge that takes longer never ends for whoever waits."""
_HOT_JOINT: Final = 20.0
"""W."""


def _power(build: Build, controller: Controller) -> Iterator[Truth]:
    del controller
    wiring = build.wiring
    fills = 5.0 * wiring.precharge_resistance * wiring.bus_capacitance
    if not 0.0 < fills < _LONGEST_FILLING:
        yield Truth("pre-charge", "The pre-charge is bridged or open.", "damage")
    expected = paper(build, "discharge_resistance", wiring.bleed_resistance)
    if wiring.bleed_resistance > 2.0 * expected:
        yield Truth("bleed", "The bus stays charged for longer than said.", "can injure")
    if not build.pack.isolator_opens:
        yield Truth("isolator", "The disconnector does not open the circuit.", "can injure")
    if build.pack.reversed_poles:
        yield Truth("polarity", "The pack's poles are reversed.", "can injure")
    if not build.driveline.stand_holds:
        yield Truth("work stand", "The bike's stand points do not hold.", "can injure")


MOUNTING_TORQUE, TERMINAL_TORQUE = 9.0, 10.0
"""N·m, as the makers of our invented controllers ask for."""
_LOOSEST, _TIGHTEST = 0.85, 1.15
"""Shares of them."""


_LOOKS: Final[tuple[Callable[[Build, Controller], Iterator[Truth]], ...]] = (
    _moves, _throttle, _lever, _interlocks, _speed, _limits, _heat, _wires, _power,
)  # fmt: skip
