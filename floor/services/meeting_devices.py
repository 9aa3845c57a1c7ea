"""A tablet that is heard: when, how far its clock is off, and whether that changed."""

from __future__ import annotations

from floor.services.batch import Batch
from floor.store.models import Device, db

CLOCK_STEP_MS = 2_000  # below this two measurements differ by the network's delay as much as by the clock


def meet(batch: Batch, now_ms: int) -> tuple[Device, int]:
    """The tablet's row, brought up to date, and the offset that the batch's events are corrected by.

    A tablet that has not measured its clock is believed to have sent the batch just now; an offset told so is
    kept until another differs by more than the network's delay.
    """
    row = device(batch.device, batch.sent_at, now_ms)
    if batch.clock is not None:
        measured, trip = batch.clock.offset_ms, batch.clock.round_trip_ms
        _note_change(row, measured, now_ms, comparable=row.round_trip_ms is not None)
        row.offset_ms, row.round_trip_ms = measured, trip
        return row, measured
    told = now_ms - batch.sent_at
    if abs(told - row.offset_ms) <= CLOCK_STEP_MS:
        return row, row.offset_ms
    if batch.events:  # without events it is only the question what time it is
        _note_change(row, told, now_ms, comparable=row.round_trip_ms is None)
        row.offset_ms, row.round_trip_ms = told, None
    return row, told


def device(id: str, sent_at: int, now_ms: int) -> Device:
    """The row of whoever sends at `sent_at`, its own clock; made if this is the first that is heard of it."""
    row = db.session.get(Device, id)
    if row is None:
        row = Device(id=id, offset_ms=now_ms - sent_at, newest=0, missing=[], lost=[])
        db.session.add(row)
    row.seen_at = now_ms
    return row


def _note_change(row: Device, offset_ms: int, now_ms: int, comparable: bool) -> None:
    """A measured offset and one that was only told differ by a delay that nobody knows: that is no change."""
    moved_on = row.offset_ms - offset_ms
    if comparable and abs(moved_on) > CLOCK_STEP_MS:
        row.clock_changed_at, row.clock_changed_by_ms = now_ms, moved_on
