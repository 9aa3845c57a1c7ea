"""The front in its hoop, right way up for the operator: as it is at one phase, or whole with what is traced."""

from __future__ import annotations

from floor.domain.backing_line import backing_lines
from floor.domain.pieces import union_box
from floor.domain.plan_warnings import PlanWarning
from floor.drawing import cloths
from floor.drawing.colours import CHALK, INK, SOFT_INK
from floor.drawing.half import Half
from floor.drawing.marks import (
    around_lines,
    around_readings,
    at_the_edge,
    at_the_lines,
    crosses,
    trace_window,
)
from floor.drawing.moment import Moment
from floor.drawing.opening import buttons, folded_edge, pins
from floor.drawing.parts import (
    blank,
    bordered,
    dashes,
    kept_cloth,
    placement_line,
    scissors_line,
    tack_line,
)
from floor.drawing.sheet import PANEL_PX, Sheet
from floor.drawing.svg import Box, group, path_data, rect
from floor.drawing.warned import rings_around

FRAME_PX = 14.0
MARGIN_SHARE = 0.06  # of the longer side: frame and air around the field
FIGURES_SHARE = 0.11  # the same for figures around the trace
CORNER_SHARE = 0.06
ROOM_MM = 20.0  # around the cloth where the work is at one layer
ONE_CREST_ROOM_MM = 60.0


def hoop_picture(half: Half, state: Moment) -> str:
    field = _field(half)
    sheet = Sheet(_seen(half, state, _whole(half, field)))
    inside = _ground(sheet, half, state, field) + _layers(sheet, half, state)
    clipped = group(inside, clip_path=sheet.clip_box(field, _radius(field)))
    return sheet.document(clipped, _frame(sheet, field), _to_read(sheet, half, state, field))


def whole_front(half: Half, warnings: tuple[PlanWarning, ...]) -> str:
    """The front in its hoop with all its sewing, what the needle traces, and rings where something is wrong.

    What a hoop cannot hold is drawn beyond its frame.
    """
    field = _field(half)
    sheet = Sheet(_whole(half, field))
    backing = rect(field, fill=cloths.backing(sheet))
    garment = "" if half.on_backing else _garment(sheet, half, field)
    hooped = group(backing, garment, clip_path=sheet.clip_box(field, _radius(field)))
    return sheet.document(
        hooped,
        *(bordered(sheet, piece) for piece in half.pieces),
        _frame(sheet, field),
        trace_window(sheet, half),
        crosses(sheet, half, now=True),
        rings_around(sheet, warnings),
    )


def _field(half: Half) -> Box:
    """The hoop's field, centred on what the needle traces on this front."""
    x0, y0, x1, y1 = half.traced
    (width, height), cx, cy = half.job.hoop.field, (x0 + x1) / 2, (y0 + y1) / 2
    return cx - width / 2, cy - height / 2, cx + width / 2, cy + height / 2


def _whole(half: Half, field: Box) -> Box:
    """The hoop with its frame, and the trace with the figures beside it: it may reach past a hoop too small."""
    x0, y0, x1, y1 = union_box(iter([field, half.traced])) or field
    longer = max(x1 - x0, y1 - y0)
    boxes = [_grown(field, MARGIN_SHARE * longer), _grown(half.traced, FIGURES_SHARE * longer)]
    return union_box(iter(boxes)) or field


def _grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def _radius(field: Box) -> float:
    return CORNER_SHARE * max(field[2] - field[0], field[3] - field[1])


def _seen(half: Half, state: Moment, whole: Box) -> Box:
    """What the picture shows: the whole hoop; where hands and eyes are at one layer, no more of a long hoop than
    fills the picture's place on the page; of a hoop that holds several crests, one. The hoop then runs on
    beyond the picture."""
    if half.on_backing:
        return _within(whole, _grown(half.traced, ONE_CREST_ROOM_MM))
    if state.now.picture == "check":
        return around_lines(half) if half.size.opening is None else _within(whole, around_readings(half))
    if state.now.layer is None:
        return whole
    near = union_box(iter([half.traced, *(piece.blank for piece in half.pieces)])) or half.traced
    x0, y0, x1, y1 = _grown(near, ROOM_MM)
    cx, cy, proportion = (x0 + x1) / 2, (y0 + y1) / 2, PANEL_PX[0] / PANEL_PX[1]
    width = max(x1 - x0, (whole[3] - whole[1]) * proportion)
    height = max(y1 - y0, (whole[2] - whole[0]) / proportion)
    return _within(whole, (cx - width / 2, cy - height / 2, cx + width / 2, cy + height / 2))


