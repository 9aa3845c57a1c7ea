"""A shop's hand, learned from its runs."""

from __future__ import annotations

from dataclasses import asdict, replace
from math import degrees, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from floor.domain.hand import LEAST_SPREAD, MOST_SPREAD, USUAL_HAND, Hand
from floor.domain.hand_learning import (
    LEAST_LAID_DEG,
    LEAST_LAID_MM,
    LEAST_READ_MM,
    MISLAID_DEG,
    MISLAID_MM,
    MISREAD_MM,
    MISTOLD_MM,
    PRIOR_WEIGHT,
    Laid,
    learn,
    learned_hand,
)

HEIGHT = 130.0
LARGE = Hand(2.0, 1.6, 0.55, 0.8, 0.9, 0.7, 0.45, 0.5)
FINE = Hand(0.7, 0.6, 0.19, 0.3, 0.3, 0.35, 0.2, 0.2)

fronts = st.builds(
    Laid,
    along=st.floats(-10, 10),
    across=st.floats(-10, 10),
    skew_deg=st.floats(-3, 3),
    stretch=st.floats(-5, 5),
    takes=st.sampled_from([1.0, 2.0, 2.25, 3.0]),
    height=st.floats(60, 300),
)


def laid_by(hand: Hand, number: int, random: Random, *, sewn: bool = False) -> list[Laid]:
    """Fronts as a shop of that hand lays and reads them, twice each place."""
    along, across, skew = (
        (hand.sewn_along, hand.sewn_across, hand.sewn_skew) if sewn else (hand.along, hand.across, hand.skew)
    )
    one = hand.reading / sqrt(2)
    found = []
    for _ in range(number):
        u, l, a, b = (random.gauss(0, one) for _ in range(4))  # noqa: E741
        found.append(
            Laid(
                along=random.gauss(0, along) + (u - l) / 2,
                across=random.gauss(0, across) + (a + b) / 2,
                skew_deg=random.gauss(0, skew) - degrees((a - b) / HEIGHT),
                stretch=random.gauss(0, hand.stretch) + u + l,
                takes=2.0,
                height=HEIGHT,
            )
        )
    return found


def pairs_by(hand: Hand, number: int, random: Random) -> list[float]:
    return [random.gauss(0, hand.reading) - random.gauss(0, hand.reading) for _ in range(number)]


def off(found: Hand, truth: Hand) -> float:
    """The most that any spread is off its truth, as a share of it."""
    return max(abs(value / asdict(truth)[name] - 1) for name, value in asdict(found).items())


def test_a_shop_without_runs_has_the_usual_hand() -> None:
    assert learned_hand([], [], []) == USUAL_HAND


def test_a_spread_is_the_weighed_mean_square_less_what_reading_adds() -> None:
    one = Laid(along=3.0, across=-2.0, skew_deg=1.0, stretch=1.5, takes=2.0, height=100.0)
    other = replace(one, along=-1.0, takes=1.0)
    found = learned_hand([one, other], [one], [])
    w, error = PRIOR_WEIGHT, USUAL_HAND.reading**2
    assert found.reading == USUAL_HAND.reading
    assert found.along**2 == pytest.approx((w * 1.44 + (9 - error / 4) + (1 - error / 2)) / (w + 2))
    assert found.across**2 == pytest.approx((w * 1.44 + 8 - error / 4 - error / 2) / (w + 2))
    turn = 2 * error * degrees(1 / 100) ** 2
    assert found.skew**2 == pytest.approx((w * 0.33**2 + 2 - turn / 2 - turn) / (w + 2))
    assert found.stretch**2 == pytest.approx((w * 0.25 + 4.5 - error - 2 * error) / (w + 2))
    assert found.sewn_along**2 == pytest.approx((w * 0.25 + 9 - error / 4) / (w + 1))
    assert found.sewn_across**2 == pytest.approx((w * 0.25 + 4 - error / 4) / (w + 1))
    assert found.sewn_skew**2 == pytest.approx((w * 0.09 + 1 - turn / 2) / (w + 1))


def test_two_takes_differ_by_twice_one_readings_variance() -> None:
    found = learned_hand([], [], [0.6, -0.8, 0.0])
    assert found.reading**2 == pytest.approx((PRIOR_WEIGHT * 0.35**2 + 1.0 / 2) / (PRIOR_WEIGHT + 3))


