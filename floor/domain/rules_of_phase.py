"""What may be said of the phase that a run is at: its checks, readings and counts, its end, its approval."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from floor.domain.events import Event
from floor.domain.payloads import (
    Accepted,
    Approved,
    CheckAnswered,
    Counted,
    PhaseDone,
    ReadAgain,
    ReadingTaken,
)
from floor.domain.place_in_run import settled_place
from floor.domain.place_lie import Try
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
    asked = next((r for r in _phase(state).readings if r.id == said.reading), None)
    if asked is None:
        raise NotOnThisPhase(f'This phase has no reading "{said.reading}".')
    if said.take > 1 and asked.takes == 1:
        raise NotOnThisPhase(f'"{said.reading}" is read once in this phase.')
    return replace(
        state,
        readings={**state.readings, (state.phase, said.name): said.value},
        # A place read anew is another place than the one that was taken as it lay.
        accepted=state.accepted - {(state.phase, "reading", said.name), (state.phase, "place", "place")},
    )


def again(state: RunState, event: Event, said: ReadAgain) -> RunState:
    """What was read stays as a try, and the place is read anew."""
    here = _phase(state)
    if here.place is None or here.place.kind != "set":
        raise NotOnThisPhase("This phase judges no place.")
    settled = settled_place(state, state.phase)
    if settled is None or any(missing.what == "reading" for missing in state.missing):
        raise StillMissing("The place had not been read yet.")
    tried = Try(*settled, said.how, said.along, said.across)
    return replace(
        state,
        readings={key: value for key, value in state.readings.items() if key[0] != state.phase},
        tries={**state.tries, state.phase: (*state.tries.get(state.phase, ()), tried)},
        accepted=frozenset(
            item for item in state.accepted if item[0] != state.phase or item[1] not in ("reading", "place")
        ),
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
    if (missing.what, missing.why) == ("reading", "differs"):
        return f"no two takes of reading {missing.name} agreed"
    return {
        "not given": f"{missing.what} {missing.name} was not given",
        "wrong": f"{missing.what} {missing.name} was answered otherwise",
        "outside": f"{missing.what} {missing.name} was outside its limits",
        "differs": f"{missing.name} differed from what was counted out",
        "nudge": "the start was to be moved first",
        "re-lay": "the front was to be laid again first",
        "read": "the place was to be read once more",
        "decide": "the other front lies so far off that somebody decides about it first",
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
