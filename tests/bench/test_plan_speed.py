"""A plan is quick enough to be drawn anew while somebody types its measures.

Measured in unions of the same outline with a copy of itself, in the same run, so that the bound holds on any
machine. Run it with -s to see the figures.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from datetime import date

from shapely import MultiPolygon, Polygon, affinity

from floor.domain.job import Backing, Border, Design, Garment, Hoop, Job, Layer, Machine, Opening, OpeningSize
from floor.domain.outline import Figure, Outline
from floor.domain.plan import plan_job
from floor.domain.region import region_of
from floor.domain.thin_parts import thin_places

POINTS, LOBES = 5000, 60
# Where one union took 1.7 ms, and growing the outline once 7 ms, a plan took 103 ms. 150 ms would be 90 unions.
MOST_UNIONS = 90.0
ROUNDS = 7
UNIONS_AT_ONCE = 20  # one alone is too short to be timed well
MOST_FOR_FOURFOLD = 9.0  # sums in the square of the spikes would take 16 times as long

JOB = Job(
    title="A badge with a scalloped edge across the opening",
    customer="Larkfield Marching Band",
    due=date(2026, 12, 11),
    route="split-front",
    opening=Opening(200.0, 20.0, 2.0, 15.0, 8.0, 2, "left", {"XL": OpeningSize(220.0, 24.0)}),
    design=Design("badge.svg", 120.0),
    layers=tuple(
        Layer(name, "felt", "red", offset, True, "run", Border(4.0, 0.4, "red"))
        for name, offset in (("Ground", 14.0), ("Shade", 7.0), ("Letters", 0.0))
    ),
    hoop=Hoop((600.0, 300.0), 5.0),
    backing=Backing("cutaway", 2),
    machine=Machine(700, 1),
    garments=(Garment(1, "M"), Garment(2, "XL")),
)


def scalloped() -> Outline:
    """An oval with so many lobes that no point of it can be left out."""
    ring = []
    for step in range(POINTS):
        turn = 2 * math.pi * step / POINTS
        lobe = 4 * math.sin(LOBES * turn)
        ring.append(((150 + lobe) * math.cos(turn), (60 + lobe) * math.sin(turn)))
    return Outline((Figure((tuple(ring),)),)).scaled(JOB.design.height, JOB.design.centre)


def cpu_ms(work: Callable[[], object], times: int = 1) -> float:
    begun = time.process_time()
    for _ in range(times):
        work()
    return 1000 * (time.process_time() - begun) / times


def ratio_of(
    work: Callable[[], object], measure: Callable[[], object], times: int = 1, rounds: int = ROUNDS
) -> float:
    """What the work costs in measures, in the round that was disturbed least: both are timed in turn, the measure
    before and after, so that a machine that is slow for a while is so for both."""
    ratios = []
    for _ in range(rounds):
        before = cpu_ms(measure, times)
        cost = cpu_ms(work)
        ratios.append(2 * cost / (before + cpu_ms(measure, times)))
    return min(ratios)


def test_a_plan_of_5000_points_three_layers_and_two_sizes_takes_few_unions() -> None:
    outline = scalloped()
    shape = Polygon(outline.rings[0])
    beside = affinity.translate(shape, 0.05, 0.025)
    plan = plan_job(JOB, outline)
    assert len(plan.sizes) == 2
    assert all(len(front.sewn) == 3 for size in plan.sizes.values() for front in size.fronts.values())
    ratio = ratio_of(lambda: plan_job(JOB, outline), lambda: shape.union(beside), times=UNIONS_AT_ONCE)
    print(
        f"a plan costs as much as {ratio:.0f} unions; the region alone {cpu_ms(lambda: region_of(outline)):.1f} ms"
    )
    assert ratio <= MOST_UNIONS


def spiked(spikes: int) -> MultiPolygon:
    """A star whose spikes, each with a notch beside it, are longer than its border is wide."""
    turns = [math.pi * step / spikes for step in range(2 * spikes)]
    radii = [80.0, 60.0] * spikes
    ring = [(r * math.cos(turn), r * math.sin(turn)) for r, turn in zip(radii, turns, strict=True)]
    return MultiPolygon([Polygon(ring)])


def test_thin_parts_of_four_times_as_many_spikes_take_about_four_times_as_long() -> None:
    few, many = spiked(400), spiked(1600)
    ratio = ratio_of(lambda: thin_places(many, 4.0), lambda: thin_places(few, 4.0), rounds=2)
    print(f"1,600 spikes cost as much as {ratio:.1f} times 400")
    assert ratio <= MOST_FOR_FOURFOLD
