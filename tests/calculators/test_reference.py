"""Each outside check value of tests/reference, and what the rows must say of themselves."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import yaml

from commission.calculators import catalogue
from commission.calculators.typed import compute_typed, show_answer
from commission.quantities import parse_reading, unit

if TYPE_CHECKING:
    from commission.calculators.base import Answer, Output

_FOLDER = Path(__file__).parents[1] / "reference"
_STRENGTH = re.compile(
    r"seen|from memory|regression|common practice, no source|computed with [A-Za-z-]+ \d[\d.]*"
)


@dataclass(frozen=True, slots=True)
class Row:
    file: str
    calculator: str
    inputs: dict[str, str]
    expected: dict[str, str]
    tolerance: str
    source: str
    strength: str

    def __str__(self) -> str:
        return f"{self.calculator}({', '.join(f'{k}={v}' for k, v in self.inputs.items())})"


@functools.cache
def rows() -> tuple[Row, ...]:
    found = []
    for path in sorted(_FOLDER.glob("*.yaml")):
        for group in yaml.safe_load(path.read_text(encoding="utf-8")):
            for inputs, expected in group["cases"]:
                found.append(
                    Row(
                        path.name,
                        group["calculator"],
                        {name: str(text) for name, text in inputs.items()},
                        {name: str(text) for name, text in expected.items()},
                        str(group["tolerance"]),
                        group["source"],
                        group["strength"],
                    )
                )
    return tuple(found)


def check(output: Output, value: Answer, expected: str, tolerance: str) -> None:
    """Fail unless the value agrees with what was printed."""
    if output.kind in {"text", "truth"}:
        assert show_answer(output, value) == expected, output.name
        return
    printed = parse_reading(expected, output.unit)
    got = unit(printed.unit).from_si(float(value))
    if tolerance == "digit":
        allowed = printed.resolution * 0.5000001
    elif tolerance.endswith("%"):
        allowed = abs(printed.number) * float(tolerance.rstrip("% ")) / 100
    else:
        allowed = float(tolerance.split(maxsplit=1)[0])
        measured = tolerance.partition(" ")[2]
        if measured and measured != "K":
            allowed = unit(measured).factor * allowed / unit(printed.unit).factor
    assert abs(got - printed.number) <= allowed, f"{output.name}: {got!r}, not {expected}"


@pytest.mark.parametrize("row", rows(), ids=str)
def test_calculator_agrees_with_what_others_printed(row: Row) -> None:
    done = compute_typed(row.calculator, row.inputs)
    for name, expected in row.expected.items():
        check(done.calculator.output(name), done.result.outputs[name], expected, row.tolerance)


@pytest.mark.parametrize("name", catalogue.names())
def test_worked_example_comes_out_as_printed(name: str) -> None:
    declared = catalogue.get(name)
    done = compute_typed(name, declared.example.inputs)
    assert declared.example.outputs
    for output, expected in declared.example.outputs.items():
        check(declared.output(output), done.result.outputs[output], expected, "digit")


def test_rows_say_where_they_are_from_and_how_strong_they_are() -> None:
    for row in rows():
        assert _STRENGTH.fullmatch(row.strength), row
        assert len(row.source) > 8, row
        assert row.expected, row


def test_every_calculator_has_rows() -> None:
    assert {row.calculator for row in rows()} == set(catalogue.names())


def test_regression_values_are_never_the_only_check() -> None:
    better = {row.calculator for row in rows() if row.strength != "regression"}
    assert set(catalogue.names()) - better == set()


def test_what_was_seen_computed_or_agreed_outside_is_not_regression_in_disguise() -> None:
    for row in rows():
        evaluated = row.source.endswith("evaluated") or " evaluated, " in row.source
        assert row.strength == "regression" or not evaluated, row
