"""What a front is made of in a picture: its ground, folded edge, buttons, cloths, borders and lines."""

from __future__ import annotations

from collections.abc import Iterable

from floor.domain.job import Layer
from floor.drawing.cloths import cloth
from floor.drawing.colours import CHALK, CHALK_PALE, CUT, INK, PAPER, SOFT_INK, WHITE, mixed, named, tint
from floor.drawing.edges import EdgeLine
from floor.drawing.half import Half, cut_beyond, tack_beyond
from floor.drawing.sheet import Sheet
from floor.drawing.svg import circle, group, line, path

HOLE_END_MM = 1.6  # half the bar that ends a buttonhole
STITCH_PX = 1.3
HALO_PX = 3.0  # paper left free on both sides of a line, so that it shows on any cloth


def thread_tint(layer: Layer) -> str:
    """The border's colour: that of its thread where its name says one, else the cloth's own, deeper."""
    thread = layer.border.thread
    return tint(thread) if named(thread) else mixed(tint(layer.colour), INK, 0.25)


def border(sheet: Sheet, half: Half, layer: int, *, sewing: bool = False) -> str:
    """A layer's cloth with its border on, its stitches across the cut edge; in chalk blue while it is sewn."""
    one, hair = half.job.layers[layer], 1.2 * sheet.px
    width = one.border.width
    paint = cloth(sheet, one.fabric, one.colour, layer)
    thread = CHALK_PALE if sewing else thread_tint(one)
    stitches = CHALK if sewing else mixed(thread, INK, 0.35)
    return "".join(
        (
            *(
                sheet.grown(*half.grown(layer, beyond), colour)
                for beyond, colour in (
                    (width / 2, INK),
                    (width / 2 - hair, thread),
                    (hair - width / 2, INK),
                    (-width / 2, paint),
                )
            ),
            path(
                _lines(half.edge(layer, 0)),
                fill="none",
                stroke=stitches,
                stroke_width=max(width - 2 * hair, hair),
                stroke_dasharray=f"{STITCH_PX * sheet.px:.2f} {2 * STITCH_PX * sheet.px:.2f}",
                stroke_linejoin="bevel",
            ),
        )
    )


def blank(sheet: Sheet, half: Half, layer: int, *, waste: bool = False) -> str:
    """The rough-cut cloth as it is laid, larger than its shape all round."""
    one = half.job.layers[layer]
    paint = cloth(sheet, one.fabric, one.colour, layer, waste=waste)
    corners = half.blank(layer)
    return path([(corners, True)], fill=paint, stroke=SOFT_INK, stroke_width=2 * sheet.px)


def kept_cloth(sheet: Sheet, half: Half, layer: int) -> str:
    """The cloth that stays when the scissors are done."""
    one = half.job.layers[layer]
    beyond = cut_beyond(one.border.width)
    return sheet.grown(*half.grown(layer, beyond), cloth(sheet, one.fabric, one.colour, layer))


def placement_line(sheet: Sheet, half: Half, layer: int, *, sewing: bool = False) -> str:
    colour, width = (CHALK, 3.0) if sewing else (SOFT_INK, 1.8)
    return dashes(sheet, half.edge(layer, 0), colour, width, (7, 6))


def tack_line(sheet: Sheet, half: Half, layer: int, *, sewing: bool = False) -> str:
    colour, width = (CHALK, 3.5) if sewing else (INK, 2.0)
    return dashes(sheet, half.edge(layer, tack_beyond()), colour, width, (6, 4), halo=sewing)


def cut_line(sheet: Sheet, half: Half, layer: int) -> str:
    beyond = cut_beyond(half.job.layers[layer].border.width)
    return scissors_line(sheet, half.edge(layer, beyond))


def scissors_line(sheet: Sheet, lines: Iterable[EdgeLine]) -> str:
    """Heavier than all else in the picture, and in a colour that nothing else has."""
    return dashes(sheet, lines, CUT, 5.0, (16, 6))


def dashes(
    sheet: Sheet,
    lines: Iterable[EdgeLine],
    colour: str,
    width_px: float,
    dash_px: tuple[float, float],
    *,
    halo: bool = True,
) -> str:
    """A dashed line; `halo`: with paper left free beside it, for a cloth that would swallow it."""
    px, drawn = sheet.px, _lines(lines)
    on, off = dash_px
    free = path(drawn, fill="none", stroke=PAPER, stroke_width=(width_px + HALO_PX) * px, stroke_opacity=0.75)
    dashed = path(
        drawn,
        fill="none",
        stroke=colour,
        stroke_width=width_px * px,
        stroke_dasharray=f"{on * px:.2f} {off * px:.2f}",
        stroke_linecap="round" if width_px > 4 else None,
    )
    return (free if halo else "") + dashed


def folded_edge(sheet: Sheet, half: Half, low: float, high: float) -> str:
    """The edge that a hand lays along its line: strong, for all else is measured from it."""
    if half.edge_x is None:
        return ""
    return line((half.edge_x, low), (half.edge_x, high), stroke=INK, stroke_width=5 * sheet.px)


def button_heights(half: Half) -> list[float]:
    """Centres of the buttons along the opening, evenly over the span, both ends counted, highest first."""
    if half.opening is None or half.job.opening is None:
        return []
    count, span = half.job.opening.buttons, half.opening.span
    if count == 1:
        return [span / 2]
    return [span / 2 - i * span / (count - 1) for i in range(count)]


def buttons(sheet: Sheet, half: Half) -> str:
    """Buttons on the under front, buttonholes on the top front."""
    if half.job.opening is None:
        return ""
    one = buttonhole if half.is_top else button
    return "".join(one(sheet, half, y) for y in button_heights(half))


def buttonhole(sheet: Sheet, half: Half, y: float) -> str:
    long, end = _button_size(half) / 2, HOLE_END_MM
    bar = [((-long, y), (long, y))]
    ends = [((x, y - end), (x, y + end)) for x in (-long, long)]
    return path(
        [(points, False) for points in bar + ends], fill="none", stroke=INK, stroke_width=2.6 * sheet.px
    )


def button(sheet: Sheet, half: Half, y: float) -> str:
    radius = _button_size(half) / 2
    holes = (circle((dx, y), radius * 0.14, fill=INK) for dx in (-radius * 0.3, radius * 0.3))
    disc = circle((0, y), radius, fill=WHITE, stroke=INK, stroke_width=2 * sheet.px)
    return group(disc, *holes)


def _button_size(half: Half) -> float:
    return half.job.opening.button_size if half.job.opening else 0.0


def _lines(lines: Iterable[EdgeLine]) -> list[tuple[tuple[tuple[float, float], ...], bool]]:
    return [(found.points, found.closed) for found in lines]
