"""The pictures of the run page, the job page and the ticket."""

from __future__ import annotations

import gzip
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from defusedxml.ElementTree import fromstring

import floor
from floor.domain.checklist import Checklist, Phase
from floor.domain.job import (
    Backing,
    Border,
    Design,
    Garment,
    Hoop,
    HouseRules,
    Job,
    Layer,
    Machine,
    Opening,
    OpeningSize,
)
from floor.domain.outline import Outline, read_outline
from floor.domain.route import Route, expand, read_route, sections_of
from floor.drawing import closed_picture, phase_picture
from floor.drawing.colours import CHALK_PALE, CUT, DARKEST_TINT, NEUTRAL, luminance, named, tint
from floor.drawing.edges import edge_lines
from floor.drawing.shape import MOST_POINTS, Limit, drawn_rings

MOST_BYTES = 15_000
ELEMENTS = {
    "svg", "defs", "pattern", "clipPath", "mask", "g", "path", "rect", "circle", "use", "text",
}  # fmt: skip
SECRET = "Zanzabelle"  # a name in the job and in the file, which no picture may repeat

BANNER = (
    f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100"><title>{SECRET}</title>'
    f'<path id="{SECRET}" fill-rule="evenodd" d="M0 0H60V70H0Z M20 20H40V50H20Z M70 0C120 -10 150 80 200 0V70H70Z"/>'
    '<path d="M0 84H200L190 100H0Z"/></svg>'
)
ROUTES = ("split-front", "closed", "crest")


def route_of(name: str) -> Route:
    return read_route((Path(floor.__file__).parent / "routes" / f"{name}.toml").read_text())


def job_on(route: str, **changes: object) -> Job:
    opening = Opening(170, 24, 2, 15, 8, 3, "left", {"XL": OpeningSize(190, 30)})
    job = Job(
        title=SECRET,
        customer=SECRET,
        due=date(2030, 1, 2),
        route=route,
        opening=opening if route == "split-front" else None,
        design=Design("banner.svg", 100, (10, 4)),
        layers=(
            Layer(SECRET, "felt", "navy blue", 5, True, "zigzag", Border(4, 0.4, "gold 40")),
            Layer("Letters", "twill", SECRET, 0, True, "double run", Border(3, 0.4, SECRET)),
        ),
        hoop=Hoop((340, 220), 5),
        backing=Backing("tearaway", 2),
        machine=Machine(650, 1),
        garments=(Garment(1, "M", SECRET), Garment(2, "XL")),
    )
    return replace(job, **changes)  # type: ignore[arg-type]


def outline(svg: str = BANNER) -> Outline:
    return read_outline(svg).scaled(100, (10, 4))


def checklists(job: Job) -> Iterator[Checklist]:
    route = route_of(job.route)
    for section in sections_of(route, job):
        garments = tuple(garment.number for garment in job.garments)
        yield expand(route, job, HouseRules(edge_sealing=True), section.key, garments, first_piece=True)


def pictures(
    job: Job, size: str = "M", drawing: Outline | None = None
) -> Iterator[tuple[Checklist, Phase, str]]:
    for checklist in checklists(job):
        for index, phase in enumerate(checklist.phases):
            yield checklist, phase, phase_picture(job, drawing or outline(), checklist, index, size)


def picture_of(job: Job, section: str, key: str, size: str = "M") -> Element:
    for checklist, phase, svg in pictures(job, size):
        if checklist.section == section and phase.key == key:
            return fromstring(svg)
    raise LookupError(key)


def tags(picture: Element, name: str) -> list[Element]:
    return [element for element in picture.iter() if element.tag.rpartition("}")[2] == name]


def figures(picture: Element) -> list[str]:
    return sorted(text.text or "" for text in tags(picture, "text"))


def clip_ends(picture: Element) -> set[float]:
    """The x of both sides of every clip."""
    rects = [clip[0] for clip in tags(picture, "clipPath")]
    ends = [(float(r.get("x", "")), float(r.get("width", ""))) for r in rects]
    return {round(x + extra, 2) for x, width in ends for extra in (0, width)}


def length(lines: object) -> float:
    total = 0.0
    for line in lines:  # type: ignore[attr-defined]
        points = (*line.points, line.points[0]) if line.closed else line.points
        total += sum(map(math.dist, points, points[1:]))
    return total


