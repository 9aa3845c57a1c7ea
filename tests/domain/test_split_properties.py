"""What holds of any split: nothing is lost, left and right are alike, and size does not matter."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, affinity, box
from split_cases import JOB, annulus, disc, layer, opened, planned, regions, split_jobs

from floor.domain.fronts import SizePlan, cloths_of
from floor.domain.job import Front, Job
from floor.domain.outline import Box
from floor.domain.plan_warnings import warnings_of

OTHER: dict[Front, Front] = {"right": "left", "left": "right", "whole": "whole"}
Spans = list[tuple[float, float]]

# Shrunk by 2 mm, the triangle's upright edge comes to lie at the seam, x = -2.5, but for its last binary digits.
TRIANGLE = Polygon(
    [(9 * math.cos(turn), 9 * math.sin(turn)) for turn in (0, 2 * math.pi / 3, 4 * math.pi / 3)]
)
SHRUNK_TO_THE_SEAM = replace(opened(overlap=5.0, over_edge=0.0, under_cover=None), layers=(layer(-2.0, 1.0),))


def near(value: object) -> object:
    return pytest.approx(value, rel=1e-7, abs=1e-7)


class TestNothingIsLost:
    @given(split_jobs(), regions())
    def test_both_fronts_less_what_lies_on_both_are_the_whole_cloth(
        self, job: Job, region: MultiPolygon
    ) -> None:
        size = planned(job, region)["M"]
        for index, cloth in enumerate(cloths_of(job, region)):
            half_border = job.layers[index].border.width / 2
            right, left = size.fronts["right"], size.fronts["left"]
            assert right.limit_x is not None
            assert left.limit_x is not None
            start, end = left.limit_x + half_border, right.limit_x - half_border
            if start > end:  # a bare strip: neither front has it
                lost = cloth.intersection(box(end, -999, start, 999)).area
                both = 0.0
            else:
                lost, both = 0.0, cloth.intersection(box(start, -999, end, 999)).area
            sewn = right.pieces[index].area + left.pieces[index].area
            assert sewn - both + lost == pytest.approx(cloth.area, rel=1e-9, abs=1e-6)

    @given(split_jobs(), regions())
    def test_no_front_is_sewn_beyond_its_end(self, job: Job, region: MultiPolygon) -> None:
        for front in planned(job, region)["M"].fronts.values():
            assert front.limit_x is not None
            if front.extent is not None:
                x0, _, x1, _ = front.extent
                assert (x1 if front.side > 0 else -x0) <= front.side * front.limit_x + 1e-6

    @given(split_jobs(), regions())
    @example(SHRUNK_TO_THE_SEAM, MultiPolygon([TRIANGLE]))
    def test_each_layer_enters_the_seam_as_often_as_it_leaves_it(
        self, job: Job, region: MultiPolygon
    ) -> None:
        """And the cloth between a crossing and the next one above it lies on the seam itself: as tall as just
        beside it, or between the two sides' heights where an edge runs along the seam."""
        size = planned(job, region)["M"]
        assert size.seam is not None
        for index, cloth in enumerate(cloths_of(job, region)):
            crossings = [one for one in size.seam.crossings if one.layer == index]
            assert len(crossings) % 2 == 0
            assert all(math.hypot(*one.normal) == near(1.0) for one in crossings)
            beside = [
                cloth.intersection(box(min(x, size.seam.x), -999, max(x, size.seam.x), 999)).area / 1e-4
                for x in (size.seam.x - 1e-4, size.seam.x + 1e-4)
            ]
            on_seam = sum(b.y - a.y for a, b in list(pairwise(crossings))[::2])
            assert min(beside) - 0.02 <= on_seam <= max(beside) + 0.02

    def test_an_edge_that_growing_puts_on_the_seam_but_for_a_last_digit_crosses_nothing(self) -> None:
        (cloth,) = cloths_of(SHRUNK_TO_THE_SEAM, MultiPolygon([TRIANGLE]))
        seam = planned(SHRUNK_TO_THE_SEAM, TRIANGLE)["M"].seam
        assert seam is not None
        assert cloth.bounds[0] == near(seam.x)
        assert cloth.bounds[0] != seam.x
        assert seam.crossings == ()


