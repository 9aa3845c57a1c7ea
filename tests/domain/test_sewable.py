"""How rugged an outline may be, and that a rugged one is grown as any other."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from shapely import MultiPolygon, Polygon, box
from split_cases import WHOLE, layer

from floor.domain.fronts import cloths_of
from floor.domain.growing import RUGGED_TURNS
from floor.domain.outline import Figure, Outline, OutlineError
from floor.domain.plan import plan_job
from floor.domain.region import region_of
from floor.domain.sewable import MAX_PARTS, MAX_SHARP_TURNS, check_sewable, sharp_turns


def noisy(points: int, noise: float) -> Polygon:
    chance = random.Random(points)
    ring = []
    for step in range(points):
        turn, radius = 2 * math.pi * step / points, 60 + chance.uniform(-noise, noise)
        ring.append((radius * math.cos(turn), radius * math.sin(turn)))
    return Polygon(ring)


@pytest.mark.parametrize(("sides", "sharp"), [(3, 3), (4, 4), (8, 8), (10, 0), (360, 0)])
def test_only_turns_of_more_than_forty_degrees_are_sharp(sides: int, sharp: int) -> None:
    assert sharp_turns(MultiPolygon([noisy(sides, 0)])) == sharp


def test_holes_turn_too() -> None:
    assert sharp_turns(MultiPolygon([box(0, 0, 9, 9).difference(box(3, 3, 6, 6))])) == 8


@pytest.mark.parametrize("offset", [6.0, 1.0, -2.0])
def test_a_rugged_edge_grown_in_steps_is_the_edge_grown_at_once(offset: float) -> None:
    region = MultiPolygon([noisy(1600, 1.5)])
    assert sharp_turns(region) > RUGGED_TURNS
    (cloth,) = cloths_of(replace(WHOLE, layers=(layer(offset),)), region)
    at_once = region.buffer(offset, quad_segs=16)
    assert cloth.symmetric_difference(at_once).area < 0.02 * at_once.length
    assert cloth.hausdorff_distance(at_once) < 0.05


def test_what_nobody_could_trim_is_refused_in_one_sentence() -> None:
    ring = tuple(noisy(2 * MAX_SHARP_TURNS, 3).exterior.coords)[:-1]
    with pytest.raises(OutlineError, match="turns sharply at"):
        plan_job(WHOLE, Outline((Figure((ring,)),)))
    dots = MultiPolygon([box(3 * i, 0, 3 * i + 1, 1) for i in range(MAX_PARTS + 1)])
    with pytest.raises(OutlineError, match="1,001 parts and holes"):
        check_sewable(dots)
    check_sewable(MultiPolygon(list(dots.geoms)[:-1]))


def test_an_ordinary_outline_is_far_from_the_limits() -> None:
    region = region_of(Outline((Figure((tuple(noisy(5000, 0).exterior.coords)[:-1],)),)))
    check_sewable(region)
    assert sharp_turns(region) == 0
