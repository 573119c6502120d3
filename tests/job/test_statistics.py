"""Statistics of repeated readings agree with published values and with an independent library."""

import math

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st

from commission.calculators.circular import distance
from commission.job.statistics import circular_summary, is_monotonic, line, summary

ANGLES = st.lists(st.floats(0, 2 * math.pi), min_size=2, max_size=20)

# NIST Statistical Reference Datasets, Norris (36 points): certified slope 1.00211681802045,
# intercept -0.262323073774029, R squared 0.999993745883712.
NORRIS = """0.1 0.2 338.8 337.4 118.1 118.2 888.0 884.6 9.2 10.1 228.1 226.5 668.5 666.3 998.5 996.3
449.1 448.6 778.9 777.0 559.2 558.2 0.3 0.4 0.1 0.6 778.1 775.5 668.8 666.9 339.3 338.0 448.9 447.5
10.8 11.6 557.7 556.0 228.3 228.1 998.0 995.8 888.8 887.6 119.6 120.2 0.3 0.3 0.6 0.3 557.6 556.8
339.3 339.1 888.0 887.2 998.5 999.0 778.9 779.0 10.2 11.1 117.6 118.3 228.9 229.2 668.4 669.1
449.2 448.9 0.2 0.5"""


def degrees(*angles: float) -> list[float]:
    return [math.radians(angle) for angle in angles]


def test_mean_and_deviation_survive_a_large_offset() -> None:
    """NIST Statistical Reference Datasets, NumAcc4: mean 10000000.2, standard deviation 0.1."""
    values = [10000000.2] + [10000000.1, 10000000.3] * 500
    assert summary(values).mean == pytest.approx(10000000.2, rel=1e-14)
    assert summary(values).spread == pytest.approx(0.1, rel=1e-8)


def test_mean_and_deviation_of_three_large_integers() -> None:
    """NIST Statistical Reference Datasets, NumAcc1 (from memory): mean 10000002, deviation 1."""
    assert summary([10000001, 10000003, 10000002]).mean == 10000002
    assert summary([10000001, 10000003, 10000002]).spread == 1


def test_one_run_has_no_spread() -> None:
    one = summary([4.2])
    assert (one.mean, one.spread, one.range) == (4.2, 0.0, 0.0)
    assert circular_summary([1.0]).spread == 0.0
    assert circular_summary([1.0]).range == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("angles", "mean", "population_deviation"),
    [
        # SciPy 1.11 documentation of circmean; deviation from scipy.stats.circstd.
        (degrees(20, 30, 330), 7.294976657784009, 26.5983),
        # astropy 8.0 circmean, scipy 1.17 circmean and circstd.
        (degrees(51, 67, 40, 109, 31, 358), 48.62718088722989, 34.2440),
        # The usual example of a linear mean (125) gone wrong.
        (degrees(355, 5, 15), 5.0, 8.1754),
        (degrees(58.5, 61.0, 60.2, 59.4, 60.9), 60.00002, 0.944471),
    ],
)
def test_circular_mean_and_deviation_agree_with_published_values(
    angles: list[float], mean: float, population_deviation: float
) -> None:
    found = circular_summary(angles)
    count = len(angles)
    assert math.degrees(found.mean) == pytest.approx(mean, rel=1e-6)
    population = math.degrees(found.spread) / math.sqrt(count / (count - 1))
    assert population == pytest.approx(population_deviation, rel=1e-5)


def test_circular_mean_of_sixteen_published_angles() -> None:
    """Wavemetrics' worked example of circular statistics: mean 3.84597 rad, deviation 1.71942."""
    angles = [
        5.06708, 4.25635, 0.405367, 3.6483, 5.67514, 2.83757, 3.6483, 3.85098, 1.62147, 1.82415,
        5.26977, 3.44562, 0.810734, 5.67514, 2.63488, 3.6483,
    ]  # fmt: skip
    found = circular_summary(angles)
    assert found.mean == pytest.approx(3.84597, rel=2e-6)
    assert found.spread / math.sqrt(16 / 15) == pytest.approx(1.71942, rel=5e-6)


