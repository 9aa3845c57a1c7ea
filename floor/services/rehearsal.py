"""Walks a load through a section as an operator would: the events of a clean run. For the demo's history."""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import exp
from typing import Any

from floor.domain.checklist import Checklist, Phase
from floor.domain.events import Kind

SPREAD = 0.35  # standard deviation of ln(time / expected) that the rehearsed hands have
READING_STEP_MM = 0.5
PLACE_STEP_MM = 0.2
SPARE_PINS = 6


@dataclass
class Hands:
    """One rehearsed tablet with its operator. `at`: its clock, ms; `random` decides how long things take."""

    device: str
    operator: str
    at: int
    random: random.Random
    seq: int = 0
    events: list[dict[str, Any]] = field(default_factory=list)

    def tap(
        self, run: str, kind: Kind | str, phase: int, data: Mapping[str, Any] | None = None
    ) -> dict[str, Any]:
        """One event, as a tablet sends it."""
        self.seq += 1
        event = {
            "id": str(uuid.UUID(int=self.random.getrandbits(128), version=4)),
            "run": run,
            "device": self.device,
            "seq": self.seq,
            "kind": str(kind),
            "phase": phase,
            "at": self.at,
            "data": dict(data or {}),
        }
        self.events.append(event)
        return event

    def new_run(self) -> str:
        return str(uuid.UUID(int=self.random.getrandbits(128), version=4))

    def work(self, phase: Phase, share: float = 1.0) -> None:
        """Let the time pass that this phase takes, or a share of it."""
        spread = 0.05 if phase.who == "machine" else SPREAD
        seconds = share * phase.expected_s * exp(self.random.gauss(0, spread))
        self.at += max(1, round(seconds * 1000))


def open_run(hands: Hands, run: str, opening: Mapping[str, Any]) -> dict[str, Any]:
    """The event that opens it."""
    return hands.tap(run, Kind.OPEN, 0, opening)


def walk(
    hands: Hands,
    run: str,
    checklist: Checklist,
    start: int = 0,
    stop: int | None = None,
    approved: bool = False,
) -> int:
    """Do the phases from index `start` on, in order; returns the index where the walk ended.

    It ends at `stop` (None: after the last), and before a phase that a supervisor must approve: nobody can give
    that in the operator's place. `approved`: the phase at `start` is one, and it was given.
    """
    for index in range(start, len(checklist.phases) if stop is None else stop):
        phase = checklist.phases[index]
        if phase.approval and not (approved and index == start):
            return index
        if not phase.approval:
            hands.work(phase)
        for kind, data in answers(phase, hands.random):
            hands.tap(run, kind, index, data)
        hands.tap(run, Kind.DONE, index)
    return len(checklist.phases) if stop is None else stop


def answers(phase: Phase, chance: random.Random) -> Iterator[tuple[Kind, dict[str, Any]]]:
    """What the phase asks for, answered as a clean run answers it."""
    for check in phase.checks:
        yield Kind.CHECK, {"check": check.id, "value": check.right}
    yield from _readings(phase, chance)
    for count in phase.counts:
        yield Kind.COUNT, {"count": count.id, "side": count.side, "value": SPARE_PINS}


def _readings(phase: Phase, chance: random.Random) -> Iterator[tuple[Kind, dict[str, Any]]]:
    """Every place once, then once more where two takes are asked. A front in its hoop lies where it should."""
    step = PLACE_STEP_MM if phase.place is not None else READING_STEP_MM
    values = {}
    for reading in phase.readings:
        off = step * chance.choice((-1, 0, 0, 1))
        values[reading.id] = round(min(reading.high, max(reading.low, reading.expected + off)), 2)
    for take in range(1, max((reading.takes for reading in phase.readings), default=0) + 1):
        for reading in phase.readings:
            if take <= reading.takes:
                again = {"take": take} if take > 1 else {}
                yield Kind.READING, {"reading": reading.id, "value": values[reading.id], **again}
