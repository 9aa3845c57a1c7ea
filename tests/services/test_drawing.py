"""What holds for every picture of the run page, the job's pages and the ticket, and what each shows."""

from __future__ import annotations

import gzip
import re
from dataclasses import replace
from xml.etree.ElementTree import Element

import pytest

from floor.domain.checklist import Checklist, Phase
from floor.domain.job import Border, Design, Layer
from floor.domain.plan import JobPlan
from floor.domain.plan_warnings import PlanWarning
from floor.domain.points import Point
from floor.drawing import apart_picture, closed_picture, front_picture, phase_picture
from floor.drawing.colours import (
    CAUTION,
    CHALK,
    CHALK_PALE,
    CUT,
    DARKEST_TINT,
    INK,
    NEUTRAL,
    luminance,
    named,
    tint,
)
from floor.drawing.seam import stretches
from tests.services.drawing_cases import (
    ROUTES,
    SECRET,
    box_of,
    drawn,
    figures,
    job_on,
    outline,
    picture_of,
    pictures,
    plan_of,
    read,
    shape,
    tags,
)

MOST_BYTES = 15_000
ELEMENTS = {"svg", "defs", "pattern", "clipPath", "g", "path", "rect", "circle", "use", "text"}


def all_of(plan: JobPlan) -> list[str]:
    """Every picture of a job."""
    whole = [closed_picture(plan, "M"), closed_picture(plan, "M", warnings=True), apart_picture(plan, "M")]
    fronts = [front_picture(plan, "M", front, warnings=True) for front in plan.job.fronts]
    return [svg for _, _, svg in pictures(plan)] + whole + fronts


@pytest.mark.parametrize("route", ROUTES)
class TestEveryPicture:
    def test_is_small_and_holds_no_more_than_a_strict_policy_allows(self, route: str) -> None:
        for svg in all_of(plan_of(job_on(route))):
            picture = read(svg)
            assert len(gzip.compress(svg.encode())) < MOST_BYTES
            assert {element.tag.rpartition("}")[2] for element in picture.iter()} <= ELEMENTS
            names = {name.rpartition("}")[2] for element in picture.iter() for name in element.attrib}
            assert not names & {"style", "class"}
            assert not any(name.startswith("on") for name in names)

    def test_refers_to_nothing_but_what_it_holds_itself(self, route: str) -> None:
        for svg in all_of(plan_of(job_on(route))):
            ids = [element.get("id") for element in read(svg).iter() if element.get("id")]
            assert len(ids) == len(set(ids))
            references = re.findall(r'href="([^"]*)"|url\(([^)]*)\)', svg)
            assert {one or other for one, other in references} == {f"#{name}" for name in ids}
            assert "://" not in svg.replace('xmlns="http://www.w3.org/2000/svg"', "")

    def test_repeats_no_word_of_the_job_or_of_its_file(self, route: str) -> None:
        for svg in all_of(plan_of(job_on(route))):
            assert SECRET not in svg
            assert set(figures(read(svg))) <= {*"123456", "R", "L"}

    def test_has_a_cut_line_exactly_where_scissors_cut(self, route: str) -> None:
        plan = plan_of(job_on(route))
        found = {(phase.picture == "trim", CUT in svg) for _, phase, svg in pictures(plan)}
        assert found == {(True, True), (False, False)}

    def test_has_no_line_heavier_than_the_cut(self, route: str) -> None:
        for _, phase, svg in pictures(plan_of(job_on(route))):
            if phase.picture != "trim":
                continue
            dashed = [use for use in tags(read(svg), "use") if use.get("stroke-dasharray")]
            # A border's stitches, across its whole width, are cloth rather than line.
            sewn = {"stroke-linejoin": "bevel"}.items()
            widths = {
                use.get("stroke"): float(use.get("stroke-width", ""))
                for use in dashed
                if not sewn <= use.attrib.items()
            }
            assert all(width <= 0.5 * widths[CUT] for line, width in widths.items() if line != CUT), phase.key

    def test_has_stitches_in_chalk_exactly_while_a_border_is_sewn(self, route: str) -> None:
        plan = plan_of(job_on(route))
        found = {(phase.picture == "border", CHALK_PALE in svg) for _, phase, svg in pictures(plan)}
        assert found == {(True, True), (False, False)}

    def test_marks_the_places_that_a_check_asks_to_measure(self, route: str) -> None:
        for _, phase, svg in pictures(plan_of(job_on(route))):
            if phase.picture == "check":
                asked = sorted(reading.mark for reading in phase.readings)
                assert asked
                assert figures(read(svg)) == asked, phase.key

    def test_is_the_same_whenever_it_is_drawn(self, route: str) -> None:
        assert all_of(plan_of(job_on(route))) == all_of(plan_of(job_on(route)))