@pytest.mark.parametrize("route", ROUTES)
class TestEveryPicture:
    def test_is_small_and_holds_no_more_than_a_strict_policy_allows(self, route: str) -> None:
        for _, phase, svg in pictures(job_on(route)):
            picture = fromstring(svg)
            assert len(gzip.compress(svg.encode())) < MOST_BYTES, phase.key
            assert {element.tag.rpartition("}")[2] for element in picture.iter()} <= ELEMENTS, phase.key
            names = {name.rpartition("}")[2] for element in picture.iter() for name in element.attrib}
            assert not names & {"style", "class"}, phase.key
            assert not any(name.startswith("on") for name in names), phase.key

    def test_refers_to_nothing_but_what_it_holds_itself(self, route: str) -> None:
        for _, phase, svg in pictures(job_on(route)):
            ids = [element.get("id") for element in fromstring(svg).iter() if element.get("id")]
            assert len(ids) == len(set(ids)), phase.key
            references = re.findall(r'href="([^"]*)"|url\(([^)]*)\)', svg)
            assert {one or other for one, other in references} <= {f"#{name}" for name in ids}, phase.key
            assert "://" not in svg.replace('xmlns="http://www.w3.org/2000/svg"', ""), phase.key

    def test_repeats_no_word_of_the_job_or_of_its_file(self, route: str) -> None:
        job = job_on(route)
        assert not any(SECRET in svg for _, _, svg in pictures(job))
        assert SECRET not in closed_picture(job, outline(), "M")

    def test_has_a_cut_line_exactly_where_scissors_cut(self, route: str) -> None:
        found = {(phase.picture == "trim", CUT in svg) for _, phase, svg in pictures(job_on(route))}
        assert found == {(True, True), (False, False)}

    def test_has_stitches_in_chalk_exactly_while_a_border_is_sewn(self, route: str) -> None:
        found = {(phase.picture == "border", CHALK_PALE in svg) for _, phase, svg in pictures(job_on(route))}
        assert found == {(True, True), (False, False)}

    def test_marks_the_places_that_a_check_asks_to_measure(self, route: str) -> None:
        for _, phase, svg in pictures(job_on(route)):
            if phase.picture == "check":
                assert phase.readings
                assert figures(fromstring(svg)) == sorted(reading.mark for reading in phase.readings), (
                    phase.key
                )


class TestTheSplit:
    @pytest.mark.parametrize(
        ("front", "size", "limit"),
        # top front: its folded edge at -overlap/2, 2 mm past it; under front: 8 mm beyond that seam
        [("left", "M", -14.0), ("left", "XL", -17.0), ("right", "M", -4.0), ("right", "XL", -7.0)],
    )
    def test_the_sewing_ends_at_the_limit_in_closed_form(self, front: str, size: str, limit: float) -> None:
        picture = picture_of(job_on("split-front"), f"front-{front}", "before-unhooping", size)
        assert limit in clip_ends(picture)
        # The border's inner edge keeps its whole width, 4 and 3 mm, along the straight run too.
        inward = -1 if front == "right" else 1
        for width in (4, 3):
            assert limit + inward * width in clip_ends(picture)

    def test_both_fronts_ask_all_four_readings(self) -> None:
        for front in ("left", "right"):
            assert figures(picture_of(job_on("split-front"), f"front-{front}", "check-place")) == list("1234")

    def test_the_second_front_begins_with_the_first_one_off_the_hoop(self) -> None:
        job = job_on("split-front")
        first = picture_of(job, "front-right", "measure-other")
        assert figures(first) == list("1234")
        assert -14.0 in clip_ends(first)
        assert -4.0 not in clip_ends(first)

    def test_a_symmetrical_job_has_mirrored_fronts(self) -> None:
        square = outline('<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H150V90H0Z"/></svg>')
        job = job_on("split-front", design=Design("square.svg", 100), layers=job_on("split-front").layers[:1])
        assert job.opening is not None
        job = replace(job, opening=replace(job.opening, under_cover=None))
        boxes: dict[str, tuple[float, ...]] = {}
        limits: dict[str, set[float]] = {}
        for checklist, phase, svg in pictures(job, drawing=square):
            if phase.key == "before-unhooping" and checklist.front:
                picture = fromstring(svg)
                boxes[checklist.front] = tuple(map(float, picture.get("viewBox", "").split()))
                limits[checklist.front] = {x for x in clip_ends(picture) if abs(x) < 100}
        x, y, width, height = boxes["right"]
        assert boxes["left"] == pytest.approx((-x - width, y, width, height), abs=0.02)
        assert sorted(-x for x in limits["left"]) == pytest.approx(sorted(limits["right"]), abs=0.02)

    def test_the_top_front_has_holes_and_the_under_front_buttons(self) -> None:
        job = job_on("split-front")
        discs = {
            front: [
                c
                for c in tags(picture_of(job, f"front-{front}", "lay-garment"), "circle")
                if c.get("r") == "7.5"
            ]
            for front in ("left", "right")
        }
        assert discs["left"] == []
        assert [(c.get("cx"), c.get("cy")) for c in discs["right"]] == [("0", "-85"), ("0", "0"), ("0", "85")]

    def test_the_survey_is_drawn_on_the_garment_before_any_sewing(self) -> None:
        picture = picture_of(job_on("split-front"), "prepare", "survey-m")
        assert figures(picture) == ["1", "2"]
        assert tags(picture, "use") == []

    def test_the_half_to_load_is_the_one_that_stands_out(self) -> None:
        picture = picture_of(job_on("split-front"), "front-right", "load-design")
        pale = [group for group in tags(picture, "g") if group.get("opacity")]
        assert figures(picture) == ["L", "R"]
        assert [figures(group) for group in pale] == [["L"]]

    def test_a_design_on_one_front_alone_is_drawn_on_both(self) -> None:
        job = job_on("split-front", design=Design("banner.svg", 100, (200, 0)))
        assert all("NaN" not in svg and "inf" not in svg for _, _, svg in pictures(job))


