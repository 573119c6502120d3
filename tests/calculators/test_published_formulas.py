"""The same quantities by formulas others publish: other forms, other units, other constants."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.calculators.cable import COPPER_OFFSET, RESISTIVITY
from commission.calculators.catalogue import compute
from commission.calculators.motor_dq import MODULATION

many = settings(max_examples=60, deadline=None)


def number(name: str, output: str, **inputs: float) -> float:
    value = compute(name, inputs).outputs[output]
    assert isinstance(value, float)
    return value


@many
@given(st.floats(3, 100), st.integers(1, 30))
def test_flux_by_three_published_forms(volts_per_krpm: float, pairs: int) -> None:
    """Two motor block sets: λ = Ke/√3/(1000·p)·60/2π = (2/3)·Kt/p = Kt_rms·√2/(3p)."""
    ke = volts_per_krpm / (1000 * 2 * math.pi / 60)
    done = compute("motor-constants", {"pole_pairs": float(pairs), "ke": ke}).outputs
    by_voltage = volts_per_krpm / math.sqrt(3) / (1000 * pairs) * 60 / (2 * math.pi)
    by_other = volts_per_krpm * math.sqrt(3) / (100 * math.pi * pairs)
    by_torque = 2 / 3 * float(done["kt_per_peak"]) / pairs
    by_rms = float(done["kt_per_rms"]) * math.sqrt(2) / (3 * pairs)
    for flux in (by_voltage, by_torque, by_rms):
        assert done["flux_linkage"] == pytest.approx(flux, rel=1e-12)
    assert by_other == pytest.approx(by_voltage, rel=1e-12)


def test_torque_constant_of_a_phase_is_three_times_its_back_emf() -> None:
    """A servo manual's Kt[Nm/A rms] = 3·Ke[V rms of a phase per rad/s]."""
    done = compute("motor-constants", {"pole_pairs": 4.0, "ke": 0.3}).outputs
    of_a_phase = 0.3 / math.sqrt(3) / math.sqrt(2)
    assert done["kt_per_rms"] == pytest.approx(3 * of_a_phase, rel=1e-12)


def test_copper_of_the_standard_by_mass_and_by_volume() -> None:
    """IEC 60028: 0.15328 Ω·g/m² at 8.89 g/cm³, 58 S·m/mm², 0.00393/K."""
    by_mass = 0.15328 / 8.89e6
    assert pytest.approx(by_mass, rel=1e-4) == RESISTIVITY
    assert pytest.approx(0.00393, abs=1e-6) == 1 / (COPPER_OFFSET + 20)


def test_six_step_fundamental_is_that_of_its_spectrum() -> None:
    """Phase voltage of six-step switching, by numpy's Fourier transform."""
    steps = np.array([1, 2, 1, -1, -2, -1]) / 3
    wave = np.repeat(steps, 6000)
    fundamental = 2 * abs(np.fft.rfft(wave)[1]) / wave.size
    assert MODULATION["six-step"] == pytest.approx(fundamental, rel=1e-6)


def test_space_vector_limit_is_the_circle_inside_the_hexagon() -> None:
    corners = [2 / 3 * np.exp(1j * np.pi / 3 * k) for k in range(6)]
    middle = abs(corners[0] + corners[1]) / 2
    assert MODULATION["space-vector"] == pytest.approx(middle, rel=1e-12)


@many
@given(st.floats(100, 10000), st.floats(1, 20), st.floats(20, 32))
def test_speed_by_the_inch_constant(turns: float, ratio: float, inches: float) -> None:
    """63360/(60π) = 336.135: mph = r/min · diameter / (336.135 · ratio)."""
    rollout = math.pi * inches * 0.0254
    got = number("wheel-speed", "road_speed", motor_speed=turns * 2 * math.pi / 60, ratio=ratio,
                 rollout=rollout)  # fmt: skip
    assert got / 0.44704 == pytest.approx(turns * inches / (63360 / 60 / math.pi * ratio))


def test_gradeability_by_the_published_constant() -> None:
    """G% = 10200·T·R/(r·GVW) − RR: 117 Nm, 12, 400 mm, 4500 kg, 1.5 % is printed as 6.5 %."""
    published = 10200 * 117 * 12 / (400 * 4500) - 1.5
    thrust = number("wheel-thrust", "thrust", torque=117.0, ratio=12.0, efficiency=1.0, radius=0.4)
    got = number("gradeability", "gradient", thrust=thrust, mass=4500.0, rolling=0.015)
    assert 100 * got == pytest.approx(published, abs=0.05)


@many
@given(st.integers(8, 30), st.integers(30, 80), st.floats(20, 60))
def test_chain_length_by_the_rounded_constant(one: int, other: int, pitches: float) -> None:
    """Handbooks print (z2 − z1)²/(39.6·C), for 4π² = 39.478."""
    published = 2 * pitches + (one + other) / 2 + (other - one) ** 2 / (39.6 * pitches)
    got = number("chain-length", "exact", driving_teeth=float(one), driven_teeth=float(other),
                 distance=pitches * 0.0127)  # fmt: skip
    assert got == pytest.approx(published, abs=0.025)


@many
@given(st.floats(-50, 150))
def test_platinum_by_the_difference_of_its_table(celsius: float) -> None:
    """Callendar and van Dusen's other form: R0(1 + α(t − δ(t/100 − 1)(t/100) − β…))."""
    alpha, delta, beta = 3.85055e-3, 1.499786, 0.10863 * (celsius < 0)
    t = celsius / 100
    published = 100 * (1 + alpha * (celsius - delta * (t - 1) * t - beta * (t - 1) * t**3))
    got = number(
        "platinum-sensor", "sensor_resistance", at_zero=100.0, temperature=celsius + 273.15
    )
    assert got == pytest.approx(published, abs=2e-3)
