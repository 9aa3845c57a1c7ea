"""Each warning of a plan, raised by a case and absent where it is just inside."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

import pytest
from route_cases import LETTERS, bar, drawn, plan_for
from split_cases import GROUND, JOB

from floor.domain.fronts import fits
from floor.domain.job import Border, Design, Garment, Hoop, Job, OpeningSize
from floor.domain.outline import Outline
from floor.domain.plan import JobPlan, nothing_to_sew
from floor.domain.plan_warnings import PlanWarning

# One layer, 4 mm of border, sewn 2 mm beyond the top front's edge and 8 mm beneath it: nothing to warn of.
SOUND = replace(JOB, hoop=Hoop((200.0, 120.0), 5.0), garments=(Garment(1, "M"), Garment(2, "XL")))
BLOCK = drawn(bar(-80, -50, 80, 50))
TALL_AND_WIDE = drawn(bar(-100, -30, 100, 30), bar(-70, 30, -60, 50), bar(60, -50, 70, -30))


def opened(job: Job = SOUND, **changes: object) -> Job:
    assert job.opening is not None
    return replace(job, opening=replace(job.opening, **changes))


def of(code: str, plan: JobPlan) -> list[PlanWarning]:
    found = [warning for warning in plan.warnings if warning.code == code]
    for warning in found:
        assert warning.text.endswith(".")
        assert "\n" not in warning.text
        assert not re.search(r"nan|inf\b|-0 mm|\d\.\d{3}", warning.text)
    return found


def sized(warnings: Iterable[PlanWarning]) -> list[tuple[str | None, str | None]]:
    return [(warning.size, warning.front) for warning in warnings]


def test_a_sound_plan_warns_of_nothing() -> None:
    assert plan_for(SOUND, BLOCK).warnings == ()


class TestHoop:
    # On the right front the block is sewn from -82 to -10 + 8 = -2: 80 wide, 104 tall. Left: from -12 to 82.

    def in_hoop(
        self, wide: float, tall: float, outline: Outline = BLOCK, job: Job = SOUND
    ) -> list[PlanWarning]:
        return of("hoop-too-small", plan_for(replace(job, hoop=Hoop((wide, tall), 5.0)), outline))

    @pytest.mark.parametrize(("wide", "tall", "fronts"), [
        (104.1, 114.1, []), (104.0, 114.0, []), (103.9, 114.1, ["left"]), (90.1, 200, ["left"]),
        (89.9, 200, ["left", "right"]), (200, 113.9, ["left", "right"]),
    ])  # fmt: skip
    def test_a_front_fits_to_the_last_tenth(self, wide: float, tall: float, fronts: list[str]) -> None:
        assert [warning.front for warning in self.in_hoop(wide, tall)] == fronts

    def test_it_names_the_smallest_field_and_the_tallest_design(self) -> None:
        left = self.in_hoop(90.1, 200)[0]
        # the left front is 0.8 of the height + 12 + 2 wide, of 80.1
        assert "at least 104 x 114 mm" in left.text
        assert "at most 82 mm tall" in left.text

    @pytest.mark.parametrize(("wide", "tall"), [(70, 300), (95.5, 80.2), (300, 64.9), (61.3, 300), (40, 40)])
    def test_at_the_height_it_names_the_design_fits_and_1_mm_taller_it_does_not(
        self, wide: float, tall: float
    ) -> None:
        hoop = Hoop((wide, tall), 5.0)
        for centre in ((0.0, 0.0), (15.0, 0.0)):
            job = replace(SOUND, hoop=hoop, design=Design("x.svg", 100.0, centre))
            warnings = self.in_hoop(wide, tall, TALL_AND_WIDE, job)
            assert warnings
            for warning in warnings:
                assert warning.front is not None
                (height,) = map(int, re.findall(r"at most (\d+) mm tall", warning.text))
                for mm, expected in ((height, True), (height + 1, False)):
                    lower = replace(job, design=Design("x.svg", float(mm), centre))
                    front = plan_for(lower, TALL_AND_WIDE).sizes["M"].fronts[warning.front]
                    assert front.extent is not None
                    assert fits(front.extent, hoop.field, 5.0) == front.fits_hoop == expected

    def test_a_part_that_lies_on_the_other_front_does_not_count(self) -> None:
        """The right front has no more of the design's lower half than the window, so a low hoop takes it."""
        low_on_the_right = drawn(bar(-80, 0, -1, 20), bar(-2, -50, 80, 50))
        assert [w.front for w in self.in_hoop(200, 80, low_on_the_right, opened(under_cover=0.0))] == ["left"]

    def test_it_says_so_when_no_height_fits(self) -> None:
        (left, right) = self.in_hoop(12, 12)
        assert "no height of the design fits this hoop" in left.text
        assert "no height of the design fits this hoop" in right.text

    def test_a_garment_without_an_opening_has_no_front_to_name(self) -> None:
        job = replace(SOUND, opening=None, route="closed")
        (warning,) = self.in_hoop(173.9, 200, job=job)
        assert (warning.size, warning.front) == (None, None)
        assert "at least 174 x 114 mm" in warning.text
        assert self.in_hoop(174, 114, job=job) == []


