"""The readings of a front that lies right."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from route_cases import BACKGROUND, CLOSED_JOB, LETTERS, SPLIT_JOB, jobs, plan_for

from floor.domain.fronts import NoOpening
from floor.domain.job import Border, Front, Job


def test_the_window_is_the_outlines_box_grown_by_the_widest_layer_and_half_its_border() -> None:
    # 120 tall about y = 2; the background is 4 larger with a border of 4: 6 beyond
    assert plan_for(SPLIT_JOB).sizes["M"].window == pytest.approx((-64.0, 68.0))


def test_an_upper_layer_with_a_wider_border_can_set_the_window() -> None:
    wide = replace(LETTERS, offset=3.0, border=Border(8.0, 0.4, "1070 gold"))
    plan = plan_for(replace(SPLIT_JOB, layers=(BACKGROUND, wide)))
    assert plan.sizes["M"].window == pytest.approx((-65.0, 69.0))


def test_the_expected_readings_of_each_front() -> None:
    assert SPLIT_JOB.opening is not None
    job = replace(SPLIT_JOB, opening=replace(SPLIT_JOB.opening, under_cover=10.0))
    size = plan_for(job).sizes["M"]
    assert size.expected_readings("left") == pytest.approx((68 - 71, 64 - 71, 3, 3))
    assert size.expected_readings("right") == pytest.approx((68 - 71, 64 - 71, 10 - 25, 10 - 25))


def test_the_expected_readings_differ_by_size() -> None:
    plan = plan_for(SPLIT_JOB)
    assert plan.sizes["XL"].expected_readings("left")[:2] == pytest.approx((68 - 75, 64 - 75))


@given(jobs("split-front"), st.sampled_from(["right", "left"]))
def test_the_needle_travels_from_button_to_button_and_both_readings(job: Job, front: Front) -> None:
    """The window's height is the span and what the needle stands beyond each button."""
    size = plan_for(job).sizes[job.garments[0].size]
    u, l, a, b = size.expected_readings(front)  # noqa: E741
    y0, y1 = size.window
    assert size.opening is not None
    assert size.opening.span + u + l == pytest.approx(y1 - y0)
    assert a == b == size.fronts[front].reach


def test_a_garment_without_an_opening_has_nothing_to_read_against() -> None:
    size = plan_for(CLOSED_JOB).sizes["M"]
    for front in ("whole", "left"):
        with pytest.raises(NoOpening):
            size.expected_readings(front)
