"""A shop with years of events opens, and takes a tap, with no more work than a new one: counted, not timed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import event
from sqlalchemy.engine import Engine

from floor import create_app
from floor.config import Settings
from floor.store.models import db
from tests.bench.large_shop import START_MS, large_shop

FEW, MANY = 1_000, 40_000
STEPS_COUNTED_IN = 100
MOST_RATIO = 1.5
DEVICE = "0badf00d-0000-4000-8000-00000000000d"


@contextmanager
def steps_counted() -> Iterator[list[int]]:
    """How many hundreds of steps SQLite takes meanwhile, on whatever connection."""
    count = [0]

    def step() -> int:
        count[0] += 1
        return 0

    def connected(connection: Any, record: Any) -> None:
        assert isinstance(connection, sqlite3.Connection)
        connection.set_progress_handler(step, STEPS_COUNTED_IN)

    event.listen(Engine, "connect", connected)
    try:
        yield count
    finally:
        event.remove(Engine, "connect", connected)


def work_of(folder: Path) -> int:
    """Open the shop, show the tablet's first page, take a tap."""
    with steps_counted() as count:
        app = create_app(Settings(data=folder))
        client = app.test_client()
        assert client.get("/tablet").status_code == 200
        tap = {"id": DEVICE, "run": DEVICE, "device": DEVICE, "seq": 1, "kind": "note", "phase": 0}
        events = [{**tap, "at": START_MS, "data": {"text": "felt"}}]
        answer = client.post("/sync", json={"device": DEVICE, "sent_at": START_MS, "events": events})
        assert answer.status_code == 200, answer.text
        with app.app_context():
            db.engine.dispose()
    return count[0]


def test_the_work_does_not_grow_with_the_events(tmp_path: Path) -> None:
    found = {}
    for count in (FEW, MANY):
        large_shop(tmp_path / str(count), count)
        found[count] = work_of(tmp_path / str(count))
    assert found[FEW] > 0
    assert found[MANY] <= found[FEW] * MOST_RATIO, found
