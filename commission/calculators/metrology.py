"""How good a reading is: accuracy, repeatability, combined uncertainty, guarded decisions."""

from __future__ import annotations

import math
from typing import Final

from commission.calculators.base import Curve, Example, Input, Output, Outputs, calculator
from commission.calculators.coverage import t_factor
from commission.errors import CalculationError

_PROBABILITY = Input("probability", "%", "coverage probability", above=0, below=100, default=95,
                     low=90, high=99.9)  # fmt: skip
_ANY_UNIT = "all in one unit, whichever it is"


@calculator(
    name="meter-accuracy",
    version=2,
    topic="metrology",
    title="Accuracy of a meter: per cent of reading and counts",
    inputs=(
        Input("reading", "", "reading", _ANY_UNIT),
        Input("percent", "%", "per cent of the reading", at_least=0, at_most=100, high=5),
        Input("counts", "", "counts of the last digit", at_least=0, at_most=10000, high=50),
        Input("resolution", "", "value of one count in the range in use", above=0),
        Input("range_percent", "%", "per cent of the range", at_least=0, at_most=100, default=0,
              high=5),
        Input("range_end", "", "end of the range in use", at_least=0, default=0),
    ),
    outputs=(
        Output("accuracy", "", "largest error, ±"),
        Output("lowest", "", "lowest true value"),
        Output("highest", "", "highest true value"),
        Output("standard", "", "standard uncertainty"),
    ),
    formula="a = % · |reading| + counts · resolution (+ % · range); u = a/√3",
    conventions=("rectangular distribution",),
    source="GUM 4.3.7 (from memory); 120 V, ±(1 % + 3), 0.1 V: ±1.5 V (seen)",
    traps=("Counts are of the range in use: one range higher they are ten times as much.",
           "Per cent of range is not per cent of reading."),
    example=Example({"reading": "120", "percent": "1 %", "counts": "3", "resolution": "0.1"},
                    {"accuracy": "1.50", "lowest": "118.5", "highest": "121.5"},
                    "a published note on meters (seen)"),
)  # fmt: skip
def meter_accuracy(
    reading: float,
    percent: float,
    counts: float,
    resolution: float,
    range_percent: float,
    range_end: float,
) -> Outputs:
    """Add the parts of the specification."""
    if range_percent and not range_end:
        raise CalculationError(
            "meter-accuracy: there is a per cent of the range and no end of the range.",
            "Give range_end, the largest number of the range in use.",
        )
    error = percent * abs(reading) + counts * resolution + range_percent * range_end
    return {
        "accuracy": error,
        "lowest": reading - error,
        "highest": reading + error,
        "standard": error / math.sqrt(3.0),
    }


@calculator(
    name="repeatability",
    topic="metrology",
    title="Mean, spread and repeatability of repeated readings",
    inputs=(
        Input("readings", "", "readings", _ANY_UNIT, kind="numbers", count=2),
        _PROBABILITY,
    ),
    outputs=(
        Output("mean", "", "mean"),
        Output("deviation", "", "sample standard deviation (n − 1)"),
        Output("mean_deviation", "", "standard deviation of the mean"),
        Output("limit", "", "repeatability limit: two readings differ by less"),
        Output("expanded", "", "expanded uncertainty of the mean"),
        Output("factor", "", "coverage factor t"),
    ),
    formula="s = √(Σ(x − x̄)²/(n − 1)); s/√n; r = t·√2·s; U = t·s/√n",
    source="GUM 4.2; ISO 5725 (2.8·s for many readings, seen)",
    traps=(
        "Σx² − n·x̄² loses all digits of readings that differ in the last one.",
        "2.8·s holds for many readings; five need t = 2.78 and so 3.9·s.",
        "Angles wrap: use sensor-spread for them.",
    ),
    example=Example({"readings": "10000001 10000003 10000002"},
                    {"mean": "10000002", "deviation": "1.000"}, "NIST StRD NumAcc1"),
)  # fmt: skip
def repeatability(readings: tuple[float, ...], probability: float) -> Outputs:
    """Take the squares about the mean."""
    count = len(readings)
    # About the first reading, so that a large common part costs no digits.
    mean = readings[0] + math.fsum(each - readings[0] for each in readings) / count
    deviation = math.sqrt(math.fsum((each - mean) ** 2 for each in readings) / (count - 1))
    factor = t_factor(probability, count - 1)
    return {
        "mean": mean,
        "deviation": deviation,
        "mean_deviation": deviation / math.sqrt(count),
        "limit": factor * math.sqrt(2.0) * deviation,
        "expanded": factor * deviation / math.sqrt(count),
        "factor": factor,
    }


MANY: Final = 1e6
"""Degrees of freedom that stand for a well-known uncertainty."""


