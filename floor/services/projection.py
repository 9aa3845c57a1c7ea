"""Events -> the rows that pages read: runs, phase times, problems and verdicts.

The same code writes them as events come in, makes them all again for `floor rebuild`, and computes what they
ought to be for `floor check`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from sqlalchemy import select

from floor.domain.checklist import Checklist
from floor.domain.events import Event, Kind, UnreadableData
from floor.domain.payloads import Approved, Opened, ProblemCleared, ProblemMet, read_payload
from floor.domain.progress import CLOCK_GRACE_MS, JobProgress, RunFacts
from floor.domain.route import UnknownGarment, UnknownSection
from floor.domain.run import Replay, Verdict, replay
from floor.domain.run_state import Status
from floor.domain.sentences import sentence_of
from floor.domain.timing import time_log
from floor.queries.events import events_of_run
from floor.queries.views import Plan, facts_of, find_job, plan_of, progress_of
from floor.store.models import EventRow, JobRow, PhaseTimeRow, ProblemRow, RunRow, VerdictRow, db

Row = dict[str, Any]


@dataclass
class Projection:
    """What the tables should hold of some runs; each dict is keyed by the row's primary key."""

    runs: dict[Any, Row] = field(default_factory=dict)
    times: dict[Any, Row] = field(default_factory=dict)
    problems: dict[Any, Row] = field(default_factory=dict)
    verdicts: dict[Any, Row] = field(default_factory=dict)


@dataclass(frozen=True)
class OpenedRun:
    """A run with the job that it belongs to, and its replay as if nothing outside it stood in its way."""

    run: str
    job: JobRow
    plan: Plan
    opening: Opened
    events: tuple[Event, ...]
    alone: Replay

    def facts(self) -> RunFacts:
        state = self.alone.state
        approvals = [s.event.when for s in self.alone.steps if isinstance(s.payload, Approved)]
        return RunFacts(
            run=self.run,
            section=self.opening.section,
            garments=self.opening.garments,
            first_piece=self.opening.first_piece,
            cause=self.opening.cause,
            opened_at=self.alone.opened_at or 0,
            status=state.status,
            scrapped=state.scrapped,
            sent_back=state.sent_back,
            ended_at=self.alone.ended_at,
            approved_at=min(approvals, default=None),
        )


def open_run(run: str, events: tuple[Event, ...]) -> OpenedRun | Mapping[str, Verdict]:
    """The run that these events open; or, when none does, why each of them is set aside."""
    verdicts: dict[str, Verdict] = {}
    for event in events:
        if event.kind == Kind.OPEN:
            found = _try_opening(event)
            if not isinstance(found, str):
                job, plan, opening = found
                checklist = plan.checklist(opening.section, opening.garments, opening.first_piece)
                return OpenedRun(run, job, plan, opening, events, replay(checklist, opening, events))
            verdicts[event.id] = Verdict(False, found)
    for event in events:
        verdicts.setdefault(event.id, Verdict(False, "No run was opened that this could belong to."))
    return verdicts


def _try_opening(event: Event) -> tuple[JobRow, Plan, Opened] | str:
    try:
        opening = read_payload(event)
    except UnreadableData as wrong:
        return str(wrong)
    assert isinstance(opening, Opened)
    job = find_job(opening.job)
    if job is None:
        return f'There is no job with the code "{opening.job}".'
    revision = next((r for r in job.revisions if r.number == opening.revision), None)
    if revision is None:
        return f"Job {opening.job} has no revision {opening.revision}; its newest is {len(job.revisions)}."
    plan = plan_of(revision)
    try:
        plan.checklist(opening.section, opening.garments, opening.first_piece)
    except (UnknownSection, UnknownGarment) as unknown:
        return str(unknown)
    return job, plan, opening


