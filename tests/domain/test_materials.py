"""What a whole order needs, and the pull list that says it."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from math import ceil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from route_cases import LETTERS, SPLIT_JOB
from sewing_cases import FLAT, closed_job, demo_plan, plan_of, rectangle

from floor.domain.cloth_needs import ClothNeed, cloth_needs, spares_for
from floor.domain.job import Garment, Hoop
from floor.domain.materials import materials_of
from floor.domain.nesting import LAID_AT_ONCE, nest_on_roll
from floor.domain.plan import JobPlan
from floor.domain.pull_list import pull_list
from floor.domain.thread import BOBBIN_STITCHES, thread_of

TWILL = replace(FLAT, fabric="twill")


def cloth_of(plan: JobPlan) -> ClothNeed:
    (cloth,) = cloth_needs(plan)
    return cloth


def with_garments(plan: JobPlan, count: int) -> JobPlan:
    """The same plan for an order of so many garments, over all its sizes in turn."""
    sizes = list(plan.sizes)
    garments = tuple(Garment(number, sizes[number % len(sizes)]) for number in range(1, count + 1))
    return replace(plan, job=replace(plan.job, garments=garments))


def test_four_felt_blanks_of_a_quarter_sheet_take_one_sheet() -> None:
    """130 x 205 of cloth make blanks of 150 x 225: three garments and one spare fill 300 x 450."""
    cloth = cloth_of(plan_of(closed_job(sizes="SML"), rectangle(130, 205)))
    assert [(blanks.width, blanks.height, blanks.count) for blanks in cloth.blanks] == [(150, 225, 1)] * 3
    assert (cloth.spare, cloth.spares, cloth.sheets, cloth.roll) == ((150, 225), 1, 1, 0)
    assert cloth.waste_share == pytest.approx(1 - 3 * 130 * 205 / (300 * 450))


def test_twill_comes_off_the_roll_and_is_not_turned() -> None:
    """Blanks of 100 x 325: nine abreast, so nine garments and a spare need a second row."""
    cloth = cloth_of(plan_of(closed_job(TWILL, sizes=["M"] * 9), rectangle(80, 305)))
    assert (cloth.sheets, cloth.roll, cloth.spares) == (0, 650, 1)
    assert cloth.waste_share == pytest.approx(1 - 9 * 80 * 305 / (900 * 650))
    wide = cloth_of(plan_of(closed_job(TWILL), rectangle(305, 80)))
    assert wide.roll == 100


def test_a_length_of_roll_is_rounded_up_to_ten_millimetres() -> None:
    assert cloth_of(plan_of(closed_job(TWILL), rectangle(80, 85))).roll == 110


def test_felt_larger_than_a_sheet_comes_off_the_roll() -> None:
    cloth = cloth_of(plan_of(closed_job(), rectangle(400, 300)))
    assert (cloth.sheets, cloth.roll) == (0, 320)


def test_felt_is_turned_to_fit_a_sheet() -> None:
    assert cloth_of(plan_of(closed_job(), rectangle(420, 270))).sheets == 2


def test_cloth_that_no_roll_is_wide_enough_for_is_said() -> None:
    plan = plan_of(closed_job(TWILL), rectangle(1000, 100))
    cloth = cloth_of(plan)
    assert (cloth.too_wide, cloth.sheets, cloth.roll, cloth.waste_share, cloth.spare) == (1, 0, 0, None, None)
    (line,) = [line for line in pull_list(materials_of(plan)) if line.what == "red twill"]
    assert line.amount == "no cloth is wide enough"
    assert "1 blank wider than the roll" in line.detail


def test_layers_of_one_cloth_are_cut_from_it_together() -> None:
    cloths = cloth_needs(plan_of(closed_job(FLAT, LETTERS, replace(FLAT, name="Star")), rectangle(80, 80)))
    assert [(cloth.fabric, cloth.colour) for cloth in cloths] == [("felt", "red"), ("twill", "old gold")]
    assert [blanks.layer for blanks in cloths[0].blanks] == ["Flat", "Star"]


def test_every_front_and_size_has_its_own_blanks() -> None:
    plan = plan_of(SPLIT_JOB, rectangle(120, 80))
    ground = cloth_needs(plan)[0]
    assert Counter({(b.front, b.size): b.count for b in ground.blanks}) == {
        (front, size): count for front in ("left", "right") for size, count in (("M", 2), ("XL", 1), ("S", 1))
    }
    for blanks in ground.blanks:
        piece = plan.sizes[blanks.size].fronts[blanks.front].pieces[0]
        assert (blanks.width, blanks.height) == piece.blank


def test_the_waste_is_what_ends_in_no_finished_piece() -> None:
    plan = plan_of(SPLIT_JOB, rectangle(120, 80))
    ground = cloth_needs(plan)[0]
    counts = Counter(garment.size for garment in SPLIT_JOB.garments)
    finished = sum(
        counts[size] * front.pieces[0].area
        for size, found in plan.sizes.items()
        for front in found.fronts.values()
    )
    assert ground.waste_share == pytest.approx(1 - finished / (ground.sheets * 300 * 450 + ground.roll * 900))


def test_spares_are_one_in_twenty_and_one_at_least() -> None:
    assert [spares_for(count) for count in (0, 1, 20, 21, 40, 60, 2000)] == [0, 1, 1, 2, 2, 3, 100]


@settings(max_examples=40)
@given(st.floats(10, 250), st.floats(10, 400), st.integers(1, 3000), st.sampled_from(["felt", "twill"]))
def test_the_cloth_is_never_less_than_its_blanks_and_grows_with_the_order(
    width: float, height: float, garments: int, fabric: str
) -> None:
    plan = plan_of(closed_job(replace(FLAT, fabric=fabric)), rectangle(width, height))
    few, more = (cloth_of(with_garments(plan, count)) for count in (garments, garments + 50))
    for cloth, count in ((few, garments), (more, garments + 50)):
        blanks = sum(one.width * one.height * one.count for one in cloth.blanks)
        assert sum(one.count for one in cloth.blanks) == count
        assert cloth.sheets * 300 * 450 + cloth.roll * 900 >= blanks
        assert cloth.waste_share is not None
        assert 0 < cloth.waste_share < 1
    assert (few.sheets, few.roll) <= (more.sheets, more.roll)


def test_thread_is_summed_by_colour_over_garments_sizes_and_fronts() -> None:
    plan = plan_of(SPLIT_JOB, rectangle(120, 80))
    counts = Counter(garment.size for garment in SPLIT_JOB.garments)
    found = {thread.colour: thread.upper_m for thread in materials_of(plan).threads}
    for colour in (layer.border.thread for layer in SPLIT_JOB.layers):
        expected = sum(
            counts[size] * thread_of(plan.job, stop).upper_m
            for (size, _), stops in plan.stops.items()
            for stop in stops
            if stop.thread == colour
        )
        assert found[colour] == pytest.approx(expected)


def test_bobbins_are_counted_by_all_stitches_of_the_order() -> None:
    plan = plan_of(closed_job(sizes=["M"] * 40), rectangle(300, 200))
    each = sum(stop.stitches for stop in plan.stops["M", "whole"])
    bobbins = materials_of(plan).bobbins
    assert bobbins.stitches == 40 * each
    assert bobbins.count == ceil(40 * each / BOBBIN_STITCHES)


def test_every_head_has_a_bobbin_of_its_own() -> None:
    job = closed_job(sizes=["M"] * 3)
    plan = plan_of(replace(job, machine=replace(job.machine, heads=8)), rectangle(50, 50))
    assert materials_of(plan).bobbins.count == 3, "eight heads, and three garments to sew"


def test_backing_lies_25_mm_beyond_the_hoop_in_every_hooping() -> None:
    job = replace(SPLIT_JOB, hoop=Hoop((302.0, 200.0), 10.0))
    backing = materials_of(plan_of(job, rectangle(120, 80))).backing
    assert (backing.width, backing.height) == (355, 250)
    assert (backing.hoopings, backing.sheets_each, backing.spares, backing.count) == (8, 2, 1, 17)


@pytest.mark.parametrize(("garments", "in_a_hoop", "hoopings"), [(8, 3, 3), (9, 3, 3), (1, 6, 1), (8, 1, 8)])
def test_several_crests_share_a_hooping(garments: int, in_a_hoop: int, hoopings: int) -> None:
    plan = plan_of(closed_job(sizes=["M"] * garments), rectangle(50, 50), on_backing=True)
    found = materials_of(plan, in_a_hoop)
    assert found.backing.hoopings == hoopings
    assert found.adhesive is None
    assert found.garments == ()


def test_a_hooping_of_no_piece_is_refused() -> None:
    with pytest.raises(ValueError, match="one piece at least"):
        materials_of(plan_of(closed_job(), rectangle(50, 50)), 0)


def test_every_front_is_sprayed_once() -> None:
    adhesive = materials_of(plan_of(SPLIT_JOB, rectangle(120, 80))).adhesive
    assert adhesive is not None
    assert (adhesive.grams, adhesive.between) == (12, (8, 16))


def test_a_program_reads_each_need_by_its_kind() -> None:
    found = materials_of(demo_plan("larkspur-jackets")).as_json()
    assert json.loads(json.dumps(found)) == found
    assert [need["kind"] for need in found] == [
        "garments", "garments", "cloth", "cloth", "thread", "thread", "bobbin", "backing", "adhesive",
    ]  # fmt: skip
    assert found[:2] == [
        {"kind": "garments", "size": "M", "count": 4},
        {"kind": "garments", "size": "XL", "count": 2},
    ]
    felt = found[2]
    assert (felt["fabric"], felt["colour"], felt["spares"]) == ("felt", "purple", 1)
    assert {
        "layer": "Ground",
        "front": "left",
        "size": "M",
        "width_mm": 200,
        "height_mm": 155,
        "count": 4,
    } in (
        felt["blanks"]  # type: ignore[operator]
    )
    assert found[-2] == {
        "kind": "backing", "backing": "tearaway", "count": 26, "spares": 2, "hoopings": 12,
        "width_mm": 410, "height_mm": 250,
    }  # fmt: skip


def test_the_pull_list_says_what_to_fetch() -> None:
    lines = pull_list(materials_of(demo_plan("larkspur-jackets")))
    assert [line.what for line in lines] == [
        "garments, size M",
        "garments, size XL",
        "purple felt",
        "cream twill",
        "thread purple 40",
        "thread cream 40",
        "prewound bobbins",
        "tearaway backing",
        "spray adhesive",
    ]
    assert lines[2].amount.endswith("sheets 300 x 450 mm")
    assert lines[2].detail.startswith(
        "ground: 6 blanks 200 x 155 mm and 6 blanks 150 x 155 mm; 1 spare 200 x 155 mm;"
    )
    assert lines[3].amount == "0.42 m of a roll 900 mm wide"
    assert lines[7][1:] == ("26 sheets 410 x 250 mm", "12 hoopings, 2 sheets each; 2 spares")
    assert lines[8][1:] == ("18 g", "12 hoopings; 12 to 24 g by how lightly it is sprayed")


def test_the_demos_crests_need_neither_garments_nor_spray() -> None:
    lines = pull_list(materials_of(demo_plan("quarry-crest"), 3))
    assert not [line for line in lines if "garment" in line.what or "spray" in line.what]
    (backing,) = [line for line in lines if "backing" in line.what]
    assert backing.amount == "7 sheets 410 x 250 mm"


def test_an_order_of_thousands_is_nested_as_a_few_patterns() -> None:
    """So an order of 2,000 garments takes no longer than one of a hundred."""
    plan = with_garments(plan_of(SPLIT_JOB, rectangle(120, 80)), 2000)
    (_, twill) = cloth_needs(plan)
    blanks: Counter[tuple[int, int]] = Counter()
    for one in twill.blanks:
        blanks[one.width, one.height] += one.count
    assert twill.spare is not None
    blanks[twill.spare] += twill.spares
    layout = nest_on_roll(blanks, 900, turned=False)
    assert sum(len(pattern.placed) for pattern in layout) <= 2 * LAID_AT_ONCE
    assert twill.roll == 10 * ceil(sum(pattern.length * pattern.times for pattern in layout) / 10)
