"""How many stitches a machine needs for a line of so many mm.

Each function takes the lengths, mm, of separate lines of one kind: a shape's rings, as a rule. A machine begins
and ends once on each, so each has its own tie-in and tie-off. The answer is a whole number, 0 for no line.
ValueError for a length below 0 or a spacing that is not above 0.

`spacing` is always between stitches on the same side. Some people mean by it the advance of each
penetration, which is half of that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import ceil

from floor.domain.job import Tack

RUN_STITCH_MM = 2.5  # one stitch of a running line
TIE_STITCHES = 4  # a tie-in; a tie-off has as many
TACK_SPACING_MM = 3.0  # same-side spacing of a zigzag tack-down: 2 to 4 is usual
UNDERLAY_SPACING_MM = 2.5  # same-side spacing of the zigzag beneath a satin border
EDGE_RUNS = 2  # running lines beneath a satin border, one along either edge

ROUNDING = 1e-9  # a line of exactly so many stitches must not gain one by its last binary digit


def running_stitches(lengths: Iterable[float]) -> int:
    """ceil(L / 2.5) + 1 on each line, and its ties."""
    return _each(lengths, lambda length: _whole(length / RUN_STITCH_MM) + 1)


def double_run_stitches(lengths: Iterable[float]) -> int:
    """Twice the running line, tied once at either end."""
    return _each(lengths, lambda length: 2 * (_whole(length / RUN_STITCH_MM) + 1))


def zigzag_stitches(lengths: Iterable[float], spacing: float = TACK_SPACING_MM) -> int:
    """2 L / d on each line, and its ties."""
    _above_zero(spacing)
    return _each(lengths, lambda length: _whole(2 * length / spacing))


def tack_stitches(tack: Tack, lengths: Iterable[float]) -> int:
    """The tack-down along the cloth's edge. It lies 1 mm inside that edge, which shortens a whole ring by some
    6 mm: two stitches, left out of the sum."""
    if tack == "zigzag":
        return zigzag_stitches(lengths)
    return running_stitches(lengths) if tack == "run" else double_run_stitches(lengths)


def border_stitches(lengths: Iterable[float], spacing: float) -> int:
    """A satin border: its underlay and its cover, sewn in one go on each line, so tied once."""
    _above_zero(spacing)
    return _each(lengths, lambda length: sum(_whole(part) for part in border_parts(length, spacing)))


def border_parts(length: float, spacing: float) -> tuple[float, float, float]:
    """Stitches of the two edge runs (2 L / 2.5), of the underlay's zigzag (2 L / 2.5), and of the cover
    (2 L / d), not yet whole and without ties."""
    return EDGE_RUNS * length / RUN_STITCH_MM, 2 * length / UNDERLAY_SPACING_MM, 2 * length / spacing


def _each(lengths: Iterable[float], stitches: Callable[[float], int]) -> int:
    total = 0
    for length in lengths:
        if length < 0:
            raise ValueError(f"A line cannot be {length:g} mm long.")
        total += stitches(length) + 2 * TIE_STITCHES
    return total


def _above_zero(spacing: float) -> None:
    if spacing <= 0:
        raise ValueError(f"The spacing of stitches must be above 0 mm; found {spacing:g} mm.")


def _whole(stitches: float) -> int:
    return ceil(stitches - ROUNDING)
