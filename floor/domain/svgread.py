"""SVG text -> its XML tree, bounded and without entities; and what its attributes say.

An SVG comes from anybody's drawing program or e-mail: it is measured before it is parsed, and no sentence
about it repeats anything that it says.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import NamedTuple
from xml.etree.ElementTree import Element, ParseError, TreeBuilder

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import DefusedXMLParser

MAX_SVG_BYTES = 5_000_000
MAX_DEPTH = 100
MAX_XML_ELEMENTS = 200_000
MAX_COORDINATE = 1e7
MAX_POINTS = 50_000
MAX_NUMBER_CHARACTERS = 200

_SVG = "{http://www.w3.org/2000/svg}"
_LENGTH = re.compile(r"\s*([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*([a-zA-Z%]*)\s*")
_PX = {"": 1.0, "px": 1.0, "in": 96.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "pt": 96 / 72, "pc": 16.0}
_PX |= {"q": 96 / 101.6}

Size = tuple[float, float]
ViewBox = tuple[float, float, float, float]


class OutlineError(ValueError):
    """The SVG cannot be an outline; the message is one sentence that says which element, and its line."""


class Drawing(NamedTuple):
    """An SVG's tree, and the line of the file on which each element begins."""

    root: Element
    lines: Mapping[Element, int]


class _BoundedBuilder(TreeBuilder):
    """Builds the tree, notes lines, and stops at once where the tree is too deep or too large."""

    def __init__(self) -> None:
        super().__init__()
        self.depth = 0
        self.lines: dict[Element, int] = {}
        self.line: Callable[[], int] = lambda: 1

    def start(self, tag: str, attrs: dict[str, str], /) -> Element:
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise OutlineError(f"the SVG nests its elements more than {MAX_DEPTH} deep; ungroup the drawing")
        if len(self.lines) >= MAX_XML_ELEMENTS:
            raise OutlineError(f"the SVG has more than {MAX_XML_ELEMENTS} elements; merge its shapes")
        element = super().start(tag, attrs)
        self.lines[element] = self.line()
        return element

    def end(self, tag: str, /) -> Element:
        self.depth -= 1
        return super().end(tag)


def parse_svg(svg_text: str) -> Drawing:
    """The tree of an SVG within the limits. OutlineError: too large, too deep, entities, or no XML."""
    size = len(svg_text.encode("utf-8", "surrogatepass"))
    if size > MAX_SVG_BYTES:
        raise OutlineError(
            f"the SVG has {size / 1e6:.1f} MB and Floor reads at most {MAX_SVG_BYTES / 1e6:.1f} MB;"
            " take out what is not the outline"
        )
    builder = _BoundedBuilder()
    parser = DefusedXMLParser(target=builder, forbid_dtd=False, forbid_entities=True, forbid_external=True)
    builder.line = lambda: int(parser.parser.CurrentLineNumber)
    try:
        parser.feed(svg_text)
        root = parser.close()
    except DefusedXmlException as refused:
        raise OutlineError("the SVG defines entities, which Floor refuses; save it as plain SVG") from refused
    except ParseError as error:
        line, column = error.position
        raise OutlineError(
            f"the file is not XML (line {line}, column {column + 1}); save the drawing as SVG again"
        ) from error
    except UnicodeError as error:
        raise OutlineError(
            "the file is not XML, since it is not text; save the drawing as SVG again"
        ) from error
    assert isinstance(root, Element)
    return Drawing(root, builder.lines)


def svg_kind(element: Element) -> str:
    """The element's SVG name; "" for what is not SVG (comments, other programs' notes)."""
    if not isinstance(element.tag, str):
        return ""
    return element.tag.removeprefix(_SVG) if element.tag.startswith(_SVG) or element.tag[:1] != "{" else ""


def viewbox_of(element: Element, place: str) -> ViewBox | None:
    """The element's viewBox (x, y, width, height); None: it has none."""
    text = element.get("viewBox")
    if text is None:
        return None
    try:
        x, y, width, height = (float(part) for part in text[:MAX_NUMBER_CHARACTERS].replace(",", " ").split())
    except ValueError as error:
        raise OutlineError(
            f"{place} has a viewBox that is not four numbers; save the drawing again"
        ) from error
    if not (math.isfinite(x + y + width + height) and width > 0 and height > 0):
        raise OutlineError(f"{place} has a viewBox without a size; save the drawing again")
    return x, y, width, height


def length_of(text: str, name: str, place: str, viewport: Size) -> float:
    """An attribute in user units; a percentage refers to `viewport` by the attribute's direction."""
    match = _LENGTH.fullmatch(text) if len(text) <= MAX_NUMBER_CHARACTERS else None
    unit = match[2].lower() if match else ""
    if match is None or (unit != "%" and unit not in _PX):
        raise OutlineError(
            f"{place} has a {name} that cannot be read as a length; write a number, alone or with"
            " px, mm, cm, in, pt, pc or %"
        )
    number = float(match[1])
    if abs(number) > MAX_COORDINATE:
        raise OutlineError(f"{place} has a {name} beyond all bounds; draw it smaller")
    if unit != "%":
        return number * _PX[unit]
    across = name in ("x", "cx", "rx", "width", "x1", "x2")
    down = name in ("y", "cy", "ry", "height", "y1", "y2")
    whole = viewport[0] if across else viewport[1] if down else math.hypot(*viewport) / math.sqrt(2)
    return number / 100 * whole
