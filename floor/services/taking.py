"""Taking the events of one batch, each on its own: a bad one keeps no other out."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import select

from floor.domain.events import MAX_NESTING, Event, MalformedEvent, nests_deeper, read_event
from floor.services.answers import Answer
from floor.services.batch import Batch
from floor.services.refusals import MAX_BODY_BYTES, keep_refusal, kept_text, number_of
from floor.services.signatures import TokenReader, authority_of
from floor.store.models import EventRow, db


class Taking:
    """`stored`: ids of events that are here after it, new or from before; `touched`: runs that have a new one;
    `came`, `refused`: numbers of new events, and of what could not be taken."""

    def __init__(self, batch: Batch, offset_ms: int, now_ms: int, read_token: TokenReader) -> None:
        self.batch, self.offset_ms, self.now_ms, self.read_token = batch, offset_ms, now_ms, read_token
        self.stored: set[str] = set()
        self.touched: set[str] = set()
        self.came: set[int] = set()
        self.refused: set[int] = set()

    def take(self) -> Sequence[str | Answer]:
        """For each thing sent, in order, the id of the event that it is, or what is answered at once."""
        read = [self._read(raw) for raw in self.batch.events]
        events = [one for one in read if isinstance(one, Event)]
        self._look_up(events)
        taken = [
            self._take(one, raw) if isinstance(one, Event) else one
            for one, raw in zip(read, self.batch.events, strict=True)
        ]
        db.session.flush()
        return taken

    def _read(self, raw: object) -> Event | Answer:
        if nests_deeper(raw, MAX_NESTING + 2):
            reason = f"An event nests at most {MAX_NESTING} lists and objects; this one nests deeper."
            return self._refuse(None, "(nested too deep to be kept)", reason, None)
        text = kept_text(raw)
        own_id = raw.get("id") if isinstance(raw, dict) and isinstance(raw.get("id"), str) else None
        try:
            if len(text.encode()) > MAX_BODY_BYTES:
                raise MalformedEvent(f"An event may have {MAX_BODY_BYTES} bytes; this one is larger.")
            event = read_event(raw)
            if event.device != self.batch.device:
                raise MalformedEvent(f"The event names device {event.device}, its batch {self.batch.device}.")
        except MalformedEvent as wrong:
            return self._refuse(own_id, text, str(wrong), number_of(raw))
        return event

    def _look_up(self, events: Sequence[Event]) -> None:
        """The stored events that have these ids, or these numbers of this device."""
        ids, numbers = [event.id for event in events], [event.seq for event in events]
        rows = db.session.scalars(select(EventRow).where(EventRow.id.in_(ids)))
        self.by_id = {row.id: row for row in rows}
        held = db.session.scalars(
            select(EventRow.seq).where(EventRow.device == self.batch.device, EventRow.seq.in_(numbers))
        )
        self.numbers = set(held)

    def _take(self, event: Event, raw: object) -> str | Answer:
        data = dict(event.data)
        token = data.pop("token", None)
        row = self.by_id.get(event.id)
        if row is not None:
            return self._take_again(event, data, row, raw)
        if event.seq in self.numbers:
            reason = (
                f"This tablet's number {event.seq} belongs to another event of its; "
                "give this one a number above the newest and send it again."
            )
            return Answer(event.id, "again", reason)
        clock = self.batch.clock
        event = replace(
            event, offset_ms=self.offset_ms, adrift=clock is not None and event.id in clock.adrift
        )
        authority, by = authority_of(event, token, self.read_token, self.now_ms, clock is not None)
        self.by_id[event.id] = insert(replace(event, data=data, authority=authority, by=by), self.now_ms)
        self.numbers.add(event.seq)
        self.came.add(event.seq)
        self.touched.add(event.run)
        self.stored.add(event.id)
        return event.id

    def _take_again(self, event: Event, data: Mapping[str, Any], row: EventRow, raw: object) -> str | Answer:
        if not _same(event, data, row):
            reason = "An event with this id came before with another body; that one stands."
            return self._refuse(event.id, kept_text(raw), reason, event.seq)
        if row.seq != event.seq:  # a tablet that was cut off before it wrote down which number it had given
            reason = f"This event came before as number {row.seq}; that one stands."
            self._refuse(event.id, kept_text(raw), reason, event.seq)
        self.stored.add(event.id)
        return event.id

    def _refuse(self, event_id: str | None, text: str, reason: str, number: int | None) -> Answer:
        keep_refusal(self.batch.device, text, reason, number, self.now_ms)
        if number is not None:
            self.refused.add(number)
        return Answer(event_id, "refused", reason)


def _same(event: Event, data: Mapping[str, Any], row: EventRow) -> bool:
    """Whether it is what is stored, but for its number. Data are compared as JSON: to Python true is 1, and to a
    tablet it is not."""
    return (row.run, row.device, row.kind, row.phase, row.at, _json(row.data)) == (
        event.run, event.device, event.kind, event.phase, event.at, _json(data),
    )  # fmt: skip


def _json(value: object) -> str:
    return json.dumps(value, sort_keys=True)


def insert(event: Event, now_ms: int) -> EventRow:
    row = EventRow(
        id=event.id, run=event.run, device=event.device, seq=event.seq, kind=event.kind, phase=event.phase,
        at=event.at, data=dict(event.data), received_at=now_ms, offset_ms=event.offset_ms,
        authority=event.authority, by=event.by, adrift=event.adrift,
    )  # fmt: skip
    db.session.add(row)
    return row
