"""Readings that are read twice and weighed leave hardly a garment that steps too far: a small part of the table
that `python -m tests.bench.laying` prints, on fixed seeds."""

from __future__ import annotations

import pytest
from laying import BY_EYE, PLAIN, PLAIN_TWICE, SHAPES, WEIGHED_TWICE, Shape, World, simulated

GARMENTS = 250
MOST_MISSED = 0.02
MOST_RE_LAYS = 0.4  # a garment


@pytest.mark.parametrize("shape", SHAPES)
def test_weighed_readings_miss_no_more_than_a_garment_in_fifty(shape: Shape) -> None:
    by_eye, plain, plain_twice, weighed = (
        simulated(shape, World(laid=1.2, reading=0.35), policy, GARMENTS)
        for policy in (BY_EYE, PLAIN, PLAIN_TWICE, WEIGHED_TWICE)
    )
    assert weighed.share <= MOST_MISSED
    assert weighed.re_lays / GARMENTS <= MOST_RE_LAYS
    assert weighed.share < plain_twice.share <= plain.share < by_eye.share
    assert weighed.re_lays < plain.re_lays


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
