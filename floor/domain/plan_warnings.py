"""What the plan warns of, each with a code that a program can go by and a sentence for a person."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import pairwise

from shapely import MultiPolygon

from floor.domain.button_clearance import button_warnings
from floor.domain.english import unique
from floor.domain.fronts import SAME_MM, SizePlan
from floor.domain.hoop_fit import HoopFit
from floor.domain.job import Job
from floor.domain.quoting import quoted
from floor.domain.thin_warnings import thin_warnings
from floor.domain.warning import Code, PlanWarning, at_least, at_most

__all__ = ["MIN_COVER_MM", "MIN_REVEAL_MM", "Code", "PlanWarning", "warnings_of"]

MIN_COVER_MM = 6.0  # of the under front's sewing beneath the top front: less shows when the garment moves
MIN_REVEAL_MM = 1.5  # of a layer's cloth between its border and the next one's: less looks like a mistake


def warnings_of(
    job: Job, region: MultiPolygon, cloths: tuple[MultiPolygon, ...], sizes: Mapping[str, SizePlan]
) -> tuple[PlanWarning, ...]:
    """All warnings of a plan, by what they are about; one that holds for all sizes is there once, without a
    size. `region`: what the outline encloses, scaled to the design; `cloths`: each layer's whole cloth."""
    hoop = HoopFit(job, region)
    thin = thin_warnings(job, cloths, sizes)
    by_size = {
        size: [
            *hoop.warnings(plan),
            *button_warnings(job, plan),
            *thin[size],
            *_short_cover(job, plan),
            *_thin_reveals(job, plan),
            *_span_mismatch(plan),
        ]
        for size, plan in sizes.items()
    }
    return tuple(_once_for_all(by_size))


def _once_for_all(by_size: Mapping[str, list[PlanWarning]]) -> Iterable[PlanWarning]:
    """A warning that every size has loses its size. A garment without an opening has only one front, so what
    holds for it holds for all."""
    alike = {size: [_of_any_size(warning) for warning in warnings] for size, warnings in by_size.items()}
    kinds = unique(warning.code for warnings in alike.values() for warning in warnings)
    for code in sorted(kinds, key=_ORDER.index):
        said: set[PlanWarning] = set()
        for size, warnings in alike.items():
            for warning in warnings:
                if warning.code != code or warning in said:
                    continue
                if all(warning in others for others in alike.values()):
                    said.add(warning)
                    yield warning
                else:
                    yield replace(warning, size=size)


_ORDER: tuple[str, ...] = (
    "hoop-too-small", "button-under-stitching", "hole-under-stitching", "thin-part", "short-cover",
    "thin-reveal", "span-mismatch",
)  # fmt: skip


def _of_any_size(warning: PlanWarning) -> PlanWarning:
    return replace(warning, size=None, front=None if warning.front == "whole" else warning.front)


def _short_cover(job: Job, plan: SizePlan) -> list[PlanWarning]:
    """Where the design crosses the seam at all."""
    if job.opening is None or plan.cover is None or plan.seam is None or not plan.seam.crossings:
        return []
    if plan.cover >= MIN_COVER_MM - SAME_MM:
        return []
    under = next(front for front in plan.fronts if front != job.opening.top_front)
    found = (
        f"reaches only {at_most(plan.cover)} beneath the {job.opening.top_front} front"
        if plan.cover >= 0
        else f"ends {at_least(-plan.cover)} short of the seam"
    )
    text = (
        f"The sewing on the {under} front {found}, where {at_least(MIN_COVER_MM)} are needed so that nothing "
        f"shows bare when the garment moves; set under_cover to {at_least(MIN_COVER_MM)} or more."
    )
    return [PlanWarning("short-cover", plan.size, under, text)]


def _thin_reveals(job: Job, plan: SizePlan) -> list[PlanWarning]:
    found = []
    for index, (below, above) in enumerate(pairwise(job.layers), start=1):
        reveal = below.offset - above.offset - below.border.width / 2 - above.border.width / 2
        if reveal >= MIN_REVEAL_MM - SAME_MM:
            continue
        shows = (
            f"only {at_most(reveal)} of {quoted(below.name)} shows between its border and that of "
            f"{quoted(above.name)}"
            if reveal >= 0
            else f"the border of {quoted(above.name)} lies {at_least(-reveal)} over that of {quoted(below.name)}"
        )
        text = (
            f"{shows[:1].upper()}{shows[1:]}, where {at_least(MIN_REVEAL_MM)} should show: make the offset of "
            f"{quoted(below.name)} {at_least(MIN_REVEAL_MM - reveal)} larger, or a border narrower."
        )
        found.append(PlanWarning("thin-reveal", plan.size, None, text, layer=index))
    return found


def _span_mismatch(plan: SizePlan) -> list[PlanWarning]:
    """The design's place is traced between the two buttons of the span: a window that goes beyond either
    leaves no cloth between button and needle to read against, and is a design too tall for the size, or
    off its middle."""
    if plan.opening is None:
        return []
    half, (y0, y1) = plan.opening.span / 2, plan.window
    above, below = y1 - half, -y0 - half
    if max(above, below) <= SAME_MM:
        return []
    beyond = [f"{at_least(mm)} {way}" for mm, way in ((above, "above the upper"), (below, "below the lower"))
              if mm > SAME_MM]  # fmt: skip
    if above + below > SAME_MM:
        cure = f"make the design {at_least(above + below)} lower, and set its centre midway between them"
    else:
        cure = f"move its centre {at_least(max(above, below))} {'down' if above > below else 'up'}"
    text = (
        f"The trace window reaches {' and '.join(beyond)} button's centre, since the span is only "
        f"{plan.opening.span:g} mm: {cure}."
    )
    return [PlanWarning("span-mismatch", plan.size, None, text)]
