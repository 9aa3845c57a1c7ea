"""Pictures of garments that open: what of the design is drawn on which front, and where it ends."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from floor.domain.backing_line import backing_lines
from floor.domain.job import Design
from floor.drawing import closed_picture, front_picture
from floor.drawing.colours import CHALK
from tests.services.drawing_cases import (
    box_of,
    drawn,
    figures,
    job_on,
    outline,
    picture_of,
    pictures,
    plan_of,
    read,
    sewn_box,
    shape,
    tags,
)


@pytest.mark.parametrize(
    ("front", "size", "limit"),
    # top front: its folded edge at -overlap/2, 2 mm past it; under front: 8 mm beyond that seam
    [("left", "M", -14.0), ("left", "XL", -17.0), ("right", "M", -4.0), ("right", "XL", -7.0)],
)
def test_every_border_ends_at_the_front_s_limit(front: str, size: str, limit: float) -> None:
    plan = plan_of(job_on("split-front"))
    picture = picture_of(plan, f"front-{front}", "before-unhooping", size)
    for width in (4, 3):
        x0, _, x1, _ = sewn_box(picture, width)
        assert (x1 if front == "right" else x0) == pytest.approx(limit, abs=0.06)


def test_what_is_sewn_is_as_tall_in_the_picture_as_in_the_plan() -> None:
    plan = plan_of(job_on("split-front"))
    for size in ("M", "XL"):
        _, y0, _, y1 = sewn_box(read(closed_picture(plan, size)), 4)
        assert (y0, y1) == pytest.approx(plan.sizes[size].window, abs=0.2)


def test_the_line_on_the_backing_is_the_plan_s() -> None:
    plan = plan_of(job_on("split-front"))
    picture = picture_of(plan, "front-right", "backing-line")
    expected = backing_lines(plan.job, plan.sizes["M"].fronts["right"])
    found = [tuple(points) for points in drawn(picture, stroke=CHALK)]
    assert len(found) == len(expected) == 3
    for line, ends in zip(found, expected, strict=True):
        for point, end in zip(line, ends, strict=True):
            assert point == pytest.approx(end, abs=0.06)


def test_both_fronts_ask_all_four_readings() -> None:
    plan = plan_of(job_on("split-front"))
    for front in ("left", "right"):
        assert figures(picture_of(plan, f"front-{front}", "check-place")) == list("1234")


def test_the_second_front_begins_with_the_first_one_off_the_hoop() -> None:
    first = picture_of(plan_of(job_on("split-front")), "front-right", "measure-other")
    assert figures(first) == list("1234")
    assert sewn_box(first, 4)[0] == pytest.approx(-14, abs=0.06)


def test_a_symmetrical_job_has_mirrored_fronts() -> None:
    job = job_on("split-front", design=Design("square.svg", 100), layers=job_on("split-front").layers[:1])
    assert job.opening is not None
    job = replace(job, opening=replace(job.opening, under_cover=None))
    plan = plan_of(job, outline(shape("M0 0H150V90H0Z"), centre=(0, 0)))
    views, sewn = {}, {}
    for front in ("left", "right"):
        picture = picture_of(plan, f"front-{front}", "before-unhooping")
        views[front] = tuple(map(float, picture.get("viewBox", "").split()))
        sewn[front] = sewn_box(picture, 4)
    x, y, width, height = views["right"]
    assert views["left"] == pytest.approx((-x - width, y, width, height), abs=0.02)
    x0, y0, x1, y1 = sewn["right"]
    assert sewn["left"] == pytest.approx((-x1, y0, -x0, y1), abs=0.11)


def test_the_top_front_has_holes_and_the_under_front_buttons() -> None:
    plan = plan_of(job_on("split-front"))
    discs = {}
    for front in ("left", "right"):
        circles = tags(picture_of(plan, f"front-{front}", "lay-garment"), "circle")
        discs[front] = [(c.get("cx"), c.get("cy")) for c in circles if c.get("r") == "7.5"]
    assert discs == {"left": [], "right": [("0", "-85"), ("0", "0"), ("0", "85")]}


def test_the_survey_is_drawn_on_the_garment_before_any_sewing() -> None:
    picture = picture_of(plan_of(job_on("split-front")), "prepare", "survey-m")
    assert figures(picture) == ["1", "2"]
    assert tags(picture, "use") == []


def test_the_half_to_load_is_the_one_that_stands_out() -> None:
    picture = picture_of(plan_of(job_on("split-front")), "front-right", "load-design")
    pale = [group for group in tags(picture, "g") if group.get("opacity")]
    assert figures(picture) == ["L", "R"]
    assert [figures(group) for group in pale] == [["L"]]


def test_a_whole_front_is_shown_with_the_window_that_the_needle_traces() -> None:
    plan = plan_of(job_on("split-front"))
    front = plan.sizes["M"].fronts["left"]
    assert front.extent is not None
    traced = [r for r in tags(read(front_picture(plan, "M", "left")), "rect") if r.get("stroke") == CHALK]
    assert len(traced) == 1
    x, y, width, height = (float(traced[0].get(name, "")) for name in ("x", "y", "width", "height"))
    assert (x, x + width) == pytest.approx((front.extent[0], front.extent[2]), abs=0.01)
    assert (-y - height, -y) == pytest.approx(front.window, abs=0.01)


def test_a_hoop_too_small_is_drawn_with_what_it_leaves_outside() -> None:
    job = job_on("split-front")
    plan = plan_of(replace(job, hoop=replace(job.hoop, field=(100, 60))))
    picture = read(front_picture(plan, "M", "left"))
    x, y, width, height = map(float, picture.get("viewBox", "").split())
    x0, y0, x1, y1 = sewn_box(picture, 4)
    assert x < x0 < x1 < x + width
    assert -y - height < y0 < y1 < -y


def test_a_design_on_one_front_alone_is_drawn_on_both() -> None:
    plan = plan_of(
        job_on("split-front", design=Design("banner.svg", 100, (200, 0))), outline(centre=(200, 0))
    )
    assert plan.sizes["M"].fronts["right"].extent is None
    svgs = [svg for _, _, svg in pictures(plan)] + [front_picture(plan, "M", "right")]
    assert all("nan" not in svg and "inf" not in svg for svg in svgs)


def test_a_size_or_front_that_the_job_does_not_have_is_refused() -> None:
    plan = plan_of(job_on("split-front"))
    with pytest.raises(KeyError):
        closed_picture(plan, "XXL")
    with pytest.raises(KeyError):
        front_picture(plan, "M", "whole")


def test_the_hoop_runs_on_beyond_the_picture_where_a_layer_is_worked_or_the_place_is_read() -> None:
    plan = plan_of(job_on("split-front"))
    widths = [
        float(picture_of(plan, "front-left", key).get("viewBox", "").split()[2])
        for key in ("check-place", "trim-letters", "before-unhooping")
    ]
    assert max(widths[:2]) < widths[2]
    laid = picture_of(plan, "front-left", "lay-letters")
    x, _, width, _ = map(float, laid.get("viewBox", "").split())
    front = plan.sizes["M"].fronts["left"]
    for piece in front.pieces:
        assert piece.bounds is not None
        assert x < piece.bounds[0] < piece.bounds[2] < x + width


def test_the_cloth_of_the_lower_layer_reaches_further_in_every_direction_than_the_upper_one_s() -> None:
    picture = read(closed_picture(plan_of(job_on("split-front")), "M"))
    lower, upper = (box_of(drawn(picture, stroke_width=width)) for width in ("4", "3"))
    assert all(a < b for a, b in pairwise((lower[0], upper[0], upper[2], lower[2])))
