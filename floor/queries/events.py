"""Stored events as the domain's."""

from __future__ import annotations

from sqlalchemy import select

from floor.domain.events import Event, Kind, UnreadableData, in_order
from floor.domain.payloads import Opened, read_payload
from floor.store.models import EventRow, RunRow, db

OFFICE_DEVICE = "00000000-0000-4000-8000-000000000001"
"""By this a supervisor's page says things of a run; it numbers them as a tablet does, and is none."""


def event_of(row: EventRow) -> Event:
    return Event(
        row.id, row.run, row.device, row.seq, row.kind, row.phase, row.at, row.data,
        row.offset_ms, row.authority, row.by, row.adrift,  # type: ignore[arg-type]
    )  # fmt: skip


def events_of_run(run: str) -> tuple[Event, ...]:
    """All events of a run, in their one order."""
    rows = db.session.scalars(select(EventRow).where(EventRow.run == run))
    return tuple(in_order(event_of(row) for row in rows))


def opening_of(row: RunRow, events: tuple[Event, ...]) -> Opened:
    """What the event that opened this stored run said."""
    for event in events:
        if event.kind == Kind.OPEN:
            try:
                said = read_payload(event)
            except UnreadableData:  # an opening that was set aside; the run's own comes later
                continue
            assert isinstance(said, Opened)
            same = (said.section, list(said.garments), said.revision) == (
                row.section, row.garments, row.revision,
            )  # fmt: skip
            if same:
                return said
    raise LookupError(f"run {row.id} has a row but no opening event")