class TestMirror:
    """The outline mirrored and the other front on top: everything is the mirror image."""

    def both(self, job: Job, region: MultiPolygon) -> tuple[Job, MultiPolygon, SizePlan, SizePlan]:
        assert job.opening is not None
        other = opened(job, top_front="left" if job.opening.top_front == "right" else "right")
        flipped = MultiPolygon(affinity.scale(region, -1, 1, origin=(0, 0)))
        return other, flipped, planned(job, region)["M"], planned(other, flipped)["M"]

    @given(split_jobs(), regions())
    def test_the_fronts_change_places(self, job: Job, region: MultiPolygon) -> None:
        _, _, size, image = self.both(job, region)
        assert image.window == near(size.window)
        assert image.cover == size.cover
        for side, front in size.fronts.items():
            other = image.fronts[OTHER[side]]
            assert (other.reach, other.fits_hoop) == (front.reach, front.fits_hoop)
            assert other.extent == (None if front.extent is None else near(flipped_box(front.extent)))
            assert list(other.marks) == [near((-x, y)) for x, y in front.marks]
            for piece, its_image in zip(front.pieces, other.pieces, strict=True):
                assert its_image.area == near(piece.area)
                assert its_image.cut_length == near(piece.cut_length)
                assert its_image.holes == piece.holes
                # A round join of some 3 mm is as sharp as a corner just is: there the last digit decides.
                if job.layers[piece.layer].offset == 0:
                    assert its_image.corners == piece.corners

    @given(split_jobs(), regions())
    def test_the_crossings_lie_as_high_with_their_normals_turned_over(
        self, job: Job, region: MultiPolygon
    ) -> None:
        _, _, size, image = self.both(job, region)
        assert size.seam is not None
        assert image.seam is not None
        assert image.seam.x == -size.seam.x
        assert [(c.layer, near(c.y), near((-c.normal[0], c.normal[1]))) for c in size.seam.crossings] == [
            (c.layer, c.y, c.normal) for c in image.seam.crossings
        ]

    # Among all shapes are some that meet a limit to the last binary digit: these are the same at each run.
    @settings(max_examples=60, derandomize=True)
    @given(split_jobs(), regions())
    def test_the_warnings_are_the_same_of_the_other_front(self, job: Job, region: MultiPolygon) -> None:
        other, flipped, size, image = self.both(job, region)
        here = warnings_of(job, region, cloths_of(job, region), {"M": size})
        there = warnings_of(other, flipped, cloths_of(other, flipped), {"M": image})
        assert sorted((w.code, w.front or "", w.layer or 0) for w in here) == sorted(
            (w.code, OTHER[w.front] if w.front else "", w.layer or 0) for w in there
        )

    def test_the_places_of_a_sliver_are_mirrored(self) -> None:
        strokes = MultiPolygon([box(-80, -50, -40, 50), box(-6, -50, 30, 50), box(33, -50, 70, 50)])
        other, flipped, size, image = self.both(JOB, strokes)
        here = warnings_of(JOB, strokes, cloths_of(JOB, strokes), {"M": size})
        there = warnings_of(other, flipped, cloths_of(other, flipped), {"M": image})
        assert {(w.front, tuple(map(flipped_box, w.places))) for w in here} == {
            (OTHER[w.front] if w.front else None, w.places) for w in there
        }
        assert any(w.places for w in here)


