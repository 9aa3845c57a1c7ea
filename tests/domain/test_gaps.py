"""The numbers of a tablet's events: what is missing, what is lost, what is asked for."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from floor.domain.gaps import Numbers, common, holds, how_many, joined, less, numbers_in, without

some_numbers = st.sets(st.integers(1, 40))


def ranges(numbers: set[int]) -> tuple[tuple[int, int], ...]:
    return joined((n, n) for n in numbers)


@given(some_numbers)
def test_ranges_hold_what_was_put_in_and_stand_apart(numbers: set[int]) -> None:
    found = ranges(numbers)
    assert set(numbers_in(found)) == numbers
    assert how_many(found) == len(numbers)
    assert all(after[0] > before[1] + 1 for before, after in pairwise(found))
    assert all(holds(found, n) == (n in numbers) for n in range(42))


@given(some_numbers, some_numbers, st.integers(1, 40))
def test_ranges_are_taken_from_each_other_as_sets_are(some: set[int], others: set[int], one: int) -> None:
    assert set(numbers_in(common(ranges(some), ranges(others)))) == some & others
    assert less(ranges(some), ranges(others)) == ranges(some - others)
    assert without(ranges(some), one) == ranges(some - {one})


happenings = st.lists(st.tuples(st.sampled_from(["came", "answered", "told_lost"]), st.integers(1, 25)))


@given(happenings)
def test_missing_is_what_never_came_and_was_not_told_lost(happened: list[tuple[str, int]]) -> None:
    """Against sets that remember everything. What could not be taken and is above the newest leaves no trace
    here: it is remembered with the refusals."""
    numbers = Numbers()
    here: set[int] = set()
    lost: set[int] = set()
    for what, number in happened:
        newest = max(here, default=0)
        numbers = getattr(numbers, what)(number)
        if what == "came" or (what == "answered" and number < newest):
            here.add(number)
            lost.discard(number)
        elif what == "told_lost" and number < newest and number not in here:
            lost.add(number)
    newest = max(here, default=0)
    missing = set(range(1, newest)) - here - lost
    assert numbers == Numbers(newest, ranges(missing), ranges(lost))
    assert numbers.wanted(3) == sorted(missing)[:3]


def test_a_gap_of_a_million_is_one_stretch_and_the_lowest_are_asked_for_first() -> None:
    numbers = Numbers().came(2).came(1_000_000)
    assert numbers.missing == ((1, 1), (3, 999_999))
    assert numbers.wanted(4) == [1, 3, 4, 5]
