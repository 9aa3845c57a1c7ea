"""However a shop's taps are cut into batches, mixed up and repeated on their way, the same comes of them: the same
events, the same rows, the same answers; and what is missing on the way is known to the number."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from itertools import islice
from typing import Any

import pytest
from sqlalchemy import func, select

from floor.services.intake import Answer, Taken, take_batch
from floor.services.projection import everything, stored
from floor.services.proof import check
from floor.store.models import EventRow, Refusal, db
from tests.conftest import SUPERVISOR, Tablet, view_of
from tests.services.forgetting import forget_everything
from tests.services.several_tablets import SIGNED, SeveralTablets

TAPS = 40
LATE_MS = 60_000
Body = dict[str, Any]


@dataclass
class Shop:
    """All that its tablets tapped, some of it malformed, and each tablet's clock: its offset, and which events are
    adrift. `have`: numbers that were sent, by device."""

    events: list[Body]
    now: int
    offsets: dict[str, int]
    adrift: set[str]
    have: dict[str, set[int]] = field(default_factory=dict)

    def send(self, device: str, events: list[Body]) -> Taken:
        clock = {
            "offset_ms": self.offsets[device], "round_trip_ms": 30,
            "adrift": sorted(self.adrift & {event["id"] for event in events}),
        }  # fmt: skip
        body = {
            "device": device,
            "sent_at": self.now - self.offsets[device],
            "events": events,
            "clock": clock,
        }
        self.have.setdefault(device, set()).update(event["seq"] for event in events)
        return take_batch(body, self.now, {SIGNED: SUPERVISOR}.get)

    def answers(self) -> dict[str, Answer]:
        """What each tablet is told of all that it has, sent once more."""
        found = {}
        for device in self.offsets:
            own = [event for event in self.events if event["device"] == device]
            for event, answer in zip(own, self.send(device, own).answers, strict=True):
                found[event["id"]] = answer
        return found


@pytest.fixture
def seed(request: pytest.FixtureRequest) -> int:
    found: int = request.param
    return found


@pytest.fixture
def shop(tablet: Tablet, larkspur: str, seed: int) -> Shop:
    chance = random.Random(f"delivery {seed}")
    tablet.walk(larkspur, "prepare")
    several = SeveralTablets(larkspur, view_of(larkspur).plan, tablet.hands.at, chance)
    several.wander(taps=TAPS)
    events, now = tablet.hands.events + several.events, several.clock + LATE_MS
    offsets = {d: chance.choice((0, 40, -31_536_000_000)) for d in (tablet.hands.device, *several.seqs)}
    for event in events:
        event["at"] -= offsets[event["device"]]
        if event["kind"] != "open" and chance.random() < 0.15:
            event["phase"] = -1
    adrift = {event["id"] for event in events if chance.random() < 0.05}
    return Shop(events, now, offsets, adrift)


def kept() -> tuple[dict[str, Body], Any, set[str]]:
    """Every column of every event but when it came, the rows that pages read, and what was refused."""
    db.session.expire_all()
    names = [column.key for column in EventRow.__table__.columns if column.key != "received_at"]
    events = {
        row.id: {name: getattr(row, name) for name in names} for row in db.session.scalars(select(EventRow))
    }
    return events, stored(), set(db.session.scalars(select(Refusal.digest)))


@pytest.mark.parametrize("seed", range(8), indirect=True)
def test_any_cut_order_and_repetition_of_batches_leaves_the_same(shop: Shop, seed: int) -> None:
    for device in shop.offsets:
        shop.send(device, [event for event in shop.events if event["device"] == device])
    wanted, answers = kept(), shop.answers()
    assert {"applied", "aside", "refused"} <= {answer.verdict for answer in answers.values()}

    forget_everything()
    shop.have.clear()
    chance = random.Random(seed)
    parcels = [event for event in shop.events for _ in range(chance.choice((1, 1, 1, 2)))]
    chance.shuffle(parcels)
    while parcels:
        device = parcels[0]["device"]
        own = (event for event in parcels if event["device"] == device)
        batch = list(islice(own, chance.choice((1, 3, 12, 40))))
        for event in batch:
            parcels.remove(event)
        taken = shop.send(device, batch)
        _knows_what_is_missing(shop, device, taken)
        repeated = shop.send(device, batch)
        assert repeated == taken
    assert kept() == wanted
    assert shop.answers() == answers
    assert stored() == everything()
    assert check().whole, check().faults


def _knows_what_is_missing(shop: Shop, device: str, taken: Taken) -> None:
    numbers = {event["id"]: event["seq"] for event in shop.events}
    here = [numbers[answer.id] for answer in taken.answers if answer.id and answer.verdict != "refused"]
    assert taken.newest >= max(here, default=0)
    assert taken.newest in shop.have[device] | {0}
    newest_event = db.session.scalar(select(func.max(EventRow.seq)).where(EventRow.device == device)) or 0
    missing = set(range(1, newest_event)) - shop.have[device]
    assert taken.wanted == sorted(missing)[:100]
