"""What `floor plan` makes of an outline, against the pixels that a browser paints of the same file.

A browser reads an SVG by code that is not Floor's: fill rules, units, nested drawings and styles are its own.
"""

from __future__ import annotations

import io
import math
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser

from floor.domain.outline import read_outline
from floor.domain.plan_json import plan_json
from floor.queries.planned import planned_file
from tests.domain.outlines import OUTLINES, Drawing

HEIGHT_MM = 120.0
REACH_MM = 3.0
WIDTH_MM = 2.0  # of the border
ROOM_PX = 260  # shown on each side of the drawing's own page, for what leaves it
PIXELS_A_UNIT = 8

JOB = f"""
title = "Outline"
customer = "Nobody"
due = 2026-12-11
route = "split-front"
[opening]
span = "200 mm"
overlap = "0 mm"
over_edge = "{REACH_MM} mm"
button_size = "15 mm"
buttons = 2
top_front = "left"
[design]
outline = "drawing.svg"
height = "{HEIGHT_MM} mm"
[[layer]]
name = "Only"
fabric = "felt"
colour = "red"
offset = "0 mm"
placement_line = true
tack = "run"
[layer.border]
width = "{WIDTH_MM} mm"
spacing = "0.4 mm"
thread = "red"
[hoop]
field = ["900 mm", "400 mm"]
clearance = "5 mm"
[backing]
kind = "tearaway"
sheets = 1
[machine]
speed = 600
heads = 1
[[garment]]
size = "M"
count = 1
"""


def painted(browser: Browser, svg: str) -> tuple[Image.Image, float]:
    """What the drawing fills in black on white, PIXELS_A_UNIT to a user unit, and the column of its origin."""
    context = browser.new_context(
        viewport={"width": 200 + 2 * ROOM_PX, "height": 200 + 2 * ROOM_PX}, device_scale_factor=PIXELS_A_UNIT
    )
    page = context.new_page()
    page.set_content(f"<body style='margin:0;background:#fff'>{svg}</body>")
    page.evaluate(
        """room => {
          const svg = document.querySelector("svg");
          const box = svg.viewBox.baseVal;
          svg.style.cssText = `position:absolute;left:${room}px;top:${room}px;overflow:visible`;
          for (const drawn of svg.querySelectorAll("*")) drawn.style.setProperty("stroke", "none", "important");
          if (box && box.width && svg.getAttribute("preserveAspectRatio") !== "none") {
            svg.setAttribute("width", box.width);
            svg.setAttribute("height", box.height);
            svg.style.left = `${room + box.x}px`;
            svg.style.top = `${room + box.y}px`;
          }
        }""",
        ROOM_PX,
    )
    shot = page.screenshot()
    context.close()
    return Image.open(io.BytesIO(shot)).convert("L"), ROOM_PX * PIXELS_A_UNIT


def dark(picture: Image.Image, left: float, right: float) -> int:
    """How many pixels between two columns are more than half covered."""
    part = picture.crop((max(0, round(left)), 0, min(picture.width, round(right)), picture.height))
    return sum(part.histogram()[:128])


@pytest.mark.parametrize("drawing", OUTLINES, ids=lambda drawing: drawing.name)
def test_each_front_has_the_area_that_a_browser_paints_there(
    chromium: Browser, tmp_path: Path, drawing: Drawing
) -> None:
    (tmp_path / "drawing.svg").write_text(drawing.svg, encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    planned = planned_file(tmp_path / "job.toml")
    fronts = plan_json(planned.plan, planned.materials.as_json(), planned.left_out)["sizes"]["M"]["fronts"]

    x0, y0, x1, y1 = read_outline(drawing.svg).bounds
    mm = HEIGHT_MM / (y1 - y0)
    middle = (x0 + x1) / 2
    # The cloth ends half a border within the end of the sewing, and both edges lie at 0.
    beyond = (REACH_MM - WIDTH_MM / 2) / mm
    picture, origin = painted(chromium, drawing.svg)
    square_mm = (mm / PIXELS_A_UNIT) ** 2
    ends = {"right": (-math.inf, middle + beyond), "left": (middle - beyond, math.inf)}
    for front, (low, high) in ends.items():
        columns = [
            0.0 if end == -math.inf else picture.width if end == math.inf else origin + end * PIXELS_A_UNIT
            for end in (low, high)
        ]
        (layer,) = fronts[front]["layers"]
        # Half a pixel either way along the edge is what counting cannot see; most of it evens out.
        unseen = 0.2 * layer["cut_length_mm"] * mm / PIXELS_A_UNIT + 0.5
        assert layer["area_mm2"] == pytest.approx(dark(picture, *columns) * square_mm, abs=unseen), front
