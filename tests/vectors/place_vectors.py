"""place.json: fronts that lie anyhow, read by hands that are never exact, and what the domain says of each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from math import radians
from random import Random
from typing import Any

from route_cases import CLOSED_JOB, OPENING, PENNANT, SPLIT_JOB, drawn, plan_for, shop_route
from tape import Tape

from floor.domain.fronts import Readings
from floor.domain.hand import USUAL_HAND, Hand
from floor.domain.job import HouseRules, Job, Machine
from floor.domain.outline import Outline
from floor.domain.place_in_run import index_of, settled_place
from floor.domain.place_lie import Try
from floor.domain.place_steps import CHANCES
from floor.domain.place_sums import PlaceSums
from floor.domain.place_words import advice
from floor.domain.placement import judge
from floor.domain.route import expand, sections_of
from floor.domain.weighing import CLEAR_NUDGE_RISK, CLEAR_SEW_RISK, NUDGE_RISK, SEW_RISK, Weighed, weigh

CASES = 300
MOST_OF_A_KIND = 36  # of a verdict, its cause and how sure it is: the rare ones are looked for
FINE = HouseRules(step_pass=0.3)
MAX_SKEW_DEG = 2.0
A_LAST_DIGIT_MM = 1e-9
DIGITS = 9  # of a number in the file
THRESHOLDS = (SEW_RISK, NUDGE_RISK, CLEAR_SEW_RISK, CLEAR_NUDGE_RISK, 0.5)  # 0.5: clearly laid again
UNSTEADY_HAND = Hand(2.0, 2.5, 0.8, 0.9, 1.0, 0.8, 0.6, 0.7)
COARSE_HAND = Hand(reading=1.4)
STEADY_HAND = Hand(0.4, 0.5, 0.15, 0.3, 0.2, 0.25, 0.12, 0.2)
LOZENGE = drawn(((-160, 0), (0, -60), (160, 20), (30, 60)))  # slanting edges cross the seam

Against = tuple[Readings, float] | None


def place_file(random: Random) -> dict[str, Any]:
    """`sums`: the fronts; each case names one by its place in the list."""
    fronts = list(_fronts())
    cases: list[dict[str, Any]] = []
    kinds: Counter[tuple[str, str, str]] = Counter()
    while len(cases) < CASES:
        at = random.randrange(len(fronts))
        found = _case(fronts[at], random)
        if found is None:
            continue
        weighed = found["expected"]["weighed"]
        kind = (weighed["verdict"], weighed["cause"], weighed["sure"])
        if kinds[kind] < MOST_OF_A_KIND:
            kinds[kind] += 1
            cases.append({"name": f"front {at}, case {len(cases) + 1}", "sums": at, **found})
    return {"sums": [asdict(sums) for sums in fronts], "cases": cases}


def _fronts() -> Iterator[PlaceSums]:
    """As the shop's own routes send them: both fronts, level, slanting and half-missing edges, one head and two, and
    a house that lets pass less than a tape can tell."""
    under = replace(OPENING, top_front="right", under_cover=8.0)
    jobs: tuple[tuple[Job, Outline | None], ...] = (
        (SPLIT_JOB, None),
        (replace(SPLIT_JOB, opening=under), LOZENGE),
        (SPLIT_JOB, PENNANT),
        (replace(SPLIT_JOB, opening=replace(OPENING, over_edge=-2.0)), LOZENGE),
        (replace(SPLIT_JOB, machine=Machine(700, 2)), LOZENGE),
        (CLOSED_JOB, LOZENGE),
    )
    for job, outline in jobs:
        plan = plan_for(job) if outline is None else plan_for(job, outline)
        route = shop_route(job.route)
        load = (1, 2)[: job.machine.heads]
        for section in sections_of(route, job):
            for house in (HouseRules(), FINE)[: 2 if outline is PENNANT else 1]:
                made = expand(route, plan, house, section.key, load, first_piece=False)
                yield from [p.place.sums for p in made.phases if p.place and p.place.kind == "set"][:1]


@dataclass(frozen=True)
class _Lies:
    """How a design truly lies, mm and radians, in the frame of the garment."""

    along: float
    across: float
    skew: float
    stretch: float

    @classmethod
    def anyhow(cls, random: Random, wild: float) -> _Lies:
        def some(spread: float) -> float:
            return random.gauss(0, spread * wild)

        limit = radians(MAX_SKEW_DEG) * 0.95  # the hands' error comes on top
        return cls(some(1.2), some(1.2), max(-limit, min(limit, radians(some(0.5)))), some(0.5))

    def read(self, expected: Readings, sign: int, height: float, random: Random) -> Readings:
        turned = -sign * self.skew * height / 2
        exact = (
            self.along + self.stretch / 2,
            -self.along + self.stretch / 2,
            sign * self.across + turned,
            sign * self.across - turned,
        )
        return Readings(
            *(round(e + x + random.gauss(0, 0.3), 1) for e, x in zip(expected, exact, strict=True))
        )


def _case(sums: PlaceSums, random: Random) -> dict[str, Any] | None:
    """None where a last digit could turn what is said."""
    hand = random.choice((USUAL_HAND, USUAL_HAND, UNSTEADY_HAND, COARSE_HAND, STEADY_HAND))
    tries = _tries(sums, random)
    against = _against(sums, random)
    if not is_steady(sums, hand, tries, against):
        return None
    weighed = weigh(sums, hand, tries, against)
    exact = judge(sums, tries[-1].readings, None if against is None else against[0])
    if abs(exact.skew_deg) > 2 * MAX_SKEW_DEG:
        return None
    said = advice(
        sums, weighed.verdict, weighed.cause, weighed.nudge, weighed.skew_deg, weighed.lie.stretch.mean,
        weighed.past_after,
    )  # fmt: skip
    return {
        "hand": asdict(hand),
        "tries": [asdict(one) for one in tries],
        "against": against,
        "expected": _rounded({"steps": exact.steps, "weighed": asdict(weighed), "advice": said}),
    }


def _tries(sums: PlaceSums, random: Random) -> tuple[Try, ...]:
    """One to five rounds: the start is moved roughly to where it should be, the cloth laid again, or left."""
    wild = random.choice((0.4, 1.0, 1.0, 2.0))
    lies, rounds = _Lies.anyhow(random, wild), []
    for _ in range(random.choice((1, 1, 2, 3, 4, 5))):
        readings = lies.read(sums.expected, sums.across_sign, sums.height, random)
        how = random.choice(("nudged", "nudged", "laid again", "read again"))
        along, across = (round(-x + random.gauss(0, 0.4), 1) for x in (lies.along, lies.across))
        if how == "nudged":
            lies = replace(lies, along=lies.along + along, across=lies.across + across)
            rounds.append(Try(readings, _takes(random), "nudged", along, across))
        elif how == "laid again":
            lies = _Lies.anyhow(random, wild)
            rounds.append(Try(readings, _takes(random), "laid again"))
        else:
            rounds.append(Try(readings, _takes(random), "read again"))
    return (*rounds[:-1], replace(rounds[-1], how=None, along=0.0, across=0.0))


def _against(sums: PlaceSums, random: Random) -> Against:
    """The other front read where it is read; half of the fronts are the first."""
    if sums.side == 0 or random.random() < 0.5:
        return None
    height = sums.other.upper - sums.other.lower
    lies = _Lies.anyhow(random, random.choice((0.5, 0.5, 2.0)))
    return lies.read(sums.other.expected, -sums.across_sign, height, random), _takes(random)


def _takes(random: Random) -> float:
    return random.choice((1.0, 2.0, 2.0, 2.25, 2.5, 3.0))


def is_steady(sums: PlaceSums, hand: Hand, tries: tuple[Try, ...], against: Against) -> bool:
    """Whether what is said stays the same where another language's sums differ in a last digit: no risk within
    one chance of a threshold, and nothing turned by readings that differ by as little."""

    def told(one: Weighed) -> tuple[object, ...]:
        return one.verdict, one.cause, one.sure, one.risk, one.risk_after, one.nudge

    here = weigh(sums, hand, tries, against)
    if any(abs(risk - at) <= 1 / CHANCES for risk in (here.risk, here.risk_after) for at in THRESHOLDS):
        return False
    return all(
        told(weigh(sums, hand, (*tries[:-1], replace(tries[-1], readings=_shifted(tries[-1].readings, by))), against))
        == told(here)
        for by in ((1, 0, 0, 0), (-1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, -1, 0), (0, 0, 0, 1))
    )  # fmt: skip


def _shifted(readings: Readings, by: tuple[int, ...]) -> Readings:
    return Readings(*(value + A_LAST_DIGIT_MM * way for value, way in zip(readings, by, strict=True)))


def is_steady_throughout(tape: Tape) -> bool:
    """The same of every place that is judged in a run."""
    for moment in tape.replayed().past:
        state = moment.state
        place = state.current.place if state.current is not None else None
        settled = settled_place(state, state.phase) if place is not None else None
        if place is None or settled is None or place.kind == "sewn":
            continue
        other = index_of(state.phases, place.against)
        against = None if other is None else settled_place(state, other)
        if not is_steady(place.sums, place.hand, (*state.tries.get(state.phase, ()), Try(*settled)), against):
            return False
    return True


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, DIGITS)
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    return [_rounded(one) for one in value] if isinstance(value, (list, tuple)) else value
