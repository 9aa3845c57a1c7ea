"""Limits of a shop's charts, the share that steps too far, and how far predictions held."""

from __future__ import annotations

from math import erfc, exp, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.capability import (
    CONFIDENCE,
    TAIL,
    Held,
    IndividualsChart,
    Share,
    chi_square_quantile,
    held,
    individuals,
    share_beyond,
    wilson,
)

values_mm = st.floats(-20, 20)

# What every table of the chi-square distribution has.
CHI_SQUARE = [
    (0.025, 1, 0.000982069),
    (0.975, 1, 5.023886),
    (0.025, 2, 0.050636),
    (0.975, 2, 7.377759),
    (0.025, 5, 0.831212),
    (0.975, 5, 12.832502),
    (0.025, 10, 3.246973),
    (0.975, 10, 20.483177),
    (0.025, 30, 16.790772),
    (0.975, 30, 46.979242),
    (0.025, 100, 74.221927),
    (0.975, 100, 129.561197),
]


def test_limits_are_so_many_moving_ranges_from_the_mean() -> None:
    chart = individuals([1.0, 2.0, 4.0, 1.0])
    assert chart.moving_range == pytest.approx((1 + 2 + 3) / 3)
    assert (chart.mean, chart.low, chart.high) == pytest.approx((2.0, 2.0 - 2.66 * 2, 2.0 + 2.66 * 2))
    assert chart.out == ()


def test_a_value_beyond_the_limits_is_pointed_at() -> None:
    steady = [0.0, 0.2] * 10
    assert individuals([*steady, 3.0, *steady]).out == (20,)


@pytest.mark.parametrize(
    ("values", "chart"),
    [
        ([], IndividualsChart(None, None, None, None, ())),
        ([1.5], IndividualsChart(1.5, None, None, None, ())),
        ([1.5, 1.5], IndividualsChart(1.5, 1.5, 1.5, 0.0, ())),
    ],
)
def test_a_chart_of_hardly_anything(values: list[float], chart: IndividualsChart) -> None:
    assert individuals(values) == chart


def test_a_steady_shop_is_hardly_ever_told_that_it_is_not() -> None:
    """The limits are three standard deviations of normal values: 2.7 in a thousand lie beyond."""
    random = Random(3)
    out = sum(len(individuals([random.gauss(0, 1) for _ in range(200)]).out) for _ in range(100))
    assert 20 <= out <= 120


@given(st.lists(values_mm, min_size=2, max_size=20), values_mm)
def test_a_chart_moves_with_its_values(values: list[float], by: float) -> None:
    here, there = individuals(values), individuals([value + by for value in values])
    assert there.mean == pytest.approx(here.mean + by, abs=1e-9)
    assert there.moving_range == pytest.approx(here.moving_range, abs=1e-9)


@pytest.mark.parametrize(("share", "freedom", "expected"), CHI_SQUARE)
def test_chi_square_agrees_with_its_tables(share: float, freedom: int, expected: float) -> None:
    assert chi_square_quantile(share, freedom) == pytest.approx(expected, rel=1e-6, abs=1e-6)


@given(st.floats(0.001, 0.999))
def test_chi_square_of_two_degrees_has_a_closed_form(share: float) -> None:
    assert 1 - exp(-chi_square_quantile(share, 2) / 2) == pytest.approx(share, rel=1e-9)


@given(st.floats(0.01, 0.99))
def test_chi_square_of_one_degree_is_a_normals_square(share: float) -> None:
    assert 1 - erfc(sqrt(chi_square_quantile(share, 1) / 2)) == pytest.approx(share, rel=1e-9)


@pytest.mark.parametrize("freedom", [10_000, 100_000])
def test_chi_square_of_very_many_degrees_is_nearly_normal(freedom: int) -> None:
    """By Wilson and Hilferty's cube root, good to a part in a million there."""
    part = 2 / (9 * freedom)
    for share, z in ((TAIL, -1.959964), (1 - TAIL, 1.959964)):
        assert chi_square_quantile(share, freedom) == pytest.approx(
            freedom * (1 - part + z * sqrt(part)) ** 3, rel=1e-6
        )


@pytest.mark.parametrize(
    ("count", "total", "low", "high"),
    [(0, 100, 0.0, 0.03699), (1, 10, 0.01788, 0.40415), (5, 10, 0.23659, 0.76341), (100, 100, 0.96301, 1.0)],
)
def test_wilsons_interval_agrees_with_its_tables(count: int, total: int, low: float, high: float) -> None:
    assert wilson(count, total) == pytest.approx((low, high), abs=1e-5)


