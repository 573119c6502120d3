"""A field's text in its unit: changing the unit changes no value and invents no digit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.calculators.catalogue import all_calculators
from commission.calculators.entry import Entry
from commission.calculators.unit_choices import choices, following, label
from commission.quantities import unit

DECLARED = sorted(
    {each.unit for one in all_calculators() for each in one.inputs}
    | {each.unit for one in all_calculators() for each in one.outputs}
)
NUMBERS = st.from_regex(r"-?(0|[1-9][0-9]{0,6})(\.[0-9]{1,6})?", fullmatch=True)


@pytest.mark.parametrize("declared", DECLARED)
def test_every_unit_offered_measures_the_same_thing(declared: str) -> None:
    dimensions = {unit(each).dimension for each in choices(declared)}
    assert dimensions == {unit(declared).dimension}
    assert choices(declared)[0] == declared
    assert len(set(choices(declared))) == len(choices(declared))


@given(st.sampled_from(DECLARED), NUMBERS, st.integers(0, 9))
def test_through_the_units_and_back_keeps_text_and_value(
    declared: str, text: str, rounds: int
) -> None:
    typed = Entry(text, declared)
    entry, to = typed, declared
    for _ in range(rounds):
        to = following(declared, to)
        entry = entry.in_unit(to)
        assert entry.si() == typed.si()
    assert entry.in_unit(declared) == typed


@given(st.sampled_from(DECLARED), NUMBERS, st.integers(1, 4))
def test_what_is_shown_lies_within_half_a_shown_place_of_the_value(
    declared: str, text: str, steps: int
) -> None:
    to = declared
    for _ in range(steps):
        to = following(declared, to)
    entry = Entry(text, declared).in_unit(to)
    places = len(entry.text.partition(".")[2])
    exact = unit(to).from_si(entry.si())
    assert abs(float(entry.text) - exact) <= 0.5 * 10.0**-places * (1 + 1e-6) + abs(exact) * 1e-12


@pytest.mark.parametrize(
    ("text", "unit_from", "to", "shown"),
    [
        # Factors: BIPM SI brochure and NIST SP 811, appendix B (from memory): 1 in = 25.4 mm,
        # 1 mi = 1609.344 m, 1 lbf = 4.4482216 N, metric horsepower = 735.49875 W, hp = 745.69987 W.
        ("25.4", "mm", "in", "1.000"),
        ("35", "km/h", "mph", "21.7"),
        ("100", "km/h", "m/s", "27.8"),
        ("2", "m", "ft", "6.56"),
        ("2.070", "m", "mm", "2070"),
        ("12", "Nm", "lbf*ft", "8.85"),
        ("10.0", "kW", "hp_metric", "13.6"),
        ("10.0", "kW", "hp", "13.4"),
        ("3000", "r/min", "rad/s", "314.2"),
        ("25", "degC", "K", "298"),
        ("25.0", "degC", "degF", "77.0"),
        ("-40", "degC", "degF", "-40"),
        ("3.277", "Ω/km", "Ω/1000 ft", "0.9988"),
        ("0", "km/h", "mph", "0.0"),
    ],
)
def test_conversions(text: str, unit_from: str, to: str, shown: str) -> None:
    assert Entry(text, unit_from).in_unit(to).text == shown


def test_a_unit_typed_behind_the_number_becomes_the_field_s_own() -> None:
    assert Entry("35 mph", "km/h").with_own_unit(choices("km/h")) == Entry("35", "mph")
    assert Entry("35 furlong/h", "km/h").with_own_unit(choices("km/h")).unit == "km/h"
    assert Entry("35 mph", "km/h").in_unit("mph") == Entry("35", "mph")


def test_what_is_no_number_stays_as_it_was_typed() -> None:
    assert Entry("3,5", "mm").in_unit("in") == Entry("3,5", "in")
    assert Entry("", "mm").in_unit("in") == Entry("", "in")


def test_several_numbers_are_converted_each() -> None:
    entry = Entry("25.4 50.8", "mm").in_unit("in", many=True)
    assert entry.text == "1.000 2.000"
    assert entry.in_unit("mm", many=True).text == "25.4 50.8"


def test_conventions_are_never_turned_into_each_other() -> None:
    assert choices("A_pk") == ("A_pk",)
    assert choices("A_rms") == ("A_rms",)
    assert "J" not in choices("Nm")


def test_units_read_as_people_write_them() -> None:
    assert [label(each) for each in ("degC", "hp_metric", "Nm", "m**2")] == [
        "°C", "hp (metric)", "N·m", "m²",
    ]  # fmt: skip
