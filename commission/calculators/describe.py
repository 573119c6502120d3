"""A calculator's description in a terminal, made from its declaration alone."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from commission.calculators.base import Calculator, Input, Output


_WIDTH: Final = 80
_NAME, _UNIT = 22, 9
"""Widths of the columns before the text of an input or output."""


def describe(calculator: Calculator) -> str:
    """Return what it takes and gives, its formula, source, traps and cautions, as lines."""
    alternatives = {name for group in calculator.one_of for name in group}
    inputs = [_input(each, alternative=each.name in alternatives) for each in calculator.inputs]
    sections: tuple[tuple[str, list[str]], ...] = (
        ("Cautions", [_folded("", text) for text in calculator.cautions]),
        ("Inputs", [*inputs, *([_folded("", ways(calculator))] if calculator.one_of else [])]),
        ("Outputs", [_output(each) for each in calculator.outputs]),
        ("Formula", [_folded("", calculator.formula)]),
        ("Conventions", [_folded("", text) for text in calculator.conventions]),
        ("Traps", [_folded("", text) for text in calculator.traps]),
        ("Source", [_folded("", calculator.source)]),
        ("Example", [_folded("", example(calculator))]),
    )
    lines = [f"{calculator.name}  {calculator.title}"]
    lines.append(f"  {calculator.topic}, version {calculator.version}")
    for heading, texts in sections:
        if texts:
            lines += ["", heading, *texts]
    return "\n".join(lines)


def _folded(columns: str, text: str) -> str:
    """Return a text folded to the narrowest screen, its continuation under its beginning."""
    first = f"  {columns}"
    return textwrap.fill(
        text,
        _WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_long_words=False,
        break_on_hyphens=False,
    )


def example(calculator: Calculator) -> str:
    """Return the worked example as a command and what it gives."""
    outputs = calculator.example.outputs
    given = ", ".join(f"{name} {text}" for name, text in outputs.items())
    return f"{example_command(calculator)}: {given} ({calculator.example.source})"


def example_command(calculator: Calculator) -> str:
    """Return the worked example as it is typed."""
    inputs = calculator.example.inputs
    typed = " ".join(_argument(name, text) for name, text in inputs.items())
    return f"commission calc {calculator.name} {typed}"


def _argument(name: str, text: str) -> str:
    return f"'{name}={text}'" if " " in text else f"{name}={text}"


def ways(calculator: Calculator) -> str:
    """Return which inputs stand for each other, as a sentence; empty where all are needed."""
    groups = [" and ".join(group) for group in calculator.one_of]
    return f"Give either {', or '.join(groups)}." if groups else ""


def _input(declared: Input, *, alternative: bool) -> str:
    notes = [declared.label]
    if declared.help:
        notes.append(declared.help)
    if declared.default is not None:
        shown = declared.default if isinstance(declared.default, str) else f"{declared.default:g}"
        notes.append(f"default {shown} {declared.unit}".strip())
    elif alternative:
        notes.append("an alternative, see below")
    elif declared.optional:
        notes.append("may be left out")
    notes.append(declared.allowed())
    if usual(declared):
        notes.append(usual(declared))
    return _folded(f"{declared.name:<{_NAME}} {declared.unit:<{_UNIT}} ", "; ".join(notes))


def usual(declared: Input) -> str:
    """Return the plausible range in words; empty where any number is."""
    infinity = float("inf")
    low, high = declared.low > -infinity, declared.high < infinity
    if low and high:
        return f"usual {declared.low:.12g} to {declared.high:.12g}"
    if low:
        return f"usual from {declared.low:.12g}"
    return f"usual up to {declared.high:.12g}" if high else ""


def _output(output: Output) -> str:
    note = f"; given with {output.needs}" if output.needs else ""
    unit = {"truth": "yes/no", "text": "text"}.get(output.kind, output.unit)
    return _folded(f"{output.name:<{_NAME}} {unit:<{_UNIT}} ", output.label + note)


def summary(calculator: Calculator) -> dict[str, object]:
    """Return the declaration as plain data: what `--json` prints and a manual can be made from."""
    return {
        "calculator": calculator.name,
        "version": calculator.version,
        "topic": calculator.topic,
        "title": calculator.title,
        "inputs": {
            each.name: {
                "unit": each.unit, "label": each.label, "help": each.help, "kind": each.kind,
                "default": each.default, "optional": each.optional, "choices": list(each.choices),
                "allowed": each.allowed(), "usual": usual(each),
            }
            for each in calculator.inputs
        },
        "one_of": [list(group) for group in calculator.one_of],
        "outputs": {
            each.name: {"unit": each.unit, "label": each.label, "kind": each.kind,
                        "needs": each.needs}
            for each in calculator.outputs
        },
        "formula": calculator.formula,
        "conventions": list(calculator.conventions),
        "traps": list(calculator.traps),
        "cautions": list(calculator.cautions),
        "source": calculator.source,
        "example": {"inputs": dict(calculator.example.inputs),
                    "outputs": dict(calculator.example.outputs),
                    "source": calculator.example.source},
    }  # fmt: skip
