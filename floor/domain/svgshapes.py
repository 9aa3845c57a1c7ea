"""One SVG shape -> the path that draws it, with every number it could not read found and named."""

from __future__ import annotations

import re
from typing import Any

from svgelements import Circle, Ellipse, Line, Move, Path, Rect
from svgelements.svgelements import SVGLexicalParser

from floor.domain.quoting import quoted
from floor.domain.svgread import OutlineError
from floor.domain.svgtree import Shape

MAX_EXTRA_CLOSES = 100

_PATH_TEXT = re.compile(r"[MmZzLlHhVvCcSsQqTtAa0-9eE+\-.,\s]*")
_POINTS_TEXT = re.compile(r"[0-9eE+\-.,\s]*")
_BARE_COMMAND = re.compile(r"[MmLlHhVvCcSsQqTtAa][\s,]*(?=[A-Za-z]|$)")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


def path_of(shape: Shape) -> Any:
    """The library's path in the shape's own coordinates; empty where the shape draws nothing."""
    match shape.kind:
        case "circle":
            radius = shape.length("r")
            return (
                Path(Circle(cx=shape.length("cx"), cy=shape.length("cy"), r=radius)) if radius > 0 else Path()
            )
        case "ellipse":
            rx, ry = shape.length("rx", shape.length("ry")), shape.length("ry", shape.length("rx"))
            if min(rx, ry) <= 0:
                return Path()
            return Path(Ellipse(cx=shape.length("cx"), cy=shape.length("cy"), rx=rx, ry=ry))
        case "rect":
            width, height = shape.length("width"), shape.length("height")
            if min(width, height) <= 0:
                return Path()
            rx = min(shape.length("rx", shape.length("ry")), width / 2)
            ry = min(shape.length("ry", shape.length("rx")), height / 2)
            return Path(
                Rect(x=shape.length("x"), y=shape.length("y"), width=width, height=height, rx=rx, ry=ry)
            )
        case "line":
            x1, y1, x2, y2 = (shape.length(name) for name in ("x1", "y1", "x2", "y2"))
            return Path(Move((x1, y1)), Line((x1, y1), (x2, y2)))
        case "polygon" | "polyline":
            return _parsed(shape, _polygon_data(shape))
        case _:
            return _parsed(shape, shape.attributes.get("d", ""))


def _polygon_data(shape: Shape) -> str:
    text = shape.attributes.get("points", "")
    numbers = _NUMBER.findall(text)
    if not _POINTS_TEXT.fullmatch(text) or len(numbers) % 2:
        raise OutlineError(f"{shape.place} has points that are not pairs of numbers")
    if not numbers:
        return ""
    return f"M {' '.join(numbers)} {'Z' if shape.kind == 'polygon' else ''}"


def _parsed(shape: Shape, data: str) -> Any:
    """The library stops without a word where it cannot read on, so what it left unread is looked for here."""
    stray = data[_PATH_TEXT.match(data).end() :]  # type: ignore[union-attr]
    if stray:
        raise OutlineError(f"{shape.place} has {quoted(stray[0])} in its path, which is no path command")
    if data.strip() and data.lstrip()[0] not in "Mm":
        raise OutlineError(f"{shape.place} does not begin with a move (M); save the drawing again")
    if len(re.findall("[Zz]", data)) > len(re.findall("[Mm]", data)) + MAX_EXTRA_CLOSES:
        raise OutlineError(
            f"{shape.place} closes itself again and again (Z) without a move between; draw it again"
        )
    bare = _BARE_COMMAND.search(data)
    if bare:
        raise OutlineError(
            f"{shape.place} has the path command {bare[0][0]} with too few or too many numbers"
        )
    path, lexer = Path(), SVGLexicalParser()
    try:
        lexer.parse(path, data)
        _check_numbers(path)
    except (ValueError, TypeError, AttributeError, IndexError, ArithmeticError) as error:
        raise OutlineError(f"{shape.place} has a path command with too few or too many numbers") from error
    if data[lexer.pos :].strip(" \t\r\n,"):
        raise OutlineError(
            f"{shape.place} has {quoted(data[lexer.pos :], 12)} in its path, which cannot be read"
        )
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
