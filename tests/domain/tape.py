"""Writes down what tablets say of a run, event by event, for tests and for the vectors; and small checklists."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from floor.domain.checklist import Check, Checklist, Count, Phase, Reading
from floor.domain.events import Authority, Event
from floor.domain.payloads import Opened, read_payload
from floor.domain.run import Replay, replay

START_MS = 1_790_000_000_000
SECOND = 1000


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
    ) -> str:
        """Adds an event; returns its id. `phase` None: the one the run is at."""
        self.now += round(after_s * SECOND)
        at = self.now + self.skew_ms.get(device, 0)
        if phase is None:
            phase = min(self.replayed().state.phase, len(self.checklist.phases))
        seq = 1 + sum(event.device == device for event in self.events)
        event = Event(
            id=f"{device}{seq}", run="run", device=device, seq=seq, kind=kind, phase=phase, at=at,
            data=dict(data or {}), offset_ms=self.offset_ms.get(device, 0), authority=authority,
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
        for reading in phase.readings:
            self.say("reading", {"reading": reading.id, "value": reading.expected}, **how)
        for count in phase.counts:
            now = self.replayed().state
            due = (now.counted(count.id, "out") or 0) - (now.counted(count.id, "in") or 0)
            value = due if count.side == "in" else 12
            self.say("count", {"count": count.id, "side": count.side, "value": value}, **how)
        if phase.approval:
            self.say("approve", authority="supervisor", **how)
        return self

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
        assert verdict.applied == (verdict.reason == "")
        return verdict.reason
