"""Buttons and buttonholes under the stitching: a button breaks the needle, and a hole is sewn shut."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, cos, pi

import shapely
from shapely import LineString, box

from floor.domain.fronts import SAME_MM, FrontPlan, SizePlan
from floor.domain.job import Job
from floor.domain.pieces import Piece
from floor.domain.points import Point
from floor.domain.quoting import quoted
from floor.domain.warning import Code, PlanWarning, at_least, front_named, rounded

BUTTON_ROOM_MM = 3.0  # free cloth that a button or a hole needs round it

_ROUND_SEGMENTS = 32
_ROUND_ERROR = 1 / cos(pi / (4 * _ROUND_SEGMENTS))  # by which a round join of so many chords falls short
_STEP_MM = 0.1  # what a design's centre is moved by at the least


def button_warnings(job: Job, plan: SizePlan) -> list[PlanWarning]:
    """One for each button of the under front, and each hole of the top front, that lies too near to anything
    sewn on its front."""
    if job.opening is None:
        return []
    room = job.opening.button_size / 2 + BUTTON_ROOM_MM
    near = [
        (front.front, number, piece.layer, short)
        for front in plan.fronts.values()
        for number, button in enumerate(plan.buttons, start=1)
        for short, piece in _nearest(button, front, room)
        if short > SAME_MM
    ]
    if not near:
        return []
    cure = _cure(clear_move(plan, room))
    found = []
    for side, number, layer, short in near:
        on_top = side == job.opening.top_front
        x, y = plan.buttons[number - 1]
        text = (
            f"On {front_named(side)}, {'buttonhole' if on_top else 'button'} {number} of {len(plan.buttons)} "
            f"from the top lies in or too near the stitching of {quoted(job.layers[layer].name)}: "
            f"{at_least(short)} more clearance is needed; {cure}."
        )
        code: Code = "hole-under-stitching" if on_top else "button-under-stitching"
        places = rounded([(x - room, y - room, x + room, y + room)])
        found.append(PlanWarning(code, plan.size, side, text, layer=layer, places=places))
    return found


def _nearest(button: Point, front: FrontPlan, room: float) -> list[tuple[float, Piece]]:
    """The piece that leaves the button least room, and by how much too little; none where nothing is sewn. Of
    layers that reach equally far, the lowest."""
    found = [(_short_by(button, piece, room), piece) for piece in front.sewn]
    return [max(found, key=lambda one: round(one[0], 6))] if found else []


def _short_by(button: Point, piece: Piece, room: float) -> float:
    """How much further, mm, the button would have to be from the piece's stitching; below 0: far enough."""
    centre = shapely.Point(button)
    away = piece.cloth.distance(centre)
    if away == 0:
        away = -piece.cloth.boundary.distance(centre)
    return float(room + piece.border_width / 2 - away)


def clear_move(plan: SizePlan, room: float) -> float | None:
    """The shortest way, mm, + toward the collar, to move the design along the opening until every button and
    every hole has `room` mm round it; None where they have it. Moving along it leaves the split as it is."""
    blocked = sorted(
        (y - high, y - low)
        for front in plan.fronts.values()
        for low, high in _sewn_on_centre_line(front, room)
        for _, y in plan.buttons
    )
    joined: list[tuple[float, float]] = []
    for low, high in blocked:
        if joined and low < joined[-1][1] + 2 * _STEP_MM:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    for low, high in joined:
        if low < 0 < high:
            return min(_outward(low), _outward(high), key=abs)
    return None


def _sewn_on_centre_line(front: FrontPlan, room: float) -> Iterator[tuple[float, float]]:
    """The stretches of the centre line, from y to y, on which no button of this front may lie."""
    for piece in front.sewn:
        reach = (room + piece.border_width / 2) * _ROUND_ERROR
        _, y0, _, y1 = piece.cloth.bounds
        strip = piece.cloth.intersection(box(-reach, y0 - 1, reach, y1 + 1))
        line = LineString([(0, y0 - 2 * reach), (0, y1 + 2 * reach)])
        held = strip.buffer(reach, quad_segs=_ROUND_SEGMENTS).intersection(line)
        for part in getattr(held, "geoms", [held]):
            if not part.is_empty:
                yield part.bounds[1], part.bounds[3]


def _outward(mm: float) -> float:
    """Rounded to a whole step, away from 0."""
    steps = ceil(abs(mm) / _STEP_MM)
    return steps * _STEP_MM if mm > 0 else -steps * _STEP_MM


def _cure(move: float | None) -> str:
    if move is None:
        return "move the design away from it"
    way = "up" if move > 0 else "down"
    return f"{at_least(abs(move))} further {way}, the design would clear every button and every hole"
