"""Rows of garments that were laid, closed and compared, put straight into the tables: what pages say of many."""

from __future__ import annotations

import random
import uuid
from collections.abc import Sequence

from floor.services.jobs import import_job
from floor.store.database import writing
from floor.store.models import JobRow, MeetingRow, PlacingRow, RunRow, db
from tests.conftest import START, SUPERVISOR, demo_source

MINUTE_MS = 60_000
DAY_MS = 86_400_000


def run_row(job: JobRow, garment: int, section: str, at: int, machine: str, hoop: str) -> RunRow:
    return RunRow(
        id=str(uuid.uuid4()), job_id=job.id, revision=1, section=section, title=section, garments=[garment],
        scrapped=[], scrapped_at=[], first_piece=False, cause="", attempt=1, status="finished", sent_back="",
        refusal="", phase=9, phase_count=9, phase_title="", approval_owed=False, operator="Ines", opened_at=at,
        ended_at=at, approved_at=None, approvals=[], reopened=False, own_status="finished", own_ended_at=at,
        last_at=at, jumps=0, machine=machine, hoop=hoop,
    )  # fmt: skip


def placing_row(run: RunRow, garment: int, front: str, number: int, **more: object) -> PlacingRow:
    usual: dict[str, object] = {
        "phase": 9, "key": "check-place", "size": "M", "kind": "set", "fresh": number == 1,
        "readings": [0.0] * 4, "takes": 2.0, "pairs": [0.1, -0.2, 0.3, 0.0], "along": 0.0, "across": 0.0,
        "skew_deg": 0.1, "stretch": 0.2, "height": 120.0, "worst": 0.3, "risk": 0.01, "verdict": "sew",
        "sure": "clear", "did": "sewn", "nudge_along": 0.0, "nudge_across": 0.0, "at": run.opened_at,
    }  # fmt: skip
    return PlacingRow(run_id=run.id, garment=garment, front=front, number=number, **usual | more)


def garments_met(
    steps: Sequence[float],
    machines: Sequence[str] = ("",),
    hoops: Sequence[str] = ("360 x 200",),
    sizes: Sequence[str] = ("M",),
    lean: float = 0.0,
    outcome: str = "passed",
    foretold_off: float = 0.1,
    folder: str = "larkspur-jackets",
    until: int = START,
) -> JobRow:
    """One garment a step, closed a day apart, the newest at `until`; each front laid by `lean` too near the hem,
    and every third nudged once."""
    chance = random.Random(7)
    job = import_job(demo_source(folder), SUPERVISOR, until - len(steps) * DAY_MS)
    with writing():
        for at, step in enumerate(steps):
            number, when = at + 1, until - (len(steps) - at - 1) * DAY_MS
            machine, hoop = machines[at % len(machines)], hoops[at % len(hoops)]
            size = sizes[at % len(sizes)]
            for front in ("left", "right"):
                sewn = when - 60 * MINUTE_MS
                run = run_row(job, number, f"front-{front}", sewn, machine, hoop)
                db.session.add(run)
                db.session.flush()
                off = {"along": chance.gauss(-lean, 0.3), "across": chance.gauss(0, 0.3), "size": size}
                if at % 3 == 0:
                    early = {"did": "nudged", "verdict": "nudge", "worst": 1.4, "at": sewn - MINUTE_MS}
                    db.session.add(placing_row(run, number, front, 1, **off | early))
                    off["along"] = 0.0
                last = {"worst": max(0.0, step - foretold_off)}
                db.session.add(placing_row(run, number, front, 2 if at % 3 == 0 else 1, **off | last))
            closing = run_row(job, number, "finish", when, "", hoop)
            db.session.add(closing)
            db.session.flush()
            found = {"upper": step, "middle": round(step / 2, 1), "lower": round(step / 3, 1)}
            db.session.add(
                MeetingRow(
                    run_id=closing.id, phase=0, key="compare", garment=number, size=size, steps=found, gaps={},
                    worst_step=step, worst_gap=0.2, passes=1.0, outcome=outcome if step > 1 else "passed", at=when,
                )
            )  # fmt: skip
    return job