def project(touched: Iterable[str]) -> None:
    """Bring the projections of these runs up to date, and those of runs of the same job whose right to exist
    changes with them. Inside the caller's transaction."""
    by_job: dict[int, dict[str, OpenedRun]] = {}
    wanted = Projection()
    seen: set[str] = set()
    for run in sorted(set(touched)):
        seen.add(run)
        found = open_run(run, events_of_run(run))
        if isinstance(found, OpenedRun):
            by_job.setdefault(found.job.id, {})[run] = found
        else:
            _aside(wanted, run, events_of_run(run), found)
    for job_id, opened in by_job.items():
        stored = {r.id: r for r in db.session.scalars(select(RunRow).where(RunRow.job_id == job_id))}
        facts = {run: found.facts() for run, found in opened.items()}
        for run, row in stored.items():
            if run not in facts and not row.refusal:
                facts[run] = facts_of(row)
            elif run not in facts:
                found = open_run(run, events_of_run(run))
                assert isinstance(found, OpenedRun)  # its row says that it was opened
                opened[run], facts[run] = found, found.facts()
        one = next(iter(opened.values()))
        progress = progress_of(plan_of(one.job.revisions[-1]), facts.values())
        for run, row in stored.items():
            changed = (row.refusal, row.attempt) != (refusal_of(run, one.job, facts[run], progress),
                                                     progress.attempts.get(run, 1))  # fmt: skip
            if run not in opened and changed:
                found = open_run(run, events_of_run(run))
                assert isinstance(found, OpenedRun)
                opened[run] = found
        for run, opened_run in opened.items():
            seen.add(run)
            rows_of(wanted, opened_run, facts[run], progress)
    write(wanted, seen)


def refusal_of(run: str, job: JobRow, facts: RunFacts, progress: JobProgress) -> str:
    if job.removed_at is not None and facts.opened_at > job.removed_at + CLOCK_GRACE_MS:
        return f"The job had been removed by {job.removed_by}."
    return progress.refusals.get(run, "")


def everything() -> Projection:
    """What all projections should hold, from events alone."""
    wanted = Projection()
    by_job: dict[int, list[OpenedRun]] = {}
    for run in db.session.scalars(select(EventRow.run).distinct().order_by(EventRow.run)).all():
        events = events_of_run(run)
        found = open_run(run, events)
        if isinstance(found, OpenedRun):
            by_job.setdefault(found.job.id, []).append(found)
        else:
            _aside(wanted, run, events, found)
    for opened in by_job.values():
        facts = {one.run: one.facts() for one in opened}
        progress = progress_of(plan_of(opened[0].job.revisions[-1]), facts.values())
        for one in opened:
            rows_of(wanted, one, facts[one.run], progress)
    return wanted


def _aside(wanted: Projection, run: str, events: Iterable[Event], verdicts: Mapping[str, Verdict]) -> None:
    for position, event in enumerate(events):
        wanted.verdicts[event.id] = _verdict(run, position, event, verdicts[event.id], False, None)


def rows_of(wanted: Projection, opened: OpenedRun, facts: RunFacts, progress: JobProgress) -> None:
    """Add the rows of one run to `wanted`."""
    refusal = refusal_of(opened.run, opened.job, facts, progress)
    checklist = opened.alone.state.checklist
    result = replay(checklist, opened.opening, opened.events, refusal) if refusal else opened.alone
    in_force = {step.event.id for step in result.steps}
    for position, event in enumerate(opened.events):
        verdict = result.verdicts[event.id]
        wanted.verdicts[event.id] = _verdict(
            opened.run, position, event, verdict, event.id in in_force, checklist
        )
    times = time_log(checklist, result.steps)
    for time in times:
        row = asdict(time)
        row["phase"] = row.pop("index")
        wanted.times[(opened.run, time.index)] = {"run_id": opened.run, **row}
    _problems(wanted, opened.run, result)
    wanted.runs[opened.run] = _run(opened, facts, result, refusal, progress, sum(t.jumps for t in times))


