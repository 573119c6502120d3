"""How one virtual bike is truly built: every fact that a probe can see, and nothing that is known.

A fault is never code: it is another build. What papers and plates say of the bike stands in
`Papers`, apart from what is true, for the two may differ. SI units throughout; temperatures in
kelvin, angles in electrical degrees where they say so.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from commission.practice.build_controller import Controller, SettingValue, Storage

if TYPE_CHECKING:
    from collections.abc import Mapping

__all__ = [
    "Build", "Controller", "Cooling", "Driveline", "Grip", "Meter", "Motor", "Owner", "Pack",
    "Rotor", "RotorSensor", "SettingValue", "Storage", "Switches", "Thermometry", "Wiring",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Pack:
    """Cells in series and parallel behind an isolating switch."""

    series: int
    parallel: int
    cell_full: float
    """Open-circuit voltage at full charge, V."""
    cell_empty: float
    """Open-circuit voltage at no charge, V."""
    cell_resistance: float
    """D.c. resistance of one cell, ohm."""
    cell_capacity: float
    """Charge of one cell, coulomb."""
    lead_resistance: float
    """Of the pack's own leads and busbars, ohm."""
    state_of_charge: float
    """0 to 1, at the start."""
    temperature: float
    """K."""
    cell_charge_current: float
    """Largest charge current of one cell within its temperature window, A."""
    charge_temperature_low: float
    """Below it the cells take no charge, K."""
    charge_temperature_high: float
    reversed_poles: bool = False
    """The positive contact carries the negative pole."""
    isolator_opens: bool = True
    """Whether the isolating switch opens the circuit when it is operated."""
    bms_cutoff: float = 0.0
    """Pack voltage at which its battery management switches off, V; 0 is none."""
    chemistry: Literal["nmc", "lfp"] = "nmc"
    """Gives the shape of the open-circuit voltage between empty and full."""


@dataclass(frozen=True, slots=True)
class Wiring:
    """Between pack, controller and motor."""

    loop_length: float
    """Of both battery cables together, m."""
    area: float
    """Copper cross-section, m²."""
    joint_resistance: float
    """Of all joints in the battery loop together, ohm."""
    fuse_rating: float
    """A; as printed on the fuse that is fitted."""
    fuse_voltage: float
    """V d.c.; as printed."""
    bus_capacitance: float
    """F."""
    bleed_resistance: float
    """Across the bus, ohm; infinity when open."""
    precharge_resistance: float
    """Ohm; infinity when open, 0 when bridged."""
    isolation_positive: float
    """Of the positive conductor to the frame, ohm."""
    isolation_negative: float
    isolation_phases: float
    """Of the motor's winding to the frame, ohm."""
    bonding_resistance: float
    """Case to frame, ohm."""
    mounting_torque: float
    """Reached at the controller's mounting, N·m."""
    terminal_torque: float
    """Reached at the power terminals, N·m."""
    topology: Literal["separate", "combined"] = "combined"
    """Whether d.c. and a.c. buses are one galvanically connected circuit."""


@dataclass(frozen=True, slots=True)
class Motor:
    """A permanent-magnet synchronous motor, amplitude-invariant dq, star-equivalent."""

    resistance: float
    """Of one phase at 20 °C, ohm."""
    inductance_d: float
    """H."""
    inductance_q: float
    flux: float
    """Peak linkage of the cold (20 °C) magnet, V·s."""
    pole_pairs: int
    peak_current: float
    """Largest phase current it bears, A rms."""
    speed_max: float
    """rad/s, mechanical."""
    phase_order: Literal[1, -1] = 1
    """−1: two phases are exchanged, so that the field turns the other way."""
    winding_temperature: float = 293.15
    magnet_temperature: float = 293.15
    thermal_resistance: float = 0.35
    """From the winding to the air, K/W."""
    thermal_time: float = 600.0
    """Time constant of its warming, s."""
    open_phase: bool = False


@dataclass(frozen=True, slots=True)
class RotorSensor:
    """One of three rotor-position sensors."""

    angle: float
    """Where it switches on, electrical degrees, counted in the sense in which the bike drives
    forward; it switches off half a turn later."""
    state: Literal["sound", "dead", "stuck low", "stuck high", "intermittent"] = "sound"


@dataclass(frozen=True, slots=True)
class Rotor:
    """The three sensors as they are wired, and what detection sees of them."""

    sensors: tuple[RotorSensor, RotorSensor, RotorSensor]
    wire_order: tuple[int, int, int] = (0, 1, 2)
    """Which sensor each input of the controller is wired to."""
    noise: float = 1.0
    """Standard deviation of one detected angle at a strong current, electrical degrees."""
    cogging: float = 4.0
    """Standard deviation of a further error at a tenth of the usual phase current, electrical
    degrees; in inverse proportion to the current."""
    loose: float = 0.0
    """How far the sensor board shifts between runs, electrical degrees."""


