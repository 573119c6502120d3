"""Limits, uncertainty and verdicts: what passes, what is marginal, what fails, and the sentence."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.job.judge import Judgement, conclude, judge_again, worst
from commission.job.judge_limits import Bounds, Measured, Shown, bounds, check_bounds, words
from commission.job.judge_uncertainty import expanded, uncertainty
from commission.procedure.model import Equipment, Limits
from commission.quantities import Reading, parse_reading

METER = Equipment(
    id="meter", label="Meter", kind="multimeter", percent=0.5, counts=2, resolution="0.1[V]"
)
VALUES: dict[str, Any] = {"series": 14.0, "pack_full": 58.8, "ambient": 298.15}


def judged(
    typed: str,
    unit: str = "V",
    *,
    instrument: Equipment | None = None,
    values: dict[str, Any] = VALUES,
    **limits: Any,
) -> Judgement:
    reading = parse_reading(typed, unit)
    limit = bounds(Limits(**limits), values, unit)
    measured = Measured(reading.si, str(reading), uncertainty=uncertainty(reading, instrument))
    return conclude([check_bounds(measured, limit, Shown(unit))])


@pytest.mark.parametrize(
    ("typed", "limits", "verdict", "because"),
    [
        ("42.3", {"max": "42[V]"}, "fail", "42.3 V is 0.3 V above the largest allowed 42.0 V."),
        ("41.2", {"min": "42[V]"}, "fail", "41.2 V is 0.8 V below the smallest allowed 42.0 V."),
        ("50", {"min": "42[V]", "max": "58.8[V]"}, "pass", "50 V is good: 42.00 V to 58.80 V."),
        ("58.8", {"max": "series * 4.2[V]"}, "pass", "58.8 V is good: at most 58.80 V."),
        ("42.0", {"min": "series * 3.0[V]"}, "pass", "42.0 V is good: at least 42.00 V."),
        ("59", {"max": "pack_full * 1[V]"}, "fail", "59 V is 0.20 V above"),
        ("42300 mV", {"max": "42[V]"}, "fail", "42300 mV (42.30 V) is 0.30 V above the largest"),
        (
            "5.3",
            {"target": "5[V]", "tolerance": "5[%]"},
            "fail",
            "is 0.050 V above",
        ),
        ("5.2", {"target": "5[V]", "tolerance": "5[%]"}, "pass", "4.750 V to 5.250 V"),
        ("5.2", {"target": "5[V]", "tolerance": "0.1[V]"}, "fail", "above the largest allowed 5.1"),
        ("5.2", {"target": "5[V]", "tolerance": "1[V]", "max": "5.1[V]"}, "fail", "above"),
        ("-0.2", {"min": "0[V]"}, "fail", "-0.2 V is 0.2 V below the smallest allowed 0.0 V."),
        ("5", {}, "pass", "5 V."),
    ],
)
def test_limits_and_their_sentences(
    typed: str, limits: dict[str, Any], verdict: str, because: str
) -> None:
    found = judged(typed, **limits)
    assert found.verdict == verdict
    assert because in found.because


def test_temperatures_are_compared_on_their_scale_and_differ_in_kelvin() -> None:
    hot = judged("81.5", "degC", max="80[degC]")
    assert hot.because == "81.5 degC is 1.5 K above the largest allowed 80.0 degC."
    near = judged("28", "degC", target="ambient", tolerance="5[K]", values={"ambient": 298.15})
    assert near.verdict == "pass"
    assert near.because == "28 degC is good: 20.00 degC to 30.00 degC."


def test_limits_that_rest_on_nothing_known_cannot_be_passed() -> None:
    found = judged("5", max="not_there * 1[V]", values={})
    assert found.verdict == "fail"
    assert "not_there" in found.because


def test_limits_that_cannot_be_computed_cannot_be_passed() -> None:
    found = judged("5", max="1[V] / zero", values={"zero": 0.0})
    assert found.verdict == "fail"
    assert "cannot be judged" in found.because


def test_standard_uncertainty_is_the_half_width_over_root_three() -> None:
    """GUM (JCGM 100:2008) H.1.3.4 in the end-gauge example: half-width 0.05 degC, u = 0.029 degC.

    F.2.2.1: a resolution δx gives u = 0.29 δx, the half-width being δx/2 (from memory).
    """
    assert expanded(0.05) / 2 == pytest.approx(0.029, abs=0.0005)
    assert expanded(0.5) / 2 == pytest.approx(0.29, abs=0.005)


def test_uncertainty_follows_from_reading_counts_and_resolution() -> None:
    """±(0.5 % of 42.0 V + 2 counts of 0.1 V) = ±0.41 V; times 2/√3 is 0.473 V."""
    found = uncertainty(Reading("42.0", "V"), METER)
    assert found is not None
    assert found.expanded == pytest.approx(2 * 0.41 / math.sqrt(3))
    plain = Equipment(id="m", label="Meter", kind="multimeter", counts=2)
    typed = uncertainty(Reading("42.00", "mV"), plain)
    assert typed is not None
    assert typed.expanded == pytest.approx(2 * 0.02e-3 / math.sqrt(3))


def test_percentage_of_a_temperature_is_of_the_number_displayed() -> None:
    probe = Equipment(id="probe", label="Probe", kind="thermometer", percent=1.0)
    found = uncertainty(Reading("50.0", "degC"), probe)
    assert found is not None
    assert found.expanded == pytest.approx(2 * 0.5 / math.sqrt(3))


def test_no_stated_accuracy_means_no_uncertainty_and_a_simple_verdict() -> None:
    bare = Equipment(id="meter", label="Meter", kind="multimeter")
    assert uncertainty(Reading("42.0", "V"), bare) is None
    assert judged("42.0", instrument=bare, max="42[V]", decision="guarded").verdict == "pass"


@pytest.mark.parametrize(
    ("typed", "decision", "verdict"),
    [
        ("41.0", "simple", "pass"),
        ("41.6", "simple", "marginal"),
        ("42.0", "simple", "marginal"),
        ("42.1", "simple", "fail"),
        ("41.0", "guarded", "pass"),
        ("41.6", "guarded", "fail"),
        ("42.1", "guarded", "fail"),
    ],
)
def test_marginal_and_guarded_near_the_limit(typed: str, decision: str, verdict: str) -> None:
    """42 V at most, uncertainty about 0.47 V."""
    found = judged(typed, instrument=METER, max="42[V]", decision=decision)
    assert found.verdict == verdict


def test_sentences_near_the_limit_name_the_uncertainty() -> None:
    marginal = judged("41.6", instrument=METER, max="42[V]")
    assert marginal.because == (
        "41.6 V is 0.4 V inside the largest allowed 42.0 V, closer than its uncertainty of 0.47 V."
    )
    guarded = judged("41.6", instrument=METER, max="42[V]", decision="guarded")
    assert guarded.because.endswith("(guarded decision).")


def test_guard_band_of_a_published_example() -> None:
    """Guarded acceptance by ILAC-G8 style: limits ±0.003 mm, U 0.0010 mm, accepted to ±0.002 mm."""
    half_width = 0.0010 * math.sqrt(3) / 2 / 0.001  # in counts of 0.001 mm
    gauge = Equipment(id="g", label="Gauge", kind="gauge", counts=half_width, resolution="1[um]")
    limits: dict[str, Any] = {"target": "0[mm]", "tolerance": "0.003[mm]", "decision": "guarded"}
    assert judged("0.0017", "mm", instrument=gauge, **limits).verdict == "pass"
    assert judged("0.0020", "mm", instrument=gauge, **limits).verdict == "pass"
    assert judged("0.0025", "mm", instrument=gauge, **limits).verdict == "fail"
    assert judged("-0.0025", "mm", instrument=gauge, **limits).verdict == "fail"


def test_words_of_limits() -> None:
    volts = Shown("V")
    assert words(Bounds(42.0, 58.8), volts) == "42.00 V to 58.80 V"
    assert words(Bounds(42.0, None), volts) == "at least 42.00 V"
    assert words(Bounds(None, 58.8), volts) == "at most 58.80 V"
    assert words(Bounds(), volts) == ""
    assert words(Bounds(unknown="series has no value"), volts) == "not known: series has no value"


def test_worst_verdict_counts_and_only_its_sentences_are_said() -> None:
    assert worst([]) == "pass"
    assert worst(["pass", "fail", "marginal"]) == "fail"
    good = check_bounds(Measured(1.0, name="left"), Bounds(0, 2), Shown("V"))
    bad = check_bounds(Measured(3.0, name="right"), Bounds(0, 2), Shown("V"))
    both = conclude([good, bad])
    assert both.verdict == "fail"
    assert both.because.startswith("right 3.000 V is")
    assert "left" not in both.because


NUMBERS = st.floats(-1e6, 1e6).map(lambda x: round(x, 3))
WIDTHS = st.floats(0, 1e5).map(lambda x: round(x, 3))
U = st.none() | st.floats(0, 1e3)


def verdict(
    value: float, low: float | None, high: float | None, u: float | None, decision: str = "simple"
) -> str:
    return judge_again(
        {
            "rule": 1,
            "checks": [
                {"check": "bounds", "value": value, "low": low, "high": high,
                 "uncertainty": u, "decision": decision}
            ],
        }
    )  # fmt: skip


@given(NUMBERS, NUMBERS, WIDTHS, U, st.sampled_from(["simple", "guarded"]))
def test_verdict_is_the_same_in_the_mirror(
    value: float, low: float, width: float, u: float | None, decision: str
) -> None:
    high = low + width
    assert verdict(value, low, high, u, decision) == verdict(-value, -high, -low, u, decision)


@given(NUMBERS, NUMBERS, WIDTHS, WIDTHS, WIDTHS, U, st.sampled_from(["simple", "guarded"]))
def test_narrower_limits_never_make_a_verdict_better(
    value: float,
    low: float,
    width: float,
    left: float,
    right: float,
    u: float | None,
    decision: str,
) -> None:
    order = ["pass", "marginal", "fail"]
    wide = verdict(value, low - left, low + width + right, u, decision)
    narrow = verdict(value, low, low + width, u, decision)
    assert order.index(narrow) >= order.index(wide)


@given(
    st.integers(-999_999, 999_999),
    st.integers(-999_999, 999_999),
    st.integers(0, 9999),
    st.sampled_from(["simple", "guarded"]),
    st.sampled_from([None, METER]),
)
def test_verdict_does_not_depend_on_the_unit_typed(
    millivolts: int, low: int, width: int, decision: str, meter: Equipment | None
) -> None:
    limits: dict[str, Any] = {
        "min": f"{low}[mV]",
        "max": f"{low + width}[mV]",
        "decision": decision,
    }
    volts = f"{millivolts / 1000:.3f} V"
    one = judged(f"{millivolts} mV", instrument=meter, **limits)
    other = judged(volts, instrument=meter, **limits)
    assert one.verdict == other.verdict


@given(
    st.integers(-9999, 9999),
    st.integers(-9999, 9999),
    st.integers(0, 999),
    st.sampled_from([None, METER]),
)
def test_the_record_alone_leads_to_the_same_verdict(
    value: int, low: int, width: int, meter: Equipment | None
) -> None:
    found = judged(
        f"{value / 100:.2f}",
        instrument=meter,
        min=f"{low / 100}[V]",
        max=f"{(low + width) / 100}[V]",
    )
    kept = json.loads(json.dumps(found.judged, allow_nan=False))
    assert judge_again(kept) == found.verdict


def test_a_record_judged_by_unknown_rules_is_not_judged_again() -> None:
    with pytest.raises(ValueError, match="rule 99"):
        judge_again({"rule": 99, "checks": []})
