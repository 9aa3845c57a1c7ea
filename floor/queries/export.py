"""The time log and all it rests on, row by row, for spreadsheets and programs.

Times are ISO 8601 in UTC; durations are seconds and say so (`work_s`). `since` keeps what began then or
later: phases by their start, runs by their opening, problems by when they were told, events by when the
server got them, so that a late tablet's events are not missed by the next export.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, datetime
from types import MappingProxyType

from sqlalchemy import select

from floor.domain.problems import PROBLEMS
from floor.queries.export_columns import COLUMNS
from floor.queries.export_text import Row, csv_lines, jsonl_lines, write_csv, write_jsonl
from floor.store.models import EventRow, JobRow, PhaseTimeRow, ProblemRow, RunRow, VerdictRow, db

ROWS_AT_A_TIME = 500

__all__ = [
    "COLUMNS",
    "UnknownExport",
    "columns_of",
    "csv_lines",
    "export_rows",
    "jsonl_lines",
    "write_csv",
    "write_jsonl",
]


class UnknownExport(ValueError):
    """There is no such export; the message names those there are."""


def export_rows(what: str, since: datetime | None = None) -> Iterator[Row]:
    """The rows of "phases", "runs", "events" or "problems". Raises UnknownExport before the first row."""
    if what not in _ROWS:
        raise UnknownExport(f'There is no export "{what}"; there are {", ".join(_ROWS)}.')
    return _ROWS[what](0 if since is None else int(since.timestamp() * 1000))


def columns_of(what: str) -> tuple[str, ...]:
    """The names of the columns, in order. Raises UnknownExport."""
    if what not in COLUMNS:
        raise UnknownExport(f'There is no export "{what}"; there are {", ".join(COLUMNS)}.')
    return COLUMNS[what]


def _iso(ms: int | None) -> str | None:
    if ms is None:
        return None
    return datetime.fromtimestamp(ms / 1000, tz=UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _of_the_run(run: RunRow, job: JobRow) -> Row:
    return {
        "job": job.code,
        "job_title": job.title,
        "customer": job.customer,
        "revision": run.revision,
        "run": run.id,
        "section": run.section,
        "section_title": run.title,
        "garments": run.garments,
    }


def _phases(since_ms: int) -> Iterator[Row]:
    found = db.session.execute(
        select(PhaseTimeRow, RunRow, JobRow)
        .join(RunRow, PhaseTimeRow.run_id == RunRow.id)
        .join(JobRow, RunRow.job_id == JobRow.id)
        .where(PhaseTimeRow.started >= since_ms)
        .order_by(RunRow.opened_at, RunRow.id, PhaseTimeRow.phase)
        .execution_options(yield_per=ROWS_AT_A_TIME)
    )
    for phase, run, job in found:
        yield {
            **_of_the_run(run, job),
            "attempt": run.attempt,
            "first_piece": run.first_piece,
            "run_status": run.status,
            "operator": run.operator,
            "phase": phase.phase + 1,
            "key": phase.key,
            "phase_title": phase.title,
            "who": phase.who,
            "expected_s": phase.expected_s,
            "work_s": phase.work_s,
            "rework_s": phase.rework_s,
            "waiting_s": phase.waiting_s,
            "pause_s": phase.pause_s,
            "problem_s": phase.problem_s,
            "started": _iso(phase.started),
            "ended": _iso(phase.ended),
            "times_begun": phase.times,
            "clock_jumps": phase.jumps,
        }


def _runs(since_ms: int) -> Iterator[Row]:
    found = db.session.execute(
        select(RunRow, JobRow)
        .join(JobRow, RunRow.job_id == JobRow.id)
        .where(RunRow.opened_at >= since_ms)
        .order_by(RunRow.opened_at, RunRow.id)
        .execution_options(yield_per=ROWS_AT_A_TIME)
    )
    for run, job in found:
        ended = run.last_at if run.ended_at is None else run.ended_at
        yield {
            **_of_the_run(run, job),
            "scrapped": run.scrapped,
            "attempt": run.attempt,
            "cause": run.cause,
            "first_piece": run.first_piece,
            "status": run.status,
            "set_aside": run.refusal,
            "sent_back_to": run.sent_back,
            "phase": run.phase + 1 if run.phase < run.phase_count else None,
            "phase_count": run.phase_count,
            "operator": run.operator,
            "opened": _iso(run.opened_at),
            "ended": _iso(run.ended_at),
            "approved": _iso(run.approved_at),
            "span_s": (ended - run.opened_at) / 1000,
            "clock_jumps": run.jumps,
            "machine": run.machine,
        }


def _events(since_ms: int) -> Iterator[Row]:
    found = db.session.execute(
        select(EventRow, VerdictRow, JobRow.code)
        .outerjoin(VerdictRow, VerdictRow.event_id == EventRow.id)
        .outerjoin(RunRow, RunRow.id == EventRow.run)
        .outerjoin(JobRow, JobRow.id == RunRow.job_id)
        .where(EventRow.received_at >= since_ms)
        .order_by(EventRow.received_at, EventRow.device, EventRow.seq)
        .execution_options(yield_per=ROWS_AT_A_TIME)
    )
    for event, verdict, code in found:
        yield {
            "job": code,
            "run": event.run,
            "event": event.id,
            "device": event.device,
            "seq": event.seq,
            "kind": event.kind,
            "phase": event.phase + 1,
            "happened": _iso(event.at + event.offset_ms),
            "tablet_clock": _iso(event.at),
            "clock_offset_s": event.offset_ms / 1000,
            "received": _iso(event.received_at),
            "operator": verdict.operator if verdict else None,
            "authority": event.authority,
            "by": event.by,
            "applied": verdict.applied if verdict else None,
            "in_force": verdict.in_force if verdict else None,
            "reason": verdict.reason if verdict else None,
            "sentence": verdict.sentence if verdict else None,
            "data": event.data,
            "clock_adrift": event.adrift,
        }


def _problems(since_ms: int) -> Iterator[Row]:
    found = db.session.execute(
        select(ProblemRow, RunRow, JobRow)
        .join(RunRow, ProblemRow.run_id == RunRow.id)
        .join(JobRow, RunRow.job_id == JobRow.id)
        .where(ProblemRow.told_at >= since_ms)
        .order_by(ProblemRow.told_at, ProblemRow.id)
        .execution_options(yield_per=ROWS_AT_A_TIME)
    )
    for problem, run, job in found:
        cleared = problem.cleared_at
        known = PROBLEMS.get(problem.kind)
        yield {
            "job": job.code,
            "job_title": job.title,
            "run": run.id,
            "section_title": run.title,
            "garments": run.garments,
            "problem": problem.id,
            "kind": problem.kind,
            "words": known.words if known else None,
            "note": problem.note,
            "phase": problem.phase + 1,
            "phase_title": problem.phase_title,
            "operator": problem.operator,
            "told": _iso(problem.told_at),
            "cleared": _iso(cleared),
            "open_s": None if cleared is None else (cleared - problem.told_at) / 1000,
            "how": problem.how,
            "decided_by": problem.decided_by,
        }


_ROWS: Mapping[str, Callable[[int], Iterator[Row]]] = MappingProxyType(
    {"phases": _phases, "runs": _runs, "events": _events, "problems": _problems}
)
