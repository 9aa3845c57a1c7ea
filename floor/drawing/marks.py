"""Where to measure: chalk discs with their figures, and the short lines that they speak of."""

from __future__ import annotations

from collections.abc import Sequence

from floor.domain.checklist import Phase
from floor.domain.pieces import union_box
from floor.drawing.colours import CHALK, INK, PAPER, SOFT_INK, WHITE
from floor.drawing.half import Half
from floor.drawing.sheet import PANEL_PX, Sheet
from floor.drawing.svg import Box, Point, circle, line, path, rect, words

DISC_PX = 30.0  # its radius: where there is a tape beside it the picture is half its usual size
APART_PX = 2 * DISC_PX + 8.0  # from one disc's centre to the next one's
ASIDE_PX = 46.0  # from what is measured to its disc's centre
ROOM_PX = 80.0  # at least, for the discs beside what is measured
BEYOND_PX = 18.0  # a drawn line beyond the trace
ROOM_MM = 10.0  # above and below it


def disc(sheet: Sheet, figure: str, middle: Point) -> str:
    px = sheet.px
    ground = circle(middle, DISC_PX * px, fill=CHALK, stroke=WHITE, stroke_width=2.5 * px)
    return ground + words(figure, middle, 40 * px, fill=WHITE)


def bracket(sheet: Sheet, start: Point, end: Point) -> str:
    """A measured length: a line with a bar across at both its ends."""
    bar = 7 * sheet.px
    upright = abs(end[1] - start[1]) > abs(end[0] - start[0])
    dx, dy = (bar, 0.0) if upright else (0.0, bar)
    bars = [((x - dx, y - dy), (x + dx, y + dy)) for x, y in (start, end)]
    drawn = [(points, False) for points in [(start, end), *bars]]
    halo = path(drawn, fill="none", stroke=PAPER, stroke_width=8 * sheet.px, stroke_opacity=0.8)
    return halo + path(drawn, fill="none", stroke=CHALK, stroke_width=4.5 * sheet.px)


def trace_window(sheet: Sheet, half: Half) -> str:
    """What the needle traces on this front: as tall as on the other, out to the end of the sewing."""
    px = sheet.px
    dash = f"{13 * px:.2f} {7 * px:.2f}"
    return rect(half.traced, fill="none", stroke=CHALK, stroke_width=3.5 * px, stroke_dasharray=dash)


def crosses(sheet: Sheet, half: Half, *, now: bool) -> str:
    """The marks at the window's two lines, traced and never sewn; `now`: this phase is about them."""
    arm, width = (15.0, 4.0) if now else (9.0, 2.6)
    px, far = sheet.px, arm * sheet.px
    lines = [
        (ends, False)
        for x, y in half.plan.marks
        for ends in (((x - far, y), (x + far, y)), ((x, y - far), (x, y + far)))
    ]
    halo = path(lines, fill="none", stroke=PAPER, stroke_width=(width + 4) * px)
    return halo + path(lines, fill="none", stroke=CHALK if now else INK, stroke_width=width * px)


def at_the_edge(sheet: Sheet, half: Half, phase: Phase, bounds: tuple[float, float]) -> str:
    """The four readings of a front, or those of them that the phase asks: 1 and 2 along the opening to the
    upper and the lower button's centre, 3 and 4 past the folded edge at the same two heights."""
    opening, edge, limit = half.size.opening, half.edge_x, half.plan.limit_x
    if opening is None or edge is None or limit is None:
        return ""
    asked, px, parts = _asked(phase), sheet.px, []
    upper, lower = _read_at(half, phase)
    assert half.job.opening is not None
    beside = -half.side * (half.job.opening.button_size / 2 + 8 * px)
    outer = (max(edge, limit) if half.side > 0 else min(edge, limit)) + half.side * ASIDE_PX * px
    places = zip((upper, lower), spread((upper, lower), APART_PX * px), (1, -1), "12", "34", strict=True)
    for y, row, way, along, across in places:
        button = way * opening.span / 2
        if along in asked:
            middle = min(max((y + button) / 2, bounds[0]), bounds[1])
            parts.append(line((edge, y), (beside, y), stroke=CHALK, stroke_width=2 * px))
            parts.append(bracket(sheet, (beside, y), (beside, button)))
            parts.append(disc(sheet, along, (beside - half.side * ASIDE_PX * px, middle)))
        if across in asked:
            parts.append(line((limit, y), (outer, row), stroke=CHALK, stroke_width=2 * px))
            parts.append(bracket(sheet, (edge, y), (limit, y)))
            parts.append(disc(sheet, across, (outer, row)))
    return "".join(parts)


