"""The garment off the machine: closed, its fronts apart, one front as sewn, and crests to be cut out."""

from __future__ import annotations

from floor.domain.checklist import Phase
from floor.domain.pieces import union_box
from floor.domain.plan_warnings import PlanWarning
from floor.drawing import cloths
from floor.drawing.colours import CHALK, INK, PAPER, RULE, SOFT_INK, WHITE
from floor.drawing.half import Half
from floor.drawing.marks import around_readings, at_the_edge
from floor.drawing.opening import button, buttons, folded_edge
from floor.drawing.parts import blank, bordered, scissors_line
from floor.drawing.seam import around_crossings, at_the_opening
from floor.drawing.sheet import Sheet
from floor.drawing.svg import Box, Point, circle, group, line, path, rect, words
from floor.drawing.warned import rings_around

ROOM_MM = 26.0  # garment shown around the design
NECK_MM = (16.0, 15.0)  # how far the neckline cuts into a front, across and down: it tells which end is up
APART_MM = 22.0
CUT_OUT_MM = 1.0  # crests are cut out this far outside their border


def closed(
    halves: tuple[Half, ...], phase: Phase | None = None, warnings: tuple[PlanWarning, ...] = ()
) -> str:
    """The whole design on the closed garment. `phase`: with the places that it asks to measure; `warnings`:
    with a ring around what they are about."""
    if halves[0].on_backing:
        return _crest(halves[0], warnings)
    box = _garment_box(halves)
    sheet = _compared(halves, phase) or _sheet(box)
    surveyed = phase is not None and any(reading.id in ("overlap", "span") for reading in phase.readings)
    parts = [_front(sheet, half, box, sewn=not surveyed) for half in reversed(halves)]
    if len(halves) == 2:
        top, under = halves
        parts.append(_hidden_edge(sheet, under, box))
        parts += [button(sheet, under, centre) for centre in under.size.buttons]
        if phase is not None:
            parts.append(at_the_opening(sheet, top, under, phase, box[3] - NECK_MM[1]))
    return sheet.document(*parts, rings_around(sheet, warnings))


def _compared(halves: tuple[Half, ...], phase: Phase | None) -> Sheet | None:
    """The stretch of the seam where the halves are held against each other; None where nothing is measured there."""
    measured = phase is not None and any(
        reading.id.partition("-")[0] in ("step", "gap") for reading in phase.readings
    )
    near = around_crossings(halves[0]) if measured else None
    return Sheet(near) if near else None


def apart(halves: tuple[Half, ...], front: str | None) -> str:
    """The fronts side by side, each with its half of the design and its letter. `front`: the one that is meant."""
    if len(halves) == 1:
        return closed(halves)
    box = _garment_box(halves)
    wide = (box[0] - APART_MM, box[1], box[2] + APART_MM, box[3])
    sheet = _sheet(wide)
    parts = []
    for half in halves:
        meant = front in (None, half.plan.front)
        body = _front(sheet, half, box, sewn=True) + _letter(sheet, half, box, meant and front is not None)
        move = f"translate({-half.side * APART_MM:g} 0)"
        parts.append(group(body, transform=move, opacity=None if meant else "0.35"))
    return sheet.document(*parts)


def as_sewn(half: Half, phase: Phase) -> str:
    """One front off the hoop with its sewing done, and where to measure it."""
    x0, y0, x1, y1 = half.traced
    assert half.size.opening is not None
    tall = half.size.opening.span / 2
    room = ROOM_MM
    box = (x0 - room, min(y0, -tall) - room, x1 + room, max(y1, tall) + room)
    sheet = Sheet(around_readings(half))
    return sheet.document(
        _front(sheet, half, box, sewn=True), at_the_edge(sheet, half, phase, (box[1], box[3]))
    )


def _crest(half: Half, warnings: tuple[PlanWarning, ...]) -> str:
    """A crest by itself, cut out."""
    x0, y0, x1, y1 = half.traced
    sheet = _sheet((x0 - ROOM_MM, y0 - ROOM_MM, x1 + ROOM_MM, y1 + ROOM_MM))
    edge = half.around_all(CUT_OUT_MM)
    return sheet.document(
        sheet.shape(edge, fill=cloths.backing(sheet), stroke=SOFT_INK, stroke_width=2 * sheet.px),
        *(bordered(sheet, piece) for piece in half.pieces),
        rings_around(sheet, warnings),
    )


