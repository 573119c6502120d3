"""What the first checklist promises, read off the loaded procedure."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from commission.procedure import load, model
from commission.procedure.expression import parse

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from commission.procedure.model import Procedure

POWERED = {
    "no_movement", "wheel_direction", "unloaded_run", "throttle_unplugged", "brake_seen",
    "stand_seen", "tilt_seen", "key_cycles", "cold_cycle", "sensor_detection", "throttle_sweep",
    "wheel_free", "session", "pole_pairs_counted", "direction_needed", "throttle_snaps_back",
    "drive_inhibited", "drive_allowed",
}  # fmt: skip
"""Steps during which the driven wheel can turn by itself."""
LIVE = {
    "pack_isolated", "dead_between_poles", "dead_positive_to_frame", "dead_negative_to_frame",
    "isolation_positive", "isolation_negative", "pack_voltage", "pack_connected", "bus_voltage",
    "cold_cycle", "controller_exchanged", "phase_terminals",
}  # fmt: skip
"""Steps at conductors that can carry the pack's voltage."""


def place(procedure: Procedure) -> dict[str, int]:
    return {step.id: number for number, step in enumerate(procedure.steps())}


def kind_of(step: model.StepBase) -> str:
    return str(getattr(step, "kind", ""))


def of_kind(procedure: Procedure, kind: str) -> Iterator[model.StepBase]:
    return (step for step in procedure.steps() if kind_of(step) == kind)


def written_by(procedure: Procedure) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for step in procedure.steps():
        if isinstance(step, model.Write):
            for name in step.settings:
                found.setdefault(name, []).append(step.id)
    return found


def test_every_shipped_checklist_loads_without_a_word() -> None:
    shipped = load.shipped()

    assert "controller-exchange" in [slug for slug, _, _ in shipped]
    for slug, _, file in shipped:
        assert load.load(file).problems == (), slug


SECOND_LOOKS = {
    "bleed_measured", "cable_area", "cable_resistance", "tester_proved", "isolation_phases",
    "winding", "back_emf", "cells_counted", "precharge_path", "winding_held", "flux_held",
    "lever_released", "wheel_speed", "motor_sensor_seen",
}  # fmt: skip
"""Without them a fault of the catalogue escapes; `commission prove` says which."""


AT_THE_BIKE = {
    "pack_condition", "controller_exchanged", "phase_terminals", "chain_slack", "drive_inhibited",
    "throttle_snaps_back", "drive_allowed",
}  # fmt: skip
"""What no fault of the catalogue asks for and the work does: what was taken off is put back, and no
hand is at a wheel that can be driven."""


def test_it_has_eighty_steps_of_work_and_the_second_looks_that_trials_asked_for(
    exchange: Procedure,
) -> None:
    work = [step.id for stage in exchange.stages for step in stage.steps]
    kinds = {step.id: kind_of(step) for step in exchange.steps()}

    assert set(work) >= SECOND_LOOKS | AT_THE_BIKE
    rest = [step for step in work if step not in SECOND_LOOKS | AT_THE_BIKE]
    assert 60 <= sum(kinds[step] != "cross_check" for step in rest) <= 80


def test_its_stages_follow_the_order_of_the_work(exchange: Procedure) -> None:
    assert [stage.id for stage in exchange.stages] == [
        "receive", "declare", "safe", "fit", "power", "read", "motor", "grip", "rotor", "pack",
        "gears", "extras", "keep", "ride", "hand",
    ]  # fmt: skip


def test_the_wheel_is_driven_for_the_first_time_once_the_throttle_is_proved(
    exchange: Procedure,
) -> None:
    order = place(exchange)
    proved = ("throttle_sweep", "throttle_snaps_back", "throttle_written", "drive_allowed")
    driven = {"throttle_unplugged", "wheel_direction", "sensor_detection", "unloaded_run",
              "brake_seen", "stand_seen", "tilt_seen", "wheel_speed"}  # fmt: skip

    assert max(order[step] for step in proved) < min(order[step] for step in driven)
    assert order["throttle_unplugged"] < order["wheel_direction"]


def test_hands_are_at_the_wheel_only_while_it_cannot_be_driven(exchange: Procedure) -> None:
    order = place(exchange)

    for by_hand in ("pole_pairs_counted", "direction_needed", "throttle_sweep"):
        assert order["drive_inhibited"] < order[by_hand] < order["drive_allowed"]
    # Sprockets and chain are handled with the pack isolated, the tyre is rolled before the stand.
    for dead in ("gearing", "chain_slack"):
        assert order["meter_proved_after"] < order[dead] < order["pack_connected"]
    assert order["rollout"] < order["bike_on_stand"]


def test_what_was_taken_off_for_a_reading_is_back_before_the_pack_is_connected(
    exchange: Procedure,
) -> None:
    order = place(exchange)
    connected = next(step for step in exchange.steps() if step.id == "pack_connected")

    assert order["back_emf"] < order["phase_terminals"] < order["pack_connected"]
    assert {"phase_terminals", "chain_slack"} <= set(connected.rests_on)


