"""A run's events -> its state: replay, in one order, by the rules of `rules.py`.

Two readings of these rules exist, this one and static/js/run.js; tests/vectors/*.json hold both equal.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from floor.domain.checklist import Checklist
from floor.domain.events import Event, Kind, UnreadableData, in_order
from floor.domain.payloads import Opened, Payload, Settled, Undone, read_payload
from floor.domain.rules import RuleBroken, apply, check_undo
from floor.domain.run_state import RunState
from floor.domain.settling import Aside, let_count, said_of


@dataclass(frozen=True)
class Step:
    """An event that applied, what it says, and the state after it. `settling`: the event that let it count, where it
    had been set aside; it then stands at that one's place and time."""

    event: Event
    payload: Payload
    after: RunState
    settling: Event | None = None

    @property
    def tapped(self) -> Event:
        """What was tapped to bring the step about; an undo names it."""
        return self.settling or self.event


@dataclass(frozen=True)
class Verdict:
    """What became of an event. Set aside, it keeps its reason; nothing that arrived is thrown away.

    `operator`: who was at the machine just after it. `settled`: the event by which a supervisor settled what had
    been set aside; applied, it counts at that event's place.
    """

    applied: bool
    reason: str = ""
    operator: str = ""
    settled: str = ""


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
        return next((step.event.when for step in self.steps if isinstance(step.payload, Opened)), None)

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
BEYOND_REFUSAL = (Kind.SETTLE, Kind.UNDO)


def replay(
    checklist: Checklist,
    opening: Opened | None,
    events: Iterable[Event],
    refusal: str = "",
    too_late: Mapping[str, str] = NONE_TOO_LATE,
) -> Replay:
    """Replay `events` (all of one run, any order, no repeats) against `checklist`.

    `opening` is the payload of the opening event that the checklist was made for; None: nothing opens the run.
    `refusal`: the reason why the run may not exist at all (another run has its garment); everything is then set
    aside with it, and can only be kept as a note. `too_late`: undos, by event id, that other runs stand in the way
    of, with the reason (history.py). Never raises: what cannot apply is set aside, and the verdict says why.
    """
    run = _Replaying(checklist, opening, refusal, too_late)
    for event in in_order(events):
        run.take(event)
    return Replay(run.state, tuple(run.steps), run.verdicts, tuple(run.past))


class _Replaying:
    """A run as it stands after the events taken so far."""

    def __init__(
        self, checklist: Checklist, opening: Opened | None, refusal: str, too_late: Mapping[str, str]
    ) -> None:
        self.void = self.state = RunState(checklist)
        self.opening, self.refusal, self.too_late = opening, refusal, too_late
        self.steps: list[Step] = []
        self.verdicts: dict[str, Verdict] = {}
        self.aside_with: dict[str, Verdict] = {}  # what became of a tap before it was settled
        self.past: list[Moment] = []
        self.aside = Aside()
        self.adrift: set[str] = set()  # devices whose next step is adrift: what was so itself does not count

    def take(self, event: Event) -> None:
        try:
            self._apply(event)
            self.verdicts[event.id] = Verdict(True, "", self.state.operator)
            self.past.append(Moment(event, self.state))
        except (RuleBroken, UnreadableData) as broken:
            self.verdicts[event.id] = Verdict(False, str(broken), self.state.operator)
            self._leaves_out(event)
            if event.kind != Kind.SETTLE:
                self.aside.events[event.id] = event
                self.aside_with[event.id] = self.verdicts[event.id]

    def _apply(self, event: Event) -> None:
        # Settling, and taking that back, is all that can be done about a run that may not exist.
        if self.refusal and (
            event.kind not in BEYOND_REFUSAL or (event.kind == Kind.UNDO and not self.steps)
        ):
            raise RuleBroken(self.refusal)
        payload = read_payload(event)
        if isinstance(payload, Undone):
            self._take_back(event, payload)
        elif isinstance(payload, Settled):
            self._settle(event, payload)
        else:
            self._go_on(Step(event, payload, apply(self.state, event, payload, self.opening)))

    def _leaves_out(self, event: Event) -> None:
        """The clock had changed before it all the same: whatever comes next from its tablet stands behind that."""
        if event.adrift:
            self.adrift.add(event.device)

    def _go_on(self, step: Step) -> None:
        if step.tapped.device in self.adrift:
            self.adrift.discard(step.tapped.device)
            step = replace(step, event=replace(step.event, adrift=True))
        self.steps.append(step)
        self.state = step.after

    def _take_back(self, event: Event, payload: Undone) -> None:
        check_undo(event, payload, self.steps[-1].tapped if self.steps else None)
        if event.id in self.too_late:
            raise RuleBroken(self.too_late[event.id])
        gone = self.steps.pop()
        self._leaves_out(gone.tapped)
        self._leaves_out(event)
        self.state = self.steps[-1].after if self.steps else self.void
        for target in self.aside.unsettle(gone.tapped.id):
            self.verdicts[target] = self.aside_with[target]

    def _settle(self, event: Event, payload: Settled) -> None:
        target = self.aside.target_of(event, payload)
        if payload.how == "keep":
            kept = self.aside.kept_with(target, self.state)
            self._go_on(Step(event, payload, self.state))
            for one in kept:
                self.verdicts[one.id] = replace(self.verdicts[one.id], settled=event.id)
        else:
            if self.refusal:
                raise RuleBroken(self.refusal)
            found, kept = let_count(self.state, event, target, self.opening), [target]
            self._go_on(Step(found.event, found.payload, found.after, event))
            reason = said_of(event, payload)
            self.verdicts[target.id] = Verdict(True, reason, self.state.operator, event.id)
        self.aside.settle(event, kept)
