"""Reading what a tablet sends in one go: its events, what it knows of its clock, and which numbers it lost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from floor.domain.events import MAX_MS, UUID, MalformedEvent, read_event
from floor.queries.events import OFFICE_DEVICE

MAX_BATCH = 500
MAX_NUMBER = 2**53
NEEDS = {"device", "sent_at", "events"}
MAY_HAVE = {"clock", "lost"}
CLOCK_HAS = {"offset_ms", "round_trip_ms", "adrift"}


class BatchRefused(ValueError):
    """The batch as a whole cannot be read; the message says what was found and what would do."""


@dataclass(frozen=True)
class Clock:
    """A tablet's clock as the tablet measured it. `offset_ms`: server's clock minus the tablet's, true to half of
    `round_trip_ms`; `adrift`: ids of events before which it changed in a way that could not be measured."""

    offset_ms: int
    round_trip_ms: int
    adrift: frozenset[str]


@dataclass(frozen=True)
class Batch:
    """`lost`: numbers that the tablet was asked for and no longer has."""

    device: str
    sent_at: int
    events: Sequence[object]
    clock: Clock | None
    lost: Sequence[int]


def read_batch(body: object) -> Batch:
    """The batch of a JSON body. Its events are not read yet: one that is bad keeps no other out. Raises
    BatchRefused."""
    if not isinstance(body, dict) or not NEEDS <= set(body) <= NEEDS | MAY_HAVE:
        raise BatchRefused(
            "A batch must be an object with device, sent_at and events, perhaps clock and lost, and nothing else."
        )
    device, sent_at, events = body["device"], body["sent_at"], body["events"]
    if not isinstance(events, list) or len(events) > MAX_BATCH:
        raise BatchRefused(f"A batch's events must be a list of at most {MAX_BATCH}.")
    probe = {"id": device, "run": device, "device": device, "seq": 1, "kind": "note", "phase": 0}
    try:
        read_event({**probe, "at": sent_at, "data": {}})
    except MalformedEvent as wrong:
        raise BatchRefused(f"The batch's device or sent_at cannot be read: {wrong}") from None
    if device == OFFICE_DEVICE:
        raise BatchRefused(
            "The batch's device is the office's own; a tablet sends under an id that it made itself."
        )
    clock = _clock(body["clock"]) if "clock" in body else None
    return Batch(device, sent_at, events, clock, _lost(body.get("lost", [])))


def _clock(said: object) -> Clock:
    if not isinstance(said, dict) or set(said) != CLOCK_HAS:
        raise BatchRefused(
            "A batch's clock must be an object with offset_ms, round_trip_ms and adrift, and nothing else; "
            "leave it out where the tablet has not measured it."
        )
    offset, trip, adrift = said["offset_ms"], said["round_trip_ms"], said["adrift"]
    if not _whole(offset, -MAX_MS, MAX_MS) or not _whole(trip, 0, MAX_MS):
        raise BatchRefused(
            f"A clock's offset_ms must be a whole number of at most {MAX_MS} either way, "
            "and its round_trip_ms one from 0 on."
        )
    if not isinstance(adrift, list) or len(adrift) > MAX_BATCH or not all(map(_is_id, adrift)):
        raise BatchRefused(f"A clock's adrift must be a list of at most {MAX_BATCH} ids of events.")
    return Clock(offset, trip, frozenset(adrift))


def _lost(said: object) -> Sequence[int]:
    if not isinstance(said, list) or len(said) > MAX_BATCH or not all(_whole(n, 1, MAX_NUMBER) for n in said):
        raise BatchRefused(
            f"A batch's lost must be a list of at most {MAX_BATCH} numbers of events, from 1 on."
        )
    return said


def _whole(value: Any, low: int, high: int) -> bool:
    return type(value) is int and low <= value <= high


def _is_id(value: object) -> bool:
    return isinstance(value, str) and UUID.fullmatch(value) is not None
