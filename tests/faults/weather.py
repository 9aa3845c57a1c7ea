"""The way between a tablet and the server: what may happen to one request."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import Any

from tests.faults.seat import Seat
from tests.faults.shop import Shop, Unreached

FATES = {
    "arrives": 62, "is dropped": 8, "its answer is dropped": 10, "arrives twice": 6, "is held up": 8,
    "the server dies with it": 6,
}  # fmt: skip
KILLED_WITHIN_S = 0.03
LONGEST_WAY_MS = 900


@dataclass
class Weather:
    """`held_up`: requests that are under way still; `tally`: how often each thing happened."""

    chance: random.Random
    shop: Shop
    held_up: list[dict[str, Any]] = field(default_factory=list)
    tally: dict[str, int] = field(default_factory=dict)
    fair: bool = False

    def send(self, seat: Seat) -> None:
        """One exchange: the tablet's next batch, or a ping where it must measure its clock first."""
        if seat.needs_ping:
            self._exchange(seat, {"device": seat.device, "sent_at": self.shop.now + seat.skew, "events": []})
            if seat.needs_ping:
                return  # nothing came back
        self._exchange(seat, seat.body(self.shop.now))

    def _exchange(self, seat: Seat, body: dict[str, Any]) -> None:
        fate = "arrives" if self.fair else self.chance.choices(list(FATES), list(FATES.values()))[0]
        self.tally[fate] = self.tally.get(fate, 0) + 1
        sent = self.shop.now
        self._take_time()
        try:
            status, answer = self._fare(fate, body)
        except Unreached:
            return
        told = self.shop.now
        self._take_time()
        if status == 200:
            seat.measured(sent, self.shop.now, answer["server_time"])
            seat.hear(body, answer)
            assert answer["server_time"] <= told, "the server told a time that had not come yet"
        elif status < 500:
            raise AssertionError(f"a sound batch was answered with {status}: {answer}")

    def _fare(self, fate: str, body: dict[str, Any]) -> tuple[int, Any]:
        if fate == "is dropped":
            raise Unreached
        if fate == "is held up":
            self.held_up.append(body)
            raise Unreached
        if fate == "the server dies with it" and self.shop.serves:
            return self.shop.post_and_kill(body, self.chance.uniform(0, KILLED_WITHIN_S))
        got = self.shop.post(body)
        if fate == "arrives twice":
            again = self.shop.post(body)
            verdicts = [[one["id"] for one in answer[1].get("results", [])] for answer in (got, again)]
            assert verdicts[0] == verdicts[1], "a repeat was answered for other events"
        if fate == "its answer is dropped":
            raise Unreached
        return got

    def deliver_one(self) -> None:
        """What was held up comes in at last, out of its order; nobody hears the answer."""
        if self.held_up and self.shop.serves:
            body = self.held_up.pop(self.chance.randrange(len(self.held_up)))
            try:
                self.shop.post(body)
            except Unreached:
                return

    def _take_time(self) -> None:
        self.shop.pass_time(self.chance.randrange(5, LONGEST_WAY_MS))
