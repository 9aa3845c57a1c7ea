"""What each event may do to a run, and what it does. Raises a RuleBroken that says what stands in the way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from floor.domain import rules_of_phase
from floor.domain.events import Event
from floor.domain.payloads import (
    Accepted,
    Approved,
    CheckAnswered,
    Counted,
    HandedOver,
    Noted,
    Opened,
    Paused,
    Payload,
    PhaseDone,
    Pictured,
    ProblemCleared,
    ProblemMet,
    ReadAgain,
    ReadingTaken,
    Redone,
    Resumed,
    Scrapped,
    TakenOver,
    Undone,
)
from floor.domain.problems import PROBLEMS
from floor.domain.rule_broken import (
    InOtherHands,
    NeedsSupervisor,
    NotOpened,
    NotTheNewest,
    PhaseOutOfOrder,
    ProblemOpen,
    RuleBroken,
    RunEnded,
    RunPaused,
    StillMissing,
)
from floor.domain.run_state import OpenProblem, RunState

__all__ = ["RULES", "RuleBroken", "apply", "check_undo"]


AFTER_THE_END = (Noted, Pictured, ProblemCleared)
WHILE_PAUSED = (Resumed, Noted, Pictured, HandedOver, TakenOver, ProblemMet, Scrapped)
WHILE_BLOCKED = (
    ProblemCleared,
    ProblemMet,
    Noted,
    Pictured,
    HandedOver,
    TakenOver,
    Paused,
    Resumed,
    Scrapped,
)
BOUND_TO_PHASE = (CheckAnswered, ReadingTaken, ReadAgain, Counted, PhaseDone, Accepted, Approved)
FROM_ANYWHERE = (
    TakenOver,
    Approved,
    Noted,
    Pictured,
)  # the rest only from the tablet that has the run in hand


def apply(state: RunState, event: Event, payload: Payload, opening: Opened | None) -> RunState:
    """The state after `payload`. Raises RuleBroken when it may not happen now."""
    if isinstance(payload, Opened):
        return _open(state, event, payload, opening)
    _guard(state, event, payload)
    rule: Callable[[RunState, Event, Any], RunState] = RULES[type(payload)]
    return rule(state, event, payload)


def _guard(state: RunState, event: Event, payload: Payload) -> None:
    count = len(state.phases)
    if event.phase > count:
        raise PhaseOutOfOrder(f"There is no phase {event.phase + 1} in this run; it has {count}.")
    if not state.opened:
        raise NotOpened("The run was not open.")
    if state.ended and not isinstance(payload, AFTER_THE_END):
        raise RunEnded(f"The run had already ended ({state.status}).")
    if state.ended:
        return
    if event.device != state.device and not isinstance(payload, FROM_ANYWHERE):
        raise InOtherHands(
            f"{state.operator} has this run in hand at another tablet; to go on at this one, take it over first."
        )
    if state.pause and not isinstance(payload, WHILE_PAUSED):
        raise RunPaused("The run was paused; going on comes first.")
    if state.blocked and not isinstance(payload, WHILE_BLOCKED):
        raise ProblemOpen("A problem was open; putting it right comes first.")
    if isinstance(payload, BOUND_TO_PHASE) and event.phase != state.phase:
        raise PhaseOutOfOrder(
            f"It was said of phase {event.phase + 1} while the run was at phase {state.phase + 1}."
        )


def check_undo(event: Event, payload: Undone, newest: Event | None) -> None:
    """An undo takes back the newest event in force, and only one of the same device."""
    if newest is None:
        raise NotTheNewest("There was nothing to take back.")
    if newest.id != payload.event:
        raise NotTheNewest("Something newer had happened since; only the newest tap can be taken back.")
    if newest.device != event.device:
        raise NotTheNewest("The newest tap came from another tablet; only that tablet can take it back.")


def _open(state: RunState, event: Event, payload: Opened, opening: Opened | None) -> RunState:
    if state.opened:
        raise RuleBroken("The run was already open.")
    if payload != opening:
        raise RuleBroken("The run had been opened for something else before.")
    state = replace(state, opened=True, garments=payload.garments, operator=payload.operator)
    return replace(state, device=event.device, since=event.when)


def _pause(state: RunState, event: Event, said: Paused) -> RunState:
    return replace(state, pause=said.reason)


def _resume(state: RunState, event: Event, said: Resumed) -> RunState:
    if not state.pause:
        raise RuleBroken("The run was not paused.")
    return replace(state, pause="")


def _problem(state: RunState, event: Event, said: ProblemMet) -> RunState:
    kind = PROBLEMS[said.problem]
    problem = OpenProblem(event.id, said.problem, said.note, kind.blocking, kind.needs_fragments)
    return replace(state, problems=(*state.problems, problem))


def _cleared(state: RunState, event: Event, said: ProblemCleared) -> RunState:
    problem = next((p for p in state.problems if p.event == said.problem), None)
    if problem is None:
        raise RuleBroken("That problem was not open.")
    if problem.needs_fragments and said.fragments != "all":
        if said.fragments != "missing":
            raise StillMissing("Whether every fragment of the needle was found was not said.")
        if not event.authority:
            raise NeedsSupervisor("Fragments were missing: a supervisor must decide.")
        if not said.decision.strip():
            raise StillMissing("Fragments were missing and nothing was said of what was decided.")
    return replace(state, problems=tuple(p for p in state.problems if p is not problem))


def _redo(state: RunState, event: Event, said: Redone) -> RunState:
    if said.to is None:
        if said.section not in [key for key, _ in state.checklist.earlier]:
            raise RuleBroken(f'The run could not be sent back to "{said.section}": it is no earlier section.')
        return replace(state, sent_back=said.section)
    if said.to > state.phase:
        raise PhaseOutOfOrder(f"Phase {said.to + 1} had not been reached; a redo goes back.")
    to = said.to
    return replace(
        state,
        phase=to,
        answers=_before(state.answers, to),
        readings=_before(state.readings, to),
        counts=_before(state.counts, to),
        tries={phase: tries for phase, tries in state.tries.items() if phase < to},
        accepted=frozenset(item for item in state.accepted if item[0] < to),
        approved=frozenset(phase for phase in state.approved if phase < to),
        rework_until=max(state.rework_until, state.phase + 1),
    )


def _before(values: Mapping[tuple[int, str], Any], to: int) -> dict[tuple[int, str], Any]:
    return {key: value for key, value in values.items() if key[0] < to}


def _scrap(state: RunState, event: Event, said: Scrapped) -> RunState:
    strange = [n for n in said.garments if n not in state.garments]
    if strange:
        raise RuleBroken(f"Garment {strange[0]} was not in this load.")
    return replace(
        state,
        garments=tuple(n for n in state.garments if n not in said.garments),
        scrapped=tuple(sorted((*state.scrapped, *said.garments))),
    )


def _hand_over(state: RunState, event: Event, said: HandedOver) -> RunState:
    return replace(state, operator=said.to, since=event.when)


def _take_over(state: RunState, event: Event, said: TakenOver) -> RunState:
    # Also from the tablet that has it: after taps that crossed, whoever takes it over has it for certain.
    return replace(state, operator=said.operator, device=event.device, since=event.when)


def _no_change(state: RunState, event: Event, said: Noted | Pictured) -> RunState:
    return state


RULES: Mapping[type[Payload], Callable[[RunState, Event, Any], RunState]] = {
    CheckAnswered: rules_of_phase.check,
    ReadingTaken: rules_of_phase.reading,
    ReadAgain: rules_of_phase.again,
    Counted: rules_of_phase.count,
    PhaseDone: rules_of_phase.done,
    Paused: _pause,
    Resumed: _resume,
    ProblemMet: _problem,
    ProblemCleared: _cleared,
    Redone: _redo,
    Accepted: rules_of_phase.accept,
    Scrapped: _scrap,
    HandedOver: _hand_over,
    TakenOver: _take_over,
    Approved: rules_of_phase.approve,
    Noted: _no_change,
    Pictured: _no_change,
}
