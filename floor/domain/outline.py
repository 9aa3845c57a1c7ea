"""The design's outline: an SVG's closed shapes as polygons with y up, and the same scaled to mm.

Curves become chords that stray at most 0.05 mm at the height for which the outline is read, nor ever more
than 1/10,000 of that height; and the polygons reach exactly as far as the curves do.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from shapely import Polygon

from floor.domain.points import Point
from floor.domain.svgclip import is_cut, within
from floor.domain.svgfill import check_crossings
from floor.domain.svgpaths import Subpath, subpaths_of
from floor.domain.svgread import MAX_DEPTH, MAX_POINTS, MAX_SVG_BYTES, OutlineError
from floor.domain.svgtree import Shape, shapes_of
from floor.domain.svgunfilled import Unfilled

__all__ = [
    "CLOSING_GAP",
    "MAX_CHORD_ERROR_MM",
    "MAX_DEPTH",
    "MAX_POINTS",
    "MAX_SVG_BYTES",
    "TALLEST_MM",
    "Figure",
    "Outline",
    "OutlineError",
    "read_outline",
]

CLOSING_GAP = 0.01
"""User units: a subpath whose ends are this near counts as closed."""
MAX_CHORD_ERROR_MM = 0.05
TALLEST_MM = 3000.0
"""The height for which an outline is read where its own is not known."""

_CHORD_ERROR_OF_HEIGHT = 1 / 10_000
_MIN_SIZE = 1e-6

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


def read_outline(svg_text: str, height_mm: float = TALLEST_MM) -> Outline:
    """All closed shapes that the SVG fills, in its own user units, for a design up to `height_mm` tall.

    OutlineError says what cannot be sewn.
    """
    unfilled = Unfilled()
    drawn = list(_drawn(svg_text, unfilled))
    if not drawn:
        raise OutlineError(unfilled.why_nothing())
    x0, y0, x1, y1 = _box(point for _, subpaths in drawn for subpath in subpaths for point in subpath.reach)
    if y1 - y0 < _MIN_SIZE or x1 - x0 < _MIN_SIZE:
        raise OutlineError("the SVG's shapes have no height or no width; draw the outline as closed paths")
    error = (y1 - y0) * min(_CHORD_ERROR_OF_HEIGHT, MAX_CHORD_ERROR_MM / height_mm)
    chords = [[subpath.chords(error) for subpath in subpaths] for _, subpaths in drawn]
    _check_points(sum(sum(counts) for figure in chords for counts in figure))
    figures = tuple(
        Figure(
            tuple(_ring(s.points(counts), error) for s, counts in zip(subpaths, figure, strict=True)),
            shape.paint.even_odd,
        )
        for (shape, subpaths), figure in zip(drawn, chords, strict=True)
    )
    _check_points(sum(len(ring) for figure in figures for ring in figure.rings))
    return Outline(_shown(figures, [shape.window for shape, _ in drawn]), unfilled.sentences())


def _drawn(svg_text: str, unfilled: Unfilled) -> Iterator[tuple[Shape, list[Subpath]]]:
    """The filled shapes that enclose anything; all others go to `unfilled`."""
    points = 0
    for shape in shapes_of(svg_text):
        if shape.path is None:
            unfilled.add(shape)
            continue
        subpaths = subpaths_of(shape.path, shape.matrix, shape.place)
        points += sum(len(subpath.curves) for subpath in subpaths)
        if points > MAX_POINTS:
            raise OutlineError(
                f"the outline has more than {MAX_POINTS} points by {shape.place}; simplify its paths"
            )
        for subpath in subpaths:
            if not subpath.closed and subpath.gap > CLOSING_GAP:
                raise OutlineError(
                    f"{shape.place} is open: its ends are {_units(subpath.gap)} apart; close the path (Z)"
                )
        # A line there and back encloses nothing, and no cloth can be cut by it.
        enclosing = [subpath for subpath in subpaths if len(set(subpath.reach)) > 2]
        if enclosing:
            yield shape, enclosing


def _shown(figures: tuple[Figure, ...], windows: list[Polygon | None]) -> tuple[Figure, ...]:
    """The figures without what lies beyond the nested drawing or the symbol that shows them."""
    cut = [
        window is not None and is_cut(figure.rings, window)
        for figure, window in zip(figures, windows, strict=True)
    ]
    if not any(cut):
        return figures
    check_crossings(
        [ring for figure, is_so in zip(figures, cut, strict=True) if is_so for ring in figure.rings]
    )
    kept = []
    for figure, window, is_so in zip(figures, windows, cut, strict=True):
        if window is not None and is_so:
            rings = within(figure.rings, figure.even_odd, window)
            kept += [Figure(rings, even_odd=True)] if rings else []
        else:
            kept.append(figure)
    if not kept:
        raise OutlineError(
            "all shapes of the SVG lie outside the nested drawing that shows them; move them in"
        )
    return tuple(kept)


def _check_points(points: int) -> None:
    if points > MAX_POINTS:
        raise OutlineError(
            f"the outline needs {points} points and Floor takes at most {MAX_POINTS}; simplify its paths"
        )


def _ring(points: Iterable[Point], error: float) -> Ring:
    """The polygon with y up, without repeated points and without its end where that is its start again."""
    kept: list[Point] = []
    for x, y in points:
        if not kept or kept[-1] != (x, 0.0 - y):
            kept.append((x, 0.0 - y))  # 0.0 - y and not -y: no minus zero
    if math.dist(kept[0], kept[-1]) <= min(CLOSING_GAP, error) and len(kept) > 3:
        kept.pop()
    return tuple(kept)


def _box(points: Iterator[Point]) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _units(distance: float) -> str:
    return f"{distance:.2f} units" if distance < 1000 else f"{distance:.0f} units"
