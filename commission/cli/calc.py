"""`commission calc`: list the calculators, describe one, compute with one; their manual beside."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Final

import typer

from commission.cli import manual
from commission.cli.exits import Exit
from commission.cli.stderr import say
from commission.safe_text import safe_text

if TYPE_CHECKING:
    from commission.calculators.typed import Calculation
    from commission.calculators.wish import Granted

_FOUND_DIGITS: Final = 6
"""Of an input that was found, as on the screen: enough to compute forward with."""

NameArgument = Annotated[
    str | None,
    typer.Argument(metavar="[NAME]", help="The calculator; without one they are listed."),
]
InputsArgument = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[INPUT=VALUE]...",
        help="As in series=14 full=4.2V; units optional. OUTPUT=VALUE finds the input left out.",
    ),
]
FindOption = Annotated[
    str,
    typer.Option("--find", metavar="INPUT", help="The input to be found, where several could be."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Machine-readable, on one line.")]


def register(app: typer.Typer) -> None:
    """Add the commands `calc` and `manual`."""
    app.command("calc")(calc)
    manual.register(app)


def calc(
    name: NameArgument = None,
    inputs: InputsArgument = None,
    find: FindOption = "",
    as_json: JsonOption = False,
) -> None:
    """List the calculators; describe NAME; compute NAME with INPUT=VALUE, or the other way round.

    With OUTPUT=VALUE the calculation is turned round: the input that was left out is found, as in
    wheel-speed ratio=7.5 rollout=2m road_speed=60. Where several values give it, or none does, that
    is said, with the values.
    """
    from commission.errors import CommissionError

    try:
        if name is None:
            _list(as_json=as_json)
        elif not inputs and not find:
            _describe(name, as_json=as_json)
        else:
            _compute(name, inputs or [], find, as_json=as_json)
    except CommissionError as error:
        say(error.diagnostics())
        raise typer.Exit(Exit.COULD_NOT) from error


def _list(*, as_json: bool) -> None:
    from commission.calculators.catalogue import all_calculators

    if as_json:
        _print_json(
            [{"calculator": each.name, "version": each.version, "topic": each.topic,
              "title": each.title} for each in all_calculators()]
        )  # fmt: skip
        return
    topic = ""
    for each in all_calculators():
        if each.topic != topic:
            print(f"\n{each.topic}" if topic else each.topic)
            topic = each.topic
        print(f"  {each.name:<24}{each.title}")


def _describe(name: str, *, as_json: bool) -> None:
    from commission.calculators.catalogue import get
    from commission.calculators.describe import describe, summary

    declared = get(name)
    if as_json:
        _print_json(summary(declared))
    else:
        print(safe_text(describe(declared), lines=True))


def _compute(name: str, arguments: list[str], find: str, *, as_json: bool) -> None:
    from commission.calculators.catalogue import get
    from commission.calculators.typed import compute_typed
    from commission.calculators.wish import grant, wishes

    declared = get(name)
    typed = _typed(name, arguments)
    granted = grant(name, typed, find) if find or wishes(declared, typed) else None
    done = granted.calculation if granted else compute_typed(name, typed)
    if as_json:
        _print_json(_as_json(done) | ({"found": _found_json(granted)} if granted else {}))
    else:
        _print_result(done, granted)


def _typed(name: str, arguments: list[str]) -> dict[str, str]:
    """Return what was typed by name of input or output."""
    from commission.errors import CalculationError

    typed: dict[str, str] = {}
    for argument in arguments:
        key, equals, value = argument.partition("=")
        if not equals:
            raise CalculationError(
                f"{argument[:60]!r} is no INPUT=VALUE.",
                f"`commission calc {name}` lists its inputs.",
            )
        if key in typed:
            raise CalculationError(f"{key[:60]!r} is given twice.", "Give each input once.")
        typed[key] = value
    return typed


def _print_result(done: Calculation, granted: Granted | None) -> None:
    from commission.calculators.typed import show_answer, show_value

    for caution in done.calculator.cautions:
        print(safe_text(f"! {caution}"))
    for declared in done.calculator.inputs:
        if declared.name in done.inputs:
            shown = show_value(declared, done.inputs[declared.name])
            note = "" if declared.name in done.typed else "  (default)"
            if granted and declared is granted.found:
                shown, note = _found_words(granted), f"  (found for {granted.output.name})"
            print(safe_text(f"  {declared.name:<24}{shown}{note}"))
    for output in done.calculator.outputs:
        if output.name in done.result.outputs:
            shown = show_answer(output, done.result.outputs[output.name])
            print(safe_text(f"= {output.name:<24}{shown}  ({output.label})"))
    for warning in (*done.result.warnings, *(_also(granted) if granted else ())):
        print(safe_text(f"! {warning}"))
    print(safe_text(f"Source: {done.calculator.source}"))


def _found_words(granted: Granted) -> str:
    from commission.quantities import plain_number, unit

    declared = granted.found
    number = unit(declared.unit).from_si(float(granted.calculation.inputs[declared.name]))  # type: ignore[arg-type]  # found inputs are numbers
    return f"{plain_number(number, _FOUND_DIGITS)} {declared.unit}".strip()


def _also(granted: Granted) -> tuple[str, ...]:
    """Return what is to be said of other values that give the same."""
    from commission.quantities import show

    values = " and ".join(show(each, granted.found.unit) for each in granted.others)
    said = f"The same comes of {granted.found.name} {values}, which is not usual."
    return (said,) if granted.others else ()


def _found_json(granted: Granted) -> dict[str, object]:
    from commission.quantities import unit

    found, output = granted.found, granted.output
    return {
        "input": found.name,
        "for": {"output": output.name, "value": unit(output.unit).from_si(granted.wanted),
                "unit": output.unit},
        "also": [unit(found.unit).from_si(each) for each in granted.others],
    }  # fmt: skip


def _as_json(done: Calculation) -> dict[str, object]:
    from commission.quantities import unit

    def valued(declared_unit: str, value: object) -> dict[str, object]:
        if isinstance(value, tuple):
            numbers = [unit(declared_unit).from_si(each) for each in value]
            return {"value": numbers, "unit": declared_unit}
        if isinstance(value, float):
            return {"value": unit(declared_unit).from_si(value), "unit": declared_unit}
        return {"value": value, "unit": declared_unit}

    inputs, outputs, declared = done.inputs, done.result.outputs, done.calculator
    return {
        "calculator": declared.name,
        "version": declared.version,
        "inputs": {
            each.name: valued(each.unit, inputs[each.name])
            for each in declared.inputs
            if each.name in inputs
        },
        "outputs": {
            each.name: valued(each.unit, outputs[each.name])
            for each in declared.outputs
            if each.name in outputs
        },
        "warnings": list(done.result.warnings),
        "cautions": list(declared.cautions),
        "source": declared.source,
    }


def _print_json(data: object) -> None:
    import json

    print(json.dumps(data, ensure_ascii=False))
