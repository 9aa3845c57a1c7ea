"""What a signed-in supervisor says of a run from the office."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from floor.domain.events import Event, Kind
from floor.queries.events import OFFICE_DEVICE
from floor.services.answers import Answer, answers_for
from floor.services.meeting_devices import device
from floor.services.numbers import count_in, numbers_of
from floor.services.projection import project
from floor.services.taking import insert
from floor.store.database import writing
from floor.store.models import RunRow, db


class NotOwed(ValueError):
    """The run owes no approval now."""


def say_from_office(
    run: str, kind: Kind, data: Mapping[str, Any], by: str, at: int, now_ms: int, new_id: str
) -> Answer:
    """A signed-in supervisor's word about a run, taken in at once. Inside the caller's transaction."""
    office = device(OFFICE_DEVICE, now_ms, now_ms)
    number = numbers_of(office).newest + 1
    row = db.session.get(RunRow, run)
    phase = row.phase if row is not None else 0
    event = Event(new_id, run, OFFICE_DEVICE, number, kind, phase, at, data, authority="supervisor", by=by)
    insert(event, now_ms)
    count_in(office, [number], [], [])
    db.session.flush()
    project({run})
    return answers_for([new_id])[new_id]


def approve_from_office(run: str, by: str, now_ms: int, new_id: str) -> Answer:
    """A signed-in supervisor approves the first piece from the office. Raises NotOwed."""
    with writing():
        row = db.session.get(RunRow, run)
        if row is None or not row.approval_owed:
            raise NotOwed("This run owes no approval now; somebody may have given it already.")
        # A tablet's clock, corrected, may still be a little ahead: the approval follows what it is given for.
        at = max(now_ms, row.last_at + 1)
        return say_from_office(run, Kind.APPROVE, {}, by, at, now_ms, new_id)
