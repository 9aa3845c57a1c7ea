"""One seed: some tablets, a server, and everything that can go wrong between them; then quiet, then the proof."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field

from tests.faults.hands import Hands
from tests.faults.invariants import broken_rules
from tests.faults.seat import Seat
from tests.faults.shop import Nursery, Shop
from tests.faults.weather import Weather

STEPS = 90
YEAR_MS = 31_536_000_000
SKEWS_MS = (0, 0, 300, -1_500, 40_000, -90_000, YEAR_MS, -YEAR_MS)
JUMPS_MS = (700, 5_000, -5_000, 3_600_000, -3_600_000, YEAR_MS, -YEAR_MS)
QUIET_ROUNDS = 40
WEIGHTS = {
    "tap": 58, "send": 26, "late": 4, "away": 3, "back": 4, "kill": 2, "start": 3, "clock": 2,
    "restart": 2, "back up tablet": 1, "set tablet back": 1, "back up shop": 1, "lose the shop": 1,
}  # fmt: skip


@dataclass
class Outcome:
    """What came of a seed. `faults`: sentences, none where all invariants hold."""

    seed: int
    faults: list[str]
    tally: dict[str, int] = field(default_factory=dict)


class Play:
    def __init__(self, nursery: Nursery, seed: int, broken: str = "") -> None:
        self.chance = random.Random(seed)
        self.shop = Shop(nursery, seed, broken)
        self.seats = [
            Seat(random.Random(f"{seed} {number}"), self.chance.choice(SKEWS_MS))
            for number in range(self.chance.choice((1, 2, 2, 3)))
        ]
        self.weather = Weather(self.chance, self.shop)
        self.hands = Hands(self.chance, nursery.scripts)
        self.tally: dict[str, int] = {}
        self.does: dict[str, Callable[[Seat], None]] = {
            "tap": self._tap, "send": self._send, "late": lambda seat: self.weather.deliver_one(),
            "away": lambda seat: setattr(seat, "away", True), "back": lambda seat: setattr(seat, "away", False),
            "kill": self._kill, "start": self._start, "clock": self._clock, "restart": self._restart,
            "back up tablet": lambda seat: seat.back_up(), "set tablet back": self._set_back,
            "back up shop": lambda seat: self.shop.back_up(), "lose the shop": self._lose,
        }  # fmt: skip

    def storm(self) -> None:
        self.shop.start()
        for _ in range(STEPS):
            what = self.chance.choices(list(WEIGHTS), list(WEIGHTS.values()))[0]
            self.tally[what] = self.tally.get(what, 0) + 1
            self.does[what](self.chance.choice(self.seats))

    def calm(self) -> None:
        """All comes right again: every tablet sends until it has nothing left, and what was held up comes in."""
        self.weather.fair = True
        if not self.shop.serves:
            self.shop.start()
        while self.weather.held_up:
            self.weather.deliver_one()
        for _ in range(QUIET_ROUNDS):
            for seat in self.seats:
                self.weather.send(seat)
            if not any(seat.pending for seat in self.seats):
                break
        for seat in self.seats:
            self.weather.send(seat)  # once more: what it is asked for, and what it must say is lost

    def prove(self) -> list[str]:
        self.shop.kill()
        return broken_rules(self.shop.look(), self.seats)

    # ---- what may happen
    def _tap(self, seat: Seat) -> None:
        self.shop.pass_time(self.chance.choice((300, 2_000, 20_000, 150_000)))
        self.hands.tap(seat, self.shop.now)

    def _send(self, seat: Seat) -> None:
        if not seat.away:
            self.weather.send(seat)

    def _kill(self, seat: Seat) -> None:
        if self.shop.serves:
            self.shop.kill()

    def _start(self, seat: Seat) -> None:
        if not self.shop.serves:
            self.shop.start()

    def _clock(self, seat: Seat) -> None:
        seat.clock_jumps(self.chance.choice(JUMPS_MS))

    def _restart(self, seat: Seat) -> None:
        """The battery dies; the tablet cannot know how long its clock stood still, and measures anew."""
        self.shop.pass_time(self.chance.randrange(600_000))
        seat.disk.segment += 1

    def _set_back(self, seat: Seat) -> None:
        if seat.kept_back is not None:
            seat.set_back()

    def _lose(self, seat: Seat) -> None:
        if self.shop.backup is not None:
            if self.shop.serves:
                self.shop.kill()
            self.shop.put_backup_back()
            self.shop.start()


def play(nursery: Nursery, seed: int, broken: str = "") -> Outcome:
    one = Play(nursery, seed, broken)
    try:
        one.storm()
        one.calm()
        faults = one.prove()
    except AssertionError as wrong:
        faults = [str(wrong)]
    finally:
        one.shop.close()
    tally = one.tally | one.weather.tally | {"starts": one.shop.starts, "kills": one.shop.kills}
    return Outcome(seed, faults, tally | {"taps": sum(len(seat.truth) for seat in one.seats)})
