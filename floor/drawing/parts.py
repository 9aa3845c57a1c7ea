"""What a front is made of in a picture: its cloths, their borders, and the lines that are sewn and cut."""

from __future__ import annotations

from floor.domain.job import Layer
from floor.drawing.cloths import cloth
from floor.drawing.colours import CHALK, CHALK_PALE, CUT, INK, PAPER, SOFT_INK, mixed, named, tint
from floor.drawing.half import DrawnPiece
from floor.drawing.sheet import Sheet
from floor.drawing.svg import rect

HAIR_PX = 1.2
STITCH_PX = 1.3
HALO_PX = 3.0  # paper left free on both sides of a line, so that it shows on any cloth


def thread_tint(layer: Layer) -> str:
    """The border's colour: that of its thread where its name says one, else the cloth's own, deeper."""
    thread = layer.border.thread
    return tint(thread) if named(thread) else mixed(tint(layer.colour), INK, 0.25)


def bordered(sheet: Sheet, piece: DrawnPiece, *, sewing: bool = False) -> str:
    """A cloth with its border on: a stroke of the border's width along the cloth's edge, its stitches across.

    `sewing`: the border stands out in chalk, with coarser stitches and paper beside it, without colour too.
    """
    layer, px = piece.layer, sheet.px
    if sewing:
        outer, thread, stitches, bolder = CHALK, CHALK_PALE, CHALK, 2.0
    else:
        outer, thread, bolder = INK, thread_tint(layer), 1.0
        stitches = mixed(thread, INK, 0.35)
    hair, stitch = HAIR_PX * bolder * px, STITCH_PX * bolder * px
    inner = max(piece.width - 2 * hair, hair)
    paint = cloth(sheet, layer.fabric, layer.colour, piece.index)
    dash = f"{stitch:.2f} {2 * stitch:.2f}"
    beside = piece.width + 2 * HALO_PX * px
    halo = sheet.shape(piece.edge, fill="none", stroke=PAPER, stroke_width=beside) if sewing else ""
    return (
        sheet.shape(piece.edge, fill=paint)
        + halo
        + sheet.shape(piece.edge, fill="none", stroke=outer, stroke_width=piece.width)
        + sheet.shape(piece.edge, fill="none", stroke=thread, stroke_width=inner)
        + sheet.shape(
            piece.edge,
            fill="none",
            stroke=stitches,
            stroke_width=inner,
            stroke_dasharray=dash,
            stroke_linejoin="bevel",
        )
    )


def blank(sheet: Sheet, piece: DrawnPiece, *, waste: bool = False) -> str:
    """The rough-cut cloth as it is laid, larger than its shape all round; `waste`: it will be cut away."""
    paint = cloth(sheet, piece.layer.fabric, piece.layer.colour, piece.index, waste=waste)
    return rect(piece.blank, fill=paint, stroke=SOFT_INK, stroke_width=2 * sheet.px)


def kept_cloth(sheet: Sheet, piece: DrawnPiece) -> str:
    """The cloth that stays when the scissors are done."""
    return sheet.shape(piece.cut, fill=cloth(sheet, piece.layer.fabric, piece.layer.colour, piece.index))


def placement_line(sheet: Sheet, piece: DrawnPiece, *, sewing: bool = False) -> str:
    colour, width = (CHALK, 3.5) if sewing else (SOFT_INK, 1.8)
    return dashes(sheet, piece.edge, colour, width, (7, 6))


def tack_line(sheet: Sheet, piece: DrawnPiece, *, sewing: bool = False) -> str:
    colour, width = (CHALK, 3.5) if sewing else (INK, 2.0)
    return dashes(sheet, piece.tack, colour, width, (6, 4), halo=sewing)


def scissors_line(sheet: Sheet, data: str) -> str:
    """Heavier than all else in the picture, and in a colour that nothing else has."""
    return dashes(sheet, data, CUT, 5.0, (16, 6))


def dashes(
    sheet: Sheet,
    data: str,
    colour: str,
    width_px: float,
    dash_px: tuple[float, float],
    *,
    halo: bool = True,
) -> str:
    """A dashed line; `halo`: with paper left free beside it, for a cloth that would swallow it."""
    px, (on, off) = sheet.px, dash_px
    free = sheet.shape(
        data, fill="none", stroke=PAPER, stroke_width=(width_px + HALO_PX) * px, stroke_opacity=0.75
    )
    dashed = sheet.shape(
        data,
        fill="none",
        stroke=colour,
        stroke_width=width_px * px,
        stroke_dasharray=f"{on * px:.2f} {off * px:.2f}",
        stroke_linecap="round" if width_px > 4 else None,
    )
    return (free if halo else "") + dashed
