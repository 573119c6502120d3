"""What every shipped checklist promises, whatever it is for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from commission.job.ledger import ledger
from commission.job.state import Fate, Status
from commission.procedure import load, model, yaml12
from commission.procedure.check import check
from commission.procedure.expression import parse
from commission.procedure.offers import offers
from commission.procedure.vocabulary import PROBES

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from commission.job.plan import Plan
    from commission.procedure.model import Procedure

    # Typing only: the walk itself comes from the fixture.
    Walk = Any

SLUGS = [
    "borrower-limits", "direction-reverts", "firmware-update", "gearing-change", "make-safe",
    "pack-change", "quick-persistence", "ride-follow-up", "rotor-sensor-check",
]  # fmt: skip
TURNING = ("wheel.direction", "wheel.at_rest", "wheel.top_speed", "motor.run", "throttle.unplugged",
           "interlock.", "power.key", "power.cold", "power.on", "sensor.angle",
           "controller.update:", "drive.")  # fmt: skip
"""Probes of steps during which the driven wheel can turn by itself."""
LIVE = ("pack.isolated", "pack.connected", "pack.voltage", "pack.taken_out", "bus.voltage",
        "bus.positive_to_frame", "bus.negative_to_frame", "isolation.p", "isolation.n",
        "torque.terminal")  # fmt: skip
"""Probes of steps at conductors that can carry the pack's voltage."""


def test_these_are_all_there_are() -> None:
    assert {offer.slug for offer in offers()} == {"controller-exchange", *SLUGS}


def test_the_readme_lists_them_with_their_times(checklists: Path) -> None:
    readme = (checklists.parent / "README.md").read_text(encoding="utf-8")
    _, _, section = readme.partition("## The checklists\n")
    section, _, _ = section.partition("\n## ")
    rows = [line.split(" | ")[:2] for line in section.splitlines() if line.startswith("| ")][2:]

    assert rows == [[f"| {offer.title}", offer.takes] for offer in offers()]


@pytest.mark.parametrize("checklist", ["controller-exchange", *SLUGS])
def test_nobody_is_promised_less_time_than_the_steps_take(
    checklist: str, plan_of: Callable[[str], Plan]
) -> None:
    """A minute a step, twelve seconds a setting read or written, both in haste: from memory."""
    procedure = plan_of(checklist).procedure
    cells = sum(
        (step.cycles if isinstance(step, model.PowerCycle) else 1)
        * (len(procedure.settings) if isinstance(step.settings, str) else len(step.settings))
        for step in procedure.steps()
        if isinstance(step, model.ReadBack | model.Write | model.PowerCycle)
    )
    steps = sum(len(stage.steps) for stage in procedure.stages)

    takes = parse(str(procedure.takes)).evaluate({})
    assert isinstance(takes, float)
    assert takes >= 60 * steps + 12 * cells


@pytest.fixture(params=SLUGS)
def slug(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def procedure(slug: str, plan_of: Callable[[str], Plan]) -> Procedure:
    return plan_of(slug).procedure


def probed(procedure: Procedure, probes: tuple[str, ...]) -> list[model.StepBase]:
    return [step for step in procedure.steps() if f"{step.probe or ''}:".startswith(probes)]


def test_the_checker_has_nothing_to_say(slug: str, checklists: Path) -> None:
    assert [str(each) for each in check(load.load(checklists / f"{slug}.yaml"))] == []


def test_it_says_what_it_is_for_when_to_use_it_and_what_can_hurt(procedure: Procedure) -> None:
    assert procedure.purpose
    assert procedure.use_when
    assert procedure.takes
    assert procedure.hazards


def test_what_can_turn_or_shock_is_said_before_the_step(procedure: Procedure) -> None:
    careless = [
        step.id
        for step in probed(procedure, TURNING + LIVE)
        if not {each.signal for each in step.cautions} & {"WARNING", "DANGER"}
    ]

    assert careless == []


def test_every_step_that_observes_the_bike_has_a_probe_that_is_known(procedure: Procedure) -> None:
    silent = {type(step) for step in procedure.steps() if step.probe is None}
    computed = (model.Calculate, model.Dwell, model.SignOff, model.CrossCheck)
    unknown = [
        step.probe
        for step in procedure.steps()
        if step.probe is not None
        and not any(f"{name}.".startswith(f"{step.probe}.") for name in PROBES)
    ]

    assert silent <= set(computed)
    assert unknown == []


def test_facts_settings_and_instruments_are_those_of_the_exchange(
    procedure: Procedure, exchange: Procedure
) -> None:
    def described(things: tuple[model.Part, ...]) -> Mapping[str, Any]:
        return {each.id: each.model_dump(exclude={"intended"}) for each in things}  # type: ignore[attr-defined]

    for of in ("facts", "settings", "equipment"):
        known = described(getattr(exchange, of))
        mine = described(getattr(procedure, of))
        assert mine == {name: known[name] for name in mine}


def test_only_instruments_that_are_used_are_asked_for(procedure: Procedure) -> None:
    used = {step.instrument for step in procedure.steps() if step.instrument}
    # A cold cycle's bus voltage is read with the multimeter as well.
    if any(isinstance(s, model.PowerCycle) and s.cycle == "cold" for s in procedure.steps()):
        used.add("multimeter")
    assert {each.id for each in procedure.equipment} == used


def test_facts_are_asked_only_where_something_rests_on_them(
    slug: str, plan_of: Callable[[str], Plan]
) -> None:
    made = plan_of(slug)
    assert [fact.id for fact in made.procedure.facts if not made.dependents.get(fact.id)] == []


def test_it_ends_with_a_release(procedure: Procedure) -> None:
    last = procedure.stages[-1].steps[-1]
    assert isinstance(last, model.SignOff)
    assert last.meaning == "released"


def test_with_its_example_answers_it_ends_in_release(
    slug: str, walk_of: Callable[[str], Walk]
) -> None:
    job = walk_of(slug).until()

    assert job.state.outcome == "released", (job.step, job.stands(job.step))
    for name, stands in job.state.steps.items():
        assert stands.status in (Status.PASSED, Status.NOT_APPLICABLE, Status.DORMANT), name


def test_what_it_writes_has_held_at_the_end(slug: str, walk_of: Callable[[str], Walk]) -> None:
    job = walk_of(slug).until()

    fates = {line.setting: line.fate for line in ledger(job.state)}
    written = {name for name, state in job.state.settings.items() if state.written is not None}
    assert {fates[name] for name in written} <= {Fate.HELD}
    assert {fate for name, fate in fates.items() if name not in written} <= {Fate.AS_FOUND}


def test_every_example_answer_belongs_to_a_step(
    slug: str, plan_of: Callable[[str], Plan], checklists: Path
) -> None:
    file = checklists / "examples" / f"{slug}-answers.yaml"
    data: Any = yaml12.build(file.read_text(encoding="utf-8"), file.name).data
    assert set(data["answers"]) <= set(plan_of(slug).index)
    assert set(data.get("facts", {})) <= {each.id for each in plan_of(slug).procedure.facts}
