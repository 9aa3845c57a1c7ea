"""The garment in a picture: its folded edge, the buttons or buttonholes along it, the pins that hold it."""

from __future__ import annotations

from floor.drawing.colours import INK, PAPER, WHITE
from floor.drawing.half import Half
from floor.drawing.sheet import Sheet
from floor.drawing.svg import Box, Point, circle, group, line, path

HOLE_END_MM = 1.6  # half the bar that ends a buttonhole
PINS_APART_FROM_MM = 110.0  # pins lie over so wide a stretch at least, clear of a button


def folded_edge(sheet: Sheet, half: Half, low: float, high: float) -> str:
    """The edge that a hand lays along its line: strong, for all else is measured from it."""
    if half.edge_x is None:
        return ""
    return line((half.edge_x, low), (half.edge_x, high), stroke=INK, stroke_width=5 * sheet.px)


def buttons(sheet: Sheet, half: Half) -> str:
    """Buttons on the under front, buttonholes on the top front."""
    one = buttonhole if half.is_top else button
    return "".join(one(sheet, half, centre) for centre in half.size.buttons)


def buttonhole(sheet: Sheet, half: Half, centre: Point) -> str:
    long, (x, y) = _button_size(half) / 2, centre
    bar = [((x - long, y), (x + long, y))]
    ends = [((end, y - HOLE_END_MM), (end, y + HOLE_END_MM)) for end in (x - long, x + long)]
    drawn = [(points, False) for points in bar + ends]
    return path(drawn, fill="none", stroke=INK, stroke_width=2.6 * sheet.px)


def button(sheet: Sheet, half: Half, centre: Point) -> str:
    radius, (x, y) = _button_size(half) / 2, centre
    holes = (circle((x + dx, y), radius * 0.14, fill=INK) for dx in (-radius * 0.3, radius * 0.3))
    disc = circle(centre, radius, fill=WHITE, stroke=INK, stroke_width=2 * sheet.px)
    return group(disc, *holes)


def _button_size(half: Half) -> float:
    assert half.job.opening is not None
    return half.job.opening.button_size


def pins(sheet: Sheet, half: Half, field: Box) -> str:
    """Pins in the garment outside the field of stitches, heads outward."""
    x0, y0, x1, y1 = half.traced
    px, parts = sheet.px, []
    long = 30 * px
    if half.side:
        end = x1 if half.side > 0 else x0
        inner = end - half.side * max(x1 - x0, PINS_APART_FROM_MM)
        x0, x1 = min(end, inner), max(end, inner)
    # Away from the folded edge, where the readings' figures stand.
    for share in {1: (0.1, 0.5), -1: (0.5, 0.9), 0: (0.14, 0.86)}[half.side]:
        x = x0 + share * (x1 - x0)
        for y, end in ((y1, field[3]), (y0, field[1])):
            middle = (y + end) / 2
            shaft = (x - long / 2, middle), (x + long / 2, middle)
            parts.append(line(*shaft, stroke=INK, stroke_width=2 * px))
            parts.append(circle(shaft[1], 4 * px, fill=PAPER, stroke=INK, stroke_width=2 * px))
    return "".join(parts)