def _run(
    opened: OpenedRun, facts: RunFacts, result: Replay, refusal: str, progress: JobProgress, jumps: int
) -> Row:
    state = result.state
    alone = opened.alone.state  # a refused run keeps its own story, so that it can be weighed again
    return {
        "id": opened.run,
        "job_id": opened.job.id,
        "revision": opened.opening.revision,
        "section": opened.opening.section,
        "title": state.checklist.title,
        "garments": list(opened.opening.garments),
        "scrapped": list(alone.scrapped),
        "first_piece": opened.opening.first_piece,
        "cause": opened.opening.cause,
        "attempt": progress.attempts.get(opened.run, 1),
        "status": (Status.VOID if refusal else state.status).value,
        "sent_back": alone.sent_back,
        "refusal": refusal,
        "phase": state.phase,
        "phase_count": len(state.phases),
        "phase_title": state.current.title if state.current else "",
        "approval_owed": not refusal and state.opened and not state.ended and state.approval_owed,
        "operator": state.operator or opened.opening.operator,
        "opened_at": facts.opened_at,
        "ended_at": result.ended_at,
        "approved_at": facts.approved_at,
        "last_at": max((s.event.when for s in result.steps), default=facts.opened_at),
        "jumps": jumps,
    }


def _problems(wanted: Projection, run: str, result: Replay) -> None:
    for step in result.steps:
        if isinstance(step.payload, ProblemMet):
            phase = step.after.current
            wanted.problems[step.event.id] = {
                "id": step.event.id,
                "run_id": run,
                "kind": step.payload.problem,
                "note": step.payload.note,
                "phase": step.after.phase,
                "phase_title": phase.title if phase else "",
                "operator": step.after.operator,
                "told_at": step.event.when,
                "cleared_at": None,
                "how": "",
                "decided_by": None,
            }
        elif isinstance(step.payload, ProblemCleared):
            wanted.problems[step.payload.problem] |= {
                "cleared_at": step.event.when,
                "how": step.payload.how + (f" ({step.payload.decision})" if step.payload.decision else ""),
                "decided_by": step.event.by,
            }


def _verdict(
    run: str, position: int, event: Event, verdict: Verdict, in_force: bool, checklist: Checklist | None
) -> Row:
    return {
        "event_id": event.id,
        "run": run,
        "position": position,
        "applied": verdict.applied,
        "in_force": in_force,
        "reason": verdict.reason,
        "operator": verdict.operator,
        "sentence": sentence_of(event, checklist),
    }


TABLES: tuple[tuple[str, type[Any], str, tuple[str, ...]], ...] = (
    ("runs", RunRow, "id", ("id",)),
    ("times", PhaseTimeRow, "run_id", ("run_id", "phase")),
    ("problems", ProblemRow, "run_id", ("id",)),
    ("verdicts", VerdictRow, "run", ("event_id",)),
)


def stored(runs: Iterable[str] | None = None) -> Projection:
    """What the tables hold, of these runs or of all."""
    found = Projection()
    for name, model, run_column, keys in TABLES:
        for row in _rows(model, run_column, runs):
            values = {column.key: getattr(row, column.key) for column in model.__table__.columns}
            getattr(found, name)[_key(values, keys)] = values
    return found


def write(wanted: Projection, runs: Iterable[str] | None = None) -> None:
    """Make the tables hold `wanted` for these runs (None: for all), touching only rows that differ."""
    have: dict[str, dict[Any, Any]] = {}
    for name, model, run_column, keys in reversed(TABLES):  # children go before the run that they belong to
        have[name] = {
            _key({k: getattr(row, k) for k in keys}, keys): row for row in _rows(model, run_column, runs)
        }
        for key in have[name].keys() - getattr(wanted, name).keys():
            db.session.delete(have[name].pop(key))
        db.session.flush()
    for name, model, _, _ in TABLES:
        for key, values in getattr(wanted, name).items():
            row = have[name].get(key)
            if row is None:
                db.session.add(model(**values))
                continue
            for column, value in values.items():
                if getattr(row, column) != value:
                    setattr(row, column, value)
        db.session.flush()


def _rows(model: type[Any], run_column: str, runs: Iterable[str] | None) -> list[Any]:
    query = select(model)
    if runs is not None:
        query = query.where(getattr(model, run_column).in_(sorted(runs)))
    return list(db.session.scalars(query))


def _key(values: Row, keys: tuple[str, ...]) -> Any:
    return values[keys[0]] if len(keys) == 1 else tuple(values[key] for key in keys)
