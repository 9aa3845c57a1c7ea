"""What becomes of a tap that was set aside, once a supervisor has settled it.

Let count, it does at the place and the time of the settling what it could not do at its own; kept, it stays a note.
The supervisor stands behind it. When the work itself was done nobody knows: the time before it counts nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from floor.domain.events import Event, UnreadableData
from floor.domain.payloads import Opened, Payload, Settled, TakenOver, Undone, read_payload
from floor.domain.rule_broken import NeedsSupervisor, RuleBroken
from floor.domain.rules import apply
from floor.domain.run_state import RunState

NEVER_LATER = (Opened, TakenOver, Settled, Undone)


@dataclass
class Aside:
    """What was set aside in a run so far, by event id; `settled`: which event settled it."""

    events: dict[str, Event] = field(default_factory=dict)
    settled: dict[str, str] = field(default_factory=dict)

    def settle(self, event: Event, targets: list[Event]) -> None:
        self.settled |= {target.id: event.id for target in targets}

    def unsettle(self, settling: str) -> list[str]:
        """What that event had settled is open again; which."""
        back = [target for target, by in self.settled.items() if by == settling]
        for target in back:
            del self.settled[target]
        return back

    def target_of(self, event: Event, said: Settled) -> Event:
        """What `event` settles. Raises RuleBroken where it may not."""
        if event.authority != "supervisor":
            raise NeedsSupervisor("Only a supervisor can settle what was set aside.")
        if said.event not in self.events:
            raise RuleBroken("No such tap had been set aside.")
        if said.event in self.settled:
            raise RuleBroken("That had been settled before.")
        return self.events[said.event]

    def kept_with(self, target: Event, state: RunState) -> list[Event]:
        """What is kept as a note with `target`: all taps together where there is no run that goes on without them."""
        if state.opened:
            return [target]
        return [event for event in self.events.values() if event.id not in self.settled]


@dataclass(frozen=True)
class LetCount:
    """A tap as it counts after all, and the state after it."""

    event: Event
    payload: Payload
    after: RunState


def let_count(state: RunState, settling: Event, target: Event, opening: Opened | None) -> LetCount:
    """`target` at the place of `settling`. Raises RuleBroken or UnreadableData where it cannot apply."""
    payload = read_payload(target)
    if isinstance(payload, NEVER_LATER):
        raise RuleBroken(
            "A tap that opens a run, takes it over or takes another tap back cannot count later."
        )
    event = replace(
        target, device=settling.device, at=settling.at, offset_ms=settling.offset_ms, adrift=True,
        authority=settling.authority, by=settling.by,
    )  # fmt: skip
    # It was tapped at whatever tablet; the supervisor knows, and the run stays in the hands that it is in.
    after = apply(state, replace(event, device=state.device), payload, opening)
    return LetCount(event, payload, after)


def why_not_now(state: RunState, target: Event, opening: Opened | None) -> str:
    """Why a tap that was set aside could not be let count as the run stands now; "" where it could."""
    try:
        let_count(state, replace(target, authority="supervisor"), target, opening)
    except (RuleBroken, UnreadableData) as broken:
        return str(broken)
    return ""


def said_of(settling: Event, said: Settled) -> str:
    """What is told of a tap that counts after all."""
    return f"{settling.by or 'A supervisor'} let it count: {said.why}"
