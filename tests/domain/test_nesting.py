"""Blanks on sheets and rolls: none overlaps, none hangs out, none is lost, little is wasted."""

from __future__ import annotations

from collections import Counter
from itertools import combinations
from math import ceil, floor

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floor.domain.nesting import (
    LAID_AT_ONCE,
    Blank,
    Layout,
    Placed,
    fits,
    length_of,
    nest_on_roll,
    nest_on_sheets,
    sheets_of,
)

SHEET, ROLL = (300, 450), 900
sides = st.integers(5, 60).map(lambda steps: 5 * steps)
few = st.dictionaries(st.tuples(sides, sides), st.integers(0, 12), max_size=6)
many = st.dictionaries(st.tuples(sides, sides), st.integers(0, 2500), max_size=4)
orders = st.one_of(few, many)


def overlap(one: Placed, other: Placed) -> bool:
    return (
        one.x < other.x + other.width
        and other.x < one.x + one.width
        and one.y < other.y + other.height
        and other.y < one.y + one.height
    )


def assert_sound(layout: Layout, wanted: dict[Blank, int], turned: bool) -> None:
    placed: Counter[Blank] = Counter()
    for pattern in layout:
        assert pattern.times > 0
        assert pattern.placed
        for blank in pattern.placed:
            assert blank.x >= 0
            assert blank.y >= 0
            assert blank.x + blank.width <= pattern.width
            assert blank.y + blank.height <= pattern.length
            sides = (blank.width, blank.height)
            placed[min(sides, sides[::-1]) if turned else sides] += pattern.times
        assert not any(overlap(one, other) for one, other in combinations(pattern.placed, 2))
    asked: Counter[Blank] = Counter()
    for blank, count in wanted.items():
        asked[min(blank, blank[::-1]) if turned else blank] += count
    assert +placed == +asked


def area(wanted: dict[Blank, int]) -> int:
    return sum(width * height * count for (width, height), count in wanted.items())


@settings(max_examples=60)
@given(orders, st.booleans())
def test_every_blank_lies_on_a_sheet_by_itself(wanted: dict[Blank, int], turned: bool) -> None:
    layout = nest_on_sheets(wanted, SHEET, turned=turned)
    assert_sound(layout, wanted, turned)
    assert all((pattern.width, pattern.length) == SHEET for pattern in layout)
    assert sheets_of(layout) >= ceil(area(wanted) / (SHEET[0] * SHEET[1]))


@settings(max_examples=60)
@given(orders, st.booleans())
def test_every_blank_lies_on_the_roll_by_itself(wanted: dict[Blank, int], turned: bool) -> None:
    layout = nest_on_roll(wanted, ROLL, turned=turned)
    assert_sound(layout, wanted, turned)
    assert all(pattern.width == ROLL for pattern in layout)
    assert length_of(layout) >= area(wanted) / ROLL


@given(sides, sides, st.integers(1, 2500))
def test_equal_blanks_take_no_more_than_a_plain_grid_of_them(width: int, height: int, count: int) -> None:
    wanted = {(width, height): count}
    by_grid = ceil(count / (floor(SHEET[0] / width) * floor(SHEET[1] / height)))
    assert sheets_of(nest_on_sheets(wanted, SHEET, turned=False)) <= by_grid
    assert sheets_of(nest_on_sheets(wanted, SHEET, turned=True)) <= by_grid
    rows = ceil(count / floor(ROLL / width))
    assert length_of(nest_on_roll(wanted, ROLL, turned=False)) <= rows * height


def test_four_blanks_of_a_quarter_sheet_fill_one_sheet() -> None:
    layout = nest_on_sheets({(150, 225): 4}, SHEET, turned=False)
    assert sheets_of(layout) == 1
    assert {(blank.x, blank.y) for pattern in layout for blank in pattern.placed} == {
        (0, 0),
        (150, 0),
        (0, 225),
        (150, 225),
    }
    assert sheets_of(nest_on_sheets({(150, 225): 5}, SHEET, turned=False)) == 2


def test_felt_may_be_turned_to_save_a_sheet_and_twill_may_not() -> None:
    assert sheets_of(nest_on_sheets({(225, 150): 4}, SHEET, turned=True)) == 1
    assert sheets_of(nest_on_sheets({(225, 150): 4}, SHEET, turned=False)) == 2


def test_five_blanks_that_no_plain_grid_holds_share_one_sheet() -> None:
    """145 x 155: three turned, one above the other, beside two upright; a grid holds four."""
    assert sheets_of(nest_on_sheets({(145, 155): 5}, SHEET, turned=True)) == 1


def test_a_mixed_sheet_is_found_again_in_a_large_order() -> None:
    one = {(25, 230): 11, (155, 155): 1}
    assert sheets_of(nest_on_sheets(one, SHEET, turned=True)) == 1
    many = {blank: 42 * count for blank, count in one.items()}
    assert sheets_of(nest_on_sheets(many, SHEET, turned=True)) == 42


def test_two_sizes_share_a_row_of_the_roll() -> None:
    assert length_of(nest_on_roll({(500, 200): 1, (400, 200): 1}, ROLL, turned=False)) == 200
    assert length_of(nest_on_roll({(500, 200): 1000, (400, 200): 1000}, ROLL, turned=False)) == 200_000


def test_an_order_of_thousands_is_laid_out_as_a_few_patterns() -> None:
    wanted = {(200 + 5 * i, 150 + 5 * i): 2000 for i in range(12)}
    for layout in (nest_on_sheets(wanted, SHEET, turned=True), nest_on_roll(wanted, ROLL, turned=False)):
        assert sum(len(pattern.placed) for pattern in layout) < 12 * LAID_AT_ONCE


def test_nothing_wanted_takes_nothing() -> None:
    assert nest_on_sheets({}, SHEET, turned=True) == nest_on_roll({(10, 10): 0}, ROLL, turned=True) == ()


def test_a_blank_larger_than_the_cloth_is_refused() -> None:
    assert fits((450, 300), SHEET, turned=True)
    assert not fits((450, 300), SHEET, turned=False)
    with pytest.raises(ValueError, match="450 x 300 mm does not fit"):
        nest_on_sheets({(450, 300): 1}, SHEET, turned=False)
    with pytest.raises(ValueError, match="does not fit"):
        nest_on_roll({(905, 100): 1}, ROLL, turned=False)
    assert length_of(nest_on_roll({(905, 100): 1}, ROLL, turned=True)) == 905
