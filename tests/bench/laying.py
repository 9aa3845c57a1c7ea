"""What reading and weighing are worth: a shop that lays, reads, nudges and sews, simulated.

`python -m tests.bench.laying [GARMENTS]` prints the whole table. What is assumed:

* A front is laid off its place by normal errors: along and across with SD `laid` (0.7, 1.2, 2.0 mm), skew with
  0.33 degrees at 1.2 mm and in proportion otherwise, about its folded edge at the window's middle; the buttons lie
  apart wrongly by SD 0.5 mm. Both fronts alike, each lay anew. The steps follow by the linear rule that
  tests/domain/test_placement_moved.py holds against the moved cloth.
* One reading is off by a normal error of SD `reading` (0.2, 0.35, 0.5 mm), all alike and independent; of takes of one
  place `shared` is the part of the variance that they have in common, and of all takes the part `slips` is misread or
  mistyped by 3 mm either way besides.
* "Single" reads each place once. "Twice" keeps the take rules: a third take where two differ by more than 0.5 mm, and
  where no two of three agree the place is read from the first take again. "Floor" is how a run does it: twice, but once
  after a nudge where the four takes read as foretold.
* A nudge is told in tenths of a millimetre and moves the start by that with an error of SD 0.1 mm.
* The top front first, judged against its drawn place and nudged or laid again until the rule says sew; then measured
  as it was sewn, where its sewing crosses the opening, with the same reading error; then the under front against that.
  `drift` is the SD by which along and across of each front, by itself, still change between the last reading and sewn.
* The weighed rule knows the shop's spreads of laying and reading (`hand`), and the usual ones of what is sewn.
* A garment is missed when the true step at any place where an edge crosses the seam exceeds 1 mm.

A front that is still not right after MOST_ROUNDS rounds is sewn as it lies. "By eye" reads nothing.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE)]

from shop_at_work import BY_EYE, POLICIES, SHAPES, Policy, Result, Shape, World, simulated  # noqa: E402

from floor.domain.hand import Hand  # noqa: E402

GARMENTS = 1000
PROCESSES = 2


def cases() -> Iterator[tuple[str, World, Policy]]:
    """The whole table: what is assumed, in words; the shop; the policy."""
    for laid in (0.7, 1.2, 2.0):
        for reading in (0.2, 0.35, 0.5):
            for policy in POLICIES:
                if policy is not BY_EYE or reading == 0.2:
                    yield "", World(laid, reading), policy
    usual = Hand()
    for words, world in (
        ("half of a reading's variance shared", World(shared=0.5)),
        ("drift 0.3 mm", World(drift=0.3)),
        ("one take in a hundred a slip", World(slips=0.01)),
        ("usual hand", World(laid=0.7, hand=usual)),
        ("usual hand", World(laid=2.0, hand=usual)),
        ("usual hand", World(reading=0.5, hand=usual)),
    ):
        for policy in POLICIES[1:]:
            yield words, world, policy


def main(garments: int) -> None:
    rows = [(shape, *case) for shape in SHAPES for case in cases()]
    with ProcessPoolExecutor(PROCESSES) as pool:
        found = pool.map(_of_row, rows, [garments] * len(rows), chunksize=2)
        print(f"{garments} garments a row; a garment's fronts are two, its measure as sewn one round")
        print(
            "shape            | laid | reading | policy          | over 1 mm    | re-lays nudges rounds measures |"
        )
        for (shape, words, world, policy), one in zip(rows, found, strict=True):
            each = [count / one.garments for count in (one.re_lays, one.nudges, one.rounds, one.measures)]
            print(
                f"{shape:16} | {world.laid:4} | {world.reading if policy.takes else '-':7} | {policy.name:15} "
                f"| {one.share:6.1%} ±{one.error:5.1%}"
                f" | {each[0]:7.3f} {each[1]:6.2f} {each[2]:6.2f} {each[3]:8.1f} | {words}",
                flush=True,
            )


def _of_row(row: tuple[Shape, str, World, Policy], garments: int) -> Result:
    shape, _, world, policy = row
    return simulated(shape, world, policy, garments)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else GARMENTS)