class TestButtons:
    # A button of 15 mm and 3 mm round it need 10.5 mm; the block is sewn up to y = 52: clear from 62.5 on.
    # With 14 mm of cover both fronts' cloth crosses the centre line.
    WIDE = opened(under_cover=14.0)

    @pytest.mark.parametrize(("span", "raised"), [(124.8, True), (125.0, False), (125.2, False)])
    def test_each_button_and_hole_needs_its_room(self, span: float, raised: bool) -> None:
        plan = plan_for(opened(self.WIDE, span=span), BLOCK)
        assert sized(of("button-under-stitching", plan)) == [(None, "right")] * 2 * raised
        assert sized(of("hole-under-stitching", plan)) == [(None, "left")] * 2 * raised

    def test_it_names_which_from_the_top_and_how_far_to_move(self) -> None:
        # The design 10 mm up: sewn from -42 to 62, the upper button at 70, the lower at -70
        job = replace(opened(self.WIDE, span=140.0), design=Design("bar.svg", 100.0, (0.0, 10.0)))
        plan = plan_for(job, BLOCK)
        (button,), (hole,) = of("button-under-stitching", plan), of("hole-under-stitching", plan)
        assert "button 1 of 2 from the top" in button.text
        assert "buttonhole 1 of 2 from the top" in hole.text
        assert '"Ground": 2.5 mm more clearance' in button.text
        assert (button.layer, button.places) == (0, ((-10.5, 59.5, 10.5, 80.5),))
        assert "; 2.6 mm further down, the design" in button.text

    def test_moved_as_it_says_nothing_is_under_the_stitching(self) -> None:
        for centre in ((0.0, 10.0), (0.0, -13.3), (20.0, 61.0), (0.0, -90.0)):
            job = replace(opened(self.WIDE, span=140.0, buttons=3), design=Design("bar.svg", 30.0, centre))
            plan = plan_for(job, BLOCK)
            found = of("button-under-stitching", plan)
            assert found
            ((mm, way),) = {
                m for w in found for m in re.findall(r"([\d.]+) mm further (up|down)", w.text)
            }  # fmt: skip
            y = centre[1] + (float(mm) if way == "up" else -float(mm))
            moved = plan_for(replace(job, design=Design("bar.svg", 30.0, (centre[0], y))), BLOCK)
            assert of("button-under-stitching", moved) + of("hole-under-stitching", moved) == []

    def test_a_button_within_the_design_needs_to_leave_it_altogether(self) -> None:
        plan = plan_for(opened(self.WIDE, span=200.0, buttons=3), BLOCK)
        (hole,) = of("hole-under-stitching", plan)
        # the left front is sewn from x = -12: the way out of it is 12 and the room 10.5
        assert "buttonhole 2 of 3" in hole.text
        assert "22.5 mm more clearance" in hole.text

    def test_what_ends_before_the_centre_line_leaves_the_other_fronts_buttons_free(self) -> None:
        aside = drawn(bar(-100, -50, -5, 50))
        clear = replace(opened(buttons=3, overlap=1.0, under_cover=None, over_edge=-13.0))
        job = replace(clear, design=Design("x.svg", 100.0, (-52.5, 0.0)))
        assert of("button-under-stitching", plan_for(job, aside)) == []
        nearer = opened(job, over_edge=-10.9)  # sewn up to x = -10.4 of the 10.5 that a button needs
        assert len(of("button-under-stitching", plan_for(nearer, aside))) == 1

    def test_a_size_with_another_span_is_named(self) -> None:
        job = opened(self.WIDE, sizes={"XL": OpeningSize(span=124.0, overlap=20.0)})
        plan = plan_for(job, BLOCK)
        assert sized(of("button-under-stitching", plan)) == [("XL", "right")] * 2


