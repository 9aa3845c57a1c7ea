"""SVG text -> the shapes that are drawn, each with its place in the file and its way to user units.

The walk over groups and `use` keeps its own stack: no file can make it recurse or multiply, and what one
element says is read once however often it is used. Nothing that would change what is cut is guessed at:
text, pictures and clips are refused.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any
from xml.etree.ElementTree import Element

from shapely import Polygon

from floor.domain.quoting import ordinal
from floor.domain.svgmatrix import IDENTITY, Matrix, times, transform_of
from floor.domain.svgpaint import Paint, is_above_zero
from floor.domain.svgread import MAX_DEPTH, MAX_POINTS, OutlineError, Size, length_of, parse_svg, svg_kind
from floor.domain.svgshapes import MAX_TOKENS, SHAPES, Drawn, path_of, tokens_of
from floor.domain.svgstyle import Styles
from floor.domain.svgviewport import nested_of, page_of, pane

MAX_ELEMENTS = 50_000

_HREFS = ("href", "{http://www.w3.org/1999/xlink}href")
_GROUPS = frozenset({"g", "a", "switch", "svg", "use"})
_TEXTS = frozenset({"text", "flowRoot"})
_PICTURES = frozenset({"image", "foreignObject"})
_MOVES = ("transform", "translate", "rotate", "scale", "offset-path")
_NOTHING = ("", "none")


@dataclass(frozen=True)
class Shape:
    """One shape as it is drawn: `matrix` leads to user units. `window`: where alone it shows, None: anywhere.

    `path`: the library's, None where the shape has no fill or is a line.
    """

    drawn: Drawn
    path: Any
    matrix: Matrix
    paint: Paint
    window: Polygon | None

    @property
    def place(self) -> str:
        return self.drawn.place


@dataclass(frozen=True)
class _Frame:
    element: Element
    matrix: Matrix
    viewport: Size
    paint: Paint
    depth: int = 1
    window: Polygon | None = None
    uses: frozenset[Element] = frozenset()
    from_use: Element | None = None


def shapes_of(svg_text: str) -> Iterator[Shape]:
    """The shapes that are drawn, in the order of the file. OutlineError for what Floor cannot sew."""
    root, lines = parse_svg(svg_text)
    if svg_kind(root) != "svg":
        raise OutlineError("the file's first element is not svg; save the drawing as SVG")
    places: dict[Element, str] = {}
    counts: Counter[str] = Counter()
    for element in root.iter():
        kind = svg_kind(element)
        counts[kind] += 1
        places[element] = f"the {ordinal(counts[kind])} {kind} (line {lines.get(element, 1)})"
    return _Walk(root, places).shapes()


class _Walk:
    def __init__(self, root: Element, places: dict[Element, str]) -> None:
        self.root = root
        self.places = places
        self.styles = Styles(root)
        self.by_id: dict[str, Element] = {}
        for element in root.iter():
            self.by_id.setdefault(element.get("id", ""), element)
        self.targets: dict[Element, Element] = {}
        self.chosen: dict[Element, list[Element]] = {}
        self.matrices: dict[Element, Matrix] = {}
        self.wordless: dict[Element, bool] = {}
        self.tokens = 0
        self.paths: dict[tuple[Element, Size], Any] = {}

    def shapes(self) -> Iterator[Shape]:
        matrix, viewport = page_of(self.root, self.places[self.root])
        stack = [_Frame(self.root, matrix, viewport, Paint())]
        visited = 0
        while stack:
            frame = stack.pop()
            element, kind = frame.element, svg_kind(frame.element)
            visited += 1
            if visited > MAX_ELEMENTS:
                raise OutlineError(f"the SVG draws more than {MAX_ELEMENTS} elements; merge its shapes")
            if frame.depth > MAX_DEPTH:
                raise OutlineError(
                    f"{self.places[element]} is nested more than {MAX_DEPTH} deep; ungroup the drawing"
                )
            if self._hidden(element):
                continue
            paint = frame.paint.inherited_by(partial(self.styles.value, element))
            if kind in _TEXTS or kind in _PICTURES:
                self._refuse(element, kind, paint)
            elif kind in SHAPES and paint.visible:
                yield self._shape(frame, kind, paint)
            elif kind in _GROUPS or (kind == "symbol" and frame.from_use is not None):
                stack.extend(self._inside(frame, kind, paint))

    def _hidden(self, element: Element) -> bool:
        value = self.styles.value
        return value(element, "display") == "none" or not is_above_zero(value(element, "opacity"))

    def _refuse(self, element: Element, kind: str, paint: Paint) -> None:
        place = self.places[element]
        if kind in _PICTURES and paint.visible:
            raise OutlineError(f"{place} is a picture; take it out and draw its shapes as closed paths")
        if element not in self.wordless:
            self.wordless[element] = not any(part.strip() for part in element.itertext())
        if paint.visible and (paint.filled or paint.stroked) and not self.wordless[element]:
            raise OutlineError(f"{place} is text, which no machine can sew: turn text into outlines first")

    def _shape(self, frame: _Frame, kind: str, paint: Paint) -> Shape:
        element, place = frame.element, self.places[frame.element]
        drawn = Drawn(kind, element.attrib, place, frame.viewport)
        if kind == "line" or not paint.filled:
            return Shape(drawn, None, frame.matrix, paint, frame.window)
        matrix = times(frame.matrix, self._matrix(element))
        styled = next((name for name in SHAPES[kind] if name in self.styles.declared(element)), None)
        if styled is not None:
            raise OutlineError(f"{place} has its {styled} in its style; save the drawing as plain SVG")
        key = (element, frame.viewport)
        if key not in self.paths:
            self.tokens += tokens_of(drawn)
            if self.tokens > MAX_TOKENS:
                raise OutlineError(
                    f"the outline has more than {MAX_POINTS} points by {place}; simplify its paths"
                )
            self.paths[key] = path_of(drawn)
        return Shape(drawn, self.paths[key], matrix, paint, frame.window)

    def _inside(self, frame: _Frame, kind: str, paint: Paint) -> list[_Frame]:
        """What a group holds, last first, so that the stack gives it in the file's order."""
        element, place, viewport = frame.element, self.places[frame.element], frame.viewport
        matrix, window = times(frame.matrix, self._matrix(element)), frame.window
        depth = frame.depth + 1
        if kind == "use":
            target = self._target(element)
            if target in frame.uses:
                raise OutlineError(f"{place} repeats itself; draw the shape itself")
            x, y = (length_of(element.get(key, "0"), key, place, viewport) for key in ("x", "y"))
            there = times(matrix, (1.0, 0.0, 0.0, 1.0, x, y))
            return [_Frame(target, there, viewport, paint, depth, window, frame.uses | {target}, element)]
        if kind in ("svg", "symbol") and element is not self.root:
            nested = nested_of(element, frame.from_use, place, viewport)
            if nested is None:
                return []
            if self.styles.value(element, "overflow") not in ("visible", "auto"):
                window = pane(matrix, nested, window)
            matrix, viewport = times(matrix, nested.matrix), nested.viewport
        children = self._chosen(element) if kind == "switch" else list(element)
        return [
            _Frame(child, matrix, viewport, paint, depth, window, frame.uses) for child in reversed(children)
        ]

    def _target(self, use: Element) -> Element:
        if use not in self.targets:
            name = next((use.attrib[key] for key in _HREFS if key in use.attrib), "").strip()
            target = self.by_id.get(name[1:]) if name[:1] == "#" and len(name) > 1 else None
            if target is None:
                raise OutlineError(
                    f"{self.places[use]} repeats a shape that is not in the file; draw the shape itself"
                )
            self.targets[use] = target
        return self.targets[use]

    def _chosen(self, switch: Element) -> list[Element]:
        """The one child of a switch that is drawn: the first that asks for no extension and no language."""
        if switch in self.chosen:
            return self.chosen[switch]
        open_to_all = [child for child in switch if svg_kind(child) and not child.get("requiredExtensions")]
        plain = [child for child in open_to_all if not child.get("systemLanguage")]
        self.chosen[switch] = (plain or open_to_all)[:1]
        return self.chosen[switch]

    def _matrix(self, element: Element) -> Matrix:
        if element not in self.matrices:
            self.matrices[element] = self._own_matrix(element)
        return self.matrices[element]

    def _own_matrix(self, element: Element) -> Matrix:
        place, value = self.places[element], self.styles.value
        for name in ("clip-path", "mask"):
            if value(element, name) not in _NOTHING:
                raise OutlineError(
                    f"{place} is clipped by a {name}; cut the shape itself in the drawing program"
                )
        text = element.get("transform", "")
        styled = any(self.styles.declared(element).get(name, "") not in _NOTHING for name in _MOVES)
        if styled or (text and value(element, "transform-origin") not in ("", "0", "0 0", "0px 0px")):
            raise OutlineError(f"{place} is moved by its style; save the drawing as plain SVG")
        try:
            return IDENTITY if text.strip() in _NOTHING else transform_of(text)
        except (ValueError, ArithmeticError) as error:
            raise OutlineError(
                f"{place} has a transform that cannot be read; save the drawing again"
            ) from error
