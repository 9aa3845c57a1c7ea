"""Readings weighed against how a shop lays garments: the risk of a step, the nudge, what to do, how sure that is.

The four readings tell along, across, skew and stretch apart without correlation, so each is one estimate of its
own: the spread of the shop's hands before anything is read, drawn toward what is read by the share of its error in
the whole. A nudge moves an estimate and what was read before still counts; cloth that is laid again begins anew.
static/js/place.js has the same sums; tests/vectors/place.json holds both equal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import cos, degrees, log, pi, radians, sin, sqrt
from typing import Literal

from floor.domain.hand import Hand
from floor.domain.placement import (
    MAX_SKEW_DEG,
    MAX_STRETCH_MM,
    ON_ITS_PLACE,
    Cause,
    OtherSums,
    PlaceSums,
    Readings,
    Verdict,
    lies_by,
    nudge_to_mean,
    nudged,
    other_lies_by,
    steps_between,
)
from floor.domain.placement import Placement as PlacementOf

Sure = Literal["clear", "close"]
Action = Verdict | Literal["read"]  # "read": no nudge would better it, another round of readings would tell
How = Literal["nudged", "laid again", "read again"]

SEW_RISK = 0.05  # sewn as it lies when a step beyond the tolerance is no likelier than this
NUDGE_RISK = 0.2  # nudged, and read again, when the nudge brings the risk to this
CLEAR_SEW_RISK = 0.02  # above it another reading could turn "sew"
CLEAR_NUDGE_RISK = 0.2  # as it lies; below it another reading could turn "nudge" into "sew"
CLEAR_SPREADS = 1.64  # so many spreads beyond a limit nothing is turned by another reading
OUT_OF_LINE_SPREADS = 3.0  # a reading so far from what the one before foretold: the cloth or the start moved
WIDE = 100.0  # times its usual variance: where another front lies out of line, its readings alone count
NUDGE_SPREAD_MM = 0.1  # of what a machine's start moves when told
NUDGE_STEP_MM = 0.1  # machines are moved in tenths
LEAST_NUDGE_MM = 0.15  # less than this in a direction is not asked for
MOST_NUDGE_MM = 30.0  # more is no nudge
ENOUGH_ROUNDS = 4  # of readings on one lay: what they leave open, the tape cannot tell
CHANCES = 512  # ways it could lie that a risk is counted over
MEAN_WEIGHT = 0.02  # mm of worst step that a mm off the mean nudge is worth: it settles what steps leave open
SEARCH_FROM_MM, SEARCH_TO_MM = 1.0, 0.01
STRICTLY_LESS_MM = 1e-9  # a move of the search must win more than a last digit


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
    def mean(self) -> PlacementOf:
        return PlacementOf(self.along.mean, self.across.mean, self.skew.mean, self.stretch.mean)


@dataclass(frozen=True)
class Weighed:
    """What is best done. `steps`: expected, signed; `worst`: of them; `risk`: that a step exceeds the tolerance
    as it lies, `risk_after` once nudged by `nudge` (along, across); `skew_deg`: against the other front;
    `past`, `past_after`: how far the needle passes the edge where it passes least, None where it need not."""

    lie: Lie
    steps: tuple[float, ...]
    worst: float
    risk: float
    nudge: tuple[float, float]
    after_nudge: float
    risk_after: float
    skew_deg: float
    past: float | None
    past_after: float | None
    verdict: Action
    cause: Cause
    sure: Sure


@lru_cache(maxsize=4096)
def weigh(
    sums: PlaceSums, hand: Hand, tries: tuple[Try, ...], against: tuple[Readings, float] | None = None
) -> Weighed:
    """What to do after the last of `tries` (one at least). `against`: the other front's readings as it was sewn
    and how many takes each has; None judges against its plan, as the first front is.

    A tolerance may be finer than a tape can tell. Where even a front laid just right would be risky, what is
    believed decides whether a nudge is enough; and a lay that was read in ENOUGH_ROUNDS rounds is not read again.
    """
    own = lie_after(sums, hand, tries)
    other = _on_its_place() if against is None else as_sewn(sums, hand, *against)
    steps = steps_between(sums, own.mean, other.mean)
    risk = _risk(sums, own, other, steps)
    nudge = _best_nudge(sums, steps, nudge_to_mean(sums, own.mean, other.mean))
    after = nudged(sums, steps, nudge)
    risk_after = _risk(sums, own, other, after)
    skew = Estimate(own.skew.mean - other.skew.mean, own.skew.var + other.skew.var)
    past, past_after = _past(sums, own, 0.0), _past(sums, own, nudge[1])
    nowhere = risk_after > NUDGE_RISK and _risk(sums, own, other, [0.0] * len(steps)) > SEW_RISK
    foreseen = _as_believed(sums, after) if nowhere else risk_after
    verdict, cause = _verdict(sums, own, skew, risk, foreseen, past, past_after, nudge)
    if verdict == "read" and _rounds_of_this_lay(tries) >= ENOUGH_ROUNDS:
        verdict, cause = "sew", ""
    return Weighed(
        lie=own,
        steps=steps,
        worst=max(map(abs, steps)),
        risk=risk,
        nudge=nudge,
        after_nudge=max(map(abs, after)),
        risk_after=risk_after,
        skew_deg=degrees(skew.mean),
        past=past,
        past_after=past_after,
        verdict=verdict,
        cause=cause,
        sure=_sure(own, skew, verdict, cause, risk, risk_after),
    )


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


def as_sewn(sums: PlaceSums, hand: Hand, readings: Readings, takes: float) -> Lie:
    """How the other front's design lies, from readings off the hoop."""
    before = Lie(
        Estimate(0.0, hand.sewn_along**2),
        Estimate(0.0, hand.sewn_across**2),
        Estimate(0.0, radians(hand.sewn_skew) ** 2),
        Estimate(0.0, hand.stretch**2),
    )
    seen = other_lies_by(sums, readings, _same)
    errors = _other_errors(sums.other, hand, takes)
    wide = Lie(*(Estimate(0.0, WIDE * part.var) for part in _parts(before)))
    return _read(before if _in_line(before, seen, errors) else wide, seen, errors)


