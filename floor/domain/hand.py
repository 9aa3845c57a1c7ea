"""How a shop lays and reads: the spreads that its readings are weighed against."""

from __future__ import annotations

from dataclasses import dataclass, fields


@dataclass(frozen=True)
class Hand:
    """Standard deviations about the planned place; mm, and degrees for skews.

    `along`, `across`, `skew`: of a garment freshly laid; `stretch`: of what the buttons then lie apart too much
    or too little. `sewn_along`, `sewn_across`, `sewn_skew`: of the first front as it was sewn. `reading`: of one
    reading about what is there. The defaults are what a shop begins with; its own runs replace them.
    """

    along: float = 1.2
    across: float = 1.2
    skew: float = 0.33
    stretch: float = 0.5
    sewn_along: float = 0.5
    sewn_across: float = 0.5
    sewn_skew: float = 0.3
    reading: float = 0.35


HAND_NAMES = tuple(field.name for field in fields(Hand))
LEAST_SPREAD, MOST_SPREAD = 0.02, 20.0  # what any shop's hand can be, in mm or degrees
USUAL_HAND = Hand()
