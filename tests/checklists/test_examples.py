"""The invented bike and controller agree with the checklist, with themselves and with physics."""

from __future__ import annotations

import math
import statistics
from typing import TYPE_CHECKING, Any

import pytest
from scipy import stats

from commission.job.ask import Ask
from commission.job.importing import read_settings
from commission.procedure import model, yaml12

if TYPE_CHECKING:
    from pathlib import Path

    from commission.procedure.model import Procedure


@pytest.fixture
def facts(demo: dict[str, Any]) -> dict[str, Any]:
    return {
        name: float(typed) if typed.replace(".", "").isdigit() else typed
        for name, typed in demo["facts"].items()
    }


@pytest.fixture
def left(answers: dict[str, Any]) -> dict[str, str]:
    cells: dict[str, str] = answers["cold_cycle"]["1:read-1"]
    return cells


@pytest.mark.parametrize("name", ["demo-settings.csv", "demo-as-left.csv"])
def test_a_settings_list_has_every_setting_and_nothing_else(
    exchange: Procedure, checklists: Path, name: str
) -> None:
    asks = [
        Ask(each.id, each.label, each.type, each.unit or "", each.choices)
        for each in exchange.settings
    ]
    imported = read_settings((checklists / "examples" / name).read_text(encoding="utf-8"), asks)

    assert imported.faults == ()
    assert imported.missing == ()
    assert len(imported.taken) == len(exchange.settings)


def test_the_controller_sheet_tells_where_every_setting_is(
    exchange: Procedure, checklists: Path
) -> None:
    text = (checklists / "examples" / "demo-controller.yaml").read_text(encoding="utf-8")
    sheet = model.ControllerSheet.model_validate(yaml12.build(text, "sheet").data)

    assert [each.setting for each in sheet.settings] == [each.id for each in exchange.settings]
    assert {name for fault in sheet.faults for name in fault.settings} == {
        "direction", "startup_mode",
    }  # fmt: skip


def test_there_is_an_answer_for_every_step_that_applies(
    exchange: Procedure, answers: dict[str, Any]
) -> None:
    asked = {fact.id for fact in exchange.facts}
    asked |= {step.id for stage in exchange.stages for step in stage.steps}

    assert asked - set(answers) == {"tilt_seen"}
    assert set(answers) - asked == set()


def test_what_is_not_fitted_is_left_switched_off(
    facts: dict[str, Any], left: dict[str, str]
) -> None:
    assert facts["tilt_sensor_fitted"] == left["tilt_sensor"] == "no"
    assert facts["stand_switch_fitted"] == left["stand_switch"] == "yes"
    assert facts["cooling"] == "fan"
    assert (left["pump_output"], left["fan_output"]) == ("no", "yes")


def test_the_pack_is_class_b_and_its_cut_offs_follow_from_its_cells(
    facts: dict[str, Any], left: dict[str, str]
) -> None:
    full = facts["series_cells"] * facts["cell_full"]

    assert full > 60  # V d.c.: ISO 6469-3, UN R136, from memory
    assert float(left["low_voltage_cutoff"]) == facts["series_cells"] * facts["cell_cutoff"]
    assert full < float(left["high_voltage_cutoff"]) < facts["controller_voltage_max"]


def test_regeneration_stays_below_what_the_cells_take(
    facts: dict[str, Any], left: dict[str, str]
) -> None:
    assert float(left["regen_current_limit"]) <= (
        facts["parallel_cells"] * facts["cell_charge_current"]
    )


def test_the_motor_can_do_what_the_speed_limit_allows(
    facts: dict[str, Any], answers: dict[str, Any], left: dict[str, str]
) -> None:
    teeth, rolled = answers["gearing"][""], answers["rollout"][""]
    ratio = facts["primary_ratio"] * int(teeth["driven_teeth"]) / int(teeth["driving_teeth"])
    rollout = float(rolled["distance"]) / int(rolled["turns"])
    no_load = facts["motor_speed_constant"] * facts["series_cells"] * facts["cell_full"]

    assert float(left["gear_ratio"]) == pytest.approx(ratio)
    assert float(left["wheel_circumference"]) == pytest.approx(rollout * 1000)
    assert float(left["speed_limit"]) < no_load / ratio * rollout * 60 / 1000


def test_the_over_run_motor_stays_below_the_controllers_rating(facts: dict[str, Any]) -> None:
    cold = 1 + 0.0011 * 40  # NdFeB loses 0.11 %/K: magnets at -20 degC, constant for 20 degC

    voltage = facts["motor_speed_max"] / facts["motor_speed_constant"] * cold
    assert voltage < facts["controller_voltage_max"]


@pytest.mark.parametrize("sensor", [1, 2, 3])
def test_stored_sensor_angles_are_near_the_circular_mean(
    answers: dict[str, Any], left: dict[str, str], sensor: int
) -> None:
    runs = [float(run[f"angle_{sensor}"]) for run in answers["sensor_detection"].values()]
    mean = float(stats.circmean(runs, high=360))
    apart = abs(float(left[f"sensor_angle_{sensor}"]) - mean) % 360

    assert min(apart, 360 - apart) <= 3


def test_the_third_sensor_needs_circular_statistics(answers: dict[str, Any]) -> None:
    runs = [float(run["angle_3"]) for run in answers["sensor_detection"].values()]

    assert statistics.fmean(runs) < 300
    assert float(stats.circmean(runs, high=360)) > 358


def test_the_swept_throttle_is_straight(answers: dict[str, Any]) -> None:
    points = [(float(p["x"]), float(p["y"])) for p in answers["throttle_sweep"].values()]
    x, y = zip(*points, strict=True)
    line = stats.linregress(x, y)

    assert line.rvalue > 0.999
    assert math.isclose(
        line.intercept, float(answers["throttle_released"][""]["value"]), abs_tol=0.02
    )
