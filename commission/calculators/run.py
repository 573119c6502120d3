"""Applying a calculator to SI values: defaults, domain, plausibility, then the bare function.

Two ways to the same result. `careful` is the rule: it looks at each input in turn and says what is
wrong or doubtful. `quick` is written out once per calculator, as the standard library writes out
the methods of a dataclass; it answers where nothing is wrong or doubtful and hands everything else
to `careful`. An audit recomputes millions, and nearly all of them are plain.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from commission.calculators.base import Calculator, Input, Result, Value
from commission.errors import CalculationError
from commission.quantities import plain_number, unit

_ABSENT: Final = object()
_ROUNDING: Final = 1e-13
"""100 % typed can be 1.0000000000000002 in SI; less than the hair that open bounds keep off."""
_Run = Callable[[Mapping[str, Value]], Result]


@dataclass(frozen=True, slots=True, eq=False)
class _Row:
    """One input with its bounds in SI."""

    declared: Input
    low: float
    high: float
    least: float
    """Lower end of the plausible range."""
    most: float
    default: object
    """SI; None for an optional input, `_ABSENT` for one that must be given."""
    others: tuple[object, ...]
    """What it can be beside a float: a choice's texts, None where it is optional."""


def runner(calculator: Calculator) -> _Run:
    """Return the function that checks SI inputs and computes."""
    rows = tuple(_row(each) for each in calculator.inputs)

    def careful(inputs: Mapping[str, Value]) -> Result:
        _refuse_unknown(calculator, inputs)
        warnings: list[str] = []
        arguments = [_argument(calculator, row, inputs, warnings) for row in rows]
        _check_groups(calculator, inputs)
        try:
            outputs = calculator.function(*arguments)
            if not all(math.isfinite(each) for each in outputs.values() if type(each) is float):
                raise ArithmeticError("not finite")  # noqa: TRY301  joins what the formula raises
            return Result(outputs, tuple(warnings))
        except (ArithmeticError, ValueError) as error:
            raise CalculationError(
                f"{calculator.name}: these inputs have no result ({error}).",
                "Check each number and its unit.",
            ) from error

    return _quick(calculator, rows, careful)


def bounds(declared: Input) -> tuple[float, float]:
    """Return the domain of an input in SI, widened by no more than rounding."""
    measured = unit(declared.unit)
    low, high = (measured.to_si(bound) for bound in declared.domain)
    return low - _ROUNDING * abs(low), high + _ROUNDING * abs(high)


def plausible(declared: Input) -> tuple[float, float]:
    """Return the plausible range of an input in SI, a hair wider than declared."""
    measured = unit(declared.unit)
    slack = 1e-9  # what is typed at the very end of the range is not doubted for its rounding
    least, most = measured.to_si(declared.low), measured.to_si(declared.high)
    return least - slack * abs(least), most + slack * abs(most)


def default_si(declared: Input) -> Value | None:
    """Return the default of an input in SI, or None where it has none."""
    if isinstance(declared.default, float | int):
        return unit(declared.unit).to_si(float(declared.default))
    return declared.default


def shown(declared: Input, value: object) -> str:
    """Return an SI value in the input's unit, for a message."""
    if isinstance(value, bool) or not isinstance(value, float | int):
        return repr(value)[:60]
    number = unit(declared.unit).from_si(value)
    return f"{plain_number(number, 6)} {declared.unit}".strip()


def _row(declared: Input) -> _Row:
    default: object = default_si(declared)
    if default is None and not declared.optional:
        default = _ABSENT
    others = (*declared.choices, *((None,) if declared.optional else ()))
    return _Row(declared, *bounds(declared), *plausible(declared), default, others)


def _quick(calculator: Calculator, rows: tuple[_Row, ...], careful: _Run) -> _Run:
    """Return the written-out function for plain inputs, falling back on `careful`."""
    space: dict[str, object] = {
        "careful": careful,
        "function": calculator.function,
        "knows_all": frozenset(row.declared.name for row in rows).issuperset,
        "make": tuple.__new__,
        "Result": Result,
    }
    fetches, tests, places = [], ["knows_all(inputs)"], {}
    for place, row in enumerate(rows):
        places[row.declared.name] = place
        space[f"low{place}"] = max(row.low, row.least)
        space[f"high{place}"] = min(row.high, row.most)
        space[f"default{place}"] = row.default
        space[f"others{place}"] = row.others
        space[f"inside{place}"] = _all_inside(row)
        fetches.append(f"    a{place} = get({row.declared.name!r}, default{place})\n")
        tests.append(_test(row, place))
    tests += _group_tests(calculator, places)
    arguments = ", ".join(f"a{place}" for place in range(len(rows)))
    source = (
        f"def quick(inputs):\n    get = inputs.get\n{''.join(fetches)}"
        f"    if {' and '.join(tests)}:\n"
        f"        try:\n            return make(Result, (function({arguments}), ()))\n"
        "        except (ArithmeticError, ValueError):\n            pass\n"
        "    return careful(inputs)\n"
    )
    exec(source, space)  # noqa: S102  the text is made of our own declarations only
    quick: _Run = space["quick"]  # type: ignore[assignment]
    return quick


