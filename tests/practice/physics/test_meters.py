"""An instrument keeps its promise, and its text can be typed."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.practice.build import Meter
from commission.practice.physics.meters import reading
from commission.practice.physics.workshop import INSTRUMENTS, meters
from commission.quantities import parse_reading, unit

UNITS = {
    "multimeter": "V", "insulation tester": "kΩ", "milliohm meter": "mΩ", "torque wrench": "Nm",
    "thermometer": "degC", "tape measure": "m",
}  # fmt: skip
TRUTHS = {
    "multimeter": (-120.0, 120.0), "insulation tester": (1e3, 5e7), "milliohm meter": (1e-3, 1.0),
    "torque wrench": (1.0, 20.0), "thermometer": (263.15, 318.15), "tape measure": (0.5, 8.0),
}  # fmt: skip


@given(
    st.sampled_from(INSTRUMENTS), st.floats(0.0, 1.0), st.floats(-1.0, 1.0), st.integers(0, 2**32)
)
def test_what_is_shown_lies_within_what_the_maker_promises(
    kind: str, place: float, gain: float, seed: int
) -> None:
    low, high = TRUTHS[kind]
    truth = low + place * (high - low)
    meter = meters({kind: gain})[kind]
    typed = reading(meter, truth, UNITS[kind], Random(seed))
    read = parse_reading(typed, UNITS[kind])

    asked = unit(UNITS[kind])
    number = asked.from_si(truth)
    count = meter.resolution / asked.factor if meter.resolution else read.resolution
    # An autorange that ends with zeros has a larger count than its last digit says.
    count = max(count, 10.0 ** (len(str(int(abs(number)))) - 4)) if not meter.resolution else count
    promised = meter.percent / 100 * abs(number) + max(meter.counts, 0.5) * count
    assert abs(read.number - number) <= promised * (1 + 1e-9) + 1e-9


def test_digits_are_those_of_the_instrument() -> None:
    exact = Meter(percent=0.0, counts=0.0, resolution=0.0)
    shown = [reading(exact, truth, "V", Random(1)) for truth in (66.304, 0.8404, 118.86, -3.0)]
    assert shown == ["66.30", "0.840", "118.9", "-3.000"]
    assert reading(exact, 5.2e6, "kΩ", Random(1)) == "5200"
    assert reading(exact, 123456.0, "Ω", Random(1)) == "123500"
    tape = replace(exact, resolution=1e-3)
    assert reading(tape, 5.9554, "m", Random(1)) == "5.955"
    assert reading(tape, 5.9554, "mm", Random(1)) == "5955"
    assert reading(replace(exact, resolution=0.1), 292.65, "degC", Random(1)) == "19.5"
    assert reading(exact, -1e-9, "V", Random(1)) == "0.000"


def test_a_dead_meter_shows_nothing_on_a_live_bus() -> None:
    assert float(reading(Meter(0.5, 2.0, 0.0, dead=True), 66.3, "V", Random(1))) == 0.0
    assert float(reading(Meter(0.0, 5.0, 0.1, dead=True), 292.0, "degC", Random(1))) == 0.0


def test_out_of_calibration_is_out_of_the_promise() -> None:
    off = Meter(percent=0.5, counts=2.0, resolution=0.0, gain=8.0)
    assert float(reading(off, 60.0, "V", Random(1))) == pytest.approx(62.4, abs=0.05)


def test_an_open_circuit_shows_a_number_that_can_be_typed() -> None:
    text = reading(Meter(0.5, 2.0, 0.0), float("inf"), "Ω", Random(1))
    assert float(text) > 1e8
    parse_reading(text, "Ω")


def test_the_same_seed_shows_the_same() -> None:
    meter = meters({})["multimeter"]
    one, two = ([reading(meter, 66.3, "V", Random(seed)) for _ in "ab"] for seed in (3, 3))
    assert one == two
