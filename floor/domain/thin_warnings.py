"""The thin parts of each layer in words: on which front, where, how wide, and what would do."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from shapely import MultiPolygon

from floor.domain.fronts import FrontPlan, SizePlan
from floor.domain.job import Front, Job
from floor.domain.lengths import format_mm
from floor.domain.outline import Box
from floor.domain.quoting import quoted
from floor.domain.thin_parts import Kind, ThinPlace, simplified, thin_at_cut, thin_places
from floor.domain.warning import PlanWarning, at_most, rounded

MOST_PLACES = 6  # named and drawn in one warning, the narrowest first
ON_THE_LINE_MM = 0.5  # nearer to the centre line than this is on it


@dataclass
class _Found:
    """The thin places of one kind on one front, `front` None where they are on both; `cut`: some are there
    only because the cloth is cut off at the front's end."""

    places: list[ThinPlace] = field(default_factory=list)
    cut: bool = False


def thin_warnings(
    job: Job, cloths: tuple[MultiPolygon, ...], sizes: Mapping[str, SizePlan]
) -> dict[str, list[PlanWarning]]:
    """Of each size: at most one warning for each layer, kind of thin part, and front or both of them."""
    warned: dict[str, list[PlanWarning]] = {size: [] for size in sizes}
    for index, cloth in enumerate(cloths):
        layer = _Layer(job, index, simplified(cloth))
        for size, plan in sizes.items():
            warned[size] += layer.warnings(plan)
    return warned


class _Layer:
    """What is thin in one layer; each front's cut is looked at once for all sizes that cut it there."""

    def __init__(self, job: Job, index: int, cloth: MultiPolygon) -> None:
        self.job, self.index, self.cloth = job, index, cloth
        self.border = job.layers[index].border.width
        self.known = thin_places(cloth, self.border)
        self.at_cuts: dict[tuple[int, float], tuple[ThinPlace, ...]] = {}

    def warnings(self, plan: SizePlan) -> list[PlanWarning]:
        found: dict[tuple[Front | None, Kind], _Found] = defaultdict(_Found)
        for place in self.known:
            on = [front.front for front in plan.fronts.values() if self._is_on(place, front)]
            if on:
                found[on[0] if len(on) < len(plan.fronts) else None, place.kind].places.append(place)
        for front in plan.fronts.values():
            for place in self._at_cut(front):
                found[front.front, place.kind].places.append(place)
                found[front.front, place.kind].cut = True
        return [self._warning(plan.size, front, kind, of) for (front, kind), of in found.items()]

    def _cut_x(self, front: FrontPlan) -> float:
        assert front.limit_x is not None
        return front.limit_x - front.side * self.border / 2

    def _is_on(self, place: ThinPlace, front: FrontPlan) -> bool:
        if front.side == 0:
            return True
        cut_x = self._cut_x(front)
        return place.box[0] < cut_x if front.side > 0 else place.box[2] > cut_x

    def _at_cut(self, front: FrontPlan) -> tuple[ThinPlace, ...]:
        if front.side == 0:
            return ()
        cut_x = self._cut_x(front)
        if (front.side, cut_x) not in self.at_cuts:
            self.at_cuts[front.side, cut_x] = thin_at_cut(
                self.cloth, self.border, cut_x, front.side, self.known
            )
        return self.at_cuts[front.side, cut_x]

    def _warning(self, size: str, front: Front | None, kind: Kind, of: _Found) -> PlanWarning:
        places = sorted(of.places, key=lambda place: (place.width, place.box))
        shown, name = places[:MOST_PLACES], quoted(self.job.layers[self.index].name)
        what = f"The cloth of {name} is" if kind == "cloth" else f"A gap in {name} is"
        where = "" if front is None else f" on the {front} front"
        narrowest = f", the narrowest {MOST_PLACES}" if len(places) > MOST_PLACES else ""
        listed = "; ".join(f"{at_most(place.width)} wide {self._where(place.box)}" for place in shown)
        count = "one place" if len(places) == 1 else f"{len(places)} places"
        text = (
            f"{what} narrower than its border of {format_mm(self.border)} in {count}{where}{narrowest}: "
            f"{listed} (left and right as you face it); {_cure(kind, of.cut)}."
        )
        boxes = rounded(place.box for place in shown)
        return PlanWarning("thin-part", size, front, text, layer=self.index, places=boxes)

    def _where(self, box: Box) -> str:
        _, bottom, _, top = self.cloth.bounds
        x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        third = min(2, int(3 * (y - bottom) / (top - bottom)))
        height = ("near the bottom", "half-way up", "near the top")[max(0, third)]
        line = "middle" if self.job.opening is None else "centre line"
        if abs(x) < ON_THE_LINE_MM:
            return f"{height}, on the {line}"
        return f"{height}, {abs(x):.0f} mm to the {'left' if x < 0 else 'right'} of the {line}"


def _cure(kind: Kind, cut: bool) -> str:
    if kind == "gap":
        return "widen the gap or close it, or give the layer a narrower border"
    if cut:
        return "move the design across the opening, draw it wider there, or give the layer a narrower border"
    return "draw it wider there, or give the layer a narrower border"