class TestALayer:
    def test_is_laid_as_a_blank_of_its_true_size_around_the_cloth(self) -> None:
        plan = plan_of(job_on("split-front"))
        piece = plan.sizes["M"].fronts["left"].pieces[1]
        assert piece.blank is not None
        assert piece.bounds is not None
        picture = picture_of(plan, "front-left", "lay-letters")
        sizes = {(r.get("width"), r.get("height")): r for r in tags(picture, "rect")}
        width, height = piece.blank
        laid = sizes[f"{width:g}", f"{height:g}"]
        x0, y0, x1, y1 = piece.bounds
        assert float(laid.get("x", "")) + width / 2 == pytest.approx((x0 + x1) / 2, abs=0.01)
        assert float(laid.get("y", "")) + height / 2 == pytest.approx(-(y0 + y1) / 2, abs=0.01)

    def test_is_cut_at_the_taught_distance_from_its_tack_line(self) -> None:
        plan = plan_of(job_on("split-front"))
        bounds = plan.sizes["M"].fronts["left"].pieces[1].bounds
        assert bounds is not None
        picture = picture_of(plan, "front-left", "trim-letters")
        # 2 mm beyond the tack-down, which lies 1 mm inside the planned edge.
        cut = box_of(drawn(picture, stroke=CUT))
        assert cut == pytest.approx((bounds[0] - 1, bounds[1] - 1, bounds[2] + 1, bounds[3] + 1), abs=0.11)

    def test_is_tacked_1_mm_inside_its_edge(self) -> None:
        plan = plan_of(job_on("split-front"))
        bounds = plan.sizes["M"].fronts["right"].pieces[0].bounds
        assert bounds is not None
        tack = box_of(drawn(picture_of(plan, "front-right", "tack-zanzabelle"), stroke=CHALK))
        assert tack == pytest.approx((bounds[0] + 1, bounds[1] + 1, bounds[2] - 1, bounds[3] - 1), abs=0.11)

    def test_without_cloth_on_a_front_is_not_drawn_there(self) -> None:
        slim = Layer("Slim", "satin", "red", -1, True, "run", Border(2.5, 0.4, "red"))
        dots = outline(shape("M0 0H80V100H0ZM200 0H202V100H200Z"), centre=(0, 0))
        layers = (*job_on("split-front").layers[:1], replace(slim, offset=-5))
        plan = plan_of(job_on("split-front", layers=layers), dots)
        assert [piece.empty for piece in plan.sizes["M"].fronts["left"].pieces] == [False, True]
        left, right = (read(front_picture(plan, "M", front)) for front in ("left", "right"))
        assert list(drawn(left, stroke_width="2.5")) == []
        assert len(list(drawn(right, stroke_width="2.5"))) == 1


