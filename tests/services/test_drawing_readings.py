"""The place check's picture: what is read, near at hand, with every figure and pin where an eye finds it."""

from __future__ import annotations

from dataclasses import replace
from xml.etree.ElementTree import Element

import pytest

from floor.domain.checklist import Phase, Reading
from floor.domain.fronts import Seam
from floor.domain.job import Design
from floor.domain.plan import JobPlan
from floor.domain.seam import Crossing
from floor.drawing.bench import closed
from floor.drawing.colours import CHALK, INK, PAPER, WHITE
from floor.drawing.half import halves
from floor.drawing.marks import around_lines, at_the_lines, spread
from floor.drawing.sheet import Sheet
from tests.services.drawing_cases import (
    assert_apart_and_whole,
    discs,
    drawn,
    job_on,
    outline,
    picture_of,
    plan_of,
    read,
    shape,
    tags,
)

NARROW = (
    85.0,
    4.0,
)  # the design's centre, mm: the right front gets a sliver of it, the left one a wide stretch
Circle = tuple[float, float, float]


def circles(picture: Element, fill: str) -> list[Circle]:
    found = [circle for circle in tags(picture, "circle") if circle.get("fill") == fill]
    return [(float(c.get("cx", 0)), float(c.get("cy", 0)), float(c.get("r", 0))) for c in found]


def plan_with_centre(centre: tuple[float, float]) -> JobPlan:
    job = job_on("split-front")
    return plan_of(replace(job, design=replace(job.design, centre=centre)), outline(centre=centre))


@pytest.mark.parametrize("key", ["check-place", "measure-other"])
@pytest.mark.parametrize("centre", [(10.0, 4.0), NARROW])
def test_every_figure_lies_whole_within_the_picture_and_apart(key: str, centre: tuple[float, float]) -> None:
    plan = plan_with_centre(centre)
    for section in ("front-left", "front-right"):
        if (section, key) == ("front-left", "measure-other"):
            continue  # the top front is sewn first
        picture = picture_of(plan, section, key)
        assert [mark for mark, *_ in sorted(discs(picture))] == list("1234")
        assert_apart_and_whole(picture)


def test_a_long_hoop_is_left_out_of_sight_where_nothing_is_read() -> None:
    job = job_on("split-front")
    plan = plan_of(replace(job, hoop=replace(job.hoop, field=(900.0, 240.0))))
    picture = picture_of(plan, "front-left", "check-place")
    assert float((picture.get("viewBox") or "").split()[2]) < 450


def test_no_pin_lies_over_a_button_of_a_front_that_gets_a_sliver_of_the_design() -> None:
    picture = picture_of(plan_with_centre(NARROW), "front-right", "pin")
    pins, buttons = circles(picture, PAPER), circles(picture, WHITE)
    assert len(pins) == 4
    assert buttons
    for x, _, r in pins:
        assert all(x + r < cx - size for cx, _, size in buttons)


class TestAFrontAsItWasSewn:
    """Read where its sewing crosses the opening, which may be near the middle of a tall window."""

    def test_has_its_figures_at_the_crossings(self) -> None:
        job = job_on("split-front", design=Design("low.svg", 100), layers=job_on("split-front").layers[:1])
        # A low bar crosses the opening; a tall block far from it makes the window's lines.
        plan = plan_of(job, outline(shape("M0 40H150V60H0Z M120 0H150V100H120Z"), centre=(0, 0)))
        upper, lower = (10 + 5 + 2), -(10 + 5 + 2)  # half of the bar, the cloth's offset, half of its border
        found = {mark: (x, y) for mark, x, y, _ in discs(picture_of(plan, "front-right", "measure-other"))}
        assert found["3"][1] - found["4"][1] >= upper - lower
        assert found["3"][1] + found["4"][1] == pytest.approx(upper + lower, abs=0.1)
        picture = picture_of(plan, "front-right", "measure-other")
        level = [points for points in drawn(picture, stroke=CHALK) if points[0][1] == points[-1][1]]
        heights = {round(points[0][1]) for points in level}
        assert {upper, lower} <= heights
        assert_apart_and_whole(picture)


class TestAGarmentThatDoesNotOpen:
    def test_is_read_at_its_drawn_top_bottom_and_centre_line(self) -> None:
        plan = plan_of(job_on("closed"))
        picture = picture_of(plan, "front-whole", "check-place")
        y0, y1 = plan.sizes["M"].window
        found = {mark: (x, y) for mark, x, y, _ in discs(picture)}
        assert (found["1"][1], found["2"][1]) == pytest.approx((y1, y0), abs=0.01)
        assert found["1"][0] == found["2"][0] > plan.sizes["M"].fronts["whole"].pieces[0].sewn_bounds[2]
        assert [found[mark][0] for mark in "34"] == pytest.approx([10, 10])
        assert found["3"][1] > y1
        assert found["4"][1] < y0
        lines = [points for points in drawn(picture, stroke=INK) if len(points) == 2]
        levels = {points[0][1] for points in lines if points[0][1] == points[1][1]}
        uprights = {points[0][0] for points in lines if points[0][0] == points[1][0]}
        assert {round(y0, 1), round(y1, 1)} <= {round(level, 1) for level in levels}
        assert 10.0 in uprights
        assert_apart_and_whole(picture)

    @pytest.mark.parametrize("d", ["M0 0H4V100H0Z", "M0 0H300V60H0Z"])
    def test_has_its_figures_apart_however_narrow_or_wide_it_is(self, d: str) -> None:
        job = job_on("closed", design=Design("any.svg", 100, (0, 0)))
        plan = plan_of(replace(job, layers=job.layers[:1]), outline(shape(d), centre=(0, 0)))
        assert_apart_and_whole(picture_of(plan, "front-whole", "check-place"))

    def test_of_a_run_of_before_is_read_at_a_drawn_cross(self) -> None:
        phase = Phase("check-place", "", "", "hands", (1, 1), 1, picture="check", readings=(
            Reading("along", "", 0, -1, 1, -9, 9, mark="1"), Reading("across", "", 0, -1, 1, -9, 9, mark="2"),
        ))  # fmt: skip
        (half,) = halves(plan_of(job_on("closed")), "M", 0)
        sheet = Sheet(around_lines(half))
        picture = read(sheet.document(at_the_lines(sheet, half, phase)))
        found = {mark: (x, y) for mark, x, y, _ in discs(picture)}
        assert (found["1"][1], found["2"][0]) == (4, 10)  # the design's centre
        assert_apart_and_whole(picture)

    def test_shows_no_more_of_its_hoop_than_figures_need(self) -> None:
        job = job_on("closed")
        plan = plan_of(replace(job, hoop=replace(job.hoop, field=(900.0, 900.0))))
        _, _, width, height = map(
            float, (picture_of(plan, "front-whole", "check-place").get("viewBox") or "").split()
        )
        x0, y0, x1, y1 = plan.sizes["M"].fronts["whole"].extent or (0, 0, 0, 0)
        assert width < 1.4 * (x1 - x0) or height < 1.5 * (y1 - y0)


