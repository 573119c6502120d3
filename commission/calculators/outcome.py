"""What a worksheet gives: answers, remarks beside its fields, or why there is no answer. Pure."""

from __future__ import annotations

import difflib
from dataclasses import dataclass, field
from operator import attrgetter
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from commission.calculators.catalogue import compute
from commission.calculators.inverse import Question, Solution, solve
from commission.calculators.lacking import lacking
from commission.calculators.run import bounds, default_si, plausible
from commission.errors import CalculationError, QuantityError
from commission.quantities import show

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.calculators.base import Answer, Input, Value
    from commission.calculators.worksheet import Worksheet

_NOTHING: Final[Mapping[str, Answer]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Remark:
    """A word on what stands in one field."""

    kind: Literal["refused", "doubtful"]
    text: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """The result of a worksheet."""

    inputs: Mapping[str, Value]
    """SI, defaults included, the solved one too; only what was understood and allowed."""
    remarks: Mapping[str, Remark]
    """By the name of the input, or of the output that a value was asked for."""
    answers: Mapping[str, Answer] = field(default_factory=lambda: _NOTHING)
    """SI; empty where there is no result."""
    missing: tuple[str, ...] = ()
    """Labels of what has to be typed yet."""
    refusal: str = ""
    """Why there is no result, where no single field is at fault."""
    solved: str = ""
    """The input that was solved for."""
    solution: Solution | None = None


def outcome(sheet: Worksheet) -> Outcome:
    """Return what the worksheet gives as it stands; never raises for what was typed."""
    inputs: dict[str, Value] = {}
    remarks: dict[str, Remark] = {}
    for declared in sheet.calculator.inputs:
        try:
            value = _value(sheet, declared)
        except (QuantityError, CalculationError) as error:
            remarks[declared.name] = Remark("refused", error.diagnostics())
            continue
        if value is None:
            continue
        inputs[declared.name] = value
        remark = _remark(declared, value)
        if remark is not None:
            remarks[declared.name] = remark
    if sheet.wanted:
        return _turned_round(sheet, inputs, remarks)
    if any(remark.kind == "refused" for remark in remarks.values()):
        return Outcome(inputs, remarks)
    return _forward(sheet, inputs, remarks)


def _value(sheet: Worksheet, declared: Input) -> Value | None:
    """Return what stands in a field in SI; None where it is left out."""
    entry = sheet.entries[declared.name]
    if entry.is_empty:
        return default_si(declared)
    match declared.kind:
        case "choice":
            return _choice(declared, entry.text.strip())
        case "numbers":
            return entry.several_si()
        case _:
            return entry.si()


def _choice(declared: Input, text: str) -> str:
    """Return the choice that begins as typed, whatever the case."""
    fits = [each for each in declared.choices if each.casefold().startswith(text.casefold())]
    exact = [each for each in fits if each.casefold() == text.casefold()]
    if len(exact or fits) == 1:
        return (exact or fits)[0]
    near = difflib.get_close_matches(text, declared.choices, n=1, cutoff=0.4)
    raise CalculationError(
        f"It is {declared.allowed()}.", f"Did you mean {near[0]}?" if near else ""
    )


def _remark(declared: Input, value: Value) -> Remark | None:
    """Return what is to be said of a value: outside the domain, or outside the usual."""
    if isinstance(value, str | bool):
        return None
    numbers = value if isinstance(value, tuple) else (value,)
    (low, high), (least, most) = bounds(declared), plausible(declared)
    whole = declared.kind != "integer" or all(each % 1.0 == 0.0 for each in numbers)
    if not whole or not all(low <= each <= high for each in numbers):
        return Remark("refused", f"It must be {declared.allowed()}.")
    if len(numbers) < declared.count:
        return Remark("refused", f"{declared.count} or more numbers are needed.")
    if not all(least <= each <= most for each in numbers):
        return Remark("doubtful", f"Not usual; {usual(declared)}.")
    return None


def usual(declared: Input) -> str:
    """Return the plausible range in words, in the declared unit; empty where there is none."""
    low, high = (f"{end:.12g} {declared.unit}".strip() for end in (declared.low, declared.high))
    if declared.low > float("-inf") and declared.high < float("inf"):
        return f"usual is {declared.low:.12g} to {high}"
    if declared.low > float("-inf"):
        return f"usual is from {low}"
    return f"usual is up to {high}" if declared.high < float("inf") else ""


def _forward(
    sheet: Worksheet, inputs: Mapping[str, Value], remarks: Mapping[str, Remark]
) -> Outcome:
    missing = _missing(sheet, inputs)
    if missing:
        return Outcome(inputs, remarks, missing=missing)
    try:
        result = compute(sheet.calculator.name, inputs)
    except CalculationError as error:
        return Outcome(inputs, remarks, refusal=error.diagnostics())
    return Outcome(inputs, remarks, result.outputs)


def _missing(sheet: Worksheet, inputs: Mapping[str, Value], over: str = "") -> tuple[str, ...]:
    """Return what has to be typed yet, `over` being given; alternatives as `this or that`."""
    return lacking(sheet.calculator, {*inputs, over}, attrgetter("label"))


def _turned_round(
    sheet: Worksheet, inputs: Mapping[str, Value], remarks: dict[str, Remark]
) -> Outcome:
    """Solve for the input that was chosen, or for one that has one answer, a usual one first."""
    output = sheet.calculator.output(sheet.wanted)
    try:
        wanted = sheet.wanted_entry.si()
    except QuantityError as error:
        remarks[output.name] = Remark("refused", error.diagnostics())
        return Outcome(inputs, remarks)
    first: Outcome | None = None
    unusual: dict[str, Outcome] = {}
    for over in (sheet.over,) if sheet.over else sheet.solvable():
        tried = _solved(sheet, inputs, remarks, over, wanted)
        if tried.solution is not None:
            if _remark(sheet.calculator.input(over), tried.solution.value) is None:
                return tried
            unusual[over] = tried
        first = first or tried
    for typed_last in reversed(tuple(sheet.entries)):
        if typed_last in unusual:
            return unusual[typed_last]
    return first or Outcome(inputs, remarks, refusal="No input here can be solved for.")


def _solved(
    sheet: Worksheet,
    inputs: Mapping[str, Value],
    remarks: Mapping[str, Remark],
    over: str,
    wanted: float,
) -> Outcome:
    rivals = sheet.rivals(over)
    rest = {name: si for name, si in inputs.items() if name not in {over, *rivals}}
    others = {name: said for name, said in remarks.items() if name not in {over, *rivals}}
    if any(said.kind == "refused" for said in others.values()):
        return Outcome(rest, others, solved=over)
    missing = _missing(sheet, rest, over)
    if missing:
        return Outcome(rest, others, missing=missing, solved=over)
    near = {over: inputs[over]} if over in inputs else {}
    question = Question(sheet.calculator.name, {**rest, **near}, over, sheet.wanted, wanted)
    try:
        solution = solve(question)
        result = compute(sheet.calculator.name, {**rest, over: solution.value})
    except CalculationError as error:
        said = error.diagnostics()
        others[sheet.wanted] = Remark("refused", said)
        return Outcome(rest, others, refusal=said, solved=over)
    declared = sheet.calculator.input(over)
    remark = _remark(declared, solution.value)
    if solution.others:
        also = " and ".join(show(each, declared.unit) for each in solution.others[:2])
        remark = Remark("doubtful", f"Also at {also}, which is not usual.")
    if remark is not None:
        others[over] = remark
    solved = {**rest, over: solution.value}
    return Outcome(solved, others, result.outputs, solved=over, solution=solution)
