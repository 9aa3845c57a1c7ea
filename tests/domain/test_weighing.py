"""The weighed rule: what is believed of how a front lies, from rounds of readings."""

from __future__ import annotations

from dataclasses import replace
from math import radians, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from placement_cases import HAND, MIXED, NEAR, OPEN_MINDED, SHIFTS, one_try, told_other, told_own

from floor.domain.fronts import Readings
from floor.domain.hand import Hand
from floor.domain.place_lie import NUDGE_SPREAD_MM, OUT_OF_LINE_SPREADS, Lie, Try, as_sewn, lie_after
from floor.domain.place_sums import OtherSums, PlaceSums
from floor.domain.placement import Placement, other_lies_by
from floor.domain.weighing import weigh

OWN_LINE = Hand(6.0, 6.0, 2.0, 3.0)  # so wide that nothing of these tests is out of line
Matrix = NDArray[np.float64]


def numbers(lie: Lie) -> list[float]:
    """Means, then variances; the skew's by the window's height, so that all are mm."""
    scale = (1.0, 1.0, 120.0, 1.0)
    parts = (lie.along, lie.across, lie.skew, lie.stretch)
    return [part.mean * by for part, by in zip(parts, scale, strict=True)] + [
        part.var * by * by for part, by in zip(parts, scale, strict=True)
    ]


def tells(sums: PlaceSums) -> Matrix:
    """What u, l, a and b read for a millimetre along and across, a radian of skew, a millimetre of stretch."""
    s, half = sums.across_sign, sums.height / 2
    return np.array([(1, 0, 0, 0.5), (-1, 0, 0, 0.5), (0, s, -s * half, 0), (0, s, s * half, 0)])


def conditioned(sums: PlaceSums, hand: Hand, tries: list[Try]) -> list[float]:
    """The normal posterior of how the front lies now, all readings conditioned on at once: where it was laid and
    what each nudge then missed by are drawn independently, and every reading is a sum of them and its error."""
    shown = tells(sums)
    laid = np.diag(np.square([hand.along, hand.across, radians(hand.skew), hand.stretch]))
    missed = np.diag([NUDGE_SPREAD_MM**2, NUDGE_SPREAD_MM**2, 0, 0])
    spread, mean, states, means = laid, np.zeros(4), [], []
    covs: list[Matrix] = []
    for at, one in enumerate(tries):
        states.append(spread)
        means.append(mean)
        covs.append(spread)
        if one.how == "nudged" and at < len(tries) - 1:
            spread, mean = spread + missed, mean + np.array([one.along, one.across, 0, 0])
    n = len(tries)
    # A later state is an earlier one and moves independent of it: their covariance is the earlier one's variance.
    joint = np.block([[shown @ covs[min(i, j)] @ shown.T for j in range(n)] for i in range(n)])
    joint += np.diag(np.repeat([hand.reading**2 / one.takes for one in tries], 4))
    now = np.hstack([covs[i] @ shown.T for i in range(n)])
    off = np.concatenate(
        [
            np.array(one.readings) - np.array(sums.expected) - shown @ at
            for one, at in zip(tries, means, strict=True)
        ]
    )
    gain = now @ np.linalg.inv(joint)
    mean, var = means[-1] + gain @ off, covs[-1] - gain @ now.T
    # The four readings tell the four apart.
    scale = np.array([1, 1, 120, 1])
    scaled = var * np.outer(scale, scale)
    assert scaled - np.diag(np.diag(scaled)) == pytest.approx(np.zeros((4, 4)), abs=1e-9)
    return [*(mean * scale), *np.diag(scaled)]


