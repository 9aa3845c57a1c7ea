"""Readings that are taken twice and weighed leave hardly a garment that steps too far: a small part of the table
that `python -m tests.bench.laying` prints, on fixed seeds."""

from __future__ import annotations

import pytest
from laying import cases
from shop_at_work import (
    AS_FLOOR_DOES,
    BY_EYE,
    PLAIN,
    PLAIN_TWICE,
    POLICIES,
    SHAPES,
    WEIGHED_TWICE,
    Shape,
    World,
    simulated,
)

GARMENTS = 250
MOST_MISSED = 0.02
MOST_RE_LAYS = 0.4  # a garment


@pytest.mark.parametrize("shape", SHAPES)
def test_weighed_readings_miss_no_more_than_a_garment_in_fifty(shape: Shape) -> None:
    by_eye, plain, plain_twice, twice, floor = (
        simulated(shape, World(laid=1.2, reading=0.35), policy, GARMENTS)
        for policy in (BY_EYE, PLAIN, PLAIN_TWICE, WEIGHED_TWICE, AS_FLOOR_DOES)
    )
    for weighed in (twice, floor):
        assert weighed.share <= MOST_MISSED
        assert weighed.re_lays / GARMENTS <= MOST_RE_LAYS
        assert weighed.share < plain_twice.share < by_eye.share
        assert weighed.re_lays < plain.re_lays
    assert plain.share < by_eye.share
    assert floor.measures < twice.measures


@pytest.mark.parametrize("shape", SHAPES)
def test_a_shop_that_lays_and_reads_without_a_fault_sews_at_once(shape: Shape) -> None:
    """Three rounds: a front, the same as it was sewn, the other front. Only cloth that was stretched is laid again."""
    perfect = simulated(shape, World(laid=0.0, reading=0.0), PLAIN, 200)
    assert (perfect.missed, perfect.nudges) == (0, 0)
    assert perfect.rounds == 3 * perfect.garments + perfect.re_lays
    assert perfect.measures == 4 * perfect.rounds
    assert perfect.re_lays <= 4


def test_without_an_error_of_reading_the_plain_rule_misses_next_to_nothing() -> None:
    """What is left is the machine's start, moved to within a tenth."""
    assert simulated("LARK", World(reading=0.0), PLAIN, GARMENTS).share <= 0.01


def test_a_simulation_is_the_same_each_time_and_another_by_another_seed() -> None:
    one, again, other = (simulated("LARK", World(), PLAIN, 40, seed) for seed in (1, 1, 2))
    assert one == again
    assert one != other


def test_the_table_has_every_policy_in_every_shop() -> None:
    rows = list(cases())
    for laid in (0.7, 1.2, 2.0):
        for reading in (0.2, 0.35, 0.5):
            told = {policy for words, world, policy in rows if world == World(laid, reading) and not words}
            assert told >= set(POLICIES) - {BY_EYE}
