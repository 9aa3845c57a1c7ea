"""Where to measure on the closed garment: overlap and span before any sewing, step and gap once it is sewn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from floor.domain.checklist import Phase
from floor.drawing.colours import CHALK, PAPER
from floor.drawing.half import Half
from floor.drawing.marks import APART_PX, ASIDE_PX, ROOM_PX, bracket, disc, spread
from floor.drawing.sheet import PANEL_PX, Sheet
from floor.drawing.svg import Box, Point, line, rect

RING_PX = 10.0  # radius of the ring at a crossing
ARM_PX = 9.0  # half of the bar that shows which way is measured
BESIDE_PX = 28.0  # from the seam to that bar
LEAST_TALL_MM = 90.0  # of the picture: with less of it nobody knows where on the garment it is


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
    parts.append(_crossings(sheet, top, asked))
    return "".join(parts)


def around_crossings(half: Half) -> Box | None:
    """The stretch of the seam that is compared, with room for its figures; None where nothing crosses."""
    seam, heights = half.size.seam, _heights(half)
    if seam is None or not heights:
        return None
    wide, high = PANEL_PX
    tall = max((heights[-1] - heights[0]) / (1 - 2 * ROOM_PX / high), LEAST_TALL_MM)
    across, y = tall * wide / high, (heights[0] + heights[-1]) / 2
    return seam.x - across / 2, y - tall / 2, seam.x + across / 2, y + tall / 2


def _crossings(sheet: Sheet, top: Half, asked: Mapping[str, str]) -> str:
    """A ring wherever a cloth's edge crosses the seam, and beside those that are measured the figures: a step is
    read along the seam, a gap across it."""
    seam, px = top.size.seam, sheet.px
    measured = _measured(_heights(top), asked)
    if seam is None or not measured:
        return ""
    reach, parts = RING_PX * px, []
    for low, high in stretches(_heights(top), 2 * reach):
        box = (seam.x - reach, low - reach, seam.x + reach, high + reach)
        for colour, width in ((PAPER, 6.5), (CHALK, 3.5)):
            parts.append(rect(box, rx=reach, fill="none", stroke=colour, stroke_width=width * px))
    rows = spread([y for y, _, _ in measured], APART_PX * px)
    for (y, step, gap), row in zip(measured, rows, strict=True):
        if step:
            parts.append(_figure(sheet, step, (seam.x, y), row, top.side, (0.0, ARM_PX * px)))
        if gap:
            parts.append(_figure(sheet, gap, (seam.x, y), row, -top.side, (ARM_PX * px, 0.0)))
    return "".join(parts)


def _figure(sheet: Sheet, mark: str, at: Point, row: float, way: int, arm: Point) -> str:
    """A disc on one side of the seam, its line to the crossing, and between them which way is measured."""
    px, (x, y), (dx, dy) = sheet.px, at, arm
    near, middle = x + way * BESIDE_PX * px, (x + way * (BESIDE_PX + ASIDE_PX) * px, row)
    lead = line((x + way * RING_PX * px, y), middle, stroke=CHALK, stroke_width=2 * px)
    return lead + bracket(sheet, (near - dx, y - dy), (near + dx, y + dy)) + disc(sheet, mark, middle)


def _measured(heights: Sequence[float], asked: Mapping[str, str]) -> list[tuple[float, str, str]]:
    """The crossings that are measured, highest first: height, the step's figure, the gap's; "" for what is not."""
    if not heights:
        return []
    low, high = heights[0], heights[-1]
    middle = min(heights[1:-1], key=lambda y: abs(y - (low + high) / 2), default=None)
    at = {"upper": high, "middle": middle, "lower": low}
    found = [
        (y, asked.get(f"step-{name}", ""), asked.get(f"gap-{name}", ""))
        for name, y in at.items()
        if y is not None
    ]
    # Routes of before ask one step and one gap for the whole seam.
    found += [(high, asked.get("step", ""), ""), (low, "", asked.get("gap", ""))]
    return [one for one in found if one[1] or one[2]]


def _heights(half: Half) -> list[float]:
    """Where the design crosses the seam, lowest first; edges that cross at one height count once."""
    seam = half.size.seam
    return sorted({round(crossing.y, 1) for crossing in seam.crossings}) if seam else []


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
