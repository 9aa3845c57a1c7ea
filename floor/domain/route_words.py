"""The plan's figures in the words of a phase: window, blank, length of the cut, the machine's stops."""

from __future__ import annotations

from floor.domain.english import listed, plural
from floor.domain.fronts import FrontPlan
from floor.domain.lengths import format_mm
from floor.domain.pieces import Piece
from floor.domain.route_front import FrontOfLoad, by_size
from floor.domain.stops import Stop
from floor.domain.thread import bobbin_need

MM_IN_CM = 10.0
SECONDS_SHOWN_IN_STEPS_OF = 5  # nobody reads a time of stitching to the second

NO_CLOTH = "no cloth on this front"
NO_STOP = "(none on this front)"


def of_front(front: FrontOfLoad) -> dict[str, str]:
    """What holds for the whole front: the window that the needle traces, where the trace starts, the stops,
    which sizes it is for, what a bobbin must hold."""
    return {
        "window": by_size((size, window_text(plan)) for size, plan in front.plans),
        "trace": "the window from the last stop, the marks," if front.needs_marks else "the window",
        "stops": by_size((size, str(count)) for size, count in front.stop_counts) or "no",
        "of_sizes": of_sizes(front),
        "bobbin": f"{bobbin_need(front.longest_border):,} stitches",
    }


def of_piece(front: FrontOfLoad, layer: int) -> dict[str, str]:
    """The layer's cloth on this front: how big a blank, how far there is to cut."""
    pieces = front.pieces(layer)
    return {
        "blank": by_size((size, blank_text(piece)) for size, piece in pieces) or NO_CLOTH,
        "trim_length": by_size((size, length_text(piece)) for size, piece in pieces) or NO_CLOTH,
        "cut_corners": by_size((size, corners_text(piece)) for size, piece in pieces) or NO_CLOTH,
    }


def of_sizes(front: FrontOfLoad) -> str:
    """ " of size XL" where the job's sizes are sewn differently, each from a half of its own; else ""."""
    openings = [plan.opening for plan in front.plan.sizes.values()]
    if len({opening.overlap for opening in openings if opening}) < 2:
        return ""
    return f" of {'size' if len(front.sizes) == 1 else 'sizes'} {listed(front.sizes)}"


def stop_number(front: FrontOfLoad | None, sews: str, layer: int | None, own_count: int) -> str:
    """ "3 of 7". `own_count`: the phase's number among the machine's phases, for a section that belongs to no
    front, of which the plan knows no stops."""
    if front is None:
        return str(own_count)
    return (
        by_size((size, number_text(front, size, stop)) for size, stop in front.stops(sews, layer)) or NO_STOP
    )


def stitches_text(front: FrontOfLoad, sews: str, layer: int | None) -> str:
    """ "6,240 stitches"."""
    found = front.stops(sews, layer)
    return by_size((size, f"{stop.stitches:,} stitches") for size, stop in found) or "no stitches"


def number_text(front: FrontOfLoad, size: str, stop: Stop) -> str:
    return f"{stop.no} of {len(front.plan.stops[size, front.front])}"


def window_text(plan: FrontPlan) -> str:
    """How tall the window is and where it lies: about the buttons' middle, or how wide where nothing opens."""
    y0, y1 = plan.window
    tall = f"{format_mm(y1 - y0)} tall"
    if plan.edge_x is None:
        x0, x1 = (plan.extent[0], plan.extent[2]) if plan.extent else (0.0, 0.0)
        return f"{tall} and {format_mm(x1 - x0)} wide"
    above, below = format_mm(y1), format_mm(-y0)
    if y0 >= 0:
        return f"{tall}, beginning {format_mm(y0)} above the buttons' middle"
    if y1 <= 0:
        return f"{tall}, beginning {format_mm(-y1)} below the buttons' middle"
    if above == below:
        return f"{tall}, {above} above and below the buttons' middle"
    return f"{tall}, {above} above and {below} below the buttons' middle"


def blank_text(piece: Piece) -> str:
    """ "200 x 155 mm", width first."""
    width, height = piece.blank or (0.0, 0.0)
    return f"{format_mm(width).removesuffix(' mm')} x {format_mm(height)}"


def length_text(piece: Piece) -> str:
    """ "140 cm"."""
    return f"{round(piece.cut_length / MM_IN_CM)} cm"


def corners_text(piece: Piece) -> str:
    """ "14 corners and 2 holes", "no corners"."""
    corners = plural(piece.corners, "corner") if piece.corners else "no corners"
    return f"{corners} and {plural(piece.holes, 'hole')}" if piece.holes else corners


def time_text(seconds: float) -> str:
    """ "25 s", "9 min": as near as an estimate is worth."""
    step = SECONDS_SHOWN_IN_STEPS_OF
    shown = max(step, step * round(seconds / step))
    return f"{shown} s" if shown < 60 else f"{max(1, round(seconds / 60))} min"
