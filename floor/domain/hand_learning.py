"""A shop's own hand, learned from its runs: how it lays and how it reads.

Each spread is the root mean square about the planned place, less what reading it adds, drawn toward the spread
that a shop begins with. Laying is judged as it was before any correction: the first round after each fresh lay.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import degrees, fsum, sqrt

from floor.domain.hand import LEAST_SPREAD, MOST_SPREAD, USUAL_HAND, Hand

PRIOR_WEIGHT = 20.0  # the usual spread counts like so many fronts, or pairs, of one's own
MISLAID_MM = 12.0  # a front so far off was laid by the wrong mark; it says nothing of the hand's spread
MISLAID_DEG = 4.0
MISTOLD_MM = 5.0  # buttons that seem so much nearer or farther: one of them was misread, both times
MISREAD_MM = 2.5  # two takes that differ by more: one of them is a slip
LEAST_LAID_MM = 0.1  # no hand lays cloth finer
LEAST_LAID_DEG = 0.05
LEAST_READ_MM = 0.2  # nor reads a tape finer, though who copies a first take for a second seems to


@dataclass(frozen=True)
class Laid:
    """How one front lay off its planned place: mm, `skew_deg` in degrees; its settled readings rest on `takes`
    takes each (their mean over the places), and its window is `height` mm high."""

    along: float
    across: float
    skew_deg: float
    stretch: float
    takes: float
    height: float


@dataclass(frozen=True)
class Learned:
    """A hand, and on how many fronts freshly laid, fronts as sewn and pairs of takes it rests."""

    hand: Hand
    laid: int
    sewn: int
    pairs: int


def learned_hand(laid: Iterable[Laid], sewn: Iterable[Laid], pairs: Iterable[float]) -> Hand:
    """The hand alone of `learn`."""
    return learn(laid, sewn, pairs).hand


def learn(laid: Iterable[Laid], sewn: Iterable[Laid], pairs: Iterable[float]) -> Learned:
    """The shop's spreads; the usual ones where there is nothing to learn from.

    `laid`: fronts as first read after a fresh lay; `sewn`: first fronts as they were sewn; `pairs`: how much the
    first two takes of one place differ, mm, whichever way. Fronts mislaid and takes misread (the constants above)
    count for nothing. The order of any of them does not matter.

    A spread's square is the mean of its posterior under a scaled inverse chi-square prior with PRIOR_WEIGHT + 2
    degrees of freedom, whose mean is the square of the usual spread: (w·usual² + sum of squares) / (w + n), the
    known error of reading taken off each square. The variance of a pair's difference is twice one reading's. What
    both takes of a place have wrong alike, no pair shows.
    """
    fresh = [one for one in laid if _is_laid(one)]
    first = [one for one in sewn if _is_laid(one)]
    agreeing = [pair for pair in pairs if abs(pair) <= MISREAD_MM]
    usual = USUAL_HAND
    reading = _spread(usual.reading, [pair * pair / 2 for pair in agreeing], LEAST_READ_MM)

    def shift(usual_mm: float, fronts: Sequence[Laid], of: Callable[[Laid], float]) -> float:
        return _spread(usual_mm, [of(one) ** 2 - reading**2 / 2 / one.takes for one in fronts], LEAST_LAID_MM)

    def skew(usual_deg: float, fronts: Sequence[Laid]) -> float:
        squares = [one.skew_deg**2 - 2 * degrees(reading / one.height) ** 2 / one.takes for one in fronts]
        return _spread(usual_deg, squares, LEAST_LAID_DEG)

    stretches = [one.stretch**2 - 2 * reading**2 / one.takes for one in fresh]
    hand = Hand(
        along=shift(usual.along, fresh, lambda one: one.along),
        across=shift(usual.across, fresh, lambda one: one.across),
        skew=skew(usual.skew, fresh),
        stretch=_spread(usual.stretch, stretches, LEAST_LAID_MM),
        sewn_along=shift(usual.sewn_along, first, lambda one: one.along),
        sewn_across=shift(usual.sewn_across, first, lambda one: one.across),
        sewn_skew=skew(usual.sewn_skew, first),
        reading=reading,
    )
    return Learned(hand, len(fresh), len(first), len(agreeing))


def _spread(usual: float, squares: Sequence[float], least: float) -> float:
    """`squares`: of what was seen, less its error: one by itself can be below 0."""
    mean = (PRIOR_WEIGHT * usual**2 + fsum(squares)) / (PRIOR_WEIGHT + len(squares))
    return min(sqrt(max(mean, least**2, LEAST_SPREAD**2)), MOST_SPREAD)


def _is_laid(one: Laid) -> bool:
    near = max(abs(one.along), abs(one.across)) <= MISLAID_MM and abs(one.skew_deg) <= MISLAID_DEG
    return near and abs(one.stretch) <= MISTOLD_MM
