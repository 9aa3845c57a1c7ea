"""Whether each front's sewing fits the hoop; if not, which field would do, and how tall a design."""

from __future__ import annotations

from math import ceil

import shapely
from shapely import MultiPolygon, affinity

from floor.domain.fronts import SizePlan, cloths_of, extent_on, fits
from floor.domain.job import Front, Job
from floor.domain.outline import Box
from floor.domain.region import as_multi
from floor.domain.warning import PlanWarning, at_least, front_named

SEARCH_SIMPLIFY_MM = 0.05  # the height is sought on an outline so much coarser, then proved on the real one


class HoopFit:
    """The hoop's fit of one job at any height of its design; what was worked out once is kept.

    `region`: what the outline encloses, scaled to the design.
    """

    def __init__(self, job: Job, region: MultiPolygon) -> None:
        self.job, self.region = job, region
        self._coarse: MultiPolygon | None = None
        self._cloths: dict[tuple[bool, int], tuple[MultiPolygon, ...]] = {}

    def warnings(self, plan: SizePlan) -> list[PlanWarning]:
        return [
            PlanWarning("hoop-too-small", plan.size, front, self._text(front, plan.size, one.extent))
            for front, one in plan.fronts.items()
            if one.extent is not None and not one.fits_hoop
        ]

    def tallest(self, front: Front, size: str) -> int | None:
        """The tallest design of whole mm, lower than the job's own, whose sewing on this front fits the hoop;
        at 1 mm more it does not. None where no height fits with anything left to sew on the front."""
        # What fits grows by halves of the way: too tall is the job's own height, none at all fits for sure.
        low, high = 0, ceil(self.job.design.height)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (middle, high) if self._fits(middle, front, size, coarse=True) else (low, middle)
        while low > 0 and not self._fits(low, front, size, coarse=False):
            low -= 1
        while low + 1 < self.job.design.height and self._fits(low + 1, front, size, coarse=False):
            low += 1
        if low == 0 or self._extent(low, front, size, coarse=False) is None:
            return None
        return low

    def _fits(self, height: int, front: Front, size: str, *, coarse: bool) -> bool:
        extent = self._extent(height, front, size, coarse=coarse)
        return extent is None or fits(extent, self.job.hoop.field, self.job.hoop.clearance)

    def _extent(self, height: int, front: Front, size: str, *, coarse: bool) -> Box | None:
        if (coarse, height) not in self._cloths:
            factor = height / self.job.design.height
            shape = self._simplified() if coarse else self.region
            scaled = affinity.scale(shape, factor, factor, origin=self.job.design.centre)
            self._cloths[coarse, height] = cloths_of(self.job, scaled)
        return extent_on(self.job, self._cloths[coarse, height], front, size)

    def _simplified(self) -> MultiPolygon:
        if self._coarse is None:
            self._coarse = as_multi(shapely.simplify(self.region, SEARCH_SIMPLIFY_MM))
        return self._coarse

    def _text(self, front: Front, size: str, extent: Box) -> str:
        x0, y0, x1, y1 = extent
        clearance = self.job.hoop.clearance
        tallest = self.tallest(front, size)
        cure = (
            "no height of the design fits this hoop"
            if tallest is None
            else f"a design at most {tallest} mm tall fits this one"
        )
        wide, tall = at_least(x1 - x0 + 2 * clearance), at_least(y1 - y0 + 2 * clearance)
        field_wide, field_tall = self.job.hoop.field
        return (
            f"What is sewn on {front_named(front)} does not fit the hoop's field of "
            f"{field_wide:g} x {field_tall:g} mm: it needs a field of at least "
            f"{wide.removesuffix(' mm')} x {tall} with the clearance, and {cure}."
        )
