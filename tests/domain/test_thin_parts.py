"""What is too thin to hold its border, and what is a plain corner."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, affinity, box

from floor.domain.region import as_multi
from floor.domain.thin_parts import ThinPlace, simplified, thin_at_cut, thin_places
from floor.domain.waists import waists

BORDER = 4.0
BLOCKS = (box(-30, 0, -10, 30), box(10, 0, 30, 30))


def thin(shape: object, border: float = BORDER) -> tuple[ThinPlace, ...]:
    return thin_places(simplified(as_multi(shape)), border)


def kinds(shape: object) -> list[str]:
    return [place.kind for place in thin(shape)]


def disc(x: float, y: float, radius: float) -> Polygon:
    return Point(x, y).buffer(radius, quad_segs=64)


def star(points: int, outer: float, inner: float) -> Polygon:
    steps = [math.pi * i / points for i in range(2 * points)]
    radii = [outer, inner] * points
    return Polygon([(r * math.sin(t), r * math.cos(t)) for r, t in zip(radii, steps, strict=True)])


def spike(degrees: float, height: float = 60.0) -> Polygon:
    half = height * math.tan(math.radians(degrees / 2))
    return Polygon([(-half, 0), (half, 0), (0, height)])


def zigzag(lean_deg: float, stroke: float = 10.0, height: float = 60.0) -> object:
    """A W of slanting strokes: its tips and notches have the angle of two leans."""
    side = height * math.tan(math.radians(lean_deg))
    strokes = []
    for top, way in ((0.0, 1), (2 * side, -1), (2 * side, 1), (4 * side, -1)):
        foot = top + way * side
        strokes.append(Polygon([(top, height), (top + stroke, height), (foot + stroke, 0), (foot, 0)]))
    return shapely.union_all(strokes)


def hourglass(waist: float) -> Polygon:
    w = waist / 2
    return Polygon([(-20, -20), (20, -20), (w, 0), (20, 20), (-20, 20), (-w, 0)])


NARROW = {
    "bar": lambda wide: box(0, 0, 50, wide),
    "neck": lambda wide: shapely.union_all([*BLOCKS, box(-10, 10, 10, 10 + wide)]),
    "tab": lambda wide: shapely.union_all([BLOCKS[0], box(-25, 29, -25 + wide, 45)]),
    "hourglass": hourglass,
    "ring": lambda wide: disc(0, 0, 20).difference(disc(0, 0, 20 - wide)),
    "uneven ring": lambda wide: disc(0, 0, 20).difference(disc(5, 0, 15 - wide)),
    "notch near a hole": lambda wide: (
        box(0, 0, 40, 40)
        .difference(box(10, 10, 30, 25))
        .difference(Polygon([(15, 41), (25, 41), (20, 25 + wide)]))
    ),
}
NARROW_GAPS = {
    "slot": lambda wide: box(0, 0, 60, 40).difference(box(20, -1, 20 + wide, 20)),
    "between islands": lambda wide: MultiPolygon([box(0, 0, 20, 40), box(20 + wide, 0, 40, 40)]),
    "round hole": lambda wide: box(0, 0, 40, 40).difference(disc(20, 20, wide / 2)),
    "slit": lambda wide: box(0, 0, 40, 40).difference(box(10, 10, 30, 10 + wide)),
    "between discs": lambda wide: MultiPolygon([disc(0, 0, 20), disc(40 + wide, 0, 20)]),
    "a tip near a bar": lambda wide: MultiPolygon(
        [box(-30, -10, 30, -wide), Polygon([(0, 0), (20, 40), (-20, 40)])]
    ),
}


@pytest.mark.parametrize("turn", [0, 17, 61, 90])
@pytest.mark.parametrize("name", NARROW)
def test_cloth_narrower_than_its_border_is_one_thin_part(name: str, turn: float) -> None:
    places = thin(affinity.rotate(NARROW[name](3.9), turn))
    assert [place.kind for place in places] == ["cloth"]
    assert places[0].width == pytest.approx(3.9, abs=0.05)


@pytest.mark.parametrize("turn", [0, 17, 61, 90])
@pytest.mark.parametrize("name", NARROW)
@pytest.mark.parametrize("wide", [4.0, 4.1])
def test_cloth_as_wide_as_its_border_is_none(name: str, wide: float, turn: float) -> None:
    assert thin(affinity.rotate(NARROW[name](wide), turn)) == ()


@pytest.mark.parametrize("turn", [0, 17, 61, 90])
@pytest.mark.parametrize("name", NARROW_GAPS)
def test_a_gap_narrower_than_the_border_is_one_thin_part(name: str, turn: float) -> None:
    places = thin(affinity.rotate(NARROW_GAPS[name](3.9), turn))
    assert [place.kind for place in places] == ["gap"]
    assert places[0].width == pytest.approx(3.9, abs=0.05)


@pytest.mark.parametrize("turn", [0, 17, 61, 90])
@pytest.mark.parametrize("name", NARROW_GAPS)
@pytest.mark.parametrize("wide", [4.0, 4.1])
def test_a_gap_as_wide_as_the_border_is_none(name: str, wide: float, turn: float) -> None:
    assert thin(affinity.rotate(NARROW_GAPS[name](wide), turn)) == ()


@pytest.mark.parametrize(
    "shape",
    [
        box(0, 0, 50, 50),
        disc(0, 0, 20),
        star(5, 50, 50 * math.sin(math.radians(18)) / math.sin(math.radians(126))),  # tips of 36 degrees
        star(8, 40, 20),
        spike(30),
        spike(16),
        zigzag(15),  # corners of 30 degrees
        zigzag(10),
        box(-40, -70, 40, 60).difference(affinity.scale(spike(20), 1, -1)),
        disc(0, 0, 30).difference(disc(14, 0, 28)),  # a crescent
        box(-20, -20, 20, 20).buffer(3).buffer(-2),
    ],
)
@pytest.mark.parametrize("turn", [0, 33])
def test_a_plain_corner_is_no_thin_part(shape: Polygon, turn: float) -> None:
    assert thin(affinity.rotate(shape, turn)) == ()


@pytest.mark.parametrize("degrees", [5, 8, 12])
def test_a_spike_is_a_thin_part(degrees: float) -> None:
    assert kinds(spike(degrees)) == ["cloth"]
    assert kinds(box(-40, -20, 40, 70).difference(affinity.translate(spike(degrees, 75), 0, 0))) == ["gap"]


def test_a_bump_or_dent_that_the_border_hides_is_none() -> None:
    block = box(0, 0, 30, 30)
    assert thin(block.union(box(10, 29, 13, 30.6))) == ()
    assert thin(block.difference(box(10, 29.4, 13, 31))) == ()
    assert kinds(block.union(box(10, 29, 13, 32))) == ["cloth"]


def test_a_loose_scrap_and_a_pinhole_are_named_however_small() -> None:
    block = box(0, 0, 30, 30)
    assert kinds(MultiPolygon([block, box(50, 0, 50.3, 0.4)])) == ["cloth"]
    assert kinds(block.difference(box(10, 10, 10.3, 10.4))) == ["gap"]


def test_the_places_stand_narrowest_first_and_lie_where_the_thin_part_is() -> None:
    shape = shapely.union_all([box(0, 0, 30, 30), box(29, 5, 60, 8), box(29, 20, 60, 22)])
    places = thin(shape)
    assert [round(place.width, 1) for place in places] == [2.0, 3.0]
    x0, y0, x1, y1 = places[0].box
    assert (x0, x1) == (pytest.approx(30, abs=2.1), pytest.approx(60, abs=0.1))
    assert (y0, y1) == (pytest.approx(20, abs=2.1), pytest.approx(22, abs=2.1))


def test_no_cloth_has_no_thin_part() -> None:
    assert thin(MultiPolygon()) == ()


@given(st.floats(1.0, 3.9), st.floats(0, 180), st.floats(-50, 50), st.floats(5, 60))
def test_a_neck_of_any_width_and_way_is_one_place(wide: float, turn: float, x: float, long: float) -> None:
    shape = shapely.union_all(
        [box(-30, 0, 0, 30), box(long, 0, long + 30, 30), box(-1, 10, long + 1, 10 + wide)]
    )
    places = thin(affinity.rotate(affinity.translate(shape, x, 0), turn))
    assert [place.kind for place in places] == ["cloth"]
    assert places[0].width == pytest.approx(wide, abs=0.06)


@given(st.floats(0.5, 10), st.floats(0.1, 10))
def test_thin_is_what_is_narrower_than_its_own_border(wide: float, border: float) -> None:
    named = bool(thin(box(0, 0, 100, wide), border))
    assert named == (wide < border) or abs(wide - border) < 0.06


class TestTheCut:
    """Slivers where the end of a front cuts a letter: the right front keeps what is left of the cut."""

    def at(self, shape: object, cut_x: float, side: int = 1) -> tuple[ThinPlace, ...]:
        cloth = simplified(as_multi(shape))
        return thin_at_cut(cloth, BORDER, cut_x, side, thin_places(cloth, BORDER))

    @pytest.mark.parametrize("side", [1, -1])
    def test_a_strip_left_of_a_stroke_is_a_sliver(self, side: int) -> None:
        stroke = box(0, 0, 20, 60) if side > 0 else box(-20, 0, 0, 60)
        (sliver,) = self.at(stroke, side * 3.9, side)
        assert sliver.width == pytest.approx(3.9, abs=0.05)
        assert self.at(stroke, side * 4.1, side) == ()

    def test_a_cap_of_a_disc_is_a_sliver_until_it_is_as_high_as_the_border(self) -> None:
        assert len(self.at(disc(30, 0, 30), 3.9)) == 1
        assert self.at(disc(30, 0, 30), 6.0) == ()

    def test_a_cut_near_a_hole_leaves_a_neck(self) -> None:
        frame = box(-40, -40, 40, 40).difference(box(-10, -10, 10, 10))
        (neck,) = self.at(frame, 13.9)
        assert neck.width == pytest.approx(3.9, abs=0.05)
        assert self.at(frame, 14.1) == ()

    def test_an_edge_nearly_along_the_cut_leaves_a_spike(self) -> None:
        lean = Polygon([(-2, -60), (20, -60), (20, 60), (8, 60)])  # its left edge leans by 4.8 degrees
        assert len(self.at(lean, 6.0)) == 1

    def test_what_is_thin_anyway_is_not_named_again(self) -> None:
        assert self.at(box(-60, 0, 60, 3), 5.0) == ()
        assert self.at(shapely.union_all([box(-60, 0, 60, 3), box(-40, 0, 3, 40)]), 3.0) == ()

    def test_what_does_not_reach_the_cut_is_not_looked_at(self) -> None:
        assert self.at(box(-60, 0, -50, 40), 5.0) == ()
        assert self.at(box(50, 0, 60, 40), 5.0) == ()
        assert self.at(MultiPolygon(), 5.0) == ()


def test_a_waist_stands_square_on_what_it_faces() -> None:
    (waist,) = (w for w in waists(as_multi(hourglass(2.0)), 4.0, 1.0) if w.start[0] < 0)
    assert (waist.width, waist.start, waist.end) == (2.0, (-1.0, 0.0), (1.0, 0.0))


def test_nothing_but_cloth_lies_across_a_waist() -> None:
    """Beyond a slanting slit lies another cloth, whose far edge faces the corner squarely."""
    near = Polygon([(2, -4), (10.2, -4), (10, 0), (10.2, 4), (10, 4)])
    far = Polygon([(1, -4), (9, 4), (-5, 4), (-5, -4)])
    assert waists(MultiPolygon([near, far]), 20.0, 1.0) == ()
    assert waists(as_multi(near.union(far).buffer(1).buffer(-1)), 20.0, 1.0) != ()
