"""How close to trim, and how long a machine sews a line."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from route_cases import BACKGROUND

from floor.domain.job import Border
from floor.domain.stitching import (
    COLOUR_CHANGE_S,
    CUT_S,
    MIN_TRIMMED_BORDER_MM,
    Line,
    likely_time,
    line_speed,
    machine_time,
    taught_trim,
    taught_trim_text,
    trim_allowance,
)

widths = st.floats(MIN_TRIMMED_BORDER_MM, 20)
insets = st.floats(0, 3)


@pytest.mark.parametrize(
    ("width", "inset", "low", "high"),
    [(4, 1, 0, 2.5), (3, 1, 0.5, 2), (5, 1, 0, 3), (3, 0, 0, 1), (2, 1, 1, 1.5), (1.5, 1, 1.25, 1.25)],
)
def test_the_allowance_is_the_closed_form(width: float, inset: float, low: float, high: float) -> None:
    assert trim_allowance(width, inset) == pytest.approx((low, high))


@given(widths, insets, st.floats(0, 1))
def test_any_cut_within_the_allowance_is_caught_and_covered_by_the_border(
    width: float, inset: float, share: float
) -> None:
    low, high = trim_allowance(width, inset)
    beyond_edge = low + share * (high - low) - inset
    assert low >= 0
    assert beyond_edge >= -(width / 2 - 1) - 1e-9
    assert beyond_edge <= width / 2 - 0.5 + 1e-9


@given(widths, insets)
def test_a_cut_just_outside_the_allowance_breaks_one_of_the_bounds(width: float, inset: float) -> None:
    low, high = trim_allowance(width, inset)
    assert high + 0.01 - inset > width / 2 - 0.5
    assert low == 0 or low - 0.01 - inset < -(width / 2 - 1)


@given(st.floats(0.1, 1.49), insets)
def test_a_border_too_narrow_for_both_bounds_is_cut_at_their_middle(width: float, inset: float) -> None:
    low, high = trim_allowance(width, inset)
    assert low == high == pytest.approx(max(0.0, inset + 0.25))


@given(widths, insets)
def test_what_hands_are_told_lies_within_the_allowance(width: float, inset: float) -> None:
    low, high = trim_allowance(width, inset)
    first, last = taught_trim(width, inset)
    assert low <= first <= last <= high


def test_a_usual_border_is_trimmed_as_taught() -> None:
    assert taught_trim(4) == (1.0, 2.0)
    assert taught_trim(2) == (1.0, 1.5)
    assert [taught_trim_text(width) for width in (4, 2, 1.4)] == ["1 to 2 mm", "1 to 1.5 mm", "1.2 mm"]


def test_the_machine_sews_at_eight_tenths_of_its_set_speed() -> None:
    assert machine_time(5600, 700) == pytest.approx(600 + CUT_S + COLOUR_CHANGE_S)
    assert machine_time(5600, 700, efficiency=0.7, cuts=0, colour_changes=0) == pytest.approx(5600 / 490 * 60)


@given(st.integers(0, 50_000), st.integers(0, 50_000), st.floats(200, 1200))
def test_sewing_times_of_two_lines_add_up(first: int, second: int, speed: float) -> None:
    def bare(stitches: int) -> float:
        return machine_time(stitches, speed, cuts=0, colour_changes=0)

    assert bare(first) + bare(second) == pytest.approx(bare(first + second))


@pytest.mark.parametrize(("speed", "efficiency"), [(0, 0.8), (-1, 0.8), (700, 0)])
def test_a_machine_that_stands_still_is_refused(speed: float, efficiency: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        machine_time(100, speed, efficiency=efficiency)


@pytest.mark.parametrize(
    ("line", "top"), [("backing", 800), ("placement", 800), ("tack", 700), ("border", 750)]
)
def test_no_line_is_sewn_faster_than_is_usual_for_it(line: Line, top: float) -> None:
    assert line_speed(line, BACKGROUND, 1200) == top
    assert line_speed(line, BACKGROUND, 500) == 500


def test_a_wide_border_or_thick_cloth_is_sewn_slower() -> None:
    wide = replace(BACKGROUND, border=Border(5.5, 0.4, "red"))
    thick = replace(BACKGROUND, fabric="Thick felt")
    assert line_speed("border", wide, 900) == line_speed("border", thick, 900) == 600
    assert line_speed("tack", thick, 900) == 700


def test_a_line_of_short_segments_goes_at_seven_tenths() -> None:
    ends = 5 * CUT_S + COLOUR_CHANGE_S
    assert likely_time(490, 700, segments=5, colour_changes=1) == pytest.approx(60 + ends)


def test_a_long_line_goes_at_eight_tenths_once_it_has_begun() -> None:
    assert likely_time(5700, 700, segments=1, colour_changes=0) == pytest.approx(
        60 * (100 / 490 + 5600 / 560) + CUT_S
    )


@given(st.integers(0, 20_000), st.integers(0, 500), st.integers(1, 20), st.integers(1, 20))
def test_more_stitches_or_more_segments_never_take_less_time(
    stitches: int, more: int, segments: int, others: int
) -> None:
    time = likely_time(stitches, 650, segments=segments, colour_changes=0)
    assert time <= likely_time(stitches + more, 650, segments=segments, colour_changes=0)
    assert time <= likely_time(stitches, 650, segments=segments + others, colour_changes=0)
    slow, fast = (
        machine_time(stitches, 650, efficiency=k, cuts=segments, colour_changes=0) for k in (0.7, 0.8)
    )
    assert fast - 1e-6 <= time <= slow + 1e-6


@given(st.integers(0, 9000), st.integers(0, 9000), st.integers(300, 1200))
def test_likely_times_of_lines_of_long_segments_add_up(first: int, second: int, speed: int) -> None:
    both = likely_time(200 + first + second, speed, segments=2, colour_changes=2)
    one, other = (likely_time(100 + n, speed, segments=1, colour_changes=1) for n in (first, second))
    assert both == pytest.approx(one + other)
