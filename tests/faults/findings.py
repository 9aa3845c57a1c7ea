"""What a shop's folder holds once all is quiet: the events, what was refused, and what `floor check` says."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from floor.services.proof import check
from floor.store.models import EventRow, PhaseTimeRow, Refusal, RunRow, VerdictRow, db

PARTS = ("work_s", "rework_s", "waiting_s", "pause_s", "problem_s")


def found() -> dict[str, Any]:
    """As JSON can carry it; to be asked within an app's context."""
    proof = check()
    rows = db.session.scalars(select(EventRow).order_by(EventRow.device, EventRow.seq))
    times = db.session.scalars(select(PhaseTimeRow)).all()
    return {
        "events": [
            {
                "id": row.id, "run": row.run, "device": row.device, "seq": row.seq, "kind": row.kind,
                "phase": row.phase, "at": row.at, "data": row.data, "offset": row.offset_ms,
                "adrift": row.adrift,
            }
            for row in rows
        ],
        "refused": [row.body for row in db.session.scalars(select(Refusal))],
        "verdicts": len(db.session.scalars(select(VerdictRow.event_id)).all()),
        "applied": len(db.session.scalars(select(VerdictRow).where(VerdictRow.applied)).all()),
        "runs": len(db.session.scalars(select(RunRow.id)).all()),
        "faults": list(proof.faults),
        "negative": [f"{t.run_id} {t.phase} {part}" for t in times for part in PARTS if getattr(t, part) < 0],
    }  # fmt: skip
