"""How long a trim takes: the trade's rates on what there is to cut."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, box

from floor.domain.pieces import Piece
from floor.domain.trimming import trimming_time


def piece(*shapes: Polygon) -> Piece:
    return Piece(0, MultiPolygon(list(shapes)), 4.0)


SHEET = piece(box(0, 0, 180, 120))  # 60 cm round, 4 corners
WINDOWED = piece(Polygon(box(0, 0, 180, 120).exterior, [box(50, 50, 80, 80).exterior]))  # and a hole of 12 cm


def test_felt_is_cut_at_35_to_60_cm_a_minute_and_a_corner_takes_2_to_4_s() -> None:
    assert trimming_time(SHEET, "felt", upper=False) == pytest.approx((60 + 4 * 2, 60 * 60 / 35 + 4 * 4))


@pytest.mark.parametrize("fabric", ["twill", "sailcloth"])
def test_twill_and_any_other_cloth_is_cut_at_25_to_45_cm_a_minute(fabric: str) -> None:
    low, high = trimming_time(SHEET, fabric, upper=False)
    assert (low, high) == pytest.approx((60 * 60 / 45 + 8, 60 * 60 / 25 + 16))


def test_any_felt_is_felt() -> None:
    assert trimming_time(SHEET, "Wool felt, thick", upper=False) == trimming_time(SHEET, "felt", upper=False)


def test_a_hole_takes_15_to_30_s_and_its_edge_goes_at_six_tenths_of_the_rate() -> None:
    low, high = trimming_time(WINDOWED, "felt", upper=False)
    assert low == pytest.approx(60 * (60 + 12 / 0.6) / 60 + 8 * 2 + 15)
    assert high == pytest.approx(60 * (60 + 12 / 0.6) / 35 + 8 * 4 + 30)


def test_an_upper_layer_takes_a_fifth_longer() -> None:
    lower = trimming_time(WINDOWED, "twill", upper=False)
    assert trimming_time(WINDOWED, "twill", upper=True) == pytest.approx([1.2 * s for s in lower])


def test_no_cloth_takes_no_time() -> None:
    assert trimming_time(Piece(0, MultiPolygon(), 4.0), "felt", upper=True) == (0, 0)


SIDE = st.floats(5, 400)


@given(SIDE, SIDE, st.sampled_from(["felt", "twill"]), st.booleans())
def test_two_pieces_take_as_long_as_each_by_itself(
    width: float, height: float, fabric: str, upper: bool
) -> None:
    first, second = box(0, 0, width, height), box(1000, 0, 1000 + height, 50)
    apart = [trimming_time(piece(shape), fabric, upper=upper) for shape in (first, second)]
    low, high = trimming_time(piece(first, second), fabric, upper=upper)
    assert 0 < low < high
    assert (low, high) == pytest.approx((apart[0][0] + apart[1][0], apart[0][1] + apart[1][1]))