def _read_at(half: Half, phase: Phase) -> tuple[float, float]:
    """The upper and the lower height at which it is read: the window's lines, and on a front that is sewn where its
    sewing crosses the opening."""
    y0, y1 = half.plan.window
    if phase.place is None or phase.place.kind == "set":
        return y1, y0
    other = phase.place.sums.other
    return (y0 + y1) / 2 + other.upper, (y0 + y1) / 2 + other.lower


def spread(heights: Sequence[float], apart: float) -> tuple[float, ...]:
    """Up to three heights, highest first, moved so far that each lies `apart` below the one before it."""
    if len(heights) < 2:
        return tuple(heights)
    first, last = heights[0], heights[-1]
    missing = apart * (len(heights) - 1) - (first - last)
    if missing > 0:
        first, last = first + missing / 2, last - missing / 2
    between = (min(max(height, last + apart), first - apart) for height in heights[1:-1])
    return first, *between, last


def around_readings(half: Half) -> Box:
    """All that a reading at the opening goes by, with room for its figures: the trace, the folded edge, both
    buttons; in the picture's proportion however narrow the front's sewing is."""
    assert half.size.opening is not None
    assert half.job.opening is not None
    far = (half.size.opening.span + half.job.opening.button_size) / 2
    edge = half.edge_x or 0.0
    near = union_box(iter([half.traced, (min(0.0, edge), -far, max(0.0, edge), far)])) or half.traced
    x0, x1 = near[0], near[2]
    y0, y1 = near[1] - ROOM_MM, near[3] + ROOM_MM
    wide, high = PANEL_PX
    width, cx = max((x1 - x0) / (1 - 2 * ROOM_PX / wide), (y1 - y0) * wide / high), (x0 + x1) / 2
    return cx - width / 2, y0, cx + width / 2, y1


def around_lines(half: Half) -> Box:
    """Without an opening, the trace with room for the figures all round."""
    x0, y0, x1, y1 = half.traced
    wide, high = PANEL_PX
    height = max((y1 - y0) / (1 - 2 * ROOM_PX / high), (x1 - x0) / (1 - 2 * ROOM_PX / wide) * high / wide)
    width, cx, cy = height * wide / high, (x0 + x1) / 2, (y0 + y1) / 2
    return cx - width / 2, cy - height / 2, cx + width / 2, cy + height / 2


def at_the_lines(sheet: Sheet, half: Half, phase: Phase) -> str:
    """Without an opening, the place is read against drawn lines: 1 and 2 at the top and the bottom line, 3 and 4 at
    the centre line, at these two heights."""
    if phase.place is None:
        return _at_the_cross(sheet, half, phase)
    x0, y0, x1, y1 = half.traced
    cx, px = half.job.design.centre[0], sheet.px
    beyond, aside = BEYOND_PX * px, ASIDE_PX * px
    lines = [((x0 - beyond, y), (x1 + beyond, y)) for y in (y1, y0)]
    lines.append(((cx, y0 - beyond), (cx, y1 + beyond)))
    parts = [line(*ends, stroke=INK, stroke_width=2.5 * px) for ends in lines]
    places = {"1": (x1 + aside, y1), "2": (x1 + aside, y0), "3": (cx, y1 + aside), "4": (cx, y0 - aside)}
    parts += [disc(sheet, mark, place) for mark, place in places.items() if mark in _asked(phase)]
    return "".join(parts)


def _at_the_cross(sheet: Sheet, half: Half, phase: Phase) -> str:
    """As routes of before ask it, against a drawn cross: 1 at its level line, 2 at its upright one."""
    x0, y0, x1, y1 = half.traced
    (cx, cy), px = half.job.design.centre, sheet.px
    beyond = BEYOND_PX * px
    cross = [((x0 - beyond, cy), (x1 + beyond, cy)), ((cx, y0 - beyond), (cx, y1 + beyond))]
    parts = [line(*ends, stroke=SOFT_INK, stroke_width=2 * px) for ends in cross]
    places = {"1": (x1 + beyond, cy), "2": (cx, y1 + beyond)}
    parts += [disc(sheet, mark, place) for mark, place in places.items() if mark in _asked(phase)]
    return "".join(parts)


def _asked(phase: Phase) -> set[str]:
    return {reading.mark for reading in phase.readings}
