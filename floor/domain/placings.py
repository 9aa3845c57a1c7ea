"""What a run tells of how its fronts were laid: each settled round of readings, and what was done about it.

Read from a replay, so what was taken back never happened.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees
from typing import Literal

from floor.domain.checklist import Phase, PlaceCheck, Reading
from floor.domain.fronts import Readings
from floor.domain.job import Front
from floor.domain.payloads import Opened, PhaseDone, ReadAgain, ReadingTaken, Redone, Scrapped
from floor.domain.place_in_run import index_of, judged, settled_place, takes_of
from floor.domain.placement import other_placement, own_placement
from floor.domain.run import Replay, Step
from floor.domain.run_state import RunState
from floor.domain.weighing import Action, Sure

Did = Literal[
    "", "sewn", "measured", "nudged", "laid again", "read again", "taken as it lay", "sent back", "scrapped"
]


@dataclass(frozen=True)
class Placing:
    """One settled round. `phase`, `key`: of the phase; `front`: the one that was read, the other front's where
    `kind` is "sewn"; `number`: counts the phase's rounds from 1; `fresh`: the first round after the cloth was
    laid. `takes`: how many each reading rests on, their mean; `pairs`: second take less first, place by place.
    `along`, `across`, `skew_deg`, `stretch`: how the design lay by these readings alone; `height`: between the
    heights at which it was read. `worst`, `risk`, `verdict`, `sure`: what was foretold, None or "" of a front as sewn.
    `did`: what was done then, "" while it is open; `nudge`: (along, across) where the start was moved.
    `at`: when its last reading was taken, ms. Lengths in mm."""

    phase: int
    key: str
    garment: int
    front: Front
    kind: Literal["set", "sewn"]
    number: int
    fresh: bool
    readings: Readings
    takes: float
    pairs: tuple[float, ...]
    along: float
    across: float
    skew_deg: float
    stretch: float
    height: float
    worst: float | None
    risk: float | None
    verdict: Action | Literal[""]
    sure: Sure | Literal[""]
    did: Did
    nudge: tuple[float, float]
    at: int


def placings(found: Replay) -> tuple[Placing, ...]:
    """The rounds of a run in the order in which they were closed; one that is still open comes last."""
    walk = _Walk(load_of(found))
    before: RunState | None = None
    for step in found.steps:
        if before is not None:
            walk.take(before, step)
        before = step.after
    if before is not None and not before.ended:
        walk.close(before, "")
    return tuple(walk.found)


def load_of(found: Replay) -> tuple[int, ...]:
    """The garments with which a run was opened."""
    return next((step.payload.garments for step in found.steps if isinstance(step.payload, Opened)), ())


class _Walk:
    """Goes through a run's steps and tells each round once, when it is closed."""

    def __init__(self, load: tuple[int, ...]) -> None:
        self.load = load
        self.found: list[Placing] = []
        self.rounds: dict[int, int] = {}  # by phase
        self.laid: set[int] = set()  # phases whose cloth has lain untouched since their last round
        self.read_at = 0

    def take(self, before: RunState, step: Step) -> None:
        said = step.payload
        if isinstance(said, ReadingTaken):
            self.read_at = step.event.when
        elif isinstance(said, ReadAgain):
            self.close(before, said.how, (said.along, said.across))
            if said.how == "laid again":
                self.laid.discard(before.phase)
        elif isinstance(said, PhaseDone):
            self.close(before, _ended(before))
        elif isinstance(said, Scrapped) and (step.after.all_scrapped or is_lost(step.after)):
            self.close(before, "scrapped")
        elif isinstance(said, Redone):
            self._redone(before, said)

    def _redone(self, before: RunState, said: Redone) -> None:
        if said.to is None:
            self.close(before, "sent back")
            return
        relaid = {at for at, phase in enumerate(before.phases) if said.to <= _lays(before, phase)}
        self.close(before, "laid again" if before.phase in relaid else "read again")
        self.laid -= relaid

    def close(self, state: RunState, did: Did, nudge: tuple[float, float] = (0.0, 0.0)) -> None:
        """Tell the round of the current phase, if it has one: a place that was read."""
        phase = state.current
        if phase is None or phase.place is None or not self.load or is_lost(state):
            return
        settled = settled_place(state, state.phase)
        doubted = any(missing.what == "reading" for missing in state.missing)
        if settled is None or (doubted and did in ("", "read again")):
            return  # what is doubted is being measured anew; cloth that was lifted for it lay so
        self.rounds[state.phase] = self.rounds.get(state.phase, 0) + 1
        weighed = judged(state, state.phase)
        lies = (own_placement if phase.place.kind == "set" else other_placement)(phase.place.sums, settled[0])
        self.found.append(
            Placing(
                phase=state.phase,
                key=phase.key,
                garment=garment_of(phase, self.load),
                front=_front(phase.place),
                kind=phase.place.kind,
                number=self.rounds[state.phase],
                fresh=state.phase not in self.laid,
                readings=settled[0],
                takes=settled[1],
                pairs=_pairs(state, phase.readings),
                along=lies.along,
                across=lies.across,
                skew_deg=degrees(lies.skew),
                stretch=lies.stretch,
                height=_height(phase.place),
                worst=weighed.worst if weighed else None,
                risk=weighed.risk if weighed else None,
                verdict=weighed.verdict if weighed else "",
                sure=weighed.sure if weighed else "",
                did=did,
                nudge=nudge,
                at=self.read_at,
            )
        )
        self.laid.add(state.phase)


def _lays(state: RunState, phase: Phase) -> int:
    """The phase in which the cloth of a place is laid: what goes back so far lays it anew. Before the first, -1,
    where nothing is laid."""
    laying = index_of(state.phases, phase.place.relay_to) if phase.place is not None else None
    return -1 if laying is None else laying


def _ended(state: RunState) -> Did:
    if (state.phase, "place", "place") in state.accepted:
        return "taken as it lay"
    place = state.current.place if state.current is not None else None
    return "measured" if place is not None and place.kind == "sewn" else "sewn"


def is_lost(state: RunState) -> bool:
    """Whether the current phase is about a garment that was scrapped."""
    phase = state.current
    return phase is not None and phase.garment is not None and phase.garment in state.scrapped


def garment_of(phase: Phase, load: tuple[int, ...]) -> int:
    """The garment that a phase is about, of a load that has one at least."""
    return phase.garment if phase.garment is not None else load[0]


def _front(place: PlaceCheck) -> Front:
    if place.kind == "set":
        return place.sums.front
    return "left" if place.sums.front == "right" else "right"


def _height(place: PlaceCheck) -> float:
    other = place.sums.other
    return place.sums.height if place.kind == "set" else other.upper - other.lower


def _pairs(state: RunState, readings: tuple[Reading, ...]) -> tuple[float, ...]:
    values = [takes_of(state, state.phase, reading.id) for reading in readings]
    return tuple(round(takes[1] - takes[0], 4) for takes in values if len(takes) > 1)
