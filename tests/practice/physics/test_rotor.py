"""Detection runs and the states of a turn: circular statistics by scipy, orders by the trade's."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from commission.calculators.catalogue import compute
from commission.practice.physics import rotor as rotors
from commission.practice.physics.varied import sound_build

if TYPE_CHECKING:
    from commission.practice.build import Build

few = settings(max_examples=60, deadline=None)
bikes = st.integers(0, 10**9).map(sound_build)


def runs(bike: Build, share: float, count: int, seed: int = 1) -> list[np.ndarray]:
    """Return the angles of many runs, one array for each input."""
    random = Random(seed)
    found = [rotors.detected(bike.rotor, bike.motor, share, random) for _ in range(count)]
    return [np.array(each) for each in zip(*found, strict=True)]


def spread(angles: np.ndarray) -> float:
    return math.degrees(float(stats.circstd(angles)))


def arc(angles: np.ndarray) -> float:
    """Return the range of a few angles in degrees, none of them far from the first."""
    away = np.angle(np.exp(1j * (angles - angles[0])))
    return math.degrees(float(np.ptp(away)))


def test_the_mean_of_many_runs_is_the_truth_and_wraps(demonstrator: Build) -> None:
    truth = rotors.true_angles(demonstrator.rotor, demonstrator.motor)
    assert [math.degrees(each) for each in truth] == pytest.approx([119.8, 239.6, 359.0])
    for angles, true in zip(runs(demonstrator, 0.4, 2000), truth, strict=True):
        off = math.degrees(np.angle(np.exp(1j * (stats.circmean(angles) - true))))
        assert abs(off) < 0.15


def test_the_spread_of_runs_is_what_the_build_says(demonstrator: Build) -> None:
    """Noise alone, then noise and cogging in one root of squares, at a tenth of the current."""
    steady = replace(demonstrator, rotor=replace(demonstrator.rotor, noise=2.0, cogging=0.0))
    assert spread(runs(steady, 0.1, 4000)[0]) == pytest.approx(2.0, rel=0.05)
    both = replace(demonstrator, rotor=replace(demonstrator.rotor, noise=3.0, cogging=4.0))
    assert spread(runs(both, 0.1, 4000)[1]) == pytest.approx(5.0, rel=0.05)


def test_five_sound_runs_differ_by_one_or_two_parts_in_two_hundred() -> None:
    """Common practice, no source: 2 to 4 electrical degrees from the lowest to the highest."""
    ranges = [arc(angles) for seed in range(60) for angles in runs(sound_build(seed), 0.4, 5, seed)]
    assert 2.0 < float(np.median(ranges)) < 4.0
    assert float(np.mean(np.array(ranges) < 10.0)) == 1.0


def test_a_tenth_of_the_current_is_too_weak_and_four_times_more_steadies_it() -> None:
    """Common practice, no source."""
    weak, strong = (
        [spread(angles) for seed in range(30) for angles in runs(sound_build(seed), share, 40)]
        for share in (0.1, 0.4)
    )
    assert float(np.median(weak)) > 2.0 * float(np.median(strong))
    assert float(np.median(weak)) > 3.0


def test_far_below_it_the_rotor_does_not_follow_at_all(demonstrator: Build) -> None:
    assert spread(runs(demonstrator, 0.005, 500)[0]) > 60.0
    assert spread(runs(demonstrator, 0.0, 500)[0]) > 60.0


def test_a_loose_board_shifts_all_three_together(demonstrator: Build) -> None:
    loose = replace(demonstrator, rotor=replace(demonstrator.rotor, loose=12.0))
    one, two, _ = runs(loose, 0.4, 1000)
    assert spread(one) == pytest.approx(12.0, rel=0.1)
    assert spread(one - two) < 3.0


@pytest.mark.parametrize("state", ["dead", "stuck low", "stuck high", "intermittent"])
def test_a_faulty_sensor_scatters_its_own_angle_only(demonstrator: Build, state: Any) -> None:
    one, two, three = demonstrator.rotor.sensors
    bad = replace(demonstrator.rotor, sensors=(one, replace(two, state=state), three))
    first, second, third = runs(replace(demonstrator, rotor=bad), 0.4, 300)
    assert spread(second) > 15.0
    assert max(spread(first), spread(third)) < 3.0


def test_the_same_seed_gives_the_same_runs(demonstrator: Build) -> None:
    assert np.array_equal(runs(demonstrator, 0.4, 5, 7), runs(demonstrator, 0.4, 5, 7))
    assert not np.array_equal(runs(demonstrator, 0.4, 5, 7), runs(demonstrator, 0.4, 5, 8))


@few
@given(bikes)
def test_a_turn_by_hand_shows_six_states_in_one_order(bike: Build) -> None:
    states = tuple(float(each) for each in rotors.turned_by_hand(bike.rotor, bike.motor))
    answer = compute("sensor-sequence", {"states": states}).outputs
    assert (answer["placement"], answer["sound"]) == ("120", True)


def test_swapped_sensor_wires_turn_the_order_round(demonstrator: Build) -> None:
    def direction(bike: Build) -> object:
        states = tuple(float(each) for each in rotors.turned_by_hand(bike.rotor, bike.motor))
        return compute("sensor-sequence", {"states": states}).outputs["direction"]

    swapped = replace(demonstrator.rotor, wire_order=(1, 0, 2))
    assert direction(demonstrator) != direction(replace(demonstrator, rotor=swapped))
    # What the hand sees does not depend on the order of the phases.
    straight = replace(demonstrator.motor, phase_order=1)
    assert direction(demonstrator) == direction(replace(demonstrator, motor=straight))


@pytest.mark.parametrize(("state", "names"), [("stuck low", "B low"), ("dead", "B high")])
def test_a_sensor_that_never_changes_is_named_dead(
    demonstrator: Build, state: Any, names: str
) -> None:
    one, two, three = demonstrator.rotor.sensors
    bad = replace(demonstrator.rotor, sensors=(one, replace(two, state=state), three))
    seen = tuple(float(each) for each in rotors.turned_by_hand(bad, demonstrator.motor))
    # Four states: the calculator wants a whole turn of six, of which some come twice.
    answer = compute("sensor-sequence", {"states": (*seen, *seen[:2])}).outputs
    assert answer["dead"] == names
    assert answer["sound"] is False


@few
@given(bikes, st.integers(0, 7))
def test_sectors_cover_the_turn_once(bike: Build, which: int) -> None:
    states: Any = (
        "sound",
        "dead",
        "stuck low",
        "stuck high",
        "intermittent",
        "sound",
        "dead",
        "sound",
    )
    one, two, three = bike.rotor.sensors
    bad = replace(
        bike.rotor,
        sensors=(replace(one, state=states[which]), replace(two, state=states[7 - which]), three),
    )
    cut = rotors.sectors(bad, bike.motor)
    assert math.fsum(each.width for each in cut) == pytest.approx(math.tau)
