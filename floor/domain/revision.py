"""Whether a job that was begun can be changed so: what is sewn must stay what the job says of it."""

from __future__ import annotations

from collections.abc import Iterable

from floor.domain.job import Job
from floor.domain.quoting import quoted


def why_not_revised(before: Job, after: Job, loads: Iterable[tuple[int, ...]]) -> str:
    """Why the job cannot be changed from `before` to `after`, in one sentence; "" when it can.

    `loads`: the garments of each run that has begun; a run of the whole job has none.
    """
    begun = list(loads)
    if begun and after.route != before.route:
        return (
            f"Runs of this job have begun on the route {quoted(before.route)}, which it must keep; "
            f"make a new job for the route {quoted(after.route)}."
        )
    was = {garment.number: garment.size for garment in before.garments}
    will_be = {garment.number: garment.size for garment in after.garments}
    named = {garment.name: garment.number for garment in after.garments if garment.name}
    names = {garment.number: garment.name for garment in before.garments}
    for number in sorted({number for load in begun for number in load if number in was}):
        if number not in will_be:
            return (
                f"Garment {number} has been begun and the list now ends with {len(will_be)}; "
                "leave it in the list, or scrap it at the tablet."
            )
        if will_be[number] != was[number]:
            return (
                f"Garment {number} has been begun in size {quoted(was[number])} and the list now has it in "
                f"{quoted(will_be[number])}; keep begun garments in their places and add new ones at the end."
            )
        name = names[number]
        # A name may be put right, but not go to another garment: the sewn one would go to another person.
        if name and after.garment(number).name != name and name in named:
            return (
                f"Garment {number}, {name}, has been begun and the list now has {name} as garment {named[name]}; "
                "keep begun garments in their places and add new ones at the end."
            )
    return ""
