"""The catalogue: what it lists, and what every declaration must say."""

from __future__ import annotations

import inspect
import re
from typing import TYPE_CHECKING

import pytest

from commission.calculators import catalogue
from commission.calculators.describe import describe, summary
from commission.calculators.run import bounds, plausible
from commission.errors import CalculationError
from commission.quantities import unit

if TYPE_CHECKING:
    from commission.calculators.base import Calculator

ALL = pytest.mark.parametrize("declared", catalogue.all_calculators(), ids=lambda each: each.name)
WANTED = (
    "pack-voltage", "pack-resistance", "pack-sag", "battery-current-limit", "c-rate",
    "charge-limit", "pack-energy", "range", "wire-gauge", "flexible-cable",
    "copper-temperature", "voltage-drop", "cable-short-circuit", "fuse-rating", "fuse-pulse",
    "precharge", "discharge-time", "motor-constants", "electrical-speed", "torque",
    "base-speed", "battery-current", "field-weakening", "overspeed-voltage", "copper-loss",
    "winding-temperature", "phase-resistance", "dq-inductance", "sensor-sequence",
    "sensor-spread", "sector-error", "turning-direction", "reduction", "tyre-size", "rollout",
    "wheel-speed", "wheel-thrust", "gradeability", "road-load", "top-speed", "coast-down",
    "chain-length", "lever-window", "lever-faults", "lever-pair", "lever-linearity",
    "platinum-sensor", "ntc-beta", "ntc-steinhart-hart", "silicon-sensor", "sensor-at-ambient",
    "supply-budget", "fan-power", "meter-accuracy", "repeatability", "combined-uncertainty",
    "guard-band", "braking-distance", "kinetic-energy", "regen-power", "voltage-class",
    "isolation-resistance", "bonding",
)  # fmt: skip


def test_the_whole_catalogue_of_the_trade_is_there() -> None:
    assert sorted(catalogue.names()) == sorted(WANTED)


def test_topics_are_listed_one_after_the_other() -> None:
    topics = [each.topic for each in catalogue.all_calculators()]
    changes = [one for one, other in zip(topics, [*topics[1:], ""], strict=True) if one != other]
    assert len(changes) == len(set(topics))


def test_unknown_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(CalculationError, match="no calculator 'weel-speed'") as refusal:
        catalogue.get("weel-speed")
    assert "wheel-speed" in refusal.value.hint


def test_search_takes_every_word_from_name_topic_title_or_labels() -> None:
    assert [each.name for each in catalogue.find("rotor SPREAD")] == ["sensor-spread"]
    assert {"pack-sag", "pack-voltage"} <= {each.name for each in catalogue.find("battery")}
    assert catalogue.find("no such thing") == ()


@ALL
def test_declaration_is_whole(declared: Calculator) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", declared.name)
    assert declared.version >= 1
    assert len(declared.source) >= 9
    assert declared.formula
    assert declared.title
    names = [each.name for each in declared.inputs] + [each.name for each in declared.outputs]
    assert len(names) == len(set(names))
    assert all(re.fullmatch(r"[a-z][a-z0-9_]{0,47}", name) for name in names)
    for each in declared.inputs:
        unit(each.unit)
        low, high = bounds(each)
        least, most = plausible(each)
        assert low < high
        assert least < most
        assert (each.kind == "choice") == bool(each.choices)
        if isinstance(each.default, int | float):
            assert low <= unit(each.unit).to_si(each.default) <= high
        if each.kind == "choice" and each.default is not None:
            assert each.default in each.choices
    for output in declared.outputs:
        unit(output.unit)
        assert not output.needs or declared.input(output.needs).optional


@ALL
def test_function_takes_the_declared_inputs_in_their_order(declared: Calculator) -> None:
    taken = list(inspect.signature(declared.function).parameters)
    assert taken == [each.name for each in declared.inputs]


@ALL
def test_alternatives_and_curves_name_declared_things(declared: Calculator) -> None:
    for group in declared.one_of:
        assert all(declared.input(name).optional for name in group)
        assert all(declared.input(name).default is None for name in group)
    if declared.curve is not None:
        assert declared.input(declared.curve.over).kind == "number"
        assert all(declared.output(name).kind == "number" for name in declared.curve.outputs)
        assert declared.curve.low < declared.curve.high


@ALL
def test_description_says_everything_of_the_declaration(declared: Calculator) -> None:
    text = describe(declared)
    said = " ".join(text.split())
    for part in (declared.title, declared.formula, declared.source, *declared.traps):
        assert " ".join(part.split()) in said
    for caution in declared.cautions:
        assert said.index(" ".join(caution.split())) < said.index("Inputs ")
    for each in declared.inputs:
        assert each.name in said
    assert max(map(len, text.splitlines())) <= 80
    assert summary(declared)["calculator"] == declared.name


@pytest.mark.parametrize(
    "name",
    ["charge-limit", "regen-power", "fuse-rating", "isolation-resistance", "wheel-speed",
     "overspeed-voltage", "discharge-time", "bonding"],
)  # fmt: skip
def test_calculators_of_limits_say_that_a_result_is_no_permission(name: str) -> None:
    cautions = " ".join(catalogue.get(name).cautions)
    assert "not a permission" in cautions or "does not clear" in cautions


def test_unknown_parts_of_a_declaration_are_key_errors() -> None:
    with pytest.raises(KeyError, match="nothing"):
        catalogue.get("bonding").input("nothing")
    with pytest.raises(KeyError, match="nothing"):
        catalogue.get("bonding").output("nothing")


@pytest.mark.parametrize("declared", catalogue.all_calculators(), ids=lambda each: each.name)
def test_help_of_an_input_stands_on_one_line_of_the_narrowest_screen(declared: Calculator) -> None:
    """80 columns less the margins; what is longer belongs to conventions or traps."""
    cut = [each.name for each in declared.inputs if len(f"{each.label}: {each.help}") > 76]
    assert not cut
