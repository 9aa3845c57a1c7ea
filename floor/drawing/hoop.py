"""The front in its hoop, right way up for the operator, as it is at one phase."""

from __future__ import annotations

from floor.drawing import cloths
from floor.drawing.colours import CHALK, INK, PAPER, SOFT_INK
from floor.drawing.edges import EdgeLine
from floor.drawing.half import Half
from floor.drawing.marks import at_the_cross, at_the_edge, trace_window
from floor.drawing.moment import Moment
from floor.drawing.parts import (
    blank,
    border,
    buttons,
    cut_line,
    dashes,
    folded_edge,
    kept_cloth,
    placement_line,
    tack_line,
)
from floor.drawing.sheet import Sheet
from floor.drawing.svg import Box, circle, group, line, rect

FRAME_PX = 14.0
MARGIN_SHARE = 0.06  # of the field's longer side: frame and air around it
CORNER_SHARE = 0.08
ONE_CREST_ROOM_MM = 60.0


def hoop_picture(half: Half, state: Moment, *, on_backing: bool) -> str:
    """`on_backing`: nothing but backing is hooped, as for crests."""
    field = _field(half)
    longer = max(field[2] - field[0], field[3] - field[1])
    margin = MARGIN_SHARE * longer
    seen = (field[0] - margin, field[1] - margin, field[2] + margin, field[3] + margin)
    sheet = Sheet(_one_of_several(half, seen) if on_backing else seen, half.rings)
    radius = CORNER_SHARE * longer
    inside = _ground(sheet, half, state, field, on_backing) + _layers(sheet, half, state)
    marks = _marks(sheet, half, state, field)
    clipped = group(inside, clip_path=sheet.clip_box(field, radius))
    return sheet.document(clipped, _frame(sheet, field, radius), marks)


def _field(half: Half) -> Box:
    """The hoop's field, centred on what is sewn on this front."""
    x0, y0, x1, y1 = half.extent
    (width, height), cx, cy = half.job.hoop.field, (x0 + x1) / 2, (y0 + y1) / 2
    return cx - width / 2, cy - height / 2, cx + width / 2, cy + height / 2


def _one_of_several(half: Half, seen: Box) -> Box:
    """Where a hoop holds several crests, one is shown large and the hoop runs on beyond the picture."""
    x0, y0, x1, y1 = half.extent
    room = ONE_CREST_ROOM_MM
    return max(seen[0], x0 - room), max(seen[1], y0 - room), min(seen[2], x1 + room), min(seen[3], y1 + room)


def _frame(sheet: Sheet, field: Box, radius: float) -> str:
    half = FRAME_PX * sheet.px / 2
    box = (field[0] - half, field[1] - half, field[2] + half, field[3] + half)
    return rect(box, rx=radius + half, fill="none", stroke=INK, stroke_width=2 * half)


def _ground(sheet: Sheet, half: Half, state: Moment, field: Box, on_backing: bool) -> str:
    parts = [rect(field, fill=cloths.backing(sheet))]
    now = state.now
    if now.picture == "backing" and not state.sewing:
        parts.append(rect(field, fill=cloths.mist(sheet)))
    sewing_line = now.picture == "backing" and state.sewing
    if (state.backing_line or sewing_line) and not state.garment:
        parts.append(_line_on_backing(sheet, half, sewing_line, on_backing))
    if state.garment:
        parts.append(_garment(sheet, half, field))
        parts.append(folded_edge(sheet, half, field[1], field[3]))
        parts.append(buttons(sheet, half))
        if state.pinned:
            parts.append(_pins(sheet, half, field))
    return "".join(parts)


def _line_on_backing(sheet: Sheet, half: Half, sewing: bool, on_backing: bool) -> str:
    """Where the garment goes: its folded edge, or the middle of the design; where crests go: their shapes."""
    if on_backing:
        return placement_line(sheet, half, 0, sewing=sewing)
    x0, y0, x1, y1 = half.extent
    reach = 14 * sheet.px
    lines = []
    if half.edge_x is not None:
        lines.append(((half.edge_x, y0 - reach), (half.edge_x, y1 + reach)))
        for y in (y0, y1):
            lines.append(((half.edge_x, y), (half.edge_x - half.side * 3 * reach, y)))
    else:
        cx, cy = half.job.design.centre
        lines += [((x0 - reach, cy), (x1 + reach, cy)), ((cx, y0 - reach), (cx, y1 + reach))]
    drawn = [EdgeLine(points, False) for points in lines]
    return dashes(sheet, drawn, CHALK if sewing else SOFT_INK, 3.5 if sewing else 2.0, (9, 6))


def _garment(sheet: Sheet, half: Half, field: Box) -> str:
    x0, y0, x1, y1 = field
    if half.edge_x is not None:
        x0, x1 = (x0, half.edge_x) if half.side > 0 else (half.edge_x, x1)
    return rect((x0, y0, x1, y1), fill=cloths.garment(sheet)) if x1 > x0 else ""


def _pins(sheet: Sheet, half: Half, field: Box) -> str:
    """Pins in the garment outside the field of stitches, heads outward."""
    x0, y0, x1, y1 = half.extent
    px, parts = sheet.px, []
    long = 30 * px
    # Away from the folded edge, where the readings' figures stand.
    for share in {1: (0.1, 0.5), -1: (0.5, 0.9), 0: (0.14, 0.86)}[half.side]:
        x = x0 + share * (x1 - x0)
        for y, end in ((y1, field[3]), (y0, field[1])):
            middle = (y + end) / 2
            parts.append(
                line((x - long / 2, middle), (x + long / 2, middle), stroke=INK, stroke_width=2 * px)
            )
            parts.append(circle((x + long / 2, middle), 4 * px, fill=PAPER, stroke=INK, stroke_width=2 * px))
    return "".join(parts)


def _layers(sheet: Sheet, half: Half, state: Moment) -> str:
    parts, now = [], state.now
    for index, done in enumerate(state.layers):
        doing = now.picture if now.layer == index else ""
        if doing == "border" or done.sewn:
            if not done.trimmed:
                parts.append(blank(sheet, half, index))
            parts.append(border(sheet, half, index, sewing=doing == "border"))
        elif doing == "trim":
            parts += [blank(sheet, half, index, waste=True), kept_cloth(sheet, half, index)]
            parts += [cut_line(sheet, half, index), tack_line(sheet, half, index)]
        elif done.trimmed:
            parts += [kept_cloth(sheet, half, index), tack_line(sheet, half, index)]
        elif doing in ("lay", "tack") or done.laid:
            parts.append(blank(sheet, half, index))
            tacked = doing == "tack" or done.tacked
            line_of = tack_line if tacked else placement_line
            parts.append(line_of(sheet, half, index, sewing=doing == "tack"))
        elif doing == "line" or done.marked:
            parts.append(placement_line(sheet, half, index, sewing=doing == "line"))
    return "".join(parts)


def _marks(sheet: Sheet, half: Half, state: Moment, field: Box) -> str:
    if state.now.picture != "check":
        return ""
    outline = dashes(sheet, half.edge(0, 0), SOFT_INK, 1.8, (6, 5), halo=False)
    drawn = outline + trace_window(sheet, half)
    if half.edge_x is None:
        return drawn + at_the_cross(sheet, half, state.now)
    return drawn + at_the_edge(sheet, half, state.now, (field[1], field[3]))
