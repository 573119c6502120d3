"""What a step kind can do, and what it is told: the one interface of all kinds.

A handler never keeps anything and never makes entries. `moves` guards the rules that hold for all
kinds (order, people, cautions, holds), asks the handler what is asked, has what was typed parsed
by it, and turns its judgement into drafts. To add a kind: one file with a subclass, one line in
`commission.job.kinds`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from commission.errors import RefusedError
from commission.job.ask import Asking
from commission.job.kinds.typed import parse_piece

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.job.ask import Ask
    from commission.job.entry import Instant
    from commission.job.judge import Judgement
    from commission.job.state import Given, JobState, Parts, StepState
    from commission.procedure.expression import Value
    from commission.procedure.model import Equipment


@dataclass(frozen=True, slots=True)
class Look:
    """All that a handler may know."""

    state: JobState
    step: Any
    """The step of the procedure (or the pseudo-step of a fact)."""
    parts: Parts
    """What has been given: of the attempt in hand, or all of it where an answer is corrected."""
    values: Mapping[str, Value]
    """What names in expressions stand for; raises `UnknownValueError`."""
    now: Instant
    by: str = ""
    """Who answers; empty while only asking."""
    in_words: bool = True
    """Whether a judgement is to say why; without, it has the verdict, and what an audit compares:
    checks, values, inputs and seconds. The words are half of the work."""

    @property
    def step_state(self) -> StepState:
        """How the step stands."""
        return self.state.steps[self.step.id]

    @property
    def equipment(self) -> Equipment | None:
        """The instrument the step reads with, where it names one."""
        for equipment in self.state.plan.procedure.equipment:
            if equipment.id == self.step.instrument:
                return equipment
        return None

    def with_part(self, part: str, piece: Mapping[str, Given]) -> Look:
        """Return this look with one piece more (or another in its place)."""
        return replace(self, parts={**self.parts, part: piece})


class Handler:
    """A kind of step that is answered in one piece; kinds with more override `in_pieces`."""

    in_pieces = False
    """Whether each piece is recorded by itself, before the answer is concluded."""

    def part(self, look: Look) -> str:  # noqa: ARG002  for kinds with pieces
        """Return the name of the piece asked for now; of the last one where all are given."""
        return ""

    def asks(self, look: Look, part: str) -> tuple[Ask, ...]:
        """Return what `part` asks."""
        raise NotImplementedError

    def asking(self, look: Look, part: str) -> Asking:
        """Return `part` as a face puts it to a person."""
        return Asking(look.step.id, part, look.step.title, self.asks(look, part))

    def parse(
        self, look: Look, part: str, given: Mapping[str, Any], *, whole: bool
    ) -> dict[str, Given]:
        """Return what was typed as given; `whole` false takes some of it (for a correction).

        Raises:
            RefusedError: names the field, what was got, what is expected, how to mend it.
        """
        asking = self.asking(look, part)
        piece = parse_piece(asking.asks, given, some=asking.some or not whole)
        self.admit(look, part, piece)
        return piece

    def admit(self, look: Look, part: str, piece: Mapping[str, Given]) -> None:
        """Refuse a piece that cannot be so; nothing more to say by default."""

    def read_with_instrument(self, look: Look, part: str) -> frozenset[str]:  # noqa: ARG002
        """Return which asks of `part` are readings of the step's instrument; none by default."""
        return frozenset()

    def ready(self, look: Look, part: str) -> None:
        """Refuse where the time for `part` has not come; nothing to wait for by default."""

    def is_kept(self, part: str) -> bool:  # noqa: ARG002  for kinds whose last piece is no piece
        """Return whether a piece is recorded by itself, where the kind is answered in pieces."""
        return True

    def beside(self, look: Look, *parts: str) -> dict[str, Any]:  # noqa: ARG002  for some kinds
        """Return what an entry says beside the given of `parts`; nothing by default."""
        return {}

    def conclude(self, look: Look) -> Judgement | None:
        """Return the judgement of what was given, or None where more is to come."""
        raise NotImplementedError


def refuse(message: str, hint: str = "") -> RefusedError:
    """Make the refusal that a handler raises."""
    return RefusedError(message, hint)
