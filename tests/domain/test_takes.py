"""One place read more than once: which takes stand, and which are asked about."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tape import EDGE, LEFT, place_readings

from floor.domain.takes import AGREE_MM, Settled, is_doubtful, is_mirrored, settle, take_name

UPPER, _, PAST, _ = place_readings(LEFT.expected)  # -3 mm at the button, 3 mm past the edge


def test_a_run_keeps_the_second_take_under_its_number() -> None:
    assert [take_name("u", take) for take in (1, 2, 3)] == ["u", "u 2", "u 3"]


def test_what_is_asked_once_stands_as_it_was_read_last() -> None:
    assert settle([4.0], 1) == Settled(4.0, 1)
    assert settle([], 1) is None


def test_two_takes_that_agree_stand_for_their_mean() -> None:
    assert settle([4.0, 4.5], 2) == Settled(4.25, 2)
    assert settle([0.6, 1.1], 2) is not None  # half a millimetre, whatever the last binary digit says
    assert settle([4.0], 2) is None


def test_two_takes_that_differ_want_a_third() -> None:
    assert settle([4.0, 4.6], 2) is None


@pytest.mark.parametrize(
    ("third", "comes_to"),
    [
        (3.8, Settled(3.9, 2)),  # bears out the first
        (5.2, Settled(5.1, 2)),  # bears out the second
        (4.5, Settled(4.5, 3)),  # bears out both
        (6.0, None),  # none
    ],
)
def test_of_three_takes_those_that_agree_stand(third: float, comes_to: Settled | None) -> None:
    found = settle([4.0, 5.0, third], 2)
    if comes_to is None:
        assert found is None
    else:
        assert found is not None
        assert (found.value, found.takes) == (pytest.approx(comes_to.value), comes_to.takes)


takes = st.lists(st.floats(-20, 20).map(lambda mm: round(mm, 1)), min_size=2, max_size=3)


@given(takes)
def test_the_order_of_takes_changes_nothing_and_what_stands_was_borne_out(values: list[float]) -> None:
    found = settle(values, 2)
    assert settle(values[::-1], 2) == found
    if found is not None:
        near = [value for value in values if abs(value - found.value) <= AGREE_MM + 1e-9]
        assert len(near) >= found.takes
        assert min(values) <= found.value + 1e-9
        assert found.value <= max(values) + 1e-9


def test_a_value_that_fits_far_better_with_the_other_sign_is_asked_about() -> None:
    assert is_mirrored(PAST, -2.8)
    assert is_doubtful(PAST, -2.8)
    assert PAST.low <= -2.8 <= PAST.high
    assert not is_mirrored(PAST, 2.8)
    assert not is_mirrored(PAST, 0.2)  # too near to either


def test_what_is_measured_once_has_no_wrong_side() -> None:
    assert not is_mirrored(EDGE, -3.0)
    assert is_doubtful(EDGE, -3.0)  # outside what stands by itself


def test_limits_stand_by_themselves() -> None:
    assert not is_doubtful(UPPER, UPPER.low)
    assert is_doubtful(UPPER, UPPER.low - 0.01)
