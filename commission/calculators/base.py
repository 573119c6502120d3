"""How a calculator is declared: inputs, outputs, formula, conventions, source, traps, cautions.

The declaration is the only place where a calculator is described. The command line, the screens,
the checker of procedures and the manual are all made from it.

Rules:
1. A calculator is a plain function on SI floats: no unit, disk, clock or screen inside.
2. Two ranges per input, both in its own unit: the *domain* (at_least, above, at_most, below),
   outside which there is no answer and the calculation is refused, and the *plausible* range (low,
   high), outside which it is computed with a warning.
3. A result is a number, never a permission: what can hurt is said in `cautions`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final, Literal, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Value = float | tuple[float, ...] | str | bool
"""What goes in: an SI float, several, or a choice's text."""
Answer = float | str | bool
"""What comes out: an SI float, a text or a truth."""
Outputs = dict[str, Answer]
"""What a calculator's function gives: every declared output by name, SI."""
Kind = Literal["number", "integer", "choice", "numbers"]
Topic = Literal[
    "battery", "wiring", "motor", "rotor sensors", "driveline", "levers", "temperature sensors",
    "supply", "metrology", "braking", "safety",
]  # fmt: skip

LARGEST: Final = 1e12
"""No input is larger than this in its unit, so that no formula overflows."""


@dataclass(frozen=True, slots=True)
class Input:
    """One thing a calculator asks for."""

    name: str
    """Lower case with underscores; what expressions and the command line say."""
    unit: str
    """The unit it is asked in; empty for a plain number. Its SI value is what is computed with."""
    label: str
    help: str = ""
    low: float = -math.inf
    """Lowest plausible number, in `unit`."""
    high: float = math.inf
    """Highest plausible number, in `unit`."""
    default: float | str | None = None
    """Taken where nothing is given, in `unit`; None: it must be given, unless `optional`."""
    kind: Kind = "number"
    choices: tuple[str, ...] = ()
    """The texts a `choice` can be."""
    optional: bool = False
    """May be left out; the calculator then does without."""
    at_least: float | None = None
    """Domain: smallest possible number, in `unit`."""
    above: float | None = None
    """Domain: every number above this one, in `unit`."""
    at_most: float | None = None
    """Domain: largest possible number, in `unit`."""
    below: float | None = None
    """Domain: every number below this one, in `unit`."""
    count: int = 1
    """For `numbers`: how many there are at least."""

    @property
    def domain(self) -> tuple[float, float]:
        """The smallest and the largest number the formula has an answer for, in `unit`."""
        low, high = -LARGEST, LARGEST
        if self.at_least is not None:
            low = self.at_least
        if self.above is not None:
            low = self.above + _hair(self.above)
        if self.at_most is not None:
            high = self.at_most
        if self.below is not None:
            high = self.below - _hair(self.below)
        return low, high

    def allowed(self) -> str:
        """Return what is allowed, in words: `above 0 and at most 100 %`."""
        if self.kind == "choice":
            return "one of " + ", ".join(self.choices)
        bounds = (
            ("above", self.above), ("at least", self.at_least),
            ("below", self.below), ("at most", self.at_most),
        )  # fmt: skip
        words = [f"{word} {bound:.12g}" for word, bound in bounds if bound is not None]
        if self.at_least is not None and self.at_most is not None:
            words = [f"from {self.at_least:.12g} to {self.at_most:.12g}"]
        text = " and ".join(words) or "any number"
        text = f"{text} {self.unit}".strip() if words else text
        return f"a whole number {text}" if self.kind == "integer" else text


def _hair(bound: float) -> float:
    """Return how far an open bound keeps off: too small to matter, large enough to divide by."""
    return max(abs(bound), 1.0) * 1e-12


@dataclass(frozen=True, slots=True)
class Output:
    """One thing a calculator gives."""

    name: str
    unit: str
    """The unit it is shown in; empty for a plain number, a text or a truth."""
    label: str
    kind: Literal["number", "integer", "text", "truth"] = "number"
    needs: str = ""
    """The optional input it is given with; empty: it is always there."""


@dataclass(frozen=True, slots=True)
class Example:
    """A worked example: what is typed, what comes out, and who says so; a test executes it."""

    inputs: Mapping[str, str]
    outputs: Mapping[str, str]
    """As printed; right to half a unit of the last digit."""
    source: str = "arithmetic"


@dataclass(frozen=True, slots=True)
class Curve:
    """A plot that says more than one number: outputs over one input."""

    over: str
    """The input that varies."""
    outputs: tuple[str, ...]
    low: float
    """Where the plot begins, in the input's unit."""
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class Calculator:
    """A declared calculator; make one with the decorator `calculator`."""

    name: str
    """As typed on the command line: lower case with hyphens."""
    version: int
    """Raised whenever the same inputs would give another result."""
    topic: Topic
    title: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    formula: str
    source: str
    """The document with edition, or the derivation."""
    example: Example
    function: Callable[..., Outputs] = field(repr=False)
    """Takes the inputs in their declared order as SI floats, texts or tuples."""
    conventions: tuple[str, ...] = ()
    traps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    one_of: tuple[tuple[str, ...], ...] = ()
    """Exactly one of these groups of optional inputs is given, and it is given whole."""
    curve: Curve | None = None

    def input(self, name: str) -> Input:
        """Return the input of this name; raise `KeyError` where there is none."""
        found = next((each for each in self.inputs if each.name == name), None)
        if found is None:
            raise KeyError(name)
        return found

    def output(self, name: str) -> Output:
        """Return the output of this name; raise `KeyError` where there is none."""
        found = next((each for each in self.outputs if each.name == name), None)
        if found is None:
            raise KeyError(name)
        return found


class Result(NamedTuple):
    """What a calculation gave; a tuple, since an audit makes millions of them."""

    outputs: Mapping[str, Answer]
    """By output name, SI."""
    warnings: tuple[str, ...]
    """What is implausible; empty where nothing is."""


def calculator(  # noqa: PLR0913  a declaration has as many parts as it has
    *,
    name: str,
    topic: Topic,
    title: str,
    inputs: tuple[Input, ...],
    outputs: tuple[Output, ...],
    formula: str,
    source: str,
    example: Example,
    version: int = 1,
    conventions: tuple[str, ...] = (),
    traps: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
    one_of: tuple[tuple[str, ...], ...] = (),
    curve: Curve | None = None,
) -> Callable[[Callable[..., Outputs]], Calculator]:
    """Return the decorator that turns a function on SI floats into a declared calculator."""

    def declare(function: Callable[..., Outputs]) -> Calculator:
        return Calculator(
            name=name, version=version, topic=topic, title=title, inputs=inputs, outputs=outputs,
            formula=formula, source=source, example=example, function=function,
            conventions=conventions, traps=traps, cautions=cautions, one_of=one_of, curve=curve,
        )  # fmt: skip

    return declare


ABSOLUTE_ZERO: Final = -273.15
"""In degC: the domain of every temperature begins above it."""
NO_PERMISSION: Final = (
    "A result is not a permission: data sheets, local codes and licensed practice decide."
)
"""The caution that calculators of limits and protection share."""
