"""The stop sheet: what the machine sews, in which order, and what hands do before."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, dist, pi
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from route_cases import BACKGROUND, LETTERS, SPLIT_JOB
from sewing_cases import FLAT, closed_job, demo_plan, disc, plan_of, rectangle

from floor.domain.backing_line import backing_lines
from floor.domain.job import Border, Stitches, Tack
from floor.domain.stitching import CUT_S
from floor.domain.stops import Stop, longest_border, stops_of

TIES = 8
BAR = rectangle(120, 80)
SPLIT = replace(SPLIT_JOB, layers=(replace(BACKGROUND, offset=4.0), LETTERS))


def sheet(stops: tuple[Stop, ...]) -> list[tuple[str, int | None]]:
    return [(stop.sews, stop.layer) for stop in stops]


def counts(stops: tuple[Stop, ...]) -> list[int]:
    return [stop.stitches for stop in stops]


def test_the_lines_of_a_rectangle_are_counted_as_by_hand() -> None:
    """100 x 50: a ring of 300 mm; its cross is 134 and 84 mm long, 15 mm past the 2 mm of border."""
    stops = plan_of(closed_job(), rectangle(100, 50)).stops["M", "whole"]
    assert sheet(stops) == [("backing", None), ("placement", 0), ("tack", 0), ("border", 0)]
    cross = ceil(134 / 2.5) + 1 + ceil(84 / 2.5) + 1 + 2 * TIES
    assert counts(stops) == [cross, 121 + TIES, 121 + TIES, 1500 + 240 + 240 + TIES]
    assert [stop.length for stop in stops] == pytest.approx([218, 300, 300, 300])
    assert [stop.cuts for stop in stops] == [2, 1, 1, 1]


def test_a_ring_of_cloth_is_sewn_along_both_its_edges() -> None:
    stops = plan_of(closed_job(replace(FLAT, tack="zigzag")), disc(40), disc(20)).stops["M", "whole"]
    assert stops[2].length == pytest.approx(2 * pi * 60, rel=1e-3)
    assert stops[2].stitches == pytest.approx(2 * 2 * pi * 60 / 3 + 2 * TIES, abs=2)
    # Each of a border's three parts is rounded up on each of the two rings.
    assert stops[3].stitches == pytest.approx(2 * pi * 60 * (2 / 0.4 + 4 / 2.5) + 2 * TIES, abs=6)


@given(st.sampled_from(get_args(Tack)), st.booleans(), st.integers(1, 3))
def test_stops_are_numbered_without_gaps_and_only_sewn_lines_are_stops(
    tack: Tack, placement: bool, layers: int
) -> None:
    layer = replace(FLAT, tack=tack, placement_line=placement)
    stops = plan_of(closed_job(*[layer] * layers), BAR).stops["M", "whole"]
    assert [stop.no for stop in stops] == list(range(1, 2 + layers * (3 if placement else 2)))
    assert all(stop.stitches > 0 and stop.thread and stop.before for stop in stops)
    assert sum(stop.sews == "placement" for stop in stops) == layers * placement


def test_measured_counts_stand_in_place_of_the_formula_on_each_front() -> None:
    measured = replace(BACKGROUND, stitches=Stitches(placement=111, tack=222, border=3333))
    plan = plan_of(replace(SPLIT, layers=(measured, LETTERS)), BAR)
    for front in ("left", "right"):
        found = plan.stops["M", front]  # type: ignore[index]
        assert [stop.stitches for stop in found if stop.layer == 0] == [111, 222, 3333]
    assert plan.stops["M", "left"][4].stitches != 111


def test_one_measured_count_leaves_the_others_to_the_formula() -> None:
    layer = replace(FLAT, stitches=Stitches(border=4000))
    stops = plan_of(closed_job(layer), rectangle(100, 50)).stops["M", "whole"]
    assert counts(stops)[1:] == [121 + TIES, 121 + TIES, 4000]


def test_a_layer_that_does_not_reach_a_front_has_no_stops_there() -> None:
    """The letters lie left of the opening's centre, which is the right front; the ground reaches over it."""
    job = replace(SPLIT, layers=(replace(BACKGROUND, offset=30.0), LETTERS))
    plan = plan_of(job, rectangle(40, 80, x=-35))
    assert {stop.layer for stop in plan.stops["M", "right"]} == {None, 0, 1}
    left = plan.stops["M", "left"]
    assert {stop.layer for stop in left if stop.sews != "marks"} == {None, 0}
    assert [stop.no for stop in left] == list(range(1, len(left) + 1))
    assert left[0].thread == BACKGROUND.border.thread


