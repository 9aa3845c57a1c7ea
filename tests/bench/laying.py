"""What reading and weighing are worth: a shop that lays, reads, nudges and sews, simulated.

`python -m tests.bench.laying [GARMENTS]` prints the whole table. What is assumed:

* A front is laid off its place by normal errors: along and across with SD `laid` (0.7, 1.2, 2.0 mm), skew with
  0.33 degrees at 1.2 mm and in proportion otherwise, about its folded edge at the window's middle; the buttons lie
  apart wrongly by SD 0.5 mm. Both fronts alike, each lay anew. The steps follow by the linear rule that
  tests/domain/test_placement.py holds against the moved cloth.
* One reading is off by a normal error of SD `reading` (0.2, 0.35, 0.5 mm), all alike and independent; of takes of one
  place `shared` is the part of the variance that they have in common.
* "Single" reads each place once. "Twice" keeps the take rules: a third take where two differ by more than 0.5 mm, and
  where no two of three agree the place is read from the first take again.
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
from dataclasses import dataclass, replace
from functools import cache
from math import radians, sqrt
from pathlib import Path
from random import Random
from typing import Literal

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent / "domain")]

from placement_cases import barred_plan, told_other, told_own  # noqa: E402

from floor.domain.as_sewn import sewn_sums  # noqa: E402
from floor.domain.hand import Hand  # noqa: E402
from floor.domain.placement import (  # noqa: E402
    Placement,
    PlaceSums,
    Readings,
    judge,
    place_sums,
    steps_between,
)
from floor.domain.plan import JobPlan, plan_job  # noqa: E402
from floor.domain.takes import MOST_TAKES, Settled, settle  # noqa: E402
from floor.domain.weighing import NUDGE_SPREAD_MM, NUDGE_STEP_MM, Try, weigh  # noqa: E402
from floor.jobfile import outline_of, read_job_folder  # noqa: E402
from floor.places import page_folder  # noqa: E402
from floor.queries.shop_routes import route_needs  # noqa: E402

MISSED_MM = 1.0
SKEW_DEG_A_MM = 0.33 / 1.2
STRETCH_MM = 0.5
MOST_ROUNDS = 20
SEED = 20261211
GARMENTS = 1000
PROCESSES = 2

Shape = Literal["LARK", "bars and strokes"]
SHAPES: tuple[Shape, ...] = ("LARK", "bars and strokes")


@dataclass(frozen=True)
class World:
    """What is true of a shop; `hand`: what it takes for true, None: its own spreads. mm."""

    laid: float = 1.2
    reading: float = 0.35
    shared: float = 0.0
    drift: float = 0.0
    hand: Hand | None = None

    @property
    def skew_deg(self) -> float:
        return self.laid * SKEW_DEG_A_MM

    @property
    def believed(self) -> Hand:
        own = Hand(self.laid, self.laid, self.skew_deg, STRETCH_MM, reading=self.reading)
        return self.hand or own


@dataclass(frozen=True)
class Policy:
    name: str
    rule: Literal["", "plain", "weighed"]
    takes: int


BY_EYE = Policy("by eye", "", 0)
PLAIN, PLAIN_TWICE = Policy("plain, single", "plain", 1), Policy("plain, twice", "plain", 2)
WEIGHED, WEIGHED_TWICE = Policy("weighed, single", "weighed", 1), Policy("weighed, twice", "weighed", 2)
POLICIES = (BY_EYE, PLAIN, PLAIN_TWICE, WEIGHED, WEIGHED_TWICE)


@dataclass
class Result:
    """Counts over `garments`: `rounds` of reading four places, the measure as sewn one of them; `measures`."""

    garments: int = 0
    missed: int = 0
    re_lays: int = 0
    nudges: int = 0
    rounds: int = 0
    measures: int = 0

    @property
    def share(self) -> float:
        return self.missed / self.garments

    @property
    def error(self) -> float:
        """The Monte Carlo standard error of `share`."""
        return sqrt(self.share * (1 - self.share) / self.garments)


class Shop:
    """One shop that works through a number of garments."""

    def __init__(self, shape: Shape, world: World, policy: Policy, seed: int) -> None:
        self.first, self.second = sums_of(shape)
        self.world, self.policy = world, policy
        self.random = Random(seed)
        self.result = Result()

    def sew(self) -> None:
        """One garment."""
        found = self.result
        first = self._drifted(self._placed(self.first, None))
        read = self._read(told_other(self.second, first)) if self.policy.rule else None
        second = self._drifted(self._placed(self.second, read))
        found.garments += 1
        found.missed += max(map(abs, steps_between(self.second, second, first))) > MISSED_MM

    def _placed(self, sums: PlaceSums, against: tuple[Readings, float] | None) -> Placement:
        """How a front lies when it is sewn."""
        lies, tries = self._laid(), ()
        if not self.policy.rule:
            return lies
        for _ in range(MOST_ROUNDS):
            tries = (*tries, Try(*self._read(told_own(sums, lies))))
            verdict, (along, across) = self._decided(sums, tries, against)
            if verdict == "sew":
                break
            if verdict == "nudge":
                self.result.nudges += 1
                lies = replace(
                    lies, along=lies.along + self._moved(along), across=lies.across + self._moved(across)
                )
                last = replace(tries[-1], how="nudged", along=along, across=across)
            elif verdict == "re-lay":
                self.result.re_lays += 1
                lies, last = self._laid(), replace(tries[-1], how="laid again")
            else:
                last = replace(tries[-1], how="read again")
            tries = (*tries[:-1], last)
        return lies

    def _decided(
        self, sums: PlaceSums, tries: tuple[Try, ...], against: tuple[Readings, float] | None
    ) -> tuple[str, tuple[float, float]]:
        if self.policy.rule == "plain":
            plain = judge(sums, tries[-1].readings, against and against[0])
            along, across = (round(part / NUDGE_STEP_MM) * NUDGE_STEP_MM for part in plain.nudge)
            return plain.verdict, (along, across)
        weighed = weigh(sums, self.world.believed, tries, against)
        return weighed.verdict, weighed.nudge

    def _laid(self) -> Placement:
        gauss, world = self.random.gauss, self.world
        return Placement(
            along=gauss(0, world.laid),
            across=gauss(0, world.laid),
            skew=radians(gauss(0, world.skew_deg)),
            stretch=gauss(0, STRETCH_MM),
        )

    def _moved(self, asked: float) -> float:
        return asked + self.random.gauss(0, NUDGE_SPREAD_MM) if asked else 0.0

    def _drifted(self, lies: Placement) -> Placement:
        along, across = (self.random.gauss(0, self.world.drift) for _ in range(2))
        return replace(lies, along=lies.along + along, across=lies.across + across)

    def _read(self, true: Readings) -> tuple[Readings, float]:
        """What a round comes to, and how many takes each place rests on."""
        self.result.rounds += 1
        found = [self._settled(value) for value in true]
        return Readings(*(one.value for one in found)), sum(one.takes for one in found) / len(found)

    def _settled(self, true: float) -> Settled:
        world = self.world
        common = self.random.gauss(0, world.reading * sqrt(world.shared))
        alone = world.reading * sqrt(1 - world.shared)
        takes: list[float] = []
        while True:
            takes = takes if len(takes) < MOST_TAKES else []
            takes.append(true + common + self.random.gauss(0, alone))
            self.result.measures += 1
            settled = settle(takes, self.policy.takes)
            if settled is not None:
                return settled


@cache
def sums_of(shape: Shape) -> tuple[PlaceSums, PlaceSums]:
    """Of the top front, and of the under front with the top one measured as it was sewn."""
    plan = _lark() if shape == "LARK" else barred_plan()
    job, size = plan.job, next(iter(plan.sizes))
    top, under = job.fronts
    as_sewn = sewn_sums(plan, size, top)
    assert as_sewn is not None
    return place_sums(job, plan.sizes[size], top), place_sums(
        job, plan.sizes[size], under, other_sums=as_sewn
    )


def _lark() -> JobPlan:
    source = read_job_folder(page_folder("demo_jobs") / "larkspur-jackets", route_needs())
    return plan_job(source.job, outline_of(source.svg_text, source.job.design))


def simulated(shape: Shape, world: World, policy: Policy, garments: int, seed: int = SEED) -> Result:
    shop = Shop(shape, world, policy, seed)
    for _ in range(garments):
        shop.sew()
    return shop.result


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
