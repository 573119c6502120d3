"""The pack: sag, its own energy balance, and what it takes in."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.practice.physics import pack as packs
from commission.practice.physics.varied import sound_build

if TYPE_CHECKING:
    from commission.practice.build import Build

few = settings(max_examples=60, deadline=None)
bikes = st.integers(0, 10**9).map(sound_build)


@few
@given(bikes, st.floats(-50.0, 400.0), st.floats(0.0, 400.0))
def test_sag_grows_with_the_current_and_its_power_goes_into_heat(
    bike: Build, current: float, more: float
) -> None:
    pack = bike.pack
    light, heavy = packs.loaded_voltage(pack, current), packs.loaded_voltage(pack, current + more)
    assert heavy <= light
    if light > 0.0:
        heat = current**2 * packs.resistance(pack)
        inner = packs.open_voltage(pack) * current
        assert inner == pytest.approx(light * current + heat, abs=1e-6)


@few
@given(bikes, st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_fuller_pack_has_more_voltage_between_empty_and_full(
    bike: Build, one: float, other: float
) -> None:
    less, more = sorted((one, other))
    low = packs.open_voltage(replace(bike.pack, state_of_charge=less))
    high = packs.open_voltage(replace(bike.pack, state_of_charge=more))
    pack = bike.pack
    slack = 1e-9
    assert pack.series * pack.cell_empty - slack <= low <= high + slack
    assert high <= packs.full_voltage(pack) + slack


@few
@given(bikes, st.floats(0.0, 2e5), st.floats(0.0, 2e5))
def test_charge_drawn_in_two_pieces_is_charge_drawn_in_one(
    bike: Build, first: float, second: float
) -> None:
    twice = packs.discharged(packs.discharged(bike.pack, first), second)
    once = packs.discharged(bike.pack, first + second)
    assert twice.state_of_charge == pytest.approx(once.state_of_charge, abs=1e-12)
    assert once.state_of_charge <= bike.pack.state_of_charge


def test_the_demonstrator_measures_what_its_answers_say(demonstrator: Build) -> None:
    pack = demonstrator.pack
    assert packs.open_voltage(pack) == pytest.approx(66.30)
    assert packs.resistance(pack) == pytest.approx(45e-3)
    assert packs.full_voltage(pack) == pytest.approx(71.4)
    assert packs.charge_current(pack) == pytest.approx(24.0)
    # 66.3 V less 110 A through 45 mΩ.
    assert packs.loaded_voltage(pack, 110.0) == pytest.approx(61.35)


def test_reversed_poles_show_as_a_minus_sign(demonstrator: Build) -> None:
    turned = replace(demonstrator.pack, reversed_poles=True)
    assert packs.contact_voltage(turned) == pytest.approx(-66.30)


def test_a_cold_or_full_pack_takes_nothing(demonstrator: Build) -> None:
    pack = demonstrator.pack
    assert packs.charge_current(replace(pack, temperature=272.0)) == 0.0
    assert packs.charge_current(replace(pack, temperature=320.0)) == 0.0
    assert packs.charge_current(replace(pack, state_of_charge=1.0)) == 0.0


def test_battery_management_switches_off_under_sag(demonstrator: Build) -> None:
    pack = replace(demonstrator.pack, bms_cutoff=60.0)
    assert packs.loaded_voltage(pack, 110.0) > 60.0
    assert packs.loaded_voltage(pack, 150.0) == 0.0
    assert packs.loaded_voltage(replace(pack, bms_cutoff=0.0), 2000.0) == 0.0
