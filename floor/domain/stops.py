"""The stop sheet: what the machine sews at each of its stops on one front, and what hands do before it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from floor.domain.fronts import FrontPlan
from floor.domain.job import Job

Sews = Literal["backing", "placement", "tack", "border", "marks"]


@dataclass(frozen=True)
class Stop:
    """Machine stop `no`, counted from 1. `layer`: its index, None for the backing's line and the marks.
    `length`: of the line, mm; `stitches`: 0 for the marks, which are traced and never sewn.
    `at_speed_s`: at the machine's set speed throughout; `likely_s`: with what a machine loses, cuts and
    changes of thread. `before`: what hands do before it, one short sentence."""

    no: int
    sews: Sews
    layer: int | None
    thread: str | None
    length: float
    stitches: int
    at_speed_s: float
    likely_s: float
    before: str


def stops_of(job: Job, front: FrontPlan) -> tuple[Stop, ...]:
    return ()
