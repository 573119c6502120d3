"""Settings lists: what is taken over, and what is said of each line that is not."""

from __future__ import annotations

import pytest

from commission.job.ask import Ask
from commission.job.importing import read_settings

ASKS = (
    Ask("pole_pairs", "Pole pairs", "integer"),
    Ask("phase_limit", "Phase current limit", "quantity", unit="A"),
    Ask("direction", "Direction", "choice", choices=("normal", "inverted")),
    Ask("regen", "Regeneration", "yes_no"),
)


def test_lines_are_taken_as_written_with_their_units() -> None:
    imported = read_settings(
        "name,value,unit\n# as exported\npole_pairs, 8\n\nphase_limit,84.0,A\n", ASKS
    )
    assert imported.given == {"pole_pairs": "8", "phase_limit": "84.0 A"}
    assert imported.faults == ()
    assert [ask.name for ask in imported.missing] == ["direction", "regen"]


def test_a_label_or_another_case_finds_its_setting() -> None:
    imported = read_settings("Pole Pairs,8\nDIRECTION,inverted", ASKS)
    assert imported.given == {"pole_pairs": "8", "direction": "inverted"}


@pytest.mark.parametrize("mark", ["\t", ";"])
def test_lines_pasted_from_a_spreadsheet_are_read(mark: str) -> None:
    assert read_settings(f"pole_pairs{mark}8{mark}", ASKS).given == {"pole_pairs": "8"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("pole_pairs", "line 1: the line has no value"),
        ("\n\npole_pairs,,", "line 3: 'pole_pairs' has an empty value"),
        (",8", "line 1: the name is empty"),
        ("a,b,c,d", "line 1: the line has 4 columns"),
        ("phase_limit,3,5", "line 1: 3,5 looks like a decimal comma; write 3.5"),
        ("pole_pair,8", "line 1: 'pole_pair' is no setting asked for here. Did you mean"),
        ("pole_pairs,8\npole_pairs,9", "line 2: 'pole_pairs' already stands in line 1"),
        ('pole_pairs,"8', "line 1: unexpected end of data"),
        ('{"pole_pairs": 8,\n}', "line 2: not JSON"),
        ('{\n"pole_pairs": null}', "line 2: 'pole_pairs' needs a number"),
        ('[{"name": "regen"}]', "line 1: each item is"),
        ("[3]", "line 1: each item is"),
        ("[" * 100_000, "line 1: the JSON is nested too deeply"),
        ("x" * 1_000_001, "line 1: The text is too long"),
    ],
)
def test_each_fault_names_its_line_and_the_way_out(text: str, said: str) -> None:
    imported = read_settings(text, ASKS)
    assert str(imported.faults[0]).startswith(said)


def test_a_repeated_name_keeps_its_first_value() -> None:
    assert read_settings("pole_pairs,8\npole_pairs,9", ASKS).given == {"pole_pairs": "8"}


def test_json_keeps_the_digits_and_says_yes_and_no() -> None:
    text = '{"phase_limit": 84.0, "regen": true, "direction": "inverted"}'
    assert read_settings(text, ASKS).given == {
        "phase_limit": "84.0",
        "regen": "yes",
        "direction": "inverted",
    }


def test_a_json_list_carries_units_and_line_numbers() -> None:
    text = '[\n {"name": "phase_limit", "value": 84000, "unit": "mA"},\n {"name": "x", "value": 1}]'
    imported = read_settings(text, ASKS)
    assert imported.given == {"phase_limit": "84000 mA"}
    assert imported.faults[0].line == 3
