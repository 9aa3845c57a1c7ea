"""The plain rule at the needle: steps, nudge and verdict from four readings."""

from __future__ import annotations

from dataclasses import astuple, replace
from math import atan, degrees, radians, sqrt, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from placement_cases import (
    BARS,
    FRAME,
    LEVEL,
    MIXED,
    SEAM_X,
    SLANTED,
    STRAIGHT,
    covered,
    made_up,
    read_on,
    ring,
    sums_for,
    told_other,
    told_own,
)
from shapely import affinity, box, union_all
from split_cases import WHOLE, planned

from floor.domain.fronts import Readings
from floor.domain.place_steps import linear_steps
from floor.domain.place_sums import CLOSED_TOLERANCE_MM, MIN_PAST_EDGE_MM, OtherSums, PlaceSums, place_sums
from floor.domain.placement import Placement, judge, other_placement, own_placement, past_edge

HALF = sqrt(0.5)
UPRIGHT = made_up([(0.0, 1.0, 0.0)])
STROKE = made_up([(0.0, HALF, HALF)])
FALLING = made_up([(0.0, HALF, -HALF)])

mm = st.floats(-6, 6)
turns = st.floats(-2, 2).map(radians)
lies = st.builds(Placement, along=mm, across=mm, skew=turns, stretch=st.floats(-1.4, 1.4))


def lying(sums: PlaceSums, **off: float) -> Readings:
    """What is read of a front that lies so; what is not named lies right. `skew` in degrees."""
    skew = tan(radians(off.pop("skew", 0.0)))
    return told_own(sums, replace(Placement(0.0, 0.0, skew, 0.0), **off))


def at_other(sums: PlaceSums, **off: float) -> Readings:
    """The same read on the other front, at the window's lines."""
    front = replace(sums, side=-sums.side, expected=sums.other.expected)
    return lying(front, **off)


