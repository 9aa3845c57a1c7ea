"""One place read more than once: which takes agree, and what they come to."""

from __future__ import annotations

from itertools import permutations
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.checklist import Reading
from floor.domain.takes import (
    AGREE_MM,
    MIRRORED_MM,
    MOST_TAKES,
    Settled,
    is_doubtful,
    is_mirrored,
    settle,
    take_name,
)

tenths = st.integers(-80, 80).map(lambda tenth: tenth / 10)


def reading(expected: float, takes: int = 2) -> Reading:
    """Stands by itself within 5 mm of what is expected."""
    return Reading(
        id="u",
        ask="Where is the needle?",
        expected=expected,
        low=expected - 5,
        high=expected + 5,
        never_low=expected - 15,
        never_high=expected + 15,
        takes=takes,
    )


def test_the_first_take_has_the_readings_own_name() -> None:
    assert [take_name("u", take) for take in (1, 2, 3)] == ["u", "u 2", "u 3"]


@pytest.mark.parametrize(
    ("takes", "settled"),
    [
        ([], None),
        ([1.0], None),
        ([1.0, 1.5], Settled(1.25, 2)),
        ([1.0, 1.6], None),
        ([1.0, 1.6, 1.3], Settled(1.3, 3)),
        ([1.0, 1.6, 1.1], Settled((1.0 + 1.6 + 1.1) / 3, 3)),
        ([1.0, 6.0, 1.2], Settled(1.1, 2)),
        ([6.0, 1.0, 5.8], Settled(5.9, 2)),
        ([1.0, 1.7, 2.4], None),
        ([1.0, 1.5, 2.0], Settled(1.5, 3)),
    ],
)
def test_takes_of_a_place_that_is_read_twice(takes: list[float], settled: Settled | None) -> None:
    found = settle(takes, 2)
    if settled is None:
        assert found is None
    else:
        assert found == Settled(pytest.approx(settled.value), settled.takes)


def test_a_place_that_is_read_once_has_its_newest_value() -> None:
    assert settle([], 1) is None
    assert settle([1.2], 1) == Settled(1.2, 1)
    assert settle([1.2, 9.0], 1) == Settled(9.0, 1)


@pytest.mark.parametrize("low", [0.1, 1.1, 7.3, -2.4])
def test_half_a_millimetre_apart_agrees_whatever_the_last_digit_says(low: float) -> None:
    assert settle([low, low + AGREE_MM], 2) is not None
    assert settle([low, low + AGREE_MM + 0.1], 2) is None


@given(st.lists(tenths, min_size=2, max_size=3))
def test_the_order_of_takes_does_not_matter(takes: list[float]) -> None:
    assert {settle(list(order), 2) for order in permutations(takes)} == {settle(takes, 2)}


@given(st.lists(tenths, min_size=2, max_size=3), tenths)
def test_takes_move_with_what_they_read(takes: list[float], by: float) -> None:
    here, there = settle(takes, 2), settle([take + by for take in takes], 2)
    assert (here is None) == (there is None)
    if here is not None and there is not None:
        assert there.value == pytest.approx(here.value + by)
        assert there.takes == here.takes


@given(st.lists(tenths, min_size=2, max_size=3))
def test_a_place_settles_only_on_takes_that_others_bear_out(takes: list[float]) -> None:
    found = settle(takes, 2)
    near = [one for at, one in enumerate(takes) if any(
        abs(one - other) <= AGREE_MM + 1e-9 for where, other in enumerate(takes) if where != at
    )]  # fmt: skip
    if found is None:
        assert not near or len(takes) < MOST_TAKES
    else:
        assert min(near) - 1e-9 <= found.value <= max(near) + 1e-9
        assert 2 <= found.takes <= len(near)


def test_a_misread_tape_is_left_aside() -> None:
    """A tape read to 0.1 mm with one take in a hundred 10 mm wrong: no place comes out a millimetre off."""
    random = Random(8)
    worst = 0.0
    for _ in range(3000):
        takes = [random.gauss(0, 0.1) + (10 if random.random() < 0.01 else 0) for _ in range(2)]
        if settle(takes, 2) is None:
            takes.append(random.gauss(0, 0.1))
        found = settle(takes, 2)
        assert found is not None
        worst = max(worst, abs(found.value))
    assert worst < 0.5


@pytest.mark.parametrize(
    ("expected", "value", "mirrored"),
    [
        (-12.0, -11.0, False),
        (-12.0, 11.0, True),
        (3.0, -2.5, True),
        (2.0, -0.4, False),
        (2.0, -0.6, True),
        (0.0, 4.0, False),
        (0.2, -2.0, False),
    ],
)
def test_a_value_told_for_the_wrong_side_is_asked_about(
    expected: float, value: float, mirrored: bool
) -> None:
    one = reading(expected)
    assert is_mirrored(one, value) == mirrored
    if one.low <= value <= one.high:
        assert is_doubtful(one, value) == mirrored


def test_a_value_is_on_the_wrong_side_when_the_other_sign_fits_a_millimetre_better() -> None:
    """Of 2 mm expected and x read: |x - 2| - |-x - 2| is 2x while x lies between them."""
    half = MIRRORED_MM / 2
    assert not is_mirrored(reading(2.0), -half + 0.01)
    assert is_mirrored(reading(2.0), -half - 0.01)


def test_a_place_that_is_read_once_may_lie_on_either_side() -> None:
    assert not is_mirrored(reading(3.0, takes=1), -3.0)


@pytest.mark.parametrize(("value", "doubtful"), [(8.0, False), (8.01, True), (-2.01, True)])
def test_a_value_beyond_what_stands_by_itself_is_asked_about(value: float, doubtful: bool) -> None:
    assert is_doubtful(reading(3.0), value) == doubtful
    assert is_doubtful(reading(3.0, takes=1), value) == doubtful
