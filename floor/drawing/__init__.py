"""Pictures of a job for the run page, the pages of the job and the ticket: the plan -> SVG.

Each picture is a document of its own, mm in its viewBox, without scripts, styles or anything from elsewhere.
Names within a picture are its own, so embed it as an image or one to a page. `size` is one of the plan's sizes;
KeyError where it is not.
"""

from __future__ import annotations

from collections.abc import Callable
from zlib import compress

from floor.domain.checklist import Checklist
from floor.domain.job import Front
from floor.domain.plan import JobPlan
from floor.drawing import bench
from floor.drawing.detail import TOLERANCES_MM, finest_level
from floor.drawing.half import Half, halves
from floor.drawing.hoop import hoop_picture, whole_front
from floor.drawing.moment import ONLY_HOOPED, moment

__all__ = ["apart_picture", "closed_picture", "front_picture", "phase_picture"]

IN_THE_HOOP = ONLY_HOOPED | {"check", "trim"}
MOST_BYTES = 14_500  # of a picture as it travels, compressed

Halves = tuple[Half, ...]


def phase_picture(plan: JobPlan, checklist: Checklist, index: int, size: str) -> str:
    """The picture of the checklist's phase `index`, for a garment of `size`: the work as it should come to look.

    IndexError where there is no such phase.
    """
    state = moment(plan.job, checklist, index)
    now = state.now

    def draw(sides: Halves) -> str:
        half = next((side for side in sides if side.plan.front == checklist.front), None)
        if now.picture == "trim" and (now.layer is None or half is None or not state.hooped):
            return bench.cut_out(half or sides[0])
        if now.picture in IN_THE_HOOP and state.hooped and half is not None:
            return hoop_picture(half, state)
        if now.picture == "check" and half is not None and len(sides) == 2:
            # Measured before anything is hooped: it is the other front, as it was sewn.
            other = sides[1] if half is sides[0] else sides[0]
            return bench.as_sewn(other, now)
        if now.picture == "paper":
            return bench.apart(sides, checklist.front)
        return bench.closed(sides, now)

    return _light(plan, size, draw)


def closed_picture(plan: JobPlan, size: str, *, warnings: bool = False) -> str:
    """The whole design on the closed garment, with its seam, the folded edge beneath it and the buttons.

    `warnings`: with a ring around every place of this size that the plan warns of.
    """
    found = tuple(one for one in plan.warnings if one.size in (None, size)) if warnings else ()
    return _light(plan, size, lambda sides: bench.closed(sides, warnings=found))


def apart_picture(plan: JobPlan, size: str) -> str:
    """The two fronts side by side, each with its half of the design; the closed picture where there is one."""
    return _light(plan, size, lambda sides: bench.apart(sides, None))


def front_picture(plan: JobPlan, size: str, front: Front, *, warnings: bool = False) -> str:
    """A whole front in its hoop, with the window that the needle traces and its marks.

    `warnings`: with a ring around every place on this front that the plan warns of. KeyError where the job has
    no such front.
    """
    here = plan.job.fronts.index(front) if front in plan.job.fronts else None
    if here is None:
        raise KeyError(front)
    found = tuple(
        one for one in plan.warnings if warnings and one.size in (None, size) and one.front in (None, front)
    )
    return _light(plan, size, lambda sides: whole_front(sides[here], found))


def _light(plan: JobPlan, size: str, draw: Callable[[Halves], str]) -> str:
    """The picture with the finest lines that keep it small enough for a slow network."""
    for level in range(finest_level(plan), len(TOLERANCES_MM)):
        svg = draw(halves(plan, size, level))
        if len(svg) <= MOST_BYTES or len(compress(svg.encode())) <= MOST_BYTES:
            break
    return svg
