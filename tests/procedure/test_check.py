"""What is told of whole procedures: names, types, dimensions, order, the proof of settings."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

import pytest

from commission.procedure.check import CHECKS, check, is_usable
from commission.procedure.load import Loaded, load, loads, shipped

if TYPE_CHECKING:
    from collections.abc import Callable

    Marked = Callable[[str], Loaded]

ONE_STAGE = "stages:\n  - id: only\n    title: Only\n    steps:\n"


def steps(text: str, before: str = "") -> str:
    body = textwrap.indent(textwrap.dedent(text).strip("\n"), "      ")
    return textwrap.dedent(before).lstrip() + ONE_STAGE + body + "\n"


SETTING = """
settings:
  - {id: speed, label: Speed, type: quantity, unit: km/h, intended: "25[km/h]"}
"""
PROVED = """
- {kind: read_back, id: found, title: Read the settings, settings: all}
- {kind: write, id: written, title: Write the speed, settings: [speed]}
- {kind: power_cycle, id: cycle, title: Cycle the key, cycle: key, off_for: "10[s]"}
"""


def test_a_sound_procedure_has_nothing_told(checking: Marked) -> None:
    checking(steps(PROVED, SETTING))


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(
            """
            - {kind: confirm, id: a, title: Look}
            - {kind: confirm, id: a, title: Look}     # ! the id stands twice
            - kind: series
              id: b
              title: Measure them
              runs: 3
              columns:
                - {id: x, label: X, unit: V}
                - {id: x, label: X, unit: V}          # ! the id stands twice
            """,
            id="ids",
        ),
        pytest.param(
            """
            - kind: measure
              id: volts
              title: Measure the voltage
              unit: Vv                    # ! not a known unit
            - kind: measure
              id: amps
              title: Measure the current
              unit: A
              instrument: clamp           # ! no such equipment
              when: volts > 3[V]
              limits:
                min: 5                    # ! a number without its unit
                max: 10[V]                # ! gives a voltage
            - kind: measure
              id: more
              title: Measure more
              unit: V
              when: amps                  # ! gives a current
              limits: {target: "9[V]"}    # ! a target without a tolerance
              rests_on: [amp]             # ! Did you mean amps?
            - kind: measure
              id: last
              title: Measure the last
              unit: V
              limits:
                min: amps + 1[V]          # ! adding a current and a voltage
                max: mor * 2              # ! Did you mean more
            """,
            id="names, units and dimensions",
        ),
        pytest.param(
            """
            - kind: measure
              id: heat
              title: Measure the temperature
              unit: degC
              limits:
                target: 25[degC] + 5[K]
                tolerance: 5[degC]        # ! a temperature on a scale
            - kind: measure
              id: again
              title: Measure it again
              unit: degC
              limits: {max: "heat + heat"}       # ! cannot be added
            - kind: measure
              id: volts
              title: Measure the voltage
              unit: V
              limits: {target: "9[V]", tolerance: "5[%]"}
            - kind: measure
              id: crossed
              title: Measure it once more
              unit: V
              limits: {min: "9[V]", max: "8000[mV]"}     # ! lower end above
            - kind: confirm
              id: no_limits
              title: Look
              limits: {max: "9[V]"}       # ! no meaning for confirm
            """,
            id="temperatures and limits",
        ),
        pytest.param(
            """
            - kind: choose
              id: lever
              title: Say which lever is fitted
              options: [none, regen, none]       # ! the same text twice
              good: [regne]                      # ! Did you mean regen?
            - kind: observe
              id: wheel
              title: Watch the wheel
              options: [turns forward, turns backward]
              expected: turns forwards           # ! not an expression
            - kind: observe
              id: wheel_again
              title: Watch the wheel
              options: [turns forward, turns backward]
              expected: "'turns forwards'"       # ! Did you mean 'turns forward'?
            - kind: confirm
              id: x
              title: Look
              when: lever == 'regn'              # ! Did you mean 'regen'?
            - kind: identify
              id: plate
              title: Read the plate
              fields:
                - {id: serial, label: Serial, pattern: "(a+)+"}   # ! a pattern
                - {id: part, label: Part, expected: "3[V]"}       # ! gives a voltage
            """,
            id="choices",
        ),
        pytest.param(
            """
            - kind: calculate
              id: none
              title: Compute it
              calculator: wheel-sped             # ! no calculator
            - kind: calculate
              id: drop
              title: Compute the drop
              calculator: voltage-drop
              inputs:
                curent: 3[A]                     # ! no input of this name
              judge: dorp                        # ! no output of this name
            - kind: confirm
              id: uses_gap
              title: Look
              when: none.speed > 3[km/h]
            """,
            id="calculators",
        ),
        pytest.param(
            """
            - kind: measure
              id: volts
              title: Measure the voltage
              unit: V
              limits: {is: true}                 # ! a reading is a number
            - kind: calculate
              id: isolation
              title: Compute the isolation
              calculator: isolation-resistance
              inputs: {voltage: volts, topology: "'combined'"}
              judge: passes                      # ! given only with the input measured
              limits: {is: true}
            - kind: calculate
              id: isolation_again
              title: Compute the isolation
              calculator: isolation-resistance
              inputs: {voltage: volts, topology: "'combined'", measured: "60[kΩ]"}
              judge: passes
              limits: {min: "1[V]"}              # ! is yes or no
            - kind: calculate
              id: bond
              title: Compute the bond
              calculator: bonding
              judge: passes
              limits: {is: "'yes'"}              # ! gives text
            - kind: calculate
              id: turning
              title: Compute the direction
              calculator: turning-direction
              judge: direction
              limits: {is: "'forward'", max: 3}  # ! is a text, no number
            - kind: calculate
              id: spread
              title: Compute the spread
              calculator: sensor-spread
              judge: mean
              limits: {is: true}                 # ! mean is a number
            - kind: confirm
              id: look
              title: Look
              when: isolation_again.passes and isolation.passes     # ! Bind measured under inputs
            """,
            id="what calculators give and limits judge",
        ),
        pytest.param(
            """
            - {kind: choose, id: f, title: Choose it, options: [x, y]}
            - {kind: sign_off, id: a, title: Sign the release, meaning: released, when: f == 'x'}
            - {kind: confirm, id: b, title: Look}
            - {kind: sign_off, id: c, title: Sign the release, meaning: released}
            - {kind: confirm, id: d, title: Look}                    # !warning ends the job
            - {kind: confirm, id: e, title: Look}
            """,
            id="after the release",
        ),
        pytest.param(
            """
            - kind: measure
              id: first
              title: Measure it
              unit: V
              limits: {max: second}       # ! used before it has a value
              rests_on: [second]          # ! comes later
            - kind: measure
              id: second
              title: Measure it too
              unit: V
              limits: {max: second}       # ! used before it has a value
              on_fail:
                remedy:
                  - {kind: measure, id: mend, title: Measure, unit: V, when: "second > 1[V]"}
            - kind: measure
              id: third
              title: Measure the third
              unit: V
              limits: {max: mend}         # !warning a value of a remedy step
            """,
            id="order",
        ),
        pytest.param(
            """
            - {kind: confirm, id: a, title: Look, when: 1 > 2}            # ! unreachable
            - {kind: choose, id: c, title: Choose it, options: [x, y]}
            - {kind: confirm, id: d, title: Look, when: "c == 'x' and c == 'y'"}   # ! unreachable
            - {kind: confirm, id: e, title: Look, when: "c == 'x' or c != 'x'"}    # !warning always
            - {kind: measure, id: v, title: Measure it, unit: V}
            - {kind: confirm, id: f, title: Look, when: "v > 3[V] or c == 'x'"}
            - {kind: confirm, id: g, title: Look, when: "v > 3[V] and c not in ('x', 'y')"}  # ! nev
            """,
            id="reachable",
        ),
        pytest.param(
            """
            - kind: sign_off
              id: a
              title: Sign the work
              meaning: done
              role: lead
              hold: lead                  # ! held by the role that signs
            - kind: confirm
              id: b
              title: Look
              on_fail: {then: concession, concession_by: technician}    # ! conceded by the role
            - kind: power_cycle           # ! without a voltage threshold
              id: c
              title: Cycle the power
              cycle: cold
              off_for: 3[V]               # ! gives a voltage
              observe: [b]                # ! no such observation
            - kind: dwell
              id: d
              title: Wait a while
              duration: 10                # ! a number without its unit
            - kind: sweep
              id: e
              title: Sweep the grip
              x: {label: Grip, unit: deg}
              y: {label: Signal, unit: V}
              points: ["0[deg]", 3[V]]    # ! gives a voltage
              slope_min: 1[V] / 1[deg]
              deviation: 1[A]             # ! gives a current
            """,
            id="holds, cycles, waits and sweeps",
        ),
    ],
)  # fmt: skip
def test_steps_are_checked(checking: Marked, text: str) -> None:
    checking(steps(text.replace("3[V]]", "'3[V]']")))


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(
            """
            settings:
              - {id: speed, label: Speed, type: quantity, unit: km/h, intended: "25[km/h]"}
            """
            + ONE_STAGE.replace("\n", "\n            ")
            + """
                  - kind: write
                    id: w
                    title: Write the speed
                    settings: [speed]     # ! never read back as found // not covered by a later
            """,
            id="neither read nor proved",
        ),
    ],
)
def test_written_settings_are_read_before_and_proved_after(checking: Marked, text: str) -> None:
    lines = [line for line in textwrap.dedent(text).splitlines() if line.strip()]
    checking("\n".join(lines) + "\n")


def test_the_order_of_reading_writing_and_proving_counts() -> None:
    read, write, cycle = PROVED.strip().splitlines()
    expected = {
        (read, write, cycle): "",
        (write, read, cycle): "never read back",
        (read, cycle, write): "not covered",
        (cycle, write, read): "never read back",
    }
    for order, words in expected.items():
        loaded = loads(
            "procedure: x\nrevision: 1\ntitle: x\npurpose: x\n" + steps("\n".join(order), SETTING)
        )
        told = " ".join(str(each) for each in check(loaded))
        assert (words in told) if words else not told


@pytest.mark.parametrize(
    "head",
    [
        """
        facts:
          - {id: a, label: A, type: quantity}                     # ! a quantity without a unit
          - {id: b, label: B, type: choice, choices: [x]}         # ! fewer than two
          - {id: c, label: C, type: text, unit: V}                # ! no meaning for text
          - {id: d, label: D, type: integer, range: [9, 3]}       # ! lower end above
          - {id: e, label: E, type: yes_no, default: "3[V]"}      # ! gives a voltage
          - {id: f, label: F, type: choice, choices: [x, y], default: z}   # ! not a declared name
        """,
        """
        takes: 3[V]                                               # ! gives a voltage
        equipment:
          - {id: meter, label: M, kind: m, resolution: "1["}      # ! brackets
        """,
    ],
)
def test_heads_are_checked(checking: Marked, head: str) -> None:
    checking(steps("- {kind: confirm, id: look, title: Look}", head))


def test_only_angles_are_circular(checking: Marked) -> None:
    head = """
    settings:
      - {id: a, label: A, type: quantity, unit: deg, circular: true}
      - {id: b, label: B, type: quantity, unit: V, circular: true}     # ! no angle
      - {id: c, label: C, type: integer, circular: true}               # ! no meaning for integer
    """
    text = """
    - {kind: read_back, id: found, title: Read the settings, settings: all}
    - kind: series
      id: runs
      title: Measure them
      runs: 3
      columns:
        - {id: x, label: X, unit: rad, circular: true}
        - {id: y, label: Y, unit: A, circular: true}                   # ! no angle
    """
    checking(steps(text, head))


def test_intended_values_neither_go_round_nor_come_too_early(checking: Marked) -> None:
    head = """
    settings:
      - {id: a, label: A, type: integer, intended: b.intended}   # ! rests on itself
      - {id: b, label: B, type: integer, intended: a.intended}   # ! rests on itself
      - {id: c, label: C, type: integer, intended: later}
      - {id: d, label: D, type: integer, intended: c.intended}
      - {id: e, label: E, type: integer}
    """
    text = """
    - {kind: read_back, id: found, title: Read the settings, settings: all}
    - kind: write
      id: written
      title: Write the settings
      settings:
        - d     # ! written before later is known
        - e     # ! without an intended value
    - {kind: measure, id: later, title: Count the cells, unit: "1"}
    - {kind: power_cycle, id: cycle, title: Cycle the key, cycle: key, off_for: "10[s]"}
    """
    checking(steps(text, head))


def test_a_column_inside_an_expression_is_told() -> None:
    text = steps('- {kind: confirm, id: a, title: Look, when: "1 > 2 or wrong"}')
    loaded = loads("procedure: x\nrevision: 1\ntitle: x\npurpose: x\n" + text, "f")
    told = check(loaded)[0]
    line = ("procedure: x\nrevision: 1\ntitle: x\npurpose: x\n" + text).splitlines()[told.line - 1]
    assert line[told.column - 1 :].startswith("wrong")


def test_shipped_procedures_have_no_errors() -> None:
    for _, _, file in shipped():
        told = check(load(file))
        assert is_usable(told), [str(each) for each in told if each.is_error]


def test_every_check_has_a_sentence_that_says_what_it_tells() -> None:
    assert len(CHECKS) == len(set(CHECKS))
    for each in CHECKS:
        assert (each.__doc__ or "").split()[0] in ("Tell", "Warn")


def test_a_witness_who_reads_again_is_said_how_near_and_what(checking: Marked) -> None:
    checking(
        steps("""
- kind: confirm
  id: a
  title: Light the lamp
  witness: {alone_after: "30[min]"}  # ! a witness without a hold
- kind: confirm
  id: b
  title: Light the lamp
  hold: witness
  witness: {independent: true}  # ! nothing to read again
- kind: measure
  id: c
  title: Measure it
  unit: V
  hold: lead
  witness: {independent: true}  # ! how near
- kind: measure
  id: d
  title: Measure it
  unit: V
  hold: lead
  witness: {within: "1[V]"}  # ! compared with nothing
- kind: confirm
  id: e
  title: Light the lamp
  hold: lead
  witness: {alone_after: "3[V]"}  # ! expected a time
- kind: measure
  id: f
  title: Measure it
  unit: V
  hold: witness
  witness: {independent: true, within: "2[%]", alone_after: "30[min]"}
""")
    )
