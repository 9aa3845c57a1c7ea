"""Writes down what tablets say of a run, event by event, for tests and for the vectors; and small checklists."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from route_cases import CLOSED_JOB, SPLIT_JOB, plan_for

from floor.domain.checklist import Check, Checklist, Count, Phase, PlaceCheck, Reading
from floor.domain.events import Authority, Event
from floor.domain.fronts import Readings
from floor.domain.hand import USUAL_HAND
from floor.domain.job import Front, Job
from floor.domain.payloads import Opened, read_payload
from floor.domain.place_sums import PlaceSums, place_sums
from floor.domain.run import Replay, replay

START_MS = 1_790_000_000_000
SECOND = 1000
OFFICE = "office"


def step(key: str, who: Any = "hands", expected_s: float = 60.0, **more: Any) -> Phase:
    usual_s = (expected_s / 2, expected_s * 2)
    return Phase(key, key.capitalize(), f"Do {key}.", who, usual_s, expected_s, **more)


def section(*phases: Phase, earlier: tuple[tuple[str, str], ...] = ()) -> Checklist:
    return Checklist("left-front", "Left front", "machine", "left", phases, earlier)


COLOUR = Check("colour", "Which colour lies on top?", ("red", "gold"), "red")
TRIMMED = Check("trimmed", "Is it trimmed all round?", ("yes", "no"), "yes", accept="supervisor")
HALF = Check("half", "Which half is loaded?", ("left", "right"), "left", accept="nobody")
UP = Reading("u", "Needle to the upper button", 10.0, 8.5, 11.5, 4.0, 16.0, "operator", "u")
EDGE = Reading("a", "Needle past the edge", 3.0, 2.5, 3.5, 1.0, 6.0, "supervisor", "a")
STITCHED = Reading("s", "Width of the border", 4.0, 3.5, 4.5, 3.0, 5.0, "nobody")

EVERYTHING = section(
    step("prepare", checks=(COLOUR,), counts=(Count("pins", "out", "Pins out?"),)),
    # 30.0005 s: half a millisecond, where two ways of rounding part
    step("line", "machine", 30.0005, layer=0, restart=True, picture="line"),
    step("place", checks=(HALF,), readings=(UP, EDGE), picture="check"),
    step("trim", checks=(TRIMMED,), layer=0, no_return=True, picture="trim"),
    step("border", "machine", 90.0015, readings=(STITCHED,), layer=0, picture="border"),
    step("finish", counts=(Count("pins", "in", "Pins in?", ends=True),)),
    step("approve", "supervisor", approval=True, picture="closed"),
    earlier=(("prepare", "Prepare"), ("hoop", "Hoop")),
)
COUNTS = section(
    step("first", counts=(Count("pins", "out", "Out?"), Count("needles", "out", "Needles out?"))),
    step("more", counts=(Count("pins", "out", "More out?"), Count("pins", "in", "In so far?"))),
    step("last", counts=(Count("pins", "in", "In?"), Count("needles", "in", "Needles in?"))),
    step("clips", counts=(Count("clips", "in", "Clips in?"),)),
)
# Names that are something else to a browser's objects.
STRANGE = section(
    step(
        "constructor",
        checks=(
            Check("__proto__", "Is it so?", ("yes", "no"), "yes"),
            Check("toString", "And so?", ("yes", "no"), "yes"),
        ),
        readings=(Reading("constructor", "How much?", 1.0, 0.0, 2.0, 0.0, 2.0),),
    ),
    earlier=(("__proto__", "Before"),),
)
PLAIN = section(step("one"), step("two", "machine", 20.0), step("three"))
EACH = section(
    step("lay", readings=(EDGE,), garment=1),
    step("lay-2", checks=(COLOUR,), readings=(EDGE,), counts=(Count("pins", "out", "Pins out?"),), garment=2),
)
NOTHING = section()


def sums_of(front: Front, job: Job = SPLIT_JOB) -> PlaceSums:
    return place_sums(job, plan_for(job).sizes["M"], front)


def place_readings(expected: Readings, accept: Any = "operator") -> tuple[Reading, ...]:
    """The four readings of a place, each taken twice."""
    sides = (("above the button", "below the button"), ("below the button", "above the button"))
    edge = ("past the edge", "inside the edge")
    return tuple(
        Reading(
            id, f"Where is {id}?", value, value - 6, value + 6, value - 15, value + 15, accept, id, 2, *named
        )
        for id, value, named in zip("ulab", expected, (*sides, edge, edge), strict=True)
    )


# The left front lies on top and is sewn first; the right one is set to it as it was sewn.
LEFT, RIGHT, WHOLE = sums_of("left"), sums_of("right"), sums_of("whole", CLOSED_JOB)
FIRST_FRONT = section(
    step("lay-left"),
    step("set-left", readings=place_readings(LEFT.expected), place=PlaceCheck("set", LEFT, USUAL_HAND)),
    step("sew-left", "machine", 90.0),
)
MEASURE = step(
    "measure-left",
    readings=place_readings(RIGHT.other.expected, "supervisor"),
    place=PlaceCheck("sewn", RIGHT, USUAL_HAND),
)
SECOND_FRONT = section(
    MEASURE,
    step(
        "set-right",
        checks=(COLOUR,),
        readings=place_readings(RIGHT.expected),
        place=PlaceCheck("set", RIGHT, USUAL_HAND, "measure-left"),
    ),
    step("sew-right", "machine", 90.0),
)
# One reading is as good as nothing here, so that a place can want to be read once more.
UNSURE = section(
    step(
        "set-unsure",
        readings=place_readings(LEFT.expected),
        place=PlaceCheck("set", LEFT, replace(USUAL_HAND, reading=1.4)),
    )
)
# What may pass is less than a tape can tell, however often it is read.
TOO_FINE = section(
    step(
        "set-fine",
        readings=place_readings(LEFT.expected),
        place=PlaceCheck("set", replace(LEFT, tolerance=0.2), replace(USUAL_HAND, reading=0.7)),
    )
)
CLOSED_FRONT = section(
    step("set-whole", readings=place_readings(WHOLE.expected), place=PlaceCheck("set", WHOLE, USUAL_HAND)),
    step("sew-whole", "machine", 90.0),
)
SEVERAL_HEADS = section(
    step(
        "set-of-two",
        readings=place_readings(LEFT.expected),
        place=PlaceCheck("set", replace(LEFT, nudges=False), USUAL_HAND),
        garment=4,
    )
)


class Tape:
    """What has been said of one run, in the order it was said. Times: each event `after_s` later than the one
    before it, on the device's own clock, which `skew_ms` sets wrong and `offset_ms` puts right again."""

    def __init__(self, checklist: Checklist, garments: tuple[int, ...] = (4,), **opening: Any) -> None:
        self.checklist = checklist
        self.now = START_MS
        self.events: list[Event] = []
        self.skew_ms: dict[str, int] = {}
        self.offset_ms: dict[str, int] = {}
        self.refusal = ""
        self.too_late: dict[str, str] = {}
        self._replayed: tuple[int, str, Replay] | None = None
        self.opening: dict[str, Any] = {
            "job": "K7Q2M4", "revision": 1, "section": checklist.section, "garments": list(garments),
            "first_piece": True, "operator": "Ines", **opening,
        }  # fmt: skip

    def say(
        self,
        kind: str,
        data: Mapping[str, Any] | None = None,
        *,
        phase: int | None = None,
        device: str = "A",
        after_s: float = 10.0,
        authority: Authority | None = None,
        by: str | None = None,
        adrift: bool = False,
    ) -> str:
        """Adds an event; returns its id. `phase` None: the one the run is at."""
        self.now += round(after_s * SECOND)
        at = self.now + self.skew_ms.get(device, 0)
        if phase is None:
            phase = min(self.replayed().state.phase, len(self.checklist.phases))
        seq = 1 + sum(event.device == device for event in self.events)
        event = Event(
            id=f"{device}{seq}", run="run", device=device, seq=seq, kind=kind, phase=phase, at=at,
            data=dict(data or {}), offset_ms=self.offset_ms.get(device, 0), authority=authority, by=by,
            adrift=adrift,
        )  # fmt: skip
        self.events.append(event)
        return event.id

    def open(self, **changed: Any) -> Tape:
        self.say("open", {**self.opening, **changed}, phase=0, after_s=0.0)
        return self

    def done(self, times: int = 1, **how: Any) -> Tape:
        for _ in range(times):
            self.say("done", **how)
        return self

    def give_all(self, **how: Any) -> Tape:
        """Everything that the current phase asks for, as it should be."""
        state = self.replayed().state
        phase = state.current
        assert phase is not None
        for check in phase.checks:
            self.say("check", {"check": check.id, "value": check.right}, **how)
        self.read(*(reading.expected for reading in phase.readings), **how)
        for count in phase.counts:
            now = self.replayed().state
            due = (now.counted(count.id, "out") or 0) - (now.counted(count.id, "in") or 0)
            value = due if count.side == "in" else 12
            self.say("count", {"count": count.id, "side": count.side, "value": value}, **how)
        if phase.approval:
            self.say("approve", authority="supervisor", **how)
        return self

    def read(self, *values: float, then: Mapping[str, float] | None = None, **how: Any) -> Tape:
        """The current phase's readings, each as often as it asks; `then`: what the second take of one was."""
        phase = self.replayed().state.current
        assert phase is not None
        asked = list(zip(phase.readings, values, strict=True))
        for reading, value in asked:
            self.say("reading", {"reading": reading.id, "value": value}, **how)
        for reading, value in asked:
            if reading.takes > 1:
                value = (then or {}).get(reading.id, value)
                self.say("reading", {"reading": reading.id, "value": value, "take": 2}, **how)
        return self

    def lies(self, along: float = 0.0, across: float = 0.0, turned: float = 0.0, **how: Any) -> Tape:
        """The readings of a place whose design lies so, mm; `turned`: how much farther out its upper end lies
        than its lower one."""
        phase = self.replayed().state.current
        assert phase is not None
        u, l, a, b = (reading.expected for reading in phase.readings)  # noqa: E741
        assert phase.place is not None
        front_sewn = phase.place.kind == "sewn"
        out = across * phase.place.sums.across_sign * (-1 if front_sewn else 1)
        return self.read(u + along, l - along, a + out + turned / 2, b + out - turned / 2, **how)

    def through(self, phases: int, **how: Any) -> Tape:
        """As `give_all` and done, so many phases on."""
        for _ in range(phases):
            self.give_all(**how).done(**how)
        return self

    @property
    def opened(self) -> Opened:
        payload = read_payload(Event("", "", "", 1, "open", 0, 0, self.opening))
        assert isinstance(payload, Opened)
        return payload

    def replayed(self) -> Replay:
        known = self._replayed
        now_has = (len(self.events), self.refusal + " ".join(self.too_late))
        if known is None or known[:2] != now_has:
            now = replay(self.checklist, self.opened, self.events, self.refusal, self.too_late)
            self._replayed = known = (*now_has, now)
        return known[2]

    def reason(self, event: str) -> str:
        """Why the event was set aside; "" when it applied."""
        verdict = self.replayed().verdicts[event]
        assert verdict.applied == (verdict.reason == "" or " let it count: " in verdict.reason)
        return "" if verdict.applied else verdict.reason

    def settle(self, event: str, how: str = "keep", why: str = "seen by eye", **said: Any) -> str:
        """As a supervisor does it from the office."""
        settled = {"event": event, "how": how, "why": why}
        return self.say("settle", settled, **{"device": OFFICE, "authority": "supervisor", **said})