def _test(row: _Row, place: int) -> str:
    """Return the condition under which an argument is plain."""
    value = f"a{place}"
    match row.declared.kind:
        case "choice":
            return f"{value} in others{place}"
        case "numbers":
            many = f"inside{place}({value})"
            return f"({value} is None or {many})" if row.declared.optional else many
        case kind:
            test = f"{value}.__class__ is float and low{place} <= {value} <= high{place}"
            test += f" and {value} % 1.0 == 0.0" if kind == "integer" else ""
            return f"({value} is None or {test})" if row.declared.optional else test


def _all_inside(row: _Row) -> Callable[[object], bool]:
    """Return the test that a tuple holds enough plain floats within both ranges."""
    low, high = max(row.low, row.least), min(row.high, row.most)
    count, only_floats = row.declared.count, {float}

    def inside(values: object) -> bool:
        if (
            not isinstance(values, tuple)
            or len(values) < count
            or set(map(type, values)) != only_floats
        ):
            return False
        # A NaN hides from min and max, never from a sum.
        return not math.isnan(sum(values)) and low <= min(values) and max(values) <= high

    return inside


def _group_tests(calculator: Calculator, places: Mapping[str, int]) -> list[str]:
    """Return the conditions that exactly one group is given, and given whole."""
    if not calculator.one_of:
        return []
    tests = []
    firsts = [f"(a{places[group[0]]} is not None)" for group in calculator.one_of]
    for group in calculator.one_of:
        first = f"(a{places[group[0]]} is None)"
        tests += [f"{first} is (a{places[name]} is None)" for name in group[1:]]
    return [*tests, f"{' + '.join(firsts)} == 1"]


def _argument(
    calculator: Calculator, row: _Row, inputs: Mapping[str, Value], warnings: list[str]
) -> object:
    """Return one input as the function wants it; refuse what is wrong, note what is doubtful."""
    declared = row.declared
    value = inputs.get(declared.name, row.default)
    if value is _ABSENT:
        raise CalculationError(
            f"{calculator.name}: {declared.name} is missing.",
            f"Give the {declared.label}: {declared.allowed()}.",
        )
    if value is None and declared.optional:
        return None
    if declared.kind == "choice":
        return _choice(calculator, declared, value)
    several = value if isinstance(value, tuple | list) and declared.kind == "numbers" else (value,)
    numbers = tuple(_number(calculator, row, each) for each in several)
    if len(numbers) < declared.count:
        raise CalculationError(
            f"{calculator.name}: {declared.name} has {len(numbers)} of at least"
            f" {declared.count} numbers.",
            f"Give {declared.count} or more, separated by spaces.",
        )
    warnings.extend(_doubt(declared, each) for each in numbers if not row.least <= each <= row.most)
    return numbers if declared.kind == "numbers" else numbers[0]


def _choice(calculator: Calculator, declared: Input, value: object) -> str:
    if isinstance(value, str) and value in declared.choices:
        return value
    near = difflib.get_close_matches(str(value), declared.choices, n=1, cutoff=0.4)
    raise CalculationError(
        _sentence(calculator, declared, value), f"Did you mean {near[0]}?" if near else ""
    )


def _number(calculator: Calculator, row: _Row, value: object) -> float:
    declared = row.declared
    wrong_type = isinstance(value, bool) or not isinstance(value, int | float)
    if wrong_type or not row.low <= value <= row.high:  # type: ignore[operator]
        raise CalculationError(_sentence(calculator, declared, value))
    number = float(value)  # type: ignore[arg-type]
    if declared.kind == "integer" and number % 1.0:
        raise CalculationError(_sentence(calculator, declared, value))
    return number


def _sentence(calculator: Calculator, declared: Input, value: object) -> str:
    got = shown(declared, value)
    return f"{calculator.name}: {declared.name} is {got}; it must be {declared.allowed()}."


def _doubt(declared: Input, value: float) -> str:
    span = f"{declared.low:.12g} to {declared.high:.12g} {declared.unit}".strip()
    if declared.low == float("-inf"):
        span = f"at most {declared.high:.12g} {declared.unit}".strip()
    elif declared.high == float("inf"):
        span = f"at least {declared.low:.12g} {declared.unit}".strip()
    return f"The {declared.label} is {shown(declared, value)}; usual is {span}."


def _refuse_unknown(calculator: Calculator, inputs: Mapping[str, Value]) -> None:
    names = [each.name for each in calculator.inputs]
    for name in inputs:
        if name not in names:
            near = difflib.get_close_matches(name, names, n=1, cutoff=0.4)
            known = f"Did you mean {near[0]}?" if near else f"It takes {', '.join(names)}."
            raise CalculationError(f"{calculator.name} has no input {name[:60]!r}.", known)


def _check_groups(calculator: Calculator, inputs: Mapping[str, Value]) -> None:
    """Refuse unless exactly one of the groups of inputs is given, and given whole."""
    if not calculator.one_of:
        return
    begun = [
        group for group in calculator.one_of if any(inputs.get(name) is not None for name in group)
    ]
    ways = "; or ".join(" and ".join(group) for group in calculator.one_of)
    if len(begun) != 1:
        got = "none of its alternatives" if not begun else "more than one of its alternatives"
        raise CalculationError(f"{calculator.name} got {got}.", f"Give either {ways}.")
    lacking = [name for name in begun[0] if inputs.get(name) is None]
    if lacking:
        raise CalculationError(
            f"{calculator.name}: {lacking[0]} is missing.", f"Give either {ways}."
        )
