"""What was set aside: what waits for a supervisor, and whether it could count by now; what was settled, and how."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import ColumnElement, func, literal, select

from floor.domain.english import plain
from floor.domain.events import Event, Kind
from floor.domain.payloads import Opened
from floor.domain.run import replay
from floor.domain.run_state import RunState, Status
from floor.domain.settling import why_not_now
from floor.queries.events import event_of, events_of_run, opening_of
from floor.queries.office.jobs import load_words
from floor.queries.office.words import moment_words
from floor.queries.tablet_run import undos_set_aside
from floor.queries.views import revision_plan
from floor.store.models import EventRow, JobRow, RunRow, VerdictRow, db

MOST_TAPS = 300
MOST_RUNS = 40  # each is replayed, to see what could count by now
NOBODY = literal(
    "", literal_execute=True
)  # spelt out in the query, or the index of what is settled is not used


@dataclass(frozen=True)
class AsideTap:
    """A tap that could not apply and waits to be settled. `when` by the tablet's clock, as corrected; `moot`: what is
    told of an earlier settling of it that taps which came late have overtaken, "" where there was none."""

    event: str
    sentence: str
    reason: str
    when: str
    moot: str


@dataclass(frozen=True)
class AsideRun:
    """The open taps of one run, in the order in which they were tapped. `whole`: the run itself is not under way, so
    that they can only be kept, together. `known`: whether it has a page; `operator`: who had it then."""

    run: str
    known: bool
    whole: bool
    place: str
    job_code: str
    job_title: str
    operator: str
    taps: tuple[AsideTap, ...]

    @property
    def first(self) -> AsideTap:
        return self.taps[0]

    @property
    def count(self) -> int:
        return len(self.taps)


@dataclass(frozen=True)
class SettledLine:
    """What a supervisor decided. `can_take_back`: nothing newer has happened to the run since."""

    settling: str
    sentence: str
    count: int
    counts: bool
    why: str
    by: str
    when: str
    run: str
    known: bool
    place: str
    job_code: str
    job_title: str
    can_take_back: bool


def _is_open() -> ColumnElement[bool]:
    return VerdictRow.applied.is_(False) & (VerdictRow.settled == "") & (EventRow.kind != Kind.SETTLE.value)


def open_count() -> int:
    """How many taps wait to be settled."""
    query = select(func.count()).select_from(VerdictRow).join(EventRow, EventRow.id == VerdictRow.event_id)
    return db.session.scalar(query.where(_is_open())) or 0


def aside_runs(job_id: int | None = None) -> list[AsideRun]:
    """What is open, run by run; the run whose tap came last is first. At most MOST_TAPS taps, the newest."""
    query = (
        select(EventRow, VerdictRow)
        .join(VerdictRow, VerdictRow.event_id == EventRow.id)
        .where(_is_open())
        .order_by(EventRow.received_at.desc(), VerdictRow.position.desc())
        .limit(MOST_TAPS)
    )
    if job_id is not None:
        query = query.join(RunRow, RunRow.id == EventRow.run).where(RunRow.job_id == job_id)
    found: dict[str, list[tuple[EventRow, VerdictRow]]] = {}
    for event, verdict in db.session.execute(query):
        found.setdefault(event.run, []).append((event, verdict))
    moot = _moot(found)
    return [
        _aside_run(run, sorted(rows, key=lambda row: row[1].position), moot) for run, rows in found.items()
    ]


def _moot(runs: Iterable[str]) -> dict[str, str]:
    """By tap, what became of settlings that did not hold."""
    query = (
        select(EventRow, VerdictRow.reason)
        .join(VerdictRow, VerdictRow.event_id == EventRow.id)
        .where(VerdictRow.applied.is_(False), EventRow.kind == Kind.SETTLE.value, EventRow.run.in_(runs))
        .where(EventRow.by.is_not(None))
        .order_by(VerdictRow.position)
    )
    return {
        str(
            event.data.get("event")
        ): f"{event.by} had let it count; taps that came later say otherwise: {reason}"
        for event, reason in db.session.execute(query)
        if event.data.get("how") == "apply"
    }


def _aside_run(run: str, rows: list[tuple[EventRow, VerdictRow]], moot: dict[str, str]) -> AsideRun:
    row = db.session.get(RunRow, run)
    code, title, place = _where(row)
    return AsideRun(
        run=run,
        known=row is not None,
        whole=row is None or row.status == Status.VOID,
        place=place,
        job_code=code,
        job_title=title,
        operator=rows[0][1].operator,
        taps=tuple(
            AsideTap(
                event.id,
                verdict.sentence,
                verdict.reason,
                moment_words(event.at + event.offset_ms),
                moot.get(event.id, ""),
            )
            for event, verdict in rows
        ),
    )


def _where(row: RunRow | None) -> tuple[str, str, str]:
    """The job's code and title, and which load in which section."""
    if row is None:
        return "", "", "A run that was never opened here"
    job = db.session.get_one(JobRow, row.job_id)
    return job.code, job.title, f"{load_words(row.garments)}, {plain(row.title)}"


def why_not(runs: Iterable[AsideRun]) -> dict[str, str]:
    """By tap, why it could not count as its run stands now; "" where it could."""
    found = {}
    for aside in runs:
        if aside.whole:
            continue
        state, opening, events = _standing(aside.run)
        by_id = {event.id: event for event in events}
        for tap in aside.taps:
            found[tap.event] = why_not_now(state, by_id[tap.event], opening)
    return found


def _standing(run: str) -> tuple[RunState, Opened, tuple[Event, ...]]:
    row = db.session.get_one(RunRow, run)
    plan = revision_plan(db.session.get_one(JobRow, row.job_id), row.revision)
    assert plan is not None  # the run was projected with it
    events = events_of_run(run)
    opening = opening_of(row, events)
    checklist = plan.checklist(row.section, opening.garments, opening.first_piece, opening.hand)
    return replay(checklist, opening, events, row.refusal, undos_set_aside(run)).state, opening, events


def settled_lines() -> list[SettledLine]:
    """What was settled, newest first; at most MOST_RUNS."""
    query = (
        select(EventRow, VerdictRow)
        .join(VerdictRow, VerdictRow.event_id == EventRow.id)
        .where(EventRow.id.in_(select(VerdictRow.settled).where(VerdictRow.settled != NOBODY)))
        .order_by(EventRow.received_at.desc(), EventRow.seq.desc())
        .limit(MOST_RUNS)
    )
    return [_settled_line(event_of(event), verdict.position) for event, verdict in db.session.execute(query)]


def _settled_line(event: Event, position: int) -> SettledLine:
    sentences = db.session.scalars(
        select(VerdictRow.sentence).where(VerdictRow.settled == event.id).order_by(VerdictRow.position)
    ).all()
    newest = db.session.scalar(
        select(func.max(VerdictRow.position)).where(
            VerdictRow.run == event.run, VerdictRow.in_force, VerdictRow.applied
        )
    )
    row = db.session.get(RunRow, event.run)
    code, title, place = _where(row)
    return SettledLine(
        settling=event.id,
        sentence=sentences[0],
        count=len(sentences),
        counts=event.data["how"] == "apply",
        why=event.data["why"],
        by=event.by or "",
        when=moment_words(event.when),
        run=event.run,
        known=row is not None,
        place=place,
        job_code=code,
        job_title=title,
        can_take_back=newest == position,
    )