@calculator(
    name="combined-uncertainty",
    topic="metrology",
    title="Combined and expanded uncertainty",
    inputs=(
        Input("contributions", "", "standard uncertainties, each times its sensitivity",
              "in one unit, signed", kind="numbers", count=1),
        Input("freedoms", "", "degrees of freedom of each", "well known ones 1000000",
              kind="numbers", optional=True, at_least=1, at_most=MANY),
        Input("correlation", "", "correlation of the first two", at_least=-1, at_most=1,
              default=0),
        _PROBABILITY,
    ),
    outputs=(
        Output("combined", "", "combined standard uncertainty"),
        Output("freedom", "", "effective degrees of freedom"),
        Output("factor", "", "coverage factor t"),
        Output("expanded", "", "expanded uncertainty"),
    ),
    formula="u_c² = Σu_i² + 2·r·u1·u2; ν_eff = u_c⁴/Σ(u_i⁴/ν_i), cut to a whole number; "
    "U = t·u_c",
    source="GUM 5.1, 5.2, G.4; example H.1 (seen)",
    traps=(
        "Leaving a correlation out changes the result: GUM H.2 gives 0.236, without it 0.204.",
        "ν_eff holds for independent contributions.",
    ),
    example=Example(
        {"contributions": "25 16.599 6.7 5.8 3.9 2.88679", "freedoms": "18 2 8 24 5 50",
         "probability": "99 %"},
        {"combined": "31.66", "freedom": "16.75", "factor": "2.92", "expanded": "92.5"},
        "GUM H.1; GTC 1.5.1",
    ),
)  # fmt: skip
def combined_uncertainty(
    contributions: tuple[float, ...],
    freedoms: tuple[float, ...] | None,
    correlation: float,
    probability: float,
) -> Outputs:
    """Add squares, and the one covariance."""
    each_freedom = freedoms or (MANY,) * len(contributions)
    if len(each_freedom) != len(contributions):
        raise CalculationError(
            f"combined-uncertainty: {len(contributions)} contributions and"
            f" {len(each_freedom)} degrees of freedom.",
            "Give one for each contribution, or none.",
        )
    square = math.fsum(each * each for each in contributions)
    if len(contributions) > 1:
        square += 2.0 * correlation * contributions[0] * contributions[1]
    elif correlation:
        raise CalculationError("combined-uncertainty: one contribution correlates with nothing.")
    weights = math.fsum(
        each**4 / freedom for each, freedom in zip(contributions, each_freedom, strict=True)
    )
    square = max(0.0, square)
    freedom = max(1.0, min(square * square / weights, MANY)) if weights else MANY
    factor = t_factor(probability, int(freedom + 1e-9))
    combined = math.sqrt(square)
    return {
        "combined": combined,
        "freedom": freedom,
        "factor": factor,
        "expanded": factor * combined,
    }


@calculator(
    name="guard-band",
    topic="metrology",
    title="Decision with a guard band",
    inputs=(
        Input("nominal", "", "nominal value", _ANY_UNIT),
        Input("tolerance", "", "tolerance, ±", above=0),
        Input("reading", "", "reading"),
        Input("expanded", "", "expanded uncertainty, k = 2", above=0),
        Input("guard", "", "guard band over expanded uncertainty", "1 ILAC-G8, 0 simple, 0.83 "
              "ISO 14253-1", at_least=0, at_most=5, default=1, low=0, high=1.5),
    ),
    outputs=(
        Output("accept_low", "", "lowest acceptable reading"),
        Output("accept_high", "", "highest acceptable reading"),
        Output("verdict", "", "conforming, not proven or not conforming", kind="text"),
        Output("simple", "", "inside the tolerance, uncertainty ignored", kind="truth"),
        Output("probability", "%", "probability that the true value conforms"),
        Output("false_accept", "%", "largest probability of a false accept at the limit"),
    ),
    formula="|x − nominal| ≤ T − r·U; P = Φ((T − d)/u) − Φ((−T − d)/u), u = U/2, d the deviation",
    conventions=("normal distribution, U is two standard uncertainties",),
    source="ILAC-G8, ISO 14253-1, JCGM 106 (figures seen, texts not)",
    traps=(
        "Inside the tolerance is not proven inside: at the limit itself it is a coin toss.",
        "Not proven is not rejected: the uncertainty was too large to say.",
    ),
    curve=Curve("reading", ("probability",), -2, 2),
    example=Example(
        {"nominal": "0", "tolerance": "0.003", "reading": "0.0017", "expanded": "0.0010"},
        {"accept_high": "0.0020", "verdict": "conforming", "probability": "99.53 %"},
        "published decision example (seen); scipy.stats.norm",
    ),
)  # fmt: skip
def guard_band(
    nominal: float, tolerance: float, reading: float, expanded: float, guard: float
) -> Outputs:
    """Shrink the tolerance by the guard band; also say how probable conformance is."""
    band = guard * expanded
    if band > tolerance:
        raise CalculationError(
            f"guard-band: the guard band {band:.4g} is wider than the tolerance {tolerance:.4g};"
            " nothing could be accepted.",
            "A better instrument is needed.",
        )
    deviation = reading - nominal
    standard = expanded / 2.0
    slack = 1e-12 * tolerance
    accepted = abs(deviation) <= tolerance - band + slack
    rejected = abs(deviation) > tolerance + band + slack
    return {
        "accept_low": nominal - tolerance + band,
        "accept_high": nominal + tolerance - band,
        "verdict": "conforming" if accepted else "not conforming" if rejected else "not proven",
        "simple": abs(deviation) <= tolerance + slack,
        "probability": _above(deviation - tolerance, standard)
        - _above(deviation + tolerance, standard),
        "false_accept": _above(2.0 * guard, 1.0),
    }


def _above(distance: float, standard: float) -> float:
    """Return the probability that a normal variate lies above `distance`."""
    return 0.5 * math.erfc(distance / standard / math.sqrt(2.0))