class TestTheMarks:
    def phase(self, picture: str, who: str = "machine") -> Checklist:
        phases = [Phase("lay", "", "", "hands", (1, 2), 60, picture="garment")]
        phases.append(Phase("last", "", "", who, (1, 2), 60, picture=picture))  # type: ignore[arg-type]
        return Checklist("front-right", "", "machine", "right", tuple(phases))

    def plan(self) -> JobPlan:
        """The right front holds only the lower of two shapes, so its own sewing is shorter than the window."""
        apart = outline(shape("M0 60H80V100H0ZM120 0H200V50H120Z"), centre=(0, 0))
        return plan_of(job_on("split-front", design=Design("apart.svg", 100)), apart)

    def assert_crossed(self, picture: Element, colour: str, marks: tuple[Point, ...]) -> None:
        lines = list(drawn(picture, stroke=colour, fill="none"))
        middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in lines]
        assert len(lines) == 2 * len(marks) == 4
        for x, y in marks:
            assert sum(abs(x - mx) < 0.11 and abs(y - my) < 0.11 for mx, my in middles) == 2

    def test_are_crosses_on_the_window_s_two_lines(self) -> None:
        plan = self.plan()
        marks = plan.sizes["M"].fronts["right"].marks
        assert len(marks) == 2
        picture = read(phase_picture(plan, self.phase("marks"), 1, "M"))
        self.assert_crossed(picture, CHALK, marks)

    def test_are_shown_quietly_while_the_place_is_checked(self) -> None:
        plan = self.plan()
        picture = read(phase_picture(plan, self.phase("check", "hands"), 1, "M"))
        assert list(drawn(picture, stroke=CHALK, fill="none")) == []
        self.assert_crossed(picture, INK, plan.sizes["M"].fronts["right"].marks)

    def test_are_in_the_picture_of_the_whole_front_that_needs_them_alone(self) -> None:
        plan = self.plan()
        picture = read(front_picture(plan, "M", "right"))
        self.assert_crossed(picture, CHALK, plan.sizes["M"].fronts["right"].marks)
        square = plan_of(job_on("split-front"), outline(shape("M0 0H150V90H0Z"), centre=(0, 0)))
        assert square.sizes["M"].fronts["left"].marks == ()
        assert list(drawn(read(front_picture(square, "M", "left")), stroke=CHALK)) == []


class TestWarnings:
    PLACE = (40.0, 10.0, 50.0, 20.0)

    def plan(self, **about: object) -> JobPlan:
        warning = PlanWarning("thin-part", "M", "left", "", 1, (self.PLACE,))
        plan = plan_of(job_on("split-front"))
        return replace(plan, warnings=(replace(warning, **about),))  # type: ignore[arg-type]

    def test_are_ringed_where_they_are_asked_for(self) -> None:
        plan = self.plan()
        for svg in (
            front_picture(plan, "M", "left", warnings=True),
            closed_picture(plan, "M", warnings=True),
        ):
            x0, y0, x1, y1 = box_of(drawn(read(svg), stroke=CAUTION))
            assert x0 < self.PLACE[0] < self.PLACE[2] < x1
            assert y0 < self.PLACE[1] < self.PLACE[3] < y1
        assert CAUTION not in front_picture(plan, "M", "left") + closed_picture(plan, "M")

    def test_are_ringed_on_their_own_size_and_front_alone(self) -> None:
        plan = self.plan()
        assert CAUTION not in front_picture(plan, "M", "right", warnings=True)
        assert CAUTION not in front_picture(plan, "XL", "left", warnings=True)
        everywhere = self.plan(size=None, front=None)
        assert CAUTION in front_picture(everywhere, "XL", "right", warnings=True)

    def test_near_one_another_share_a_ring(self) -> None:
        near = self.plan(places=(self.PLACE, (45.0, 12.0, 58.0, 22.0), (100.0, 0.0, 101.0, 1.0)))
        assert len(list(drawn(read(front_picture(near, "M", "left", warnings=True)), stroke=CAUTION))) == 2


class TestTheSeam:
    def test_has_a_ring_around_every_crossing_while_the_garment_is_compared(self) -> None:
        plan = plan_of(job_on("split-front"))
        seam = plan.sizes["M"].seam
        assert seam is not None
        assert len(seam.crossings) >= 4
        picture = picture_of(plan, "finish", "compare")
        rings = [rect for rect in tags(picture, "rect") if rect.get("stroke") == CHALK]
        spans = [(-float(r.get("y", "")) - float(r.get("height", "")), -float(r.get("y", ""))) for r in rings]
        for crossing in seam.crossings:
            assert any(low < crossing.y < high for low, high in spans)

    def test_crossings_near_one_another_share_a_ring(self) -> None:
        assert stretches([0, 4, 9, 20, 22], 6) == [(0, 9), (20, 22)]


class TestColours:
    def test_a_particular_name_wins_over_a_broad_one(self) -> None:
        assert named("Navy blue") == named("navy")
        assert named("light blue") != named("blue")

    def test_a_name_that_says_no_colour_is_drawn_neutral(self) -> None:
        assert named("moonshine 7") is None
        assert tint("moonshine 7") == NEUTRAL

    @pytest.mark.parametrize("name", ["black", "dark green", "burgundy", "charcoal", "navy"])
    def test_a_dark_cloth_is_lightened_until_lines_show_on_it(self, name: str) -> None:
        assert luminance(tint(name)) >= DARKEST_TINT
