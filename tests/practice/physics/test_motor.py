"""The motor against motulator 0.5.0, an independent machine model, and scipy's optimiser."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from commission.practice.physics import motor as motors
from commission.practice.physics.varied import sound_build

if TYPE_CHECKING:
    from commission.practice.build import Build, Motor

few = settings(max_examples=40, deadline=None)
bikes = st.integers(0, 10**9).map(sound_build)
shares = st.floats(-1.0, 1.0)


def theirs(motor: Motor) -> Any:
    from motulator.drive.utils import SynchronousMachinePars

    return SynchronousMachinePars(
        n_p=motor.pole_pairs,
        R_s=motors.resistance(motor),
        L_d=motor.inductance_d,
        L_q=motor.inductance_q,
        psi_f=motors.flux(motor),
    )


@pytest.fixture(autouse=True)
def _no_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MPLBACKEND", "Agg")


@few
@given(bikes, shares, shares, st.floats(-1.2, 1.2))
def test_a_steady_state_is_an_equilibrium_of_an_independent_machine(
    bike: Build, along: float, across: float, speed_share: float
) -> None:
    from motulator.drive.model import SynchronousMachine

    motor = bike.motor
    peak = math.sqrt(2.0) * motor.peak_current
    ours = motors.steady(motor, speed_share * motor.speed_max, along * peak, across * peak)
    machine = SynchronousMachine(theirs(motor))
    machine.state.psi_s = complex(
        motors.flux(motor) + motor.inductance_d * ours.d_current,
        motor.inductance_q * ours.q_current,
    )
    machine.inp.u_ss = complex(ours.d_voltage, ours.q_voltage)
    machine.inp.w_M = ours.speed
    machine.set_outputs(None)

    change, _ = machine.rhs()
    assert abs(change) < 1e-9 * max(1.0, ours.phase_voltage)
    assert ours.torque == pytest.approx(machine.tau_M, rel=1e-9, abs=1e-9)


@few
@given(bikes, st.floats(0.05, 1.0))
def test_the_best_currents_are_those_of_an_independent_machine(bike: Build, share: float) -> None:
    from motulator.drive.control.sm import TorqueCharacteristics

    amplitude = share * math.sqrt(2.0) * bike.motor.peak_current
    along, across = motors.best_currents(bike.motor, amplitude)
    best = TorqueCharacteristics(theirs(bike.motor)).mtpa(np.array([amplitude]))[0]
    expected = amplitude * np.exp(1j * best)
    # Their angle comes from a formula that loses digits where both inductances agree.
    assert complex(along, across) == pytest.approx(expected, rel=1e-4)


@few
@given(
    bike=bikes, speed_share=st.floats(0.05, 1.8), share=st.floats(0.05, 1.0),
    weakening=st.booleans(),
)  # fmt: skip
def test_power_in_is_power_out_and_losses_within_current_and_voltage(
    bike: Build, speed_share: float, share: float, *, weakening: bool
) -> None:
    supply = 60.0
    speed = speed_share * motors.no_load_speed(bike.motor, supply)
    amplitude = share * math.sqrt(2.0) * bike.motor.peak_current
    at = motors.drive(bike.motor, speed, supply, amplitude, weakening=weakening)

    assert at.electrical_power == pytest.approx(
        at.mechanical_power + at.copper_loss, rel=1e-9, abs=1e-6
    )
    assert motors.supply_current(at, supply) * supply == pytest.approx(at.electrical_power)
    assert at.amplitude <= amplitude * (1 + 1e-9)
    assert at.torque >= -1e-9
    # Without any current the back-EMF may be above the supply: then nothing flows.
    if at.amplitude > 1e-6:
        assert at.phase_voltage <= supply / math.sqrt(3.0) * (1 + 1e-9)


@few
@given(bikes, st.floats(0.3, 1.6), st.floats(0.2, 1.0))
def test_field_weakening_gives_nearly_the_most_torque_an_optimiser_finds(
    bike: Build, speed_share: float, share: float
) -> None:
    motor, supply = bike.motor, 60.0
    speed = speed_share * motors.no_load_speed(motor, supply)
    amplitude = share * math.sqrt(2.0) * motor.peak_current
    ours = motors.drive(motor, speed, supply, amplitude, weakening=True)

    def least(currents: Any) -> float:
        return -motors.steady(motor, speed, *(amplitude * currents)).torque

    def spare(currents: Any) -> list[float]:
        voltage = motors.steady(motor, speed, *(amplitude * currents)).phase_voltage
        return [1.0 - math.hypot(*currents), 1.0 - voltage * math.sqrt(3.0) / supply]

    start = np.array([ours.d_current, ours.q_current]) / amplitude
    best = optimize.minimize(
        least, start, constraints={"type": "ineq", "fun": spare}, method="SLSQP",
        options={"ftol": 1e-12},
    )  # fmt: skip
    if ours.amplitude > 0.0 and min(spare(best.x)) > -1e-6:
        assert ours.torque >= -0.97 * best.fun - 0.02


def test_without_weakening_the_torque_ends_at_the_no_load_speed(demonstrator: Build) -> None:
    motor, supply = demonstrator.motor, 66.3
    ends = motors.no_load_speed(motor, supply)
    # 58 r/min per volt on the plate is the cold motor's.
    assert ends * 60 / math.tau == pytest.approx(58 * supply, rel=2e-3)
    assert motors.drive(motor, 1.01 * ends, supply, 300.0, weakening=False).torque == 0.0
    assert motors.drive(motor, 1.01 * ends, supply, 300.0, weakening=True).torque > 20.0


def test_a_turning_motor_charges_the_bus_by_its_back_emf(demonstrator: Build) -> None:
    """4800 r/min at 58 r/min/V: 82.76 V, and 4.4 % more with a magnet 40 K colder."""
    cold = replace(demonstrator.motor, magnet_temperature=293.15)
    speed = 4800 * math.tau / 60
    assert motors.back_emf(cold, speed) == pytest.approx(82.759, rel=1e-4)
    colder = replace(cold, magnet_temperature=253.15)
    assert motors.back_emf(colder, -speed) == pytest.approx(86.400, rel=1e-4)


def test_resistance_follows_copper(demonstrator: Build) -> None:
    """IEC 60028: 0.393 % per kelvin from 20 °C."""
    warm = replace(demonstrator.motor, winding_temperature=393.15)
    assert motors.resistance(warm) == pytest.approx(6.2e-3 * 1.393, rel=1e-3)
