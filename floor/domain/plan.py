"""A job and its outline -> the plan: the split of each size, the machine's stops, what it warns of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shapely import MultiPolygon

from floor.domain.english import unique
from floor.domain.fronts import SizePlan, cloths_of, split
from floor.domain.job import Front, Job
from floor.domain.outline import Outline
from floor.domain.plan_warnings import PlanWarning, warnings_of
from floor.domain.quoting import quoted
from floor.domain.region import region_of
from floor.domain.sewable import check_sewable
from floor.domain.stops import Stop, stops_of


@dataclass(frozen=True, eq=False)
class JobPlan:
    """All that geometry says of one job. `cloths`: each layer's whole cloth on the closed garment, mm.

    `stops`: by size and front, in the machine's order. `on_backing`: sewn on backing alone, without a garment,
    as crests are. Equal to itself alone, so that pictures can be kept by it.
    """

    job: Job
    cloths: tuple[MultiPolygon, ...]
    sizes: Mapping[str, SizePlan]
    stops: Mapping[tuple[str, Front], tuple[Stop, ...]]
    warnings: tuple[PlanWarning, ...]
    on_backing: bool = False

    def stop(self, size: str, front: Front, sews: str, layer: int | None) -> Stop | None:
        """The stop at which the machine sews this line; None where it sews no such line on this front."""
        for stop in self.stops[size, front]:
            if (stop.sews, stop.layer) == (sews, layer):
                return stop
        return None


def plan_job(job: Job, outline: Outline, on_backing: bool = False) -> JobPlan:
    """The plan of every size that the job's garments have. `outline`: scaled to the design, mm. `on_backing`:
    on a route that sews several crests in one hooping, on backing alone.

    OutlineError where the outline encloses no area, or is more rugged than anybody could sew. Whether each layer
    has cloth on each front is `nothing_to_sew`'s to say.
    """
    sizes = tuple(unique(garment.size for garment in job.garments))
    region = region_of(outline)
    check_sewable(region)
    cloths = cloths_of(job, region)
    plans = split(job, cloths, sizes)
    stops = {
        (size, front): stops_of(job, found, on_backing)
        for size, plan in plans.items()
        for front, found in plan.fronts.items()
    }
    return JobPlan(job, cloths, plans, stops, warnings_of(job, region, cloths, plans), on_backing)


def nothing_to_sew(plan: JobPlan) -> str | None:
    """Why the job cannot be sewn at all, in one sentence; None when something is sewn on every front."""
    for layer, cloth in zip(plan.job.layers, plan.cloths, strict=True):
        if cloth.is_empty:
            return (
                f"The layer {quoted(layer.name)} has no cloth left: its offset of {layer.offset:g} mm is more "
                "than half of the design's widest part; make the offset smaller or the design taller."
            )
    for size, found in plan.sizes.items():
        for front, one in found.fronts.items():
            if one.extent is None:
                of_size = f" of size {size}" if len(plan.sizes) > 1 else ""
                return (
                    f"Nothing of the design lies on the {front} front{of_size}; move the design's centre "
                    "toward it, or choose a route for work without an opening."
                )
    return None
