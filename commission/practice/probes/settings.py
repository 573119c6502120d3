"""Settings between a procedure and a controller: by role, in SI inside, as text on the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.job.closeness import value_of
from commission.job.judge_limits import number
from commission.practice.probes.looking import NoAnswerError
from commission.procedure.expression import ExpressionError, UnknownValueError
from commission.procedure.vocabulary import SETTING_WORDS, option_for, outcome_of, role_of
from commission.quantities import unit

if TYPE_CHECKING:
    from commission.job.state import Given
    from commission.practice.bike import Bike
    from commission.practice.build import SettingValue
    from commission.procedure.model import Setting, Valued


def declare(bike: Bike, setting: Setting) -> None:
    """Have the controller hold a setting that the build does not name."""
    bike.controller.declare(role_of(setting), _plausible(setting))


def shown(bike: Bike, setting: Setting) -> str:
    """Return what the screen shows of a setting, in the procedure's unit or choice.

    Raises:
        NoAnswerError: the controller holds what the setting cannot be.
    """
    return text_of(setting, bike.controller.read(role_of(setting)))


def text_of(valued: Valued, value: SettingValue) -> str:
    """Return a held value as it is typed for a fact or a setting.

    Raises:
        NoAnswerError: a value of another kind than the one declared.
    """
    match valued.type, value:
        case "yes_no", bool():
            return "yes" if value else "no"
        case "choice", str():
            return _choice(valued, value)
        case "text", str():
            return value
        case "integer", float() | int() if not isinstance(value, bool):
            return str(round(value))
        case "quantity", float() | int() if not isinstance(value, bool):
            return f"{unit(valued.unit or '').from_si(value):.6g}"
    raise NoAnswerError(f"{valued.label} is held as {value!r}, which is no {valued.type}.")


def held(setting: Setting, given: Given) -> SettingValue:
    """Return what a controller holds for a value that is entered."""
    value = value_of(given)
    if isinstance(value, tuple):
        raise NoAnswerError(f"{setting.label}: several numbers are no value.")
    if isinstance(value, str):
        outcome = outcome_of(SETTING_WORDS.get(role_of(setting), ()), value)
        return value if outcome is None else outcome.name
    return value


def _choice(valued: Valued, value: str) -> str:
    for choice in valued.choices:
        if choice.casefold() == value.casefold():
            return choice
    option = option_for(SETTING_WORDS.get(role_of(valued), ()), value, valued.choices)
    if option is None:
        raise NoAnswerError(
            f"{valued.label} is {value!r}, which is none of {', '.join(valued.choices)}."
        )
    return option


def _plausible(setting: Setting) -> SettingValue:
    if setting.type == "yes_no":
        return False
    if setting.type in ("choice", "text"):
        return setting.choices[0] if setting.choices else ""
    try:
        ends = [number(end, {}) for end in setting.range or ()]
    except (UnknownValueError, ExpressionError):
        ends = []
    known = [end for end in ends if end is not None]
    middle = sum(known) / len(known) if known else 0.0
    return float(round(middle)) if setting.type == "integer" else middle