def _within(outer: Box, box: Box) -> Box:
    """What of `box` lies within `outer`."""
    return max(outer[0], box[0]), max(outer[1], box[1]), min(outer[2], box[2]), min(outer[3], box[3])


def _frame(sheet: Sheet, field: Box) -> str:
    half = FRAME_PX * sheet.px / 2
    box = (field[0] - half, field[1] - half, field[2] + half, field[3] + half)
    return rect(box, rx=_radius(field) + half, fill="none", stroke=INK, stroke_width=2 * half)


def _ground(sheet: Sheet, half: Half, state: Moment, field: Box) -> str:
    parts = [rect(field, fill=cloths.backing(sheet))]
    now = state.now
    if now.picture == "backing" and not state.sewing:
        parts.append(rect(field, fill=cloths.mist(sheet)))
    sewing_line = now.picture == "backing" and state.sewing
    if (state.backing_line or sewing_line) and not state.garment:
        parts.append(_line_on_backing(sheet, half, sewing_line))
    if state.garment:
        parts.append(_garment(sheet, half, field))
        if state.pinned:
            parts.append(pins(sheet, half, field))
    return "".join(parts)


def _line_on_backing(sheet: Sheet, half: Half, sewing: bool) -> str:
    """Where the garment goes; where crests are sewn on the backing alone, their own shape."""
    if half.on_backing:
        return "".join(placement_line(sheet, piece, sewing=sewing) for piece in half.pieces[:1])
    data = path_data((ends, False) for ends in backing_lines(half.job, half.plan))
    return dashes(sheet, data, CHALK if sewing else SOFT_INK, 3.5 if sewing else 2.0, (9, 6))


def _garment(sheet: Sheet, half: Half, field: Box) -> str:
    x0, y0, x1, y1 = field
    if half.edge_x is not None:
        x0, x1 = (x0, half.edge_x) if half.side > 0 else (half.edge_x, x1)
    cloth = rect((x0, y0, x1, y1), fill=cloths.garment(sheet)) if x1 > x0 else ""
    return cloth + folded_edge(sheet, half, y0, y1) + buttons(sheet, half)


def _layers(sheet: Sheet, half: Half, state: Moment) -> str:
    parts, now = [], state.now
    for piece in half.pieces:
        done = state.layers[piece.index]
        doing = now.picture if now.layer == piece.index else ""
        if doing == "border" or done.sewn:
            if not done.trimmed:
                parts.append(blank(sheet, piece))
            parts.append(bordered(sheet, piece, sewing=doing == "border"))
        elif doing == "trim":
            parts += [blank(sheet, piece, waste=True), kept_cloth(sheet, piece)]
            parts += [scissors_line(sheet, piece.cut), tack_line(sheet, piece)]
        elif done.trimmed:
            parts += [kept_cloth(sheet, piece), tack_line(sheet, piece)]
        elif doing in ("lay", "tack") or done.laid:
            parts.append(blank(sheet, piece))
            tacked = doing == "tack" or done.tacked
            line_of = tack_line if tacked else placement_line
            parts.append(line_of(sheet, piece, sewing=doing == "tack"))
        elif doing == "line" or done.marked:
            parts.append(placement_line(sheet, piece, sewing=doing == "line"))
    return "".join(parts)


def _to_read(sheet: Sheet, half: Half, state: Moment, field: Box) -> str:
    """The trace with its readings, or the marks that are traced last."""
    picture = state.now.picture
    if picture == "marks":
        return trace_window(sheet, half) + crosses(sheet, half, now=True)
    if picture != "check":
        return ""
    outline = "".join(
        dashes(sheet, piece.edge, SOFT_INK, 1.8, (6, 5), halo=False) for piece in half.pieces[:1]
    )
    drawn = outline + trace_window(sheet, half) + crosses(sheet, half, now=False)
    if half.edge_x is None:
        return drawn + at_the_lines(sheet, half, state.now)
    return drawn + at_the_edge(sheet, half, state.now, (field[1], field[3]))
