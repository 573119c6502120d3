"""How a calculation is told, wherever it stands: in a step's card or on the Calculators screen."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.calculators.typed import show_answer
from commission.calculators.unit_choices import label
from commission.quantities import show_number, unit

if TYPE_CHECKING:
    from collections.abc import Mapping

    from commission.calculators.base import Answer, Calculator, Output

NO_PERMISSION: Final = "A result is not a permission."
DIGITS: Final = 4


def answer_lines(calculator: Calculator, answers: Mapping[str, Answer]) -> list[str]:
    """Return one line per output that was given, in declared units."""
    return [
        f"{output.label} = {show_answer(output, answers[output.name])}"
        for output in calculator.outputs
        if output.name in answers
    ]


def number_in(output: Output, value: Answer, to: str) -> tuple[str, str]:
    """Return an answer in the unit `to` as the text and the unit's label; no unit for texts."""
    if isinstance(value, str | bool):
        return show_answer(output, value), ""
    if output.kind == "integer":
        return f"{unit(to).from_si(value):.0f}", label(to)
    return show_number(unit(to).from_si(value), DIGITS), label(to)


def cautions_of(calculator: Calculator, *, in_full: bool = False) -> str:
    """Return the cautions as one text; the sentence no result is without is always there.

    `in_full` keeps what follows that sentence in the declaration: who decides instead.
    """
    short = NO_PERMISSION.removesuffix(".")
    full = next((each for each in calculator.cautions if each.startswith(short)), NO_PERMISSION)
    said = [each for each in calculator.cautions if not each.startswith(short)]
    return " ".join([*said, full if in_full else NO_PERMISSION])


def paragraphs(calculator: Calculator) -> tuple[tuple[str, str], ...]:
    """Return what stands behind a result, each under its word."""
    parts = (
        ("Formula", calculator.formula),
        ("Note", cautions_of(calculator)),
        ("Reads", "\n".join(calculator.conventions)),
        ("Traps", "\n".join(f"- {each}" for each in calculator.traps)),
        ("Source", calculator.source),
    )
    return tuple((word, text) for word, text in parts if text)
