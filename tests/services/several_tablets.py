"""Several tablets on one job, tapping at random: what nobody would pick, for the proof."""

from __future__ import annotations

import random
import uuid
from typing import Any

from floor.domain.checklist import Checklist
from floor.domain.events import Kind
from floor.domain.problems import PAUSE_REASONS, PROBLEMS, REDO_CAUSES, SCRAP_CAUSES
from floor.queries.views import Plan
from floor.services.rehearsal import answers

SIGNED = "signed"
SECTIONS = ("front-left", "front-left", "front-right", "finish", "prepare")
STEPS_MS = (0, 400, 5_000, 90_000, 400_000, -3_000)


class SeveralTablets:
    """Makes the taps of some runs of one job; `events`: all of them, as tablets would send them."""

    def __init__(self, code: str, plan: Plan, clock: int, chance: random.Random) -> None:
        self.code, self.plan, self.clock, self.chance = code, plan, clock, chance
        self.seqs = {self.new_id(): 0 for _ in range(3)}
        self.events: list[dict[str, Any]] = []
        self.runs: dict[str, Checklist] = {}
        self.garment: dict[str, int] = {}
        self.phase: dict[str, int] = {}
        self.device: dict[str, str] = {}

    def new_id(self) -> str:
        return str(uuid.UUID(int=self.chance.getrandbits(128), version=4))

    def tap(self, run: str, kind: str, phase: int, data: dict[str, Any]) -> None:
        self.clock += self.chance.choice(STEPS_MS)
        device = self.device[run]
        if self.chance.random() < 0.15 and kind != "open":
            device = self.chance.choice(list(self.seqs))
            if device != self.device[run] and self.chance.random() < 0.7:
                self.device[run] = device
                self._say(run, device, "take_over", phase, {"operator": "Tomas"})
        self._say(run, device, kind, phase, data)

    def _say(self, run: str, device: str, kind: str, phase: int, data: dict[str, Any]) -> None:
        self.seqs[device] += 1
        self.events.append(
            {"id": self.new_id(), "run": run, "device": device, "seq": self.seqs[device], "kind": kind,
             "phase": phase, "at": self.clock, "data": data}
        )  # fmt: skip

    def wander(self, taps: int) -> None:
        for _ in range(taps):
            if len(self.runs) < 2 or (len(self.runs) < 9 and self.chance.random() < 0.1):
                self._open()
            run = self.chance.choice(list(self.runs))
            kind = self.chance.choice((*Kind, Kind.UNDO, Kind.UNDO, *[Kind.DONE] * 12))
            if kind == Kind.DONE:
                self._done(run, len(self.runs[run].phases) if self.chance.random() < 0.15 else 1)
            else:
                self._other(run, kind)

    def _open(self) -> None:
        run, section = self.new_id(), self.chance.choice(SECTIONS)
        garments = [] if section == "prepare" else [self.chance.choice((1, 1, 2))]
        first = self.chance.random() < 0.8
        opening = {
            "job": self.code, "revision": 1, "section": section, "garments": garments, "first_piece": first,
            "operator": "Ines", "cause": self.chance.choice(("", "halves")),
        }  # fmt: skip
        self.runs[run] = self.plan.checklist(section, tuple(garments), first)
        self.garment[run], self.phase[run] = (garments or [1])[0], 0
        self.device[run] = self.chance.choice(list(self.seqs))
        self.tap(run, "open", 0, opening)

    def _done(self, run: str, phases: int) -> None:
        for _ in range(phases):
            at = self.phase[run]
            if at >= len(self.runs[run].phases):
                return
            for what, data in answers(self.runs[run].phases[at], self.chance):
                self.tap(run, what.value, at, data)
            if self.runs[run].phases[at].approval:
                self.tap(run, "approve", at, {"token": self.chance.choice((SIGNED, SIGNED, "other"))})
            self.tap(run, "done", at, {})
            self.phase[run] = at + 1

    def _other(self, run: str, kind: Kind) -> None:
        at, chance = self.phase[run], self.chance
        back = chance.choice(({"to": max(0, at - chance.randint(0, 3))}, {"section": "front-left"}))
        recent = [event for event in self.events[-12:] if event["run"] == run] or self.events[-6:]
        data: dict[str, Any] = {
            Kind.PAUSE: {"reason": chance.choice(list(PAUSE_REASONS))},
            Kind.PROBLEM: {"problem": chance.choice(list(PROBLEMS))},
            Kind.CLEARED: {"problem": chance.choice(self.events)["id"], "how": "so", "decision": "kept",
                           "fragments": chance.choice(("all", "missing")), "token": SIGNED},
            Kind.REDO: {"cause": chance.choice(list(REDO_CAUSES)), **back},
            Kind.ACCEPT: {"what": "count", "name": "pins in", "reason": "so", "token": SIGNED},
            Kind.APPROVE: {"token": SIGNED},
            Kind.SCRAP: {"garments": [self.garment[run]], "cause": chance.choice(list(SCRAP_CAUSES))},
            Kind.HAND_OVER: {"to": "Tomas"},
            Kind.TAKE_OVER: {"operator": "Tomas"},
            Kind.NOTE: {"text": "so"},
            Kind.SETTLE: {"event": recent[-1]["id"], "how": "apply", "why": "so"},
            Kind.UNDO: {"event": chance.choice((recent[-1], recent[-1], chance.choice(recent)))["id"]},
        }.get(kind, {})  # fmt: skip
        self.tap(run, kind.value, at, data)
        if kind == Kind.REDO and "to" in data:
            self.phase[run] = data["to"]
