"""Everything that needs the whole procedure: names, types, dimensions, order, prose.

Each check is a function from a `Review` to problems; `CHECKS` lists them. Errors keep a procedure
from being used; warnings are for its author.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.procedure import (
    check_calculate,
    check_conventions,
    check_flow,
    check_probes,
    check_references,
    check_roles,
    check_types,
    prose,
)
from commission.procedure.problems import Problem, in_order
from commission.procedure.review import Review

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from commission.procedure.load import Loaded

CHECKS: Final[tuple[Callable[[Review], Iterator[Problem]], ...]] = (
    check_references.ids,
    check_references.references,
    check_references.values,
    check_references.choices,
    check_references.limits,
    check_references.order,
    check_references.circles,
    check_types.units,
    check_types.angles,
    check_calculate.calculators,
    check_calculate.missing_outputs,
    check_conventions.conventions,
    check_types.expressions,
    check_types.ranges,
    check_flow.read_before_written,
    check_flow.proved_after_written,
    check_flow.unused_settings,
    check_flow.holds,
    check_flow.cold_cycles,
    check_flow.reachable,
    check_probes.probes,
    check_flow.after_release,
    check_roles.roles,
    check_roles.cross_checks,
    check_roles.roles_in_time,
    prose.cautions,
    prose.titles,
    prose.vague_words,
    prose.bounds_in_words,
)


def check(loaded: Loaded) -> tuple[Problem, ...]:
    """Return everything that is wrong with a loaded procedure, what loading found first.

    Where it could not be loaded, that is all there is to say.
    """
    if loaded.procedure is None:
        return loaded.problems
    review = Review(loaded.procedure, loaded.places)
    found = [each for test in CHECKS for each in test(review)]
    return in_order((*loaded.problems, *found))


def is_usable(problems: tuple[Problem, ...]) -> bool:
    """Whether a procedure with these problems can be worked with: no errors among them."""
    return not any(each.is_error for each in problems)
