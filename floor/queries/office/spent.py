"""What a job's time went into: by hands, by the machine, waiting; and whether it came to anything.

Works on the whole seconds that the time log shows, so that both say the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import select

from floor.domain.run_state import Status
from floor.queries.office.timelog import PhaseLog, RunLog, TimeLog
from floor.queries.views import JobView
from floor.store.models import RunRow, db

MINUTE_S = 60
ONCE, AGAIN, SCRAPPED, PREPARED = "once", "again", "scrapped", "prepared"
FATES = (PREPARED, ONCE, AGAIN, SCRAPPED)

Fates = Mapping[tuple[str, int], str]


@dataclass(frozen=True)
class Spent:
    """Seconds. `hands` and `machine` hold rework too; `problem`: the work was held by a problem."""

    hands: float = 0.0
    machine: float = 0.0
    waiting: float = 0.0
    problem: float = 0.0
    pause: float = 0.0

    def __add__(self, other: Spent) -> Spent:
        return Spent(*(a + b for a, b in zip(self.parts, other.parts, strict=True)))

    def times(self, share: float) -> Spent:
        return Spent(*(share * part for part in self.parts))

    @property
    def parts(self) -> tuple[float, ...]:
        return (self.hands, self.machine, self.waiting, self.problem, self.pause)

    @property
    def together(self) -> float:
        """Without pauses: in them nobody worked on the job."""
        return self.hands + self.machine + self.waiting + self.problem


@dataclass(frozen=True)
class WhatItTook:
    """`by_fate`: the job's time, in whole seconds, by whether it was the first way through, done again or lost
    with a scrapped piece. `each`: a finished garment on average, all its attempts and scrapped pieces included;
    None while none is finished. `expected_s`: what was expected of it, once through."""

    by_fate: Mapping[str, Spent]
    finished: int
    each: Spent | None
    each_lost_s: float
    expected_s: float

    @property
    def all(self) -> Spent:
        return _sum(self.by_fate.values())

    @property
    def each_minutes(self) -> int:
        return round(self.each.together / MINUTE_S) if self.each else 0


def fates_of(job_id: int) -> Fates:
    """What became of each garment's part of each run: it was the first time through (ONCE), AGAIN for the same
    piece of cloth, or that piece was SCRAPPED in this run or later."""
    runs = kept_runs(job_id)
    found: dict[tuple[str, int], str] = {}
    for at, run in enumerate(runs):
        for number in run.garments:
            if any(number in later.scrapped for later in runs[at:]):
                found[run.id, number] = SCRAPPED
                continue
            again = any(
                number in before.garments and found[before.id, number] != SCRAPPED
                for before in runs[:at]
                if before.section == run.section
            )
            found[run.id, number] = AGAIN if again else ONCE
    return found


def kept_runs(job_id: int) -> list[RunRow]:
    """The job's runs that count, in the order in which they were opened."""
    query = select(RunRow).where(RunRow.job_id == job_id, RunRow.refusal == "", RunRow.status != Status.VOID)
    return list(db.session.scalars(query.order_by(RunRow.opened_at, RunRow.id)))


def what_it_took(view: JobView, log: TimeLog, fates: Fates) -> WhatItTook:
    """`log`: the job's time log; `fates`: of the same job's runs."""
    finished = {n for n, garment in view.progress.garments.items() if garment.finished}
    by_fate = dict.fromkeys(FATES, Spent())
    each: dict[int, Spent] = dict.fromkeys(finished, Spent())
    lost: dict[int, float] = dict.fromkeys(finished, 0.0)
    expected: dict[tuple[int, str, str], float] = {}
    for load, run, phase in _phases(log):
        first, again = _halves(phase)
        for number in load or (0,):
            share = 1 / max(1, len(load))
            fate = fates[run.run, number] if load else PREPARED
            by_fate[fate] += first.times(share)
            by_fate[AGAIN if fate == ONCE else fate] += again.times(share)
            if number in finished:
                each[number] += (first + again).times(share)
                lost[number] += share * (again if fate == ONCE else first + again).together
                expected.setdefault((number, run.title, phase.title), phase.expected * share)
    count = len(finished)
    return WhatItTook(
        by_fate=_in_whole_seconds(by_fate),
        finished=count,
        each=_sum(each.values()).times(1 / count) if count else None,
        each_lost_s=sum(lost.values()) / count if count else 0.0,
        expected_s=sum(expected.values()) / count if count else 0.0,
    )


def _phases(log: TimeLog) -> Iterator[tuple[tuple[int, ...], RunLog, PhaseLog]]:
    for load in log.loads:
        for run in load.runs:
            for phase in run.phases:
                yield load.garments, run, phase


def _halves(phase: PhaseLog) -> tuple[Spent, Spent]:
    """What a phase took the first time, and what was done again within the run."""
    seconds, machine = phase.seconds, phase.who == "machine"
    first = Spent(
        hands=0 if machine else seconds.work,
        machine=seconds.work if machine else 0,
        waiting=seconds.waiting,
        problem=seconds.problem,
        pause=seconds.pause,
    )
    again = Spent(machine=seconds.rework) if machine else Spent(hands=seconds.rework)
    return first, again


def _in_whole_seconds(by_fate: Mapping[str, Spent]) -> dict[str, Spent]:
    """Rounded so that each column's sum stays what it is."""
    running, shown = [0.0] * 5, [0] * 5
    found = {}
    for fate, spent in by_fate.items():
        cells = []
        for at, part in enumerate(spent.parts):
            running[at] += part
            cells.append(round(running[at]) - shown[at])
            shown[at] += cells[-1]
        found[fate] = Spent(*cells)
    return found


def _sum(items: Iterable[Spent]) -> Spent:
    return sum(items, Spent())
