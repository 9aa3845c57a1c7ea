"""What a tablet is told of each thing that it sent."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import select

from floor.store.models import VerdictRow, db


@dataclass(frozen=True)
class Answer:
    """What became of one event of a batch. "again": its number belongs to another event of this tablet, nothing
    is kept of it, and it is to come once more with a number above the newest."""

    id: str | None
    verdict: Literal["applied", "aside", "refused", "again"]
    reason: str


def answers_for(events: Iterable[str]) -> dict[str, Answer]:
    """What became of these events, by id; all of them are stored and projected."""
    rows = db.session.scalars(select(VerdictRow).where(VerdictRow.event_id.in_(sorted(events))))
    return {
        row.event_id: Answer(row.event_id, "applied" if row.applied else "aside", row.reason) for row in rows
    }
