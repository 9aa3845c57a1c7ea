"""Intake: what tablets send becomes events, once each, in one transaction with what pages read.

A repeat gets the same answer. The same id with another body is refused loudly. Nothing well formed is thrown
away, and what is not well formed is kept as a refusal for a supervisor to see.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import func, select

from floor.domain.events import MAX_NESTING, UNKEEPABLE, Event, Kind, MalformedEvent, nests_deeper, read_event
from floor.queries.views import one_person_shop
from floor.services.projection import project
from floor.store.database import writing
from floor.store.models import Device, EventRow, Person, Refusal, RunRow, VerdictRow, db

MAX_BATCH = 500
MAX_BODY_BYTES = 8_192
OFFSET_STEP_MS = 2_000  # below this a measured offset is only the network's delay, and the old one stays
OFFICE_DEVICE = "00000000-0000-4000-8000-000000000001"
NEEDS_AUTHORITY = (Kind.APPROVE, Kind.ACCEPT, Kind.CLEARED)


class BatchRefused(ValueError):
    """The batch as a whole cannot be read; the message says what was found and what would do."""


class NotOwed(ValueError):
    """The run owes no approval now."""


@dataclass(frozen=True)
class Answer:
    """What became of one event of a batch."""

    id: str | None
    verdict: Literal["applied", "aside", "refused"]
    reason: str


TokenReader = Callable[[str], str | None]
"""Reads the token that a supervisor's password gave; the supervisor's name, or None when it does not hold."""


def take_in(body: object, now_ms: int, read_token: TokenReader) -> list[Answer]:
    """Take a batch: {"device", "sent_at", "events"}. Raises BatchRefused when it is no batch at all."""
    device, sent_at, bodies = _read_batch(body)
    with writing():
        offset = _meet(device, sent_at, now_ms)
        answers: dict[int, Answer] = {}
        taken: dict[int, Event] = {}
        for at, raw in enumerate(bodies):
            result = _take(raw, device, offset, now_ms, read_token)
            if isinstance(result, Event):
                taken[at] = result
            else:
                answers[at] = result
        db.session.flush()
        project({event.run for event in taken.values()})
        for at, event in taken.items():
            answers[at] = _answer(event.id)
        return [answers[at] for at in range(len(bodies))]


def _read_batch(body: object) -> tuple[str, int, Sequence[object]]:
    if not isinstance(body, dict) or set(body) != {"device", "sent_at", "events"}:
        raise BatchRefused("A batch must be an object with device, sent_at and events, and nothing else.")
    device, sent_at, bodies = body["device"], body["sent_at"], body["events"]
    if not isinstance(bodies, list) or len(bodies) > MAX_BATCH:
        raise BatchRefused(f"A batch's events must be a list of at most {MAX_BATCH}.")
    probe = {"id": device, "run": device, "device": device, "seq": 1, "kind": "note", "phase": 0}
    try:
        read_event({**probe, "at": sent_at, "data": {}})
    except MalformedEvent as wrong:
        raise BatchRefused(f"The batch's device or sent_at cannot be read: {wrong}") from None
    return device, sent_at, bodies


def _meet(device: str, sent_at: int, now_ms: int) -> int:
    """The device's clock offset; its row is made or brought up to date."""
    measured = now_ms - sent_at
    row = db.session.get(Device, device)
    if row is None:
        row = Device(id=device, offset_ms=measured)
        db.session.add(row)
    if abs(measured - row.offset_ms) > OFFSET_STEP_MS:
        row.offset_ms = measured
    return row.offset_ms


