"""The paints of cloth: a pattern that tells the fabric without colour, over the tint of its colour."""

from __future__ import annotations

from floor.drawing.colours import (
    BACKING,
    BACKING_LINE,
    GARMENT,
    GARMENT_LINE,
    MIST,
    mixed,
    pattern_ink,
    tint,
)
from floor.drawing.sheet import Sheet
from floor.drawing.svg import circle, element

STEPS_PX = (9.0, 6.5)  # upper layers in turn: two layers of one fabric differ without colour too
WASTE_WHITE = 0.55  # how far the cloth that will be cut away is drawn toward white

DOTTED = ("felt", "fleece", "wool")
DIAGONAL = ("twill", "drill", "denim", "gabardine", "canvas")
UPRIGHT = ("satin", "silk", "leather", "vinyl")


def cloth(sheet: Sheet, fabric: str, colour: str, layer: int, *, waste: bool = False) -> str:
    """The paint of a layer's cloth; `waste`: paler, for what the scissors will take away."""
    ground = tint(colour)
    ink = pattern_ink(ground)
    if waste:
        ground, ink = mixed(ground, "#ffffff", WASTE_WHITE), mixed(ink, "#ffffff", WASTE_WHITE)
    step = STEPS_PX[layer % len(STEPS_PX)] * sheet.px
    marks = _marks(fabric.lower(), step, ink, 1.2 * sheet.px)
    return sheet.pattern(f"{ground} {fabric} {layer} {waste}", step, ground, marks)


def garment(sheet: Sheet) -> str:
    step = 13 * sheet.px
    data = f"M0 {step / 2:.2f}h{step:.2f}"
    return sheet.pattern("garment", step, GARMENT, _drawn(data, GARMENT_LINE, 1.4 * sheet.px))


def backing(sheet: Sheet) -> str:
    step = 12 * sheet.px
    return sheet.pattern("backing", step, BACKING, _diagonal(step, BACKING_LINE, 1.6 * sheet.px))


def mist(sheet: Sheet) -> str:
    """Adhesive on the backing: uneven dots, to be laid over the backing's own paint."""
    step = 44 * sheet.px
    dots = ((0.2, 0.3, 2.2), (0.7, 0.15, 1.5), (0.55, 0.6, 2.6), (0.12, 0.82, 1.4), (0.88, 0.85, 1.9))
    marks = "".join(circle((x * step, -y * step), size * sheet.px, fill=MIST) for x, y, size in dots)
    return sheet.pattern("mist", step, None, marks)


def _marks(fabric: str, step: float, ink: str, width: float) -> str:
    if any(word in fabric for word in DOTTED):
        return circle((step / 2, -step / 2), width, fill=ink)
    if any(word in fabric for word in DIAGONAL):
        return _diagonal(step, ink, width)
    if any(word in fabric for word in UPRIGHT):
        return _drawn(f"M{step / 2:.2f} 0v{step:.2f}", ink, width)
    quarter = step / 4
    arm, back = f"{2 * quarter:.2f}", f"{-quarter:.2f}"
    return _drawn(f"M{quarter:.2f} {2 * quarter:.2f}h{arm}m{back} {back}v{arm}", ink, width)


def _diagonal(step: float, ink: str, width: float) -> str:
    """A diagonal whose corners are drawn too, or the tile's edges would show as nicks."""
    nick, size = step / 4, f"{step:.2f}"
    up = f"l{2 * nick:.2f} {-2 * nick:.2f}"
    first, last = f"M{-nick:.2f} {nick:.2f}{up}", f"M{step - nick:.2f} {step + nick:.2f}{up}"
    return _drawn(f"M0 {size}L{size} 0{first}{last}", ink, width)


def _drawn(data: str, ink: str, width: float) -> str:
    return element("path", {"d": data, "stroke": ink, "stroke-width": width, "fill": "none"})
