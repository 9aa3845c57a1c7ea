"""Sequences that nobody would pick: a run that wanders, mostly sensibly, over several tablets and clocks."""

from __future__ import annotations

from random import Random
from typing import Any

from tape import OFFICE, Tape

from floor.domain.checklist import Checklist, Reading
from floor.domain.place_in_run import judged
from floor.domain.problems import PAUSE_REASONS, PROBLEMS, REDO_CAUSES, SCRAP_CAUSES
from floor.domain.run_state import RunState
from floor.domain.settling import why_not_now
from floor.domain.takes import MOST_TAKES, take_name

Said = tuple[str, dict[str, Any]]
PICTURE = "5d0c0f0e-3b57-4c5e-9a53-0f8f6d4b1c21"


def wandered(checklist: Checklist, random: Random, careful: float = 0.8, clocks_jump: bool = True) -> Tape:
    """A tape of 5 to 60 events; `careful`: the share of taps that make sense where the run stands;
    `clocks_jump`: whether a clock may be set back, its measured offset change, or it be adrift, in the middle."""
    tape = Tape(checklist, tuple(random.sample(range(1, 9), random.randint(1, 3))))
    devices = ["A", "B", "C"][: random.choice((1, 1, 2, 3))]
    tape.skew_ms = {device: random.randint(-5_000_000, 5_000_000) for device in devices}
    tape.offset_ms = {device: -tape.skew_ms[device] + random.randint(-15_000, 15_000) for device in devices}
    tape.say("open", tape.opening, phase=0, device=devices[0])
    for _ in range(random.randint(4, 60)):
        device = _hand(tape, devices[0]) if random.random() < 0.8 else random.choice(devices)
        if random.random() < 0.03 and clocks_jump:
            tape.skew_ms[device] -= random.randint(1, 400_000)
        if random.random() < 0.04 and clocks_jump:
            tape.offset_ms[device] += random.randint(-90_000, 90_000)
        if random.random() < 0.06:
            _settle(tape, random)
            continue
        elsewhere = device != _hand(tape, device) and random.random() < 0.6
        kind, data = _sensible(tape, random) if random.random() < careful else _any(tape, random)
        if elsewhere:
            kind, data = "take_over", {"operator": random.choice(("Bo", "Cem"))}
        tape.say(
            kind,
            data,
            device=device,
            phase=None if random.random() < 0.95 else random.randint(0, len(checklist.phases) + 1),
            after_s=random.choice((0, 0.001, 3, 20.5, 61, 240.125)),
            authority=random.choice((None, None, "supervisor", "self")),
            adrift=clocks_jump and random.random() < 0.03,
        )
    return tape


def _hand(tape: Tape, otherwise: str) -> str:
    """The tablet that has the run in hand."""
    return tape.replayed().state.device or otherwise


def _settle(tape: Tape, random: Random) -> None:
    """From the office: mostly a tap that is set aside, at times any; and taken back at once, now and then."""
    replayed = tape.replayed()
    aside = [event for event in tape.events if not replayed.verdicts[event.id].applied]
    fits = [event for event in aside if not why_not_now(replayed.state, event, tape.opened)]
    of = fits if fits and random.random() < 0.7 else aside
    target = random.choice(of).id if of and random.random() < 0.9 else _some(tape, random)
    by = random.choice(("Maren", None))
    settling = tape.settle(target, random.choice(("apply", "apply", "keep")), by=by, after_s=31)
    if random.random() < 0.4:
        tape.say("undo", {"event": settling}, device=OFFICE, after_s=random.choice((2, 400)))


def _sensible(tape: Tape, random: Random) -> Said:
    state = tape.replayed().state
    if state.ended or not state.opened:
        return _any(tape, random) if random.random() < 0.3 else ("undo", {"event": _newest(tape)})
    if state.pause:
        return "resume", {}
    if state.blocked:
        problem = next(p for p in state.problems if p.blocking)
        fragments = random.choice(("all", "missing"))
        how = {"how": "put right", "fragments": fragments, "decision": "kept apart"}
        return "cleared", {"problem": problem.event, **how}
    missing = state.missing
    if not missing:
        return "done", {}
    return _answer(state, random.choice(missing).name, random)