class TestThinParts:
    def test_the_sliver_where_the_seam_cuts_a_letter_is_named_on_its_front(self) -> None:
        # The right front's cloth ends at x = -10 + 8 - 2 = -4: of a stroke from -6 on 2 mm are left there
        strokes = drawn(bar(-80, -50, -40, 50), bar(-6, -50, 30, 50))
        job = replace(SOUND, design=Design("x.svg", 100.0, (-25.0, 0.0)))
        (warning,) = of("thin-part", plan_for(job, strokes))
        assert (warning.size, warning.front, warning.layer) == (None, "right", 0)
        assert 'cloth of "Ground"' in warning.text
        assert "2 mm wide half-way up, 5 mm to the left of the centre line" in warning.text
        assert warning.places == ((-6.0, -50.0, -4.0, 50.0),)

    @pytest.mark.parametrize(("left", "raised"), [(-7.9, True), (-8.1, False)])
    def test_a_strip_as_wide_as_its_border_holds_it(self, left: float, raised: bool) -> None:
        strokes = drawn(bar(-80, -50, -40, 50), bar(left, -50, 30, 50))
        job = replace(SOUND, design=Design("x.svg", 100.0, (-25.0, 0.0)))
        assert bool(of("thin-part", plan_for(job, strokes))) == raised

    @pytest.mark.parametrize(("gap", "raised"), [(3.9, True), (4.1, False)])
    def test_a_gap_is_named_once_on_the_front_that_it_lies_on(self, gap: float, raised: bool) -> None:
        slotted = drawn(bar(-80, -50, 40, 50), bar(40 + gap, -50, 80, 50))
        found = of("thin-part", plan_for(SOUND, slotted))
        assert sized(found) == [(None, "left")] * raised
        if raised:
            assert found[0].text.startswith('A gap in "Ground"')
            assert "3.9 mm wide half-way up, 42 mm to the right of the centre line" in found[0].text

    def test_a_thin_part_that_both_fronts_sew_is_named_once_without_a_front(self) -> None:
        thin_bar = drawn(bar(-80, -50, -40, 50), bar(-41, 30, 41, 33), bar(40, -50, 80, 50))
        (warning,) = of("thin-part", plan_for(SOUND, thin_bar))
        assert (warning.size, warning.front) == (None, None)
        assert "3 mm wide near the top, on the centre line" in warning.text

    def test_sizes_that_are_cut_elsewhere_have_their_own(self) -> None:
        # With 28 mm of overlap the right front's cloth ends at -8: nothing of the stroke is left there
        strokes = drawn(bar(-80, -50, -40, 50), bar(-6, -50, 30, 50))
        wide = opened(sizes={"XL": OpeningSize(span=200.0, overlap=28.0)})
        job = replace(wide, design=Design("x.svg", 100.0, (-25.0, 0.0)))
        assert sized(of("thin-part", plan_for(job, strokes))) == [("M", "right")]

    def test_one_warning_names_at_most_six_places_and_says_how_many_there_are(self) -> None:
        comb = drawn(bar(-80, -50, 80, 0), *(bar(20 + 8 * i, -1, 22 + 8 * i + i / 10, 50) for i in range(7)))
        cloth = next(w for w in of("thin-part", plan_for(SOUND, comb)) if "cloth" in w.text)
        assert "in 7 places on the left front, the narrowest 6: 2 mm wide near the top, 21 mm" in cloth.text
        assert len(cloth.places) == 6

    def test_each_layer_is_measured_against_its_own_border(self) -> None:
        narrow = replace(LETTERS, offset=-8.0, border=Border(3.0, 0.4, "gold"))
        stroke = drawn(bar(-80, -50, 60, 50), bar(59, -10, 80, 9.5))
        found = of("thin-part", plan_for(replace(SOUND, layers=(GROUND, narrow)), stroke))
        assert found == []
        wider = replace(narrow, border=Border(3.6, 0.4, "gold"))
        found = of("thin-part", plan_for(replace(SOUND, layers=(GROUND, wider)), stroke))
        assert [(w.layer, w.front) for w in found] == [(1, "left")]


class TestCover:
    @pytest.mark.parametrize(("cover", "raised"), [(5.9, True), (6.0, False), (6.1, False)])
    def test_the_under_front_reaches_6_mm_beneath_the_top(self, cover: float, raised: bool) -> None:
        found = of("short-cover", plan_for(opened(under_cover=cover), BLOCK))
        assert sized(found) == [(None, "right")] * raised
        assert all("only 5.9 mm" in warning.text for warning in found)

    def test_sewing_that_ends_short_of_the_seam_is_said_to(self) -> None:
        (warning,) = of("short-cover", plan_for(opened(under_cover=-3.0), BLOCK))
        assert "ends 3 mm short of the seam" in warning.text

    def test_without_under_cover_it_is_the_overlap_and_what_goes_over_the_edge(self) -> None:
        assert of("short-cover", plan_for(opened(under_cover=None, over_edge=-13.9), BLOCK)) == []
        sizes = {"XL": OpeningSize(span=200.0, overlap=19.8)}
        found = of("short-cover", plan_for(opened(under_cover=None, over_edge=-13.9, sizes=sizes), BLOCK))
        assert sized(found) == [("XL", "right")]

    def test_a_design_that_does_not_cross_the_seam_needs_none(self) -> None:
        apart = drawn(bar(-80, -50, -30, 50), bar(30, -50, 80, 50))
        assert of("short-cover", plan_for(opened(under_cover=0.0), apart)) == []


