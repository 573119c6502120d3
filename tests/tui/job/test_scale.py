"""The scale says where a value lies without any colour."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from commission.tui.job.scale import Bounds, bar

PACK = Bounds(42.0, 58.8, labels=("42.0 V", "58.8 V"))
NUMBERS = st.floats(-1e6, 1e6, allow_nan=False)


def test_a_value_stands_between_its_limits() -> None:
    line, labels = bar(50.4, PACK, 41)
    assert line.index("├") < line.index("█") < line.index("┤")
    assert abs(line.index("█") - 20) <= 1
    assert labels.split() == ["42.0", "V", "58.8", "V"]


def test_a_value_far_outside_shows_the_side() -> None:
    assert bar(3.0, PACK)[0].startswith("◄")
    assert bar(300.0, PACK)[0].endswith("►")


def test_one_limit_leaves_the_other_side_open() -> None:
    line, labels = bar(0.05, Bounds(None, 0.1, labels=("", "0.1 Ω")))
    assert "├" not in line
    assert line.startswith("═")
    assert line.index("█") < line.index("┤")
    assert labels.strip() == "0.1 Ω"


def test_a_target_is_marked() -> None:
    assert "┼" in bar(None, Bounds(9.0, 11.0, target=10.0))[0]


def test_without_limits_there_is_no_bar() -> None:
    assert bar(3.0, Bounds(None, None)) == ("", "")


@given(NUMBERS, NUMBERS, NUMBERS, st.integers(5, 90))
def test_a_value_within_never_looks_beyond_the_limits(
    first: float, second: float, value: float, width: int
) -> None:
    bounds = Bounds(min(first, second), max(first, second), labels=("a", "b"))
    line, labels = bar(value, bounds, width)
    assert len(line) == width
    assert len(labels) <= width
    if bounds.holds(value):
        assert "█" in line
        left, _, right = line.partition("█")
        assert "┤" not in left
        assert "├" not in right
