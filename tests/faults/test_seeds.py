"""Two hundred seeded shops in which everything goes wrong, with a real server process each; and the proof after."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import pytest

from tests.faults.play import play
from tests.faults.shop import Nursery
from tests.faults.weather import FATES

SEEDS = 200
PARTS = 4


@pytest.fixture(scope="module")
def nursery() -> Iterator[Nursery]:
    with Nursery() as nursery:
        yield nursery


@pytest.mark.parametrize("part", range(PARTS))
def test_whatever_goes_wrong_no_tap_is_lost_doubled_or_out_of_order(nursery: Nursery, part: int) -> None:
    each = SEEDS // PARTS
    tally: Counter[str] = Counter()
    for seed in range(part * each, (part + 1) * each):
        outcome = play(nursery, seed)
        assert outcome.faults == [], f"seed {seed}"
        tally.update(outcome.tally)
    # The weather was as foul as it says.
    assert all(
        tally[what] for what in (*FATES, "late", "clock", "restart", "set tablet back", "lose the shop")
    )
    assert tally["kills"] > each
    assert tally["taps"] > 20 * each
