"""Turned round: which value of one input gives a wanted output.

Nothing but the calculator itself is used, so every numeric input and output has a way back. The
output is sampled over the input's range (densely where it is plausible, thinly beyond, as far as
the domain goes), the places where it passes the wanted value are closed in by halving, and each is
checked by computing forward. It is refused, and said why, where no value gives the output, where
several do, or where the output does not depend on the input.

What this does not establish: that a curve has no narrow bend between two neighbouring samples. They
are close, and each bend that they show is looked at again.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from commission.calculators.catalogue import compute, get
from commission.calculators.roots import CLOSE, Sample, Stretch, Way, is_same, sampled, taken_at
from commission.calculators.run import bounds, plausible, shown
from commission.errors import CalculationError
from commission.quantities import show

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.calculators.base import Calculator, Input, Output, Value

_SAMPLES: Final = 120
_MOST_WHOLE: Final = 1000
"""Whole numbers tried one by one."""
_OUTWARD: Final = 40
"""Steps beyond the plausible range, each a quarter wider than the one before."""
_WIDE: Final = 10.0
"""From this ratio of its ends on, a range is also sampled in equal ratios."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked back: the value of `over` at which `output` is `wanted`, the rest as given."""

    calculator: str
    inputs: Mapping[str, Value]
    """SI; what `over` stands in for is left aside, and its own value only says where to look."""
    over: str
    output: str
    wanted: float
    """SI."""


@dataclass(frozen=True, slots=True)
class Solution:
    """The answer to a question, in SI."""

    value: float
    others: tuple[float, ...] = ()
    """Values that give the same but lie outside the plausible range."""


def solve(question: Question) -> Solution:
    """Return the only plausible value of the input that gives the wanted output.

    Raises:
        CalculationError: there is none, there are several, or the output does not depend on the
            input; the message says which, and what the output can be.
    """
    asked = _Asked(get(question.calculator), question)
    samples = sampled(asked.way, asked.places())
    if not samples:
        raise CalculationError(
            f"With these inputs no {asked.over.label} has a result.", "Check the other inputs."
        )
    asked.refuse_constant(samples)
    return asked.chosen(taken_at(asked.way, samples, question.wanted), samples)


class _Asked:
    """A question with what is declared for it."""

    def __init__(self, declared: Calculator, question: Question) -> None:
        self.question = question
        self.over: Input = declared.input(question.over)
        self.output: Output = declared.output(question.output)
        if self.over.kind not in {"number", "integer"}:
            raise CalculationError(f"The {self.over.label} is no number that can be solved for.")
        aside = _stood_in_for(declared, question.over)
        self._rest = {name: si for name, si in question.inputs.items() if name not in aside}
        self._is_whole = self.over.kind == "integer"

    @property
    def way(self) -> Way:
        """The output as a function of the input; None where it has no result."""
        name, over, rest = self.question.calculator, self.question.over, self._rest

        def way(x: float) -> float | None:
            try:
                answer = compute(name, {**rest, over: x}).outputs.get(self.question.output)
            except CalculationError:
                return None
            return answer if type(answer) is float else None

        return _whole(way) if self._is_whole else way

    def places(self) -> set[float]:
        """Return where to look."""
        least, most = bounds(self.over)
        low, high = _looked_through(self.over)
        if self._is_whole:
            first = max(math.ceil(least - CLOSE), math.ceil(low) - _MOST_WHOLE)
            last = min(math.floor(most + CLOSE), first + _MOST_WHOLE)
            return {float(whole) for whole in range(first, last + 1)}
        span = high - low
        places = {low + span * at / _SAMPLES for at in range(_SAMPLES + 1)}
        if low > 0.0 and high / low > _WIDE:
            places |= {low * (high / low) ** (at / _SAMPLES) for at in range(_SAMPLES + 1)}
        for step in range(1, _OUTWARD + 1):
            away = span * (1.25**step - 1.0)
            places |= {max(least, low - away), min(most, high + away)}
        if least >= 0.0:
            places |= {low / 1.6**step for step in range(1, _OUTWARD) if low / 1.6**step >= least}
        known = self.question.inputs.get(self.question.over)
        return places | ({known} if type(known) is float else set())

    def refuse_constant(self, samples: list[Sample]) -> None:
        """Refuse where the output is the same everywhere."""
        least, most = _range(samples)
        if most - least <= CLOSE * max(abs(least), abs(most)):
            raise CalculationError(
                f"“{self.output.label}” does not depend on “{self.over.label}”.",
                "Solve for another input.",
            )

    def chosen(self, found: list[Stretch], samples: list[Sample]) -> Solution:
        """Return the one answer among those found, or refuse."""
        if not found:
            raise CalculationError(*self._none(samples))
        low, high = plausible(self.over)
        likely = [each for each in found if low <= each.start <= high or low <= each.end <= high]
        kept = likely or found
        if len(kept) == 1 and is_same(*kept[0]):
            others = tuple(each.start for each in found if each not in kept)
            return Solution(kept[0].start, others)
        several = " and ".join(self._words(each) for each in kept[:3])
        more = " and more" if len(kept) > 3 else ""  # noqa: PLR2004  three are enough to read
        raise CalculationError(
            f"Not one answer: it is {self._wanted} at {several}{more}.",
            "Type the one that is meant, or solve for another input.",
        )

    def _none(self, samples: list[Sample]) -> tuple[str, str]:
        least, most = _range(samples)
        none = f"No “{self.over.label}” gives {self._wanted}."
        if self.question.wanted >= most:
            return none, f"It is never more than {self._shown(most)}."
        if self.question.wanted <= least:
            return none, f"It is never less than {self._shown(least)}."
        nearest = sorted(samples, key=lambda each: abs(each.y - self.question.wanted))[:2]
        told = "; ".join(
            f"{shown(self.over, x)} gives {self._shown(y)}" for x, y in sorted(nearest)
        )
        what = "whole number" if self._is_whole else "value"
        return f"No {what} gives exactly {self._wanted}.", f"{told}."

    @property
    def _wanted(self) -> str:
        return self._shown(self.question.wanted)

    def _shown(self, si: float) -> str:
        return show(si, self.output.unit)

    def _words(self, stretch: Stretch) -> str:
        if is_same(*stretch):
            return shown(self.over, stretch.start)
        return (
            f"everything from {shown(self.over, stretch.start)} to {shown(self.over, stretch.end)}"
        )


def _stood_in_for(declared: Calculator, over: str) -> set[str]:
    """Return the alternatives that are left aside when `over` is solved for."""
    own = {name for group in declared.one_of if over in group for name in group}
    every = {name for group in declared.one_of for name in group}
    return every - own if own else set()


def _looked_through(over: Input) -> tuple[float, float]:
    """Return the plausible range within the domain, in SI, open ends closed far out."""
    least, most = bounds(over)
    low, high = plausible(over)
    low, high = max(low, least), min(high, most)
    if not math.isfinite(low):
        low = max(least, -abs(high) if math.isfinite(high) else -1e6)
    if not math.isfinite(high):
        high = min(most, max(abs(low), 1.0) * 1e3)
    return low, high


def _whole(way: Way) -> Way:
    """Return a function of whole numbers, without a value between them."""
    return lambda x: way(x) if x % 1.0 == 0.0 else None


def _range(samples: list[Sample]) -> tuple[float, float]:
    values = [each.y for each in samples]
    return min(values), max(values)
