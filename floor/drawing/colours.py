"""Floor's own colours, and the tint of a cloth or a thread by the colour's English name."""

from __future__ import annotations

import re

PAPER, GRID, INK = "#fbf7ef", "#f0e9dc", "#1c2333"
SOFT_INK, RULE, CUT = "#565c6b", "#d6cec0", "#cc4010"
CHALK, CHALK_PALE = "#0b5ea8", "#9cc3e6"
WHITE = "#ffffff"
CAUTION, CREAM = "#7a5532", "#fff0d8"
BACKING, BACKING_LINE = "#f3eee3", "#cfc5b1"
GARMENT, GARMENT_LINE = "#c9d3dd", "#a9b8c7"
NEUTRAL = "#cfc8b8"
MIST = "#8f9fb4"

DARKEST_TINT = 0.20  # relative luminance: a darker cloth would swallow the ink of the lines upon it

# Names that say one colour by themselves win over the broad ones: "navy blue" is navy.
EXACT = {
    "navy": "#24335f", "royal": "#2b4db0", "sky": "#9cc9ea", "teal": "#1d7f84", "turquoise": "#3ab5b0",
    "aqua": "#8fd6d6", "petrol": "#1b5c6b", "denim": "#4f6d94", "forest": "#245a3a", "bottle": "#1f4f3a",
    "olive": "#6f7238", "lime": "#a8cf45", "mint": "#b5e2cb", "khaki": "#a99f74", "sage": "#a5b59a",
    "scarlet": "#c8252c", "crimson": "#a81f3a", "burgundy": "#6d1f35", "maroon": "#6a2230", "wine": "#70213a",
    "cherry": "#b3203b", "rust": "#a4492a", "coral": "#f08a75", "salmon": "#f2a38f", "peach": "#f7c7a4",
    "gold": "#e0aa2f", "golden": "#e0aa2f", "amber": "#e39a24", "mustard": "#cf9f2d", "lemon": "#f4e46a",
    "cream": "#f7ecc9", "ivory": "#f8f2da", "ecru": "#eee3c8", "beige": "#dccbaa", "sand": "#dbc69a",
    "tan": "#c79f6c", "camel": "#c1935c", "chocolate": "#5a3a28", "copper": "#b5703c", "bronze": "#94733a",
    "plum": "#673a63", "violet": "#6d4aa5", "lilac": "#c7aedd", "lavender": "#cbbce6", "magenta": "#c22f86",
    "silver": "#c4c8cc", "charcoal": "#3d4149", "slate": "#5f6b78",
}  # fmt: skip
BROAD = {
    "blue": "#3566b5", "green": "#2f7d4c", "red": "#c12f2f", "yellow": "#f2d13a", "orange": "#e5812b",
    "purple": "#6b3f92", "pink": "#eda5bd", "brown": "#7b5334", "grey": "#9a9da3", "gray": "#9a9da3",
    "black": "#25262b", "white": "#ffffff",
}  # fmt: skip
PALE = frozenset({"light", "pale", "soft"})
DEEP = frozenset({"dark", "deep"})


def named(name: str) -> str | None:
    """The colour that an English name says, "#rrggbb"; None when it says none that is known here."""
    found = re.findall(r"[a-z]+", name.lower())
    exact = [EXACT[word] for word in found if word in EXACT]
    broad = [BROAD[word] for word in found if word in BROAD]
    if not exact and not broad:
        return None
    colour = exact[-1] if exact else broad[-1]
    if PALE.intersection(found):
        colour = mixed(colour, WHITE, 0.45)
    if DEEP.intersection(found):
        colour = mixed(colour, "#000000", 0.3)
    return colour


def tint(name: str) -> str:
    """The colour to fill a cloth with: the named one, lightened until dark lines show on it."""
    colour = named(name) or NEUTRAL
    while luminance(colour) < DARKEST_TINT:
        colour = mixed(colour, WHITE, 0.08)
    return colour


def pattern_ink(colour: str) -> str:
    """The colour of the pattern on a cloth of this colour: darker on light cloth, lighter on dark."""
    return mixed(colour, INK, 0.28) if luminance(colour) > 0.4 else mixed(colour, WHITE, 0.45)


def mixed(one: str, other: str, share: float) -> str:
    """`one` with `share` of `other` in it."""
    pairs = zip(_channels(one), _channels(other), strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def luminance(colour: str) -> float:
    """Relative luminance, 0 black to 1 white, as contrast is reckoned with."""
    linear = [
        value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
        for value in (channel / 255 for channel in _channels(colour))
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)