class TestSteps:
    def test_a_front_on_its_place_steps_nowhere(self) -> None:
        found = judge(MIXED, MIXED.expected, MIXED.other.expected)
        assert found.steps == (0.0,) * 4
        assert (found.worst, found.nudge, found.verdict, found.cause) == (0.0, (0.0, 0.0), "sew", "")

    def test_a_level_bar_hides_a_shift_across_and_shows_one_along_whole(self) -> None:
        assert judge(LEVEL, lying(LEVEL, across=5.0)).worst == pytest.approx(0.0)
        assert judge(LEVEL, lying(LEVEL, along=2.0)).steps == pytest.approx((2.0, -2.0, -2.0))

    def test_an_upright_edge_shows_a_gap_whole_and_hides_a_shift_along(self) -> None:
        assert judge(UPRIGHT, lying(UPRIGHT, across=2.0)).steps == pytest.approx((2.0,))
        assert judge(UPRIGHT, lying(UPRIGHT, along=5.0)).steps == pytest.approx((0.0,))

    def test_a_45_degree_stroke_turns_a_gap_of_two_into_a_step_of_two_along_the_seam(self) -> None:
        """What the rule tells is perpendicular to the edge: 1.414 mm; along the seam that is 2 mm."""
        (step,) = judge(STROKE, lying(STROKE, across=2.0)).steps
        assert step == pytest.approx(sqrt(2))
        assert step / STROKE.steps[0].along == pytest.approx(2.0)

    def test_a_stroke_that_climbs_hides_what_lies_along_it(self) -> None:
        assert judge(STROKE, lying(STROKE, across=2.0, along=-2.0)).worst == pytest.approx(0.0)
        assert judge(FALLING, lying(FALLING, across=2.0, along=-2.0)).worst == pytest.approx(2 * sqrt(2))

    def test_a_skew_steps_by_its_lever(self) -> None:
        """The right front's edge is 20 mm from the seam: one degree lowers a bar there by 0.35 mm."""
        found = judge(LEVEL, lying(LEVEL, skew=1.0))
        assert found.steps == pytest.approx([sign * 20 * radians(1) for sign in (-1, 1, 1)], rel=1e-3)
        upright = made_up([(50.0, 1.0, 0.0)])
        assert judge(upright, lying(upright, skew=1.0)).steps == pytest.approx([-50 * radians(1)], rel=1e-3)

    def test_one_degree_over_150_mm_is_two_and_a_half_at_the_needle(self) -> None:
        tall = replace(LEVEL, height=150.0)
        read = Readings(-40.0, -40.0, 2.0 + 150 * tan(radians(1)), 2.0)
        assert read.a - read.b == pytest.approx(2.6, abs=0.05)
        assert degrees(own_placement(tall, read).skew) == pytest.approx(-1.0)

    def test_a_ring_steps_by_its_normals(self) -> None:
        """Across the seam through its middle its edges run level: outer top and bottom, inner top and bottom."""
        sums, plan, _ = sums_for(ring(40.0, 8.0))
        found = judge(sums, read_on(plan, "right", Placement(0.7, 1.9, 0.0, 0.0)))
        assert found.steps == pytest.approx((-0.7, 0.7, -0.7, 0.7), abs=1e-3)

    def test_a_ring_beside_the_seam_steps_by_both(self) -> None:
        """24 mm off its middle a circle of 40 mm has the normal (0.6, 0.8); a chord's is an eighth of a degree off."""
        sums, plan, _ = sums_for(affinity.translate(ring(40.0, 10.0), -24.0, 0.0))
        across, along = 1.0, -0.5
        read = read_on(plan, "right", Placement(along, across, 0.0, 0.0))
        outer = judge(sums, read).steps[0], judge(sums, read).steps[-1]
        expected = (0.6 * across - 0.8 * along, 0.6 * across + 0.8 * along)
        assert outer == pytest.approx(expected, abs=4e-3)

    def test_fronts_that_lie_off_alike_do_not_step(self) -> None:
        alike = {"along": 1.3, "across": -0.8}
        assert judge(MIXED, lying(MIXED, **alike), at_other(MIXED, **alike)).worst == pytest.approx(0.0)

    def test_stretch_steps_nowhere(self) -> None:
        assert judge(MIXED, lying(MIXED, stretch=1.2)).worst == pytest.approx(0.0)
        assert own_placement(MIXED, lying(MIXED, stretch=1.2)).stretch == pytest.approx(1.2)

    @given(lies)
    def test_readings_tell_how_a_front_lies(self, true: Placement) -> None:
        found = own_placement(MIXED, told_own(MIXED, replace(true, skew=tan(true.skew))))
        assert astuple(found) == pytest.approx(astuple(true), abs=1e-9)

    @given(
        lies,
        st.builds(
            OtherSums,
            expected=st.just(Readings(-30.0, -25.0, 2.0, 2.0)),
            upper=st.floats(20, 90),
            lower=st.floats(-90, 10),
            slant_upper=st.floats(-1.7, 1.7),
            slant_lower=st.floats(-1.7, 1.7),
            lever=st.floats(-20, 0),
        ),
    )
    def test_readings_where_its_sewing_crosses_tell_how_the_other_front_lies(
        self, true: Placement, where: OtherSums
    ) -> None:
        """At any two heights, on edges of any slant, within the folded edge or on it."""
        sums = replace(MIXED, other=where)
        found = other_placement(sums, told_other(sums, replace(true, skew=tan(true.skew))))
        # Off the folded edge the angle stands for its tangent, 0.00001 apart at 2 degrees.
        assert astuple(found) == pytest.approx(astuple(true), abs=0.005)

    @given(lies, lies)
    def test_a_tablets_sums_are_the_rules_to_a_fiftieth(self, own: Placement, other: Placement) -> None:
        """Skews up to 2 degrees: the tangent for the angle."""
        read = told_own(MIXED, own)
        against = told_own(replace(MIXED, side=-1, expected=MIXED.other.expected), other)
        assert linear_steps(MIXED, read, against) == pytest.approx(
            judge(MIXED, read, against).steps, abs=0.02
        )
        assert linear_steps(MIXED, read, None) == pytest.approx(judge(MIXED, read).steps, abs=0.02)


class TestNudge:
    @given(lies, lies)
    def test_it_makes_the_mean_displacement_against_the_other_zero(
        self, own: Placement, other: Placement
    ) -> None:
        """As DESIGN has it: (dx - theta (y - ym), dy + theta (x - edge)) of one less the other's, at the seam."""
        along, across = judge(MIXED, told_own(MIXED, own), self.read_other(other)).nudge
        own, other = (replace(one, skew=atan(one.skew)) for one in (own, other))
        by_height = [
            (
                own.across + across - own.skew * y - (other.across - other.skew * y),
                own.along + along + own.skew * (SEAM_X - 10) - (other.along + other.skew * (SEAM_X + 10)),
            )
            for y in (step.y for step in MIXED.steps)
        ]
        for direction in zip(*by_height, strict=True):
            assert sum(direction) / 4 == pytest.approx(0.0, abs=1e-9)

    @given(lies, lies)
    def test_once_nudged_no_nudge_is_left_and_the_worst_step_is_the_one_foretold(
        self, own: Placement, other: Placement
    ) -> None:
        read, against = told_own(MIXED, own), self.read_other(other)
        found = judge(MIXED, read, against)
        along, across = found.nudge
        after = Readings(read.u + along, read.l - along, read.a + across, read.b + across)
        again = judge(MIXED, after, against)
        assert again.nudge == pytest.approx((0.0, 0.0), abs=1e-9)
        assert again.worst == pytest.approx(found.after_nudge, abs=1e-9)

    def test_a_shift_is_cured_whole(self) -> None:
        found = judge(MIXED, lying(MIXED, along=3.0, across=-2.0))
        assert found.nudge == pytest.approx((-3.0, 2.0))
        assert found.after_nudge == pytest.approx(0.0)
        assert (found.verdict, found.cause) == ("nudge", "step")

    @staticmethod
    def read_other(other: Placement) -> Readings:
        return told_own(replace(MIXED, side=-1, expected=MIXED.other.expected), other)


