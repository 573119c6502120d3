"""The fault catalogue: what stands in it, how bad files are refused, how a fault makes a build."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.practice.altering import ChangeError, altered, differing, value_at
from commission.practice.faults import Fault, Group, apply, load_faults, shipped
from commission.practice.physics.demo import demo_build

if TYPE_CHECKING:
    from pathlib import Path

SHIPPED = shipped()
HEAD = "catalogue: own\ntitle: Own\nfaults:\n"

DOUBLE = """\
catalogue: own
title: Own
doubles:
  - {id: d, title: D, both: [direction-not-stord, a], severity: damage, effect: E, noticed: N}
"""


def one(changes: str, **more: str) -> str:
    """Return a file with one fault of these changes."""
    rest = "".join(f"    {key}: {value}\n" for key, value in more.items())
    return (
        f"{HEAD}  - id: a\n    title: A\n    group: pack\n    severity: damage\n"
        f"    effect: Something.\n    noticed: Somehow.\n{rest}    changes: {changes}\n"
    )


def told(tmp_path: Path, text: str) -> list[str]:
    """Return the problems of a file, without its folder."""
    file = tmp_path / "own.yaml"
    file.write_text(text, encoding="utf-8")
    return [str(each).replace(f"{tmp_path}/", "") for each in load_faults([file]).problems]


def test_the_shipped_catalogue_has_no_problem() -> None:
    assert [str(each) for each in SHIPPED.problems] == []


def test_every_group_has_faults_and_there_are_enough() -> None:
    singles = [fault for fault in SHIPPED.faults if not fault.double]
    groups = Counter(fault.group for fault in singles)
    assert set(groups) == set(get_args(Group))
    assert len(singles) >= 70
    assert len(SHIPPED.faults) - len(singles) >= 12


def test_few_faults_claim_that_no_bench_can_find_them() -> None:
    beyond = [fault.id for fault in SHIPPED.faults if fault.bench]
    assert len(beyond) <= 0.05 * len(SHIPPED.faults), beyond


@pytest.mark.parametrize("fault", SHIPPED.faults, ids=lambda fault: fault.id)
def test_every_fault_changes_the_demonstrator_where_it_says_so_and_nowhere_else(
    fault: Fault,
) -> None:
    build = demo_build()
    if not fault.possible(build):
        pytest.skip(f"needs {', '.join(fault.needs)}")
    found = set(differing(build, apply(build, fault)))
    # A value that the demonstrator has already is no change: its controller came from another bike.
    assert found <= set(fault.changes) | {"controller.storage.last_file"}
    assert found or all(path.startswith("controller.storage.as_found") for path in fault.changes)


def test_an_expression_sees_the_build_as_it_was() -> None:
    build = demo_build()
    other = altered(build, {"pack.series": "now - 1", "pack.parallel": "pack.series"})
    assert (other.pack.series, other.pack.parallel) == (build.pack.series - 1, build.pack.series)
    assert build.pack.series == 17


def test_names_are_added_and_everything_else_is_replaced() -> None:
    path = "controller.storage.never_stored"
    once = altered(demo_build(), {path: ("direction",)})
    twice = altered(once, {path: ("startup_mode",), "rotor.wire_order": (1, 0, 2)})
    assert twice.controller.storage.never_stored == {"direction", "startup_mode"}
    assert twice.rotor.wire_order == (1, 0, 2)


def test_a_part_inside_a_tuple_or_a_mapping_is_reached() -> None:
    other = altered(
        demo_build(),
        {
            "rotor.sensors.1.state": "dead",
            "meters.multimeter.dead": True,
            "papers.series_cells": "now + 2",
            "controller.storage.clamps.speed_limit": "36[km/h]",
        },
    )
    assert [sensor.state for sensor in other.rotor.sensors] == ["sound", "dead", "sound"]
    assert other.meters["multimeter"].dead
    assert other.papers["series_cells"] == 19
    assert other.controller.storage.clamps["speed_limit"] == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"pack.serie": 3}, "pack has no 'serie'. Did you mean series"),
        ({"pack": 3}, "pack is a whole part"),
        ({"pack.series": 3.5}, "a whole number; got 3.5"),
        ({"pack.series": "now / 0"}, "divides by zero"),
        ({"rotor.sensors.1.state": "'ded'"}, "one of sound, dead"),
        ({"pack.isolator_opens": "pack.series"}, "true or false; got 17"),
        ({"pack.series": "papers.nothing"}, "needs papers.nothing"),
    ],
)
def test_a_change_that_does_not_fit_says_why(changes: dict[str, str | float], said: str) -> None:
    with pytest.raises(ChangeError) as refused:
        altered(demo_build(), changes)
    assert said in refused.value.diagnostics()


def test_a_fault_of_a_part_that_is_not_fitted_is_refused() -> None:
    from dataclasses import replace

    bare = replace(demo_build(), lever=None)
    with pytest.raises(ChangeError, match=r"no lever\.released"):
        altered(bare, {"lever.released": "1[V]"})
    needing = SHIPPED.find("lever-rests-high")
    assert needing is not None
    assert not needing.possible(bare)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        (one("{pack.serie: 3}"), "own.yaml:10:15: pack has no 'serie'; got pack.serie; Did you"),
        (one("{pack.series: now +}"), "own.yaml:10:28: "),
        (one("{pack.series: nwo - 1}"), "own.yaml:10:28: a bike has no 'nwo'"),
        (one("{rotor.sensors.1.state: ded}"), "Did you mean dead?"),
        (one("{pack.isolator_opens: 1}"), "expected true or false"),
        (one("{controller.storage.ignores: direction}"), "expected a list of names"),
        (one("{controller.serial: other}"), "A text is quoted: \"'other'\"."),
        (one("{}"), "own.yaml:10:14: a wrong length in changes"),
        (one("{pack.series: 3}", sverity="damage"), "got sverity; Did you mean severity"),
        (one("{pack.series: 3}", needs="levr"), "Did you mean lever"),
        (one("{pack.series: 3}", bench="hidden"), "cannot, because"),
        (one("{pack.series: 3}", met="turn == 'forward'"), "own.yaml:10:10: a bike has no 'turn'"),
        (one("{pack.series: 3}") + one("{pack.series: 3}").removeprefix(HEAD), "stands already"),
        (DOUBLE, "own.yaml:4:30: no such fault"),
        ("faults: [", "not readable as YAML"),
    ],
)  # fmt: skip
def test_a_bad_file_is_told_at_its_place(tmp_path: Path, text: str, problem: str) -> None:
    found = told(tmp_path, text)
    assert any(problem in each for each in found), found
    assert all(each.startswith("own.yaml") for each in found)


def test_two_faults_that_change_the_same_value_cannot_be_joined(tmp_path: Path) -> None:
    text = one("{pack.series: now - 1}") + (
        "  - {id: b, title: B, group: pack, severity: damage, effect: E, noticed: N, "
        "changes: {pack.series: now + 1}}\n"
        "doubles:\n  - {id: d, title: D, both: [a, b], severity: damage, effect: E, noticed: N}\n"
    )
    assert told(tmp_path, text) == ["own.yaml:13:29: both faults change pack.series; got a, b"]


def test_a_file_that_is_not_there_is_a_problem(tmp_path: Path) -> None:
    found = load_faults([tmp_path / "none.yaml"])
    assert found.faults == ()
    assert "no such file" in str(found.problems[0])


@given(st.text(max_size=200))
def test_any_text_gives_problems_and_no_traceback(text: str) -> None:
    from commission.practice.fault_files import _one

    part = _one(text, "any.yaml")
    assert part.catalogue is None
    assert part.problems


def test_a_double_fault_has_the_changes_and_needs_of_both() -> None:
    double = SHIPPED.find("hot-fan-and-cool-sensor")
    assert double is not None
    assert double.double
    assert double.needs == ("fan",)
    assert set(double.changes) == {"cooling.fan_works", "temperature.controller_offset"}
    other = apply(demo_build(), double)
    assert value_at(other, "cooling.fan_works") is False
