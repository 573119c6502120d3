"""The bus against scipy's integrator; cables, isolation and frame voltages against arithmetic."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from commission.calculators.catalogue import compute
from commission.practice.physics import bus
from commission.practice.physics.varied import sound_build

if TYPE_CHECKING:
    from commission.practice.build import Build

few = settings(max_examples=60, deadline=None)
volts = st.floats(0.0, 120.0)
ohms = st.floats(10.0, 2e4)
farads = st.floats(1e-4, 5e-3)


@few
@given(volts, volts, ohms, ohms, farads, st.floats(0.0, 5.0))
def test_precharge_is_the_solution_of_its_differential_equation(
    supply: float, start: float, series: float, bleed: float, capacitance: float, turns: float
) -> None:
    time = turns * series * bleed / (series + bleed) * capacitance

    def change(_: float, voltage: list[float]) -> list[float]:
        return [((supply - voltage[0]) / series - voltage[0] / bleed) / capacitance]

    integrated = solve_ivp(change, (0.0, time), [start], rtol=1e-9, atol=1e-9).y[0, -1]
    ours = bus.charged(supply, start, series, bleed, capacitance, time)
    assert ours == pytest.approx(integrated, rel=1e-6, abs=1e-6)


@few
@given(volts, ohms, farads, st.floats(0.0, 8.0))
def test_bleeding_is_the_solution_of_its_differential_equation(
    start: float, bleed: float, capacitance: float, turns: float
) -> None:
    time = turns * bleed * capacitance
    integrated = solve_ivp(
        lambda _, voltage: [-voltage[0] / bleed / capacitance], (0.0, time), [start],
        rtol=1e-9, atol=1e-9,
    ).y[0, -1]  # fmt: skip
    assert bus.bled(start, bleed, capacitance, time) == pytest.approx(
        integrated, rel=1e-6, abs=1e-6
    )


@few
@given(volts, ohms, farads, st.floats(0.0, 100.0), st.floats(0.0, 100.0))
def test_the_bus_never_rises_while_it_bleeds(
    start: float, bleed: float, capacitance: float, first: float, more: float
) -> None:
    once = bus.bled(start, bleed, capacitance, first)
    later = bus.bled(start, bleed, capacitance, first + more)
    assert 0.0 <= later <= once <= start
    # In two pieces as in one.
    assert later == pytest.approx(bus.bled(once, bleed, capacitance, more), abs=1e-12)


def test_an_open_bleed_resistor_keeps_the_charge_and_an_open_precharge_brings_none() -> None:
    assert bus.bled(66.0, math.inf, 1.5e-3, 3600.0) == 66.0
    assert bus.charged(66.0, 0.0, math.inf, 9.1e3, 1.5e-3, 10.0) == 0.0
    assert bus.charged(66.0, 30.0, math.inf, 9.1e3, 1.5e-3, 13.65) == pytest.approx(30 / math.e)
    assert bus.charged(66.0, 0.0, 0.0, 9.1e3, 1.5e-3, 0.0) == 66.0


def test_a_shorted_bus_holds_nothing_whatever_supplies_it() -> None:
    assert bus.bled(66.0, 0.0, 1.5e-3, 1.0) == 0.0
    assert bus.charged(66.0, 30.0, 100.0, 0.0, 1.5e-3, 1.0) == 0.0
    assert bus.charged(66.0, 30.0, 100.0, math.inf, 0.0, 1.0) == 66.0


@few
@given(st.integers(0, 10**9).map(sound_build))
def test_a_sound_bus_is_dead_after_the_wait_that_its_papers_ask_for(bike: Build) -> None:
    papers, pack, wiring = bike.papers, bike.pack, bike.wiring
    full = pack.series * pack.cell_full
    wait = compute(
        "discharge-time",
        {
            "voltage": full,
            "safe": 5.0,
            "resistance": float(papers["discharge_resistance"]),
            "capacitance": float(papers["bus_capacitance"]),
        },
    ).outputs["time"]
    assert bus.bled(full, wiring.bleed_resistance, wiring.bus_capacitance, float(wait)) < 5.0


def test_cables_have_the_resistance_of_their_table(demonstrator: Build) -> None:
    """IEC 60228, class 5: 25 mm² has 0.780 Ω/km at 20 °C."""
    plain = replace(demonstrator.wiring, joint_resistance=0.0)
    assert bus.loop_resistance(plain) == pytest.approx(1.90 * 0.780e-3)
    assert bus.loop_resistance(replace(plain, joint_resistance=5e-3)) == pytest.approx(6.482e-3)
    # A cross-section between the table's lies between its neighbours.
    odd = bus.loop_resistance(replace(plain, area=30e-6))
    assert 1.90 * 0.554e-3 < odd < 1.90 * 0.780e-3


def test_a_fault_of_either_pole_shows_at_both_and_one_of_the_windings_too(
    demonstrator: Build,
) -> None:
    wiring = demonstrator.wiring
    assert bus.isolation(wiring, "positive") > 4e6
    bad = replace(wiring, isolation_negative=8e3)
    assert bus.isolation(bad, "negative") == pytest.approx(8e3, rel=0.01)
    assert bus.isolation(bad, "positive") == pytest.approx(8e3 + 9.1e3, rel=0.01)
    windings = replace(wiring, isolation_phases=12e3)
    assert bus.isolation(windings, "negative") == pytest.approx(12e3, rel=0.01)
    apart = replace(windings, topology="separate")
    assert bus.isolation(apart, "negative") > 4e6


def test_the_frame_divides_a_live_bus_and_a_dead_one_has_nothing(demonstrator: Build) -> None:
    wiring = replace(demonstrator.wiring, isolation_positive=10e6, isolation_negative=10e6)
    # 10 MΩ beside the meter's own 10 MΩ, in series with 10 MΩ: a third.
    assert bus.to_frame(wiring, 66.0, "positive") == pytest.approx(22.0)
    assert bus.to_frame(wiring, 66.0, "negative") == pytest.approx(-22.0)
    assert bus.to_frame(wiring, 0.0, "positive") == 0.0
    leak = replace(wiring, isolation_negative=10e3)
    assert bus.to_frame(leak, 66.0, "positive") == pytest.approx(66.0, rel=0.01)
