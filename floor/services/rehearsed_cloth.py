"""Cloth as it lies under rehearsed hands: laid a little off, read with a tape's error, moved and lifted as Floor
says, and found to meet or not when the garment is closed. For the demo's history."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from floor.domain.checklist import Checklist, PlaceCheck
from floor.domain.events import Kind, read_event
from floor.domain.fronts import Readings
from floor.domain.payloads import Opened
from floor.domain.place_in_run import index_of, judged
from floor.domain.place_sums import OtherSums, PlaceSums
from floor.domain.placement import Placement, steps_between
from floor.domain.run import replay
from floor.domain.run_state import RunState
from floor.services.rehearsal import Hands, answers

LAID_MM, LAID_RAD, STRETCH_MM = 0.9, 0.004, 0.3  # spreads of a fresh lay about its place
LEAN_MM = -0.4  # these hands lay a front too near the hem, as hands do
PULL_MM = 0.2  # what sewing itself moves
TAPE_MM = 0.2
MOVE_MM = 0.08  # what a machine's start misses when moved
GAP_MM = 0.25
SKEWED_RAD = 0.04  # of a lay that must be lifted, whatever else
CREPT_MM = 1.4  # a step that only a supervisor lets stand
LET_STAND = "hardly to be seen at arm's length"


@dataclass
class Cloth:
    """The fronts of one garment, as they truly lie; `signature`: what a supervisor's password gave a tablet.
    `skewed`: the next lay is a bad one; `creeps`: the cloth creeps as its last front is sewn."""

    chance: random.Random
    signature: str
    skewed: bool = False
    creeps: bool = False
    lies: dict[str, Placement] = field(default_factory=dict)
    seam: PlaceSums | None = None

    def lay(self, front: str) -> Placement:
        """How the front lies; laid now if it does not lie yet."""
        if front not in self.lies:
            gauss = self.chance.gauss
            skew = SKEWED_RAD if self.skewed else gauss(0, LAID_RAD)
            self.skewed = False
            self.lies[front] = Placement(
                gauss(LEAN_MM, LAID_MM), gauss(0, LAID_MM), skew, gauss(0, STRETCH_MM)
            )
        return self.lies[front]

    def lift(self, front: str) -> None:
        del self.lies[front]

    def sewn(self, front: str, other: str) -> None:
        """What sewing moved of it; of cloth that creeps, along only, and against the other front."""
        self.shift(front, 0.0, 0.0, PULL_MM)
        if self.creeps:
            self.lies[front] = replace(self.lies[other], along=self.lies[other].along + CREPT_MM)

    def shift(self, front: str, along: float, across: float, spread: float) -> None:
        lie = self.lies[front]
        self.lies[front] = replace(
            lie,
            along=lie.along + along + self.chance.gauss(0, spread),
            across=lie.across + across + self.chance.gauss(0, spread),
        )


def follow(
    hands: Hands, run: str, checklist: Checklist, opening: Opened, cloth: Cloth, start: int = 0
) -> int:
    """Do the phases from `start` on as Floor asks for them; the index where that ended: before an approval, or
    after the last phase, or where the run was sent back."""
    index = start
    while index < len(checklist.phases) and not checklist.phases[index].approval:
        phase = checklist.phases[index]
        hands.work(phase)
        if phase.place is not None:
            index = _place(hands, run, checklist, opening, cloth)
        elif any(reading.id.startswith("step") for reading in phase.readings):
            if not _compare(hands, run, checklist, index, cloth):
                return index
            index += 1
        else:
            for kind, data in answers(phase, hands.random):
                hands.tap(run, kind, index, data)
            hands.tap(run, Kind.DONE, index)
            index += 1
    return index


def _place(hands: Hands, run: str, checklist: Checklist, opening: Opened, cloth: Cloth) -> int:
    """Read the place, and do once what it asks for; the phase that comes next."""
    state = _now(hands, run, checklist, opening)
    index, phase = state.phase, state.phases[state.phase]
    assert phase.place is not None
    front = phase.place.sums.front
    if phase.place.kind == "sewn":
        front = "left" if front == "right" else "right"
        cloth.shift(front, 0.0, 0.0, PULL_MM)
    elif phase.place.against:
        cloth.seam = phase.place.sums
    state = _read(hands, run, checklist, opening, phase.place, cloth, front)
    asked = next((missing.why for missing in state.missing if missing.what == "place"), None)
    found = judged(state, index)
    if asked == "nudge" and found is not None:
        along, across = found.nudge
        hands.tap(run, Kind.AGAIN, index, {"how": "nudged", "along": along, "across": across})
        cloth.shift(front, along, across, MOVE_MM)
        return index
    if asked == "re-lay":
        back = index_of(state.phases, phase.place.relay_to)
        hands.tap(run, Kind.REDO, index, {"cause": "lies-wrong", "to": back})
        cloth.lift(front)
        assert back is not None  # every place that is set names its laying
        return back
    if asked == "read":
        hands.tap(run, Kind.AGAIN, index, {"how": "read again"})
        return index
    if asked == "decide":
        said = {"what": "place", "name": "place", "reason": LET_STAND, "token": cloth.signature}
        hands.tap(run, Kind.ACCEPT, index, said)
    hands.tap(run, Kind.DONE, index)
    return index + 1


def _read(
    hands: Hands, run: str, checklist: Checklist, opening: Opened, place: PlaceCheck, cloth: Cloth, front: str
) -> RunState:
    """Give every reading that is asked for, third takes too; the run as it then stands."""
    true = _as_read(place, cloth.lay(front))
    while True:
        state = _now(hands, run, checklist, opening)
        wanted = [missing for missing in state.missing if missing.what == "reading"]
        if not wanted:
            return state
        for missing in wanted:
            if missing.why == "outside":
                said = {"what": "reading", "name": missing.name, "reason": "measured again, it lies so"}
                hands.tap(run, Kind.ACCEPT, state.phase, said | {"token": cloth.signature})
                continue
            name, _, take = missing.name.partition(" ")
            value = round(getattr(true, name) + hands.random.gauss(0, TAPE_MM), 1)
            again = {"take": int(take)} if take else {}
            hands.tap(run, Kind.READING, state.phase, {"reading": name, "value": value, **again})


def _as_read(place: PlaceCheck, lie: Placement) -> Readings:
    """What a perfect tape would read of a design that lies so."""
    sums, own = place.sums, place.kind == "set"
    read = OtherSums(sums.expected, sums.height / 2, -sums.height / 2) if own else sums.other
    sign = sums.across_sign if own else -sums.across_sign
    at_upper, at_lower = lie.across - lie.skew * read.upper, lie.across - lie.skew * read.lower
    up = lie.along + lie.skew * read.lever
    return Readings(
        u=read.expected.u + up + read.slant_upper * at_upper + lie.stretch / 2,
        l=read.expected.l - up - read.slant_lower * at_lower + lie.stretch / 2,
        a=read.expected.a + sign * at_upper,
        b=read.expected.b + sign * at_lower,
    )


def _compare(hands: Hands, run: str, checklist: Checklist, index: int, cloth: Cloth) -> bool:
    """Close the garment and measure; whether it could go on, or had to be sent back."""
    assert cloth.seam is not None  # both fronts were set before
    own = cloth.seam.front
    other = "left" if own == "right" else "right"
    cloth.sewn(own, other)
    steps = steps_between(cloth.seam, cloth.lies[own], cloth.lies[other])
    for reading in checklist.phases[index].readings:
        what, _, at = reading.id.partition("-")
        true = _step_at(cloth.seam, steps, at) if what == "step" else hands.random.gauss(0, GAP_MM)
        value = round(abs(true + hands.random.gauss(0, TAPE_MM / 2)), 1)
        hands.tap(run, Kind.READING, index, {"reading": reading.id, "value": value})
        if value > reading.never_high:
            section = checklist.earlier[-1][0]
            hands.tap(run, Kind.REDO, index, {"cause": "halves-do-not-meet", "section": section})
            cloth.lift(own)
            return False
        if value > reading.high:
            said = {"what": "reading", "name": reading.id, "reason": LET_STAND, "token": cloth.signature}
            hands.tap(run, Kind.ACCEPT, index, said)
    hands.tap(run, Kind.DONE, index)
    return True


def _step_at(sums: PlaceSums, steps: Sequence[float], at: str) -> float:
    """The step at the upper, the lower or the middle crossing."""
    heights = [step.y for step in sums.steps]
    wanted = {"upper": max(heights), "lower": min(heights), "middle": (max(heights) + min(heights)) / 2}[at]
    return min(zip(heights, steps, strict=True), key=lambda one: abs(one[0] - wanted))[1]


def _now(hands: Hands, run: str, checklist: Checklist, opening: Opened) -> RunState:
    """The run by the taps that were not sent yet, a signature counting as its server will count it."""
    taps = []
    for one in hands.events:
        if one["run"] == run:
            data = dict(one["data"])
            signed = data.pop("token", None) is not None
            taps.append(replace(read_event(one | {"data": data}), authority="supervisor" if signed else None))
    return replay(checklist, opening, taps).state
