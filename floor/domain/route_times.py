"""How long a phase usually takes its load: as long as there is to sew or to trim, or as the route says."""

from __future__ import annotations

from math import sqrt

from floor.domain.route_repeat import Repeat
from floor.domain.trimming import trimming_time

STITCHED_SPREAD = 0.25  # a time from a stitch count is good to a quarter either way


def times_s(repeat: Repeat) -> tuple[float, float, float]:
    """Low end, middle and high end for the whole load, seconds: from the plan where it says how much there is
    to sew or to trim, of the largest size; from the template's usual minutes where it does not."""
    sewing = _sewing_s(repeat)
    if sewing is not None:
        seconds = repeat.machine_rounds * sewing
        return seconds * (1 - STITCHED_SPREAD), seconds, seconds * (1 + STITCHED_SPREAD)
    usual = _trimming_s(repeat) or tuple(60 * minutes for minutes in repeat.template.usual_min)
    low, high = (seconds * _times(repeat) for seconds in usual)
    return low, sqrt(low * high), high


def _sewing_s(repeat: Repeat) -> float | None:
    """None where nothing is sewn: by hands, at the marks, or where the plan has no such line."""
    front, line = repeat.on_front, repeat.template.line
    if front is None or line is None:
        return None
    return max((stop.likely_s for _, stop in front.stops(line, repeat.layer) if stop.stitches), default=None)


def _trimming_s(repeat: Repeat) -> tuple[float, float] | None:
    """None where the phase trims no layer's piece."""
    front, layer = repeat.on_front, repeat.layer
    if front is None or layer is None or repeat.template.picture != "trim":
        return None
    fabric = repeat.job.layers[layer].fabric
    found = [
        trimming_time(piece, fabric, upper=front.below(layer) is not None) for _, piece in front.pieces(layer)
    ]
    return max(found, default=None)


def _times(repeat: Repeat) -> int:
    """How often the minutes are spent in one load: hands work garment by garment, heads sew at once."""
    if repeat.section.scope == "job" or repeat.garment is not None:
        return 1
    if repeat.template.who == "machine":
        return repeat.machine_rounds
    if repeat.template.per == "garment":
        return len(repeat.load)
    return min(len(repeat.load), repeat.job.machine.heads) if repeat.template.per == "head" else 1