def test_a_front_without_any_cloth_has_no_stops() -> None:
    plan = plan_of(SPLIT, rectangle(40, 80, x=100))
    assert plan.stops["M", "right"] == ()
    assert backing_lines(SPLIT, plan.sizes["M"].fronts["right"]) == ()


def test_marks_come_last_and_are_never_sewn() -> None:
    """The left part is the taller one, so the left front needs no marks and the right front does."""
    plan = plan_of(SPLIT, rectangle(60, 120, x=50), rectangle(60, 60, x=-50))
    assert plan.stops["M", "left"][-1].sews == "border"
    marks = plan.stops["M", "right"][-1]
    assert (marks.sews, marks.thread, marks.layer, marks.stitches, marks.likely_s) == (
        "marks",
        None,
        None,
        0,
        0,
    )
    assert marks.before == "trace only, never sew"
    assert marks.no == len(plan.stops["M", "right"])


@pytest.mark.parametrize(("front", "inward"), [("right", -20), ("left", 20)])
def test_the_line_on_the_backing_runs_along_the_folded_edge(front: str, inward: float) -> None:
    plan = plan_of(SPLIT, BAR)
    found = plan.sizes["M"].fronts[front]  # type: ignore[index]
    low, high = found.window
    edge = 12.5 if front == "right" else -12.5
    assert backing_lines(SPLIT, found) == (
        ((edge, low - 15), (edge, high + 15)),
        ((edge, high), (edge + inward, high)),
        ((edge, low), (edge + inward, low)),
    )
    stop = plan.stops["M", front][0]  # type: ignore[index]
    assert stop.length == pytest.approx(high - low + 30 + 40)


def test_a_whole_front_has_a_cross_through_the_designs_centre() -> None:
    job = closed_job()
    front = plan_of(job, rectangle(100, 50, x=3, y=7)).sizes["M"].fronts["whole"]
    across, upright = backing_lines(job, front)
    x, y = job.design.centre
    assert {across[0][1], across[1][1]} == {y}
    assert {upright[0][0], upright[1][0]} == {x}
    assert (across[0][0], across[1][0]) == pytest.approx((3 - 52 - 15, 3 + 52 + 15))
    assert (upright[0][1], upright[1][1]) == pytest.approx((7 - 27 - 15, 7 + 27 + 15))
    assert dist(*across) == pytest.approx(134)


def test_a_crests_line_on_the_backing_is_its_bottom_layers_shape() -> None:
    plan = plan_of(closed_job(replace(FLAT, placement_line=False)), rectangle(100, 50), on_backing=True)
    backing = plan.stops["M", "whole"][0]
    assert (backing.length, backing.stitches, backing.cuts) == (pytest.approx(300), 121 + TIES, 1)


def test_what_hands_do_before_each_stop() -> None:
    job = closed_job(FLAT, replace(LETTERS, placement_line=True), replace(LETTERS, placement_line=False))
    stops = plan_of(job, rectangle(100, 50), rectangle(20, 20)).stops["M", "whole"]
    assert [stop.before for stop in stops] == [
        "hoop two crossed sheets of cutaway",
        "spray, lay the garment's chalk lines along the cross, pin, check the place",
        "lay the red felt, 120 x 70 mm",
        "trim 1 to 2 mm outside the tack-down, 38 cm of edge with 1 hole",
        "nothing to lay or trim",
        "lay the old gold twill, 120 x 70 mm",
        "trim 1 to 2 mm outside the tack-down, 38 cm of edge with 1 hole",
        "lay the old gold twill, 120 x 70 mm",
        "trim 1 to 2 mm outside the tack-down, 38 cm of edge with 1 hole",
    ]


def test_without_a_placement_line_garment_and_cloth_are_laid_before_the_tack_down() -> None:
    bare = replace(SPLIT, layers=(replace(FLAT, placement_line=False), LETTERS))
    assert plan_of(bare, BAR).stops["M", "left"][1].before == (
        "spray, lay the garment's folded edge along the line, pin, check the place, lay the red felt, 95 x 100 mm"
    )


def test_a_crest_is_neither_sprayed_nor_trimmed_at_its_base() -> None:
    plan = plan_of(closed_job(FLAT, replace(LETTERS, placement_line=False)), BAR, on_backing=True)
    befores = [stop.before for stop in plan.stops["M", "whole"]]
    assert befores[1:4] == [
        "nothing to lay or trim",
        "lay the red felt, 140 x 100 mm",
        "nothing to trim: it is cut out once it is off the hoop",
    ]
    assert befores[5].startswith("trim 1 to 2 mm")
    assert not any("spray" in before for before in befores)


