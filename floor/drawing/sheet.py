"""One picture's paper: its size, its line widths, and what is defined once and used by name within it."""

from __future__ import annotations

from dataclasses import dataclass, field

from floor.drawing.colours import GRID, PAPER
from floor.drawing.shape import Limit, Ring
from floor.drawing.svg import Attributes, Box, element, group, number, path_data, rect

PANEL_PX = (640.0, 560.0)  # the run page's picture on a 10 inch tablet: what line widths are meant for
GRID_MM = 10.0
FAR_MM = 3000.0  # paper and grid go on beyond the picture, whatever the shape of its place on the page


@dataclass
class Sheet:
    """`box`: what the picture shows, mm. A definition is made when first used: no picture holds an idle one."""

    box: Box
    rings: tuple[Ring, ...]
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
        ground = rect(self._far, fill=self.pattern("paper", GRID_MM, PAPER, element("path", grid)))
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

    def grown(self, by: float, limit: Limit | None, paint: str) -> str:
        """The outline grown by `by` mm and kept to the limit, in one paint. Exact: a stroke with round joins is
        the grown shape, and what a stroke takes away from within is the shrunk one."""
        use: Attributes = {"href": self._outline(), "fill": paint}
        if by > 0:
            use |= {"stroke": paint, "stroke-width": 2 * by}
        elif by < 0:
            use["mask"] = self._shrunk(-by)
        shape = element("use", use)
        return group(shape, clip_path=self.clip(limit)) if limit else shape

    def clip(self, limit: Limit) -> str:
        """Keeps what a front's sewing keeps: all on the garment's side of the limit."""
        x0, y0, x1, y1 = self._far
        return self.clip_box((x0, y0, limit.x, y1) if limit.side > 0 else (limit.x, y0, x1, y1))

    def clip_box(self, box: Box, radius: float | None = None) -> str:
        return self._defined(f"clip {box} {radius}", "k", "clipPath", {}, rect(box, rx=radius))

    def pattern(self, key: str, step: float, ground: str | None, marks: str) -> str:
        """A paint that repeats `marks` every `step` mm both ways, over `ground`."""
        tile: Attributes = {"width": step, "height": step}
        plain = element("rect", {**tile, "fill": ground}) if ground else ""
        attributes: Attributes = {**tile, "patternUnits": "userSpaceOnUse"}
        return self._defined(f"pattern {key}", "p", "pattern", attributes, plain + marks)

    def _outline(self) -> str:
        if "outline" not in self.definitions:
            data = path_data((ring, True) for ring in self.rings)
            self._defined("outline", "o", "path", {"d": data, "fill-rule": "evenodd"})
        return "#" + self.definitions["outline"][0]

    def _shrunk(self, by: float) -> str:
        x0, y0, x1, y1 = self._far
        far: Attributes = {"x": x0, "y": -y1, "width": x1 - x0, "height": y1 - y0}
        use: Attributes = {
            "href": self._outline(),
            "fill": "#ffffff",
            "stroke": "#000000",
            "stroke-width": 2 * by,
        }
        inner = element("use", use)
        return self._defined(f"shrunk {by:.2f}", "m", "mask", {"maskUnits": "userSpaceOnUse", **far}, inner)

    def _defined(self, key: str, prefix: str, name: str, attributes: Attributes, inner: str = "") -> str:
        if key not in self.definitions:
            identity = f"{prefix}{len(self.definitions)}"
            self.definitions[key] = (identity, element(name, {"id": identity, **attributes}, inner))
        return f"url(#{self.definitions[key][0]})"

    @property
    def _far(self) -> Box:
        x0, y0, x1, y1 = self.box
        return x0 - FAR_MM, y0 - FAR_MM, x1 + FAR_MM, y1 + FAR_MM
