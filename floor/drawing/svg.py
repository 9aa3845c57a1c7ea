"""Writing SVG: path data to 0.1 mm, y turned down for the screen, presentation attributes only.

A strict content policy lets a picture carry no style and no script, so there is no way here to write either.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape, quoteattr

Point = tuple[float, float]
Box = tuple[float, float, float, float]
Attributes = dict[str, str | float | None]


def number(value: float) -> str:
    """`value` to 0.01, as short as it can be written: 12.0 -> "12", -0.004 -> "0"."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def element(name: str, attributes: Attributes, *children: str) -> str:
    """One element; an attribute that is None is left out."""
    written = "".join(
        f" {key}={quoteattr(value if isinstance(value, str) else number(value))}"
        for key, value in attributes.items()
        if value is not None
    )
    inner = "".join(children)
    return f"<{name}{written}>{inner}</{name}>" if inner else f"<{name}{written}/>"


def group(*children: str, **attributes: str | float | None) -> str:
    """A group, attributes written with _ for -; nothing at all where there is nothing to group."""
    inner = "".join(children)
    return element("g", dashed(attributes), inner) if inner else ""


def rect(box: Box, **attributes: str | float | None) -> str:
    x0, y0, x1, y1 = box
    place: Attributes = {"x": x0, "y": -y1, "width": x1 - x0, "height": y1 - y0}
    return element("rect", place | dashed(attributes))


def circle(centre: Point, radius: float, **attributes: str | float | None) -> str:
    place: Attributes = {"cx": centre[0], "cy": -centre[1], "r": radius}
    return element("circle", place | dashed(attributes))


def path(lines: Iterable[tuple[Sequence[Point], bool]], **attributes: str | float | None) -> str:
    """One path of several lines, each with whether it is closed; nothing where there is no line."""
    data = path_data(lines)
    return element("path", {"d": data, **dashed(attributes)}) if data else ""


def line(start: Point, end: Point, **attributes: str | float | None) -> str:
    return path([((start, end), False)], **attributes)


def words(text: str, middle: Point, size: float, **attributes: str | float | None) -> str:
    """A figure or a letter, centred on `middle`. Its height is about 0.7 of `size`."""
    place: Attributes = {
        "x": middle[0],
        "y": -middle[1] + 0.35 * size,
        "font-size": size,
        "font-family": "sans-serif",
        "font-weight": "700",
        "text-anchor": "middle",
    }
    return element("text", place | dashed(attributes), escape(text))


def path_data(lines: Iterable[tuple[Sequence[Point], bool]]) -> str:
    """Relative steps in tenths of a mm, so that rounding never adds up along a line."""
    parts = []
    for points, closed in lines:
        at: tuple[int, int] | None = None
        steps = []
        for x, y in points:
            here = (round(x * 10), round(-y * 10))
            if at is None:
                steps.append("M" + _pair(*here).lstrip(" ") + "l")
            elif here != at:
                steps.append(_pair(here[0] - at[0], here[1] - at[1]))
            at = here
        if len(steps) > 1:
            parts.append(steps[0] + "".join(steps[1:]) + ("z" if closed else ""))
    return "".join(parts).replace("l ", "l")


def _pair(x: int, y: int) -> str:
    return _tenths(x) + _tenths(y)


def _tenths(value: int) -> str:
    """The number with what parts it from the one before: its own sign, or a space."""
    whole, rest = divmod(abs(value), 10)
    sign = "-" if value < 0 else " "
    return f"{sign}{whole}.{rest}" if rest else f"{sign}{whole}"


def dashed(attributes: Attributes) -> Attributes:
    """Attributes as SVG names them: Python's names cannot hold a -."""
    return {key.replace("_", "-"): value for key, value in attributes.items()}
