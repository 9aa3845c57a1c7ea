"""SVG text -> the shapes that are drawn, each with its place in the file and its way to user units.

The walk over groups and `use` keeps its own stack: no file can make it recurse or multiply. Nothing that
would change what is cut is guessed at: text, pictures and clips are refused by name.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element

from svgelements import Matrix, Viewbox

from floor.domain.quoting import ordinal, quoted
from floor.domain.svgread import MAX_DEPTH, OutlineError, length_of, parse_svg, svg_kind, viewbox_of
from floor.domain.svgstyle import StyleRules

MAX_ELEMENTS = 50_000

_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")
_GROUPS = frozenset({"g", "a", "switch", "svg", "use"})
_SHAPES = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})
_TEXTS = frozenset({"text", "tspan", "textPath", "flowRoot"})
_TRANSFORM = re.compile(
    r"[\s,]*(?:(?:matrix|translate|scale|rotate|skewX|skewY)\s*\([0-9eE+\-.,\s]+\)[\s,]*)*"
)


@dataclass(frozen=True)
class Shape:
    """One drawn shape: its SVG `kind` and attributes, its `place` in words, its `matrix` to user units, and
    the `viewport` (width, height) that its percentages refer to."""

    kind: str
    attributes: Mapping[str, str]
    place: str
    matrix: Any
    viewport: tuple[float, float]

    def length(self, name: str, default: float = 0.0) -> float:
        """The attribute `name` in user units; `default` where it is missing or "auto"."""
        text = self.attributes.get(name, "auto")
        return default if text == "auto" else length_of(text, name, self.place, self.viewport)


@dataclass(frozen=True)
class _Frame:
    element: Element
    matrix: Any
    viewport: tuple[float, float]
    depth: int
    uses: frozenset[str]
    from_use: Element | None = None


def shapes_of(svg_text: str) -> Iterator[Shape]:
    """The shapes that are drawn, in the order of the file. OutlineError for what Floor cannot sew."""
    root = parse_svg(svg_text)
    if svg_kind(root) != "svg":
        raise OutlineError(
            f"the file's first element is {quoted(root.tag)} and not svg; save the drawing as SVG"
        )
    return _Walk(root).shapes()


class _Walk:
    def __init__(self, root: Element) -> None:
        self.root = root
        self.rules = StyleRules(e.text or "" for e in root.iter() if svg_kind(e) == "style")
        self.by_id: dict[str, Element] = {}
        self.places: dict[Element, str] = {}
        counts: Counter[str] = Counter()
        for element in root.iter():
            kind, name = svg_kind(element), element.get("id")
            counts[kind] += 1
            self.places[element] = f"{kind} {quoted(name)}" if name else f"the {ordinal(counts[kind])} {kind}"
            if name:
                self.by_id.setdefault(name, element)

    def shapes(self) -> Iterator[Shape]:
        stack = [_Frame(self.root, Matrix(), self._root_viewport(), 1, frozenset())]
        visited = 0
        while stack:
            frame = stack.pop()
            element, kind, place = frame.element, svg_kind(frame.element), self.places[frame.element]
            visited += 1
            if visited > MAX_ELEMENTS:
                raise OutlineError(f"the SVG draws more than {MAX_ELEMENTS} elements; merge its shapes")
            if frame.depth > MAX_DEPTH:
                raise OutlineError(f"{place} is nested more than {MAX_DEPTH} deep; ungroup the drawing")
            drawn = kind in _GROUPS or kind in _SHAPES or (kind == "symbol" and frame.from_use is not None)
            if kind in _TEXTS and not self._hidden(element, kind):
                raise OutlineError(
                    f"{place} is text, which no machine can sew: turn text into outlines first"
                )
            if kind == "image" and not self._hidden(element, kind):
                raise OutlineError(f"{place} is a picture; take it out and draw its shapes as closed paths")
            if not drawn or self._hidden(element, kind):
                continue
            matrix = self._matrix(element, kind, place) * frame.matrix
            if kind in _SHAPES:
                yield Shape(kind, element.attrib, place, matrix, frame.viewport)
            else:
                stack.extend(self._inside(frame, kind, place, matrix))

    def _inside(self, frame: _Frame, kind: str, place: str, matrix: Any) -> list[_Frame]:
        """What a group holds, last first, so that the stack gives it in the file's order."""
        element, viewport = frame.element, frame.viewport
        if kind == "use":
            name = next((element.attrib[key] for key in _HREFS if key in element.attrib), "")
            target = self.by_id.get(name[1:]) if name.startswith("#") else None
            if target is None:
                raise OutlineError(f"{place} repeats {quoted(name)}, which is not in the file")
            if name in frame.uses:
                raise OutlineError(f"{place} repeats itself by way of {quoted(name)}; draw the shape itself")
            x, y = (length_of(element.get(key, "0"), key, place, viewport) for key in ("x", "y"))
            moved = Matrix.translate(x, y) * matrix
            return [_Frame(target, moved, viewport, frame.depth + 1, frame.uses | {name}, element)]
        if kind in ("svg", "symbol") and element is not self.root:
            inner, viewport = self._viewport(frame, place)
            matrix = inner * matrix
        return [_Frame(child, matrix, viewport, frame.depth + 1, frame.uses) for child in reversed(element)]

    def _hidden(self, element: Element, kind: str) -> bool:
        return self.rules.value(element, kind, "display") == "none"

    def _matrix(self, element: Element, kind: str, place: str) -> Any:
        for name in ("clip-path", "mask"):
            if self.rules.value(element, kind, name) not in (None, "", "none"):
                raise OutlineError(
                    f"{place} is clipped by a {name}; cut the shape itself in the drawing program"
                )
        if self.rules.styled(element, kind, "transform") not in (None, "", "none"):
            raise OutlineError(f"{place} is moved by its style; save the drawing as plain SVG")
        text = element.get("transform", "")
        try:
            if not _TRANSFORM.fullmatch(text):
                raise ValueError("not a list of transforms")
            return Matrix(text)
        except (ValueError, IndexError, TypeError) as error:
            raise OutlineError(f"{place} has the transform {quoted(text)}, which cannot be read") from error

    def _root_viewport(self) -> tuple[float, float]:
        box = viewbox_of(self.root, self.places[self.root])
        if box is not None:
            return box[2], box[3]
        width, height = (
            length_of(self.root.get(name, "100%"), name, self.places[self.root], (100.0, 100.0))
            for name in ("width", "height")
        )
        return width, height

    def _viewport(self, frame: _Frame, place: str) -> tuple[Any, tuple[float, float]]:
        """How a nested svg, or a symbol in use, maps its own viewBox into the drawing around it."""
        element = frame.element
        sizes = element.attrib | {
            key: frame.from_use.attrib[key]
            for key in ("width", "height")
            if frame.from_use is not None and key in frame.from_use.attrib
        }
        x, y = (length_of(element.get(key, "0"), key, place, frame.viewport) for key in ("x", "y"))
        width, height = (
            length_of(sizes.get(key, "100%"), key, place, frame.viewport) for key in ("width", "height")
        )
        box = viewbox_of(element, place)
        if box is None:
            return Matrix.translate(x, y), (width, height)
        aspect = element.get("preserveAspectRatio", "xMidYMid meet")
        return Matrix(Viewbox.viewbox_transform(x, y, width, height, *box, aspect)), (box[2], box[3])
