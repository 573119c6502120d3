"""Binding roles in a procedure's head: names, types, dimensions and times, each at its place."""

from __future__ import annotations

import pytest

from commission.procedure.check import check
from commission.procedure.load import loads
from commission.procedure.names import declared

HEAD = """
procedure: trial
revision: 1
title: A trial
purpose: To bind roles.
facts:
  - {id: fuse, label: fuse, type: quantity, unit: A}
  - {id: cells, label: cells, type: integer}
  - {id: stand, label: stand switch, type: yes_no}
settings:
  - {id: battery_limit, label: battery limit, type: quantity, unit: A, intended: 0.75 * fuse}
  - {id: stand_input, label: stand input, type: yes_no, intended: stand}
roles:
  series_cells: cells
"""
STAGES = """
stages:
  - id: only
    title: Only stage
    steps:
      - {id: found, kind: read_back, title: Read all settings, settings: all}
      - {id: set, kind: write, title: Write both, settings: [battery_limit, stand_input]}
      - {id: crossed, kind: cross_check, title: Hold all values against each other}
      - {id: late, kind: measure, title: Read the pack, unit: V}
      - {id: keyed, kind: power_cycle, title: Switch off and on, cycle: key, off_for: "10[s]"}
"""


def told(*bindings: str, stages: str = STAGES) -> list[str]:
    text = f"{HEAD}{''.join(f'  {one}{chr(10)}' for one in bindings)}{stages}"
    return [str(problem) for problem in check(loads(text, "trial.yaml"))]


@pytest.mark.parametrize(
    "binding",
    [
        "fuse_rating: fuse",
        "battery_current_limit: battery_limit",
        "battery_current_limit: battery_limit.written",
        "fuse_rating: min(fuse, 200[A])",
        "stand_switch_enabled: stand_input",
        "stand_switch_fitted: stand",
        "field_weakening: 'false'",
        "cable_area: \"'25'\"",
        "voltage_class_worked_by: B",
        "gear_ratio: 7.5",
    ],
)
def test_a_sound_binding_is_taken_without_a_word(binding: str) -> None:
    assert told(binding) == []


@pytest.mark.parametrize(
    ("binding", "place", "words"),
    [
        ("fuse_ratings: fuse", "trial.yaml:15:", "no such role; got fuse_ratings; Did you mean"),
        ("fuse_rating: fuze", "trial.yaml:15:16", "fuse"),
        ("fuse_rating: cells", "trial.yaml:15:16", "expected a current"),
        ("fuse_voltage: fuse", "trial.yaml:15:17", "expected a voltage"),
        ("battery_current_limit: stand_input", "trial.yaml:15:26", "true or false"),
        ("high_voltage_cutoff: battery_limit", "trial.yaml:15:24", "expected a voltage"),
        ("stand_switch_enabled: fuse", "trial.yaml:15:25", "true or false"),
        ("fuse_rating: 150", "trial.yaml:15:16", "a number without its unit"),
        ("fuse_rating: 150[V] +", "trial.yaml:15:", "150[V] +"),
        ("cable_area: \"'26'\"", "trial.yaml:15:", "not among the choices"),
        ("gear_ratio: [7, 5]", "trial.yaml:15:", ""),
        ("pack_open_voltage: late", "trial.yaml:15:22", "warning: a role that is known only after"),
        ("drag_current: battery_limit\n  lever_regen_current: battery_limit", "trial.yaml:15:17",
         "are two settings"),
    ],
)  # fmt: skip
def test_a_bad_binding_is_told_at_its_place(binding: str, place: str, words: str) -> None:
    problems = told(binding)

    assert problems
    assert any(problem.startswith(place) and words in problem for problem in problems), problems


def test_a_cross_check_without_roles_or_with_unknown_checks_is_told() -> None:
    without = HEAD.replace("roles:\n  series_cells: cells\n", "") + STAGES
    problems = [str(each) for each in check(loads(without, "trial.yaml"))]
    assert any("a cross_check without any role" in problem for problem in problems)

    chosen = STAGES.replace("kind: cross_check,", "kind: cross_check, checks: [fuse-curent],")
    [problem] = told(stages=chosen)
    assert "no such cross-check; got fuse-curent; Did you mean fuse-current" in problem
    assert problem.startswith("trial.yaml:22:")


def test_a_cross_check_makes_its_counts_known_and_a_calculation_what_was_typed() -> None:
    stages = (
        STAGES
        + """
      - {id: drop, kind: calculate, title: Compute the drop, calculator: voltage-drop,
         inputs: {current: fuse}}
"""
    )
    loaded = loads(HEAD + stages)
    assert loaded.procedure is not None, loaded.problems
    names = declared(loaded.procedure)
    assert str(names["crossed.conflicts"]) == "a plain number"
    assert str(names["drop.loop_length"]) == "a length"
    assert "text" in str(names["drop.area"])
    assert "drop.current" not in names


@pytest.mark.parametrize(
    ("unit", "binding", "says"),
    [
        ("A_pk", "phase_current_limit: odd", "a value in A_pk bound as A_rms"),
        ("A_rms", "phase_current_limit_peak: odd", "a value in A_rms bound as A_pk"),
        ("r/min", "electrical_frequency_max: odd", "a value in r/min bound as Hz"),
        ("Hz", "motor_speed_max: odd", "a value in Hz bound as r/min"),
    ],
)
def test_a_value_of_another_convention_of_the_same_dimension_is_an_error(
    unit: str, binding: str, says: str
) -> None:
    fact = f"  - {{id: odd, label: odd one, type: quantity, unit: {unit}}}\nsettings:"
    text = f"{HEAD}  {binding}\n{STAGES}".replace("settings:", fact, 1)
    problems = [str(problem) for problem in check(loads(text, "trial.yaml"))]
    assert len(problems) == 1
    assert says in problems[0]
    turned = text.replace(": odd\n", ": odd * 1\n")
    assert not check(loads(turned, "trial.yaml"))


def test_a_calculators_input_takes_no_value_of_another_convention() -> None:
    step = """
      - {id: heat, kind: calculate, title: Compute the heat, calculator: copper-loss,
         inputs: {current: odd, line_resistance: "10[mΩ]"}}
"""
    fact = "  - {id: odd, label: odd one, type: quantity, unit: A_pk}\nsettings:"
    text = f"{HEAD}{STAGES.rstrip()}{step}".replace("settings:", fact, 1)
    problems = [str(problem) for problem in check(loads(text, "trial.yaml"))]
    assert any("a value in A_pk bound as A_rms" in problem for problem in problems)
    plain = [str(p) for p in check(loads(text.replace("A_pk", "A_rms"), "trial.yaml"))]
    assert len(plain) == len(problems) - 1
