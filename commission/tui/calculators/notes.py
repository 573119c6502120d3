"""The words beside and below a form's fields. Pure: a worksheet and its outcome in, texts out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from commission.calculators.outcome import usual
from commission.calculators.unit_choices import label
from commission.calculators.worksheet import SOLVABLE
from commission.quantities import show_number, unit
from commission.tui.calculated import NO_PERMISSION, number_in

if TYPE_CHECKING:
    from commission.calculators.base import Input
    from commission.calculators.outcome import Outcome
    from commission.calculators.worksheet import Worksheet

_USUAL_DIGITS: Final = 3
_AT_A_GLANCE: Final = 3
_WARNING, _ERROR = "bold $text-warning", "bold $text-error"
Note = tuple[str, str]
"""A text and its style."""


def beside_input(sheet: Worksheet, result: Outcome, declared: Input) -> Note:
    """Return the word beside an input: what is wrong first, then what it stands for, then usual."""
    name, entry = declared.name, sheet.entries[declared.name]
    remark = result.remarks.get(name)
    if result.solved == name:
        return _solved(sheet, result)
    if remark is not None and remark.kind == "refused":
        return f"! {_short(declared, remark.text)}", _ERROR
    if remark is not None:
        return f"? {_range(declared, entry.unit)}", _WARNING
    if entry.stands_for is not None:
        return f"typed {entry.source.text} {label(entry.source.unit)}", ""
    said = _empty(sheet, declared) if entry.is_empty else _range(declared, entry.unit)
    return said, "$text-muted"


def _solved(sheet: Worksheet, result: Outcome) -> Note:
    if result.solution is None:
        return "? solved for", _WARNING
    number = _shown(result.solution.value, sheet.entries[result.solved].unit, 6)
    doubt = "  ? not usual" if result.solved in result.remarks else ""
    return f"= {number} gives it{doubt}", "bold $text-success"


def placeholder(sheet: Worksheet, declared: Input) -> str:
    """Return what an empty field shows: the default it stands on."""
    if declared.default is None:
        return ""
    if isinstance(declared.default, str):
        return declared.default
    si = unit(declared.unit).to_si(float(declared.default))
    return _shown(si, sheet.entries[declared.name].unit, 6)


def below_input(result: Outcome, declared: Input) -> Note:
    """Return what is wrong with the input in hand, or two lines: its whole label, its bounds."""
    remark = result.remarks.get(declared.name)
    title = f"{declared.label[:1].upper()}{declared.label[1:]}"
    said = f"{title}: {declared.help}" if declared.help else title
    if remark is not None:
        style = _ERROR if remark.kind == "refused" else _WARNING
        return remark.text, style
    allowed = f"It must be {declared.allowed()}" if _has_domain(declared) else ""
    parts = [part for part in (allowed, usual(declared)) if part]
    more = "F3 goes on to the next one." if declared.kind == "choice" else ""
    sentence = "; ".join(parts)
    sentence = f"{sentence[:1].upper()}{sentence[1:]}." if sentence else ""
    return f"{said}\n{sentence} {more}".rstrip(), "$text-muted"


def below_output(sheet: Worksheet, result: Outcome, name: str) -> Note:
    """Return two lines on the output in hand: how to ask it back, or how that was answered."""
    output = sheet.calculator.output(name)
    title = f"{output.label[:1].upper()}{output.label[1:]}"
    if sheet.wanted != name:
        hint = "" if output.kind in SOLVABLE else " It cannot be asked back."
        ask = f"Type the value you want here, to see what gives it.{hint}"
        return f"{title}\n{ask if not hint else hint.strip()}", "$text-muted"
    remark = result.remarks.get(name)
    if remark is not None and not result.refusal:
        return remark.text, _ERROR
    if result.solution is None:
        return f"{title}\nF4 solves for another input.", "$text-muted"
    solved = sheet.calculator.input(result.solved)
    number = _shown(result.solution.value, sheet.entries[solved.name].unit, 6)
    shown = f"{number} {label(sheet.entries[solved.name].unit)}".strip()
    doubt = result.remarks.get(solved.name)
    also = f" {doubt.text}" if doubt else ""
    return (
        f"Given by {solved.label} = {shown}.{also}\nEnter takes it.  F4 solves for another input.",
        _WARNING if doubt else "bold $text-success",
    )


def state_line(result: Outcome, *, ready: bool) -> Note:
    """Return the line over the results."""
    if not ready:
        return "Loading the units …", "$text-muted"
    if result.refusal:
        return f"No result: {result.refusal}", _ERROR
    wrong = [name for name, remark in result.remarks.items() if remark.kind == "refused"]
    if wrong:
        return "No result: see the field marked with !", _ERROR
    if result.missing:
        return f"No result yet. Type: {'; '.join(result.missing)}", "bold"
    doubted = any(remark.kind == "doubtful" for remark in result.remarks.values())
    said = "Result, of values marked ? that are not usual" if doubted else "Result"
    return said, _WARNING if doubted else "bold"


def at_a_glance(sheet: Worksheet, result: Outcome) -> str:
    """Return the first results on one line, or why there is none."""
    said: list[str] = []
    for output in sheet.calculator.outputs:
        if output.name in result.answers and len(said) < _AT_A_GLANCE:
            number, of = number_in(output, result.answers[output.name], sheet.units[output.name])
            said.append(" ".join(part for part in (number, of, output.label) if part))
    return f"= {' · '.join(said)}" if said else state_line(result, ready=True)[0]


def copied(sheet: Worksheet, result: Outcome) -> str:
    """Return the calculation as plain lines, for the clipboard."""
    declared = sheet.calculator
    lines = [f"{declared.title} ({declared.name}, version {declared.version})"]
    for each in declared.inputs:
        if each.name in result.inputs:
            value = result.inputs[each.name]
            lines.append(f"{each.label}: {_value(sheet, each, value)}")
    for output in declared.outputs:
        if output.name in result.answers:
            number, of = number_in(output, result.answers[output.name], sheet.units[output.name])
            lines.append(f"{output.label} = {number} {of}".rstrip())
    return "\n".join([*lines, f"Formula: {declared.formula}", NO_PERMISSION])


def _value(sheet: Worksheet, declared: Input, value: object) -> str:
    entry = sheet.entries[declared.name].source
    if not entry.is_empty and sheet.wanted == "":
        return f"{entry.text.strip()} {label(entry.unit)}".rstrip()
    if not isinstance(value, float):
        return str(value)
    return f"{_shown(value, entry.unit, 6)} {label(entry.unit)}".rstrip()


def _empty(sheet: Worksheet, declared: Input) -> str:
    rivals = sheet.rivals(declared.name)
    if rivals:
        given = any(not sheet.entries[name].is_empty for name in rivals)
        return "or this instead" if given else "this, or the other"
    if declared.default is not None:
        return "as shown, if empty"
    return "may stay empty" if declared.optional else _range(declared, declared.unit)


def _short(declared: Input, text: str) -> str:
    """Return what is allowed in a few words, or that it is not understood."""
    if not text.startswith("It must be"):
        return "not understood"
    low = declared.above if declared.above is not None else declared.at_least
    high = declared.below if declared.below is not None else declared.at_most
    if low is not None and high is not None:
        words = f"{low:.12g} to {high:.12g}"
    elif low is not None:
        words = f"above {low:.12g}" if declared.above is not None else f"{low:.12g} or more"
    else:
        words = f"up to {high:.12g}" if high is not None else ""
    words = f"{words} {label(declared.unit)}".strip() if words else ""
    return f"whole, {words}".removesuffix(", ") if declared.kind == "integer" else words


def _range(declared: Input, to: str) -> str:
    """Return the usual range in the unit of the field."""
    own = unit(declared.unit)
    ends = []
    for end in (declared.low, declared.high):
        finite = abs(end) != float("inf")
        ends.append(_shown(own.to_si(end), to, _USUAL_DIGITS) if finite else "")
    low, high = ends
    if low and high:
        return f"usual {low} to {high}"
    return f"usual from {low}" if low else f"usual up to {high}" if high else ""


def _has_domain(declared: Input) -> bool:
    bounds = (declared.at_least, declared.above, declared.at_most, declared.below)
    return declared.kind == "choice" or any(bound is not None for bound in bounds)


def _shown(si: float, to: str, digits: int) -> str:
    text = show_number(unit(to).from_si(si), digits)
    return text.rstrip("0").rstrip(".") if "." in text and "e" not in text else text
