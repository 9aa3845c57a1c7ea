"""One SVG shape -> its subpaths in user units, and the chords that stand for their curves."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from svgelements import Arc, Close, CubicBezier, Move, QuadraticBezier

from floor.domain.svgread import MAX_COORDINATE, OutlineError
from floor.domain.svgshapes import path_of
from floor.domain.svgtree import Shape

MAX_CHORDS = 10_000
COARSE_CHORDS = 8
Point = tuple[float, float]
SixNumbers = tuple[float, float, float, float, float, float]

_THIN_ARC = 1e-9


@dataclass(frozen=True)
class Subpath:
    """`start` and the segments (the library's own) drawn from it; `closed`: it ends with Z.

    Curves are cut into chords before `matrix` (a b c d e f) moves them, for the library's arcs do not
    survive a skew.
    """

    start: Point
    segments: tuple[Any, ...]
    closed: bool
    matrix: SixNumbers

    @property
    def gap(self) -> float:
        """How far apart its ends are, in user units."""
        return math.dist(self._moved(self.start), self._moved(_xy(self.segments[-1].end)))

    @cached_property
    def coarse_points(self) -> tuple[Point, ...]:
        """Enough points to know the size of the shape, user units."""
        return (
            self._moved(self.start),
            *(
                self._moved(point)
                for segment in self.segments
                for point in _points(segment, 1 if _is_straight(segment) else COARSE_CHORDS)
            ),
        )

    def chords(self, chord_error: float) -> list[int]:
        """How many chords each segment needs to stray at most `chord_error` user units."""
        # The norm bounds how much the matrix can stretch an error.
        stretch = math.hypot(*self.matrix[:4])
        return [_chords(segment, chord_error / stretch) if stretch else 1 for segment in self.segments]

    def points(self, chords: list[int]) -> list[Point]:
        """The subpath in user units, with its start and its end."""
        points = [self._moved(self.start)]
        for segment, count in zip(self.segments, chords, strict=True):
            points.extend(self._moved(point) for point in _points(segment, count))
        return points

    def _moved(self, point: Point) -> Point:
        a, b, c, d, e, f = self.matrix
        return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


def subpaths_of(shape: Shape) -> list[Subpath]:
    """The subpaths that the shape draws. OutlineError where its numbers cannot be read."""
    m = shape.matrix
    matrix = (float(m.a), float(m.b), float(m.c), float(m.d), float(m.e), float(m.f))
    subpaths = list(_split(path_of(shape), matrix))
    for subpath in subpaths:
        for x, y in subpath.coarse_points:
            if not (abs(x) <= MAX_COORDINATE and abs(y) <= MAX_COORDINATE):
                raise OutlineError(
                    f"{shape.place} reaches out to ({x:g}, {y:g}), beyond all bounds; draw it smaller"
                )
    return subpaths


def _chords(segment: Any, chord_error: float) -> int:
    if _is_straight(segment):
        return 1
    if isinstance(segment, Arc):
        step = 2 * math.acos(max(0.0, 1 - chord_error / max(segment.rx, segment.ry)))
        return math.ceil(abs(segment.sweep) / step) if step else MAX_CHORDS
    # Wang's formula: the second differences of the control points bound how far a chord strays.
    controls = _controls(segment)
    degree = len(controls) - 1
    bend = max(
        math.hypot(p[0] - 2 * q[0] + r[0], p[1] - 2 * q[1] + r[1])
        for p, q, r in zip(controls, controls[1:], controls[2:], strict=False)
    )
    return max(1, min(MAX_CHORDS, math.ceil(math.sqrt(degree * (degree - 1) / 8 * bend / chord_error))))


def _points(segment: Any, count: int) -> Iterator[Point]:
    """`count` points on the segment, evenly by parameter, its start left out and its end exact."""
    if count > 1:
        at = _on_arc(segment) if isinstance(segment, Arc) else _on_curve(_controls(segment))
        for i in range(1, count):
            yield at(i / count)
    yield _xy(segment.end)


def _on_arc(arc: Any) -> Callable[[float], Point]:
    (cx, cy), rx, ry = _xy(arc.center), float(arc.rx), float(arc.ry)
    turn, start, sweep = float(arc.get_rotation()), float(arc.get_start_t()), float(arc.sweep)
    cos_turn, sin_turn = math.cos(turn), math.sin(turn)

    def at(t: float) -> Point:
        x, y = rx * math.cos(start + t * sweep), ry * math.sin(start + t * sweep)
        return cx + x * cos_turn - y * sin_turn, cy + x * sin_turn + y * cos_turn

    return at


def _on_curve(controls: list[Point]) -> Callable[[float], Point]:
    degree = len(controls) - 1

    def at(t: float) -> Point:
        weights = [math.comb(degree, i) * (1 - t) ** (degree - i) * t**i for i in range(degree + 1)]
        return (
            sum(w * p[0] for w, p in zip(weights, controls, strict=True)),
            sum(w * p[1] for w, p in zip(weights, controls, strict=True)),
        )

    return at


def _split(path: Any, matrix: SixNumbers) -> Iterator[Subpath]:
    start: Point = (0.0, 0.0)
    segments: list[Any] = []
    for segment in (*path, Move((0.0, 0.0))):
        if isinstance(segment, Move | Close):
            if segments:
                yield Subpath(start, tuple(segments), isinstance(segment, Close), matrix)
            start, segments = (_xy(segment.end) if isinstance(segment, Move) else start), []
        else:
            segments.append(segment)


def _is_straight(segment: Any) -> bool:
    if isinstance(segment, Arc):
        return bool(segment.start == segment.end or min(segment.rx, segment.ry) < _THIN_ARC)
    return not isinstance(segment, QuadraticBezier | CubicBezier)


def _controls(segment: Any) -> list[Point]:
    if isinstance(segment, QuadraticBezier):
        return [_xy(segment.start), _xy(segment.control), _xy(segment.end)]
    return [_xy(segment.start), _xy(segment.control1), _xy(segment.control2), _xy(segment.end)]


def _xy(point: Any) -> Point:
    return float(point.x), float(point.y)
