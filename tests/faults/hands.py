"""What operators tap in a simulated shop: mostly clean runs, with detours, slips and each other's runs."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import Any

from tests.faults.seat import Seat

SECTIONS = ("prepare", "front-left", "front-right", "finish")
GARMENTS = (1, 2, 3)
DETOUR = 0.12
STRANGERS_HAND = 0.04
Script = list[tuple[str, int, dict[str, Any]]]


@dataclass
class Work:
    """One run, as its operator goes through it. `at`: how far the script is done; `taps`: by id, oldest first."""

    run: str
    script: Script
    at: int = 0
    taps: list[str] = field(default_factory=list)


@dataclass
class Hands:
    """All operators of a shop. `scripts`: by section and garment, the taps of a clean run, its opening first."""

    chance: random.Random
    scripts: dict[str, Script]
    work: dict[str, Work] = field(default_factory=dict)
    all_work: list[Work] = field(default_factory=list)

    def tap(self, seat: Seat, now: int) -> None:
        """The next thing that whoever is at this tablet does."""
        own = self.work.get(seat.device)
        if own is None or own.at >= len(own.script):
            own = self._begin(seat)
        if self.all_work and self.chance.random() < STRANGERS_HAND:
            self._at_anothers(seat, now)
        elif own.at and self.chance.random() < DETOUR:
            self._detour(seat, now, own)
        else:
            kind, phase, data = own.script[own.at]
            own.at += 1
            own.taps.append(seat.tap(now, own.run, kind, phase, data))

    def _begin(self, seat: Seat) -> Work:
        done = sum(len(work.script) == work.at for work in self.all_work)
        section = SECTIONS[min(done, 3)] if self.chance.random() < 0.8 else self.chance.choice(SECTIONS)
        garment = 0 if section == "prepare" else self.chance.choice(GARMENTS)
        work = Work(seat.new_id(), self.scripts[f"{section} {garment}"])
        self.work[seat.device] = work
        self.all_work.append(work)
        return work

    def _detour(self, seat: Seat, now: int, own: Work) -> None:
        phase = own.script[own.at - 1][1]
        what = self.chance.choice(("note", "pause", "problem", "undo", "strange"))
        if what == "note":
            seat.tap(now, own.run, "note", phase, {"text": "the felt is a little thick here"})
        elif what == "pause":
            seat.tap(now, own.run, "pause", phase, {"reason": "break"})
            seat.tap(now + self.chance.randrange(60_000), own.run, "resume", phase, {})
        elif what == "problem":
            told = seat.tap(now, own.run, "problem", phase, {"problem": "thread-break", "note": ""})
            seat.tap(now, own.run, "cleared", phase, {"problem": told, "how": "threaded again"})
        elif what == "undo" and own.taps:
            seat.tap(now, own.run, "undo", phase, {"event": own.taps.pop()})
            own.at = max(1, own.at - 1)
        else:
            seat.tap(now, own.run, "no such kind", phase, {})

    def _at_anothers(self, seat: Seat, now: int) -> None:
        """A tap in a run that another tablet has in hand: knowingly, or because both believe they have it."""
        work = self.chance.choice(self.all_work)
        if self.chance.random() < 0.5:
            seat.tap(now, work.run, "take_over", 0, {"operator": "Tomas"})
            self.work[seat.device] = work
        else:
            seat.tap(now, work.run, "done", max(0, work.at - 1), {})
