"""A plan for the office's pages: what it warns of, each front's sums, the stop sheets."""

from __future__ import annotations

from dataclasses import dataclass

from floor.domain.fronts import FrontPlan, SizePlan
from floor.domain.job import HouseRules
from floor.domain.lengths import format_mm
from floor.domain.plan import JobPlan
from floor.queries.plan_words import (
    MM2_PER_CM2,
    capital,
    front_words,
    sewn_alike,
    size_words,
    under_first_words,
    warning_about,
)
from floor.queries.stop_sheet import StopSheet, stop_sheets

MM_PER_CM = 10


@dataclass(frozen=True)
class WarningLine:
    """`about`: as `warning_about` says it."""

    about: str
    text: str


@dataclass(frozen=True)
class LayerSums:
    layer: str
    area: str
    cut: str
    corners: int
    holes: int
    blank: str


@dataclass(frozen=True)
class FrontSums:
    title: str
    facts: tuple[str, ...]
    layers: tuple[LayerSums, ...]


@dataclass(frozen=True)
class SizeSums:
    """Sizes that are sewn alike. `sizes`: "" where they are all the job's sizes."""

    sizes: str
    facts: tuple[str, ...]
    fronts: tuple[FrontSums, ...]


@dataclass(frozen=True)
class PlanPage:
    """`left_out`: the outline's sentences on what of the drawing is no part of it; `order`: what the order of the
    fronts costs, "" for nothing."""

    warnings: tuple[WarningLine, ...]
    order: str
    left_out: tuple[str, ...]
    sizes: tuple[SizeSums, ...]
    sheets: tuple[StopSheet, ...]


def plan_page(plan: JobPlan, left_out: tuple[str, ...], house: HouseRules) -> PlanPage:
    groups = sewn_alike(plan)
    return PlanPage(
        warnings=warning_lines(plan),
        order=under_first_words(plan.job, house),
        left_out=left_out,
        sizes=tuple(
            SizeSums(
                capital(size_words(group)) if len(groups) > 1 else "",
                _size_facts(plan.sizes[group[0]]),
                tuple(
                    _front(plan, plan.sizes[group[0]].fronts[front], house)
                    for front in plan.job.sewn_in_order(house)
                ),
            )
            for group in groups
        ),
        sheets=stop_sheets(plan, house),
    )


def warning_lines(plan: JobPlan) -> tuple[WarningLine, ...]:
    return tuple(WarningLine(warning_about(warning), warning.text) for warning in plan.warnings)


def _size_facts(size: SizePlan) -> tuple[str, ...]:
    y0, y1 = size.window
    facts = [f"The needle traces {format_mm(y1 - y0)}, from {format_mm(y0)} to {format_mm(y1)}."]
    if size.cover is not None:
        facts.append(f"The under front is sewn {format_mm(size.cover)} beyond the seam.")
    return tuple(facts)


def _front(plan: JobPlan, front: FrontPlan, house: HouseRules) -> FrontSums:
    return FrontSums(
        front_words(plan, front.front, house),
        tuple(_front_facts(front)),
        tuple(
            LayerSums(
                layer=f"{piece.layer + 1} {plan.job.layers[piece.layer].name}",
                area=f"{piece.area / MM2_PER_CM2:.0f} cm²",
                cut=f"{piece.cut_length / MM_PER_CM:.1f} cm",
                corners=piece.corners,
                holes=piece.holes,
                blank=f"{piece.blank[0]:g} × {piece.blank[1]:g} mm" if piece.blank else "none",
            )
            for piece in front.pieces
        ),
    )


def _front_facts(front: FrontPlan) -> list[str]:
    facts = []
    if front.extent is not None:
        x0, y0, x1, y1 = front.extent
        fits = "fits the hoop" if front.fits_hoop else "does not fit the hoop"
        facts.append(f"Sewn {x1 - x0:.1f} × {y1 - y0:.1f} mm, {fits}.")
    if front.reach is not None:
        way = "past" if front.reach >= 0 else "inside"
        facts.append(f"It ends {format_mm(abs(front.reach))} {way} the folded edge.")
    if front.marks:
        facts.append("Two marks show the window's upper and lower line, in a last stop that is never sewn.")
    return facts