def test_it_uses_every_kind_of_step(exchange: Procedure) -> None:
    assert {kind_of(step) for step in exchange.steps()} == set(model.KINDS)


def test_everything_is_read_as_found_before_anything_is_written(exchange: Procedure) -> None:
    order = place(exchange)
    [as_found] = of_kind(exchange, "read_back")

    assert isinstance(as_found, model.ReadBack)
    assert as_found.settings == "all"
    assert all(order[as_found.id] < order[step.id] for step in of_kind(exchange, "write"))


def test_every_setting_with_an_intended_value_is_written_and_no_other(exchange: Procedure) -> None:
    intended = {each.id for each in exchange.settings if each.intended is not None}

    assert set(written_by(exchange)) == intended
    assert {each.id for each in exchange.settings} - intended == {"motor_resistance", "motor_flux"}


def test_two_key_cycles_and_a_cold_one_come_after_every_first_write(exchange: Procedure) -> None:
    order = place(exchange)
    key, cold = (step for step in exchange.steps() if isinstance(step, model.PowerCycle))
    first_writes = [order[writers[0]] for writers in written_by(exchange).values()]

    assert (key.cycle, key.cycles) == ("key", 2)
    assert (cold.cycle, cold.cycles) == ("cold", 1)
    assert cold.below is not None
    for cycle in (key, cold):
        assert cycle.settings == "written"
        assert set(cycle.observe) == {
            "wheel_direction", "mode_seen", "brake_seen", "stand_seen", "tilt_seen",
        }  # fmt: skip
        assert cycle.on_fail is not None
        [remedy] = cycle.on_fail.remedy
        assert isinstance(remedy, model.Write)
        assert remedy.route
        assert max(first_writes) < order[remedy.id] < order[cycle.id]


@pytest.mark.parametrize("step", sorted(POWERED | LIVE))
def test_what_can_maim_is_said_before_the_step(exchange: Procedure, step: str) -> None:
    cautions = next(each for each in exchange.steps() if each.id == step).cautions

    assert {each.signal for each in cautions} & {"WARNING", "DANGER"}


def test_direction_under_power_and_the_release_need_a_witness(exchange: Procedure) -> None:
    holds = {step.id: step.hold for step in exchange.steps() if step.hold}

    assert holds["wheel_direction"] == "witness"
    assert holds["released"] == "witness"
    assert holds["ready_to_ride"] == "lead"


def test_the_release_is_the_leads_and_the_last_step(exchange: Procedure) -> None:
    last = exchange.stages[-1].steps[-1]

    assert isinstance(last, model.SignOff)
    assert (last.meaning, last.role) == ("released", "lead")


def test_the_meter_is_proved_before_and_after_absence_of_voltage(exchange: Procedure) -> None:
    names = [step.id for step in exchange.steps()]
    start = names.index("meter_proved_before")

    assert names[start : start + 5] == [
        "meter_proved_before", "dead_between_poles", "dead_positive_to_frame",
        "dead_negative_to_frame", "meter_proved_after",
    ]  # fmt: skip
    readings = [step for step in exchange.steps() if step.id in names[start : start + 5]]
    assert {step.instrument for step in readings} == {"multimeter"}


def test_absence_of_voltage_is_proved_after_the_computed_wait(exchange: Procedure) -> None:
    order = place(exchange)
    wait = next(step for step in exchange.steps() if isinstance(step, model.Dwell))

    assert parse(wait.duration).names == {"discharge.time"}
    assert order["pack_isolated"] < order[wait.id] < order["meter_proved_before"]


def test_interlocks_that_may_be_missing_have_a_condition(exchange: Procedure) -> None:
    conditions = {step.id: str(step.when) for step in exchange.steps() if step.when is not None}

    assert conditions == {
        "lever_released": "regen_lever == 'variable'",
        "lever_window": "regen_lever == 'variable'",
        "lever_written": "regen_lever == 'variable'",
        "stand_seen": "stand_switch_fitted",
        "tilt_seen": "tilt_sensor_fitted",
        "cooling_seen": "cooling != 'none'",
        "motor_sensor": "motor_sensor_fitted",
        "motor_temperature": "motor_sensor_fitted",
    }


def test_every_step_that_observes_the_bike_has_a_probe(exchange: Procedure) -> None:
    silent = {step.id for step in exchange.steps() if step.probe is None}

    # What is computed from known values, waited or signed observes nothing.
    assert {kind_of(step) for step in exchange.steps() if step.id in silent} <= {
        "calculate", "cross_check", "dwell", "sign_off",
    }  # fmt: skip


def test_the_vocabulary_of_probes_is_written_at_the_top(
    exchange: Procedure, checklists: Path
) -> None:
    head = (checklists / "controller-exchange.yaml").read_text(encoding="utf-8")
    listed = set(re.findall(r"^#   ([a-z]+) {2,}", head, re.MULTILINE))

    assert {step.probe.split(".")[0] for step in exchange.steps() if step.probe} == listed


def test_every_instrument_a_step_names_has_an_accuracy(exchange: Procedure) -> None:
    accurate = {each.id for each in exchange.equipment if each.has_accuracy}

    assert {step.instrument for step in exchange.steps() if step.instrument} <= accurate
