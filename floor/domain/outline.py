"""The design's outline: an SVG's closed shapes as polygons with y up, and the same scaled to mm.

Curves become chords that stray at most 1/10,000 of the outline's height: 0.03 mm on a design 300 mm tall,
well below what a needle can place.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import islice

from floor.domain.svgpaths import Point, Subpath, subpaths_of
from floor.domain.svgread import MAX_DEPTH, MAX_SVG_BYTES, OutlineError
from floor.domain.svgtree import Shape, shapes_of

__all__ = [
    "CLOSING_GAP",
    "MAX_DEPTH",
    "MAX_POINTS",
    "MAX_SVG_BYTES",
    "Figure",
    "Outline",
    "OutlineError",
    "read_outline",
]

MAX_POINTS = 50_000
CLOSING_GAP = 0.01
"""User units: a subpath whose ends are this near counts as closed."""

_CHORD_ERROR_OF_HEIGHT = 1 / 10_000
_MIN_SIZE = 1e-6
_MAX_TOKENS = 8 * MAX_POINTS
_TOKEN = re.compile(r"[A-Za-z]|[0-9.]+")

Box = tuple[float, float, float, float]
Ring = tuple[Point, ...]


@dataclass(frozen=True)
class Figure:
    """One drawn shape: its closed rings, last point joined to the first, and the rule by which they enclose.

    `even_odd`: what an odd number of rings surrounds is inside; else what they wind round, either way.
    """

    rings: tuple[Ring, ...]
    even_odd: bool = False


@dataclass(frozen=True)
class Outline:
    """The drawing's figures, y up; in the SVG's units, in mm once `scaled`. What is inside any is the design.

    `left_out`: sentences, one for each thing of the drawing that is no part of the outline.
    """

    figures: tuple[Figure, ...]
    left_out: tuple[str, ...] = ()

    @cached_property
    def rings(self) -> tuple[Ring, ...]:
        return tuple(ring for figure in self.figures for ring in figure.rings)

    @cached_property
    def bounds(self) -> Box:
        """x0, y0, x1, y1 of all rings."""
        return _box(point for ring in self.rings for point in ring)

    def scaled(self, height: float, centre: tuple[float, float]) -> Outline:
        """The same outline with its bounding box `height` mm tall and centred on `centre`."""
        if not (math.isfinite(height) and height > 0):
            raise OutlineError(
                f"an outline cannot be made {height:g} mm tall; its height must be more than 0 mm"
            )
        x0, y0, x1, y1 = self.bounds
        factor, middle = height / (y1 - y0), ((x0 + x1) / 2, (y0 + y1) / 2)

        def moved(ring: Ring) -> Ring:
            return tuple(
                (centre[0] + factor * (x - middle[0]), centre[1] + factor * (y - middle[1])) for x, y in ring
            )

        figures = tuple(Figure(tuple(map(moved, f.rings)), f.even_odd) for f in self.figures)
        return Outline(figures, self.left_out)


def read_outline(svg_text: str) -> Outline:
    """All closed shapes that the SVG draws, in its own user units. OutlineError says what cannot be sewn."""
    subpaths = list(_closed_subpaths(svg_text))
    if not subpaths:
        raise OutlineError("the SVG draws no closed shape; draw the outline as closed paths")
    x0, y0, x1, y1 = _box(point for subpath in subpaths for point in subpath.coarse_points)
    if y1 - y0 < _MIN_SIZE or x1 - x0 < _MIN_SIZE:
        raise OutlineError("the SVG's shapes have no height or no width; draw the outline as closed paths")
    chord_error = (y1 - y0) * _CHORD_ERROR_OF_HEIGHT
    chords = [subpath.chords(chord_error) for subpath in subpaths]
    points = sum(sum(counts) for counts in chords)
    if points > MAX_POINTS:
        raise OutlineError(
            f"the outline needs {points} points and Floor takes at most {MAX_POINTS}; simplify its paths"
        )
    return Outline(
        tuple(Figure((_ring(s.points(counts)),)) for s, counts in zip(subpaths, chords, strict=True))
    )


def _closed_subpaths(svg_text: str) -> Iterator[Subpath]:
    tokens = points = 0
    for shape in shapes_of(svg_text):
        tokens += _tokens(shape)
        subpaths = subpaths_of(shape) if tokens <= _MAX_TOKENS else []
        points += sum(len(subpath.segments) for subpath in subpaths)
        if tokens > _MAX_TOKENS or points > MAX_POINTS:
            raise OutlineError(
                f"the outline has more than {MAX_POINTS} points by {shape.place}; simplify its paths"
            )
        for subpath in subpaths:
            if not subpath.closed and subpath.gap > CLOSING_GAP:
                raise OutlineError(
                    f"{shape.place} is open: its ends are {_units(subpath.gap)} apart; close the path (Z)"
                )
            # A line there and back encloses nothing, and no cloth can be cut by it.
            if len(set(subpath.coarse_points)) > 2:
                yield subpath


def _tokens(shape: Shape) -> int:
    """How many numbers and commands the shape has, counted no further than it may have."""
    data = shape.attributes.get("d", "") + " " + shape.attributes.get("points", "")
    return sum(1 for _ in islice(_TOKEN.finditer(data), _MAX_TOKENS + 1))


def _ring(points: list[Point]) -> Ring:
    """The polygon with y up, without repeated points and without its end where that is its start again."""
    kept: list[Point] = []
    for x, y in points:
        if not kept or kept[-1] != (x, 0.0 - y):
            kept.append((x, 0.0 - y))  # 0.0 - y and not -y: no minus zero
    if math.dist(kept[0], kept[-1]) <= CLOSING_GAP and len(kept) > 3:
        kept.pop()
    return tuple(kept)


def _box(points: Iterator[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _units(distance: float) -> str:
    return f"{distance:.2f} units" if distance < 1000 else f"{distance:.0f} units"
