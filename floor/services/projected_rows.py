"""What the rows of a run ought to hold: the run, its phase times, its problems, how its fronts were laid and met,
and what became of each event."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass, field
from typing import Any

from floor.domain.checklist import Checklist
from floor.domain.events import Event
from floor.domain.meetings import meetings
from floor.domain.payloads import Approved, ProblemCleared, ProblemMet
from floor.domain.placings import placings
from floor.domain.progress import JobProgress, RunFacts
from floor.domain.run import Replay, Verdict, replay
from floor.domain.run_state import Status
from floor.domain.sentences import sentence_of
from floor.domain.timing import time_log
from floor.services.opened_runs import OpenedRun

Row = dict[str, Any]


@dataclass
class Projection:
    """What the tables should hold of some runs; each dict is keyed by the row's primary key."""

    runs: dict[Any, Row] = field(default_factory=dict)
    times: dict[Any, Row] = field(default_factory=dict)
    problems: dict[Any, Row] = field(default_factory=dict)
    placings: dict[Any, Row] = field(default_factory=dict)
    meetings: dict[Any, Row] = field(default_factory=dict)
    verdicts: dict[Any, Row] = field(default_factory=dict)


def add_aside(wanted: Projection, run: str, events: Iterable[Event], result: Replay) -> None:
    """Add what became of events that open no run."""
    _add_verdicts(wanted, run, events, result, None)


def _add_verdicts(
    wanted: Projection, run: str, events: Iterable[Event], result: Replay, checklist: Checklist | None
) -> None:
    in_force = {event.id for step in result.steps for event in (step.event, step.tapped)}
    for position, event in enumerate(events):
        verdict = result.verdicts[event.id]
        wanted.verdicts[event.id] = _verdict(run, position, event, verdict, event.id in in_force, checklist)


def add_rows(
    wanted: Projection, opened: OpenedRun, facts: RunFacts, progress: JobProgress, refusal: str
) -> None:
    """Add the rows of one run to `wanted`. `refusal`: why it may not exist, "" when it may."""
    checklist = opened.checklist
    result = replay(checklist, opened.opening, opened.events, refusal) if refusal else opened.alone
    _add_verdicts(wanted, opened.run, opened.events, result, checklist)
    times = time_log(checklist, result.steps)
    for time in times:
        row = asdict(time)
        row["phase"] = row.pop("index")
        wanted.times[(opened.run, time.index)] = {"run_id": opened.run, **row}
    _problems(wanted, opened.run, result)
    _placed(wanted, opened, result)
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
        "scrapped": list(facts.scrapped),
        "scrapped_at": list(facts.scrapped_at),
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
        "approved_at": min((s.event.when for s in opened.alone.steps if isinstance(s.payload, Approved)),
                           default=None),
        "approvals": [list(span) for span in facts.approvals],
        "reopened": bool(opened.reopenings),
        "own_status": facts.status.value,
        "own_ended_at": facts.ended_at,
        "last_at": max((s.event.when for s in result.steps), default=facts.opened_at),
        "jumps": jumps,
        "machine": opened.opening.machine,
        "hoop": " x ".join(f"{side:g}" for side in opened.plan.job.hoop.field),
    }  # fmt: skip


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


def _placed(wanted: Projection, opened: OpenedRun, result: Replay) -> None:
    """How its fronts were laid, and how its halves met."""
    for placing in placings(result):
        row = asdict(placing) | {"readings": list(placing.readings), "pairs": list(placing.pairs)}
        row["nudge_along"], row["nudge_across"] = row.pop("nudge")
        size = opened.plan.job.garment(placing.garment).size
        wanted.placings[(opened.run, placing.phase, placing.number)] = {
            "run_id": opened.run,
            "size": size,
            **row,
        }
    for meeting in meetings(result):
        size = opened.plan.job.garment(meeting.garment).size
        wanted.meetings[(opened.run, meeting.phase)] = {"run_id": opened.run, "size": size, **asdict(meeting)}


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
        "settled": verdict.settled,
    }
