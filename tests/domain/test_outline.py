import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LinearRing, Point

from floor.domain.outline import (
    TALLEST_MM,
    Figure,
    Outline,
    OutlineError,
    read_outline,
)
from tests.domain.outlines import SQUARE, refusal, svg


def area(outline: Outline) -> float:
    def ring_area(ring: tuple[tuple[float, float], ...]) -> float:
        after = (*ring[1:], ring[0])
        return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, after, strict=True))) / 2

    return sum(ring_area(ring) for ring in outline.rings)


class TestShapes:
    @pytest.mark.parametrize(
        ("body", "expected"),
        [
            ('<circle r="10" cx="5" cy="5"/>', math.pi * 100),
            ('<ellipse rx="10" ry="4"/>', math.pi * 40),
            ('<rect x="1" y="2" width="20" height="10" rx="3"/>', 200 - (4 - math.pi) * 9),
            ('<path d="M0,0 A5,5,0,0110,0 Z"/>', math.pi * 12.5),
            ('<path d="M0 0 Q 5 10 10 0 Z"/>', 2 / 3 * 10 * 5),
            ('<path d="M0 0 C 0 10 10 10 10 0 Z"/>', 60.0),
            ('<polygon points="0,0 10,0 10,10"/>', 50.0),
            ('<polyline points="0,0 10,0 10,10 0 0"/>', 50.0),
            ('<path d="M0 0h10v10h-10z m20 0 h10 v10 h-10 z"/>', 200.0),
            ('<rect width="10%" height="10%"/>', 200.0),
            ('<rect width="1in" height="25.4mm"/>', 96.0**2),
        ],
    )
    def test_a_shape_has_its_closed_form_area(self, body: str, expected: float) -> None:
        assert area(read_outline(svg(body))) == pytest.approx(expected, rel=1e-3)

    def test_y_points_up(self) -> None:
        ring = read_outline(svg('<path d="M0 10 L10 30 L5 40 Z"/>')).rings[0]
        assert ring == ((0.0, -10.0), (10.0, -30.0), (5.0, -40.0))

    @pytest.mark.parametrize("height", [60.0, 300.0, 3000.0])
    @pytest.mark.parametrize("drawn", [0.3, 100.0, 90_000.0])
    def test_a_circle_strays_at_most_a_twentieth_of_a_mm_at_its_height(
        self, height: float, drawn: float
    ) -> None:
        outline = read_outline(svg(f'<circle r="{drawn}"/>'), height).scaled(height, (0.0, 0.0))
        ring = outline.rings[0]
        middles = [math.hypot((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise((*ring, ring[0]))]
        assert height / 2 - min(middles) <= min(0.05, height / 10_000) * 1.000001
        assert max(math.hypot(*point) for point in ring) <= height / 2 * (1 + 1e-9)
        assert len(ring) < 500

    def test_an_outline_read_without_a_height_holds_for_three_metres(self) -> None:
        body = '<path transform="skewX(30)" d="M0 0 C0 80 100 80 100 0 S150 -60 0 0 Z"/>'
        ring, exact = (
            LinearRing(read_outline(svg(body), height).scaled(3000, (0.0, 0.0)).rings[0])
            for height in (TALLEST_MM, 1000 * TALLEST_MM)
        )
        assert len(ring.coords) * 10 < len(exact.coords)
        assert max(ring.distance(Point(point)) for point in exact.coords) <= 0.05

    def test_the_box_of_a_curve_is_exact(self) -> None:
        body = '<circle r="10" cx="5" cy="5" transform="rotate(17) skewX(20)"/>'
        x0, y0, x1, y1 = read_outline(svg(body)).bounds
        cos, sin, tan = (f(math.radians(a)) for f, a in ((math.cos, 17), (math.sin, 17), (math.tan, 20)))
        assert x1 - x0 == pytest.approx(20 * math.hypot(cos, cos * tan - sin), rel=1e-12)
        assert y1 - y0 == pytest.approx(20 * math.hypot(sin, sin * tan + cos), rel=1e-12)

    def test_a_repeated_start_is_kept_once(self) -> None:
        assert len(read_outline(svg('<path d="M0 0 L9 0 L9 9 L0 0 Z"/>')).rings[0]) == 3


class TestPlaces:
    def test_transforms_of_groups_apply_from_the_inside_out(self) -> None:
        body = f'<g transform="translate(10 5)"><g transform="scale(3)">{SQUARE}</g></g>'
        assert read_outline(svg(body)).bounds == pytest.approx((10, -11, 16, -5))

    def test_a_skewed_circle_keeps_its_area_times_the_determinant(self) -> None:
        body = '<circle r="10" cx="5" cy="5" transform="matrix(1 0.5 0 2 3 4)"/>'
        outline = read_outline(svg(body))
        assert area(outline) == pytest.approx(math.pi * 200, rel=1e-3)
        assert outline.bounds[3] - outline.bounds[1] == pytest.approx(2 * 10 * math.hypot(0.5, 2), rel=1e-3)

    def test_a_use_repeats_its_shape_where_it_says(self) -> None:
        body = f'<defs><g id="s">{SQUARE}</g></defs><use href="#s" x="5"/><use xlink:href="#s" y="7"/>'
        outline = read_outline(svg(body))
        assert len(outline.rings) == 2
        assert outline.bounds == pytest.approx((0, -9, 7, 0))

    def test_a_symbol_fills_the_size_of_its_use(self) -> None:
        body = (
            '<symbol id="s" viewBox="0 0 10 10"><rect width="10" height="10"/></symbol>'
            '<use href="#s" x="5" y="6" width="20" height="20"/>'
        )
        assert read_outline(svg(body)).bounds == pytest.approx((5, -26, 25, -6))

    @pytest.mark.parametrize(
        "hidden",
        [
            '<path display="none" d="M0 0 L9 9"/>',
            '<g style="fill:red; display : NONE"><text>note</text><path d="M0 0 L9 9"/></g>',
            '<style>/* a */ .guide, .x { display: none }</style><path class="a guide" d="M0 0 L9 9"/>',
            '<style>#g{display:none}</style><image id="g"/>',
            '<defs><path d="M0 0 L9 9"/></defs><clipPath id="c"><path d="M0 0 L9 9"/></clipPath>',
        ],
    )
    def test_what_is_not_drawn_is_left_out(self, hidden: str) -> None:
        assert read_outline(svg(hidden + SQUARE)).bounds == pytest.approx((0, -2, 2, 0))


class TestRefusals:
    @pytest.mark.parametrize(
        ("body", "part"),
        [
            (
                '<path d="M0 0 L10 0 L10 10"/>',
                "the 1st path (line 1) is open: its ends are 14.14 units apart",
            ),
            (
                SQUARE + '<path id="bar" d="M0 0 L3 0 L3 4"/>',
                "the 1st path (line 1) is open: its ends are 5.00 units apart",
            ),
            (
                '<path d="M0 0h1v1z"/>\n' * 2 + '<path d="M0 0h1v1z M5 5 h3"/>',
                "the 3rd path (line 3) is open: its ends are 3.00",
            ),
            ('<line x2="3" y2="4"/>', "has only strokes, the first of them the 1st line (line 1)"),
            ('<text id="t">LARK</text>', "the 1st text (line 1) is text"),
            ("<text>LARK</text>", "turn text into outlines"),
            ('<image href="a.png"/>', "the 1st image (line 1) is a picture"),
            ("", "draws no closed shape"),
            ('<rect width="0" height="3"/>', "draws no closed shape"),
            ('<path d="M0 0 L10 0 20 0Z"/>', "no height or no width"),
            ('<rect width="2" height="1" transform="scale(1 0)"/>', "draws no closed shape"),
            ('<g id="a"><use href="#a"/></g>', "repeats itself"),
            ('<use href="other.svg#a"/>', "the 1st use (line 1) repeats a shape that is not in the file"),
            ('<path d="M0 0 foo L 3 3Z"/>', "has no path command after 5 characters"),
            ('<path d="M0 0 L3Z"/>', "too few or too many numbers"),
            ('<path d="M0 0 H Z"/>', "too few or too many numbers"),
            ('<path d="M0 0 L3 3 1 4 A Z"/>', "too few or too many numbers"),
            ('<path d="L3 3Z"/>', "does not begin with a move"),
            ('<path d="M0 0 L1e400 3 4 4Z"/>', "beyond all bounds"),
            ('<polygon points="0,0 10"/>', "not pairs of numbers"),
            (
                '<rect width="zz" height="1"/>',
                "the 1st rect (line 1) has a width that cannot be read as a length",
            ),
            ('<rect width="1e9" height="1"/>', "beyond all bounds"),
            (
                '<g transform="rotate(a)"><path d="M0 0Z"/></g>',
                "the 1st g (line 1) has a transform that cannot be read",
            ),
            (f'<g clip-path="url(#c)">{SQUARE}</g>', "the 1st g (line 1) is clipped"),
            (f'<g style="transform: scale(2)">{SQUARE}</g>', "moved by its style"),
        ],
    )
    def test_a_drawing_that_cannot_be_sewn_is_refused_by_name(self, body: str, part: str) -> None:
        assert part in refusal(svg(body))

    @pytest.mark.parametrize(
        ("text", "part"),
        [
            ("", "not XML"),
            ("a drawing", "not XML"),
            (svg("<g>"), "not XML"),
            (svg("\ud800"), "not XML"),
            (svg("\0"), "not XML"),
            ("<html/>", "first element is not svg"),
            ('<svg xmlns="urn:else"/>', "is not svg"),
        ],
    )
    def test_what_is_no_svg_is_refused(self, text: str, part: str) -> None:
        assert part in refusal(text)

    def test_ends_within_a_hundredth_count_as_closed(self) -> None:
        assert area(read_outline(svg('<path d="M0 0 L10 0 L10 10 L0.009 0"/>'))) == pytest.approx(
            50, abs=0.05
        )
        assert "0.02 units apart" in refusal(svg('<path d="M0 0 L10 0 L10 10 L0.02 0"/>'))


coordinates = st.integers(-1000, 1000).map(float)


class TestScaled:
    @given(
        st.lists(st.tuples(coordinates, coordinates), min_size=3, unique=True),
        st.floats(1, 3000),
        st.tuples(coordinates, coordinates),
    )
    def test_a_scaled_outline_has_its_height_and_centre_and_keeps_its_proportions(
        self, ring: list[tuple[float, float]], height: float, centre: tuple[float, float]
    ) -> None:
        outline = Outline((Figure((tuple(ring),)),))
        x0, y0, x1, y1 = outline.bounds
        if y0 == y1:
            return
        u0, v0, u1, v1 = outline.scaled(height, centre).bounds
        assert v1 - v0 == pytest.approx(height)
        assert ((u0 + u1) / 2, (v0 + v1) / 2) == pytest.approx(centre, abs=height * 1e-6)
        assert (u1 - u0) * (y1 - y0) == pytest.approx((x1 - x0) * height, abs=1e-6)

    @pytest.mark.parametrize("height", [0.0, -1.0, math.nan, math.inf])
    def test_no_outline_is_scaled_to_nothing(self, height: float) -> None:
        with pytest.raises(OutlineError, match="more than 0 mm"):
            read_outline(svg(SQUARE)).scaled(height, (0.0, 0.0))
