"""One SVG shape -> the path that draws it, with every number it could not read found and named."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice
from typing import Any

from svgelements import Circle, Ellipse, Line, Move, Path, Rect
from svgelements.svgelements import SVGLexicalParser

from floor.domain.svgread import MAX_POINTS, OutlineError, Size, length_of

SHAPES: Mapping[str, tuple[str, ...]] = {
    "path": ("d",),
    "rect": ("x", "y", "width", "height", "rx", "ry"),
    "circle": ("cx", "cy", "r"),
    "ellipse": ("cx", "cy", "rx", "ry"),
    "line": ("x1", "y1", "x2", "y2"),
    "polyline": ("points",),
    "polygon": ("points",),
}
"""The kinds of shape, and the attributes that draw each."""

MAX_EXTRA_CLOSES = 100
MAX_TOKENS = 8 * MAX_POINTS
"""Numbers and commands that a drawing's paths may have: a cubic curve has seven."""

_PATH_TEXT = re.compile(r"[MmZzLlHhVvCcSsQqTtAa0-9eE+\-.,\s]*")
_POINTS_TEXT = re.compile(r"[0-9eE+\-.,\s]*")
_BARE_COMMAND = re.compile(r"[MmLlHhVvCcSsQqTtAa][\s,]*(?=[A-Za-z]|$)")
_TOKEN = re.compile(r"[A-Za-z]|[0-9]+\.?[0-9]*|\.[0-9]+")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


@dataclass(frozen=True)
class Drawn:
    """One shape as the file has it; percentages refer to its `viewport` (width, height)."""

    kind: str
    attributes: Mapping[str, str]
    place: str
    viewport: Size

    @property
    def data(self) -> str:
        """The text of its path or points; "" for shapes that are drawn by lengths."""
        return self.attributes.get("d" if self.kind == "path" else "points", "")

    def length(self, name: str, default: float = 0.0) -> float:
        """The attribute `name` in user units; `default` where it is missing or "auto"."""
        text = self.attributes.get(name, "auto")
        return default if text == "auto" else length_of(text, name, self.place, self.viewport)


def tokens_of(shape: Drawn) -> int:
    """How many numbers and commands the shape has, counted no further than a drawing may have."""
    return sum(1 for _ in islice(_TOKEN.finditer(shape.data), MAX_TOKENS + 1))


def path_of(shape: Drawn) -> Any:
    """The library's path in the shape's own coordinates; empty where the shape draws nothing."""
    match shape.kind:
        case "circle":
            radius = shape.length("r")
            if radius <= 0:
                return Path()
            return Path(Circle(cx=shape.length("cx"), cy=shape.length("cy"), r=radius))
        case "ellipse":
            rx, ry = shape.length("rx", shape.length("ry")), shape.length("ry", shape.length("rx"))
            if min(rx, ry) <= 0:
                return Path()
            return Path(Ellipse(cx=shape.length("cx"), cy=shape.length("cy"), rx=rx, ry=ry))
        case "rect":
            return _rect(shape)
        case "line":
            x1, y1, x2, y2 = (shape.length(name) for name in SHAPES["line"])
            return Path(Move((x1, y1)), Line((x1, y1), (x2, y2)))
        case "polygon" | "polyline":
            return _parsed(shape, _polygon_data(shape))
        case _:
            return _parsed(shape, shape.data)


def _rect(shape: Drawn) -> Any:
    width, height = shape.length("width"), shape.length("height")
    if min(width, height) <= 0:
        return Path()
    rx = min(max(0.0, shape.length("rx", shape.length("ry"))), width / 2)
    ry = min(max(0.0, shape.length("ry", shape.length("rx"))), height / 2)
    return Path(Rect(x=shape.length("x"), y=shape.length("y"), width=width, height=height, rx=rx, ry=ry))


def _polygon_data(shape: Drawn) -> str:
    text = shape.data
    numbers = _NUMBER.findall(text)
    if not _POINTS_TEXT.fullmatch(text) or len(numbers) % 2:
        raise OutlineError(f"{shape.place} has points that are not pairs of numbers")
    if not numbers:
        return ""
    return f"M {' '.join(numbers)} {'Z' if shape.kind == 'polygon' else ''}"


def _parsed(shape: Drawn, data: str) -> Any:
    """The library stops without a word where it cannot read on, so what it left unread is looked for here."""
    good = _PATH_TEXT.match(data)
    if good and good.end() < len(data):
        raise OutlineError(f"{shape.place} has no path command after {good.end()} characters; save it again")
    if data.strip() and data.lstrip()[0] not in "Mm":
        raise OutlineError(f"{shape.place} does not begin with a move (M); save the drawing again")
    if data.count("z") + data.count("Z") > data.count("m") + data.count("M") + MAX_EXTRA_CLOSES:
        raise OutlineError(
            f"{shape.place} closes itself again and again (Z) without a move between; draw it again"
        )
    if _BARE_COMMAND.search(data):
        raise OutlineError(f"{shape.place} has a path command with too few or too many numbers")
    path, lexer = Path(), SVGLexicalParser()
    try:
        lexer.parse(path, data)
        _check_numbers(path)
    except (ValueError, TypeError, AttributeError, IndexError, ArithmeticError) as error:
        raise OutlineError(f"{shape.place} has a path command with too few or too many numbers") from error
    if data[lexer.pos :].strip(" \t\r\n,"):
        raise OutlineError(f"{shape.place} cannot be read after {lexer.pos} characters; save it again")
    return path


def _check_numbers(path: Any) -> None:
    """TypeError where the library let a command pass whose numbers are missing, as in "M 0 0 H Z"."""
    for segment in path:
        points = (
            getattr(segment, name, None) for name in ("start", "control", "control1", "control2", "end")
        )
        for point in points:
            if point is not None:
                float(point.x), float(point.y)
        if segment.end is None:
            raise TypeError("a path command without an end")