class TestTheEdgeOfAShape:
    SQUARE = ((0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0))
    HOLE = ((30.0, 30.0), (30.0, 50.0), (50.0, 50.0), (50.0, 30.0))

    @pytest.mark.parametrize("by", [0.0, 1.0, 6.0])
    def test_a_grown_square_has_round_corners_and_a_smaller_hole(self, by: float) -> None:
        lines = edge_lines((self.SQUARE, self.HOLE), by, None)
        assert len(lines) == 2
        assert all(line.closed for line in lines)
        assert length(lines) == pytest.approx(320 + 2 * math.pi * by + 80 - 8 * by, abs=2.5)

    def test_a_shrunk_square_keeps_its_corners_and_gets_a_larger_hole(self) -> None:
        lines = edge_lines((self.SQUARE, self.HOLE), -4.0, None)
        assert length(lines) == pytest.approx(320 - 32 + 80 + 2 * math.pi * 4, abs=3)

    def test_the_direction_of_a_ring_does_not_matter(self) -> None:
        backward = (self.SQUARE[::-1], self.HOLE[::-1])
        assert length(edge_lines(backward, 3.0, None)) == pytest.approx(
            length(edge_lines((self.SQUARE, self.HOLE), 3.0, None)), abs=0.5
        )

    @pytest.mark.parametrize(("x", "side", "width"), [(20.0, 1, 24.0), (20.0, -1, 64.0)])
    def test_a_limit_cuts_it_and_its_straight_run_is_edge_too(
        self, x: float, side: int, width: float
    ) -> None:
        lines = edge_lines((self.SQUARE,), 4.0, Limit(x, side))
        assert all(side * (x - px) >= -1e-9 for line in lines for px, _ in line.points)
        assert length(lines) == pytest.approx(2 * width + 2 * 88 - 4 * 4 + math.pi * 4, abs=2)

    def test_a_line_between_two_shapes_that_grow_together_is_no_edge(self) -> None:
        right = tuple((x + 85.0, y) for x, y in self.SQUARE)
        lines = edge_lines((self.SQUARE, right), 5.0, None)
        assert len(lines) == 1
        assert max(y for x, y in lines[0].points if 80 < x < 85) > 84
        assert not any(80 < x < 85 and 10 < y < 70 for x, y in lines[0].points)


class TestRichOutlines:
    def test_an_outline_of_many_points_is_thinned_until_the_picture_is_small(self) -> None:
        rim = [
            (f"{(100 + 9 * math.sin(n)) * math.cos(n / 1500 * math.tau):.3f}",
             f"{(100 + 9 * math.sin(n)) * math.sin(n / 1500 * math.tau):.3f}")
            for n in range(1500)
        ]  # fmt: skip
        data = "M" + "L".join(" ".join(point) for point in rim) + "Z"
        drawing = outline(f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{data}"/></svg>')
        assert sum(map(len, drawn_rings(drawing))) <= MOST_POINTS
        job = job_on("split-front")
        for _, phase, svg in pictures(job, drawing=drawing):
            assert len(gzip.compress(svg.encode())) < MOST_BYTES, phase.key

    def test_an_outline_of_very_many_small_shapes_keeps_the_largest(self) -> None:
        specks = "".join(f"M{3 * (n % 50)} {3 * (n // 50)}h1v1h-1z" for n in range(2500))
        svg = f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{specks}M0 200h150v60h-150z"/></svg>'
        drawing = outline(svg)
        rings = drawn_rings(drawing)
        assert 4 <= sum(map(len, rings)) <= MOST_POINTS
        assert max(max(x for x, _ in ring) - min(x for x, _ in ring) for ring in rings) > 50
        picture = closed_picture(job_on("crest"), drawing, "M")
        assert len(gzip.compress(picture.encode())) < MOST_BYTES


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
