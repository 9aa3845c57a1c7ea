"""One place read more than once: whether the takes agree, and the value that they come to.

A tape is misread now and then, and a number mistyped: two takes of one place must lie within half a millimetre,
or a third is asked for and the two that agree stand (TRADE: "read each point twice").
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from floor.domain.checklist import Reading

AGREE_MM = 0.5
MOST_TAKES = 3
MIRRORED_MM = 1.0  # a value that fits so much better with the other sign was told for the wrong side
LAST_DIGIT_MM = 1e-9


def take_name(reading: str, take: int) -> str:
    """The name under which a run keeps a take: "u", then "u 2" and "u 3"."""
    return reading if take == 1 else f"{reading} {take}"


@dataclass(frozen=True)
class Settled:
    """The value that takes come to, mm, and how many of them it rests on."""

    value: float
    takes: int


def settle(values: Sequence[float], wanted: int) -> Settled | None:
    """The value of a place of which `wanted` takes are asked; None while it wants another take, or none agrees.

    All takes count where they lie within reach of one another; of three, one that neither of the others bears
    out is left aside.
    """
    if len(values) < wanted:
        return None
    if wanted == 1:
        return Settled(values[-1], 1)
    ordered = sorted(values)
    if ordered[-1] - ordered[0] <= AGREE_MM + LAST_DIGIT_MM:
        return Settled(sum(ordered) / len(ordered), len(ordered))
    if len(ordered) < MOST_TAKES:
        return None
    lower, middle, upper = ordered
    below, above = middle - lower, upper - middle
    if min(below, above) > AGREE_MM + LAST_DIGIT_MM:
        return None
    if max(below, above) <= AGREE_MM + LAST_DIGIT_MM:
        return Settled((lower + middle + upper) / 3, 3)  # the middle one bears both out
    return Settled((lower + middle) / 2 if below < above else (middle + upper) / 2, 2)


def is_mirrored(reading: Reading, value: float) -> bool:
    """Whether the value looks as if it was told for the wrong side of the button or the edge."""
    return reading.takes > 1 and abs(value - reading.expected) > abs(-value - reading.expected) + MIRRORED_MM


def is_doubtful(reading: Reading, value: float) -> bool:
    """Whether it is asked about before it counts: outside what stands by itself, or on the wrong side."""
    return not reading.low <= value <= reading.high or is_mirrored(reading, value)
