"""One phase to be: what a template is repeated for, and whether its conditions hold there."""

from __future__ import annotations

from dataclasses import dataclass

from floor.domain.as_sewn import sewn_sums
from floor.domain.english import unique
from floor.domain.hand import Hand
from floor.domain.job import Garment, HouseRules, Job
from floor.domain.place_sums import OtherSums
from floor.domain.plan import JobPlan
from floor.domain.route_front import FrontOfLoad
from floor.domain.route_parts import Condition, PhaseTemplate, Route, Section


@dataclass(frozen=True)
class Repeat:
    """One phase to be: a template, and the layer, size or garment that it is for. `suffix` marks its key,
    `stop` is its number among the machine's phases, `machine_rounds` how often the machine sews its line."""

    route: Route
    plan: JobPlan
    section: Section
    load: tuple[Garment, ...]
    template: PhaseTemplate
    house: HouseRules
    hand: Hand
    machine_rounds: int
    layer: int | None = None
    size: str | None = None
    garment: Garment | None = None
    suffix: str = ""
    stop: int = 0

    @property
    def job(self) -> Job:
        return self.plan.job

    @property
    def on_front(self) -> FrontOfLoad | None:
        """The front that this phase works on, of the sizes that it is for; None at the bench."""
        if self.section.front is None:
            return None
        sizes = [self.size] if self.size is not None else unique(garment.size for garment in self.load)
        return FrontOfLoad(self.plan, self.section.front, tuple(sizes))

    @property
    def sewn_sums(self) -> OtherSums | None:
        """Where the front that is sewn before this one is measured; None where none is, or nothing crosses."""
        order = self.job.sewn_in_order(self.house)
        front, size = self.section.front, self.size
        if front is None or size is None or order.index(front) == 0:
            return None
        return sewn_sums(self.plan, size, order[0])

    @property
    def one_of_several(self) -> bool:
        return self.garment is not None and len(self.load) > 1


def holds(condition: Condition, repeat: Repeat, first_piece: bool) -> bool:
    """Whether the condition holds for this phase. `first_piece`: whether the load is the job's first piece."""
    job, house, front, layer = repeat.job, repeat.house, repeat.on_front, repeat.layer
    if condition == "layer.placement_line":
        return layer is not None and job.layers[layer].placement_line
    if condition == "layer.upper":
        return layer is not None and layer > 0
    if condition == "layer.sewn":
        return front is not None and layer is not None and bool(front.pieces(layer))
    if condition == "marks":
        return front is not None and front.needs_marks
    if condition == "first_piece":
        return first_piece and house.first_piece
    if condition == "several_heads":
        return job.machine.heads > 1
    if condition == "second_front":
        return front is not None and job.sewn_in_order(house).index(front.front) > 0
    if condition == "crossed":
        return repeat.sewn_sums is not None
    return house.edge_sealing