def test_a_change_of_thread_costs_time_at_the_stop_that_needs_it() -> None:
    stops = plan_of(closed_job(FLAT, LETTERS), BAR).stops["M", "whole"]
    changed = [stop.no for stop in stops if stop.likely_s - _sewing_s(stop) > 1]
    assert changed == [1, 5], "from the last garment's last thread, and from layer to layer"
    same = plan_of(closed_job(FLAT, FLAT), BAR).stops["M", "whole"]
    assert all(stop.likely_s == pytest.approx(_sewing_s(stop)) for stop in same)


def _sewing_s(stop: Stop) -> float:
    """At a set speed of 700: the first hundred stitches of each line at 0.7 of it, the rest at 0.8, and cuts."""
    slow = min(stop.stitches, 100 * stop.cuts)
    return 60 * (slow / 490 + (stop.stitches - slow) / 560) + CUT_S * stop.cuts


@given(st.integers(200, 1200))
def test_a_stop_never_likely_takes_less_than_at_the_set_speed(speed: int) -> None:
    job = closed_job(FLAT, replace(LETTERS, border=Border(6.0, 0.4, "gold")))
    job = replace(job, machine=replace(job.machine, speed=speed))
    for stop in plan_of(job, rectangle(100, 50)).stops["M", "whole"]:
        assert stop.at_speed_s == pytest.approx(60 * stop.stitches / speed)
        assert stop.likely_s > stop.at_speed_s


@given(st.floats(20, 200), st.floats(20, 200), st.floats(0, 100))
def test_a_larger_shape_never_has_fewer_stitches(width: float, height: float, more: float) -> None:
    small = plan_of(closed_job(), rectangle(width, height)).stops["M", "whole"]
    large = plan_of(closed_job(), rectangle(width + more, height)).stops["M", "whole"]
    assert all(one <= other for one, other in zip(counts(small), counts(large), strict=True))


def test_the_longest_border_is_what_the_bobbin_must_last() -> None:
    plan = plan_of(closed_job(FLAT, replace(FLAT, offset=-5.0)), rectangle(100, 50))
    stops = plan.stops["M", "whole"]
    assert longest_border(stops) == 1500 + 240 + 240 + TIES
    assert longest_border(stops[:3]) == 0


LARKSPUR = [
    ("backing", None, "purple 40"),
    ("placement", 0, "purple 40"),
    ("tack", 0, "purple 40"),
    ("border", 0, "purple 40"),
    ("placement", 1, "cream 40"),
    ("tack", 1, "cream 40"),
    ("border", 1, "cream 40"),
]
QUARRY = [
    ("backing", None, "slate 40"),
    ("placement", 0, "slate 40"),
    ("tack", 0, "slate 40"),
    ("border", 0, "slate 40"),
    ("tack", 1, "white 40"),
    ("border", 1, "white 40"),
]
TINHILL = [
    ("backing", None, "amber 40"),
    ("placement", 0, "amber 40"),
    ("tack", 0, "amber 40"),
    ("border", 0, "amber 40"),
    ("tack", 1, "charcoal 40"),
    ("border", 1, "charcoal 40"),
]


@pytest.mark.parametrize(
    ("folder", "expected"),
    [("larkspur-jackets", LARKSPUR), ("quarry-crest", QUARRY), ("tinhill-pullovers", TINHILL)],
)
def test_the_stop_sheets_of_the_demos_jobs(folder: str, expected: list[tuple[str, int | None, str]]) -> None:
    plan = demo_plan(folder)
    for (size, front), stops in plan.stops.items():
        assert [(stop.sews, stop.layer, stop.thread) for stop in stops] == expected
        for stop in stops[1:]:
            piece = plan.sizes[size].fronts[front].pieces[stop.layer or 0]
            assert stop.length == pytest.approx(piece.cut_length)
        # A border 4 mm wide at 0.4 mm: about 6.6 stitches to the mm, cover and underlay together.
        for stop in stops:
            if stop.sews == "border":
                assert 6 < stop.stitches / stop.length < 7


def test_the_stops_of_a_front_follow_from_job_and_front_alone() -> None:
    plan = demo_plan("larkspur-jackets")
    front = plan.sizes["XL"].fronts["right"]
    assert stops_of(plan.job, front) == plan.stops["XL", "right"]
