"""Applying a calculator: refusals name the input, what was got and what is allowed; doubts warn."""

from __future__ import annotations

import math
import subprocess
import sys
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.calculators import catalogue
from commission.calculators.catalogue import compute
from commission.calculators.run import bounds, default_si
from commission.calculators.typed import compute_typed
from commission.errors import CalculationError

if TYPE_CHECKING:
    from commission.calculators.base import Calculator, Input, Value

ALL = pytest.mark.parametrize("declared", catalogue.all_calculators(), ids=lambda each: each.name)


def _values(declared: Input) -> st.SearchStrategy[Any]:
    """Draw SI values of one input: plausible, anywhere in the domain, and at its ends."""
    if declared.kind == "choice":
        return st.sampled_from(declared.choices)
    low, high = bounds(declared)
    least = max(low, min(0.1, high))
    numbers = st.floats(low, high) | st.floats(least, max(least, min(high, 100.0))) | st.just(low)
    if declared.kind == "integer":
        numbers = st.integers(math.ceil(low), math.floor(min(high, 1000))).map(float)
    if declared.kind == "numbers":
        return st.lists(numbers, min_size=declared.count, max_size=declared.count + 2).map(tuple)
    return numbers


@st.composite
def drawn_inputs(draw: st.DrawFn, declared: Calculator) -> dict[str, Value]:
    group = draw(st.sampled_from(declared.one_of)) if declared.one_of else ()
    grouped = {name for each in declared.one_of for name in each}
    inputs: dict[str, Value] = {}
    for each in declared.inputs:
        if each.name in grouped:
            wanted = each.name in group
        else:
            needed = default_si(each) is None and not each.optional
            wanted = needed or draw(st.booleans())
        if wanted:
            inputs[each.name] = draw(_values(each))
    return inputs


@ALL
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_anywhere_in_its_domain_a_calculator_answers_finitely_or_refuses(
    declared: Calculator, data: st.DataObject
) -> None:
    inputs = data.draw(drawn_inputs(declared))
    try:
        result = compute(declared.name, inputs)
    except CalculationError:
        return
    for output in declared.outputs:
        expected = not output.needs or output.needs in inputs
        assert (output.name in result.outputs) is expected
    assert set(result.outputs) <= {each.name for each in declared.outputs}
    for output in declared.outputs:
        value = result.outputs.get(output.name)
        match output.kind:
            case _ if value is None:
                assert output.needs
            case "truth":
                assert isinstance(value, bool)
            case "text":
                assert isinstance(value, str)
            case _:
                assert isinstance(value, float), output.name
                assert math.isfinite(value), output.name


@ALL
def test_every_input_that_must_be_given_is_asked_for_by_name(declared: Calculator) -> None:
    for each in declared.inputs:
        if default_si(each) is None and not each.optional:
            others = {
                other.name: _plain(other)
                for other in declared.inputs
                if other is not each and not other.optional
            }
            with pytest.raises(CalculationError, match=f"{each.name} is missing") as refusal:
                compute(declared.name, others)
            assert each.label in refusal.value.hint


def _plain(declared: Input) -> Value:
    default = default_si(declared)
    if default is not None:
        return default
    if declared.kind == "choice":
        return declared.choices[0]
    low, high = bounds(declared)
    number = float(math.ceil(low)) if declared.kind == "integer" else min(max(low, 10.0), high)
    return (number,) * declared.count if declared.kind == "numbers" else number


@ALL
def test_numbers_outside_the_domain_are_refused_with_what_is_allowed(declared: Calculator) -> None:
    for each in declared.inputs:
        if each.kind not in {"number", "integer"}:
            continue
        for bad in (math.nan, math.inf, -math.inf, 1e300):
            inputs = {other.name: _plain(other) for other in declared.inputs if not other.optional}
            inputs[each.name] = bad
            with pytest.raises(CalculationError) as refusal:
                compute(declared.name, inputs)
            assert declared.name in refusal.value.message


def test_refusal_names_input_value_and_bound_in_its_own_unit() -> None:
    inputs = {"voltage": 84.0, "capacitance": -3e-3, "resistance": 1e4}
    with pytest.raises(CalculationError) as refusal:
        compute("discharge-time", inputs)
    assert refusal.value.message == (
        "discharge-time: capacitance is -3000 uF; it must be above 0 uF."
    )


def test_whole_numbers_are_asked_for_where_teeth_are_counted() -> None:
    with pytest.raises(CalculationError, match=r"driving_teeth is 13\.5 teeth; .* whole number"):
        compute("reduction", {"driving_teeth": 13.5, "driven_teeth": 48.0})


