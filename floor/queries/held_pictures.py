"""All pictures that the runs of one revision show, for tablets that show them without a server."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from floor.domain.checklist import Checklist
from floor.drawing import closed_picture, phase_picture
from floor.queries.held_layouts import loads_of
from floor.queries.views import Plan

Page = dict[str, Any]

REVISIONS_KEPT_IN_MEMORY = 8


@lru_cache(maxsize=REVISIONS_KEPT_IN_MEMORY)
def pictures_of(plan: Plan) -> Page:
    """`svgs`: each distinct picture once; `at`: by the end of its address, which of them it is."""
    svgs: dict[str, int] = {}
    drawn: dict[object, int] = {}
    at: dict[str, int] = {}

    def once(svg: str) -> int:
        return svgs.setdefault(svg, len(svgs))

    first_size = plan.job.garments[0].size
    at["closed.svg"] = once(closed_picture(plan.sums, first_size))
    for section in plan.sections:
        of_job = [(first_size, 1, False), (first_size, 1, True)]
        for size, count, first in of_job if section.scope == "job" else loads_of(plan):
            numbers = [garment.number for garment in plan.job.garments if garment.size == size]
            numbers += [garment.number for garment in plan.job.garments if garment.size != size]
            load = () if section.scope == "job" else tuple(numbers[:count])
            checklist = plan.checklist(section.key, load, first)
            for index in range(len(checklist.phases)):
                key = (size, *_what_is_drawn(checklist, index))
                if key not in drawn:
                    drawn[key] = once(phase_picture(plan.sums, checklist, index, size))
                at[f"{section.key}/{index}.svg?size={size}&load={count}&first={int(first)}"] = drawn[key]
    return {"svgs": list(svgs), "at": at}


def _what_is_drawn(checklist: Checklist, index: int) -> tuple[object, ...]:
    """All that a picture is made from, for many loads have the same."""
    now = checklist.phases[index]
    before = tuple(
        (phase.picture, phase.who, phase.layer, tuple(count.side for count in phase.counts))
        for phase in checklist.phases[:index]
    )
    sides = tuple(count.side for count in now.counts)
    return checklist.front, before, now.picture, now.who, now.layer, now.readings, now.place, sides
