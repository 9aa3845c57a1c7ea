"""The stop sheet: what the machine sews at each of its stops on one front, and what hands do before it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import dist
from typing import Literal

from floor.domain import stop_words
from floor.domain.backing_line import backing_lines
from floor.domain.fronts import FrontPlan
from floor.domain.job import Job, Layer
from floor.domain.pieces import Piece
from floor.domain.stitch_counts import border_stitches, running_stitches, tack_stitches
from floor.domain.stitching import Line, likely_time, line_speed

Sews = Literal["backing", "placement", "tack", "border", "marks"]


@dataclass(frozen=True)
class Stop:
    """Machine stop `no`, counted from 1. `layer`: its index, None for the backing's line and the marks.
    `length`: of the line, mm; `stitches`: 0 for the marks, which are traced and never sewn; `cuts`: how often
    the thread is cut, once for each separate line.
    `at_speed_s`: at the machine's set speed throughout; `likely_s`: with what a machine loses, cuts and
    changes of thread. `before`: what hands do before it, one short sentence."""

    no: int
    sews: Sews
    layer: int | None
    thread: str | None
    length: float
    stitches: int
    cuts: int
    at_speed_s: float
    likely_s: float
    before: str


@dataclass(frozen=True)
class _Sewing:
    """What one stop sews, before it has its number. `cloth`: the layer whose thread and cloth it goes by."""

    sews: Line
    layer: int | None
    cloth: Layer
    lengths: tuple[float, ...]
    stitches: int
    before: str


def stops_of(job: Job, front: FrontPlan, on_backing: bool = False) -> tuple[Stop, ...]:
    """The machine's stops on one front, numbered from 1 without gaps; () where nothing is sewn.

    The line on the backing; for each layer that has cloth here, the bottom one first: its placement line if it
    has one, its tack-down, its border; last the marks, where this front needs them. `on_backing`: the piece is
    sewn on backing alone, as a crest is: its line on the backing is the bottom layer's own shape, no garment is
    laid, and the bottom layer is not trimmed in the hoop.

    Measured counts stand in place of the formulas. A change of thread counts at the stop that needs it; the
    first one finds the thread of the front's last border, as it is from the second garment on.
    """
    if not front.sewn:
        return ()
    sewings = [_backing(job, front, on_backing)]
    for order, piece in enumerate(front.sewn):
        sewings += _layer(job, front, piece, bottom=order == 0, on_backing=on_backing)
    stops, speed = [], job.machine.speed
    for number, (earlier, one) in enumerate(pairwise([sewings[-1], *sewings]), start=1):
        thread = one.cloth.border.thread
        stops.append(
            Stop(
                no=number,
                sews=one.sews,
                layer=one.layer,
                thread=thread,
                length=sum(one.lengths),
                stitches=one.stitches,
                cuts=len(one.lengths),
                at_speed_s=60.0 * one.stitches / speed,
                likely_s=likely_time(
                    one.stitches,
                    line_speed(one.sews, one.cloth, speed),
                    segments=len(one.lengths),
                    colour_changes=int(thread != earlier.cloth.border.thread),
                ),
                before=one.before,
            )
        )
    if front.marks:
        stops.append(Stop(len(stops) + 1, "marks", None, None, 0.0, 0, 0, 0.0, 0.0, stop_words.NEVER_SEWN))
    return tuple(stops)


def longest_border(stops: Iterable[Stop]) -> int:
    """Stitches of the longest border that a front's bobbin must last through; 0 where none is sewn."""
    return max((stop.stitches for stop in stops if stop.sews == "border"), default=0)


def _backing(job: Job, front: FrontPlan, on_backing: bool) -> _Sewing:
    bottom = front.sewn[0]
    lengths = _rings(bottom) if on_backing else tuple(dist(*line) for line in backing_lines(job, front))
    return _Sewing(
        sews="backing",
        layer=None,
        cloth=job.layers[bottom.layer],
        lengths=lengths,
        stitches=running_stitches(lengths),
        before=stop_words.before_backing(job),
    )


def _layer(job: Job, front: FrontPlan, piece: Piece, *, bottom: bool, on_backing: bool) -> Iterator[_Sewing]:
    layer, lengths = job.layers[piece.layer], _rings(piece)
    measured = layer.stitches
    garment = stop_words.lay_garment(front) if bottom and not on_backing else None
    cloth = stop_words.lay_cloth(layer, piece)
    if layer.placement_line:
        count = _or(measured.placement, running_stitches(lengths))
        yield _Sewing("placement", piece.layer, layer, lengths, count, garment or stop_words.NOTHING_YET)
    elif garment:
        cloth = f"{garment}, {cloth}"
    count = _or(measured.tack, tack_stitches(layer.tack, lengths))
    yield _Sewing("tack", piece.layer, layer, lengths, count, cloth)
    trim = stop_words.CUT_OUT_LATER if bottom and on_backing else stop_words.trim(layer, piece)
    count = _or(measured.border, border_stitches(lengths, layer.border.spacing))
    yield _Sewing("border", piece.layer, layer, lengths, count, trim)


def _or(measured: int | None, reckoned: int) -> int:
    return reckoned if measured is None else measured


def _rings(piece: Piece) -> tuple[float, ...]:
    return tuple(float(ring.length) for ring in piece.rings)