@pytest.mark.parametrize("bad", ["13", True, None, (13.0,)])
def test_what_is_no_number_is_refused(bad: Any) -> None:
    with pytest.raises(CalculationError, match="driving_teeth is"):
        compute("reduction", {"driving_teeth": bad, "driven_teeth": 48.0})


def test_integers_do_as_well_as_floats() -> None:
    assert compute("reduction", {"driving_teeth": 12, "driven_teeth": 48}).outputs["ratio"] == 4.0


def test_unknown_input_is_refused_with_the_nearest() -> None:
    with pytest.raises(CalculationError, match="no input 'driven_tooth'") as refusal:
        compute("reduction", {"driving_teeth": 12.0, "driven_teeth": 48.0, "driven_tooth": 1.0})
    assert "driven_teeth" in refusal.value.hint


def test_unknown_choice_is_refused_with_what_there_is() -> None:
    with pytest.raises(CalculationError, match="one of dc-separate, ac-separate") as refusal:
        compute("isolation-resistance", {"voltage": 84.0, "topology": "combine"})
    assert refusal.value.hint == "Did you mean combined?"


def test_too_few_numbers_are_refused() -> None:
    with pytest.raises(CalculationError, match="has 1 of at least 2 numbers"):
        compute("sensor-spread", {"angles": (1.0,)})


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({}, "none of its alternatives"),
        ({"motor_speed": 100.0, "speed": 10.0}, "more than one of its alternatives"),
    ],
)
def test_exactly_one_alternative_is_taken(given: dict[str, float], message: str) -> None:
    with pytest.raises(CalculationError, match=message) as refusal:
        compute("wheel-speed", {"ratio": 4.0, "rollout": 2.0, **given})
    assert refusal.value.hint == "Give either motor_speed; or speed."


def test_an_alternative_is_taken_whole() -> None:
    with pytest.raises(CalculationError, match="quadratic is missing"):
        compute("road-load", {"speed": 10.0, "mass": 200.0, "constant": 8.0})


def test_implausible_inputs_warn_and_still_compute() -> None:
    result = compute("pack-voltage", {"series": 3.0})
    assert result.outputs["full_voltage"] == pytest.approx(12.6)
    assert result.warnings == ("The cells in series is 3 cells; usual is 10 to 32 cells.",)


def test_inputs_at_the_ends_of_both_ranges_are_neither_refused_nor_doubted() -> None:
    result = compute("fuse-rating", {
        "current": 500.0, "full_voltage": 140.0, "fuse_voltage": 1000.0, "loading": 90 * 0.01,
    })  # fmt: skip
    assert result.warnings == ()
    assert compute("range", {"energy": 3.6e6, "depth": 100 * 0.01, "consumption": 100.0})


@ALL
def test_registry_gives_what_the_bare_function_gives_and_doubts_no_example(
    declared: Calculator,
) -> None:
    done = compute_typed(declared.name, declared.example.inputs)
    bare = declared.function(*(done.inputs.get(each.name) for each in declared.inputs))
    assert done.result.outputs == bare
    assert done.result.warnings == ()


@pytest.mark.parametrize("bad", [math.nan, math.inf, 1e9, "1", True])
def test_one_bad_number_among_several_is_refused_wherever_it_stands(bad: Any) -> None:
    for place in range(3):
        angles = [1.0, 2.0, 3.0]
        angles[place] = bad
        with pytest.raises(CalculationError, match="angles is"):
            compute("sensor-spread", {"angles": tuple(angles)})


def test_implausible_numbers_among_several_warn_one_by_one() -> None:
    result = compute("supply-budget", {"loads": (10.0, 400.0, 500.0), "input_voltage": 50.0})
    assert len(result.warnings) == 2


def test_plain_and_doubtful_inputs_go_the_same_way() -> None:
    """An implausible input takes the careful way; scaling it back must give the scaled result."""
    plain = compute("rollout", {"distance": 6.0, "turns": 3.0})
    doubtful = compute("rollout", {"distance": 6000.0, "turns": 3000.0})
    assert doubtful.warnings
    assert doubtful.outputs["rollout"] == plain.outputs["rollout"]


def test_neither_listing_nor_importing_calculators_loads_the_unit_registry() -> None:
    code = (
        "import sys\n"
        "from commission.calculators import catalogue\n"
        "from commission.calculators import describe, typed\n"
        "catalogue.names()\n"
        "assert not any(name.startswith('commission.calculators.pack') for name in sys.modules)\n"
        "catalogue.all_calculators()\n"
        "assert not {'pint', 'pydantic', 'yaml', 'numpy'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
