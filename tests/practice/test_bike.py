"""What can be done to a bike, and what can then be seen."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.practice.altering import altered
from commission.practice.bike import Bike
from commission.practice.physics.varied import demo_build
from commission.practice.targets import commissioned

if TYPE_CHECKING:
    from commission.practice.altering import Change


def ready(seed: int = 0, **changes: Change) -> Bike:
    """Return the demonstrator set right, switched on, with changes by dotted path."""
    build = commissioned(demo_build())
    dotted = {path.replace("__", "."): change for path, change in changes.items()}
    bike = Bike(altered(build, dotted) if dotted else build, seed)
    bike.key(on=True)
    return bike


def test_a_right_bike_turns_forward_at_a_little_throttle_and_stops_when_let_go() -> None:
    bike = ready()
    bike.drive_mode(allowed=True)
    assert bike.twist_until_it_turns().sense == "forward"
    assert not bike.motion().turns
    assert {event.kind for event in bike.events} == {"power at the wheel"}


def test_the_other_direction_turns_it_backward_and_is_an_event() -> None:
    bike = ready()
    bike.program.enter({"direction": "normal"})
    bike.drive_mode(allowed=True)
    bike.step = "try"
    assert bike.twist_until_it_turns().sense == "backward"
    assert [event.step for event in bike.events if event.kind == "backward under power"] == ["try"]


def test_nothing_turns_in_neutral_or_with_the_key_off() -> None:
    bike = ready()
    bike.throttle(1.0)
    assert not bike.motion().turns
    bike.drive_mode(allowed=True)
    assert bike.motion().turns
    bike.key(on=False)
    assert not bike.motion().turns


def test_each_interlock_stops_the_drive_and_lets_it_go_on() -> None:
    bike = ready(switches__tilt_fitted=True)
    bike.program.enter({"tilt_sensor": True})
    bike.drive_mode(allowed=True)
    bike.throttle(0.3)
    assert bike.motion().turns
    for name, switch in (
        ("pulled", bike.brake), ("out", bike.side_stand), ("tipped", bike.tilt),
    ):  # fmt: skip
        switch(**{name: True})
        assert not bike.motion().turns
        switch(**{name: False})
        assert bike.motion().turns


def test_a_lost_throttle_signal_is_refused_with_sound_limits_and_runs_with_wrong_ones() -> None:
    bike = ready(throttle__unplugged=5.0)
    bike.drive_mode(allowed=True)
    bike.unplug_throttle()
    assert bike.motion().refused == "throttle fault"
    bike.program.enter({"throttle_fault_high": 5.5})
    assert bike.motion().turns
    assert "runs away" in {event.kind for event in bike.events}


@given(st.lists(st.floats(0.0, 200.0), min_size=2, max_size=12), st.floats(100.0, 1e6))
def test_the_bus_never_rises_while_it_is_separate(waits: list[float], bleed: float) -> None:
    bike = Bike(altered(demo_build(), {"wiring.bleed_resistance": bleed}))
    bike.isolate()
    before = bike.bus_voltage
    for seconds in waits:
        bike.wait(seconds)
        assert bike.bus_voltage <= before + 1e-12
        before = bike.bus_voltage


def test_the_bus_decays_by_its_time_constant() -> None:
    bike = Bike(demo_build())
    full = bike.bus_voltage
    bike.isolate()
    bike.wait(9.1e3 * 1.5e-3)
    assert bike.bus_voltage == pytest.approx(full / math.e)


def test_a_disconnector_that_does_not_open_leaves_the_bus_alive() -> None:
    bike = Bike(altered(demo_build(), {"pack.isolator_opens": False}))
    bike.isolate()
    bike.wait(3600.0)
    assert bike.is_isolated
    assert bike.bus_voltage > 60.0
    bike.at_terminals()
    assert [event.kind for event in bike.events] == ["live contact"]


def test_an_open_pre_charge_never_fills_the_bus() -> None:
    bike = Bike(altered(demo_build(), {"wiring.precharge_resistance": 1e12}))
    bike.isolate()
    bike.wait(600.0)
    bike.connect()
    assert bike.bus_voltage < 1.0


def test_a_bridged_pre_charge_closes_on_empty_capacitors() -> None:
    bike = Bike(altered(demo_build(), {"wiring.precharge_resistance": 0.0}))
    bike.isolate()
    bike.wait(600.0)
    bike.connect()
    assert bike.bus_voltage > 60.0
    assert [event.kind for event in bike.events] == ["inrush"]


def test_reversed_polarity_destroys_the_controller() -> None:
    bike = Bike(altered(demo_build(), {"pack.reversed_poles": True}))
    bike.isolate()
    bike.wait(600.0)
    bike.connect()
    bike.key(on=True)
    assert bike.destroyed
    assert not bike.display_on


def test_a_flick_of_the_key_proves_nothing_and_three_seconds_do() -> None:
    bike = ready(controller__storage__never_stored=("startup_mode",))
    bike.program.enter({"startup_mode": "high"})
    for seconds, mode in ((1.0, "high"), (4.0, "low")):
        bike.key(on=False)
        bike.wait(seconds)
        bike.key(on=True)
        assert bike.mode_shown() == mode


def test_only_a_discharged_bus_makes_a_cycle_cold() -> None:
    bike = ready(controller__storage__lost_when_cold=("startup_mode",))
    bike.program.enter({"startup_mode": "high"})
    for seconds, mode in ((2.0, "high"), (120.0, "low")):
        bike.isolate()
        bike.wait(seconds + 3.0)
        bike.connect()
        bike.key(on=True)
        assert bike.mode_shown() == mode


def test_a_key_that_does_not_switch_off_leaves_the_display_lit() -> None:
    bike = ready(switches__key_works=False)
    bike.key(on=False)
    assert bike.display_on


def test_a_grip_that_sticks_stays_where_it_was() -> None:
    bike = ready(throttle__state="'sticks'")
    bike.drive_mode(allowed=True)
    bike.throttle(0.5)
    bike.throttle(0.0)
    assert bike.motion().turns


def test_power_can_reach_the_wheel_from_the_first_key_on_with_a_live_bus() -> None:
    bike = Bike(demo_build())
    bike.isolate()
    bike.wait(600.0)
    bike.key(on=True)
    assert bike.first_power_at_wheel_s is None
    bike.key(on=False)
    bike.connect()
    bike.wait(10.0)
    bike.key(on=True)
    assert bike.first_power_at_wheel_s == bike.now_s


def test_readings_follow_from_the_seed_alone() -> None:
    def readings(seed: int) -> list[str]:
        bike = Bike(demo_build(), seed)
        return [bike.instruments.put("multimeter", "bus", "V") for _ in range(20)]

    assert readings(4) == readings(4)
    assert readings(4) != readings(5)


def test_the_build_is_never_changed_by_working_on_a_bike() -> None:
    build = demo_build()
    bike = Bike(build)
    bike.key(on=True)
    bike.program.enter({"direction": "reversed", "speed_limit": 3.0})
    bike.agree(5.0)
    assert build == demo_build()
    assert bike.build == replace(build, owner=replace(build.owner, declared_speed=5.0))


def test_the_display_shows_what_a_rider_sees() -> None:
    bike = ready()
    still = bike.display()
    assert still is not None
    assert (still.mode, still.speed, still.unit, still.fault) == ("low", 0.0, "km/h", False)
    bike.drive_mode(allowed=True)
    bike.throttle(1.0)
    running = bike.display()
    assert running is not None
    assert running.speed == pytest.approx(55.0)
    bike.unplug_throttle()
    lost = bike.display()
    assert lost is not None
    assert (lost.speed, lost.fault) == (0.0, True)
    bike.key(on=False)
    assert bike.display() is None


def test_a_display_that_counts_miles_says_a_smaller_number_under_the_same_unit() -> None:
    bike = ready(controller__storage__display_unit="'mph'")
    bike.drive_mode(allowed=True)
    bike.throttle(1.0)
    shown = bike.display()
    assert shown is not None
    assert shown.unit == "km/h"
    assert shown.speed < 40.0


def test_a_meter_shows_its_place_in_the_unit_asked_for() -> None:
    bike = ready()
    assert float(bike.instruments.put("multimeter", "bus", "V")) == pytest.approx(66.3, abs=0.5)
    assert float(bike.instruments.put("multimeter", "bus", "mV")) == pytest.approx(66300, abs=500)
