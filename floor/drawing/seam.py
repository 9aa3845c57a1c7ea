"""Where to measure on the closed garment: overlap and span before any sewing, step and gap once it is sewn."""

from __future__ import annotations

from collections.abc import Sequence

from floor.domain.checklist import Phase
from floor.drawing.colours import CHALK, PAPER
from floor.drawing.half import Half
from floor.drawing.marks import ASIDE_PX, bracket, disc
from floor.drawing.sheet import Sheet
from floor.drawing.svg import rect

RING_PX = 10.0  # radius of the ring at a crossing


def at_the_opening(sheet: Sheet, top: Half, under: Half, phase: Phase, high: float) -> str:
    """What the phase asks of the opening. `high`: where the folded edges end, mm."""
    opening = top.size.opening
    if opening is None or top.edge_x is None or under.edge_x is None:
        return ""
    px, parts, asked = sheet.px, [], {reading.id: reading.mark for reading in phase.readings}
    if "overlap" in asked:
        y = high - 10 * px
        parts.append(bracket(sheet, (top.edge_x, y), (under.edge_x, y)))
        parts.append(disc(sheet, asked["overlap"], (top.edge_x + top.side * ASIDE_PX * px, y)))
    if "span" in asked:
        x = -top.side * ASIDE_PX * px
        parts.append(bracket(sheet, (x, opening.span / 2), (x, -opening.span / 2)))
        parts.append(disc(sheet, asked["span"], (x - top.side * ASIDE_PX * px, 0)))
    if "step" in asked or "gap" in asked:
        parts.append(_crossings(sheet, top, asked.get("step", ""), asked.get("gap", "")))
    return "".join(parts)


def _crossings(sheet: Sheet, top: Half, step: str, gap: str) -> str:
    """A ring wherever a cloth's edge crosses the seam; a step is read along the seam, a gap across it."""
    seam, px = top.size.seam, sheet.px
    heights = sorted(crossing.y for crossing in seam.crossings) if seam else []
    if seam is None or not heights:
        return ""
    reach, parts = RING_PX * px, []
    for low, high in stretches(heights, 2 * reach):
        box = (seam.x - reach, low - reach, seam.x + reach, high + reach)
        for colour, width in ((PAPER, 6.5), (CHALK, 3.5)):
            parts.append(rect(box, rx=reach, fill="none", stroke=colour, stroke_width=width * px))
    aside, arm = top.side * ASIDE_PX * px, 9 * px
    if step:
        x, y = seam.x + aside, heights[-1]
        parts.append(bracket(sheet, (x, y - arm), (x, y + arm)))
        parts.append(disc(sheet, step, (x + aside, y)))
    if gap:
        x, y = seam.x + aside, heights[0]
        parts.append(bracket(sheet, (x - arm, y), (x + arm, y)))
        parts.append(disc(sheet, gap, (x + aside, y)))
    return "".join(parts)


def stretches(heights: Sequence[float], near: float) -> list[tuple[float, float]]:
    """The lowest and the highest of each run of sorted heights that lie nearer than `near` to the next."""
    found = [(heights[0], heights[0])]
    for height in heights[1:]:
        low, high = found[-1]
        if height - high < near:
            found[-1] = (low, height)
        else:
            found.append((height, height))
    return found
