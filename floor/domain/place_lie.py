"""How a design is believed to lie, after rounds of readings.

The four readings tell along, across, skew and stretch apart without correlation, so each is one estimate of its
own: the spread of the shop's hands before anything is read, drawn toward what is read by the share of its error in
the whole. A nudge moves an estimate and what was read before still counts; cloth that is laid again begins anew.
static/js/place_lie.js has the same sums; tests/vectors/place.json holds both equal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import radians, sqrt
from typing import Literal

from floor.domain.fronts import Readings
from floor.domain.hand import Hand
from floor.domain.place_sums import OtherSums, PlaceSums
from floor.domain.placement import Placement, lies_by, other_lies_by

OUT_OF_LINE_SPREADS = 3.0  # a reading so far from what the one before foretold: the cloth or the start moved
WIDE = 100.0  # times its usual variance: where another front lies out of line, its readings alone count
NUDGE_SPREAD_MM = 0.1  # of what a machine's start moves when told
How = Literal["nudged", "laid again", "read again"]


@dataclass(frozen=True)
class Try:
    """One round of readings: each place's value, how many takes it rests on (mean over the places), and what was
    done then: the start moved by (`along`, `across`), the cloth laid again, or nothing but reading again."""

    readings: Readings
    takes: float
    how: How | None = None
    along: float = 0.0
    across: float = 0.0


@dataclass(frozen=True)
class Estimate:
    """A mean and its variance."""

    mean: float
    var: float

    @property
    def spread(self) -> float:
        return sqrt(self.var)

    def read(self, value: float, error_var: float) -> Estimate:
        """Drawn toward a reading of that error."""
        share = self.var / (self.var + error_var)
        return Estimate(self.mean + share * (value - self.mean), self.var * (1 - share))

    def moved(self, by: float, spread: float) -> Estimate:
        return Estimate(self.mean + by, self.var + spread * spread)


@dataclass(frozen=True)
class Lie:
    """What is believed of how a design lies: `skew` in radians."""

    along: Estimate
    across: Estimate
    skew: Estimate
    stretch: Estimate

    @property
    def mean(self) -> Placement:
        return Placement(self.along.mean, self.across.mean, self.skew.mean, self.stretch.mean)


def lie_after(sums: PlaceSums, hand: Hand, tries: Sequence[Try]) -> Lie:
    """How the design of this front lies after these rounds (one at least), the last one's move not yet counted."""
    *before, last = tries
    return _read_round(sums, hand, foretold(sums, hand, before), last)


def foretold(sums: PlaceSums, hand: Hand, tries: Sequence[Try]) -> Lie:
    """How it is believed to lie before the next round is read: these rounds with what was done after each."""
    lie = _fresh(hand)
    for one in tries:
        lie = _read_round(sums, hand, lie, one)
        if one.how == "laid again":
            lie = _fresh(hand)
        elif one.how == "nudged":
            lie = Lie(
                lie.along.moved(one.along, NUDGE_SPREAD_MM),
                lie.across.moved(one.across, NUDGE_SPREAD_MM),
                lie.skew,
                lie.stretch,
            )
    return lie


def is_foretold(sums: PlaceSums, hand: Hand, tries: Sequence[Try], readings: Readings, takes: float) -> bool:
    """Whether what is read now could be of cloth that lies as the rounds before it foretold."""
    seen = lies_by(sums.expected, sums.across_sign, sums.height, readings)
    return _in_line(foretold(sums, hand, tries), seen, _errors(hand, takes, sums.height))


def as_sewn(sums: PlaceSums, hand: Hand, readings: Readings, takes: float) -> Lie:
    """How the other front's design lies, from readings off the hoop."""
    before = Lie(
        Estimate(0.0, hand.sewn_along**2),
        Estimate(0.0, hand.sewn_across**2),
        Estimate(0.0, radians(hand.sewn_skew) ** 2),
        Estimate(0.0, hand.stretch**2),
    )
    seen = other_lies_by(sums, readings)
    errors = _other_errors(sums.other, hand, takes)
    wide = Lie(*(Estimate(0.0, WIDE * part.var) for part in _parts(before)))
    return _read(before if _in_line(before, seen, errors) else wide, seen, errors)


def _fresh(hand: Hand) -> Lie:
    return Lie(
        Estimate(0.0, hand.along**2),
        Estimate(0.0, hand.across**2),
        Estimate(0.0, radians(hand.skew) ** 2),
        Estimate(0.0, hand.stretch**2),
    )


def _read_round(sums: PlaceSums, hand: Hand, lie: Lie, one: Try) -> Lie:
    seen = lies_by(sums.expected, sums.across_sign, sums.height, one.readings)
    errors = _errors(hand, one.takes, sums.height)
    return _read(lie if _in_line(lie, seen, errors) else _fresh(hand), seen, errors)


def _errors(hand: Hand, takes: float, height: float) -> tuple[float, float, float, float]:
    """Variances with which a round tells along, across, skew and stretch."""
    one = hand.reading**2 / takes
    return one / 2, one / 2, 2 * one / height**2, 2 * one


def _other_errors(other: OtherSums, hand: Hand, takes: float) -> tuple[float, float, float, float]:
    """The same of the other front as it was sewn: each the sum of the squares of what the four readings bring to it
    where it is read. That slants and heights off the middle make them hang together is left aside."""
    one, height = hand.reading**2 / takes, other.upper - other.lower
    middle, lever = (other.upper + other.lower) / 2 / height, other.lever / height
    along = 0.5 + (lever - other.slant_upper / 2) ** 2 + (lever + other.slant_lower / 2) ** 2
    stretch = 2 + other.slant_upper**2 + other.slant_lower**2
    return one * along, one * (0.5 + 2 * middle**2), 2 * one / height**2, one * stretch


def _parts(lie: Lie) -> tuple[Estimate, Estimate, Estimate, Estimate]:
    return lie.along, lie.across, lie.skew, lie.stretch


def _values(placement: Placement) -> tuple[float, float, float, float]:
    return placement.along, placement.across, placement.skew, placement.stretch


def _read(lie: Lie, seen: Placement, errors: tuple[float, ...]) -> Lie:
    return Lie(
        *(
            part.read(value, error)
            for part, value, error in zip(_parts(lie), _values(seen), errors, strict=True)
        )
    )


def _in_line(lie: Lie, seen: Placement, errors: tuple[float, ...]) -> bool:
    """Whether what was read could be of cloth that lies as was believed."""
    return all(
        abs(value - part.mean) <= OUT_OF_LINE_SPREADS * sqrt(part.var + error)
        for part, value, error in zip(_parts(lie), _values(seen), errors, strict=True)
    )