def linear_steps(sums: PlaceSums, readings: Readings, against: Readings | None) -> tuple[float, ...]:
    """The plain rule's steps with the tangent of each skew for its angle, as a tablet reckons them."""
    own = lies_by(sums.expected, sums.across_sign, sums.height, readings)
    other = ON_ITS_PLACE if against is None else other_lies_by(sums, against, _same)
    return steps_between(sums, own, other)


def _same(tangent: float) -> float:
    return tangent


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


def _values(placement: PlacementOf) -> tuple[float, float, float, float]:
    return placement.along, placement.across, placement.skew, placement.stretch


def _read(lie: Lie, seen: PlacementOf, errors: tuple[float, ...]) -> Lie:
    return Lie(
        *(
            part.read(value, error)
            for part, value, error in zip(_parts(lie), _values(seen), errors, strict=True)
        )
    )


def _in_line(lie: Lie, seen: PlacementOf, errors: tuple[float, ...]) -> bool:
    """Whether what was read could be of cloth that lies as was believed."""
    return all(
        abs(value - part.mean) <= OUT_OF_LINE_SPREADS * sqrt(part.var + error)
        for part, value, error in zip(_parts(lie), _values(seen), errors, strict=True)
    )


def _on_its_place() -> Lie:
    sure = Estimate(0.0, 0.0)
    return Lie(sure, sure, sure, sure)


@lru_cache(maxsize=1)
def _chances() -> tuple[tuple[float, float, float, float], ...]:
    """Evenly spread standard-normal fours: an additive recurrence on the roots of x^5 = x + 1, put through the
    transform of Box and Muller."""
    root = 1.0
    for _ in range(64):
        root = (1 + root) ** 0.2
    found = []
    for at in range(1, CHANCES + 1):
        one, two, three, four = ((0.5 + at * root ** -(power + 1)) % 1 for power in range(4))
        far, near = sqrt(-2 * log(one)), sqrt(-2 * log(three))
        found.append(
            (
                far * cos(2 * pi * two),
                far * sin(2 * pi * two),
                near * cos(2 * pi * four),
                near * sin(2 * pi * four),
            )
        )
    return tuple(found)


def _risk(sums: PlaceSums, own: Lie, other: Lie, steps: Sequence[float]) -> float:
    """The share of the ways it could lie in which some step exceeds the tolerance."""
    along = sqrt(own.along.var + other.along.var)
    across = sqrt(own.across.var + other.across.var)
    skew, other_skew = own.skew.spread, other.skew.spread
    rows = [
        (mean, one.along * along, one.across * across, one.skew * skew, one.other_skew * other_skew)
        for mean, one in zip(steps, sums.steps, strict=True)
    ]
    beyond = 0
    for first, second, third, fourth in _chances():
        for mean, by_along, by_across, by_skew, by_other in rows:
            step = mean + first * by_along + second * by_across + third * by_skew + fourth * by_other
            if abs(step) > sums.tolerance:
                beyond += 1
                break
    return beyond / CHANCES


