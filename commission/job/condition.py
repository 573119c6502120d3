"""Whether a step's condition rules it out, and the reason in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.closeness import shown
from commission.job.state import Status
from commission.job.values import VALUE, values
from commission.procedure.expression import ExpressionError, UnknownValueError, parse
from commission.quantities import show_number

if TYPE_CHECKING:
    from commission.job.state import Given, JobState
    from commission.procedure.model import Expression


def not_applicable_because(state: JobState, condition: Expression) -> str:
    """Return why a condition rules its step out, with the values it used; empty where it does not.

    A condition that rests on a step that is itself not applicable rules out too. One that rests on
    something not known for another reason does not: then the step is done, which is the safe side.
    """
    expression = parse(condition)
    try:
        holds = expression.evaluate(values(state))
    except UnknownValueError as error:
        root = error.name.partition(".")[0]
        stands = state.steps.get(root)
        if stands is not None and stands.status is Status.NOT_APPLICABLE:
            return f"{root} is not applicable"
        return ""
    except ExpressionError:
        return ""
    if holds:
        return ""
    used = [_in_words(state, name) for name in sorted(expression.names)]
    return " and ".join(used) or f"{condition} is never true"


def _in_words(state: JobState, name: str) -> str:
    value = values(state).get(name)
    given = _given(state, name)
    if given is not None:
        return f"{name} is {_quoted(given)}"
    if isinstance(value, float):
        return f"{name} is {show_number(value)}"
    return f"{name} is {'not known' if value is None else _quoted(value)}"


def _quoted(given: Given) -> str:
    return f"'{given}'" if isinstance(given, str) else shown(given)


def _given(state: JobState, name: str) -> Given:
    """Return what a person gave under a name, which keeps its unit; None where it was computed."""
    root, _, rest = name.partition(".")
    setting = state.settings.get(root)
    if setting is not None:
        held = {"found": setting.found, "written": setting.written}.get(rest)
        return None if held is None else held.given
    stands = state.steps.get(root)
    if stands is None or stands.answer is None:
        return None
    given = stands.answer.parts.get("", {}).get(rest or VALUE)
    return given if isinstance(given, bool | str) or (given and "typed" in given) else None
