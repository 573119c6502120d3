"""What holds for any numbers: more current never turns a conflict into a fit, and the like."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commission.crosschecks.base import ORDER, Finding
from commission.crosschecks.run import run

if TYPE_CHECKING:
    from collections.abc import Callable

    Found = Callable[..., Finding]

MORE_IS_WORSE: Final = (
    ("fuse-current", "battery_current_limit", 1.0, 600.0),
    ("cable-current", "battery_current_limit", 1.0, 600.0),
    ("cable-heat", "battery_current_limit", 1.0, 600.0),
    ("pack-current", "battery_current_limit", 1.0, 600.0),
    ("battery-management-current", "battery_current_limit", 1.0, 600.0),
    ("sag-cut-off", "battery_current_limit", 1.0, 5000.0),
    ("battery-limit-reached", "battery_current_limit", 1.0, 600.0),
    ("regeneration-charge", "regen_current_limit", 0.0, 300.0),
    ("regeneration-full-pack", "regen_current_limit", 0.0, 300.0),
    ("regeneration-battery-management", "regen_current_limit", 0.0, 300.0),
    ("phase-motor", "phase_current_limit", 1.0, 900.0),
    ("phase-controller", "phase_current_limit", 1.0, 900.0),
    ("fuse-cable", "fuse_rating", 1.0, 600.0),
    ("cable-short-circuit", "fuse_clearing_time", 0.001, 5.0),
    ("over-speed", "motor_speed_max", 100.0, 15000.0),
    ("electrical-frequency", "motor_speed_max", 100.0, 15000.0),
    ("speed-declared", "speed_limit", 1.0, 160.0),
    ("speed-true", "speed_limit", 1.0, 160.0),
    ("speed-motor", "speed_limit", 1.0, 160.0),
    ("speed-reached", "speed_limit", 1.0, 160.0),
    ("power-level-pack", "power_level", 0.1, 60.0),
    ("power-level-gearing", "power_level", 0.1, 60.0),
)
"""Check, role, and the range in which more of it is never better."""


@pytest.mark.parametrize(("check", "role", "low", "high"), MORE_IS_WORSE)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(data=st.data())
def test_more_never_turns_a_conflict_into_a_fit(
    found: Found, data: st.DataObject, check: str, role: str, low: float, high: float
) -> None:
    less, more = sorted(data.draw(st.tuples(*[st.floats(low, high)] * 2)))
    before, after = (ORDER.index(found(check, **{role: value}).severity) for value in (less, more))
    assert after <= before


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(
    numbers=st.lists(
        st.one_of(st.floats(-1e9, 1e9), st.just(0.0), st.floats(1e-9, 1e3)), min_size=60,
        max_size=80,
    )
)  # fmt: skip
def test_any_numbers_give_findings_and_never_an_exception(
    sound: dict[str, Any], known: Callable[..., Any], numbers: list[float]
) -> None:
    roles = [role for role, value in sound.items() if not isinstance(value, bool | str)]
    wild = {**sound, **dict(zip(roles, numbers, strict=False))}
    wild["motor_pole_pairs"] = wild["pole_pairs"] = abs(int(wild["pole_pairs"])) or 1
    findings = run(known(wild))
    assert len(findings) == len({finding.check.id for finding in findings})


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=30)
@given(gone=st.sets(st.sampled_from(["fuse_rating", "series_cells", "rollout", "speed_limit"])))
def test_knowing_less_never_makes_a_finding_better(
    sound: dict[str, Any], known: Callable[..., Any], gone: set[str]
) -> None:
    whole = {finding.check.id: finding for finding in run(known(sound))}
    less = {finding.check.id: finding for finding in run(known({**sound, **dict.fromkeys(gone)}))}
    for name, finding in less.items():
        assert ORDER.index(finding.severity) <= ORDER.index(whole[name].severity)