def _answer(state: RunState, name: str, random: Random) -> Said:
    phase = state.current
    assert phase is not None
    if random.random() < 0.2:
        what = random.choice(state.missing)
        if what.what != "approval":
            return "accept", {"what": what.what, "name": what.name, "reason": "it will do"}
    for check in phase.checks:
        if check.id == name:
            value = check.right if random.random() < 0.85 else random.choice(check.answers)
            return "check", {"check": name, "value": value}
    for reading in phase.readings:
        for take in range(1, MOST_TAKES + 1):
            if name == take_name(reading.id, take):
                return "reading", _read(state, reading, take, random)
    if name == "place":
        return _about_the_place(state, random)
    for count in phase.counts:
        if f"{count.id} {count.side}" == name:
            out = state.counted(count.id, "out") or 12
            return "count", {"count": count.id, "side": count.side, "value": out - (random.random() < 0.2)}
    return "approve", {}


def _read(state: RunState, reading: Reading, take: int, random: Random) -> dict[str, Any]:
    """A first take lies anywhere about what is expected, at times on the wrong side; the next mostly near it."""
    first = state.readings.get((state.phase, reading.id))
    if reading.takes == 1:
        value = random.gauss(reading.expected, (reading.high - reading.low) * 0.7)
    elif take == 1 or first is None:
        value = random.gauss(reading.expected, random.choice((0.3, 0.3, 0.8, 3.0)))
        value *= 1 if random.random() < 0.95 else -1
    else:
        value = first + random.gauss(0.0, random.choice((0.1, 0.1, 0.6)))
    if take == 1 and first is not None and reading.takes > 1:
        take = random.randint(1, MOST_TAKES)  # no two agreed: one of them anew
    said = {"reading": reading.id, "value": round(value, 2)}
    return said if take == 1 else {**said, "take": take}


def _about_the_place(state: RunState, random: Random) -> Said:
    found = judged(state, state.phase)
    if found is None:
        return "accept", {"what": "place", "name": "place", "reason": "it will do"}
    along, across = found.nudge
    nudged = {"how": "nudged", "along": along, "across": across}
    how = {"nudge": nudged, "re-lay": {"how": "laid again"}, "read": {"how": "read again"}}
    return "again", how.get(found.verdict, nudged) if random.random() < 0.8 else {"how": "read again"}


def _any(tape: Tape, random: Random) -> Said:
    names = [x.id for phase in tape.checklist.phases for x in (*phase.checks, *phase.readings, *phase.counts)]
    name = random.choice(names or ["nothing"])
    section = random.choice([key for key, _ in tape.checklist.earlier] or ["nowhere"])
    return random.choice(
        (
            ("note", {"text": "seen"}),
            ("photo", {"photo": PICTURE, "of": "phase", "width": 9, "height": 9, "bytes": 99}),
            ("pause", {"reason": random.choice(list(PAUSE_REASONS))}),
            ("resume", {}),
            ("problem", {"problem": random.choice(list(PROBLEMS)), "note": "here"}),
            ("cleared", {"problem": _some(tape, random), "how": "so"}),
            ("redo", {"cause": random.choice(list(REDO_CAUSES)), "to": random.randint(0, 4)}),
            ("redo", {"cause": "other", "section": section}) if random.random() < 0.3 else ("done", {}),
            ("accept", {"what": random.choice(("check", "reading", "place")), "name": name, "reason": "so"}),
            ("scrap", {"garments": [random.randint(1, 9)], "cause": random.choice(list(SCRAP_CAUSES))}),
            ("hand_over", {"to": random.choice(("Bo", "Ines"))}),
            ("take_over", {"operator": random.choice(("Bo", "Ines"))}),
            ("approve", {}),
            ("undo", {"event": _newest(tape)}),
            ("undo", {"event": _newest(tape)}),
            ("undo", {"event": _some(tape, random)}),
            ("check", {"check": name, "value": "yes"}),
            ("reading", {"reading": name, "value": random.uniform(-20, 20)}),
            ("reading", {"reading": name, "value": random.uniform(-9, 9), "take": random.randint(1, 3)}),
            ("again", {"how": random.choice(("laid again", "read again"))}),
            ("again", {"how": "nudged", "along": random.uniform(-2, 2), "across": 0.5}),
            ("count", {"count": name, "side": random.choice(("in", "out")), "value": random.randint(0, 20)}),
            ("open", tape.opening),
            ("done", {}),
        )
    )


def _newest(tape: Tape) -> str:
    steps = tape.replayed().steps
    return steps[-1].event.id if steps else "A1"


def _some(tape: Tape, random: Random) -> str:
    return random.choice(tape.events).id
