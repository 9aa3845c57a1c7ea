"""The split against closed forms: what is sewn on which front, and where the halves meet."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from route_cases import bar, drawn, plan_for
from shapely import MultiPolygon, Polygon, box
from split_cases import JOB, WHOLE, annulus, disc, layer, opened, planned

from floor.domain.fronts import FrontPlan, SizePlan, cloths_of
from floor.domain.job import Front, Garment, Job, OpeningSize
from floor.domain.pieces import Piece, blank_side

BLOCK = box(-80, -50, 80, 50)
ROUGHLY = 2e-5  # of a length: what chords in place of arcs leave out


def front(side: Front, job: Job, shape: object) -> FrontPlan:
    return planned(job, shape)["M"].fronts[side]


def piece(side: Front, job: Job, shape: object) -> Piece:
    (found,) = front(side, job, shape).pieces
    return found


class TestRectangle:
    def test_each_front_keeps_its_part_to_half_a_border_within_the_end_of_its_sewing(self) -> None:
        right, left = piece("right", JOB, BLOCK), piece("left", JOB, BLOCK)
        assert (right.bounds, left.bounds) == ((-80, -50, -4, 50), (-10, -50, 80, 50))
        assert (right.area, left.area) == (7600, 9000)
        assert (right.cut_length, left.cut_length) == (2 * (76 + 100), 2 * (90 + 100))
        assert (right.corners, right.holes, len(right.rings)) == (4, 0, 1)

    def test_a_grown_cloth_has_round_corners_where_the_drawing_has_sharp_ones(self) -> None:
        grown = piece("whole", replace(WHOLE, layers=(layer(6.0),)), BLOCK)
        assert grown.area == pytest.approx(160 * 100 + 6 * 520 + math.pi * 36, rel=1e-4)
        assert grown.cut_length == pytest.approx(520 + 12 * math.pi, rel=1e-4)
        assert grown.corners == 0

    def test_a_shrunk_cloth_keeps_them_sharp(self) -> None:
        shrunk = piece("whole", replace(WHOLE, layers=(layer(-6.0),)), BLOCK)
        assert (shrunk.area, shrunk.cut_length, shrunk.corners) == (148 * 88, 2 * (148 + 88), 4)

    def test_a_grown_cloth_cut_by_the_limit_has_the_straight_run_along_the_edge(self) -> None:
        right = piece("right", replace(JOB, layers=(layer(6.0),)), BLOCK)
        assert right.cut_length == pytest.approx(112 + 2 * 76 + 100 + 6 * math.pi, rel=1e-4)
        assert right.area == pytest.approx(76 * 112 + 6 * 100 + math.pi * 36 / 2, rel=1e-4)
        assert right.corners == 2

    def test_the_extent_is_the_box_of_all_that_is_sewn(self) -> None:
        job = replace(JOB, layers=(layer(6.0, 3.0), layer(0.0, 8.0)))
        assert front("right", job, BLOCK).extent == pytest.approx((-87.5, -57.5, -2, 57.5))
        assert front("left", job, BLOCK).extent == pytest.approx((-12, -57.5, 87.5, 57.5))
        assert front("whole", replace(job, opening=None), BLOCK).extent == pytest.approx(
            (-87.5, -57.5, 87.5, 57.5)
        )

    def test_a_blank_is_20_mm_oversize_and_rounded_up_to_5(self) -> None:
        assert piece("right", JOB, BLOCK).blank == (100.0, 120.0)
        assert [blank_side(mm) for mm in (76.0, 80.0, 80.0000001, 80.1, 85.0)] == [100, 100, 100, 105, 105]


class TestDisc:
    def test_a_disc_is_cut_along_a_chord(self) -> None:
        right = piece("right", JOB, disc(0, 0, 50))
        half_angle = math.acos(4 / 50)  # of the part that lies beyond x = -4
        assert right.area == pytest.approx(2500 * half_angle - 4 * 50 * math.sin(half_angle), rel=ROUGHLY)
        assert right.cut_length == pytest.approx(2 * 50 * half_angle + 2 * math.sqrt(2500 - 16), rel=ROUGHLY)
        assert right.corners == 2

    def test_the_other_front_has_the_greater_part(self) -> None:
        left = piece("left", JOB, disc(0, 0, 50))
        half_angle = math.pi - math.acos(10 / 50)
        assert left.area == pytest.approx(2500 * half_angle + 10 * 50 * math.sin(half_angle), rel=ROUGHLY)
        assert left.cut_length == pytest.approx(2 * 50 * half_angle + 2 * math.sqrt(2500 - 100), rel=ROUGHLY)

    def test_a_grown_disc_is_a_larger_disc(self) -> None:
        grown = piece("whole", replace(WHOLE, layers=(layer(7.5),)), disc(0, 0, 50))
        assert grown.cut_length == pytest.approx(2 * math.pi * 57.5, rel=ROUGHLY)
        assert grown.area == pytest.approx(math.pi * 57.5**2, rel=ROUGHLY)


class TestRing:
    def test_a_ring_across_the_opening_is_a_c_on_either_front(self) -> None:
        right = piece("right", JOB, annulus(50, 20))
        outer, inner = math.acos(4 / 50), math.acos(4 / 20)
        chords = 2 * (math.sqrt(2500 - 16) - math.sqrt(400 - 16))
        assert right.cut_length == pytest.approx(100 * outer + 40 * inner + chords, rel=ROUGHLY)
        segment = 2500 * outer - 4 * 50 * math.sin(outer) - 400 * inner + 4 * 20 * math.sin(inner)
        assert right.area == pytest.approx(segment, rel=ROUGHLY)
        assert (right.holes, right.corners, len(right.rings)) == (0, 4, 1)

    def test_a_ring_on_one_front_keeps_its_hole(self) -> None:
        ring = disc(60, 0, 30).difference(disc(60, 0, 10))
        left = piece("left", JOB, ring)
        assert (left.holes, left.corners, len(left.rings)) == (1, 0, 2)
        assert left.cut_length == pytest.approx(80 * math.pi, rel=ROUGHLY)
        assert piece("right", JOB, ring).empty

    def test_a_hole_shrinks_as_its_cloth_grows_and_closes(self) -> None:
        grown = piece("whole", replace(WHOLE, layers=(layer(5.0),)), annulus(50, 20))
        assert grown.cut_length == pytest.approx(2 * math.pi * (55 + 15), rel=2e-4)
        assert piece("whole", replace(WHOLE, layers=(layer(20.0),)), annulus(50, 20)).holes == 0


class TestPieces:
    def test_islands_are_counted_with_all_their_corners_and_holes(self) -> None:
        frame = box(20, -20, 60, 20).difference(box(30, -10, 50, 10))
        left = piece("left", JOB, MultiPolygon([frame, box(65, -20, 70, 20)]))
        assert (left.corners, left.holes, len(left.rings)) == (12, 1, 3)

    @pytest.mark.parametrize(("turn", "corners"), [(39.0, 2), (41.0, 3)])
    def test_a_corner_turns_by_more_than_40_degrees(self, turn: float, corners: int) -> None:
        rise = 40 * math.tan(math.radians(turn / 2))
        roof = Polygon([(-40, 0), (40, 0), (40, 40), (0, 40 + rise), (-40, 40)])
        assert piece("whole", WHOLE, roof).corners - 2 == {2: 2, 3: 3}[corners]

    def test_a_corner_rounded_by_less_than_a_quarter_millimetre_is_one(self) -> None:
        soft = box(0, 0, 40, 40).buffer(-0.5).buffer(0.5)
        assert piece("whole", WHOLE, soft).corners == 4

    def test_where_a_ring_is_begun_makes_no_corner(self) -> None:
        square = [(0, 0), (20, 0), (40, 0), (40, 40), (0, 40), (0, 20)]
        for start in range(len(square)):
            begun = Polygon([*square[start:], *square[:start]])
            assert piece("whole", WHOLE, begun).corners == 4

    def test_no_cloth_is_nothing_and_not_zero_sized(self) -> None:
        right = piece("right", JOB, box(40, 0, 80, 20))
        assert (right.empty, right.bounds, right.sewn_bounds, right.blank) == (True, None, None, None)
        assert front("right", JOB, box(40, 0, 80, 20)).extent is None
        assert front("right", JOB, box(40, 0, 80, 20)).sewn == ()


class TestWindowAndMarks:
    def test_the_window_of_both_fronts_is_that_of_all_that_is_sewn(self) -> None:
        step = MultiPolygon([box(-60, -20, 10, 20), box(20, -50, 60, 30)])
        size = planned(replace(JOB, layers=(layer(0.0, 6.0),)), step)["M"]
        assert size.window == (-53, 33)
        assert {plan.window for plan in size.fronts.values()} == {(-53, 33)}

    def test_a_front_that_is_shorter_gets_marks_at_the_middle_of_its_own_extent(self) -> None:
        step = MultiPolygon([box(-60, -20, 10, 20), box(20, -50, 60, 30)])
        right, left = front("right", JOB, step), front("left", JOB, step)
        assert right.extent == (-62, -22, -2, 22)
        assert right.marks == ((-32, -52), (-32, 32))
        assert left.marks == ()

    @pytest.mark.parametrize(
        ("low", "high", "needed"), [(-50, 50, False), (-49.9, 50, True), (-50, 49, True)]
    )
    def test_marks_are_needed_where_either_end_is_not_reached(
        self, low: float, high: float, needed: bool
    ) -> None:
        shape = MultiPolygon([box(-60, low, -20, high), box(20, -50, 60, 50)])
        assert bool(front("right", JOB, shape).marks) == needed

    def test_a_front_without_anything_gets_none(self) -> None:
        assert front("right", JOB, box(40, 0, 80, 20)).marks == ()


class TestOpening:
    def test_without_under_cover_both_fronts_go_as_far_over_their_edge(self) -> None:
        fronts = planned(opened(under_cover=None), BLOCK)["M"].fronts
        assert {(f.edge_x, f.reach, f.limit_x) for f in fronts.values()} == {(10, 2, 12), (-10, 2, -12)}
        assert fronts["right"].pieces[0].bounds == (-80, -50, 10, 50)

    def test_sewing_that_stays_within_the_edge_leaves_a_bare_strip(self) -> None:
        fronts = planned(opened(under_cover=None, over_edge=-15.0), BLOCK)["M"].fronts
        assert fronts["right"].pieces[0].bounds == (-80, -50, -7, 50)
        assert fronts["left"].pieces[0].bounds == (7, -50, 80, 50)

    @pytest.mark.parametrize("top", ["left", "right"])
    def test_the_under_front_ends_its_cover_beyond_the_seam(self, top: str) -> None:
        size = planned(opened(top_front=top), BLOCK)["M"]
        under = size.fronts["right" if top == "left" else "left"]
        assert size.seam is not None
        assert under.limit_x is not None
        assert size.seam.x == size.fronts["left" if top == "left" else "right"].edge_x
        assert under.side * (under.limit_x - size.seam.x) == size.cover == 8
        assert under.reach == -12

    def test_sizes_with_another_overlap_and_span_are_split_elsewhere(self) -> None:
        sizes = {"XL": OpeningSize(span=230.0, overlap=30.0)}
        job = replace(opened(sizes=sizes, buttons=3), garments=(Garment(1, "M"), Garment(2, "XL")))
        plans = planned(job, BLOCK)
        assert list(plans) == ["M", "XL"]
        xl = plans["XL"]
        assert xl.opening == sizes["XL"]
        assert (xl.fronts["right"].edge_x, xl.fronts["right"].limit_x) == (15, -7)
        assert xl.fronts["right"].pieces[0].bounds == (-80, -50, -9, 50)
        assert xl.buttons == ((0, 115), (0, 0), (0, -115))
        assert plans["M"].buttons == ((0, 100), (0, 0), (0, -100))
        assert (plans["M"].cover, xl.cover) == (8, 8)

    def test_sizes_that_are_split_alike_share_their_pieces(self) -> None:
        sizes = {"XL": OpeningSize(span=230.0, overlap=20.0)}
        job = replace(opened(sizes=sizes), garments=(Garment(1, "M"), Garment(2, "XL")))
        plans = planned(job, BLOCK)
        assert plans["M"].fronts["right"].pieces[0] is plans["XL"].fronts["right"].pieces[0]

    def test_a_garment_that_does_not_open_is_sewn_whole(self) -> None:
        size = planned(WHOLE, BLOCK)["M"]
        assert (size.opening, size.seam, size.cover, size.buttons) == (None, None, None, ())
        (whole,) = size.fronts.values()
        assert (whole.front, whole.side) == ("whole", 0)
        assert (whole.edge_x, whole.reach, whole.limit_x, whole.marks) == (None, None, None, ())
        assert whole.pieces[0].bounds == (-80, -50, 80, 50)

    @pytest.mark.parametrize(
        ("field", "fits"), [((90, 114), True), ((89.9, 114), False), ((90, 113.9), False)]
    )
    def test_the_hoops_clearance_is_kept_all_round(self, field: tuple[float, float], fits: bool) -> None:
        job = replace(JOB, hoop=replace(JOB.hoop, field=field, clearance=5.0))
        assert front("right", job, BLOCK).fits_hoop == fits

    def test_the_plan_splits_the_drawing_once_it_is_scaled_and_placed(self) -> None:
        job = replace(JOB, design=replace(JOB.design, height=60.0, centre=(15.0, 5.0)))
        fronts = plan_for(job, drawn(bar(0, 0, 4, 2))).sizes["M"].fronts
        assert fronts["right"].pieces[0].bounds == (-45, -25, -4, 35)
        assert fronts["left"].pieces[0].bounds == (-10, -25, 75, 35)


class TestSeam:
    """The top front is the left one: the seam is at x = -10."""

    def crossings(self, shape: object, *offsets: float) -> list[tuple[int, float, tuple[float, float]]]:
        size: SizePlan = planned(replace(JOB, layers=tuple(layer(o) for o in offsets or (0.0,))), shape)["M"]
        assert size.seam is not None
        return [(one.layer, one.y, one.normal) for one in size.seam.crossings]

    def test_a_bar_crosses_level(self) -> None:
        assert self.crossings(box(-80, -5, 80, 7)) == [(0, -5, (0, -1)), (0, 7, (0, 1))]

    def test_each_layers_own_cloth_crosses(self) -> None:
        found = self.crossings(box(-80, -5, 80, 7), 3.0, 0.0)
        assert found == [(0, -8, (0, -1)), (0, 10, (0, 1)), (1, -5, (0, -1)), (1, 7, (0, 1))]

    def test_a_stroke_of_45_degrees_has_slanting_normals(self) -> None:
        stroke = Polygon([(-60, -60), (-40, -60), (40, 20), (20, 20)])
        r = math.sqrt(0.5)
        (low, high) = self.crossings(stroke)
        assert low == (0, pytest.approx(-30), pytest.approx((r, -r)))
        assert high == (0, pytest.approx(-10), pytest.approx((-r, r)))

    def test_a_disc_crosses_with_the_normal_of_its_radius(self) -> None:
        (low, high) = self.crossings(disc(0, 0, 50))
        y = math.sqrt(2500 - 100)
        assert low[1:] == (pytest.approx(-y, abs=1e-3), pytest.approx((-0.2, -y / 50), abs=2e-3))
        assert high[1:] == (pytest.approx(y, abs=1e-3), pytest.approx((-0.2, y / 50), abs=2e-3))

    def test_a_holes_edge_crosses_with_its_normal_into_the_hole(self) -> None:
        frame = box(-40, -40, 40, 40).difference(box(-20, -20, 20, 20))
        assert [(y, n) for _, y, n in self.crossings(frame)] == [
            (-40, (0, -1)), (-20, (0, 1)), (20, (0, -1)), (40, (0, 1)),
        ]  # fmt: skip

    @pytest.mark.parametrize(
        "shape",
        [
            box(-80, -20, -10, 20),  # an edge along the seam, all cloth on one side
            box(-10, -20, 80, 20),
            Polygon([(-10, 0), (-40, 20), (-40, -20)]),  # a tip that touches it
            Polygon([(-10, 0), (40, 20), (40, -20)]),
            box(-80, -20, -10.001, 20),
        ],
    )
    def test_a_touch_is_no_crossing(self, shape: Polygon) -> None:
        assert self.crossings(shape) == []

    def test_an_edge_along_the_seam_crosses_once_where_it_passes_to_the_other_side(self) -> None:
        step = Polygon([(-60, -20), (40, -20), (40, 30), (-10, 30), (-10, 10), (-60, 10)])
        found = self.crossings(step)
        assert [y for _, y, _ in found] == [-20, 20]
        assert all(n[1] * y > 0 for _, y, n in found)

    def test_a_corner_on_the_seam_that_is_passed_through_crosses_once(self) -> None:
        roof = Polygon([(-60, -20), (40, -20), (40, 10), (-10, 30), (-60, 10)])
        assert [y for _, y, _ in self.crossings(roof)] == [-20, 30]

    def test_the_crossings_do_not_depend_on_where_the_ring_begins(self) -> None:
        step = [(-60, -20), (-10, -20), (40, -20), (40, 30), (-10, 30), (-10, 20), (-10, 10), (-60, 10)]
        found = {
            tuple((y, n) for _, y, n in self.crossings(Polygon([*step[i:], *step[:i]])))
            for i in range(len(step))
        }
        assert len(found) == 1

    def test_the_seam_is_the_top_fronts_edge(self) -> None:
        size = planned(opened(top_front="right"), box(-80, -5, 80, 7))["M"]
        assert size.seam is not None
        assert size.seam.x == 10


def test_an_offset_too_small_to_cut_is_none() -> None:
    job = replace(WHOLE, layers=(layer(6e-164),))
    region = MultiPolygon([box(0, 0, 30, 20)])
    assert cloths_of(job, region) == (region,)
