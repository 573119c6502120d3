"""The bench in a person's hands: what rows do to the bike, and what is seen of it."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING, Any, cast

import pytest

from commission.calculators import catalogue
from commission.errors import CommissionError
from commission.practice import preparing
from commission.practice.panel.benchtop import Benchtop
from commission.practice.panel.instruments import PROBED, SPOTS
from commission.practice.panel.looks import HANDS, things
from commission.practice.panel.world import World
from commission.practice.probes import ANSWERS
from commission.procedure import load
from commission.procedure.vocabulary import PROBES, option_for

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from commission.job.plan import Plan, PlannedStep

SLUGS = [slug for slug, _, _ in load.shipped()]


@pytest.fixture
def quick(plan_of: Callable[[str], Plan]) -> Plan:
    return plan_of("quick-persistence")


def bench(plan: Plan, folder: Path, fault: str = "") -> Benchtop:
    """Return a bench whose clock stands still unless somebody lets time pass."""
    wrong = preparing.named(fault) if fault else None
    return Benchtop(World(plan, preparing.prepared(plan, wrong, None), folder, real_s=None))


def seen(top: Benchtop, word: str) -> str:
    return next(sight.text for sight in top.sights() if sight.word == word)


def value(top: Benchtop, row: str) -> str:
    return next(each.value for each in top.rows() if each.id == row)


def spin(top: Benchtop) -> None:
    for row in ("stand", "key", "drive"):
        top.enter(row)
    top.enter("throttle")


def test_the_wheel_turns_when_key_drive_and_grip_say_so_and_stops_with_the_brake(
    quick: Plan, tmp_path: Path
) -> None:
    top = bench(quick, tmp_path)
    assert seen(top, "Display") == "dark"
    spin(top)
    assert seen(top, "Wheel") == "just turns FORWARD"
    assert seen(top, "Display").startswith("lit, mode low, ")
    top.enter("brake")
    assert seen(top, "Wheel") == "stands still"
    top.enter("brake")
    top.enter("throttle")
    assert value(top, "throttle") == "0 %"
    assert top.world.bike.events[0].kind == "power at the wheel"


def test_power_off_the_stand_and_hands_at_a_wheel_in_drive_are_remembered(
    quick: Plan, tmp_path: Path
) -> None:
    top = bench(quick, tmp_path)
    for row in ("key", "drive", "throttle"):
        top.enter(row)
    assert "lunges" in top.said
    top.enter("roll")
    kinds = [event.kind for event in top.world.bike.events]
    assert kinds[1:] == ["off the stand", "hands at the wheel"]


def test_an_unplugged_throttle_lights_the_lamp(quick: Plan, tmp_path: Path) -> None:
    top = bench(quick, tmp_path)
    for row in ("stand", "key", "drive", "plug"):
        top.enter(row)
    assert "LAMP: throttle fault" in seen(top, "Display")


def test_a_meter_follows_where_it_lies_and_forgets_when_it_is_moved(
    exchange: Plan, tmp_path: Path
) -> None:
    top = bench(exchange, tmp_path)
    while top.instruments.spot.place != "bus":
        top.turn("spot", 1)
    assert seen(top, "Meter") == "not put on yet"
    top.enter("spot")
    before = float(seen(top, "Meter").split()[0])
    assert 40.0 < before < 80.0
    top.enter("pack")
    top.turn("wait", 1)
    top.enter("wait")
    after = float(seen(top, "Meter").split()[0])
    assert 0.0 <= after < 0.3 * before
    top.turn("spot", 1)
    assert seen(top, "Meter") == "not put on yet"


def test_hands_at_charged_terminals_are_a_hazard(exchange: Plan, tmp_path: Path) -> None:
    top = bench(exchange, tmp_path)
    while top.instruments.kind != "torque wrench":
        top.turn("kind", 1)
    while top.instruments.spot.probe != "torque.terminal":
        top.turn("spot", 1)
    top.enter("spot")
    assert [event.kind for event in top.world.bike.events] == ["live contact"]


def test_a_setting_that_was_typed_is_in_the_controller_only_when_saved(
    quick: Plan, tmp_path: Path
) -> None:
    top = bench(quick, tmp_path)
    top.enter("key")
    top.enter("page:program")
    top.enter("fetch")
    assert value(top, "startup_mode") == "low"
    top.take("startup_mode", "high")
    assert value(top, "startup_mode") == "high *"
    assert top.world.bike.controller.working["startup_mode"] == "low"
    top.enter("save")
    assert top.world.bike.controller.stored["startup_mode"] == "high"
    with pytest.raises(CommissionError, match="is none of"):
        top.take("startup_mode", "warp")
    top.take("speed_limit", "40")
    assert value(top, "speed_limit") == "40 km/h *"


def test_a_setting_that_is_not_stored_reads_right_until_the_key_was_off(
    quick: Plan, tmp_path: Path
) -> None:
    top = bench(quick, tmp_path, "direction-not-stored")
    top.enter("key")
    top.enter("page:program")
    top.enter("connect")
    before = value(top, "direction")
    top.take("direction", "reversed" if before == "normal" else "normal")
    top.enter("save")
    assert value(top, "direction") != before
    for row in ("page:bike", "key", "wait", "key", "page:program"):
        top.enter(row)
    assert value(top, "direction") != before, "what is shown is a copy"
    top.enter("fetch")
    assert value(top, "direction") == before


def test_the_program_finds_nothing_with_the_key_off(quick: Plan, tmp_path: Path) -> None:
    top = bench(quick, tmp_path)
    top.enter("page:program")
    top.enter("fetch")
    assert "no controller" in top.said
    assert not any(row.id == "direction" for row in top.rows())


def test_an_exported_list_is_what_the_job_imports(quick: Plan, tmp_path: Path) -> None:
    top = bench(quick, tmp_path)
    top.enter("key")
    top.enter("page:program")
    top.enter("fetch")
    top.enter("export")
    lines = (tmp_path / "settings.csv").read_text("utf-8").splitlines()
    assert lines[:2] == ["# PRACTICE", "name,value,unit"]
    assert "startup_mode,low," in lines
    assert len(lines) == 2 + len(quick.settings)


def test_papers_and_closer_looks_tell_what_is_asked_of_them(exchange: Plan, tmp_path: Path) -> None:
    top = bench(exchange, tmp_path)
    top.enter("page:papers")
    assert value(top, "series_cells") == "17"
    top.enter("page:looks")
    identities = [row.id for row in top.rows() if row.id.startswith("bike.identity")]
    assert identities
    top.enter("bike.identity")
    assert "DEMO-4417" in top.said


def test_waiting_offers_the_timer_of_the_card_first(quick: Plan, tmp_path: Path) -> None:
    top = bench(quick, tmp_path)
    top.world.open_step("key_cycle", timer_s=9.0)
    assert value(top, "wait") == "until the timer is over"
    top.enter("wait")
    assert top.world.bike.now_s == pytest.approx(10.0)
    assert value(top, "wait") == "10 s"


def test_the_record_reads_the_benchs_clock(quick: Plan, tmp_path: Path) -> None:
    ticks = itertools.count(0, 5)
    world = World(
        quick, preparing.prepared(quick, None, None), tmp_path, real_s=lambda: float(next(ticks))
    )
    first = world.clocks.now()
    world.wait(600.0)
    later = world.clocks.now()
    passed = (later.clock.ns - first.clock.ns) / 1e9
    assert passed == pytest.approx(615.0, abs=6.0)


def test_every_place_of_an_instrument_is_one_that_a_bike_answers() -> None:
    assert {spot.probe for spot in SPOTS} <= set(ANSWERS)
    assert PROBED - {"throttle.voltage.x", "throttle.voltage.y"} <= set(ANSWERS)
    assert set(PROBES) >= HANDS


def test_each_outcome_is_told_by_a_word_that_means_it() -> None:
    for probe in PROBES.values():
        names = [outcome.name for outcome in probe.outcomes]
        assert [option_for(probe.outcomes, name, names) for name in names] == names, probe.name


@pytest.mark.parametrize("slug", SLUGS)
def test_everything_a_shipped_procedure_looks_for_is_told(
    slug: str, plan_of: Callable[[str], Plan], tmp_path: Path
) -> None:
    plan = plan_of(slug)
    top = bench(plan, tmp_path)
    for row in ("stand", "key", "page:looks"):
        top.enter(row)
    for thing in things(plan):
        top.enter(thing.probe)
        assert value(top, thing.probe) or top.said, thing.probe


def test_a_fault_at_random_is_one_that_the_procedure_finds(quick: Plan) -> None:
    found = preparing.findable(quick, 3)
    assert found.fault is not None
    assert preparing.findable(quick, 3).fault == found.fault


@pytest.mark.parametrize("slug", SLUGS)
def test_whatever_a_shipped_procedure_asks_of_a_bike_can_be_found_at_the_bench(
    slug: str, plan_of: Callable[[str], Plan]
) -> None:
    plan = plan_of(slug)
    looked = {thing.probe for thing in things(plan)}
    own = ("handover.", "file.", "power.", "drive.", "bike.photos", "pack.isolated")
    for planned in plan.steps:
        probe = planned.step.probe or ""
        known = PROBES.get(probe)
        found = (
            probe in looked | HANDS | PROBED
            or probe.startswith(own)
            or (known is not None and known.sort == "done")
            or any(f"{probe}.{part}".startswith(tuple(PROBED)) for part in _asked(planned))
        )
        assert found or not probe, (planned.id, probe)


def _asked(planned: PlannedStep) -> list[str]:
    step = cast("Any", planned.step)
    return [*getattr(step, "inputs", ()), *_typed_inputs(step)]


def _typed_inputs(step: Any) -> list[str]:
    if getattr(step, "calculator", None) is None:
        return []
    return [each.name for each in catalogue.get(step.calculator).inputs]