class TestScale:
    @given(split_jobs(), regions(), st.sampled_from([0.5, 2.0, 4.0]))
    def test_twice_the_size_has_twice_the_lengths_and_four_times_the_cloth(
        self, job: Job, region: MultiPolygon, k: float
    ) -> None:
        assert job.opening is not None
        o = job.opening
        large = replace(
            job,
            opening=replace(
                o,
                span=k * o.span,
                overlap=k * o.overlap,
                over_edge=k * o.over_edge,
                under_cover=None if o.under_cover is None else k * o.under_cover,
            ),
            layers=tuple(layer(k * one.offset, k * one.border.width) for one in job.layers),
        )
        size = planned(job, region)["M"]
        image = planned(large, affinity.scale(region, k, k, origin=(0, 0)))["M"]
        assert image.window == near(tuple(k * y for y in size.window))
        assert image.seam is not None
        assert size.seam is not None
        assert [(c.layer, c.y) for c in image.seam.crossings] == [
            (c.layer, near(k * c.y)) for c in size.seam.crossings
        ]
        for side, front in size.fronts.items():
            other = image.fronts[side]
            assert other.extent == (
                None if front.extent is None else near(tuple(k * v for v in front.extent))
            )
            for piece, larger in zip(front.pieces, other.pieces, strict=True):
                assert larger.area == near(k * k * piece.area)
                assert larger.cut_length == near(k * piece.cut_length)
                assert larger.holes == piece.holes


def ring_spans(rings: list[list[tuple[float, float]]]) -> Callable[[float], Spans]:
    """Where a level line is within rings, none of which lies on another: between odd and even crossings."""

    def at(y: float) -> Spans:
        xs = sorted(
            ax + (y - ay) * (bx - ax) / (by - ay)
            for ring in rings
            for (ax, ay), (bx, by) in pairwise([*ring, ring[0]])
            if (ay <= y) != (by <= y)
        )
        return list(zip(xs[::2], xs[1::2], strict=True))

    return at


def disc_spans(radius: float, hole: float = 0.0) -> Callable[[float], Spans]:
    def at(y: float) -> Spans:
        if abs(y) >= radius:
            return []
        half = math.sqrt(radius**2 - y**2)
        within = math.sqrt(hole**2 - y**2) if abs(y) < hole else 0.0
        return [(-half, -within), (within, half)]

    return at


def counted(spans: Callable[[float], Spans], low: float, high: float) -> float:
    """The area between x = low and x = high, in squares of 0.1 mm whose middles lie within."""
    squares = 0
    for row in range(-1000, 1000):
        for a, b in spans((row + 0.5) / 10):
            a, b = max(a, low), min(b, high)
            squares += max(0, math.floor(10 * b - 0.5) - math.ceil(10 * a - 0.5) + 1)
    return squares / 100


W = [(-60.0, 45.0), (-45.0, -40.0), (-28.0, -40.0), (-7.0, 20.0), (11.0, -40.0), (30.0, -40.0), (44.0, 45.0),
     (33.0, 45.0), (21.0, -20.0), (2.0, 41.0), (-16.0, 41.0), (-36.0, -20.0), (-48.0, 45.0)]  # fmt: skip
FRAME = [(-50.0, -40.0), (50.0, -31.0), (42.0, 38.0), (-47.0, 29.0)]
HOLE = [(-21.0, -20.0), (11.0, -18.0), (17.0, 13.0), (-18.0, 9.0)]


@pytest.mark.parametrize(
    ("shape", "offset", "spans"),
    [
        (Polygon(W), 0.0, ring_spans([W])),
        (Polygon(FRAME, [HOLE]), 0.0, ring_spans([FRAME, HOLE])),
        (disc(0, 0, 41.3), 6.0, disc_spans(47.3)),
        (annulus(44.0, 19.0), 4.0, disc_spans(48.0, 15.0)),
        (annulus(44.0, 19.0), -3.0, disc_spans(41.0, 22.0)),
    ],
)
def test_the_areas_are_those_that_counting_squares_gives(
    shape: Polygon, offset: float, spans: Callable[[float], Spans]
) -> None:
    size = planned(replace(JOB, layers=(layer(offset),)), shape)["M"]
    assert size.fronts["right"].pieces[0].area == pytest.approx(counted(spans, -999, -4), rel=2e-3)
    assert size.fronts["left"].pieces[0].area == pytest.approx(counted(spans, -10, 999), rel=2e-3)


def flipped_box(box: Box) -> Box:
    x0, y0, x1, y1 = box
    return -x1, y0, -x0, y1
