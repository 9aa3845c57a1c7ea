"""SVG text -> its XML tree, bounded and without entities; and what its attributes say.

An SVG comes from anybody's drawing program or e-mail: it is measured before it is parsed.
"""

from __future__ import annotations

import math
import re
from xml.etree.ElementTree import Element, ParseError, TreeBuilder

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import DefusedXMLParser

from floor.domain.quoting import quoted

MAX_SVG_BYTES = 5_000_000
MAX_DEPTH = 100
MAX_COORDINATE = 1e7

_SVG = "{http://www.w3.org/2000/svg}"
_LENGTH = re.compile(r"\s*([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*([a-z%]*)\s*")
_PX = {"": 1.0, "px": 1.0, "in": 96.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "pt": 96 / 72, "pc": 16.0}


class OutlineError(ValueError):
    """The SVG cannot be an outline; the message is one sentence that names the element."""


class _BoundedBuilder(TreeBuilder):
    """Builds the tree and stops at once where it is nested too deep."""

    depth = 0

    def start(self, tag: str, attrs: dict[str, str], /) -> Element:
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise OutlineError(f"the SVG nests its elements more than {MAX_DEPTH} deep; ungroup the drawing")
        return super().start(tag, attrs)

    def end(self, tag: str, /) -> Element:
        self.depth -= 1
        return super().end(tag)


def parse_svg(svg_text: str) -> Element:
    """The tree of an SVG within the limits. OutlineError: too large, too deep, entities, or no XML."""
    size = len(svg_text.encode("utf-8", "surrogatepass"))
    if size > MAX_SVG_BYTES:
        raise OutlineError(
            f"the SVG has {size / 1e6:.1f} MB and Floor reads at most {MAX_SVG_BYTES / 1e6:.1f} MB;"
            " take out what is not the outline"
        )
    parser = DefusedXMLParser(
        target=_BoundedBuilder(), forbid_dtd=False, forbid_entities=True, forbid_external=True
    )
    try:
        parser.feed(svg_text)
        root = parser.close()
    except DefusedXmlException as refused:
        raise OutlineError("the SVG defines entities, which Floor refuses; save it as plain SVG") from refused
    except (ParseError, UnicodeError) as error:
        raise OutlineError(f"the file is not XML ({error}); save the drawing as SVG again") from error
    assert isinstance(root, Element)
    return root


def svg_kind(element: Element) -> str:
    """The element's SVG name; "" for what is not SVG (comments, other programs' notes)."""
    if not isinstance(element.tag, str):
        return ""
    return element.tag.removeprefix(_SVG) if element.tag.startswith(_SVG) or element.tag[:1] != "{" else ""


def viewbox_of(element: Element, place: str) -> tuple[float, float, float, float] | None:
    """The element's viewBox (x, y, width, height); None: it has none."""
    text = element.get("viewBox")
    if text is None:
        return None
    try:
        x, y, width, height = (float(part) for part in text.replace(",", " ").split())
    except ValueError as error:
        raise OutlineError(f"{place} has the viewBox {quoted(text)}, which is not four numbers") from error
    if not (math.isfinite(x + y + width + height) and width > 0 and height > 0):
        raise OutlineError(f"{place} has the viewBox {quoted(text)}, which has no size")
    return x, y, width, height


def length_of(text: str, name: str, place: str, viewport: tuple[float, float]) -> float:
    """An attribute in user units; a percentage refers to `viewport` by the attribute's direction."""
    match = _LENGTH.fullmatch(text)
    if match is None or (match[2] != "%" and match[2] not in _PX):
        raise OutlineError(f"{place} has the {name} {quoted(text)}, which cannot be read as a length")
    number = float(match[1])
    if abs(number) > MAX_COORDINATE:
        raise OutlineError(f"{place} has the {name} {quoted(text)}, beyond all bounds; draw it smaller")
    if match[2] != "%":
        return number * _PX[match[2]]
    across = name in ("x", "cx", "rx", "width", "x1", "x2")
    down = name in ("y", "cy", "ry", "height", "y1", "y2")
    whole = viewport[0] if across else viewport[1] if down else math.hypot(*viewport) / math.sqrt(2)
    return number / 100 * whole
