"""Affine maps of the plane as SVG writes them, and how a viewBox fits into its viewport."""

from __future__ import annotations

import math
import re

from floor.domain.points import Point
from floor.domain.svgread import Size, ViewBox

Matrix = tuple[float, float, float, float, float, float]
"""a b c d e f: (x, y) goes to (a x + c y + e, b x + d y + f)."""

IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_STEP = re.compile(r"[\s,]*([A-Za-z]+)\s*\(([^()]*)\)")
_NUMBERS = re.compile(_NUMBER)
_BETWEEN = re.compile(r"\s*,?\s*")
_ALIGN = {"min": 0.0, "mid": 0.5, "max": 1.0}
_ASPECT = re.compile(r"x(Min|Mid|Max)Y(Min|Mid|Max)(?:\s+(meet|slice))?")


def times(outer: Matrix, inner: Matrix) -> Matrix:
    """The map that does `inner` first and then `outer`."""
    a, b, c, d, e, f = outer
    p, q, r, s, t, u = inner
    return (
        a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f,
    )  # fmt: skip


def moved(matrix: Matrix, point: Point) -> Point:
    a, b, c, d, e, f = matrix
    return a * point[0] + c * point[1] + e, b * point[0] + d * point[1] + f


def stretch(a: float, b: float, c: float, d: float) -> float:
    """The most that the map with the columns (a, b) and (c, d) lengthens anything: its largest singular value."""
    return (math.hypot(a + d, b - c) + math.hypot(a - d, b + c)) / 2


def transform_of(text: str) -> Matrix:
    """The map of a transform attribute; ValueError where it is not a list of SVG's transforms."""
    matrix, end = IDENTITY, 0
    while step := _STEP.match(text, end):
        matrix, end = times(matrix, _step(step[1], _arguments(step[2]))), step.end()
    if text[end:].strip(" \t\r\n,"):
        raise ValueError("not a list of transforms")
    return matrix


def _arguments(text: str) -> list[float]:
    if _BETWEEN.sub("", _NUMBERS.sub("", text)):
        raise ValueError("not numbers")
    return [float(number) for number in _NUMBERS.findall(text)]


def _step(name: str, numbers: list[float]) -> Matrix:
    match name, numbers:
        case "matrix", [a, b, c, d, e, f]:
            return a, b, c, d, e, f
        case "translate", [x, *rest] if len(rest) < 2:
            return 1.0, 0.0, 0.0, 1.0, x, rest[0] if rest else 0.0
        case "scale", [x, *rest] if len(rest) < 2:
            return x, 0.0, 0.0, rest[0] if rest else x, 0.0, 0.0
        case "rotate", [angle, *centre] if len(centre) in (0, 2):
            cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
            turn = (cos, sin, -sin, cos, 0.0, 0.0)
            if not centre:
                return turn
            x, y = centre
            return times(times((1.0, 0.0, 0.0, 1.0, x, y), turn), (1.0, 0.0, 0.0, 1.0, -x, -y))
        case "skewX", [angle]:
            return 1.0, 0.0, math.tan(math.radians(angle)), 1.0, 0.0, 0.0
        case "skewY", [angle]:
            return 1.0, math.tan(math.radians(angle)), 0.0, 1.0, 0.0, 0.0
    raise ValueError("not one of SVG's transforms")


def fitted(box: ViewBox, corner: Point, size: Size, aspect: str) -> Matrix:
    """How the viewBox `box` fills the viewport at `corner`; `aspect`: preserveAspectRatio, its default if odd."""
    across, down = size[0] / box[2], size[1] / box[3]
    at_x, at_y = 0.5, 0.5
    if aspect.strip() != "none":
        match = _ASPECT.fullmatch(aspect.strip())
        if match:
            at_x, at_y = _ALIGN[match[1].lower()], _ALIGN[match[2].lower()]
        across = down = max(across, down) if match and match[3] == "slice" else min(across, down)
    x = corner[0] - box[0] * across + at_x * (size[0] - box[2] * across)
    y = corner[1] - box[1] * down + at_y * (size[1] - box[3] * down)
    return across, 0.0, 0.0, down, x, y