class TestWhereTheHalvesMeet:
    """A garment closed and compared. The seam lies at x = -12."""

    def compared(self, d: str, layers: int = 1) -> Element:
        job = job_on("split-front", design=Design("any.svg", 100, (0, 0)))
        job = replace(job, layers=job.layers[2 - layers :])
        return picture_of(plan_of(job, outline(shape(d), centre=(0, 0))), "finish", "compare")

    def test_a_step_and_a_gap_are_asked_at_the_upper_the_middle_and_the_lower_crossing(self) -> None:
        # Bars at y = 50 to 30, 10 to 5 and -40 to -50: of the four between, the middle's nearest is at 5.
        picture = self.compared("M0 0H150V20H0Z M0 40H150V45H0Z M0 90H150V100H0Z")
        found = {mark: y for mark, _, y, _ in discs(picture)}
        assert found == {
            mark: pytest.approx(y, abs=0.1)
            for mark, y in zip("123456", (50, 50, 5, 5, -50, -50), strict=True)
        }
        sides = {mark: x > -12 for mark, x, _, _ in discs(picture)}
        assert len({sides[mark] for mark in "135"}) == len({sides[mark] for mark in "246"}) == 1
        assert sides["1"] != sides["2"]
        assert_apart_and_whole(picture)

    def test_two_crossings_have_no_middle_one(self) -> None:
        picture = self.compared("M0 0H150V100H0Z")
        assert sorted(mark for mark, *_ in discs(picture)) == ["1", "2", "5", "6"]
        assert_apart_and_whole(picture)

    def test_crossings_near_one_another_have_their_figures_apart(self) -> None:
        for d in ("M0 0H20V100H0Z M20 49H150V51H20Z", "M0 0H20V100H0Z M20 47H150V53H20Z"):
            for layers in (1, 2):
                assert_apart_and_whole(self.compared(d, layers))

    def test_one_crossing_alone_is_the_upper_one(self) -> None:
        # Two cloths whose edges cross at one height count as one crossing.
        phase = Phase("compare", "", "", "hands", (1, 1), 1, readings=tuple(
            Reading(id, "", 0, 0, 1, 0, 2, mark=mark) for id, mark in (("step-upper", "1"), ("gap-upper", "2"))
        ), picture="closed")  # fmt: skip
        plan = plan_of(job_on("split-front"))
        top, under = halves(plan, "M", 0)
        seam = replace(top.size.seam or Seam(0, ()), crossings=(Crossing(0, 7.0, (0.0, 1.0)),) * 2)
        top = replace(top, size=replace(top.size, seam=seam))
        picture = read(closed((top, under), phase))
        assert [(mark, y) for mark, _, y, _ in discs(picture)] == [("1", 7.0), ("2", 7.0)]
        assert_apart_and_whole(picture)

    def test_a_run_of_before_is_asked_one_step_and_one_gap(self) -> None:
        phase = Phase("compare", "", "", "hands", (1, 1), 1, readings=tuple(
            Reading(id, "", 0, 0, 1, 0, 2, mark=mark) for id, mark in (("step", "1"), ("gap", "2"))
        ), picture="closed")  # fmt: skip
        plan = plan_of(job_on("split-front"))
        seam = plan.sizes["M"].seam
        assert seam is not None
        heights = [crossing.y for crossing in seam.crossings]
        found = {mark: y for mark, _, y, _ in discs(read(closed(halves(plan, "M", 0), phase)))}
        assert found == {"1": pytest.approx(max(heights), abs=0.1), "2": pytest.approx(min(heights), abs=0.1)}

    def test_a_design_that_crosses_nowhere_is_shown_whole(self) -> None:
        picture = self.compared("M0 0H40V100H0Z M140 0H150V100H140Z")
        assert discs(picture) == []

    def test_rows_are_moved_as_little_as_keeps_them_apart(self) -> None:
        assert spread((50.0, 5.0, -50.0), 20.0) == (50.0, 5.0, -50.0)
        assert spread((50.0, 45.0, -50.0), 20.0) == (50.0, 30.0, -50.0)
        assert spread((4.0, -2.0), 20.0) == (11.0, -9.0)
        assert spread((4.0, 3.0, 0.0), 20.0) == (22.0, 2.0, -18.0)
        assert spread((4.0,), 20.0) == (4.0,)
