"""What the plan says, in the words of a phase."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from route_cases import BANNER, CLOSED_JOB, PENNANT, SPLIT_JOB, bar, drawn, plan_for
from shapely import MultiPolygon, Point, Polygon, box

from floor.domain.job import Front, Job, OpeningSize
from floor.domain.outline import Outline
from floor.domain.pieces import Piece
from floor.domain.route_front import FrontOfLoad, by_size
from floor.domain.route_words import corners_text, of_front, of_piece, stitches_text, stop_number

SIZES = ("M", "XL")


def front_of(
    job: Job = SPLIT_JOB, front: Front = "left", sizes: tuple[str, ...] = SIZES, outline: Outline = BANNER
) -> FrontOfLoad:
    return FrontOfLoad(plan_for(job, outline), front, sizes)


def with_overlap(overlap: float) -> Job:
    """The job with so wide an overlap on XL."""
    assert SPLIT_JOB.opening is not None
    return replace(SPLIT_JOB, opening=replace(SPLIT_JOB.opening, sizes={"XL": OpeningSize(150.0, overlap)}))


def test_what_holds_for_all_sizes_is_said_once_and_what_differs_size_by_size() -> None:
    assert by_size([]) == ""
    assert by_size([("M", "7 mm"), ("XL", "7 mm")]) == "7 mm"
    assert by_size([("S", "7 mm"), ("M", "8 mm"), ("L", "7 mm")]) == "7 mm on S and L and 8 mm on M"


def test_a_blank_that_differs_by_size_is_named_for_each() -> None:
    # The left front's background: 25 / 2 + 3 - 4 / 2 = 13.5 mm to the right of the centre, or 31 with 60.
    words = of_piece(front_of(with_overlap(60.0)), 0)
    assert words["blank"] == "440 x 150 mm on M and 455 x 150 mm on XL"
    assert words["trim_length"] == "109 cm on M and 112 cm on XL"
    assert words["cut_corners"] == of_piece(front_of(), 0)["cut_corners"]


@pytest.mark.parametrize(
    ("cloth", "words"),
    [
        (box(0, 0, 90, 60), "4 corners"),
        (Point(0, 0).buffer(40), "no corners"),
        (Point(0, 0).buffer(40) - Point(0, 0).buffer(20), "no corners and 1 hole"),
        (box(0, 0, 90, 60) - box(20, 20, 30, 40) - box(60, 20, 70, 40), "12 corners and 2 holes"),
    ],
)
def test_corners_and_holes_are_counted(cloth: Polygon, words: str) -> None:
    assert corners_text(Piece(0, MultiPolygon([cloth]), 4.0)) == words


@pytest.mark.parametrize(
    ("centre_y", "window"),
    [
        (0.0, "132 mm tall, 66 mm above and below the buttons' middle"),
        (2.0, "132 mm tall, 68 mm above and 64 mm below the buttons' middle"),
        (80.0, "132 mm tall, beginning 14 mm above the buttons' middle"),
        (-80.0, "132 mm tall, beginning 14 mm below the buttons' middle"),
    ],
)
def test_the_window_is_said_about_the_buttons_middle(centre_y: float, window: str) -> None:
    job = replace(SPLIT_JOB, design=replace(SPLIT_JOB.design, centre=(0.0, centre_y)))
    assert of_front(front_of(job))["window"] == window


def test_the_window_of_a_garment_that_does_not_open_is_said_by_its_size() -> None:
    outline = drawn(bar(0, 0, 90, 120))
    assert of_front(front_of(CLOSED_JOB, "whole", outline=outline))["window"] == "132 mm tall and 102 mm wide"


def test_a_trace_begins_at_the_marks_where_a_front_needs_them() -> None:
    trace = {
        front: of_front(front_of(SPLIT_JOB, front, outline=PENNANT))["trace"] for front in SPLIT_JOB.fronts
    }
    assert trace == {"left": "the window", "right": "the window from the last stop, the marks,"}


def test_a_stop_is_named_with_how_many_there_are_and_what_it_sews() -> None:
    front = front_of(CLOSED_JOB, "whole")
    stop = front.plan.stop("M", "whole", "tack", 0)
    assert stop is not None
    assert stop_number(front, "tack", 0, own_count=1) == "3 of 7"
    assert stitches_text(front, "tack", 0) == f"{stop.stitches:,} stitches"
    assert of_front(front)["stops"] == "7"


def test_a_layer_lies_on_the_next_lower_one_that_reaches_its_front() -> None:
    small = replace(SPLIT_JOB.layers[0], name="crown", offset=-4.0)
    job = replace(SPLIT_JOB, layers=(SPLIT_JOB.layers[0], small, SPLIT_JOB.layers[1]))
    left, right = (front_of(job, front, outline=PENNANT) for front in SPLIT_JOB.fronts)
    assert [left.below(layer) for layer in (0, 1, 2)] == [None, 0, 1]
    assert right.below(2) == 0


def test_a_layer_with_nothing_on_this_front_is_said_to_have_nothing() -> None:
    job = replace(SPLIT_JOB, layers=(SPLIT_JOB.layers[0], replace(SPLIT_JOB.layers[1], offset=-4.0)))
    front = front_of(job, "right", outline=PENNANT)
    assert set(of_piece(front, 1).values()) == {"no cloth on this front"}
    assert stop_number(front, "border", 1, own_count=6) == "(none on this front)"
    assert stitches_text(front, "border", 1) == "no stitches"


def test_a_bobbin_must_hold_the_longest_border_and_15_percent_to_spare() -> None:
    front = front_of()
    longest = max(
        stop.stitches for size in SIZES for stop in front.plan.stops[size, "left"] if stop.sews == "border"
    )
    assert of_front(front)["bobbin"] == f"{math.ceil(longest * 1.15):,} stitches"


def test_the_halves_name_their_sizes_where_these_are_sewn_differently() -> None:
    assert of_front(front_of())["of_sizes"] == " of sizes M and XL"
    assert of_front(front_of(sizes=("XL",)))["of_sizes"] == " of size XL"
    assert SPLIT_JOB.opening is not None
    alike = replace(SPLIT_JOB, opening=replace(SPLIT_JOB.opening, sizes={"XL": OpeningSize(190.0, 25.0)}))
    assert of_front(front_of(alike))["of_sizes"] == ""