class TestVerdict:
    @pytest.mark.parametrize(("along", "verdict"), [(0.99, "sew"), (1.01, "nudge")])
    def test_a_step_within_the_tolerance_is_sewn(self, along: float, verdict: str) -> None:
        assert judge(LEVEL, lying(LEVEL, along=along)).verdict == verdict
        wider = replace(LEVEL, tolerance=1.5)
        assert judge(wider, lying(wider, along=along + 0.5)).verdict == verdict

    @pytest.mark.parametrize(("skew", "verdict"), [(0.99, "sew"), (1.01, "re-lay"), (-1.01, "re-lay")])
    def test_a_skew_over_a_degree_is_laid_again_though_nothing_steps(self, skew: float, verdict: str) -> None:
        found = judge(LEVEL, lying(LEVEL, skew=skew))
        assert found.worst < 0.4
        assert found.verdict == verdict
        assert found.skew_deg == pytest.approx(skew, abs=1e-3)

    def test_skew_counts_against_the_other_front_as_it_was_sewn(self) -> None:
        assert judge(LEVEL, lying(LEVEL, skew=0.7), at_other(LEVEL, skew=-0.7)).cause == "skew"
        assert judge(LEVEL, lying(LEVEL, skew=1.3), at_other(LEVEL, skew=0.7)).cause == ""

    @pytest.mark.parametrize(("stretch", "verdict"), [(1.49, "sew"), (1.51, "re-lay"), (-1.51, "re-lay")])
    def test_stretch_over_one_and_a_half_is_laid_again(self, stretch: float, verdict: str) -> None:
        found = judge(LEVEL, lying(LEVEL, stretch=stretch))
        assert (found.verdict, found.cause) == (verdict, "stretch" if verdict == "re-lay" else "")

    def test_stretch_is_told_before_skew_and_skew_before_a_step(self) -> None:
        all_wrong = lying(LEVEL, stretch=2.0, skew=1.5, along=3.0)
        assert judge(LEVEL, all_wrong).cause == "stretch"
        assert judge(LEVEL, lying(LEVEL, skew=1.5, along=3.0)).cause == "skew"
        assert judge(LEVEL, lying(LEVEL, skew=0.5, along=3.0)).cause == "step"

    def test_what_a_nudge_leaves_is_laid_again_for_its_skew(self) -> None:
        """Upright edges 100 mm apart: 0.9 degrees is 0.79 mm up and down about the mean, over a tolerance of 0.5."""
        apart = made_up([(50.0, 1.0, 0.0), (-50.0, 1.0, 0.0)], tolerance=0.5)
        found = judge(apart, lying(apart, skew=0.9))
        assert found.after_nudge == pytest.approx(50 * radians(0.9), abs=1e-3)
        assert (found.verdict, found.cause) == ("re-lay", "skew")


class TestEdge:
    SUMS = replace(LEVEL, keep_past=MIN_PAST_EDGE_MM)

    @pytest.mark.parametrize(("across", "verdict"), [(-0.99, "sew"), (-1.01, "nudge")])
    def test_the_needle_stays_a_millimetre_past_the_edge(self, across: float, verdict: str) -> None:
        """2 mm are planned; a level bar would let it lie anywhere across."""
        found = judge(self.SUMS, lying(self.SUMS, across=across))
        assert (found.verdict, found.cause) == (verdict, "edge" if verdict == "nudge" else "")

    def test_at_both_lines(self) -> None:
        """0.98 degrees: at 60 mm from the middle one line is 1.03 mm off, the other gains as much."""
        for skew in (0.98, -0.98):
            read = lying(self.SUMS, skew=skew)
            assert past_edge(self.SUMS, read, 0.0) == pytest.approx(2 - 60 * radians(0.98), abs=1e-3)
            assert judge(self.SUMS, read).cause == "edge"

    def test_a_nudge_that_would_bring_it_inside_is_not_asked_for(self) -> None:
        read, against = lying(self.SUMS, along=3.0), at_other(self.SUMS, across=-1.5)
        found = judge(self.SUMS, read, against)
        assert found.nudge == pytest.approx((-3.0, -1.5))
        assert (found.verdict, found.cause) == ("re-lay", "edge")
        assert judge(replace(self.SUMS, keep_past=None), read, against).verdict == "nudge"

    def test_it_is_asked_only_where_the_sewing_passes_the_edge_and_no_more_than_is_planned(self) -> None:
        top, _, _ = sums_for(BARS, "left")
        under, _, _ = sums_for(BARS, "right")
        assert (top.keep_past, under.keep_past) == (1.0, None)
        job = covered()
        assert job.opening is not None
        barely = replace(job, opening=replace(job.opening, over_edge=0.4))
        assert sums_for(BARS, "left", barely)[0].keep_past == 0.4