def _take(raw: object, device: str, offset: int, now_ms: int, read_token: TokenReader) -> Event | Answer:
    if nests_deeper(raw, MAX_NESTING + 2):
        reason = f"An event nests at most {MAX_NESTING} lists and objects; this one nests deeper."
        return _refuse(None, device, "(nested too deep to be kept)", reason, now_ms)
    text = _kept_text(raw)
    own_id = raw.get("id") if isinstance(raw, dict) and isinstance(raw.get("id"), str) else None
    try:
        if len(text.encode()) > MAX_BODY_BYTES:
            raise MalformedEvent(f"An event may have {MAX_BODY_BYTES} bytes; this one is larger.")
        event = read_event(raw)
        if event.device != device:
            raise MalformedEvent(f"The event names device {event.device}, its batch {device}.")
    except MalformedEvent as wrong:
        return _refuse(own_id, device, text, str(wrong), now_ms)
    data = dict(event.data)
    token = data.pop("token", None)
    row = db.session.get(EventRow, event.id)
    if row is not None:
        # Compared as JSON: to Python true is 1, and to a tablet it is not.
        same = (row.run, row.device, row.seq, row.kind, row.phase, row.at, _json(row.data)) == (
            event.run, event.device, event.seq, event.kind, event.phase, event.at, _json(data),
        )  # fmt: skip
        if same:
            return event
        return _refuse(
            event.id, device, text, "An event with this id came before with another body; that one stands.",
            now_ms,
        )  # fmt: skip
    other = db.session.scalar(select(EventRow.id).where(EventRow.device == device, EventRow.seq == event.seq))
    if other is not None:
        reason = (
            f"This tablet has sent its event number {event.seq} before, with another id; that one stands."
        )
        return _refuse(event.id, device, text, reason, now_ms)
    authority, by = _authority(event, token, read_token)
    _insert(event, data, offset, now_ms, authority, by)
    return event


def _json(value: object) -> str:
    return json.dumps(value, sort_keys=True)


def _kept_text(raw: object) -> str:
    """What was sent, as it is kept if it must be refused: without a supervisor's token, and in characters that
    every database takes."""
    if isinstance(raw, dict) and isinstance(raw.get("data"), dict) and "token" in raw["data"]:
        raw = {**raw, "data": {key: value for key, value in raw["data"].items() if key != "token"}}
    text = json.dumps(raw, sort_keys=True, ensure_ascii=False)
    return UNKEEPABLE.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def _authority(event: Event, token: object, read_token: TokenReader) -> tuple[str | None, str | None]:
    """Who stands behind an event that only a supervisor may send."""
    if event.kind not in NEEDS_AUTHORITY:
        return None, None
    if isinstance(token, str):
        name = read_token(token)
        if name is not None:
            return "supervisor", name
    if one_person_shop():
        return "self", db.session.scalar(select(Person.name).where(Person.active))
    return None, None


def _insert(
    event: Event, data: Mapping[str, Any], offset: int, now_ms: int, authority: str | None, by: str | None
) -> None:
    db.session.add(
        EventRow(
            id=event.id, run=event.run, device=event.device, seq=event.seq, kind=event.kind, phase=event.phase,
            at=event.at, data=dict(data), received_at=now_ms, offset_ms=offset, authority=authority, by=by,
        )
    )  # fmt: skip
    db.session.flush()


def _refuse(event_id: str | None, device: str, text: str, reason: str, now_ms: int) -> Answer:
    kept = text if len(text.encode()) <= MAX_BODY_BYTES else text[: MAX_BODY_BYTES // 4] + "…"
    before = db.session.scalar(
        select(Refusal.id).where(Refusal.device == device, Refusal.body == kept, Refusal.reason == reason)
    )
    if before is None:
        db.session.add(Refusal(device=device, body=kept, reason=reason, received_at=now_ms))
        db.session.flush()
    return Answer(event_id, "refused", reason)


def _answer(event_id: str) -> Answer:
    verdict = db.session.get(VerdictRow, event_id)
    assert verdict is not None  # project has just written it
    return Answer(event_id, "applied" if verdict.applied else "aside", verdict.reason)


def approve_from_office(run: str, by: str, now_ms: int, new_id: str) -> Answer:
    """A signed-in supervisor approves the first piece from the office. Raises NotOwed."""
    with writing():
        row = db.session.get(RunRow, run)
        if row is None or not row.approval_owed:
            raise NotOwed("This run owes no approval now; somebody may have given it already.")
        _meet(OFFICE_DEVICE, now_ms, now_ms)
        newest = db.session.scalar(select(func.max(EventRow.seq)).where(EventRow.device == OFFICE_DEVICE))
        # A tablet's clock, corrected, may still be a little ahead: the approval follows what it is given for.
        at = max(now_ms, row.last_at + 1)
        event = Event(new_id, run, OFFICE_DEVICE, (newest or 0) + 1, Kind.APPROVE, row.phase, at)
        _insert(event, {}, 0, now_ms, "supervisor", by)
        project({run})
        return _answer(event.id)