@dataclass(frozen=True, slots=True)
class Grip:
    """A throttle grip or a regeneration lever that gives a voltage."""

    released: float
    """V."""
    full: float
    """V."""
    dead_travel: float = 0.0
    """Share of the travel before the voltage begins to rise."""
    curve: float = 0.0
    """Bow of the middle of the travel, as a share of the span; 0 is straight."""
    supply: float = 5.0
    unplugged: float = 0.0
    """What the input reads with the plug pulled, V."""
    returns: float = 1.0
    """Share of the way back that the spring brings it when let go."""
    state: Literal["sound", "open", "shorted to supply", "sticks"] = "sound"
    switch: bool = False
    """It is a switch: released or full, with nothing between."""


@dataclass(frozen=True, slots=True)
class Switches:
    """Brake, stand and tilt, as they are: fitted, and working."""

    brake_fitted: bool = True
    stand_fitted: bool = True
    tilt_fitted: bool = False
    brake_works: bool = True
    """The switch closes when the brake is pulled."""
    stand_works: bool = True
    tilt_works: bool = True
    key_works: bool = True


@dataclass(frozen=True, slots=True)
class Cooling:
    """Pump and fan, and the air's way."""

    pump_fitted: bool = False
    fan_fitted: bool = False
    pump_works: bool = True
    fan_works: bool = True
    runs_backward: bool = False
    """The air or the coolant moves the wrong way."""
    path_clear: bool = True


@dataclass(frozen=True, slots=True)
class Thermometry:
    """Temperature sensors, and what they are."""

    ambient: float = 293.15
    """Of the room; a bike that stood overnight has it throughout, K."""
    motor_kind: str = "KTY84"
    """A kind of the calculator `sensor-at-ambient`; `none` where none is fitted."""
    motor_state: Literal["sound", "open", "shorted"] = "sound"
    motor_sensor_spread: float = 0.0
    """How far this one sensor lies off its kind's curve, as a share of its resistance."""
    motor_extra_resistance: float = 0.0
    """Of a bad joint in its loop, ohm."""
    controller_offset: float = 0.0
    """Error of the controller's own sensor, K."""
    motor_heat: float = 0.0
    """Extra heating in the ride: brake that drags, wrong angle; K at the end of it."""


@dataclass(frozen=True, slots=True)
class Driveline:
    """From the motor's shaft to the road."""

    driving_teeth: int
    driven_teeth: int
    primary_ratio: float
    rollout: float
    """Of the loaded tyre, m for one turn."""
    mass: float = 140.0
    """Bike and rider, kg."""
    chain_slack: float = 0.03
    """At its tightest place, m."""
    axle_torque: float = 60.0
    """Reached at the axle nut, N·m."""
    drags: bool = False
    """The wheel does not turn freely by hand."""
    stand_holds: bool = True


@dataclass(frozen=True, slots=True)
class Meter:
    """One instrument: what it adds to the truth."""

    percent: float
    """Largest error, % of reading."""
    counts: float
    """Largest error, counts of the last digit."""
    resolution: float
    """Value of one count, SI; 0 follows the reading (four digits)."""
    gain: float = 0.0
    """Its own place within ±1 of the accuracy it promises; beyond ±1 it is out of calibration."""
    dead: bool = False
    """Reads nothing whatever it is put to."""


@dataclass(frozen=True, slots=True)
class Owner:
    """What the owner wants and says."""

    use: str = "closed"
    """`closed` ground or `road`."""
    declared_speed: float = 15.0
    """m/s."""


@dataclass(frozen=True, slots=True)
class Build:
    """A whole bike, its meters and its papers."""

    pack: Pack
    wiring: Wiring
    motor: Motor
    rotor: Rotor
    throttle: Grip
    lever: Grip | None
    switches: Switches
    cooling: Cooling
    temperature: Thermometry
    driveline: Driveline
    controller: Controller
    owner: Owner
    meters: Mapping[str, Meter]
    """By the kind of instrument a procedure asks for (`multimeter`)."""
    papers: Mapping[str, SettingValue]
    """What plates, data sheets and labels say, by fact (`series_cells`), SI."""
    identity: Mapping[str, str] = field(default_factory=dict)
    """Numbers on the parts (`frame`, `controller`, `removed`, `motor`, `pack`)."""
