"""The pieces of a path in user units: straight lines, Bézier curves, elliptic arcs; and chords for them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from floor.domain.points import Point
from floor.domain.svgmatrix import stretch

_PARALLEL = 1e-12


@dataclass(frozen=True, slots=True)
class Line:
    end: Point

    def chords(self, error: float) -> int:
        return 1


@dataclass(frozen=True, slots=True)
class Bezier:
    """A curve by its three or four control points, its start first."""

    controls: tuple[Point, ...]

    @property
    def end(self) -> Point:
        return self.controls[-1]

    def chords(self, error: float) -> int:
        """How many chords, even by parameter, stray at most `error`.

        Wang's bound: the second differences of the control points say how far a chord can stray.
        """
        degree = len(self.controls) - 1
        bend = max(
            math.hypot(p[0] - 2 * q[0] + r[0], p[1] - 2 * q[1] + r[1])
            for p, q, r in zip(self.controls, self.controls[1:], self.controls[2:], strict=False)
        )
        return max(1, math.ceil(math.sqrt(degree * (degree - 1) / 8 * bend / error)))

    def extremes(self) -> Iterator[float]:
        """The parameters, within 0..1, at which the curve turns back in x or in y."""
        for axis in (0, 1):
            c = [point[axis] for point in self.controls]
            if len(c) == 3:
                yield from _roots(0.0, c[0] - 2 * c[1] + c[2], c[1] - c[0])
            else:
                cubic = c[3] - 3 * c[2] + 3 * c[1] - c[0]
                yield from _roots(cubic, 2 * (c[2] - 2 * c[1] + c[0]), c[1] - c[0])

    def at(self, t: float) -> Point:
        s = 1 - t
        if len(self.controls) == 3:
            weights: tuple[float, ...] = (s * s, 2 * s * t, t * t)
        else:
            weights = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
        return (
            sum(w * p[0] for w, p in zip(weights, self.controls, strict=True)),
            sum(w * p[1] for w, p in zip(weights, self.controls, strict=True)),
        )


@dataclass(frozen=True, slots=True)
class Arc:
    """centre + u cos(angle) + v sin(angle), for `sweep` radians from `start`; its end is kept exact."""

    centre: Point
    u: Point
    v: Point
    start: float
    sweep: float
    end: Point

    def chords(self, error: float) -> int:
        """A chord that spans s of a circle of radius r strays r (1 - cos(s/2)) = 2 r sin²(s/4)."""
        radius = stretch(*self.u, *self.v)
        step = 4 * math.asin(math.sqrt(min(0.5, error / 2 / radius))) if radius else math.tau
        return max(1, math.ceil(abs(self.sweep) / step))

    def extremes(self) -> Iterator[float]:
        for axis in (0, 1):
            first = math.atan2(self.v[axis], self.u[axis])
            for angle in (first, first + math.pi):
                yield ((angle - self.start) * math.copysign(1, self.sweep)) % math.tau / abs(self.sweep)

    def at(self, t: float) -> Point:
        cos, sin = math.cos(self.start + t * self.sweep), math.sin(self.start + t * self.sweep)
        return (
            self.centre[0] + self.u[0] * cos + self.v[0] * sin,
            self.centre[1] + self.u[1] * cos + self.v[1] * sin,
        )


Curve = Line | Bezier | Arc


def points_on(curve: Curve, chords: int) -> Iterator[Point]:
    """The ends of `chords` chords, the curve's own start left out, with the points farthest in x and y among
    them: so the chords reach exactly as far as the curve."""
    if not isinstance(curve, Line):
        cuts = {i / chords for i in range(1, chords)} | {t for t in curve.extremes() if 0 < t < 1}
        for t in sorted(cuts):
            yield curve.at(t)
    yield curve.end


def _roots(a: float, b: float, c: float) -> Iterator[float]:
    """Where a t² + b t + c is zero; the double root too, which is no turn but does no harm."""
    if abs(a) <= _PARALLEL * (abs(b) + abs(c)):
        if b:
            yield -c / b
        return
    inside = b * b - 4 * a * c
    if inside >= 0:
        # The sum of two numbers of one sign, so that no digits cancel.
        q = -(b + math.copysign(math.sqrt(inside), b)) / 2
        yield q / a
        if q:
            yield c / q
