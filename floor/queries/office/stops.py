"""Why a job's work stopped: its problems by kind and its pauses by reason, the longest first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import select

from floor.domain.events import Kind
from floor.domain.problems import PAUSE_REASONS, PROBLEMS
from floor.queries.office.jobs import load_words, problem_words
from floor.queries.office.spent import kept_runs
from floor.store.models import EventRow, ProblemRow, RunRow, VerdictRow, db

MS = 1000


@dataclass(frozen=True)
class StopLine:
    """One kind of problem or one reason for a pause. `held`: whether the work stood still meanwhile."""

    words: str
    pause: bool
    held: bool
    count: int
    seconds: int
    where: tuple[str, ...]
    open: bool


def stop_lines(job_id: int, now_ms: int) -> list[StopLine]:
    """Each counts until it was over, and to now while it goes on."""
    runs = {run.id: run for run in kept_runs(job_id)}
    stops = [*_problems(runs, now_ms), *_pauses(runs, now_ms)]
    by_words: dict[tuple[bool, str], list[_Stop]] = {}
    for stop in stops:
        by_words.setdefault((stop.pause, stop.words), []).append(stop)
    lines = [
        StopLine(
            words=words,
            pause=pause,
            held=found[0].held,
            count=len(found),
            seconds=round(sum(stop.ms for stop in found) / MS),
            where=tuple(dict.fromkeys(stop.where for stop in found)),
            open=any(stop.open for stop in found),
        )
        for (pause, words), found in by_words.items()
    ]
    return sorted(lines, key=lambda line: (line.pause, not line.held, -line.seconds))


@dataclass(frozen=True)
class _Stop:
    words: str
    pause: bool
    held: bool
    ms: int
    where: str
    open: bool


def _problems(runs: dict[str, RunRow], now_ms: int) -> Iterator[_Stop]:
    query = select(ProblemRow).where(ProblemRow.run_id.in_(runs)).order_by(ProblemRow.told_at)
    for row in db.session.scalars(query):
        kind = PROBLEMS.get(row.kind)
        until = now_ms if row.cleared_at is None else row.cleared_at
        yield _Stop(
            words=problem_words(row.kind),
            pause=False,
            held=kind is None or kind.blocking,
            ms=max(0, until - row.told_at),
            where=load_words(runs[row.run_id].garments),
            open=row.cleared_at is None,
        )


def _pauses(runs: dict[str, RunRow], now_ms: int) -> Iterator[_Stop]:
    """From each pause to going on, or to the run's end."""
    found = db.session.scalars(
        select(EventRow)
        .join(VerdictRow, VerdictRow.event_id == EventRow.id)
        .where(EventRow.run.in_(runs), EventRow.kind.in_((Kind.PAUSE, Kind.RESUME)), VerdictRow.in_force)
        .order_by(EventRow.run, VerdictRow.position)
    )
    begun: dict[str, EventRow] = {}
    for event in found:
        if event.kind == Kind.PAUSE:
            begun[event.run] = event
        elif event.run in begun:
            yield _pause(runs[event.run], begun.pop(event.run), _when(event), False)
    for run, event in begun.items():
        end = runs[run].ended_at
        yield _pause(runs[run], event, now_ms if end is None else end, end is None)


def _pause(run: RunRow, event: EventRow, until: int, open_: bool) -> _Stop:
    reason = str(event.data.get("reason", ""))
    words = PAUSE_REASONS.get(reason, reason)
    return _Stop(words, True, True, max(0, until - _when(event)), load_words(run.garments), open_)


def _when(event: EventRow) -> int:
    return event.at + event.offset_ms
