"""A reading beside those of like bikes; the spread against scipy, the flag against its source."""

from __future__ import annotations

import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import median_abs_deviation

from commission.job.judge_limits import Shown
from commission.job.like_bikes import FAR, FEWEST, Earlier, LikeBikes, place_words, spread, words

READINGS = st.lists(
    st.floats(-1e6, 1e6).map(lambda x: round(x, 3)), min_size=1, max_size=60
)  # fmt: skip


@given(READINGS)
def test_the_spread_is_the_scaled_median_absolute_deviation(values: list[float]) -> None:
    expected = median_abs_deviation(values, scale="normal")
    if expected > 0:
        assert spread(values) == pytest.approx(expected, rel=1e-9)
    assert LikeBikes(tuple(values)).median == statistics.median(values)


def test_half_the_readings_can_be_wild() -> None:
    good = [50.1, 50.2, 50.3, 50.4, 50.5]
    assert spread([*good, 999.0, -999.0]) < 2 * spread(good)


def test_where_most_are_equal_the_mean_deviation_stands_in() -> None:
    values = (40.0, 40.0, 40.0, 40.0, 41.0)
    assert median_abs_deviation(values) == 0
    assert spread(values) == pytest.approx(math.sqrt(math.pi / 2) * 0.2)
    assert spread((7.0,) * 4) == 0


def test_a_modified_z_score_beyond_3_5_asks_for_a_second_look() -> None:
    # NIST/SEMATECH e-Handbook 1.3.5.17: M = 0.6745 (x - median)/MAD, |M| > 3.5.
    like = LikeBikes((9.0, 9.5, 10.0, 10.5, 11.0))
    mad = 0.5
    edge = 10.0 + FAR * mad / 0.6744897501960817
    assert not like.place(edge - 1e-6).is_far
    assert like.place(edge + 1e-6).is_far
    assert like.place(2 * 10.0 - edge - 1e-6).is_far


def test_few_readings_flag_nothing() -> None:
    like = LikeBikes((10.0, 10.1, 10.2, 10.3))
    assert like.count < FEWEST
    assert not like.place(1e6).is_far


@given(READINGS.filter(lambda values: len(values) >= FEWEST), st.floats(-1e5, 1e5))
def test_where_a_reading_lies_does_not_depend_on_zero_or_scale(
    values: list[float], shift: float
) -> None:
    like = LikeBikes(tuple(values))
    if like.spread < 1e-2:
        return
    value = values[0] + 3 * like.spread
    moved = LikeBikes(tuple(2 * one + shift for one in values))
    assert moved.place(2 * value + shift).score == pytest.approx(
        like.place(value).score, rel=1e-3, abs=1e-3
    )


def test_all_others_equal_makes_another_far() -> None:
    like = LikeBikes((7.0,) * 6)
    assert like.place(7.0).score == 0
    assert like.place(8.0).is_far
    assert "all 6 others read 7.000" in place_words(like, 8.0, Shown(""))[0]


def test_angles_are_compared_around_the_circle() -> None:
    degrees = (359.0, 0.0, 1.0, 2.0, 358.0, 3.0)
    like = LikeBikes(tuple(math.radians(one) for one in degrees), circular=True)
    assert math.degrees(like.median) == pytest.approx(0.5, abs=1e-6)
    assert math.degrees(like.spread) == pytest.approx(1.5 * 1.4826, rel=1e-4)
    assert not like.place(math.radians(357.0)).is_far
    assert like.place(math.radians(180.0)).is_far
    assert "spreads" in place_words(like, math.radians(355), Shown("deg"))[0]


def test_it_is_said_in_the_unit_of_the_step() -> None:
    earlier = Earlier(323.15, "2026-03-04T05:06:07Z", "J")
    like = LikeBikes((313.15, 314.15, 315.15, 316.15, 317.15, 318.15), earlier=earlier)
    said = words(like, Shown("degC"))
    assert said == (
        "6 like bikes: median 42.50 degC, spread 2.2 K; last 40.00, 41.00, 42.00; "
        "this bike on 2026-03-04: 50.00 degC"
    )
    assert place_words(like, 333.15, Shown("degC")) == (
        "LOOK AGAIN: 7.9 spreads above the median of like bikes, 42.50 degC.", True,
    )  # fmt: skip
    assert place_words(like, 315.15, Shown("degC")) == (
        "0.2 spreads below the median; above 2 of 6.", False,
    )  # fmt: skip


def test_nothing_known_is_nothing_said() -> None:
    assert words(LikeBikes(), Shown("V")) == ""
    assert place_words(LikeBikes(), 1.0, Shown("V")) == ("", False)
    assert words(LikeBikes((50.0,)), Shown("V")) == "1 like bike: 50.00 V"
    assert place_words(LikeBikes((50.0,)), 90.0, Shown("V")) == ("", False)
