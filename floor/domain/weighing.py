"""Readings weighed against how a shop lays garments: what to do about a front, and how sure that is.

place_lie.py has what is believed, place_steps.py the risk and the nudge. static/js/place.js has the same rule;
tests/vectors/place.json holds both equal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, degrees, floor, radians
from typing import Literal

from floor.domain.fronts import Readings
from floor.domain.hand import Hand
from floor.domain.place_lie import NUDGE_SPREAD_MM, Estimate, Lie, Try, as_sewn, lie_after
from floor.domain.place_steps import best_nudge, risk_of
from floor.domain.place_sums import PlaceSums
from floor.domain.placement import (
    MAX_SKEW_DEG,
    MAX_STRETCH_MM,
    Cause,
    Verdict,
    nudge_to_mean,
    nudged,
    steps_between,
)

Sure = Literal["clear", "close"]
Action = Verdict | Literal["read"]  # "read": no nudge would better it, another round of readings would tell
SEW_RISK = 0.05  # sewn as it lies when a step beyond the tolerance is no likelier than this
NUDGE_RISK = 0.2  # nudged, and read again, when the nudge brings the risk to this
CLEAR_SEW_RISK = 0.02  # above it another reading could turn "sew"
CLEAR_NUDGE_RISK = 0.2  # as it lies; below it another reading could turn "nudge" into "sew"
CLEAR_SPREADS = 1.64  # so many spreads beyond a limit nothing is turned by another reading
ENOUGH_ROUNDS = 4  # of readings on one lay: what they leave open, the tape cannot tell
MOST_OUTWARD = 0.4  # of the tolerance: so much farther out than meets best to keep past the edge
LEAST_OUTWARD = 2  # tenths of a mm


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
    risk = risk_of(sums, own, other, steps)
    nudge = _kept_past(
        sums, own, other, steps, best_nudge(sums, steps, nudge_to_mean(sums, own.mean, other.mean))
    )
    after = nudged(sums, steps, nudge)
    risk_after = risk_of(sums, own, other, after)
    skew = Estimate(own.skew.mean - other.skew.mean, own.skew.var + other.skew.var)
    past, past_after = _past(sums, own, 0.0), _past(sums, own, nudge[1])
    nowhere = risk_after > NUDGE_RISK and risk_of(sums, own, other, [0.0] * len(steps)) > SEW_RISK
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


def _on_its_place() -> Lie:
    sure = Estimate(0.0, 0.0)
    return Lie(sure, sure, sure, sure)


def _as_believed(sums: PlaceSums, steps: Sequence[float]) -> float:
    """The risk if it lies just as is believed."""
    return 1.0 if max(map(abs, steps)) > sums.tolerance else 0.0


def _rounds_of_this_lay(tries: Sequence[Try]) -> int:
    return len(tries) - max((at for at, one in enumerate(tries, 1) if one.how == "laid again"), default=0)


def _kept_past(
    sums: PlaceSums, own: Lie, other: Lie, steps: Sequence[float], nudge: tuple[float, float]
) -> tuple[float, float]:
    """The nudge, a little farther out where it would leave the needle too near the folded edge: sewing that is
    planned to pass it by hardly more than it must would else be laid again for every tenth."""
    past = _past(sums, own, nudge[1])
    if past is None or sums.keep_past is None or past >= sums.keep_past:
        return nudge
    short = sums.keep_past - past + NUDGE_SPREAD_MM
    tenths = max(LEAST_OUTWARD, ceil(10 * short))
    farther = nudge[0], floor(10 * nudge[1] + sums.across_sign * tenths + 0.5) / 10
    if short > MOST_OUTWARD * sums.tolerance:
        return nudge
    return farther if risk_of(sums, own, other, nudged(sums, steps, farther)) <= NUDGE_RISK else nudge


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