def test_a_misread_pair_and_a_mislaid_front_count_for_nothing() -> None:
    good = Laid(0.5, 0.5, 0.1, 0.2, 2.0, HEIGHT)
    bad = [
        replace(good, along=MISLAID_MM + 0.1),
        replace(good, across=-MISLAID_MM - 0.1),
        replace(good, skew_deg=MISLAID_DEG + 0.1),
        replace(good, stretch=-MISTOLD_MM - 0.1),
    ]
    assert learn([good, *bad], [*bad, good], [0.3, MISREAD_MM + 0.1, -MISREAD_MM - 0.1]) == learn(
        [good], [good], [0.3]
    )


def test_it_says_on_how_many_it_rests() -> None:
    found = learn([Laid(0.5, 0.5, 0.1, 0.2, 2.0, HEIGHT)] * 3, [Laid(0, 0, 9, 0, 1, HEIGHT)], [0.1, 0.2, 9])
    assert (found.laid, found.sewn, found.pairs) == (3, 0, 2)


@given(
    st.lists(fronts, max_size=8),
    st.lists(fronts, max_size=8),
    st.lists(st.floats(-4, 4), max_size=8),
    st.randoms(),
)
def test_the_order_does_not_matter(
    laid: list[Laid], sewn: list[Laid], pairs: list[float], random: Random
) -> None:
    stirred = [random.sample(values, len(values)) for values in (laid, sewn)]
    assert learn(*stirred, random.sample(pairs, len(pairs))) == learn(laid, sewn, pairs)


@given(st.lists(fronts, max_size=30), st.lists(st.floats(-4, 4), max_size=30))
def test_every_spread_is_one_that_a_hand_can_have(laid: list[Laid], pairs: list[float]) -> None:
    found = learned_hand(laid, laid, pairs)
    assert all(LEAST_SPREAD <= value <= MOST_SPREAD for value in asdict(found).values())


def test_a_thousand_fronts_without_a_fault_leave_a_sane_hand() -> None:
    """The readings' error taken off what lies exactly right would leave less than nothing."""
    perfect = [Laid(0.0, 0.0, 0.0, 0.0, 1.0, HEIGHT)] * 5000
    found = learned_hand(perfect, perfect, [0.0] * 5000)
    assert found.reading == LEAST_READ_MM
    assert {found.along, found.across, found.stretch, found.sewn_along} == {LEAST_LAID_MM}
    assert {found.skew, found.sewn_skew} == {LEAST_LAID_DEG}


@given(fronts, st.floats(0.01, 2))
def test_a_front_laid_worse_never_makes_the_hand_finer(one: Laid, more: float) -> None:
    worse = replace(one, along=one.along + (more if one.along >= 0 else -more))
    assert learned_hand([worse], [], []).along >= learned_hand([one], [], []).along


@pytest.mark.parametrize("truth", [LARGE, FINE])
def test_a_shops_hand_is_recovered(truth: Hand) -> None:
    """From 600 fronts the spread of a spread is 1/sqrt(1200), 3 %, and more where reading is much of what is
    seen: 15 % holds all eight."""
    random = Random(5)
    found = learned_hand(
        laid_by(truth, 600, random), laid_by(truth, 600, random, sewn=True), pairs_by(truth, 600, random)
    )
    assert off(found, truth) < 0.15


@pytest.mark.parametrize("truth", [LARGE, FINE])
def test_more_runs_bring_it_closer(truth: Hand) -> None:
    def mean_off(number: int) -> float:
        found = []
        for seed in range(20):
            random = Random(seed)
            hand = learned_hand(
                laid_by(truth, number, random),
                laid_by(truth, number, random, sewn=True),
                pairs_by(truth, 4 * number, random),
            )
            found.append(off(hand, truth))
        return sum(found) / len(found)

    few, some, many = mean_off(5), mean_off(40), mean_off(320)
    assert off(USUAL_HAND, truth) > few > some > many


def test_a_usual_shop_is_hardly_led_astray_by_its_first_five_fronts() -> None:
    """Five fronts alone tell a spread to a third of it; drawn toward the usual one by four fifths, to a twelfth."""
    random = Random(11)
    astray = [
        learned_hand(laid_by(USUAL_HAND, 5, random), [], []).along / USUAL_HAND.along - 1 for _ in range(200)
    ]
    assert sqrt(sum(one * one for one in astray) / len(astray)) < 1 / 12
