"""The motor in dq axes, amplitude-invariant: steady state, field weakening, back-EMF.

Currents and voltages are peak values of a phase, speeds mechanical in rad/s.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.calculators.cable import copper_factor
from commission.calculators.catalogue import compute

if TYPE_CHECKING:
    from commission.practice.build import Motor

REFERENCE: Final = 293.15
"""K: at which a build states resistance and flux."""
MAGNET_COEFFICIENT: Final = -0.0011
"""Change of an NdFeB magnet's flux per kelvin (as in the calculator `overspeed-voltage`)."""
_HALVINGS: Final = 50
"""Halvings of an interval: 2^-50 of the current is far below a milliampere."""


@dataclass(frozen=True, slots=True)
class Operating:
    """One steady state of the motor."""

    speed: float
    d_current: float
    q_current: float
    d_voltage: float
    q_voltage: float
    torque: float
    copper_loss: float
    """W."""

    @property
    def amplitude(self) -> float:
        """The phase current, A peak."""
        return math.hypot(self.d_current, self.q_current)

    @property
    def phase_voltage(self) -> float:
        """V peak."""
        return math.hypot(self.d_voltage, self.q_voltage)

    @property
    def electrical_power(self) -> float:
        """What the inverter gives, W."""
        return 1.5 * (self.d_voltage * self.d_current + self.q_voltage * self.q_current)

    @property
    def mechanical_power(self) -> float:
        """What the shaft gives, W."""
        return self.torque * self.speed


def resistance(motor: Motor) -> float:
    """Return the resistance of one phase at the winding's temperature, ohm."""
    return motor.resistance * copper_factor(motor.winding_temperature)


def flux(motor: Motor) -> float:
    """Return the peak flux linkage at the magnet's temperature, V·s."""
    return motor.flux * (1.0 + MAGNET_COEFFICIENT * (motor.magnet_temperature - REFERENCE))


def back_emf(motor: Motor, speed: float) -> float:
    """Return the peak line-to-line voltage of the turning motor without current, V.

    It is also what the bridge's diodes charge an unsupplied bus to, whatever the sense.
    """
    return math.sqrt(3.0) * flux(motor) * motor.pole_pairs * abs(speed)


def no_load_speed(motor: Motor, supply: float) -> float:
    """Return the speed at which the back-EMF uses up the `supply` in V d.c."""
    return supply / back_emf(motor, 1.0)


def steady(motor: Motor, speed: float, d_current: float, q_current: float) -> Operating:
    """Return the steady state at a speed and currents."""
    electrical = motor.pole_pairs * speed
    d_flux = flux(motor) + motor.inductance_d * d_current
    q_flux = motor.inductance_q * q_current
    phase = resistance(motor)
    return Operating(
        speed=speed,
        d_current=d_current,
        q_current=q_current,
        d_voltage=phase * d_current - electrical * q_flux,
        q_voltage=phase * q_current + electrical * d_flux,
        torque=_torque(motor, d_current, q_current)["torque"],
        copper_loss=1.5 * phase * (d_current * d_current + q_current * q_current),
    )


def drive(
    motor: Motor, speed: float, supply: float, amplitude: float, *, weakening: bool
) -> Operating:
    """Return the most torque at a `speed` from a `supply` in V d.c. within a current `amplitude`.

    Space-vector modulation: at most supply/√3 a phase. Without field weakening the current falls to
    nothing at the no-load speed; with it, it turns toward the negative d axis. No current, and so
    no torque, where no current within the amplitude meets the voltage.
    """
    limit = supply / math.sqrt(3.0)
    best = steady(motor, speed, *best_currents(motor, amplitude))
    if best.phase_voltage <= limit:
        return best
    if weakening:
        start = math.atan2(best.q_current, best.d_current)
        return _weakened(motor, speed, limit, amplitude, start)
    return _reduced(motor, speed, limit, amplitude)


def best_currents(motor: Motor, amplitude: float) -> tuple[float, float]:
    """Return the d and q currents that give the most torque for an amplitude."""
    if amplitude == 0.0:
        return 0.0, 0.0
    angle = _torque(motor, 0.0, amplitude)["best_angle"]
    return amplitude * math.cos(angle), amplitude * math.sin(angle)


def supply_current(operating: Operating, supply: float) -> float:
    """Return the battery current in A of a loss-free inverter; negative where power comes back."""
    return operating.electrical_power / supply


def _torque(motor: Motor, d_current: float, q_current: float) -> dict[str, float]:
    machine = {
        "pole_pairs": motor.pole_pairs, "flux": flux(motor), "d_inductance": motor.inductance_d,
        "q_inductance": motor.inductance_q, "d_current": d_current, "q_current": q_current,
    }  # fmt: skip
    return {name: float(value) for name, value in compute("torque", machine).outputs.items()}


def _reduced(motor: Motor, speed: float, limit: float, amplitude: float) -> Operating:
    """Return the largest current on the line of most torque that the voltage allows."""
    low, high = 0.0, amplitude
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        meets = steady(motor, speed, *best_currents(motor, middle)).phase_voltage <= limit
        low, high = (middle, high) if meets else (low, middle)
    return steady(motor, speed, *best_currents(motor, low))


def _weakened(
    motor: Motor, speed: float, limit: float, amplitude: float, start: float
) -> Operating:
    """Return the current turned from the angle `start` only as far as the voltage asks.

    Turned beyond the current that cancels the magnets' flux, the flux would grow again: there the
    amplitude shrinks instead.
    """
    furthest = min(amplitude, flux(motor) / motor.inductance_d)
    if steady(motor, speed, -furthest, 0.0).phase_voltage > limit:
        return steady(motor, speed, 0.0, 0.0)
    low, high = start, math.acos(-furthest / amplitude)
    if _turned(motor, speed, amplitude, high).phase_voltage > limit:
        return _within_circle(motor, speed, limit, furthest)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        meets = _turned(motor, speed, amplitude, middle).phase_voltage <= limit
        low, high = (low, middle) if meets else (middle, high)
    return _turned(motor, speed, amplitude, high)


def _turned(motor: Motor, speed: float, amplitude: float, angle: float) -> Operating:
    return steady(motor, speed, amplitude * math.cos(angle), amplitude * math.sin(angle))


def _within_circle(motor: Motor, speed: float, limit: float, d_current: float) -> Operating:
    """Return the largest q current beside the d current that cancels the magnets' flux."""
    low, high = 0.0, limit / (motor.pole_pairs * abs(speed) * motor.inductance_q)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        meets = steady(motor, speed, -d_current, middle).phase_voltage <= limit
        low, high = (middle, high) if meets else (low, middle)
    return steady(motor, speed, -d_current, low)
