"""How long hands take to trim a layer: the trade's rates, until a shop's own time log has better ones."""

from __future__ import annotations

from floor.domain.pieces import Piece

MM_IN_CM = 10.0
FELT_CM_A_MINUTE = (35.0, 60.0)
OTHER_CLOTH_CM_A_MINUTE = (25.0, 45.0)  # twill's
CORNER_S = (2.0, 4.0)
HOLE_S = (15.0, 30.0)  # to get into one, beside its edge
HOLE_EDGE_RATE = 0.6  # of the rate along an outer edge
UPPER_LAYER_FACTOR = 1.2  # the layer below must not be touched


def trimming_time(piece: Piece, fabric: str, *, upper: bool) -> tuple[float, float]:
    """The usual seconds, fewest and most, for hands to trim one piece that lies hooped.

    edge / rate + corners + holes + hole edges / (0.6 x rate), times 1.2 for an upper layer. A fabric that
    names felt is cut at felt's rate, any other at twill's. (0, 0) for a piece without cloth.
    """
    slow, fast = FELT_CM_A_MINUTE if "felt" in fabric.lower() else OTHER_CLOTH_CM_A_MINUTE
    hole_edges = sum(ring.length for polygon in piece.cloth.geoms for ring in polygon.interiors)
    even_edge_cm = (piece.cut_length - hole_edges + hole_edges / HOLE_EDGE_RATE) / MM_IN_CM
    factor = UPPER_LAYER_FACTOR if upper else 1.0

    def seconds(rate: float, corner: float, hole: float) -> float:
        return factor * (60 * even_edge_cm / rate + corner * piece.corners + hole * piece.holes)

    return seconds(fast, CORNER_S[0], HOLE_S[0]), seconds(slow, CORNER_S[1], HOLE_S[1])
