"""An intake with a flaw is found out: the simulation would see what it is there to see."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.faults.breakages import NAMES
from tests.faults.play import play
from tests.faults.shop import Nursery

SEEDS_AT_MOST = 40


@pytest.fixture(scope="module")
def nursery() -> Iterator[Nursery]:
    with Nursery() as nursery:
        yield nursery


@pytest.mark.parametrize("flaw", NAMES)
def test_a_flaw_in_the_intake_is_noticed(nursery: Nursery, flaw: str) -> None:
    for seed in range(SEEDS_AT_MOST):
        if play(nursery, seed, flaw).faults:
            return
    raise AssertionError(f"{SEEDS_AT_MOST} seeds did not notice: {flaw}")
