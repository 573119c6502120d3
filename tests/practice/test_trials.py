"""Fault trials: the main checklist against the catalogue, and that trials are honest themselves.

This is a bounded trial; `commission prove controller-exchange` makes the full one.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest

from commission.errors import CommissionError
from commission.practice import proving
from commission.practice.bike import Bike
from commission.practice.faults import Fault, apply, names, shipped
from commission.practice.judging import effects, is_dormant
from commission.practice.physics.varied import sound_build
from commission.practice.targets import commissioned
from commission.practice.trial import (
    HONEST,
    NoBikeError,
    Order,
    Task,
    attempt,
    kit_of,
    run_all,
    tasks,
)
from commission.procedure import load

if TYPE_CHECKING:
    from commission.practice.matrix import Matrix
    from commission.practice.trial import Trial

SHIPPED = shipped().faults
BY_NAME = names(SHIPPED)


@pytest.fixture(scope="module")
def exchange() -> load.Loaded:
    """The main checklist."""
    return load.load(load.checklists() / "controller-exchange.yaml")


@pytest.fixture(scope="module")
def proved(exchange: load.Loaded) -> Matrix:
    """Every fault on one bike, and forty sound bikes, with every pilot."""
    return proving.prove(exchange, SHIPPED, seeds=1, sound=40, pilots=proving.PILOTS)


def test_the_main_checklist_falls_short_of_nothing(proved: Matrix) -> None:
    assert proved.shortfalls == ()


def test_every_fault_that_can_injure_is_found_in_time(proved: Matrix) -> None:
    late = [
        (row.fault.id, row.outcome, row.where, row.steps)
        for row in proved.of(HONEST)
        if row.fault.severity == "can injure" and row.fault.bench is None and not row.early
    ]
    assert late == []
    assert proved.figures().can_injure >= 80


def test_no_sound_bike_is_stopped_or_made_unsound(proved: Matrix) -> None:
    assert [(trial.seed, trial.verdict) for trial in proved.alarms] == []
    assert len(proved.sound) == 40


def test_a_fault_that_no_bench_can_find_does_escape(proved: Matrix) -> None:
    claimed = {row.fault.id: row.outcome for row in proved.of(HONEST) if row.fault.bench}
    assert set(claimed.values()) == {"escaped"}, claimed


def test_careless_pilots_find_less_and_required_readings_still_find_most(proved: Matrix) -> None:
    honest = proved.figures()
    for pilot in ("confirms", "copies"):
        careless = proved.figures(pilot)
        assert 0.5 * honest.caught < careless.caught < honest.caught, pilot
    # Timers are held by the program: who hurries is refused.
    assert proved.figures("hurries").caught >= 0.95 * honest.caught


def acts_through_the_job(fault: Fault) -> bool:
    """Return whether a fault does harm only by what the job makes of it (a wrong paper, angles)."""
    made = ("papers.", "rotor.sensors.0.angle", "rotor.cogging", "controller.storage.stale_screen")
    return any(path.startswith(made) for path in fault.changes)


@pytest.mark.parametrize(
    "fault",
    [fault for fault in SHIPPED if not acts_through_the_job(fault) and not is_dormant(fault)],
    ids=lambda fault: fault.id,
)
def test_a_rider_would_meet_every_fault_that_nobody_finds(fault: Fault) -> None:
    sound = next(build for build in map(sound_build, range(1, 400)) if fault.possible(build))
    sound = commissioned(sound)
    assert effects(Bike(sound), None, sound) == ()
    assert effects(Bike(apply(sound, fault)), fault, sound) != ()


def without(loaded: load.Loaded, step: str) -> str:
    """Return a procedure in which a step judges nothing."""

    def cut(node: Any) -> Any:
        if isinstance(node, list):
            return [cut(each) for each in node]
        if not isinstance(node, dict):
            return node
        kept = {key: cut(value) for key, value in node.items()}
        if node.get("id") == step and "kind" in node:
            kept.pop("limits", None)
            kept.pop("judge", None)
        return kept

    return json.dumps(cut(json.loads(loaded.text)))


@pytest.mark.parametrize(
    ("step", "fault"),
    [
        ("cells_counted", "pack-group-missing"),
        ("tester_proved", "insulation-tester-dead"),
        ("cable_resistance", "crimp-corroded"),
        ("precharge_path", "precharge-bridged"),
        ("winding_held", "found-with-other-winding"),
        ("flux_held", "found-with-other-motor"),
        ("back_emf", "magnets-weakened"),
        ("fuse_rating", "fuse-too-large"),
        ("lever_released", "lever-rests-high"),
        ("isolation_phases", "isolation-low-phases"),
        ("wheel_speed", "primary-ratio-understated"),
    ],
)
def test_without_the_step_that_finds_it_a_fault_escapes(
    exchange: load.Loaded, step: str, fault: str
) -> None:
    some = (BY_NAME[fault],)
    blind = Order(without(exchange, step), some, tasks(some, 8, 0))
    assert "escaped" in {trial.verdict.outcome for trial in run_all(blind)}
    seeing = Order(exchange.text, some, tasks(some, 8, 0))
    assert {trial.verdict.outcome for trial in run_all(seeing)} == {"caught"}


def test_a_limit_that_is_only_met_on_the_road_counts_as_late(exchange: load.Loaded) -> None:
    some = (BY_NAME["speed-limit-without-effect"],)
    blind = Order(without(exchange, "wheel_speed"), some, tasks(some, 2, 0))
    for trial in run_all(blind):
        assert trial.verdict.outcome == "caught"
        assert trial.verdict.found.where == "riding"


def same(trials: tuple[Trial, ...]) -> list[Any]:
    """Return trials without their time."""
    return [(t.fault, t.seed, t.pilot, t.verdict, t.entries) for t in trials]


def test_trials_are_the_same_again_and_in_several_processes(exchange: load.Loaded) -> None:
    some = tuple(BY_NAME[name] for name in ("lever-sticks", "rotor-board-loose", "pack-aged"))
    order = Order(exchange.text, some, tasks(some, 3, 4))
    heard: list[tuple[int, int]] = []
    alone = run_all(order)
    together = run_all(order, 2, lambda done, total: heard.append((done, total)))
    assert same(alone) == same(together) == same(run_all(order))
    assert heard[-1] == (13, 13)


def test_a_remedy_that_the_procedure_knows_leads_to_a_mended_bike(exchange: load.Loaded) -> None:
    some = (BY_NAME["direction-needs-other-route"],)
    kit = kit_of(Order(exchange.text, some, ()))
    outcomes = [attempt(kit, task) for task in tasks(some, 4, 0)]
    assert {trial.verdict.outcome for trial in outcomes} == {"remedied"}
    assert {trial.verdict.found.step for trial in outcomes} <= {"key_cycles", "cold_cycle"}


def test_a_need_that_no_bike_has_is_said(exchange: load.Loaded) -> None:
    odd = BY_NAME["lever-sticks"].model_copy(update={"needs": ("pump", "no cooling")})
    kit = kit_of(Order(exchange.text, (odd,), ()))
    with pytest.raises(NoBikeError, match="pump, no cooling"):
        attempt(kit, Task(odd.id, 1))


def test_a_fault_that_does_not_fit_is_said_from_another_process_too(
    exchange: load.Loaded,
) -> None:
    odd = BY_NAME["lever-sticks"].model_copy(update={"needs": ("pump",)})
    order = Order(exchange.text, (odd,), tasks((odd,), 40, 0))
    for jobs in (1, 2):
        with pytest.raises(CommissionError, match=r"This bike has no lever\.state"):
            run_all(order, jobs)


def test_the_json_says_what_the_readme_says_it_does(proved: Matrix) -> None:
    made = json.loads(json.dumps(proved.to_json()))
    assert made["format"] == "commission-fault-trials-1"
    assert made["figures"]["honest"]["escaped"] == 0
    assert set(made["figures"]) == set(proving.PILOTS)
    first = made["faults"][0]
    assert {"id", "outcome", "where", "steps", "severity", "bench", "trials"} <= set(first)
    assert {"seed", "outcome", "step", "because", "where", "met"} <= set(first["trials"][0])


@pytest.mark.parametrize(
    ("words", "count"),
    [("lever-sticks", 1), ("lever,meters", None), ("double", 15), ("can injure", None)],
)
def test_faults_are_chosen_by_name_group_severity_or_number(words: str, count: int | None) -> None:
    found = proving.chosen(words)
    assert found
    assert count is None or len(found) == count


def test_an_unknown_word_names_the_nearest() -> None:
    with pytest.raises(CommissionError) as refused:
        proving.chosen("lever-stick")
    assert "Did you mean lever-sticks" in refused.value.hint


def test_a_file_of_own_faults_may_join_shipped_ones(tmp_path: Any) -> None:
    file = tmp_path / "own.yaml"
    file.write_text(
        "catalogue: own\ntitle: Own\ndoubles:\n"
        "  - {id: both-of-them, title: Both, both: [lever-sticks, pack-aged], effect: E,\n"
        "     severity: can injure, noticed: N}\n",
        encoding="utf-8",
    )
    (both,) = proving.chosen(str(file))
    assert both.double
    assert set(both.changes) == {"lever.state", "lever.returns", "pack.cell_resistance"}