class TestBelief:
    @given(NEAR, st.sampled_from([1.0, 2.0, 2.25, 3.0]))
    def test_one_round_is_the_normal_posterior(self, lies: Placement, takes: float) -> None:
        tries = [one_try(MIXED, lies, takes)]
        assert numbers(lie_after(MIXED, HAND, tries)) == pytest.approx(
            conditioned(MIXED, HAND, tries), abs=1e-9
        )

    @given(NEAR, NEAR, NEAR, st.tuples(SHIFTS, SHIFTS), st.sampled_from(["nudged", "read again"]))
    def test_rounds_with_nudges_between_combine_as_the_normal_posterior_does(
        self, first: Placement, second: Placement, third: Placement, moved: tuple[float, float], how: str
    ) -> None:
        along, across = moved if how == "nudged" else (0.0, 0.0)
        lain = ((0.0, 0.0, first), (along, across, second), (along + 0.5, across, third))
        where = [  # each round a little off the one before, as readings are
            Placement(one.along / 6 + x, one.across / 6 + y, one.skew / 4, one.stretch / 4)
            for x, y, one in lain
        ]
        tries = [
            replace(one_try(MIXED, where[0]), how=how, along=along, across=across),
            replace(one_try(MIXED, where[1], 1.0), how="nudged", along=0.5),
            one_try(MIXED, where[2], 3.0),
        ]
        assert numbers(lie_after(MIXED, OWN_LINE, tries)) == pytest.approx(
            conditioned(MIXED, OWN_LINE, tries), abs=1e-8
        )

    def test_a_reading_counts_by_its_share_of_the_whole_error(self) -> None:
        """1.2 mm of laying against 0.35 mm over two readings of two takes each."""
        found = lie_after(MIXED, HAND, [one_try(MIXED, Placement(2.0, 0.0, 0.0, 0.0))]).along
        share = 1.44 / (1.44 + 0.35**2 / 4)
        assert (found.mean, found.var) == pytest.approx((2 * share, 1.44 * (1 - share)))

    @given(NEAR)
    def test_more_takes_draw_it_nearer_to_what_was_read(self, lies: Placement) -> None:
        one, three = (lie_after(MIXED, HAND, [one_try(MIXED, lies, takes)]) for takes in (1.0, 3.0))
        assert abs(three.along.mean - lies.along) <= abs(one.along.mean - lies.along)
        assert three.along.var < one.along.var

    def test_cloth_laid_again_forgets_what_was_read(self) -> None:
        """However well the two rounds would go together."""
        before = one_try(MIXED, Placement(0.3, -0.2, 0.001, 0.2))
        now = one_try(MIXED, Placement(0.1, 0.0, 0.0, 0.1))
        again = [replace(before, how="laid again"), now]
        assert lie_after(MIXED, HAND, again) == lie_after(MIXED, HAND, [now])
        assert lie_after(MIXED, HAND, [replace(before, how="read again"), now]) != lie_after(
            MIXED, HAND, [now]
        )

    @pytest.mark.parametrize("part", ["along", "across", "skew", "stretch"])
    def test_a_reading_out_of_line_with_the_one_before_forgets_it(self, part: str) -> None:
        before = one_try(MIXED, Placement(0.0, 0.0, 0.0, 0.0))
        lie = lie_after(MIXED, HAND, [before])
        error = lie_after(MIXED, OPEN_MINDED, [before])  # nothing but the error of reading
        limit = OUT_OF_LINE_SPREADS * sqrt(getattr(lie, part).var + getattr(error, part).var)
        for share, forgotten in ((0.995, False), (1.005, True)):
            now = one_try(MIXED, replace(Placement(0.0, 0.0, 0.0, 0.0), **{part: share * limit}))
            found = lie_after(MIXED, HAND, [replace(before, how="read again"), now])
            assert (found == lie_after(MIXED, HAND, [now])) == forgotten

    @given(NEAR)
    def test_a_hand_that_lays_anyhow_leaves_what_was_read(self, lies: Placement) -> None:
        found = lie_after(MIXED, OPEN_MINDED, [one_try(MIXED, lies)])
        read = (lies.along, lies.across, lies.skew * 120, lies.stretch)
        assert numbers(found)[:4] == pytest.approx(read, abs=2e-3)

    @given(NEAR)
    def test_the_other_front_as_it_was_sewn_is_drawn_toward_its_place_too(self, lies: Placement) -> None:
        """Closed form: its own spreads, read at the window's lines."""
        small = replace(lies, along=lies.along / 2, across=lies.across / 2)
        found = as_sewn(MIXED, HAND, told_other(MIXED, small), 2.0)
        share = 0.25 / (0.25 + 0.35**2 / 4)
        turn = 2 * 0.35**2 / 2 / 120**2
        skew = radians(0.3) ** 2 / (radians(0.3) ** 2 + turn)
        assert found.mean.along == pytest.approx(share * small.along, abs=1e-9)
        assert found.mean.across == pytest.approx(share * small.across, abs=1e-9)
        assert found.mean.skew == pytest.approx(skew * small.skew, abs=1e-9)
        assert found.skew.var == pytest.approx(turn * skew)

    def test_another_front_sewn_far_off_is_believed_as_it_was_read(self) -> None:
        """Four spreads beyond its usual place it is no longer drawn back to that."""
        found = as_sewn(MIXED, HAND, told_other(MIXED, Placement(4.0, 0.0, 0.0, 0.0)), 2.0)
        assert found.along.mean == pytest.approx(4.0, abs=0.01)

    @given(st.floats(-1.5, 1.5), st.floats(-1.5, 1.5), st.floats(-20.0, 20.0), st.floats(5.0, 60.0))
    def test_each_part_is_told_as_badly_as_the_four_readings_make_it(
        self, slant_upper: float, slant_lower: float, lever: float, upper: float
    ) -> None:
        """Another way: one reading after the other moved by a millimetre, and the effects squared and added. Of
        open-minded hands the variance that is left is the readings' own."""
        other = OtherSums(Readings(0.0, 0.0, 2.0, 2.0), upper, -50.0, slant_upper, slant_lower, lever)
        sums = replace(MIXED, other=other)
        effects = np.zeros(4)
        for at in range(4):
            readings = list(other.expected)
            readings[at] += 1.0
            lies = other_lies_by(sums, Readings(*readings), lambda tangent: tangent)
            effects += np.square([lies.along, lies.across, lies.skew, lies.stretch])
        believed = as_sewn(sums, Hand(*[20.0] * 7, reading=0.35), other.expected, 2.0)
        variances = [part.var for part in (believed.along, believed.across, believed.skew, believed.stretch)]
        assert variances == pytest.approx(effects * 0.35**2 / 2, rel=0.01)


def test_readings_are_of_every_round_count() -> None:
    tries = (
        Try(told_own(MIXED, Placement(1.5, 0.0, 0.0, 0.0)), 2.0, "nudged", -1.5, 0.0),
        Try(told_own(MIXED, Placement(0.2, 0.0, 0.0, 0.0)), 2.0),
    )
    twice, once = weigh(MIXED, HAND, tries), weigh(MIXED, HAND, tries[1:])
    assert 0 < twice.lie.along.mean < once.lie.along.mean
    assert twice.risk <= once.risk
