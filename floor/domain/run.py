"""A run's events -> its state: replay, in one order, by the rules of `rules.py`.

Two readings of these rules exist, this one and static/js/run.js; tests/vectors/*.json hold both equal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from floor.domain.checklist import Checklist
from floor.domain.events import Event, UnreadableData, in_order
from floor.domain.payloads import Opened, Payload, Undone, read_payload
from floor.domain.rules import RuleBroken, apply, check_undo
from floor.domain.run_state import RunState


@dataclass(frozen=True)
class Step:
    """An event that applied, what it says, and the state after it."""

    event: Event
    payload: Payload
    after: RunState


@dataclass(frozen=True)
class Verdict:
    """What became of an event. Set aside, it keeps its reason; nothing that arrived is thrown away.

    `operator`: who was at the machine just after it.
    """

    applied: bool
    reason: str = ""
    operator: str = ""


@dataclass(frozen=True)
class Moment:
    """An event that applied, an undo included, and how the run stood once it was said."""

    event: Event
    state: RunState


@dataclass(frozen=True)
class Replay:
    """`steps`: the events in force, in order, without those taken back. `verdicts` by event id.
    `past`: all that applied, in order, with what was taken back later and the undos themselves."""

    state: RunState
    steps: tuple[Step, ...]
    verdicts: Mapping[str, Verdict]
    past: tuple[Moment, ...] = ()

    @property
    def opened_at(self) -> int | None:
        return self.steps[0].event.when if self.steps else None

    @property
    def ended_at(self) -> int | None:
        """When the run ended, ms; None while it has not."""
        ending = None
        for step in reversed(self.steps):
            if not step.after.ended:
                break
            ending = step.event.when
        return ending


NONE_TOO_LATE: Mapping[str, str] = {}


def replay(
    checklist: Checklist,
    opening: Opened,
    events: Iterable[Event],
    refusal: str = "",
    too_late: Mapping[str, str] = NONE_TOO_LATE,
) -> Replay:
    """Replay `events` (all of one run, any order, no repeats) against `checklist`.

    `opening` is the payload of the opening event that the checklist was made for. `refusal`: the reason why
    the run may not exist at all (another run has its garment); everything is then set aside with it.
    `too_late`: undos, by event id, that other runs stand in the way of, with the reason (history.py).
    Never raises: what cannot apply is set aside, and the verdict says why.
    """
    state = RunState(checklist)
    steps: list[Step] = []
    verdicts: dict[str, Verdict] = {}
    past: list[Moment] = []
    for event in in_order(events):
        try:
            if refusal:
                raise RuleBroken(refusal)
            payload = read_payload(event)
            if isinstance(payload, Undone):
                check_undo(event, payload, [step.event for step in steps])
                if event.id in too_late:
                    raise RuleBroken(too_late[event.id])
                steps.pop()
                state = steps[-1].after if steps else RunState(checklist)
            else:
                state = apply(state, event, payload, opening)
                steps.append(Step(event, payload, state))
            verdicts[event.id] = Verdict(True, "", state.operator)
            past.append(Moment(event, state))
        except (RuleBroken, UnreadableData) as broken:
            verdicts[event.id] = Verdict(False, str(broken), state.operator)
    return Replay(state, tuple(steps), verdicts, tuple(past))
