"""When two values of a setting count as the same."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.job.closeness import given_of, is_relative, is_same, shown, value_of
from commission.job.judge import verdict_of
from commission.job.kinds.cells import check_same
from commission.procedure.model import Setting


def setting(kind: str = "quantity", unit: str | None = "A", **more: Any) -> Setting:
    return Setting.model_validate(
        {"id": "limit", "label": "Limit", "type": kind, "unit": unit, **more}
    )


def amps(typed: str, unit: str = "A") -> dict[str, str]:
    return {"typed": typed, "unit": unit}


@pytest.mark.parametrize(
    ("within", "wanted", "got", "same"),
    [
        (None, amps("100"), amps("100.0"), True),
        (None, amps("100"), amps("100000", "mA"), True),
        (None, amps("0.3"), amps("300", "mA"), True),
        (None, amps("100"), amps("100.1"), False),
        ("0.5[A]", amps("100"), amps("100.5"), True),
        ("0.5[A]", amps("100"), amps("100.6"), False),
        ("500[mA]", amps("100"), amps("99.5"), True),
        ("2[%]", amps("100"), amps("98"), True),
        ("2[%]", amps("100"), amps("97.9"), False),
        ("2[%]", amps("-100"), amps("-102"), True),
        ("step * 2", amps("100"), amps("102"), True),
        ("not_known * 1[A]", amps("100"), amps("101"), False),
    ],
)
def test_numbers_within_the_declared_closeness(
    within: str | None, wanted: Any, got: Any, *, same: bool
) -> None:
    assert is_same(setting(equal_within=within), wanted, got, Known({"step": 1.0})) is same


class Known(dict[str, Any]):
    """Values as a job gives them: a name without one is said so."""

    def __missing__(self, name: str) -> Any:
        from commission.procedure.expression import UnknownValueError

        raise UnknownValueError(name)


def test_percent_of_a_setting_in_percent_means_points() -> None:
    level = setting(unit="%", equal_within="2[%]")
    assert is_same(level, amps("50", "%"), amps("52", "%"), {})
    assert not is_same(level, amps("50", "%"), amps("52.1", "%"), {})
    assert is_relative("2[ % ]", "V")
    assert not is_relative("2[%]", "%")
    assert not is_relative(2, "V")


def test_temperatures_differ_by_kelvin() -> None:
    warm = setting(unit="degC", equal_within="1[K]")
    assert is_same(warm, amps("80", "degC"), amps("81", "degC"), {})
    assert not is_same(warm, amps("80", "degC"), amps("81.1", "degC"), {})


def degrees(typed: str) -> dict[str, str]:
    return amps(typed, "deg")


@pytest.mark.parametrize(
    ("wanted", "got", "same"),
    [("359.9", "0.1", True), ("0.1", "359.9", True), ("358", "1.5", False), ("0", "360", True),
     ("180", "-180", True), ("10", "12.9", True), ("10", "13.1", False)],
)  # fmt: skip
def test_circular_angles_are_compared_the_shorter_way_round(
    wanted: str, got: str, *, same: bool
) -> None:
    angle = setting(unit="deg", equal_within="3[deg]", circular=True)
    assert is_same(angle, degrees(wanted), degrees(got), {}) is same
    record = check_same(angle, degrees(wanted), degrees(got), {}, "").record
    assert (verdict_of(record) == "pass") is same


def test_angles_not_declared_circular_are_plain_numbers() -> None:
    angle = setting(unit="deg", equal_within="3[deg]")
    assert not is_same(angle, degrees("359.9"), degrees("0.1"), {})
    record = check_same(angle, degrees("359.9"), degrees("0.1"), {}, "").record
    assert verdict_of(record) == "fail"


def test_a_full_turn_is_no_difference_even_without_closeness() -> None:
    assert is_same(setting(unit="deg", circular=True), degrees("0"), degrees("360"), {})
    assert not is_same(setting(unit="deg", circular=True), degrees("0"), degrees("0.1"), {})


def test_text_and_truth_are_compared_exactly_and_never_with_one_another() -> None:
    choice = setting("choice", None, choices=["normal", "reversed"])
    assert is_same(choice, "normal", "normal", {})
    assert not is_same(choice, "normal", "reversed", {})
    truth = setting("yes_no", None)
    yes: Any = True
    assert is_same(truth, yes, yes, {})
    assert not is_same(truth, yes, "yes", {})
    assert not is_same(setting(), amps("1"), yes, {})


def test_integers_are_compared_exactly() -> None:
    pairs = setting("integer", "pairs")
    assert is_same(pairs, amps("7", "pairs"), amps("07", "pairs"), {})
    assert not is_same(pairs, amps("7", "pairs"), amps("8", "pairs"), {})


@given(st.integers(-(10**9), 10**9), st.sampled_from(["A", "mA"]))
def test_a_computed_value_is_the_same_as_itself_given_and_read(number: int, unit: str) -> None:
    computed = given_of(number / 1000, unit)
    assert is_same(setting(), computed, computed, {})
    assert value_of(computed) == pytest.approx(number / 1000, rel=1e-9)


def test_givens_as_people_read_them() -> None:
    assert shown(amps("84.0")) == "84.0 A"
    assert shown(given_of(42.857142857, "A")) == "42.86 A"
    assert [shown(given) for given in (True, False, None)] == ["yes", "no", "nothing"]
    assert shown({"name": "photo.jpg", "sha256": "0" * 64, "size": 3}) == "photo.jpg"


def test_a_given_that_is_none_is_refused() -> None:
    with pytest.raises(TypeError, match="no given"):
        value_of(3.5)
    with pytest.raises(TypeError, match="several"):
        given_of((1.0, 2.0), "A")
