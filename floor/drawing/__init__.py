"""Pictures of a job for the run page, the job page and the ticket: job and outline -> SVG.

Each picture is a document of its own, mm in its viewBox, without scripts, styles or anything from elsewhere.
Names within a picture are its own, so embed it as an image or one to a page.
"""

from __future__ import annotations

from floor.domain.checklist import Checklist
from floor.domain.job import Job
from floor.domain.outline import Outline
from floor.drawing import bench
from floor.drawing.half import Half, halves
from floor.drawing.hoop import hoop_picture
from floor.drawing.moment import ONLY_HOOPED, moment, never_on_a_garment

__all__ = ["closed_picture", "phase_picture"]

IN_THE_HOOP = ONLY_HOOPED | {"check", "trim"}


def phase_picture(job: Job, outline: Outline, checklist: Checklist, index: int, size: str) -> str:
    """The picture of the checklist's phase `index`, for a garment of `size`: the work as it should come to look.

    `outline`: the design's, scaled or in its own units. IndexError where there is no such phase.
    """
    state, sides = moment(job, checklist, index), halves(job, outline, size)
    now = state.now
    half = _of(sides, checklist.front)
    if now.picture == "trim" and (now.layer is None or half is None or not state.hooped):
        return bench.cut_out(half or sides[0])
    if now.picture in IN_THE_HOOP and state.hooped and half is not None:
        return hoop_picture(half, state, on_backing=never_on_a_garment(checklist.phases))
    if now.picture == "check" and half is not None and len(sides) == 2:
        # Measured before anything is hooped: it is the other front, as it was sewn.
        other = sides[1] if half is sides[0] else sides[0]
        return bench.as_sewn(other, now)
    if now.picture == "paper":
        return bench.apart(sides, checklist.front)
    return bench.closed(sides, now)


def closed_picture(job: Job, outline: Outline, size: str) -> str:
    """The whole design on the closed garment, with its seam, the folded edge beneath it and the buttons."""
    return bench.closed(halves(job, outline, size))


def _of(sides: tuple[Half, ...], front: str | None) -> Half | None:
    return next((half for half in sides if half.front == front), None)
