"""A shop that wanders: two tablets open, work, lose, send back and finish runs of its jobs, mostly sensibly."""

from __future__ import annotations

import uuid
from dataclasses import dataclass, field
from random import Random

from sqlalchemy import select

from floor.queries.events import events_of_run
from floor.queries.tablet import OVER
from floor.queries.tablet_job import next_load
from floor.queries.views import find_job, revision_plan
from floor.services.intake import approve_from_office
from floor.services.rehearsal import open_run, walk
from floor.store.models import JobRow, RunRow, db
from tests.conftest import SUPERVISOR, Tablet, make_tablet, view_of


@dataclass
class ShopWalk:
    codes: tuple[str, ...]
    random: Random
    tablets: list[Tablet] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.tablets = [make_tablet(self.random.randrange(10**6)) for _ in range(2)]

    def step(self) -> None:
        """One thing happens in the shop, and is sent."""
        self.now = max(tablet.hands.at for tablet in self.tablets) + self.random.choice((1_000, 70_000))
        for tablet in self.tablets:
            tablet.hands.at = self.now
        rows = db.session.scalars(select(RunRow).where(RunRow.status.not_in(OVER)).order_by(RunRow.id)).all()
        if not rows or self.random.random() < 0.25:
            self._open()
        else:
            self._go_on(self.random.choice(rows))
        for tablet in self.tablets:
            tablet.send()

    def _open(self) -> None:
        code = self.random.choice(self.codes)
        view, tablet = view_of(code), self.random.choice(self.tablets)
        chosen = self.random.choice(view.job.garments).number
        load = next_load(view, chosen)
        if load is None or self.random.random() < 0.1:  # what may not be
            section = self.random.choice(view.sections)
            garments = [chosen] if section.scope == "load" else []
            load = {"section": section.key, "garments": garments, "first_piece": view.progress.approval_owed}
        elif len(load["garments"]) > 1 and self.random.random() < 0.3:
            load["garments"] = load["garments"][:1]
        cause = "it lay wrong" if self.random.random() < 0.2 else ""
        opening = {
            "job": code, "revision": view.revision, "section": load["section"], "garments": load["garments"],
            "first_piece": load["first_piece"], "operator": tablet.hands.operator, "cause": cause,
        }  # fmt: skip
        open_run(tablet.hands, tablet.hands.new_run(), opening)

    def _go_on(self, row: RunRow) -> None:
        job = db.session.get(JobRow, row.job_id)
        assert job is not None
        plan = revision_plan(job, row.revision)
        assert plan is not None
        checklist = plan.checklist(row.section, tuple(row.garments), row.first_piece)
        newest = [event for event in events_of_run(row.id) if event.kind != "undo"][-1]
        # A run is in the hands of the tablet that opened it.
        tablet = next((one for one in self.tablets if one.hands.device == newest.device), self.tablets[0])
        tap = self.random.random()
        if row.approval_owed and tap < 0.7:
            new_id = str(uuid.UUID(int=self.random.getrandbits(128), version=4))
            approve_from_office(row.id, SUPERVISOR, self.now, new_id)
            tablet.hands.at = self.now + 5_000
        elif row.status == "paused":
            tablet.tap(row.id, "resume", row.phase)
        elif tap < 0.7:
            left = len(checklist.phases) - row.phase
            stop = row.phase + (left if self.random.random() < 0.6 else self.random.randint(0, left))
            walk(tablet.hands, row.id, checklist, start=row.phase, stop=stop, approved=not row.approval_owed)
        elif tap < 0.76:
            tablet.tap(row.id, "undo", row.phase, event=newest.id)
        elif tap < 0.82 and row.garments:
            lost = self.random.choice(row.garments)
            tablet.tap(row.id, "scrap", row.phase, garments=[lost], cause="cloth-cut")
        elif tap < 0.88 and checklist.earlier:
            section = self.random.choice(checklist.earlier)[0]
            tablet.tap(row.id, "redo", row.phase, cause="lies-wrong", section=section)
        elif tap < 0.93:
            tablet.tap(row.id, "redo", row.phase, cause="lies-wrong", to=self.random.randint(0, row.phase))
        elif tap < 0.97:
            tablet.tap(row.id, "pause", row.phase, reason="break")
        else:
            tablet.tap(row.id, "hand_over", row.phase, to="Bo")


def job_of(code: str) -> JobRow:
    row = find_job(code)
    assert row is not None
    return row