@given(st.integers(1, 400), st.data())
def test_wilsons_interval_holds_the_share_and_is_the_same_from_the_other_side(
    total: int, data: st.DataObject
) -> None:
    count = data.draw(st.integers(0, total))
    low, high = wilson(count, total)
    assert 0 <= low <= count / total <= high <= 1
    assert wilson(total - count, total) == pytest.approx((1 - high, 1 - low), abs=1e-12)


def test_no_steps_tell_nothing() -> None:
    assert share_beyond([], 1.0) == Share(None, 0, 0, None, None, None, None, None)


def test_a_share_by_its_closed_form() -> None:
    """Four steps whose root mean square is 1 mm: 31.7 % of a normal lies beyond one spread."""
    share = share_beyond([1.2, -0.4, -1.2, sqrt(4 - 2 * 1.44 - 0.16)], 1.0)
    assert (share.observed, share.count, share.total) == (0.5, 2, 4)
    assert share.expected == pytest.approx(erfc(1 / sqrt(2)))
    assert share.low == pytest.approx(erfc(sqrt(11.143287 / 4 / 2)), rel=1e-5)
    assert share.high == pytest.approx(erfc(sqrt(0.484419 / 4 / 2)), rel=1e-5)


def test_a_step_of_exactly_the_tolerance_is_not_beyond_it() -> None:
    assert share_beyond([1.0, -1.0], 1.0).count == 0


def test_steps_of_nothing_are_beyond_nothing() -> None:
    share = share_beyond([0.0, 0.0], 1.0)
    assert (share.observed, share.expected, share.low, share.high) == (0.0, 0.0, 0.0, 0.0)


@given(st.lists(values_mm, min_size=1, max_size=30), st.floats(0.1, 5))
def test_a_share_holds_whatever_its_steps_signs_and_units(steps: list[float], tolerance: float) -> None:
    share = share_beyond(steps, tolerance)
    assert share_beyond([-step for step in reversed(steps)], tolerance) == share
    assert share.low <= share.expected <= share.high
    assert share.low <= share_beyond(steps, tolerance / 2).expected
    larger = share_beyond([2 * step for step in steps], 2 * tolerance)
    assert larger.expected == pytest.approx(share.expected, abs=1e-12)


@pytest.mark.parametrize(("number", "spread"), [(10, 0.5), (40, 0.5), (40, 0.9)])
def test_the_expected_share_lies_within_its_interval_as_often_as_stated(number: int, spread: float) -> None:
    """Of 1500 shops with steps that are normal: 95 %, give or take three standard errors."""
    random = Random(number)
    truth, within = erfc(1 / spread / sqrt(2)), 0
    for _ in range(1500):
        share = share_beyond([random.gauss(0, spread) for _ in range(number)], 1.0)
        within += share.low <= truth <= share.high
    assert within / 1500 == pytest.approx(CONFIDENCE, abs=0.017)


@pytest.mark.parametrize("truth", [0.02, 0.1, 0.3])
def test_the_observed_share_lies_within_wilsons_interval_about_as_often_as_stated(truth: float) -> None:
    """Counts are whole, so no interval holds to the point: on average over numbers of garments it does."""
    random = Random(17)
    within = 0
    for at in range(4000):
        total = 20 + at % 100
        low, high = wilson(sum(random.random() < truth for _ in range(total)), total)
        within += low <= truth <= high
    assert 0.93 <= within / 4000 <= 0.975


def test_the_expected_share_tells_more_than_the_count_does() -> None:
    steps = [Random(at).gauss(0, 0.5) for at in range(40)]
    share = share_beyond(steps, 1.0)
    assert share.high - share.low < share.wilson_high - share.wilson_low


def test_how_far_predictions_held() -> None:
    found = held([0.0, 1.0, -1.0, 0.5], [0.5, 1.0, -0.4, 0.4])
    errors = [0.5, 0.0, 0.6, -0.1]
    assert found.total == 4
    assert found.mean_error == pytest.approx(0.25)
    assert found.spread == pytest.approx(sqrt(sum((e - 0.25) ** 2 for e in errors) / 3))
    assert found.within == 0.75


def test_predictions_of_hardly_anything() -> None:
    assert held([], []) == Held(0, None, None, None)
    assert held([0.25], [1.25]) == Held(1, 1.0, None, 0.0)


def test_predictions_and_what_was_found_must_be_as_many() -> None:
    with pytest.raises(ValueError, match="zip"):
        held([1.0, 2.0], [1.0])
