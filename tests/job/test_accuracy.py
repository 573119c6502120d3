"""How accurate an instrument is, as written and as used."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.errors import RefusedError
from commission.job.accuracy import Range, check_ranges, parse_range, parse_ranges, range_of
from commission.job.instrument import Citable
from commission.job.judge_uncertainty import uncertainty
from commission.quantities import Reading

METER = parse_ranges(
    "6 V: 0.5 % + 2 counts of 0.001; 60 V: 0.5 % + 2 counts of 0.01; 600 V: 1 % + 3 counts of 0.1;"
    "600 mA: 1.5 % + 3 counts of 0.1"
)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("60 V: 0.5 % + 2 counts of 0.01", "60 V: 0.5 % + 2 counts of 0.01"),
        ("60V:0.5%+2 digits of 0.01", "60 V: 0.5 % + 2 counts of 0.01"),
        ("60 V: ±(0.5% + 2 counts) of 0.01", "60 V: 0.5 % + 2 counts of 0.01"),
        ("0 to 200 Nm: 4 %", "0 to 200 Nm: 4 %"),
        ("-20 to 150 degC: 1 % + 5 counts of 0.1", "-20 to 150 degC: 1 % + 5 counts of 0.1"),
        ("5 m: 1 count of 0.001", "5 m: 1 counts of 0.001"),
    ],
)
def test_a_range_is_read_as_data_sheets_write_it(text: str, shown: str) -> None:
    assert str(parse_range(text)) == shown


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "none"),
        ("60 V", "none"),
        ("60 V: good", "none"),
        ("60 vlots: 1 %", "vlots"),
        ("60 to 20 V: 1 %", "holds nothing"),
        ("150 degC: 1 %", "one end only"),
        ("60 V: 120 %", "no accuracy"),
        ("60 V: 1 % + 2 counts of 900", "one count"),
        ("6" * 400 + " V: 1 %", "none"),
        ("\x1b[2J60 V: 1 %", "none"),
    ],
)
def test_what_is_no_range_is_refused_with_an_example(text: str, says: str) -> None:
    with pytest.raises(RefusedError, match=says):
        parse_range(text)


@given(
    high=st.floats(0.1, 1e6).map(lambda x: float(f"{x:.6g}")),
    percent=st.floats(0, 100).map(lambda x: float(f"{x:.4f}")),
    counts=st.integers(0, 100),
    share=st.sampled_from([None, 1e-4, 1e-3, 1e-2]),
)
def test_a_range_that_is_shown_can_be_typed_and_recorded(
    high: float, percent: float, counts: int, share: float | None
) -> None:
    resolution = None if share is None else float(f"{high * share:.4f}") or None
    one = Range("V", -high, high, percent, float(counts), resolution)
    if percent or counts:
        assert parse_range(str(one)) == one
    assert Range.from_record(one.as_record()) == one


@pytest.mark.parametrize(
    ("typed", "unit", "used"),
    [
        ("5.012", "V", "6 V"),
        ("48.10", "V", "60 V"),
        ("48.1", "V", "600 V"),  # not read on the range that shows hundredths
        ("-48.10", "V", "60 V"),
        ("84.0", "V", "600 V"),
        ("48", "V", "60 V"),  # digits were left out: the narrowest that holds it
        ("48100", "mV", "60 V"),
        ("0.2504", "A", "600 mA"),
    ],
)
def test_the_range_used_holds_the_value_and_shows_its_digits(
    typed: str, unit: str, used: str
) -> None:
    found = range_of(METER, Reading(typed, unit))
    assert found is not None
    assert found.ends == used


@pytest.mark.parametrize(("typed", "unit"), [("700.0", "V"), ("10", "Ω"), ("20", "degC")])
def test_no_range_is_used_where_none_holds_the_reading(typed: str, unit: str) -> None:
    assert range_of(METER, Reading(typed, unit)) is None
    assert Citable("dmm", "multimeter", "meter", "1", METER).cited(Reading(typed, unit)) | {
        "range": None, "percent": None, "counts": None, "count": None,
    } == Citable("dmm", "multimeter", "meter", "1", METER).cited(Reading(typed, unit))  # fmt: skip


def test_the_uncertainty_is_that_of_the_range_used() -> None:
    reading = Reading("48.10", "V")
    cited = Citable("dmm", "multimeter", "meter", "4711", METER).cited(reading)
    found = uncertainty(reading, None, cited)
    assert found is not None
    # Half-width 0.5 % of 48.10 V and 2 x 0.01 V; U = 2 a/√3 (JCGM 100:2008, 4.3.7 and 6.2).
    assert found.expanded == pytest.approx(2 * (0.005 * 48.10 + 0.02) / math.sqrt(3))
    assert (found.source["stated_by"], found.source["serial"]) == ("register", "4711")


def test_ranges_are_few_and_not_alike() -> None:
    with pytest.raises(RefusedError, match="twice"):
        parse_ranges("60 V: 1 %; 60 V: 2 %")
    with pytest.raises(RefusedError, match="too many"):
        check_ranges([Range("V", 0, high, 1) for high in range(1, 40)])
    assert parse_ranges("") == ()
