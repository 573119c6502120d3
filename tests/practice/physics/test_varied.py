"""Sound bikes: papers agree with truth, every limit of the exchange is met, all from a seed."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from commission.calculators.catalogue import compute
from commission.practice.physics import driveline, levers, sensors
from commission.practice.physics import motor as motors
from commission.practice.physics import pack as packs
from commission.practice.physics.bus import isolation
from commission.practice.physics.papers import papers, speed_constant
from commission.practice.physics.varied import demo_build, sound_build
from commission.procedure import load, yaml12
from commission.procedure.expression import parse
from commission.quantities import parse_reading, unit

if TYPE_CHECKING:
    from commission.practice.build import Build

CHECKLISTS = Path(__file__).parents[3] / "checklists"
SEEDS = range(1500)


@pytest.fixture(scope="module")
def bikes() -> list[Build]:
    return [sound_build(seed) for seed in SEEDS]


@pytest.fixture(scope="module")
def exchange() -> Any:
    loaded = load.load(CHECKLISTS / "controller-exchange.yaml")
    assert loaded.procedure is not None, "\n".join(map(str, loaded.problems))
    return loaded.procedure


def data(name: str) -> Any:
    return yaml12.build((CHECKLISTS / "examples" / name).read_text(encoding="utf-8"), name).data


def typed_in(declared: Any, text: str) -> float | str | bool:
    """Return a text of the examples as a value in SI, by the type of its fact or setting."""
    if declared.type == "yes_no":
        return text == "yes"
    if declared.type == "choice":
        return text
    return parse_reading(text, declared.unit or "").si


def within(declared: Any, value: float) -> bool:
    """Return whether a number lies in the plausible range of its fact or setting."""
    low, high = (
        float(parse(end).evaluate({})) if isinstance(end, str) else float(end)  # type: ignore[arg-type]
        for end in declared.range
    )
    return low - 1e-9 <= value <= high + 1e-9


def answer(name: str, output: str, **inputs: Any) -> float:
    return float(compute(name, inputs).outputs[output])


def number(bike: Build, fact: str) -> float:
    return float(bike.papers[fact])


def test_the_demonstrators_papers_are_the_facts_of_its_example(exchange: Any) -> None:
    facts = data("demo-bike.yaml")["facts"]
    declared = {each.id: each for each in exchange.facts}
    own = demo_build().papers
    assert set(own) == set(facts) == set(declared)
    for name, text in facts.items():
        assert own[name] == pytest.approx(typed_in(declared[name], text)), name


def test_the_demonstrators_controller_holds_what_its_example_found(exchange: Any) -> None:
    found = data("demo-answers.yaml")["answers"]["as_found"]["cells-1"]
    declared = {each.id: each for each in exchange.settings}
    holds = demo_build().controller.storage.as_found
    assert set(holds) == set(found) == set(declared)
    for name, text in found.items():
        assert holds[name] == pytest.approx(typed_in(declared[name], text)), name


def test_the_demonstrators_truth_is_that_of_its_answers(demonstrator: Build) -> None:
    answers = data("demo-answers.yaml")["answers"]
    assert dict(demonstrator.identity) == answers["parts"]
    near = {
        "pack_voltage": packs.open_voltage(demonstrator.pack),
        "fuse_rating": demonstrator.wiring.fuse_rating,
        "fuse_voltage": demonstrator.wiring.fuse_voltage,
        "bonding": demonstrator.wiring.bonding_resistance * 1e3,
        "controller_mounted": demonstrator.wiring.mounting_torque,
        "terminal_torque": demonstrator.wiring.terminal_torque,
        "isolation_positive": isolation(demonstrator.wiring, "positive") / 1e3,
        "isolation_negative": isolation(demonstrator.wiring, "negative") / 1e3,
        "throttle_released": demonstrator.throttle.released,
        "ambient": demonstrator.temperature.ambient - 273.15,
    }
    for step, truth in near.items():
        # Insulation is known to a few per cent in the best of cases.
        assert float(answers[step]) == pytest.approx(truth, rel=0.1 if "isol" in step else 0.01)
    rolled = answers["rollout"]
    assert float(rolled["distance"]) / float(rolled["turns"]) == demonstrator.driveline.rollout
    ohms = sensors.motor_sensor(demonstrator.temperature, demonstrator.temperature.ambient)
    assert float(answers["motor_sensor"]["resistance"]) == pytest.approx(ohms, rel=1e-3)
    for point in answers["throttle_sweep"].values():
        signal = levers.voltage(demonstrator.throttle, float(point["x"]) / 100)
        assert float(point["y"]) == pytest.approx(signal, abs=0.02)


def test_one_seed_is_one_bike_and_two_seeds_are_two() -> None:
    assert sound_build(5) == sound_build(5)
    assert sound_build(5) != sound_build(6)


def test_bikes_are_varied(bikes: list[Build]) -> None:
    assert {bike.pack.series for bike in bikes} == set(range(13, 29))
    assert {bike.pack.chemistry for bike in bikes} == {"nmc", "lfp"}
    assert {bike.temperature.motor_kind for bike in bikes} == {*sensors.KINDS, "none"}
    assert {bike.papers["regen_lever"] for bike in bikes} == {"not fitted", "switch", "variable"}
    assert {bike.papers["cooling"] for bike in bikes} == {"none", "pump", "fan", "pump and fan"}
    assert {bike.wiring.topology for bike in bikes} == {"separate", "combined"}
    assert {bike.owner.use for bike in bikes} == {"closed", "road"}
    assert {(b.switches.stand_fitted, b.switches.tilt_fitted) for b in bikes} == {
        (False, False), (False, True), (True, False), (True, True),
    }  # fmt: skip
    assert {bike.motor.phase_order for bike in bikes} == {1, -1}
    assert {bike.driveline.primary_ratio == 1.0 for bike in bikes} == {True, False}
    temperatures = [bike.temperature.ambient - 273.15 for bike in bikes]
    assert min(temperatures) < 8.0
    assert max(temperatures) > 27.0


def test_papers_and_settings_lie_in_the_ranges_that_the_checklist_takes(
    bikes: list[Build], exchange: Any
) -> None:
    for bike in bikes:
        for declared in exchange.facts:
            value = bike.papers[declared.id]
            assert declared.range is None or within(declared, float(value)), declared.id
            assert not declared.choices or value in declared.choices
        for declared in exchange.settings:
            value = bike.controller.storage.as_found[declared.id]
            assert declared.range is None or within(declared, float(value)), declared.id
            assert not declared.choices or value in declared.choices


def test_papers_agree_with_truth(bikes: list[Build]) -> None:
    for bike in bikes:
        assert papers(bike) == bike.papers
        assert number(bike, "motor_speed_constant") == pytest.approx(
            1.0 / motors.back_emf(bike.motor, 1.0), rel=0.03
        )
        assert 0 <= number(bike, "pack_resistance") - packs.resistance(bike.pack) <= 1.001e-3
        ratio = bike.wiring.bus_capacitance / number(bike, "bus_capacitance")
        assert 0.7 < ratio <= 1 / 1.2
        assert bike.controller.serial == bike.identity["controller"]
        assert all(abs(meter.gain) <= 1.0 and not meter.dead for meter in bike.meters.values())
    plate = [speed_constant(bike.motor) / unit("rpm/V").factor for bike in bikes]
    assert all(abs(each - round(each)) < 1e-9 for each in plate)


def test_pack_fuse_and_cable_suit_each_other(bikes: list[Build]) -> None:
    for bike in bikes:
        pack, wiring = bike.pack, bike.wiring
        current, full = number(bike, "pack_current_max"), packs.full_voltage(pack)
        limit = min(current, 0.75 * wiring.fuse_rating)
        assert limit == current
        assert current / 0.75 < wiring.fuse_rating
        assert wiring.fuse_voltage > full
        area = f"{wiring.area * 1e6:g}"
        drop = answer(
            "voltage-drop", "drop", current=current, loop_length=wiring.loop_length, area=area
        )
        assert drop < 0.018 * full
        sagged = packs.open_voltage(pack) - limit * number(bike, "pack_resistance")
        assert sagged > pack.series * number(bike, "cell_cutoff") * 1.02
        assert pack.series * number(bike, "cell_cutoff") < packs.open_voltage(pack) < 0.99 * full
        assert packs.charge_current(pack) > 0.5


def test_motor_controller_and_pack_suit_each_other(bikes: list[Build]) -> None:
    for bike in bikes:
        kv, limit = number(bike, "motor_speed_constant"), number(bike, "pack_current_max")
        volts = packs.open_voltage(bike.pack)
        rms = min(bike.motor.peak_current, bike.controller.phase_current_max)
        drawn = answer(
            "battery-current", "battery_current", voltage=volts,
            phase_current=math.sqrt(2) * rms, torque=math.sqrt(1.5) * rms / kv,
            motor_speed=0.1 * kv * volts,
            phase_resistance=float(bike.controller.storage.as_found["motor_resistance"]),
        )  # fmt: skip
        assert drawn < 0.95 * limit
        rating = bike.controller.voltage_max
        assert packs.full_voltage(bike.pack) + 0.02 * bike.pack.series < rating
        over = answer(
            "overspeed-voltage", "voltage", kv=kv, motor_speed=bike.motor.speed_max, rating=rating
        )
        assert over < rating


def test_gearing_suits_the_declared_speed_and_use(bikes: list[Build]) -> None:
    for bike in bikes:
        full = packs.full_voltage(bike.pack)
        fastest = min(bike.motor.speed_max, number(bike, "motor_speed_constant") * full)
        reached = driveline.road_speed(bike.driveline, fastest)
        assert 1.05 * bike.owner.declared_speed < reached < 3.0 * bike.owner.declared_speed
        kmh = bike.owner.declared_speed * 3.6
        assert 6 <= kmh <= (45 if bike.owner.use == "road" else 80) + 1e-9
        assert bike.papers["primary_ratio"] == bike.driveline.primary_ratio
        assert 24 <= bike.driveline.driven_teeth <= 70
        assert 1.0 < bike.driveline.rollout < 2.4


def test_insulation_bonding_and_torque_are_well_within(bikes: list[Build]) -> None:
    for bike in bikes:
        needed = 500.0 * packs.full_voltage(bike.pack)
        assert min(isolation(bike.wiring, pole) for pole in ("positive", "negative")) > 5 * needed
        assert bike.wiring.bonding_resistance < 0.06
        assert bike.wiring.mounting_torque == pytest.approx(9.0, rel=0.021)
        assert bike.wiring.terminal_torque == pytest.approx(10.0, rel=0.021)


def test_levers_meet_the_windows(bikes: list[Build]) -> None:
    for bike in bikes:
        grip = bike.throttle
        assert 0.6 < grip.released < 1.1
        assert 2.6 < grip.full - 0.1 < 0.92 * 5.0 - 0.1
        if bike.papers["regen_lever"] == "variable":
            assert bike.lever is not None
            assert bike.lever.full - bike.lever.released - 0.2 > 1.8


def test_the_kind_of_the_motors_sensor_is_found_by_its_resistance(bikes: list[Build]) -> None:
    for bike in bikes:
        own = bike.temperature
        if own.motor_kind == "none":
            continue
        ohms = sensors.motor_sensor(own, own.ambient)
        for meter in (-0.006, 0.006):
            for room in (-0.5, 0.5):
                found = compute(
                    "sensor-at-ambient",
                    {"resistance": ohms * (1 + meter), "ambient": own.ambient + room},
                ).outputs
                assert found["kind"] == own.motor_kind
                assert abs(float(found["deviation"])) < 0.08
        shown = sensors.displayed(own.motor_kind, ohms)
        assert shown is not None
        assert abs(shown - own.ambient) < 3.0


def test_nothing_of_another_bikes_settings_starts_or_stops_a_wheel(bikes: list[Build]) -> None:
    for bike in bikes:
        found = {
            name: float(value)
            for name, value in bike.controller.storage.as_found.items()
            if not isinstance(value, str)
        }
        rest = levers.voltage(bike.throttle, 0.0)
        window = [
            found[f"throttle_{end}"] for end in ("low", "high", "fault_low", "fault_high")
        ]  # fmt: skip
        assert levers.demand(rest, *window) == 0.0
        assert levers.demand(levers.voltage(bike.throttle, 0.5), *window) not in {None, 0.0}
        volts = packs.open_voltage(bike.pack)
        assert found["low_voltage_cutoff"] < 0.9 * volts
        assert found["high_voltage_cutoff"] > 1.05 * volts
        assert found["throttle_high"] < found["throttle_fault_high"]


def test_a_cable_bears_the_current_that_its_fuse_lets_through(bikes: list[Build]) -> None:
    """8 A/mm² in free air: common practice, no source."""
    for bike in (*bikes, demo_build()):
        assert bike.wiring.fuse_rating <= 8.0 * bike.wiring.area * 1e6
