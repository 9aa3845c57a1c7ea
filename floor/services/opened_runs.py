"""Runs as their events open them, and as the job's other runs let them be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from floor.domain.checklist import Checklist
from floor.domain.events import Event, Kind, UnreadableData
from floor.domain.history import Beginning, Reopening, approvals, reopenings, scrapped_at, too_late
from floor.domain.payloads import Opened, read_payload
from floor.domain.progress import RunFacts
from floor.domain.route import UnknownGarment, UnknownSection
from floor.domain.run import Replay, replay
from floor.queries.views import Plan, find_job, plan_of
from floor.store.models import JobRow

NO_RUN = "No run was opened that this could belong to."
NOTHING_TO_DO = Checklist("", "", "bench", None, ())


@dataclass(frozen=True)
class OpenedRun:
    """A run with the job that it belongs to, and its replay as if no other run stood in the way of its being.

    `reopenings`: its undos that other runs may stand in the way of, whether they do or not.
    """

    run: str
    job: JobRow
    plan: Plan
    opening: Opened
    events: tuple[Event, ...]
    alone: Replay
    reopenings: tuple[Reopening, ...]

    @property
    def checklist(self) -> Checklist:
        return self.alone.state.checklist

    def beginning(self) -> Beginning | None:
        """That it was opened; None when its opening was taken back."""
        if self.alone.opened_at is None:
            return None
        return Beginning(self.run, self.checklist.title, self.opening.garments, self.alone.opened_at)

    def without(self, too_late: Mapping[str, str]) -> OpenedRun:
        """The run with these undos of it set aside."""
        again = replay(self.checklist, self.opening, self.events, too_late=too_late)
        return replace(self, alone=again)

    def facts(self) -> RunFacts:
        state = self.alone.state
        lost = scrapped_at(self.alone)
        return RunFacts(
            run=self.run,
            section=self.opening.section,
            garments=self.opening.garments,
            first_piece=self.opening.first_piece,
            cause=self.opening.cause,
            opened_at=self.alone.opened_at or 0,
            status=state.status,
            scrapped=state.scrapped,
            scrapped_at=tuple(lost[number] for number in state.scrapped),
            sent_back=state.sent_back,
            ended_at=self.alone.ended_at,
            approvals=approvals(self.alone),
            terms=self.plan.terms,
        )


def open_run(run: str, events: tuple[Event, ...]) -> OpenedRun | Replay:
    """The run that these events open; or, when none does, their replay without one, all of them set aside."""
    reasons: dict[str, str] = {}
    for event in events:
        if event.kind == Kind.OPEN:
            found = _try_opening(event)
            if not isinstance(found, str):
                job, plan, opening = found
                checklist = plan.checklist(
                    opening.section, opening.garments, opening.first_piece, opening.hand
                )
                alone = replay(checklist, opening, events)
                return OpenedRun(run, job, plan, opening, events, alone, reopenings(alone))
            reasons[event.id] = found
    alone = replay(NOTHING_TO_DO, None, events, NO_RUN)
    verdicts = {
        id: replace(verdict, reason=reasons.get(id, verdict.reason)) for id, verdict in alone.verdicts.items()
    }
    return replace(alone, verdicts=verdicts)


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


def weighed(opened: Mapping[str, OpenedRun], others: Iterable[Beginning]) -> dict[str, OpenedRun]:
    """These runs of one job, with the undos set aside that come too late for what `others` and they began."""
    beginnings = [*others, *(b for one in opened.values() if (b := one.beginning()) is not None)]
    found = {}
    for run, one in opened.items():
        reasons = {r.undo: too_late(run, r, beginnings) for r in one.reopenings}
        late = {undo: reason for undo, reason in reasons.items() if reason}
        found[run] = one.without(late) if late else one
    return found