@given(ANGLES)
def test_circular_statistics_agree_with_scipy(angles: list[float]) -> None:
    found = circular_summary(angles)
    if math.isnan(found.mean) or found.spread > 3:  # nearly opposite angles: no common direction
        return
    assert distance(found.mean, float(scipy.stats.circmean(angles))) < 1e-6
    population = float(scipy.stats.circstd(angles))
    expected = population * math.sqrt(len(angles) / (len(angles) - 1))
    assert found.spread == pytest.approx(expected, rel=1e-6, abs=1e-6)


@given(ANGLES, st.floats(0, 2 * math.pi))
def test_turning_all_angles_turns_the_mean_and_leaves_spread_and_range(
    angles: list[float], turn: float
) -> None:
    before = circular_summary(angles)
    after = circular_summary([angle + turn for angle in angles])
    assert after.range == pytest.approx(before.range, abs=1e-9)
    if math.isnan(before.mean) or before.spread > 3:
        return
    assert distance(after.mean, before.mean + turn) < 1e-6
    assert after.spread == pytest.approx(before.spread, rel=1e-6, abs=1e-7)


def test_tiny_scatter_keeps_its_digits() -> None:
    """Little scatter is linear: the deviation of 1 ± 1e-9 rad is that of plain numbers."""
    angles = [1 - 1e-9, 1.0, 1 + 1e-9]
    assert circular_summary(angles).spread == pytest.approx(1e-9, rel=1e-6)


def test_opposite_angles_have_no_mean() -> None:
    found = circular_summary(degrees(0, 180))
    assert math.isnan(found.mean)
    assert math.isinf(found.spread)


def test_mean_of_angles_around_north_is_below_one_turn() -> None:
    assert 0 <= circular_summary([-1e-17, -1e-17]).mean < 2 * math.pi


def test_line_through_norris() -> None:
    """NIST StRD Norris, certified to 15 digits; largest residual 2.352378 by scipy."""
    numbers = [float(word) for word in NORRIS.split()]
    ys, xs = numbers[0::2], numbers[1::2]  # the published file lists y first
    fit = line(xs, ys)
    assert fit.slope == pytest.approx(1.00211681802045, rel=1e-12)
    assert fit.intercept == pytest.approx(-0.262323073774029, rel=1e-10)
    assert fit.correlation**2 == pytest.approx(0.999993745883712, rel=1e-12)
    assert fit.deviation == pytest.approx(2.352378, rel=1e-6)


POINTS = st.lists(
    st.tuples(st.floats(-1e3, 1e3), st.floats(-1e3, 1e3)), min_size=3, max_size=20
).filter(lambda points: max(p[0] for p in points) - min(p[0] for p in points) > 1)


# The oracle squares the heights: below 1e-160 it underflows, and refuses.
@given(POINTS.filter(lambda points: len({round(y, 9) for _, y in points}) > 1))
def test_line_agrees_with_scipy(points: list[tuple[float, float]]) -> None:
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    expected = scipy.stats.linregress(xs, ys)
    fit = line(xs, ys)
    assert fit.slope == pytest.approx(expected.slope, rel=1e-6, abs=1e-6)
    assert fit.intercept == pytest.approx(expected.intercept, rel=1e-6, abs=1e-5)


def test_line_refuses_points_above_one_another() -> None:
    with pytest.raises(ValueError, match="two different x"):
        line([1.0, 1.0], [2.0, 3.0])
    with pytest.raises(ValueError, match="two different x"):
        line([0.05, 0.05, 0.05], [2.0, 3.0, 4.0])
    with pytest.raises(ValueError, match="two different x"):
        line([1.0], [2.0])


@pytest.mark.parametrize(
    ("ys", "expected"),
    [
        ([0.9, 1.2, 1.2, 3.0], True),
        ([3.0, 1.2, 1.2, 0.9], True),
        ([0.9, 1.2, 1.1, 3.0], False),
        ([1.0, 1.0, 1.0, 1.0], False),
    ],
)
def test_monotonic_never_turns_back_and_moves(ys: list[float], *, expected: bool) -> None:
    assert is_monotonic([0.0, 1.0, 2.0, 3.0], ys) is expected
    assert is_monotonic([3.0, 2.0, 1.0, 0.0], ys) is expected
