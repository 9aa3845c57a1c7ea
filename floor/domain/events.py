"""Events: the facts of a run, as they happened. Never changed, never deleted.

The grammar of `data`, kind by kind (every text at most `MAX_TEXT` characters):

    open      job: ticket code, revision: int, section: key, garments: [int], first_piece: bool,
              operator: name, cause: text (why the section is done again; absent the first time),
              machine: name (absent: not told), hand: {along, across, skew, stretch, sewn_along, sewn_across,
              sewn_skew, reading}: mm and degrees (how the shop lays and reads, as known then; absent: the usual)
    check     check: id, value: the answer given
    reading   reading: id, value: mm, take: 1 | 2 | 3 (which reading of this place; absent: 1)
    again     how: "nudged" (the start moved by along: mm, across: mm) | "laid again" | "read again"
    count     count: id, side: "out" | "in", value: int
    done      (nothing) ends the phase; the next begins by itself
    pause     reason: id            resume    (nothing)
    problem   problem: id, note: text (may be absent)
    cleared   problem: the problem event's id, how: text, fragments: "all" | "missing" (a broken needle only),
              decision: text (fragments missing: what a supervisor decided)
    redo      cause: id, and one of  to: phase index  |  section: key (the run ends, sent back to it)
    accept    what: "check" | "reading" | "count" | "place", name: id, reason: text
    scrap     garments: [int], cause: id
    hand_over to: name
    take_over operator: name (the run is in the hands of this tablet and this person from now on)
    approve   (nothing) the first piece is good
    note      text: text
    photo     photo: UUID of the picture, of: "problem" | "meeting" | "phase", problem: the problem event's id (may be
              absent), width, height: pixels, bytes: as it was sent; the picture itself comes apart (web/photos.py)
    settle    event: the id of one of this run that was set aside, how: "apply" (it counts from now on) | "keep" (it
              stays a note), why: text; from the office only
    undo      event: the id of the newest event of this run by this device
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from math import isfinite
from typing import Any, Literal

MAX_TEXT = 500
MAX_ID = 80
MAX_GARMENTS_IN_LOAD = 64
MAX_GARMENT_NUMBER = 100_000
MAX_NESTING = 8  # no kind nests deeper than a list in its data; unbounded nesting breaks who reads it again
MAX_MS = 4_102_444_800_000  # the year 2100: no tablet's clock is further ahead than this

Authority = Literal["supervisor", "self"]


class Kind(StrEnum):
    """What kinds of fact there are; the module's docstring has the grammar of each."""

    OPEN = "open"
    CHECK = "check"
    READING = "reading"
    AGAIN = "again"
    COUNT = "count"
    DONE = "done"
    PAUSE = "pause"
    RESUME = "resume"
    PROBLEM = "problem"
    CLEARED = "cleared"
    REDO = "redo"
    ACCEPT = "accept"
    SCRAP = "scrap"
    HAND_OVER = "hand_over"
    TAKE_OVER = "take_over"
    APPROVE = "approve"
    NOTE = "note"
    PHOTO = "photo"
    SETTLE = "settle"
    UNDO = "undo"


class MalformedEvent(ValueError):
    """The event cannot be read at all; the message says what was found and what would do."""


class UnreadableData(ValueError):
    """The event is well formed but its kind or data is not of the grammar; it is kept and set aside."""


@dataclass(frozen=True)
class Event:
    """One fact. `at`: the tablet's clock, ms; `offset_ms`: server's clock minus the tablet's, as measured.

    `authority` and `by` are the server's: whether a supervisor (or the shop's only person) stood behind it.
    `adrift`: before it the tablet's clock changed in a way that could not be measured, so nobody knows how long
    after the event before it happened.
    """

    id: str
    run: str
    device: str
    seq: int
    kind: str
    phase: int
    at: int
    data: Mapping[str, Any] = field(default_factory=dict)
    offset_ms: int = 0
    authority: Authority | None = None
    by: str | None = None
    adrift: bool = False

    @property
    def when(self) -> int:
        """The event's time by the server's clock, ms."""
        return self.at + self.offset_ms


UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
UNKEEPABLE = re.compile("[\x00\ud800-\udfff]")
ENVELOPE = {"id", "run", "device", "seq", "kind", "phase", "at", "data"}


def read_event(body: object) -> Event:
    """The event of a JSON body as a tablet sends it. Raises MalformedEvent with one sentence."""
    if not isinstance(body, dict):
        raise MalformedEvent(
            f"An event must be an object with {', '.join(sorted(ENVELOPE))}; found {_brief(body)}."
        )
    missing, extra = ENVELOPE - body.keys(), body.keys() - ENVELOPE
    if missing:
        raise MalformedEvent(f"The event lacks {', '.join(sorted(missing))}.")
    if extra:
        raise MalformedEvent(f"The event has {_brief(sorted(map(str, extra)))}, which no event has.")
    for name in ("id", "run", "device"):
        value = body[name]
        if not isinstance(value, str) or not UUID.fullmatch(value):
            raise MalformedEvent(f"The event's {name} must be a lower-case UUID; found {_brief(value)}.")
    for name, low, high in (("seq", 1, 2**53), ("phase", 0, 10_000), ("at", 0, MAX_MS)):
        value = body[name]
        if type(value) is not int or not low <= value <= high:
            raise MalformedEvent(
                f"The event's {name} must be a whole number from {low} to {high}; found {_brief(value)}."
            )
    kind, data = body["kind"], body["data"]
    if not isinstance(kind, str) or not 0 < len(kind) <= MAX_ID:
        raise MalformedEvent(
            f"The event's kind must be a word of at most {MAX_ID} letters; found {_brief(kind)}."
        )
    if not isinstance(data, dict):
        raise MalformedEvent(f"The event's data must be an object; found {_brief(data)}.")
    if nests_deeper(data, MAX_NESTING):
        raise MalformedEvent(f"The event's data nests deeper than {MAX_NESTING} lists and objects.")
    if not _can_be_kept([kind, data]):
        raise MalformedEvent(
            "The event holds a number or a character that cannot be kept; "
            "numbers must be finite, and texts without NUL or half a character."
        )
    return Event(body["id"], body["run"], body["device"], body["seq"], kind, body["phase"], body["at"], data)


def _can_be_kept(value: object) -> bool:
    """Whether every database and every tablet can hold it: no NaN or infinity, no NUL, no lone surrogate.
    One such value would spoil each page that shows its run."""
    rest: list[object] = [value]
    while rest:
        one = rest.pop()
        if isinstance(one, dict):
            rest += [*one.keys(), *one.values()]
        elif isinstance(one, list):
            rest += one
        elif isinstance(one, float):
            if not isfinite(one):
                return False
        elif isinstance(one, str) and UNKEEPABLE.search(one):
            return False
    return True


def nests_deeper(value: object, levels: int) -> bool:
    """Whether lists and objects stand within each other more than `levels` deep."""
    layer: list[object] = [value]
    for _ in range(levels + 1):
        layer = [one for outer in layer for one in _inner(outer)]
    return bool(layer)


def _inner(value: object) -> Iterable[object]:
    return value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()


def _brief(value: object) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "…"


def in_order(events: Iterable[Event]) -> list[Event]:
    """The one order in which a run's events are replayed, whatever order they arrived in.

    Each device's events keep its own sequence; between devices the corrected clock decides. A clock that
    jumps back does not reorder a device's events: its time is held at the latest seen so far.
    """
    by_device: dict[str, list[Event]] = {}
    for event in events:
        by_device.setdefault(event.device, []).append(event)
    keyed: list[tuple[int, str, int, str, Event]] = []
    for device, own in by_device.items():
        latest = -(2**62)
        for event in sorted(own, key=lambda e: (e.seq, e.id)):
            latest = max(latest, event.when)
            keyed.append((latest, device, event.seq, event.id, event))
    return [row[-1] for row in sorted(keyed, key=lambda row: row[:-1])]
