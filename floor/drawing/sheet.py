"""One picture's paper: its size, its line widths, and what is defined once and used by name within it."""

from __future__ import annotations

from dataclasses import dataclass, field

from floor.drawing.colours import GRID, PAPER
from floor.drawing.svg import Attributes, Box, dashed, element, number, rect

PANEL_PX = (640.0, 560.0)  # the run page's picture on a 10 inch tablet: what line widths are meant for
GRID_MM = 10.0
FAR_MM = 3000.0  # paper and grid go on beyond the picture, whatever the shape of its place on the page


@dataclass
class Sheet:
    """`box`: what the picture shows, mm. A definition is made when first used: no picture holds an idle one."""

    box: Box
    definitions: dict[str, tuple[str, str]] = field(default_factory=dict)

    @property
    def px(self) -> float:
        """mm that one pixel of the run page's picture shows: line widths and figures are counted in these."""
        x0, y0, x1, y1 = self.box
        return max((x1 - x0) / PANEL_PX[0], (y1 - y0) / PANEL_PX[1])

    def document(self, *parts: str) -> str:
        x0, y0, x1, y1 = self.box
        grid: Attributes = {
            "d": f"M0 0h{GRID_MM:g}M0 0v{GRID_MM:g}",
            "stroke": GRID,
            "stroke-width": 2 * self.px,
        }
        far = (x0 - FAR_MM, y0 - FAR_MM, x1 + FAR_MM, y1 + FAR_MM)
        ground = rect(far, fill=self.pattern("paper", GRID_MM, PAPER, element("path", grid)))
        return element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "viewBox": " ".join(map(number, (x0, -y1, x1 - x0, y1 - y0))),
                "role": "img",
                "stroke-linejoin": "round",
            },
            element("defs", {}, *(text for _, text in self.definitions.values())),
            ground,
            *parts,
        )

    def shape(self, data: str, **attributes: str | float | None) -> str:
        """A shape from its path data, which the document holds once however often it is drawn; nothing where
        there is no line."""
        if not data:
            return ""
        name = self._defined(f"shape {data}", "s", "path", {"d": data, "fill-rule": "evenodd"})
        use: Attributes = {"href": f"#{name}"}
        return element("use", use | dashed(attributes))

    def clip_box(self, box: Box, radius: float | None = None) -> str:
        return f"url(#{self._defined(f'clip {box} {radius}', 'k', 'clipPath', {}, rect(box, rx=radius))})"

    def pattern(self, key: str, step: float, ground: str | None, marks: str) -> str:
        """A paint that repeats `marks` every `step` mm both ways, over `ground`."""
        tile: Attributes = {"width": step, "height": step}
        plain = element("rect", {**tile, "fill": ground}) if ground else ""
        attributes: Attributes = {**tile, "patternUnits": "userSpaceOnUse"}
        return f"url(#{self._defined(f'pattern {key}', 'p', 'pattern', attributes, plain + marks)})"

    def _defined(self, key: str, prefix: str, name: str, attributes: Attributes, inner: str = "") -> str:
        if key not in self.definitions:
            identity = f"{prefix}{len(self.definitions)}"
            self.definitions[key] = (identity, element(name, {"id": identity, **attributes}, inner))
        return self.definitions[key][0]
