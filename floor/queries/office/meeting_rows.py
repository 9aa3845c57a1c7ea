"""What was laid and what was closed, as the rows tell it, and which of it was asked for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import InstrumentedAttribute

from floor.domain.fronts import SIDES
from floor.store.models import JobRow, MeetingRow, PlacingRow, RunRow, db

NEWEST_GARMENTS = 2_000  # more are no news, and would make a page slow
NEWEST_ROUNDS = 12_000
DAY_MS = 86_400_000
KEPT = ("sewn", "taken as it lay")  # what was done with a front that then was sewn


@dataclass(frozen=True)
class Asked:
    """What a page is asked for; "" and None ask for all. `job`: a ticket's code; `days`: not older."""

    job: str = ""
    size: str = ""
    hoop: str = ""
    machine: str = ""
    days: int | None = None

    @property
    def anything(self) -> bool:
        return self != Asked()

    @classmethod
    def read(cls, values: Mapping[str, str]) -> Asked:
        """From a query string; what cannot be read asks for all."""
        days = values.get("days", "")
        return cls(
            job=values.get("job", ""),
            size=values.get("size", ""),
            hoop=values.get("hoop", ""),
            machine=values.get("machine", ""),
            days=int(days) if days in DAYS else None,
        )

    def wants(self, one: Closed | Round) -> bool:
        """Whether size, hoop and machine are those asked for."""
        wanted = ((self.size, one.size), (self.hoop, one.hoop), (self.machine, one.machine))
        return all(not asked or asked == has for asked, has in wanted)


DAYS: Mapping[str, str] = {"30": "the last 30 days", "90": "the last 90 days", "365": "the last 12 months"}


@dataclass(frozen=True)
class Round:
    """One round of a front in its hoop; `outward`: how far it lay across, + beyond its folded edge, on a closed
    garment + to the viewer's right. mm."""

    garment: tuple[int, int]
    size: str
    hoop: str
    machine: str
    front: str
    fresh: bool
    along: float
    outward: float
    worst: float
    did: str
    at: int


@dataclass(frozen=True)
class Closed:
    """A garment that was closed and compared. `hoop`, `machine`: of the run in which its last front was sewn;
    `foretold`: the worst step expected then, None where it was not judged. mm."""

    run: str
    job_code: str
    job_title: str
    number: int
    size: str
    hoop: str
    machine: str
    steps: Mapping[str, float]
    worst: float
    gap: float | None
    passes: float
    outcome: str
    foretold: float | None
    at: int


def rounds(asked: Asked, now_ms: int) -> list[Round]:
    """The newest rounds that were asked for, oldest first."""
    columns = (
        RunRow.job_id, PlacingRow.garment, PlacingRow.size, RunRow.hoop, RunRow.machine, PlacingRow.front,
        PlacingRow.fresh, PlacingRow.along, PlacingRow.across, PlacingRow.worst, PlacingRow.did, PlacingRow.at,
    )  # fmt: skip
    query = (
        select(*columns)
        .join(RunRow, PlacingRow.run_id == RunRow.id)
        .join(JobRow, RunRow.job_id == JobRow.id)
        .where(PlacingRow.kind == "set", *_asked(asked, PlacingRow.at, now_ms))
        .order_by(PlacingRow.at.desc())
        .limit(NEWEST_ROUNDS)
    )
    found = [
        Round((job, garment), size, hoop, machine, front, fresh, along, across * _sign(front), worst, did, at)
        for job, garment, size, hoop, machine, front, fresh, along, across, worst, did, at in map(
            tuple, db.session.execute(query)
        )
    ]
    return [one for one in reversed(found) if asked.wants(one)]


def closed(asked: Asked, now_ms: int) -> list[Closed]:
    """The garments closed and compared that were asked for, oldest first. One that was sewn again counts each
    time: it was sewn twice."""
    query = (
        select(MeetingRow, RunRow, JobRow)
        .join(RunRow, MeetingRow.run_id == RunRow.id)
        .join(JobRow, RunRow.job_id == JobRow.id)
        .where(MeetingRow.worst_step.is_not(None), MeetingRow.outcome != "open")
        .where(*_asked(asked, MeetingRow.at, now_ms))
        .order_by(MeetingRow.at.desc())
        .limit(NEWEST_GARMENTS)
    )
    rows = db.session.execute(query).all()
    sewn = _sewn({job.id for _, _, job in rows})
    found = [
        _closed(meeting, run, job, sewn.get((job.id, meeting.garment), ()))
        for meeting, run, job in reversed(rows)
    ]
    return [one for one in found if asked.wants(one)]


def _asked(asked: Asked, at: InstrumentedAttribute[int], now_ms: int) -> list[ColumnElement[bool]]:
    """What a database can leave out by itself."""
    wanted: list[ColumnElement[bool]] = []
    if asked.job:
        wanted.append(JobRow.code == asked.job)
    if asked.days is not None:
        wanted.append(at >= now_ms - asked.days * DAY_MS)
    return wanted


class _Sewn(NamedTuple):
    """A front that was found fit to sew: when, the worst step expected then, and the run's hoop and machine."""

    at: int
    foretold: float | None
    hoop: str
    machine: str


def _sewn(jobs: Iterable[int]) -> dict[tuple[int, int], list[_Sewn]]:
    """By job and garment, oldest first."""
    query = (
        select(
            RunRow.job_id, PlacingRow.garment, PlacingRow.at, PlacingRow.worst, RunRow.hoop, RunRow.machine
        )
        .join(RunRow, PlacingRow.run_id == RunRow.id)
        .where(PlacingRow.kind == "set", PlacingRow.did.in_(KEPT), RunRow.job_id.in_(sorted(jobs)))
        .order_by(PlacingRow.at)
    )
    found: dict[tuple[int, int], list[_Sewn]] = {}
    for job, garment, at, worst, hoop, machine in db.session.execute(query):
        found.setdefault((job, garment), []).append(_Sewn(at, worst, hoop, machine))
    return found


def _closed(meeting: MeetingRow, run: RunRow, job: JobRow, sewn: Sequence[_Sewn]) -> Closed:
    before = [one for one in sewn if one.at <= meeting.at]
    last = before[-1] if before else _Sewn(0, None, run.hoop, "")
    assert meeting.worst_step is not None  # only such rows are asked for
    return Closed(
        run=meeting.run_id,
        job_code=job.code,
        job_title=job.title,
        number=meeting.garment,
        size=meeting.size,
        hoop=last.hoop,
        machine=last.machine,
        steps=meeting.steps,
        worst=meeting.worst_step,
        gap=meeting.worst_gap,
        passes=meeting.passes,
        outcome=meeting.outcome,
        foretold=last.foretold,
        at=meeting.at,
    )


def _sign(front: str) -> int:
    """The way out across a front's folded edge; on a closed garment to the viewer's right."""
    return next((side for name, side in SIDES.items() if name == front), 0) or 1
