"""How an element is painted: what it inherits and what it says itself, as far as it decides what is cut."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

_INHERITED = frozenset({"", "inherit", "unset", "revert", "revert-layer"})
_CLEAR = re.compile(r"#[0-9a-f]{3}0|#[0-9a-f]{6}00")
_COLOUR = re.compile(r"(?:rgb|hsl)a?\(([^()]*)\)")


@dataclass(frozen=True)
class Paint:
    """The inherited properties of an element; as they stand here, those that SVG begins with."""

    even_odd: bool = False
    visible: bool = True
    fill: bool = True
    fill_opaque: bool = True
    stroke: bool = False
    stroke_opaque: bool = True
    stroke_wide: bool = True

    @property
    def filled(self) -> bool:
        return self.fill and self.fill_opaque

    @property
    def stroked(self) -> bool:
        return self.stroke and self.stroke_opaque and self.stroke_wide

    def inherited_by(self, value: Callable[[str], str]) -> Paint:
        """The paint of an element whose own properties `value` gives, "" for those it does not name."""
        return Paint(
            even_odd=_of(value("fill-rule"), self.even_odd, False, lambda text: text == "evenodd"),
            visible=_of(value("visibility"), self.visible, True, lambda text: text == "visible"),
            fill=_of(value("fill"), self.fill, True, _paints),
            fill_opaque=_of(value("fill-opacity"), self.fill_opaque, True, is_above_zero),
            stroke=_of(value("stroke"), self.stroke, False, _paints),
            stroke_opaque=_of(value("stroke-opacity"), self.stroke_opaque, True, is_above_zero),
            stroke_wide=_of(value("stroke-width"), self.stroke_wide, True, is_above_zero),
        )


def _of(text: str, inherited: bool, initial: bool, reading: Callable[[str], bool]) -> bool:
    return inherited if text in _INHERITED else initial if text == "initial" else reading(text)


def is_above_zero(text: str) -> bool:
    """Whether an opacity or a width leaves anything to see; what is no number counts as left out."""
    try:
        return float(text.removesuffix("%").removesuffix("px")) > 0
    except ValueError:
        return True


def _paints(text: str) -> bool:
    if text in ("none", "transparent") or _CLEAR.fullmatch(text):
        return False
    colour = _COLOUR.fullmatch(text)
    if colour is None:
        return True
    _, slash, alpha = colour[1].rpartition("/")
    if not slash and colour[1].count(",") == 3:
        alpha = colour[1].rpartition(",")[2]
        slash = ","
    return not slash or is_above_zero(alpha.strip())
