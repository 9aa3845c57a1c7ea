"""The garment's opening in a picture: the folded edge, and the buttons or buttonholes along it."""

from __future__ import annotations

from floor.drawing.colours import INK, WHITE
from floor.drawing.half import Half
from floor.drawing.sheet import Sheet
from floor.drawing.svg import Point, circle, group, line, path

HOLE_END_MM = 1.6  # half the bar that ends a buttonhole


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
