"""What a run tells of how the halves of its garments met: the steps and gaps found when one was closed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from floor.domain.checklist import Phase, Reading
from floor.domain.payloads import PhaseDone, ReadingTaken, Redone, Scrapped
from floor.domain.place_in_run import takes_of
from floor.domain.placings import garment_of, is_lost, load_of
from floor.domain.run import Replay, Step
from floor.domain.run_state import RunState
from floor.domain.takes import settle

Outcome = Literal["open", "passed", "conceded", "sent back", "scrapped"]

STEP, GAP = "step", "gap"
WHOLE_SEAM = "worst"  # the crossing of a reading that is asked once for the whole seam


@dataclass(frozen=True)
class Meeting:
    """A garment closed and compared. `phase`, `key`: of the phase; `steps`, `gaps`: found, by crossing;
    `worst_step`, `worst_gap`: None where none was measured; `passes`: the largest that passes by itself;
    `outcome`: "conceded" where a supervisor let it stand; `at`: when the last was measured, ms. Lengths in mm.
    """

    phase: int
    key: str
    garment: int
    steps: Mapping[str, float]
    gaps: Mapping[str, float]
    worst_step: float | None
    worst_gap: float | None
    passes: float
    outcome: Outcome
    at: int


def meetings(found: Replay) -> tuple[Meeting, ...]:
    """One for each phase in which a step or a gap was measured, in the order of the phases; of a run that went
    back and measured anew the newest measures only."""
    load = load_of(found)
    ends: dict[int, tuple[RunState, Outcome]] = {}
    read_at: dict[int, int] = {}
    before: RunState | None = None
    for step in found.steps:
        if before is not None and _compares(before):
            if isinstance(step.payload, ReadingTaken):
                read_at[before.phase] = step.event.when
            outcome = _outcome(before, step)
            if outcome != "open":
                ends[before.phase] = before, outcome
        if isinstance(step.payload, Redone) and step.payload.to is not None:
            ends = {phase: end for phase, end in ends.items() if phase < step.payload.to}
        before = step.after
    if before is not None and not before.ended and _compares(before) and not is_lost(before):
        ends[before.phase] = before, "open"
    return tuple(
        _meeting(state, phase, outcome, load, read_at[phase])
        for phase, (state, outcome) in sorted(ends.items())
        if load and _measured(state, phase, STEP) | _measured(state, phase, GAP)
    )


def _compares(state: RunState) -> bool:
    """Whether the run is at a phase in which a closed garment is measured."""
    phase = state.current
    return (
        phase is not None
        and phase.place is None
        and any(_measures(reading, STEP) for reading in phase.readings)
    )


def _measures(reading: Reading, what: str) -> bool:
    return reading.id == what or reading.id.startswith(f"{what}-")


def _outcome(before: RunState, step: Step) -> Outcome:
    """How this step ends the meeting that the run was at; "open" if it does not."""
    said = step.payload
    if is_lost(before):
        return "open"
    if isinstance(said, PhaseDone):
        return "conceded" if _conceded(before) else "passed"
    if isinstance(said, Redone) and said.to is None:
        return "sent back"
    if isinstance(said, Scrapped) and (step.after.all_scrapped or is_lost(step.after)):
        return "scrapped"
    return "open"


def _conceded(state: RunState) -> bool:
    assert state.current is not None  # it is at a phase that compares
    names = [r.id for r in state.current.readings if _measures(r, STEP) or _measures(r, GAP)]
    return any(
        (phase, what) == (state.phase, "reading") and name.partition(" ")[0] in names
        for phase, what, name in state.accepted
    )


def _meeting(state: RunState, index: int, outcome: Outcome, load: tuple[int, ...], at: int) -> Meeting:
    phase = state.phases[index]
    steps, gaps = _measured(state, index, STEP), _measured(state, index, GAP)
    return Meeting(
        phase=index,
        key=phase.key,
        garment=garment_of(phase, load),
        steps=steps,
        gaps=gaps,
        worst_step=max(steps.values(), default=None),
        worst_gap=max(gaps.values(), default=None),
        passes=_passes(phase),
        outcome=outcome,
        at=at,
    )


def _measured(state: RunState, index: int, what: str) -> dict[str, float]:
    """What was measured of it, by crossing."""
    found = {}
    for reading in state.phases[index].readings:
        settled = settle(takes_of(state, index, reading.id), reading.takes)
        if _measures(reading, what) and settled is not None:
            found[reading.id.partition("-")[2] or WHOLE_SEAM] = settled.value
    return found


def _passes(phase: Phase) -> float:
    return next(reading.high for reading in phase.readings if _measures(reading, STEP))
