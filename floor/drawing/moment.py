"""What lies in the hoop at a phase, read from the phases that came before it."""

from __future__ import annotations

from dataclasses import dataclass, field

from floor.domain.checklist import Checklist, Phase
from floor.domain.job import Job

# Drawn in the hoop, so something is hooped by then; a check or a cut may come before or after.
ONLY_HOOPED = frozenset({"hoop", "backing", "garment", "line", "lay", "tack", "border", "hooped", "marks"})


@dataclass
class LayerState:
    """How far one layer has come."""

    marked: bool = False
    laid: bool = False
    tacked: bool = False
    trimmed: bool = False
    sewn: bool = False


@dataclass
class Moment:
    """The state of the work before the phase's own doing; `now` is what this phase does."""

    now: Phase
    hooped: bool = False
    backing_line: bool = False
    garment: bool = False
    pinned: bool = False
    layers: list[LayerState] = field(default_factory=list)

    @property
    def sewing(self) -> bool:
        return self.now.who == "machine"


def moment(job: Job, checklist: Checklist, index: int) -> Moment:
    phases = checklist.phases
    found = Moment(phases[index], layers=[LayerState() for _ in job.layers])
    for phase in phases[:index]:
        _happen(found, phase)
    # What the hands do in this phase is drawn as done: the picture shows what it should come to look like.
    found.hooped = found.hooped or found.now.picture in ONLY_HOOPED
    found.garment = found.garment or found.now.picture == "garment"
    found.pinned = found.pinned or _counts(found.now, "out")
    return found


def _happen(found: Moment, phase: Phase) -> None:
    found.hooped = found.hooped or phase.picture in ONLY_HOOPED
    found.garment = found.garment or phase.picture == "garment"
    found.backing_line = found.backing_line or (phase.picture == "backing" and phase.who == "machine")
    found.pinned = (found.pinned or _counts(phase, "out")) and not _counts(phase, "in")
    if phase.layer is None:
        return
    layer = found.layers[phase.layer]
    layer.marked = layer.marked or phase.picture == "line"
    layer.laid = layer.laid or phase.picture == "lay"
    layer.tacked = layer.tacked or phase.picture == "tack"
    layer.trimmed = layer.trimmed or phase.picture == "trim"
    layer.sewn = layer.sewn or phase.picture == "border"


def _counts(phase: Phase, side: str) -> bool:
    return any(count.side == side for count in phase.counts)
