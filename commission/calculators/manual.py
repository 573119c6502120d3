"""Manual pages in Markdown, made from the declarations; the worked example is computed, not copied.

Everything a declaration says stands in a page as text: no character of it becomes markup, a tag, a
link or an escape sequence, in a browser or in a terminal.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from commission.calculators.describe import example_command, usual, ways
from commission.calculators.typed import compute_typed, show_answer, show_value
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from commission.calculators.base import Calculator, Input, Output

_MARKUP: Final = re.compile(r"[\\`*{}\[\]<>|~&$@^]|(?<![^\W_])_|_(?![^\W_])|:(?=//)|(?<=www)\.")
"""What some flavour of Markdown gives a meaning to; an underscore inside a word has none."""
_AT_BEGINNING: Final = re.compile(r"^(\d*)([-#+=.):])")
"""What would begin a list, a heading or a rule."""
_DIGITS: Final = 6


def page(calculator: Calculator) -> str:
    """Return the manual page of a calculator, ending with a line break.

    Raises:
        CalculationError: its worked example has no result.
    """
    head = f"# {_text(calculator.name)}: {_text(calculator.title)}"
    kind = f"{_text(calculator.topic.capitalize())}, version {calculator.version}."
    parts = [head, kind, *_sections(calculator)]
    return "\n\n".join(parts) + "\n"


def index(calculators: Iterable[Calculator]) -> str:
    """Return the first page of a manual: the calculators by topic, each with a link to its page."""
    parts = ["# Calculators"]
    topic = ""
    lines: list[str] = []
    for each in calculators:
        if each.topic != topic:
            parts += ["\n".join(lines)] if lines else []
            topic, lines = each.topic, []
            parts.append(f"## {_text(topic.capitalize())}")
        lines.append(f"- [{_text(each.name)}]({file_name(each)}): {_text(each.title)}")
    return "\n\n".join([*parts, "\n".join(lines)]) + "\n"


def file_name(calculator: Calculator) -> str:
    """Return the name of its page's file; names of calculators have no other characters."""
    return re.sub(r"[^a-z0-9-]", "-", calculator.name) + ".md"


def _sections(calculator: Calculator) -> Iterator[str]:
    """Yield headings and their texts; what can hurt comes first."""
    if calculator.cautions:
        yield "## Before you use it"
        yield _list(calculator.cautions)
    yield "## Inputs"
    header = ("Input", "Unit", "What it is", "Allowed", "Usual", "Left out")
    yield _table(header, [_input_row(calculator, each) for each in calculator.inputs])
    if calculator.one_of:
        yield _text(ways(calculator))
    yield "## Outputs"
    yield _table(("Output", "Unit", "What it is"), [_output_row(each) for each in
                                                    calculator.outputs])  # fmt: skip
    yield "## Formula"
    yield _block(calculator.formula)
    for heading, texts in (("Conventions", calculator.conventions), ("Traps", calculator.traps)):
        if texts:
            yield f"## {heading}"
            yield _list(texts)
    yield "## Worked example"
    yield from _example(calculator)
    yield "## Source"
    yield _text(calculator.source)


def _input_row(calculator: Calculator, each: Input) -> tuple[str, ...]:
    what = f"{each.label}; {each.help}" if each.help else each.label
    alternatives = {name for group in calculator.one_of for name in group}
    left_out = "must be given"
    if each.default is not None:
        default = each.default if isinstance(each.default, str) else f"{each.default:g}"
        left_out = f"{default} {each.unit}".strip()
    elif each.name in alternatives:
        left_out = "an alternative"
    elif each.optional:
        left_out = "done without"
    return each.name, each.unit, what, each.allowed(), usual(each).removeprefix("usual "), left_out


def _output_row(each: Output) -> tuple[str, ...]:
    unit = {"truth": "yes/no", "text": "text"}.get(each.kind, each.unit)
    return each.name, unit, f"{each.label}; given with {each.needs}" if each.needs else each.label


def _example(calculator: Calculator) -> Iterator[str]:
    """Yield the example's command, what goes in and what comes out, beside what its source says."""
    worked = calculator.example
    done = compute_typed(calculator.name, worked.inputs)
    yield _block(example_command(calculator))
    given = [
        (each.name, show_value(each, done.inputs[each.name]),
         "" if each.name in done.typed else "left out")
        for each in calculator.inputs
        if each.name in done.inputs
    ]  # fmt: skip
    yield _table(("Given", "Value", ""), given)
    answers = [
        (each.name, show_answer(each, done.result.outputs[each.name], _DIGITS),
         worked.outputs.get(each.name, ""))
        for each in calculator.outputs
        if each.name in done.result.outputs
    ]  # fmt: skip
    yield _table(("Result", "Computed", "Expected"), answers)
    yield f"Expected by: {_text(worked.source)}."


def _list(texts: Sequence[str]) -> str:
    return "\n".join(f"- {_text(text)}" for text in texts)


def _table(header: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [header, ["---"] * len(header)]
    made = [f"| {' | '.join(cells)} |" for cells in lines]
    made += [f"| {' | '.join(_text(cell) for cell in cells)} |" for cells in rows]
    return "\n".join(made)


def _block(text: str) -> str:
    """Return text as an indented block, in which Markdown knows no markup at all."""
    return "\n".join(f"    {line}" for line in safe_text(text, lines=True).splitlines() or [""])


def _text(text: str) -> str:
    """Return text on one line, with every character that Markdown could take for markup escaped."""
    line = " ".join(safe_text(text).split())
    return _AT_BEGINNING.sub(r"\1\\\2", _MARKUP.sub(r"\\\g<0>", line))
