"""Stitches and hands around a border: how close to trim, and how long a machine sews a line."""

from __future__ import annotations

from typing import Literal

from floor.domain.job import Layer
from floor.domain.lengths import format_mm

TACK_INSET_MM = 1.0  # the tack-down lies this far inside the cut edge
BORDER_BITE_MM = 1.0  # the border must catch at least this much of the cloth
BORDER_SPARE_MM = 0.5  # and reach at least this far past the cloth's edge, or whiskers show
TAUGHT_TRIM_MM = (1.0, 2.0)  # what hands are taught to leave beyond the tack line
MIN_TRIMMED_BORDER_MM = BORDER_BITE_MM + BORDER_SPARE_MM  # a narrower one cannot do both

Line = Literal["backing", "placement", "tack", "border"]

MACHINE_EFFICIENCY = 0.8  # share of the set speed that a machine reaches over a job
SHORT_EFFICIENCY = 0.7  # and in short segments, where it gathers speed and slows down again
SHORT_STITCHES = 100  # a segment of no more stitches is short; a longer one begins like one
CUT_S = 7.0  # one thread cut
COLOUR_CHANGE_S = 9.0  # one change of thread

# Stitches a minute: the upper end of what the trade sets for each line.
TOP_SPEED = {"backing": 800.0, "placement": 800.0, "tack": 700.0, "border": 750.0}
TOP_SPEED_WIDE = 600.0  # for a wide satin border, or one on thick cloth
WIDE_BORDER_MM = 5.0  # a wider border is wide


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


def taught_trim_text(border_width: float) -> str:
    """The same in words: "1 to 2 mm", "1.5 mm"."""
    first, last = (format_mm(length) for length in taught_trim(border_width))
    return first if first == last else f"{first.removesuffix(' mm')} to {last}"


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


def line_speed(line: Line, layer: Layer, set_speed: float) -> float:
    """Stitches a minute that the machine likely sews this line of the layer at.

    The set speed, but no more than is usual for such a line: 800 for a running line on backing or garment, 700
    for a tack-down, 750 for a satin border and 600 for one wider than 5 mm or on cloth called thick.
    """
    top = TOP_SPEED[line]
    if line == "border" and (layer.border.width > WIDE_BORDER_MM or "thick" in layer.fabric.lower().split()):
        top = TOP_SPEED_WIDE
    return min(set_speed, top)


def likely_time(stitches: int, speed: float, *, segments: int, colour_changes: int) -> float:
    """Seconds a machine likely takes for `stitches` sewn in `segments`, each with a tie at either end and a cut.

    Short segments reach 0.7 of `speed` and long ones 0.8. That a longer line never takes less time, the first
    100 stitches of every segment count as short and the rest as long. ValueError as `machine_time`.
    """
    slow = min(stitches, segments * SHORT_STITCHES)
    started = machine_time(
        slow, speed, efficiency=SHORT_EFFICIENCY, cuts=segments, colour_changes=colour_changes
    )
    return started + machine_time(stitches - slow, speed, cuts=0, colour_changes=0)