def cut_out(half: Half) -> str:
    """A crest on its sheet of cloth and backing, to be cut out around its border."""
    blanks = [piece.blank for piece in half.pieces[:1]]
    x0, y0, x1, y1 = union_box(iter([half.traced, *blanks])) or half.traced
    box = (x0 - ROOM_MM, y0 - ROOM_MM, x1 + ROOM_MM, y1 + ROOM_MM)
    sheet = _sheet(box)
    return sheet.document(
        rect(box, fill=cloths.backing(sheet), stroke=RULE, stroke_width=2 * sheet.px),
        *(blank(sheet, piece) for piece in half.pieces[:1]),
        *(bordered(sheet, piece) for piece in half.pieces),
        scissors_line(sheet, half.around_all(CUT_OUT_MM)),
    )


def _sheet(box: Box) -> Sheet:
    air = 0.05 * max(box[2] - box[0], box[3] - box[1])
    return Sheet((box[0] - air, box[1] - air, box[2] + air, box[3] + air))


def _garment_box(halves: tuple[Half, ...]) -> Box:
    x0, y0, x1, y1 = union_box(half.traced for half in halves) or halves[0].traced
    opening = halves[0].size.opening
    if opening is not None:
        tall = opening.span / 2
        y0, y1 = min(y0, -tall), max(y1, tall)
        x0, x1 = min(x0, -x1), max(x1, -x0)
    return x0 - ROOM_MM, y0 - ROOM_MM, x1 + ROOM_MM, y1 + ROOM_MM + NECK_MM[1] / 2


def _front(sheet: Sheet, half: Half, box: Box, *, sewn: bool) -> str:
    """One front as far as its folded edge, its half of the design upon it."""
    corners = _cut(half, box)
    ground = path([(corners, True)], fill=cloths.garment(sheet), stroke=SOFT_INK, stroke_width=2 * sheet.px)
    edge = folded_edge(sheet, half, box[1], box[3] - (NECK_MM[1] if half.side else 0))
    pieces = half.pieces if sewn else ()
    return ground + edge + "".join(bordered(sheet, piece) for piece in pieces) + buttons(sheet, half)


def _cut(half: Half, box: Box) -> tuple[Point, ...]:
    x0, y0, x1, y1 = box
    if half.edge_x is None:
        middle, (across, down) = (x0 + x1) / 2, NECK_MM
        neckline = (middle - across, y1), (middle, y1 - down), (middle + across, y1)
        return (x0, y0), (x0, y1), *neckline, (x1, y1), (x1, y0)
    outer, inner = (x0, half.edge_x) if half.side > 0 else (x1, half.edge_x)
    neck = (half.side * -NECK_MM[0], y1), (inner, y1 - NECK_MM[1])
    return (outer, y0), (outer, y1), *neck, (inner, y0)


def _hidden_edge(sheet: Sheet, under: Half, box: Box) -> str:
    """The under front's folded edge, felt but not seen."""
    if under.edge_x is None:
        return ""
    px = sheet.px
    return line(
        (under.edge_x, box[1]),
        (under.edge_x, box[3] - NECK_MM[1]),
        stroke=SOFT_INK,
        stroke_width=1.6 * px,
        stroke_dasharray=f"{2 * px:.2f} {6 * px:.2f}",
    )


def _letter(sheet: Sheet, half: Half, box: Box, chosen: bool) -> str:
    """R or L, by the wearer's side, in the front's upper outer corner."""
    px = sheet.px
    away = 26 * px
    x = box[0] + away if half.side > 0 else box[2] - away
    middle = (x, box[3] - away)
    ground = circle(middle, 19 * px, fill=CHALK if chosen else PAPER, stroke=INK, stroke_width=2 * px)
    return ground + words(half.plan.front[0].upper(), middle, 26 * px, fill=WHITE if chosen else INK)
