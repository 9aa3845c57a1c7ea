"""What may be said of the phase that a run is at: its checks, readings and counts, its end, its approval."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from floor.domain.events import Event
from floor.domain.payloads import Accepted, Approved, CheckAnswered, Counted, PhaseDone, ReadingTaken
from floor.domain.rule_broken import NeedsSupervisor, NotOnThisPhase, StillMissing
from floor.domain.run_state import Missing, RunState


def check(state: RunState, event: Event, said: CheckAnswered) -> RunState:
    check = next((c for c in _phase(state).checks if c.id == said.check), None)
    if check is None:
        raise NotOnThisPhase(f'This phase has no check "{said.check}".')
    if said.value not in check.answers:
        raise NotOnThisPhase(f"“{said.value}” is not an answer to “{check.ask}”.")
    return replace(
        state,
        answers={**state.answers, (state.phase, said.check): said.value},
        accepted=state.accepted - {(state.phase, "check", said.check)},
    )


def reading(state: RunState, event: Event, said: ReadingTaken) -> RunState:
    if all(r.id != said.reading for r in _phase(state).readings):
        raise NotOnThisPhase(f'This phase has no reading "{said.reading}".')
    return replace(
        state,
        readings={**state.readings, (state.phase, said.reading): said.value},
        accepted=state.accepted - {(state.phase, "reading", said.reading)},
    )


def count(state: RunState, event: Event, said: Counted) -> RunState:
    if all((c.id, c.side) != (said.count, said.side) for c in _phase(state).counts):
        raise NotOnThisPhase(f"This phase does not count {said.count} {said.side}.")
    name = f"{said.count} {said.side}"
    return replace(
        state,
        counts={**state.counts, (state.phase, name): said.value},
        # Either side counted anew makes another difference than the one that was taken as it is.
        accepted=state.accepted - {(state.phase, "count", f"{said.count} in")},
    )


def done(state: RunState, event: Event, said: PhaseDone) -> RunState:
    missing = state.missing
    if missing:
        raise StillMissing(f"The phase could not end: {_told(missing[0])}.")
    return replace(state, phase=state.phase + 1)


def _told(missing: Missing) -> str:
    return {
        "not given": f"{missing.what} {missing.name} was not given",
        "wrong": f"{missing.what} {missing.name} was answered otherwise",
        "outside": f"{missing.what} {missing.name} was outside its limits",
        "differs": f"{missing.name} differed from what was counted out",
    }[missing.why]


def accept(state: RunState, event: Event, said: Accepted) -> RunState:
    wanted = next((m for m in state.missing if (m.what, m.name) == (said.what, said.name)), None)
    if wanted is None:
        raise NotOnThisPhase(f"{said.what.capitalize()} {said.name} did not stand in the way.")
    if wanted.accept == "nobody":
        raise StillMissing(f"{said.what.capitalize()} {said.name} cannot be taken as it is.")
    if wanted.accept == "supervisor" and not event.authority:
        raise NeedsSupervisor(f"Only a supervisor can take {said.what} {said.name} as it is.")
    return replace(state, accepted=state.accepted | {(state.phase, said.what, said.name)})


def approve(state: RunState, event: Event, said: Approved) -> RunState:
    if not state.approval_owed:
        raise NotOnThisPhase("No approval was owed.")
    if not event.authority:
        raise NeedsSupervisor("Only a supervisor can approve the first piece.")
    return replace(state, approved=state.approved | {state.phase})


def _phase(state: RunState) -> Any:
    assert state.current is not None  # _guard has refused a run that has ended
    return state.current
