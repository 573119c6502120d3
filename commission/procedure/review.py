"""A procedure laid open for checking: its steps with their paths, its names, its expressions."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from commission.procedure.expression import Expression, ExpressionError, Type, with_choices
from commission.procedure.names import declared_with_gaps
from commission.procedure.problems import Problem, problem

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from commission.procedure import model
    from commission.procedure.places import Path, Places
    from commission.procedure.wants import Want


class Located(NamedTuple):
    """A step with its way in the data, in the order of the job."""

    step: model.StepBase
    path: Path
    order: int
    remedy_of: str = ""
    """Id of the step it is a remedy of; empty for a step of its own."""


@dataclass(frozen=True)
class Review:
    """What the checks look at; made once per procedure."""

    procedure: model.Procedure
    places: Places

    @functools.cached_property
    def steps(self) -> tuple[Located, ...]:
        """Every step in order, remedies just before the step they belong to."""
        found: list[tuple[model.StepBase, Path, str]] = []
        for number, stage in enumerate(self.procedure.stages):
            for index, step in enumerate(stage.steps):
                found.extend(_unfolded(step, ("stages", number, "steps", index), ""))
        return tuple(
            Located(step, path, order, parent) for order, (step, path, parent) in enumerate(found)
        )

    @functools.cached_property
    def by_id(self) -> dict[str, Located]:
        """The steps by id; of several with one id, the first."""
        return {each.step.id: each for each in reversed(self.steps)}

    @functools.cached_property
    def settings(self) -> dict[str, model.Setting]:
        """The settings by id."""
        return {each.id: each for each in self.procedure.settings}

    @functools.cached_property
    def facts(self) -> dict[str, model.Fact]:
        """The facts by id."""
        return {each.id: each for each in self.procedure.facts}

    @functools.cached_property
    def _declared(self) -> tuple[dict[str, Type], frozenset[str]]:
        return declared_with_gaps(self.procedure)

    @property
    def names(self) -> dict[str, Type]:
        """Every name with its type."""
        return self._declared[0]

    @property
    def gaps(self) -> frozenset[str]:
        """Ids whose type is not known, since their unit or calculator is not; told elsewhere."""
        return self._declared[1]

    @functools.cached_property
    def wants(self) -> tuple[Want, ...]:
        """Every expression with what it must be."""
        from commission.procedure.wants import wants

        return tuple(wants(self))

    @functools.cached_property
    def _by_path(self) -> dict[Path, Located]:
        return {each.path: each for each in self.steps}

    def step_at(self, path: Path) -> Located | None:
        """Return the innermost step that a path leads into; None for one outside all steps."""
        for length in range(len(path), 3, -1):
            located = self._by_path.get(path[:length])
            if located is not None:
                return located
        return None

    def is_list(self, path: Path) -> bool:
        """Whether the data at a path was written as a list."""
        node = self.places.root
        for part in path:
            try:
                node = node[part]
            except (KeyError, IndexError, TypeError):
                return False
        return isinstance(node, list)

    def tell(
        self, path: Path, what: str, got: object = "", expected: str = "", hint: str = ""
    ) -> Problem:
        """Return an error at the value at a path."""
        return problem(self.places.at(path), what, got, expected, hint)

    def warn(
        self, path: Path, what: str, got: object = "", expected: str = "", hint: str = ""
    ) -> Problem:
        """Return a warning at the value at a path."""
        return self.tell(path, what, got, expected, hint).as_warning()

    def tell_expression(
        self, path: Path, source: model.Expression, error: ExpressionError
    ) -> Problem:
        """Return what is wrong with an expression, at its column."""
        text = str(source)
        place = self.places.inside(path, text, error.column)
        return problem(place, error.message, text, hint=error.hint)

    def parsed(
        self, source: model.Expression | None, choices: Sequence[str] = ()
    ) -> Expression | None:
        """Return the expression, or None where there is none or it cannot be read (told once)."""
        if source is None:
            return None
        try:
            return with_choices(source, choices)
        except ExpressionError:
            return None

    def is_gap(self, expression: Expression) -> bool:
        """Whether it uses a name whose type is unknown for a reason that is told elsewhere."""
        return any(name.partition(".")[0] in self.gaps for name in expression.names)


def _unfolded(
    step: model.StepBase, path: Path, parent: str
) -> Iterator[tuple[model.StepBase, Path, str]]:
    if step.on_fail is not None:
        for index, remedy in enumerate(step.on_fail.remedy):
            yield from _unfolded(remedy, (*path, "on_fail", "remedy", index), step.id)
    yield step, path, parent
