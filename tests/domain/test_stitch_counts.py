"""How many stitches a line of so many mm takes."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, pi

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from floor.domain.stitch_counts import (
    border_stitches,
    double_run_stitches,
    running_stitches,
    tack_stitches,
    zigzag_stitches,
)

MOST_PARTS = 3  # of a satin border: its edge runs, its underlay and its cover
TIES = 8  # four to begin with and four to end with
lengths = st.floats(0, 20_000)
spacings = st.floats(0.2, 4)
rings = st.lists(lengths, max_size=6)

Count = Callable[[list[float]], int]
KINDS: list[Count] = [
    running_stitches,
    double_run_stitches,
    zigzag_stitches,
    lambda found: zigzag_stitches(found, 2.0),
    lambda found: border_stitches(found, 0.4),
    lambda found: border_stitches(found, 0.45),
]
kinds = pytest.mark.parametrize("count", KINDS)


def test_lines_counted_by_hand() -> None:
    assert running_stitches([100]) == 41 + TIES
    assert running_stitches([101]) == 42 + TIES
    assert double_run_stitches([100]) == 82 + TIES
    assert zigzag_stitches([90]) == 60 + TIES
    assert zigzag_stitches([90], 2) == 90 + TIES


def test_a_satin_border_is_its_cover_two_edge_runs_and_a_zigzag() -> None:
    assert border_stitches([100], 0.4) == 500 + 80 + 80 + TIES


def test_the_spacing_is_on_the_same_side_so_each_penetration_advances_half_of_it() -> None:
    """A zigzag laid out stitch by stitch: after n of them it is n x spacing / 2 along."""
    length, spacing, along, stitches = 240.0, 0.4, 0.0, 0
    while along < length - 1e-6:
        along, stitches = along + spacing / 2, stitches + 1
    assert zigzag_stitches([length], spacing) == stitches + TIES


def test_a_disc_with_a_hole_is_begun_and_ended_twice() -> None:
    outer, inner = 2 * pi * 40, 2 * pi * 15
    assert running_stitches([outer, inner]) == ceil(outer / 2.5) + ceil(inner / 2.5) + 2 + 2 * TIES
    cover = ceil(2 * outer / 0.4) + ceil(2 * inner / 0.4)
    underlay = 2 * ceil(2 * outer / 2.5) + 2 * ceil(2 * inner / 2.5)
    assert border_stitches([outer, inner], 0.4) == cover + underlay + 2 * TIES


def test_a_length_of_whole_stitches_gains_none_by_its_last_binary_digit() -> None:
    assert zigzag_stitches([0.1 + 0.2], 0.1) == 6 + TIES
    assert running_stitches([2.5 * 3 * (1 + 1e-15)]) == 4 + TIES


@pytest.mark.parametrize(
    ("tack", "count"),
    [("run", running_stitches), ("double run", double_run_stitches), ("zigzag", zigzag_stitches)],
)
@given(found=rings)
def test_each_tack_is_its_own_kind_of_line(tack: str, count: Count, found: list[float]) -> None:
    assert tack_stitches(tack, found) == count(found)  # type: ignore[arg-type]


@kinds
@given(found=rings, more=rings)
def test_separate_lines_add_up(count: Count, found: list[float], more: list[float]) -> None:
    assert count(found) + count(more) == count(found + more)


@kinds
@given(length=lengths, more=st.floats(0, 1000))
def test_a_longer_line_never_has_fewer_stitches(count: Count, length: float, more: float) -> None:
    assert count([length]) <= count([length + more])


@kinds
@given(length=lengths, times=st.integers(1, 20))
@example(length=8.320869967750368e-11, times=16)
def test_a_line_so_many_times_as_long_has_so_many_times_the_stitches(
    count: Count, length: float, times: int
) -> None:
    """But for its ends: ties and the one stitch that closes a run are not repeated, and each of a line's parts is
    rounded up by itself. So many times a last digit can be one stitch more of each."""
    one, all_ = count([length]) - TIES, count([length * times]) - TIES
    assert (one - 5) * times <= all_ <= one * times + MOST_PARTS


@given(st.floats(10, 5000), spacings, spacings)
def test_closer_satin_has_more_stitches(length: float, one: float, other: float) -> None:
    close, wide = sorted((one, other))
    assert border_stitches([length], close) >= border_stitches([length], wide)


@kinds
def test_no_line_has_no_stitches(count: Count) -> None:
    assert count([]) == 0


def test_what_cannot_be_sewn_is_refused() -> None:
    with pytest.raises(ValueError, match="long"):
        running_stitches([-1])
    with pytest.raises(ValueError, match="above 0"):
        zigzag_stitches([10], 0)
    with pytest.raises(ValueError, match="above 0"):
        border_stitches([10], 0)
