"""The time log of a job: garment, then run, then phase, in whole seconds that add up.

The log is kept in milliseconds and shown in seconds. Each cell is rounded so that the running total is right
(`_whole`), and every sum shown is a sum of the cells shown: what the page says adds up as it stands there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import select

from floor.domain.run_state import Status
from floor.queries.office.jobs import load_words
from floor.queries.office.words import moment_words
from floor.store.models import JobRow, PhaseTimeRow, RunRow, db

PARTS = ("work", "rework", "waiting", "pause", "problem")
MS = 1000

__all__ = ["PARTS", "LoadLog", "PhaseLog", "RunLog", "Seconds", "TimeLog", "run_log", "time_log_of"]


@dataclass(frozen=True)
class Seconds:
    """Whole seconds of each part."""

    work: int = 0
    rework: int = 0
    waiting: int = 0
    pause: int = 0
    problem: int = 0

    @property
    def total(self) -> int:
        return self.work + self.rework + self.waiting + self.pause + self.problem

    @property
    def parts(self) -> tuple[int, ...]:
        return (self.work, self.rework, self.waiting, self.pause, self.problem)


@dataclass(frozen=True)
class PhaseLog:
    title: str
    who: str
    expected: int
    seconds: Seconds
    ended: bool
    times: int
    jumps: int


@dataclass(frozen=True)
class RunLog:
    """`span`: from the opening to the end, or to the newest event of a run that goes on. `unlogged`: what of
    the span no phase has, because a tablet's clock jumped; 0 otherwise."""

    run: str
    title: str
    status: str
    attempt: int
    operator: str
    opened: str
    phases: tuple[PhaseLog, ...]
    seconds: Seconds
    expected: int
    span: int
    unlogged: int
    jumps: int
    first_piece: bool


@dataclass(frozen=True)
class LoadLog:
    """All runs of one garment, or of one load of several."""

    title: str
    sizes: str
    garments: tuple[int, ...]
    runs: tuple[RunLog, ...]
    seconds: Seconds
    expected: int


@dataclass(frozen=True)
class TimeLog:
    loads: tuple[LoadLog, ...]
    seconds: Seconds
    expected: int
    run_count: int


def time_log_of(row: JobRow, sizes: dict[int, str]) -> TimeLog:
    """`sizes`: size of each garment by number. Runs that were set aside took no time and are left out."""
    runs = list(
        db.session.scalars(
            select(RunRow)
            .where(RunRow.job_id == row.id, RunRow.refusal == "", RunRow.status != Status.VOID)
            .order_by(RunRow.opened_at, RunRow.id)
        )
    )
    phases: dict[str, list[PhaseTimeRow]] = {}
    for phase in db.session.scalars(
        select(PhaseTimeRow)
        .join(RunRow, PhaseTimeRow.run_id == RunRow.id)
        .where(RunRow.job_id == row.id)
        .order_by(PhaseTimeRow.run_id, PhaseTimeRow.phase)
    ):
        phases.setdefault(phase.run_id, []).append(phase)
    by_load: dict[tuple[int, ...], list[RunLog]] = {}
    for run in runs:
        by_load.setdefault(tuple(run.garments), []).append(run_log(run, phases.get(run.id, [])))
    loads = tuple(_load_log(load, found, sizes) for load, found in sorted(by_load.items()))
    return TimeLog(
        loads, _sum(load.seconds for load in loads), sum(load.expected for load in loads), len(runs)
    )


def _load_log(load: tuple[int, ...], runs: Sequence[RunLog], sizes: dict[int, str]) -> LoadLog:
    return LoadLog(
        title=load_words(load),
        sizes=", ".join(dict.fromkeys(sizes[n] for n in load if n in sizes)),
        garments=load,
        runs=tuple(runs),
        seconds=_sum(run.seconds for run in runs),
        expected=sum(run.expected for run in runs),
    )


def run_log(run: RunRow, rows: Sequence[PhaseTimeRow]) -> RunLog:
    """The log of one run; `rows`: its phase times in the route's order."""
    phases = tuple(
        PhaseLog(
            row.title, row.who, round(row.expected_s), seconds, row.ended is not None, row.times, row.jumps
        )
        for row, seconds in zip(rows, _whole(rows), strict=True)
    )
    seconds = _sum(phase.seconds for phase in phases)
    end = run.last_at if run.ended_at is None else run.ended_at
    span = round((end - run.opened_at) / MS)
    return RunLog(
        run=run.id,
        title=run.title,
        status=run.status,
        attempt=run.attempt,
        operator=run.operator,
        opened=moment_words(run.opened_at),
        phases=phases,
        seconds=seconds,
        expected=sum(phase.expected for phase in phases),
        span=span,
        unlogged=span - seconds.total,
        jumps=run.jumps,
        first_piece=run.first_piece,
    )


def _whole(rows: Iterable[PhaseTimeRow]) -> list[Seconds]:
    """The cells in whole seconds: each is the rounded running total after it less the one before it. All cells
    of a run together are its rounded total, and none is off by a second or more."""
    found, running, shown = [], 0.0, 0
    for row in rows:
        cells = []
        for exact in (row.work_s, row.rework_s, row.waiting_s, row.pause_s, row.problem_s):
            running += exact
            cells.append(max(0, round(running) - shown))
            shown += cells[-1]
        found.append(Seconds(*cells))
    return found


def _sum(items: Iterable[Seconds]) -> Seconds:
    rows = [item.parts for item in items]
    return Seconds(*(sum(column) for column in zip(*rows, strict=True))) if rows else Seconds()
