"""A shop that lays, reads, nudges and sews; laying.py says what is assumed of it."""

from __future__ import annotations

import sys
from collections.abc import Callable
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
from floor.domain.fronts import Readings  # noqa: E402
from floor.domain.hand import Hand  # noqa: E402
from floor.domain.place_lie import NUDGE_SPREAD_MM, Try, is_foretold  # noqa: E402
from floor.domain.place_steps import NUDGE_STEP_MM  # noqa: E402
from floor.domain.place_sums import PlaceSums, place_sums  # noqa: E402
from floor.domain.placement import Placement, judge, steps_between  # noqa: E402
from floor.domain.plan import JobPlan, plan_job  # noqa: E402
from floor.domain.takes import MOST_TAKES, Settled, settle  # noqa: E402
from floor.domain.weighing import weigh  # noqa: E402
from floor.jobfile import outline_of, read_job_folder  # noqa: E402
from floor.places import page_folder  # noqa: E402
from floor.queries.shop_routes import route_needs  # noqa: E402

MISSED_MM = 1.0
SKEW_DEG_A_MM = 0.33 / 1.2
STRETCH_MM = 0.5
SLIP_MM = 3.0
MOST_ROUNDS = 20
SEED = 20261211

Shape = Literal["LARK", "bars and strokes"]
SHAPES: tuple[Shape, ...] = ("LARK", "bars and strokes")


@dataclass(frozen=True)
class World:
    """What is true of a shop; `hand`: what it takes for true, None: its own spreads. mm."""

    laid: float = 1.2
    reading: float = 0.35
    shared: float = 0.0
    drift: float = 0.0
    slips: float = 0.0
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
    once_after_a_nudge: bool = False


BY_EYE = Policy("by eye", "", 0)
PLAIN, PLAIN_TWICE = Policy("plain, single", "plain", 1), Policy("plain, twice", "plain", 2)
WEIGHED, WEIGHED_TWICE = Policy("weighed, single", "weighed", 1), Policy("weighed, twice", "weighed", 2)
AS_FLOOR_DOES = Policy("Floor", "weighed", 2, once_after_a_nudge=True)
POLICIES = (BY_EYE, PLAIN, PLAIN_TWICE, WEIGHED, WEIGHED_TWICE, AS_FLOOR_DOES)


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
            tries = (*tries, Try(*self._read(told_own(sums, lies), self._foretold(sums, tries))))
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

    def _foretold(self, sums: PlaceSums, tries: tuple[Try, ...]) -> Callable[[Readings], bool] | None:
        """What tells whether first takes are enough; None where each place is read as often as ever."""
        if not self.policy.once_after_a_nudge or not tries or tries[-1].how == "laid again":
            return None
        return lambda firsts: is_foretold(sums, self.world.believed, tries, firsts, 1)

    def _read(
        self, true: Readings, foretold: Callable[[Readings], bool] | None = None
    ) -> tuple[Readings, float]:
        """What a round comes to, and how many takes each place rests on."""
        self.result.rounds += 1
        tapes = [self._tape(value) for value in true]
        firsts = Readings(*(tape() for tape in tapes))
        if foretold is not None and foretold(firsts):
            return firsts, 1.0
        found = [self._settled(first, tape) for first, tape in zip(firsts, tapes, strict=True)]
        return Readings(*(one.value for one in found)), sum(one.takes for one in found) / len(found)

    def _tape(self, true: float) -> Callable[[], float]:
        """Reads one place of this round."""
        world, random = self.world, self.random
        common = random.gauss(0, world.reading * sqrt(world.shared))
        alone = world.reading * sqrt(1 - world.shared)

        def take() -> float:
            self.result.measures += 1
            slip = random.choice((-SLIP_MM, SLIP_MM)) if random.random() < world.slips else 0.0
            return true + common + random.gauss(0, alone) + slip

        return take

    def _settled(self, first: float, tape: Callable[[], float]) -> Settled:
        takes = [first]
        while (settled := settle(takes, self.policy.takes)) is None:
            takes = [*takes, tape()] if len(takes) < MOST_TAKES else [tape()]
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
