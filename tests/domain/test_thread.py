"""How much thread a stop takes from spool and bobbin."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st
from route_cases import LETTERS
from sewing_cases import FLAT, closed_job, demo_plan

from floor.domain.job import Border, Tack
from floor.domain.stops import Sews, Stop
from floor.domain.thread import BOBBIN_STITCHES, bobbin_need, bobbins_for, swing_length, thread_of

ZIGZAG = replace(FLAT, tack="zigzag")
JOB = closed_job(FLAT, replace(LETTERS, tack="double run"), ZIGZAG)


def stop(sews: Sews, stitches: int, layer: int | None = 0, cuts: int = 0) -> Stop:
    return Stop(1, sews, layer, "red", 100.0, stitches, cuts, 1.0, 1.0, "")


def test_a_running_line_takes_as_much_from_the_bobbin_as_from_the_spool() -> None:
    lines = [stop("placement", 1000), stop("tack", 1000), stop("tack", 1000, 1), stop("backing", 1000, None)]
    for line in lines:
        used = thread_of(JOB, line)
        assert used.upper_m == used.bobbin_m == pytest.approx(1.2 * 2.5 * 1.1)


def test_a_zigzag_tack_takes_the_diagonal_of_each_stitch() -> None:
    """2 mm wide, 3 mm on the same side: each stitch is 2.5 mm."""
    used = thread_of(JOB, stop("tack", 1000, 2))
    assert (used.upper_m, used.bobbin_m) == pytest.approx((3.0 * 1.1, 0.65 * 3.0 * 1.1))


def test_a_border_takes_what_its_cover_and_its_underlay_take_together() -> None:
    """Laid out for 1 m of a border 4 mm wide at 0.4 mm: 5,000, 800 and 800 stitches."""
    upper = 1.2 * (5000 * hypot(4, 0.2) + 800 * 2.5 + 800 * hypot(3, 1.25)) / 1000
    bobbin = 1.2 * (0.65 * (5000 * hypot(4, 0.2) + 800 * hypot(3, 1.25)) + 800 * 2.5) / 1000
    used = thread_of(JOB, stop("border", 6600))
    assert (used.upper_m, used.bobbin_m) == pytest.approx((1.1 * upper, 1.1 * bobbin))


def test_a_border_takes_about_five_metres_and_three_a_thousand_stitches() -> None:
    used = thread_of(JOB, stop("border", 1000))
    assert used.upper_m == pytest.approx(5, abs=0.5)
    assert used.bobbin_m == pytest.approx(3, abs=0.5)


def test_each_cut_costs_its_tails() -> None:
    none, four = thread_of(JOB, stop("tack", 500)), thread_of(JOB, stop("tack", 500, cuts=4))
    assert four.upper_m - none.upper_m == pytest.approx(4 * 0.15 * 1.1)
    assert four.bobbin_m - none.bobbin_m == pytest.approx(4 * 0.15 * 1.1)


def test_marks_take_no_thread() -> None:
    used = thread_of(JOB, stop("marks", 0, None))
    assert (used.upper_m, used.bobbin_m) == (0, 0)


@given(st.sampled_from(["placement", "tack", "border"]), st.integers(0, 9000), st.integers(0, 9000))
def test_thread_grows_with_the_stitches_in_proportion(sews: Sews, one: int, other: int) -> None:
    both = thread_of(JOB, stop(sews, one)) + thread_of(JOB, stop(sews, other))
    assert both.upper_m == pytest.approx(thread_of(JOB, stop(sews, one + other)).upper_m)
    assert both.bobbin_m == pytest.approx(thread_of(JOB, stop(sews, one + other)).bobbin_m)
    assert both.times(3).bobbin_m == pytest.approx(3 * both.bobbin_m)
    assert both.bobbin_m <= both.upper_m


@given(st.floats(0.5, 10), st.floats(0, 3), st.floats(0.2, 3))
def test_a_wider_border_takes_more_thread_a_stitch(width: float, more: float, spacing: float) -> None:
    def upper(of: float) -> float:
        job = closed_job(replace(FLAT, border=Border(of, spacing, "red")))
        return thread_of(job, stop("border", 1000)).upper_m

    assert upper(width) <= upper(width + more) + 1e-9
    assert swing_length(width, spacing) >= max(width, spacing / 2)


def test_a_bobbin_is_begun_only_with_15_percent_to_spare() -> None:
    assert bobbin_need(10_000) == 11_500
    assert bobbin_need(1) == 2
    assert bobbin_need(0) == 0


@given(st.integers(1, 10_000_000), st.integers(1, 12))
def test_bobbins_hold_all_stitches_and_no_head_shares_one(stitches: int, heads: int) -> None:
    count = bobbins_for(stitches, heads)
    assert count % heads == 0
    assert stitches <= count * BOBBIN_STITCHES < stitches + heads * BOBBIN_STITCHES + heads


@pytest.mark.parametrize("folder", ["larkspur-jackets", "quarry-crest", "tinhill-pullovers"])
def test_the_demos_jobs_take_about_five_metres_and_three_a_thousand_stitches(folder: str) -> None:
    plan = demo_plan(folder)
    for stops in plan.stops.values():
        used = [thread_of(plan.job, one) for one in stops]
        thousands = sum(one.stitches for one in stops) / 1000
        assert 4 < sum(one.upper_m for one in used) / thousands < 5.5
        assert 2.5 < sum(one.bobbin_m for one in used) / thousands < 4


@pytest.mark.parametrize("tack", ["run", "double run"])
def test_both_running_tacks_take_the_same_a_stitch(tack: Tack) -> None:
    job = closed_job(replace(FLAT, tack=tack))
    assert thread_of(job, stop("tack", 800)).upper_m == pytest.approx(0.8 * 3 * 1.1)
