"""A simulated tablet: what it keeps on its disk, what it sends, and what it makes of the answers.

Written from the contract of /sync alone, so it is a second reading of what static/js/outbox.js, sync.js and
clock.js do. Its disk survives restarts; it may also be set back to an older state, as a restored tablet is.
"""

from __future__ import annotations

import copy
import random
import uuid
from dataclasses import dataclass, field
from typing import Any

BATCH = 40
JUMP_FELT_MS = 2_000


@dataclass
class Row:
    """One tap as it is kept. `true_at`: when it really was, for the proof alone; `verdict`: once answered for;
    `renumbered`: its first number was another event's, from before the storage was set back."""

    event: dict[str, Any]
    segment: int
    true_at: int
    seq: int = 0
    verdict: str = ""
    renumbered: bool = False


@dataclass
class Disk:
    """`samples`: by segment of the clock, the best (round trip, offset) that was measured in it."""

    rows: list[Row] = field(default_factory=list)
    last_seq: int = 0
    lost: set[int] = field(default_factory=set)
    segment: int = 0
    samples: dict[int, tuple[int, int]] = field(default_factory=dict)


class Seat:
    """`skew`: its clock minus the true time, ms, now."""

    def __init__(self, chance: random.Random, skew: int) -> None:
        self.chance, self.skew = chance, skew
        self.device = self.new_id()
        self.disk = Disk()
        self.kept_back: Disk | None = None
        self.acknowledged: dict[str, dict[str, Any]] = {}
        self.truth: dict[str, int] = {}
        self.forgotten: set[str] = set()
        self.away = self.was_set_back = False
        self.unfelt_ms = 0  # by how much its clock was changed in all without its noticing

    def new_id(self) -> str:
        return str(uuid.UUID(int=self.chance.getrandbits(128), version=4))

    # ---- what happens at the tablet
    def tap(self, now: int, run: str, kind: str, phase: int, data: dict[str, Any]) -> str:
        event = {
            "id": self.new_id(),
            "run": run,
            "kind": kind,
            "phase": phase,
            "at": now + self.skew,
            "data": data,
        }
        self.disk.rows.append(Row(event, self.disk.segment, now))
        self.truth[event["id"]] = now
        return str(event["id"])

    def clock_jumps(self, ms: int) -> None:
        self.skew += ms
        if abs(ms) > JUMP_FELT_MS:
            self.disk.segment += 1
        else:
            self.unfelt_ms += abs(ms)

    def back_up(self) -> None:
        self.kept_back = copy.deepcopy(self.disk)

    def set_back(self) -> None:
        """The tablet's storage is what it was when it was backed up; taps since are gone with it, if not sent."""
        assert self.kept_back is not None
        self.was_set_back = True
        here = {row.event["id"] for row in self.kept_back.rows}
        self.forgotten |= {row.event["id"] for row in self.disk.rows} - here
        segment = self.disk.segment
        self.disk, self.kept_back = self.kept_back, None
        self.disk.segment = segment  # its clock goes on; only what was written is old

    # ---- what it sends
    @property
    def pending(self) -> list[Row]:
        return [row for row in self.disk.rows if not row.verdict]

    def measured(self, sent: int, heard: int, server_time: int) -> None:
        """An answer that told the server's time."""
        trip = heard - sent
        best = self.disk.samples.get(self.disk.segment)
        if best is None or trip < best[0]:
            middle = (sent + heard) // 2 + self.skew
            self.disk.samples[self.disk.segment] = (trip, server_time - middle)

    @property
    def needs_ping(self) -> bool:
        """Whether nothing was measured yet that its oldest tap could go by."""
        oldest = min((row.segment for row in self.pending), default=0)
        return not any(segment >= oldest for segment in self.disk.samples)

    def body(self, now: int) -> dict[str, Any]:
        """The next batch: of one segment of its clock, its numbers given and kept before it goes."""
        pending = self.pending
        batch = [row for row in pending if row.segment == pending[0].segment][:BATCH] if pending else []
        for row in batch:
            if not row.seq:
                self.disk.last_seq += 1
                row.seq = self.disk.last_seq
        found: dict[str, Any] = {
            "device": self.device,
            "sent_at": now + self.skew,
            "events": [{**row.event, "device": self.device, "seq": row.seq} for row in batch],
        }
        segment = batch[0].segment if batch else self.disk.segment
        known = [one for one in sorted(self.disk.samples) if one >= segment]
        if known:
            trip, offset = self.disk.samples[known[0]]
            adrift = [row.event["id"] for row in batch if self._is_adrift(row)]
            found["clock"] = {"offset_ms": offset, "round_trip_ms": trip, "adrift": adrift}
        if self.disk.lost:
            found["lost"] = sorted(self.disk.lost)
        return found

    def _is_adrift(self, row: Row) -> bool:
        """The first tap after the clock was changed, where the time before it was not measured all along."""
        at = self.disk.rows.index(row)
        before = self.disk.rows[at - 1].segment if at else 0
        return not set(range(before, row.segment + 1)) <= self.disk.samples.keys() and before != row.segment

    # ---- what it makes of the answer
    def hear(self, body: dict[str, Any], answer: dict[str, Any]) -> None:
        rows = {row.event["id"]: row for row in self.disk.rows}
        sent = {event["id"]: event for event in body["events"]}
        self.disk.last_seq = max(self.disk.last_seq, answer["newest"])
        for result in answer["results"]:
            row = rows.get(result["id"])
            if row is None or result["id"] not in sent:
                continue
            if result["verdict"] == "again":
                row.seq, row.verdict, row.renumbered = 0, "", True
            else:
                row.verdict = result["verdict"]
                self.acknowledged[result["id"]] = sent[result["id"]]
        self._supply(answer)

    def _supply(self, answer: dict[str, Any]) -> None:
        """Send once more what the server wants, and what it once had and has no more; or say that it is lost."""
        have = {row.seq: row for row in self.disk.rows if row.seq}
        for seq in answer["wanted"]:
            if seq in have:
                have[seq].verdict = ""
            else:
                self.disk.lost.add(seq)
        for seq, row in have.items():
            if seq > answer["newest"]:
                row.verdict = ""
