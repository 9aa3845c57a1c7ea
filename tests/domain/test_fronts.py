"""The window of what is sewn, and the readings of a front that lies right."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from route_cases import BACKGROUND, CLOSED_JOB, LETTERS, SPLIT_JOB, jobs

from floor.domain.fronts import NoOpening, expected_readings, window
from floor.domain.job import Border, Job


def test_the_window_is_the_outlines_box_grown_by_the_widest_layer_and_half_its_border() -> None:
    # 120 tall about y = 2; the background is 4 larger with a border of 4: 6 beyond
    assert window(SPLIT_JOB) == (-64.0, 68.0)


def test_an_upper_layer_with_a_wider_border_can_set_the_window() -> None:
    wide = replace(LETTERS, offset=3.0, border=Border(8.0, 0.4, "1070 gold"))
    assert window(replace(SPLIT_JOB, layers=(BACKGROUND, wide))) == (-65.0, 69.0)


def test_the_expected_readings_of_each_front() -> None:
    assert SPLIT_JOB.opening is not None
    job = replace(SPLIT_JOB, opening=replace(SPLIT_JOB.opening, under_cover=10.0))
    assert expected_readings(job, "left", "M") == (68 - 71, 64 - 71, 3, 3)
    assert expected_readings(job, "right", "M") == (68 - 71, 64 - 71, 10 - 25, 10 - 25)


def test_the_expected_readings_differ_by_size() -> None:
    assert expected_readings(SPLIT_JOB, "left", "XL")[:2] == (68 - 75, 64 - 75)


@given(jobs("split-front"), st.sampled_from(["right", "left"]))
def test_the_needle_travels_from_button_to_button_and_both_readings(job: Job, front: str) -> None:
    """The window's height is the span and what the needle stands beyond each button."""
    size = job.garments[0].size
    u, l, a, b = expected_readings(job, "right" if front == "right" else "left", size)  # noqa: E741
    y0, y1 = window(job)
    assert job.opening is not None
    assert job.opening.of(size).span + u + l == pytest.approx(y1 - y0)
    assert a == b


def test_a_garment_without_an_opening_has_nothing_to_read_against() -> None:
    with pytest.raises(NoOpening):
        expected_readings(CLOSED_JOB, "whole", "M")