class TestGeometry:
    @given(lies, lies, st.sampled_from(sorted(STRAIGHT)))
    def test_a_mirrored_job_has_mirrored_answers(self, own: Placement, other: Placement, name: str) -> None:
        """The same tape on the other front: along is the same, across and skew have the other sign."""
        here, plan, _ = SUMS[name]
        there, _, _ = MIRRORED[name]
        read, against = read_on(plan, "right", own), read_on(plan, "left", other)
        one, mirrored = judge(here, read, against), judge(there, read, against)
        assert mirrored.steps == pytest.approx(one.steps, abs=1e-6)
        assert mirrored.nudge == pytest.approx((one.nudge[0], -one.nudge[1]), abs=1e-6)
        assert mirrored.skew_deg == pytest.approx(-one.skew_deg, abs=1e-9)
        assert (mirrored.verdict, mirrored.cause) == (one.verdict, one.cause)

    @given(lies, lies)
    def test_either_front_is_judged_alike_against_the_other(self, right: Placement, left: Placement) -> None:
        """The left front less the right one is the right one less the left, the other way round."""
        of_right, plan, _ = SUMS["frame"]
        of_left = LEFT_OF_FRAME
        read, against = read_on(plan, "right", right), read_on(plan, "left", left)
        one, other = judge(of_right, read, against), judge(of_left, against, read)
        assert other.steps == pytest.approx([-step for step in one.steps], abs=1e-9)
        assert other.nudge == pytest.approx([-part for part in one.nudge], abs=1e-9)

    def test_where_nothing_crosses_the_seam_the_designs_own_place_is_judged(self) -> None:
        sums, plan, _ = sums_for(union_all([box(-80, -40, -40, 40), box(20, -40, 60, 40)]))
        assert plan.seam is not None
        assert plan.seam.crossings == ()
        assert {step.layer for step in sums.steps} == {None}
        read = read_on(plan, "right", Placement(0.4, -0.8, 0.0, 0.0))
        assert sorted(judge(sums, read).steps) == pytest.approx([-0.8, -0.8, 0.4, 0.4])
        assert judge(sums, read_on(plan, "right", Placement(0.0, 1.2, 0.0, 0.0))).verdict == "nudge"

    def test_a_closed_garment_is_judged_by_its_drawn_lines(self) -> None:
        size = planned(WHOLE, FRAME)["M"]
        sums = place_sums(WHOLE, size, "whole", CLOSED_TOLERANCE_MM)
        assert sums.expected == (0.0, 0.0, 0.0, 0.0)
        assert sums.keep_past is None
        found = judge(sums, Readings(1.2, -1.2, -1.4, -1.4))
        assert (found.placement.along, found.placement.across) == pytest.approx((1.2, -1.4))
        assert (found.worst, found.verdict) == (pytest.approx(1.4), "sew")
        assert judge(sums, Readings(1.6, -1.6, 0.0, 0.0)).nudge == pytest.approx((-1.6, 0.0))
        assert judge(sums, Readings(1.6, -1.6, 0.0, 0.0)).verdict == "nudge"
        leaning = judge(sums, Readings(0.0, 0.0, -1.2, 1.2))
        assert leaning.skew_deg == pytest.approx(degrees(atan(2.4 / sums.height)))

    def test_every_crossing_of_every_layer_is_judged(self) -> None:
        sums, plan, _ = sums_for(SLANTED)
        assert plan.seam is not None
        assert [(step.layer, step.y) for step in sums.steps] == [
            (crossing.layer, crossing.y) for crossing in plan.seam.crossings
        ]
        assert sums.mean_y == pytest.approx(sum(step.y for step in sums.steps) / 2 - sum(plan.window) / 2)


SUMS = {name: sums_for(shape) for name, shape in STRAIGHT.items()}
MIRRORED = {
    name: sums_for(affinity.scale(shape, -1.0, 1.0, origin=(0, 0)), "left", covered("right"))
    for name, shape in STRAIGHT.items()
}
LEFT_OF_FRAME = sums_for(FRAME, "left")[0]
