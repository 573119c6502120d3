"""Checks of every expression: it can be read, its names exist, its type and dimension are right."""

from __future__ import annotations

import difflib
import re
from typing import TYPE_CHECKING, Final

from commission.errors import QuantityError
from commission.procedure import model
from commission.procedure.expression import with_choices
from commission.procedure.value_types import (
    ExpressionError,
    Number,
    Numbers,
    Text,
    Type,
    dimension_words,
)
from commission.quantities import DIMENSIONLESS, unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from commission.procedure.places import Path
    from commission.procedure.problems import Problem
    from commission.procedure.review import Review
    from commission.procedure.wants import Want

ANGLES: Final = ("deg", "°", "degree", "rad", "mrad", "turn")
"""Units whose value wraps at a full turn."""
_PER_CENT: Final = re.compile(r"\[\s*%\s*\]")


def units(review: Review) -> Iterator[Problem]:
    """Tell every unit that is not known."""
    for path, text in _units(review):
        try:
            unit(text)
        except QuantityError as error:
            yield review.tell(path, error.message.rstrip("."), hint=error.hint)


def angles(review: Review) -> Iterator[Problem]:
    """Tell what is declared circular and is no angle."""
    circular: list[tuple[Path, str | None]] = [
        (("settings", index, "circular"), setting.unit)
        for index, setting in enumerate(review.procedure.settings)
        if setting.circular and setting.type == "quantity"
    ]
    for step, path, *_ in review.steps:
        for index, column in enumerate(step.columns if isinstance(step, model.Series) else ()):
            if column.circular:
                circular.append(((*path, "columns", index, "circular"), column.unit))
    for path, text in circular:
        if text is not None and text not in ANGLES:
            yield review.tell(path, "circular, but no angle", text, f"one of {', '.join(ANGLES)}")


def _units(review: Review) -> Iterator[tuple[Path, str]]:
    for key, things in (("facts", review.procedure.facts), ("settings", review.procedure.settings)):
        for index, thing in enumerate(things):
            if thing.unit is not None:
                yield (key, index, "unit"), thing.unit
    for step, path, *_ in review.steps:
        match step:
            case model.Measure():
                yield (*path, "unit"), step.unit
            case model.Series():
                for index, column in enumerate(step.columns):
                    yield (*path, "columns", index, "unit"), column.unit
            case model.Sweep():
                yield (*path, "x", "unit"), step.x.unit
                yield (*path, "y", "unit"), step.y.unit


def expressions(review: Review) -> Iterator[Problem]:
    """Tell every expression that cannot be read, or whose names, type or dimension are wrong."""
    for want in review.wants:
        parsed = None
        try:
            parsed = with_choices(want.source, want.choices)
            found = parsed.type_in(review.names)
        except ExpressionError as error:
            if parsed is None or not review.is_gap(parsed):
                yield review.tell_expression(want.path, want.source, error)
            continue
        if found_problem := _mismatch(review, want, found):
            yield found_problem


def _mismatch(review: Review, want: Want, found: Type) -> Problem | None:
    """Return why an expression's type is not the one wanted."""
    wanted = want.kind
    if isinstance(found, Number) and (isinstance(wanted, Number) or wanted is None):
        return _wrong_number(review, want, found)
    if wanted is None:
        return review.tell(want.path, "not a number", want.source, "a number")
    if isinstance(found, Numbers) and isinstance(wanted, Numbers):
        if found.dimension == wanted.dimension:
            return None
    elif isinstance(found, Text) and isinstance(wanted, Text):
        return _wrong_text(review, want, found, wanted)
    elif type(found) is type(wanted):
        return None
    hint = ""
    if isinstance(wanted, Text) and not isinstance(found, Text):
        hint = "Quote a text inside the expression: \"'text'\"."
    return review.tell(want.path, f"gives {found}", want.source, str(wanted), hint)


def _wrong_number(review: Review, want: Want, found: Number) -> Problem | None:
    wanted = want.kind
    if want.amount and found.point:
        hint = "Write the difference in K, as in 5[K]."
        return review.tell(want.path, "a temperature on a scale", want.source, "a difference", hint)
    if not isinstance(wanted, Number) or found.dimension == wanted.dimension:
        return None
    share = _PER_CENT.search(str(want.source)) and found.dimension == DIMENSIONLESS
    if want.share and share:
        return None
    expected = dimension_words(wanted.dimension)
    if found.dimension == DIMENSIONLESS and isinstance(want.source, int | float):
        hint = "Write the unit in brackets after the number, as in 3.0[V]."
        return review.tell(want.path, "a number without its unit", want.source, expected, hint)
    return review.tell(want.path, f"gives {found}", want.source, expected)


def _wrong_text(review: Review, want: Want, found: Text, wanted: Text) -> Problem | None:
    """Return the problem of a text that can never be one of the choices."""
    if not found.choices or not wanted.choices or set(found.choices) & set(wanted.choices):
        return None
    near = difflib.get_close_matches(found.choices[0], wanted.choices, n=1, cutoff=0.5)
    listed = ", ".join(f"'{choice}'" for choice in wanted.choices)
    hint = f"Did you mean '{near[0]}'?" if near else ""
    return review.tell(want.path, "not among the choices", want.source, f"one of {listed}", hint)


def ranges(review: Review) -> Iterator[Problem]:
    """Tell ranges and limits whose lower end is above the upper, where both are plain numbers."""
    for key, things in (("facts", review.procedure.facts), ("settings", review.procedure.settings)):
        for index, thing in enumerate(things):
            if thing.range is not None:
                yield from _crossed(review, (key, index, "range"), *thing.range)
    for step, path, *_ in review.steps:
        if step.limits is not None:
            yield from _crossed(review, (*path, "limits"), step.limits.min, step.limits.max)
        if isinstance(step, model.Series):
            for index, column in enumerate(step.columns):
                yield from _crossed(review, (*path, "columns", index), column.min, column.max)
        if isinstance(step, model.Sweep):
            yield from _crossed(review, path, step.slope_min, step.slope_max)


def _crossed(
    review: Review, path: Path, low: model.Expression | None, high: model.Expression | None
) -> Iterator[Problem]:
    below, above = (_constant(review, source) for source in (low, high))
    if below is not None and above is not None and below > above:
        yield review.tell(path, "a lower end above the upper one", f"{low} to {high}")


def _constant(review: Review, source: model.Expression | None) -> float | None:
    parsed = review.parsed(source)
    if parsed is None or parsed.names:
        return None
    try:
        value = parsed.evaluate({})
    except ExpressionError:
        return None
    return float(value) if isinstance(value, int | float) else None
