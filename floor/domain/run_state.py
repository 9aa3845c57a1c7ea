"""Where a run stands: its state, and what keeps its current phase from ending."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from enum import StrEnum
from typing import Any, Literal

from floor.domain.checklist import AcceptBy, Checklist, Phase
from floor.domain.place_in_run import place_missing, readings_missing
from floor.domain.place_lie import Try


class Status(StrEnum):
    """What a run is doing. `void`: not opened, or its opening was taken back."""

    VOID = "void"
    WORKING = "working"
    PAUSED = "paused"
    HELD = "held"
    FINISHED = "finished"
    SCRAPPED = "scrapped"
    SENT_BACK = "sent back"


ENDED = frozenset({Status.FINISHED, Status.SCRAPPED, Status.SENT_BACK})

What = Literal["check", "reading", "count", "place", "approval"]
Why = Literal["not given", "wrong", "outside", "differs", "nudge", "re-lay", "read", "decide"]


@dataclass(frozen=True)
class OpenProblem:
    """A problem that is not cleared; `event` is the id of the event that told of it."""

    event: str
    kind: str
    note: str
    blocking: bool
    needs_fragments: bool


@dataclass(frozen=True)
class Missing:
    """What keeps the phase from ending. `why`: "not given", "wrong", "outside" or "differs"; of a place, what is
    to be done about it: "nudge", "re-lay", "read" (once more), or "decide" whether the other front may stay.

    `accept`: who may let it stand as it is, once it is no longer merely "not given" (a check: at once).
    """

    what: What
    name: str
    why: Why
    accept: AcceptBy


@dataclass(frozen=True)
class RunState:
    """Where a run stands. Keys of `answers`, `readings`, `counts`: (phase index, id); a count's id is
    "pins out", a second reading of a place "u 2". `tries`: by phase, the rounds in which a place was read and
    then something done about it. `rework_until`: phases before this index are being done again after a redo.
    `device`, `since`: the tablet that has the run in hand, and since when its operator has it there, ms by the
    server's clock; "" and None while the run is not open."""

    checklist: Checklist
    opened: bool = False
    phase: int = 0
    garments: tuple[int, ...] = ()
    scrapped: tuple[int, ...] = ()
    operator: str = ""
    device: str = ""
    since: int | None = None
    pause: str = ""
    problems: tuple[OpenProblem, ...] = ()
    answers: Mapping[tuple[int, str], str] = field(default_factory=dict)
    readings: Mapping[tuple[int, str], float] = field(default_factory=dict)
    counts: Mapping[tuple[int, str], int] = field(default_factory=dict)
    tries: Mapping[int, tuple[Try, ...]] = field(default_factory=dict)
    accepted: frozenset[tuple[int, str, str]] = frozenset()
    approved: frozenset[int] = frozenset()
    rework_until: int = 0
    sent_back: str = ""

    @property
    def phases(self) -> tuple[Phase, ...]:
        return self.checklist.phases

    @property
    def current(self) -> Phase | None:
        return self.phases[self.phase] if self.phase < len(self.phases) else None

    @property
    def all_scrapped(self) -> bool:
        return bool(self.scrapped) and not self.garments

    @property
    def blocked(self) -> bool:
        return any(problem.blocking for problem in self.problems)

    @property
    def approval_owed(self) -> bool:
        return self.current is not None and self.current.approval and self.phase not in self.approved

    @property
    def in_rework(self) -> bool:
        return self.phase < self.rework_until

    @property
    def status(self) -> Status:
        if not self.opened:
            return Status.VOID
        if self.sent_back:
            return Status.SENT_BACK
        if self.all_scrapped:
            return Status.SCRAPPED
        if self.current is None:
            return Status.FINISHED
        if self.pause:
            return Status.PAUSED
        return Status.HELD if self.blocked or self.approval_owed else Status.WORKING

    @property
    def ended(self) -> bool:
        return self.status in ENDED

    def counted(self, count: str, side: str) -> int | None:
        """The total of what was counted on `side`, over the run's phases; None when nothing was yet."""
        found = [value for (_, key), value in self.counts.items() if key == f"{count} {side}"]
        return sum(found) if found else None

    @property
    def missing(self) -> tuple[Missing, ...]:
        """What the current phase still needs before it can end; empty when it may."""
        phase = self.current
        if phase is None or not self.opened:
            return ()
        if phase.garment is not None and phase.garment in self.scrapped:
            return ()  # what is lost is not looked at, measured or counted any more
        found: list[Missing] = []
        for check in phase.checks:
            answer = self.answers.get((self.phase, check.id))
            if answer != check.right:
                found.append(
                    Missing("check", check.id, "not given" if answer is None else "wrong", check.accept)
                )
        found += [Missing("reading", *one) for one in readings_missing(self)]
        for count in phase.counts:
            if (self.phase, f"{count.id} {count.side}") not in self.counts:
                found.append(Missing("count", f"{count.id} {count.side}", "not given", "nobody"))
            elif count.side == "in" and self.counted(count.id, "out") not in (
                None,
                self.counted(count.id, "in"),
            ):
                found.append(Missing("count", f"{count.id} in", "differs", "supervisor"))
        if self.approval_owed:
            found.append(Missing("approval", "first piece", "not given", "supervisor"))
        left = tuple(m for m in found if (self.phase, m.what, m.name) not in self.accepted)
        if phase.place is None or any(missing.what == "reading" for missing in left):
            return left
        place = [Missing("place", "place", why, "supervisor") for why in place_missing(self)]
        return left + tuple(m for m in place if (self.phase, m.what, m.name) not in self.accepted)

    def as_json(self) -> dict[str, Any]:
        """The state as static/js/run.js has it too."""
        return {
            "status": self.status.value,
            "phase": self.phase,
            "garments": list(self.garments),
            "scrapped": list(self.scrapped),
            "operator": self.operator,
            "device": self.device,
            "since": self.since,
            "pause": self.pause,
            "problems": [vars(problem) for problem in self.problems],
            "answers": _nested(self.answers),
            "readings": _nested(self.readings),
            "counts": _nested(self.counts),
            "tries": {str(phase): [_try(one) for one in tries] for phase, tries in self.tries.items()},
            "accepted": sorted([phase, what, name] for phase, what, name in self.accepted),
            "approved": sorted(self.approved),
            "rework": self.in_rework,
            "sent_back": self.sent_back,
            "missing": [vars(missing) for missing in self.missing],
        }


def _try(one: Try) -> dict[str, Any]:
    return {**asdict(one), "readings": list(one.readings)}


def _nested(values: Mapping[tuple[int, str], Any]) -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for (phase, name), value in values.items():
        found.setdefault(str(phase), {})[name] = value
    return found
