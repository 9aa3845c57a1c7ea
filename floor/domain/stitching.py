"""Stitches and hands around a border: how close to trim, and how long a machine sews a line."""

from __future__ import annotations

TACK_INSET_MM = 1.0  # the tack-down lies this far inside the cut edge
BORDER_BITE_MM = 1.0  # the border must catch at least this much of the cloth
BORDER_SPARE_MM = 0.5  # and reach at least this far past the cloth's edge, or whiskers show
TAUGHT_TRIM_MM = (1.0, 2.0)  # what hands are taught to leave beyond the tack line
MIN_TRIMMED_BORDER_MM = BORDER_BITE_MM + BORDER_SPARE_MM  # a narrower one cannot do both

MACHINE_EFFICIENCY = 0.8  # share of the set speed that a machine reaches over a job
CUT_S = 7.0  # one thread cut
COLOUR_CHANGE_S = 9.0  # one change of thread


def trim_allowance(border_width: float, tack_inset: float = TACK_INSET_MM) -> tuple[float, float]:
    """The least and the most cloth, mm, that may stand beyond the tack line after the trim.

    With allowance a and the tack t inside the planned edge, the cloth ends a - t beyond that edge, and the
    border of width w is centred on it: -(w/2 - 1) <= a - t <= w/2 - 0.5. Never below 0, for the tack itself
    must not be cut. Below MIN_TRIMMED_BORDER_MM no allowance can do both; the middle of the two bounds is
    then both ends, as the least bad cut.
    """
    half = border_width / 2
    low = tack_inset - (half - BORDER_BITE_MM)
    high = tack_inset + half - BORDER_SPARE_MM
    if low > high:
        low = high = (low + high) / 2
    return max(0.0, low), max(0.0, high)


def taught_trim(border_width: float, tack_inset: float = TACK_INSET_MM) -> tuple[float, float]:
    """The taught 1 to 2 mm, clipped into what this border allows: what the operator is told to leave."""
    low, high = trim_allowance(border_width, tack_inset)
    first, last = (min(max(taught, low), high) for taught in TAUGHT_TRIM_MM)
    return first, last


def machine_time(
    stitches: int,
    speed: float,
    *,
    efficiency: float = MACHINE_EFFICIENCY,
    cuts: int = 1,
    colour_changes: int = 1,
) -> float:
    """Seconds a machine likely takes for `stitches` of one line at `speed` stitches a minute.

    stitches / (speed x efficiency), then the cuts and the colour changes. ValueError for a speed or an
    efficiency that is not above 0.
    """
    if speed <= 0 or efficiency <= 0:
        raise ValueError(f"Speed and efficiency must be above 0; found {speed} and {efficiency}.")
    return 60.0 * stitches / (speed * efficiency) + cuts * CUT_S + colour_changes * COLOUR_CHANGE_S
