"""Thread: how many metres a stop takes from the spool and from the bobbin, and how long a bobbin lasts."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, hypot

from floor.domain.job import Job, Layer
from floor.domain.stitch_counts import RUN_STITCH_MM, TACK_SPACING_MM, UNDERLAY_SPACING_MM, border_parts
from floor.domain.stops import Stop

UPPER_PER_STITCH = 1.2  # upper thread for each mm of stitch: down to the bobbin and up again
SATIN_BOBBIN_SHARE = 0.65  # bobbin thread for each mm of upper where the needle swings from side to side
RUN_BOBBIN_SHARE = 1.0  # and in a running line, where the knot lies in the middle
TAIL_M = 0.15  # lost at each cut, by either thread
WASTE = 0.10  # threading up, breaks, the end of a cone
TACK_WIDTH_MM = 2.0  # of a zigzag tack-down
UNDERLAY_INSET_MM = 0.5  # the underlay's zigzag stays so far inside either edge of the border

BOBBIN_STITCHES = 30_000  # on a prewound bobbin: 30,000 to 40,000, so the cautious end
BOBBIN_RESERVE = 1.15  # a bobbin is begun with only if it holds this many times the next border

MM_PER_M = 1000.0


@dataclass(frozen=True)
class Thread:
    """Metres from the spool and from the bobbin."""

    upper_m: float = 0.0
    bobbin_m: float = 0.0

    def __add__(self, other: Thread) -> Thread:
        return Thread(self.upper_m + other.upper_m, self.bobbin_m + other.bobbin_m)

    def times(self, count: float) -> Thread:
        return Thread(self.upper_m * count, self.bobbin_m * count)


def thread_of(job: Job, stop: Stop) -> Thread:
    """What one sewing of the stop takes, tails and waste included; nothing for the marks.

    Upper: 1.2 mm for each mm of stitch; bobbin: 0.65 of that in satin and zigzag, all of it in running lines;
    then 0.15 m a cut and 10 % waste. A measured count takes the stitches' mean length from the formula.
    """
    if stop.layer is None or stop.sews == "placement":
        upper, bobbin = _swing(RUN_STITCH_MM, RUN_BOBBIN_SHARE)
    elif stop.sews == "border":
        upper, bobbin = _border(job.layers[stop.layer])
    elif job.layers[stop.layer].tack == "zigzag":
        upper, bobbin = _swing(swing_length(TACK_WIDTH_MM, TACK_SPACING_MM), SATIN_BOBBIN_SHARE)
    else:
        upper, bobbin = _swing(RUN_STITCH_MM, RUN_BOBBIN_SHARE)
    tails = Thread(TAIL_M, TAIL_M).times(stop.cuts)
    return (Thread(upper, bobbin).times(stop.stitches / MM_PER_M) + tails).times(1 + WASTE)


def swing_length(width: float, spacing: float) -> float:
    """Length of one stitch of a satin or zigzag `width` wide, mm: each penetration goes across and half the
    same-side spacing on."""
    return hypot(width, spacing / 2)


def bobbins_for(stitches: int, heads: int = 1) -> int:
    """Prewound bobbins that `stitches`, shared by `heads`, use up: each head has its own."""
    return heads * ceil(stitches / heads / BOBBIN_STITCHES)


def bobbin_need(border: int) -> int:
    """Stitches that a bobbin must hold to begin a border of so many: with 15 % to spare, rounded up."""
    return ceil(round(border * BOBBIN_RESERVE, 6))


def _border(layer: Layer) -> tuple[float, float]:
    """Upper and bobbin thread of a border's mean stitch, mm: its three parts by their share of the stitches."""
    width, spacing = layer.border.width, layer.border.spacing
    edges, zigzag, cover = border_parts(1.0, spacing)
    parts = (
        (edges, _swing(RUN_STITCH_MM, RUN_BOBBIN_SHARE)),
        (
            zigzag,
            _swing(
                swing_length(max(0.0, width - 2 * UNDERLAY_INSET_MM), UNDERLAY_SPACING_MM), SATIN_BOBBIN_SHARE
            ),
        ),
        (cover, _swing(swing_length(width, spacing), SATIN_BOBBIN_SHARE)),
    )
    stitches = edges + zigzag + cover
    upper = sum(count * thread[0] for count, thread in parts) / stitches
    bobbin = sum(count * thread[1] for count, thread in parts) / stitches
    return upper, bobbin


def _swing(stitch: float, bobbin_share: float) -> tuple[float, float]:
    """Upper and bobbin thread, mm, of one stitch of this length."""
    return UPPER_PER_STITCH * stitch, UPPER_PER_STITCH * stitch * bobbin_share
