"""One SVG shape -> its subpaths in user units, and the chords that stand for their curves."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from svgelements import Arc as LibraryArc
from svgelements import Close, CubicBezier, Move, QuadraticBezier

from floor.domain.points import Point
from floor.domain.svgcurves import Arc, Bezier, Curve, Line, points_on
from floor.domain.svgmatrix import Matrix, moved
from floor.domain.svgread import MAX_COORDINATE, OutlineError

MAX_ARC_COORDINATE = 1e10
"""A nearly straight arc has its centre far away; beyond this, its points have no exact place."""

_THIN_ARC = 1e-9


@dataclass(frozen=True)
class Subpath:
    """`start` and the curves drawn from it, user units; `closed`: it ends with Z."""

    start: Point
    curves: tuple[Curve, ...]
    closed: bool

    @property
    def gap(self) -> float:
        """How far apart its ends are."""
        return math.dist(self.start, self.curves[-1].end)

    @cached_property
    def reach(self) -> tuple[Point, ...]:
        """Points that reach exactly as far as the subpath does, and one amid each curve."""
        return (self.start, *(point for curve in self.curves for point in points_on(curve, 2)))

    def chords(self, error: float) -> list[int]:
        """How many chords each curve needs to stray at most `error`."""
        return [curve.chords(error) for curve in self.curves]

    def points(self, chords: list[int]) -> Iterator[Point]:
        """The subpath with its start and its end; a few more points than `chords` for its outermost ones."""
        yield self.start
        for curve, count in zip(self.curves, chords, strict=True):
            yield from points_on(curve, count)


def subpaths_of(path: Any, matrix: Matrix, place: str) -> list[Subpath]:
    """What the library's `path` draws once `matrix` has moved it. OutlineError: beyond all bounds."""
    try:
        return list(_split(path, matrix))
    except (ArithmeticError, ValueError) as error:
        raise OutlineError(f"{place} reaches out beyond all bounds; draw it smaller") from error


def _split(path: Any, matrix: Matrix) -> Iterator[Subpath]:
    start: Point = (0.0, 0.0)
    curves: list[Curve] = []
    for segment in (*path, Move((0.0, 0.0))):
        if isinstance(segment, Move | Close):
            if curves:
                yield Subpath(start, tuple(curves), isinstance(segment, Close))
            start = _point(segment.end, matrix) if isinstance(segment, Move) else start
            curves = []
        else:
            curves.append(_curve(segment, matrix))


def _curve(segment: Any, matrix: Matrix) -> Curve:
    if isinstance(segment, QuadraticBezier):
        return Bezier(tuple(_point(p, matrix) for p in (segment.start, segment.control, segment.end)))
    if isinstance(segment, CubicBezier):
        controls = (segment.start, segment.control1, segment.control2, segment.end)
        return Bezier(tuple(_point(p, matrix) for p in controls))
    end = _point(segment.end, matrix)
    if not isinstance(segment, LibraryArc):
        return Line(end)
    rx, ry, sweep = float(segment.rx), float(segment.ry), float(segment.sweep)
    if segment.start == segment.end or min(rx, ry) < _THIN_ARC or not sweep:
        return Line(end)
    turn = float(segment.get_rotation())
    turned = (rx * math.cos(turn), rx * math.sin(turn)), (-ry * math.sin(turn), ry * math.cos(turn))
    columns = (*matrix[:4], 0.0, 0.0)
    return Arc(
        centre=_point(segment.center, matrix, MAX_ARC_COORDINATE),
        u=_within(moved(columns, turned[0]), MAX_ARC_COORDINATE),
        v=_within(moved(columns, turned[1]), MAX_ARC_COORDINATE),
        start=float(segment.get_start_t()),
        sweep=sweep,
        end=end,
    )


def _point(point: Any, matrix: Matrix, most: float = MAX_COORDINATE) -> Point:
    return _within(moved(matrix, (float(point.x), float(point.y))), most)


def _within(point: Point, most: float) -> Point:
    if not (abs(point[0]) <= most and abs(point[1]) <= most):
        raise ArithmeticError("beyond all bounds")
    return point
