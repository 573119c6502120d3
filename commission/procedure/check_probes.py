"""Whether a virtual bike could answer: probes that it does not know, options that nothing matches.

Warnings, all of them: a procedure without probes leads through a real job as well.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.calculators import catalogue
from commission.errors import CalculationError
from commission.procedure import model
from commission.procedure.problems import nearest
from commission.procedure.vocabulary import PROBES, outcome_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.procedure.problems import Problem
    from commission.procedure.review import Located, Review

_SORTS: Final[dict[type[model.StepBase], tuple[str, ...]]] = {
    model.Measure: ("number",),
    model.Observe: ("choice",),
    model.Choose: ("choice",),
    model.Identify: ("text",),
    model.Series: ("number",),
    model.Sweep: ("number",),
    model.Attach: ("file",),
    model.Confirm: ("done",),
    model.PowerCycle: ("done",),
    model.ReadBack: ("settings",),
    model.Write: ("settings",),
}
"""What sort of probe a kind of step can ask."""


def probes(review: Review) -> Iterator[Problem]:
    """Warn of probes that are not known or do not fit the step, and of options without outcome."""
    for located in review.steps:
        step = located.step
        if step.probe is None:
            continue
        if isinstance(step, model.Calculate):
            yield from _inputs(review, located, step)
            continue
        sorts = _SORTS.get(type(step))
        probe = PROBES.get(step.probe)
        if sorts is None:
            continue
        if probe is None or probe.sort not in sorts:
            known = [name for name, each in PROBES.items() if each.sort in sorts]
            yield review.warn(
                (*located.path, "probe"), f"no probe of a {sorts[0]} is called so", step.probe,
                hint=nearest(step.probe, known) or "A virtual bike cannot answer this step.",
            )  # fmt: skip
        elif isinstance(step, model.Observe | model.Choose):
            yield from _options(review, located, step)


def _options(
    review: Review, located: Located, step: model.Observe | model.Choose
) -> Iterator[Problem]:
    outcomes = PROBES[str(step.probe)].outcomes
    for index, option in enumerate(step.options):
        if outcome_of(outcomes, option) is None:
            words = "; ".join(f"{each.name}: {', '.join(each.words)}" for each in outcomes)
            yield review.warn(
                (*located.path, "options", index),
                f"an option that no outcome of {step.probe} matches", option,
                f"a word of {words}",
            )  # fmt: skip


def _inputs(review: Review, located: Located, step: model.Calculate) -> Iterator[Problem]:
    """Warn of inputs to be typed for which the bike has no answer."""
    try:
        calculator = catalogue.get(step.calculator)
    except CalculationError:
        return  # told elsewhere
    for each in calculator.inputs:
        if each.name in step.inputs or each.optional or each.default is not None:
            continue
        name = f"{step.probe}.{each.name}"
        if name not in PROBES:
            hint = nearest(name, PROBES) or "A virtual bike cannot answer this step."
            what = f"no probe is called {name}"
            yield review.warn((*located.path, "probe"), what, step.probe, hint=hint)