class TestReveal:
    # Ground and letters both have borders of 4 mm: an offset of 5.5 leaves 1.5 mm to be seen.

    @pytest.mark.parametrize(("offset", "raised"), [(5.4, True), (5.5, False), (5.6, False)])
    def test_a_layer_shows_between_its_border_and_the_next(self, offset: float, raised: bool) -> None:
        letters = replace(GROUND, name="Letters")
        plan = plan_for(replace(SOUND, layers=(replace(GROUND, offset=offset), letters)), BLOCK)
        found = of("thin-reveal", plan)
        assert [(w.size, w.front, w.layer) for w in found] == [(None, None, 1)] * raised
        assert all('only 1.4 mm of "Ground"' in w.text.lower().replace("ground", "Ground") for w in found)

    def test_each_layer_is_compared_with_the_next_alone(self) -> None:
        layers = tuple(replace(GROUND, name=str(offset), offset=offset) for offset in (12.0, 6.0, 5.0))
        (warning,) = of("thin-reveal", plan_for(replace(SOUND, layers=layers), BLOCK))
        assert warning.layer == 2
        assert "lies 3 mm over that of" in warning.text
        assert "4.5 mm larger" in warning.text


class TestSpan:
    @pytest.mark.parametrize(("span", "raised"), [(103.8, True), (104.0, False), (104.2, False)])
    def test_the_window_lies_between_the_buttons(self, span: float, raised: bool) -> None:
        found = of("span-mismatch", plan_for(opened(span=span), BLOCK))
        assert sized(found) == [(None, None)] * raised

    def test_a_size_whose_span_is_too_short_is_named_alone(self) -> None:
        job = opened(sizes={"XL": OpeningSize(span=90.0, overlap=20.0)})
        (warning,) = of("span-mismatch", plan_for(job, BLOCK))
        assert warning.size == "XL"
        assert "7 mm above the upper and 7 mm below the lower button's centre" in warning.text
        assert "make the design 14 mm lower" in warning.text

    @pytest.mark.parametrize(("y", "way"), [(10.0, "4 mm down"), (-10.0, "4 mm up")])
    def test_a_design_that_only_sits_off_the_middle_is_to_be_moved(self, y: float, way: str) -> None:
        job = replace(opened(span=116.0), design=Design("bar.svg", 100.0, (0.0, y)))
        (warning,) = of("span-mismatch", plan_for(job, BLOCK))
        assert f"move its centre {way}" in warning.text


class TestNothingToSew:
    def test_a_plan_with_something_on_every_front_can_be_sewn(self) -> None:
        assert nothing_to_sew(plan_for(SOUND, BLOCK)) is None

    def test_a_layer_that_its_offset_eats_up_is_named(self) -> None:
        gone = replace(LETTERS, offset=-50.0)
        said = nothing_to_sew(plan_for(replace(SOUND, layers=(GROUND, gone)), BLOCK))
        assert said is not None
        assert said.startswith('The layer "letters" has no cloth left: its offset of -50 mm')
        kept = replace(LETTERS, offset=-49.0)
        assert nothing_to_sew(plan_for(replace(SOUND, layers=(GROUND, kept)), BLOCK)) is None

    @pytest.mark.parametrize(("x", "front"), [(84.1, None), (86.1, "right"), (-84.1, None), (-90.1, "left")])
    def test_a_front_without_any_of_the_design_is_named(self, x: float, front: str | None) -> None:
        # The block is 160 wide; the right front's cloth ends at -4, the left one's begins at -10
        job = replace(SOUND, design=Design("bar.svg", 100.0, (x - 8.2 if x > 0 else x, 0.0)))
        said = nothing_to_sew(plan_for(job, BLOCK))
        assert said == (front and said)
        assert front is None or f"on the {front} front of size M" in str(said)

    def test_sizes_are_looked_at_one_by_one(self) -> None:
        job = opened(sizes={"XL": OpeningSize(span=200.0, overlap=200.0)})
        assert "size XL" in str(nothing_to_sew(plan_for(job, BLOCK)))

    def test_a_plan_that_cannot_be_sewn_still_has_all_its_sizes(self) -> None:
        plan = plan_for(replace(SOUND, layers=(replace(GROUND, offset=-60.0),)), BLOCK)
        assert {front.extent for size in plan.sizes.values() for front in size.fronts.values()} == {None}
        assert nothing_to_sew(plan) is not None
