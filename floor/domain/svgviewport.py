"""The page of an SVG, and the nested drawings and symbols within it: how each maps its own units into the next."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from shapely import Polygon

from floor.domain.points import Point
from floor.domain.svgmatrix import IDENTITY, Matrix, fitted, moved
from floor.domain.svgread import MAX_NUMBER_CHARACTERS, Size, length_of, viewbox_of


@dataclass(frozen=True)
class Nested:
    """`corner` and `size` in the units around it; `matrix` leads there from its own; `viewport`: its own size."""

    corner: Point
    size: Size
    matrix: Matrix
    viewport: Size


def page_of(root: Element, place: str) -> tuple[Matrix, Size]:
    """The root's map to user units, and its viewport.

    The drawing is scaled to its height later, so a viewBox matters only where it stretches one way.
    """
    box = viewbox_of(root, place)
    names = ("width", "height")
    sizes = [root.get(name, "100%") for name in names]
    if box is not None:
        stretched = root.get("preserveAspectRatio", "").strip() == "none"
        if not stretched or any("%" in text or text.strip() == "auto" for text in sizes):
            return IDENTITY, (box[2], box[3])
    width, height = (
        100.0 if text.strip() == "auto" else length_of(text, name, place, (100.0, 100.0))
        for text, name in zip(sizes, names, strict=True)
    )
    if box is None:
        return IDENTITY, (width, height)
    return fitted(box, (0.0, 0.0), (width, height), "none"), (box[2], box[3])


def nested_of(element: Element, use: Element | None, place: str, viewport: Size) -> Nested | None:
    """A nested svg, or a symbol, whose size `use` may give; None where it has none and shows nothing."""
    x, y = (length_of(element.get(key, "0"), key, place, viewport) for key in ("x", "y"))
    sizes = []
    for key in ("width", "height"):
        text = use.get(key, "auto") if use is not None else "auto"
        text = element.get(key, "auto") if text == "auto" else text
        sizes.append(length_of("100%" if text == "auto" else text, key, place, viewport))
    if min(sizes) <= 0:
        return None
    size = (sizes[0], sizes[1])
    box = viewbox_of(element, place)
    if box is None:
        return Nested((x, y), size, (1.0, 0.0, 0.0, 1.0, x, y), size)
    aspect = element.get("preserveAspectRatio", "")[:MAX_NUMBER_CHARACTERS]
    return Nested((x, y), size, fitted(box, (x, y), size, aspect), (box[2], box[3]))


def pane(matrix: Matrix, nested: Nested, around: Polygon | None) -> Polygon:
    """The window that `nested` is, y up, as far as it lies within the one around it."""
    (x, y), (width, height) = nested.corner, nested.size
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    there = [moved(matrix, corner) for corner in corners]
    window = Polygon([(across, -down) for across, down in there])
    if not window.is_valid:
        return Polygon()
    shown = window if around is None else window.intersection(around)
    return shown if isinstance(shown, Polygon) else Polygon()