def _as_believed(sums: PlaceSums, steps: Sequence[float]) -> float:
    """The risk if it lies just as is believed."""
    return 1.0 if max(map(abs, steps)) > sums.tolerance else 0.0


def _rounds_of_this_lay(tries: Sequence[Try]) -> int:
    return len(tries) - max((at for at, one in enumerate(tries, 1) if one.how == "laid again"), default=0)


def _best_nudge(sums: PlaceSums, steps: Sequence[float], to_mean: tuple[float, float]) -> tuple[float, float]:
    """The nudge after which the worst step is expected least; where steps leave it open, the one to the mean.

    A search by halves from the nudge to the mean: what it looks for is convex.
    """

    def worth(along: float, across: float) -> float:
        off = sqrt((along - to_mean[0]) ** 2 + (across - to_mean[1]) ** 2)
        return max(map(abs, nudged(sums, steps, (along, across)))) + MEAN_WEIGHT * off

    (along, across), by = to_mean, SEARCH_FROM_MM
    best = worth(along, across)
    while by > SEARCH_TO_MM:
        for da, dx in ((1, 0), (-1, 0), (0, 1), (0, -1), (1, 1), (-1, -1), (1, -1), (-1, 1)):
            value = worth(along + da * by, across + dx * by)
            if value < best - STRICTLY_LESS_MM:
                along, across, best = along + da * by, across + dx * by, value
                break
        else:
            by /= 2
    return _asked(along), _asked(across)


def _asked(value: float) -> float:
    """What a machine can be told: tenths, and nothing that is not worth a hand on it."""
    if abs(value) < LEAST_NUDGE_MM:
        return 0.0
    whole = int(abs(value) / NUDGE_STEP_MM + 0.5)
    return (whole if value > 0 else -whole) / 10


def _past(sums: PlaceSums, own: Lie, across: float) -> float | None:
    """How far the needle is believed to pass the edge at the line where it passes least, moved by `across`."""
    if sums.keep_past is None:
        return None
    middle = (sums.expected.a + sums.expected.b) / 2
    return middle + sums.across_sign * (own.across.mean + across) - abs(own.skew.mean) * sums.height / 2


def _verdict(
    sums: PlaceSums,
    own: Lie,
    skew: Estimate,
    risk: float,
    risk_after: float,
    past: float | None,
    past_after: float | None,
    nudge: tuple[float, float],
) -> tuple[Action, Cause]:
    if abs(own.stretch.mean) > MAX_STRETCH_MM:
        return "re-lay", "stretch"
    if abs(skew.mean) > radians(MAX_SKEW_DEG):
        return "re-lay", "skew"
    stays = sums.keep_past is None or past is None or past >= sums.keep_past
    stays_after = sums.keep_past is None or past_after is None or past_after >= sums.keep_past
    if risk <= SEW_RISK and stays:
        return "sew", ""
    if risk_after > NUDGE_RISK:
        return "re-lay", "skew"
    if not stays_after:
        return "re-lay", "edge"
    if nudge == (0.0, 0.0):
        return "read", "step"
    if not sums.nudges:
        return "re-lay", "step"
    return "nudge", "step" if risk > SEW_RISK else "edge"


def _sure(own: Lie, skew: Estimate, verdict: Action, cause: Cause, risk: float, risk_after: float) -> Sure:
    """Whether another round of readings would hardly turn it."""
    if verdict == "sew":
        return "clear" if risk <= CLEAR_SEW_RISK else "close"
    if verdict == "read":
        return "close"
    if verdict == "nudge" or cause == "step":
        return "clear" if risk >= CLEAR_NUDGE_RISK else "close"
    if cause == "stretch":
        beyond, spread = abs(own.stretch.mean) - MAX_STRETCH_MM, own.stretch.spread
    elif cause == "skew" and abs(skew.mean) > radians(MAX_SKEW_DEG):
        beyond, spread = abs(skew.mean) - radians(MAX_SKEW_DEG), skew.spread
    else:
        return "clear" if risk_after >= 0.5 else "close"
    return "clear" if beyond >= CLEAR_SPREADS * spread else "close"
