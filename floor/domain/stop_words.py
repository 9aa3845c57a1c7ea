"""What hands do before each stop of the machine, in the trade's words."""

from __future__ import annotations

from floor.domain.english import plural, sheets
from floor.domain.fronts import FrontPlan
from floor.domain.job import Job, Layer
from floor.domain.pieces import Piece
from floor.domain.stitching import taught_trim_text

MM_PER_CM = 10.0
NOTHING_YET = "nothing to lay or trim"
CUT_OUT_LATER = "nothing to trim: it is cut out once it is off the hoop"
NEVER_SEWN = "trace only, never sew"


def before_backing(job: Job) -> str:
    return f"hoop {sheets(job.backing.sheets)} of {job.backing.kind}"


def lay_garment(front: FrontPlan) -> str:
    along = "folded edge along the line" if front.edge_x is not None else "chalk lines along the cross"
    return f"spray, lay the garment's {along}, pin, check the place"


def lay_cloth(layer: Layer, piece: Piece) -> str:
    """ "lay the purple felt, 200 x 155 mm": the blank, width first."""
    assert piece.blank is not None, "a layer without cloth on this front has no stop"
    width, height = piece.blank
    return f"lay the {layer.colour} {layer.fabric}, {width:g} x {height:g} mm"


def trim(layer: Layer, piece: Piece) -> str:
    """ "trim 1 to 2 mm outside the tack-down, 140 cm of edge with 3 holes"."""
    edge = f"{max(1, round(piece.cut_length / MM_PER_CM))} cm of edge"
    holes = f" with {plural(piece.holes, 'hole')}" if piece.holes else ""
    return f"trim {taught_trim_text(layer.border.width)} outside the tack-down, {edge}{holes}"
