"""Taking a tap in looks at what belongs to it, never through all that the shop ever heard."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from sqlalchemy import event, text

from floor.services.intake import take_batch
from floor.store.models import db
from tests.conftest import Tablet

# Of these a shop has more each day; of people, settings and a job's revisions it has a handful.
GROWS = ("event", "verdict", "refusal", "run", "phase_time", "problem", "placing", "meeting", "device")
GROWN = re.compile(rf"SCAN ({'|'.join(GROWS)})\b")


@contextmanager
def statements() -> Iterator[list[tuple[str, Any]]]:
    """What is asked of the database meanwhile."""
    found: list[tuple[str, Any]] = []

    def note(_: Any, __: Any, statement: str, parameters: Any, ___: Any, many: bool) -> None:
        found.append((statement, parameters[0] if many else parameters))

    event.listen(db.engine, "before_cursor_execute", note)
    try:
        yield found
    finally:
        event.remove(db.engine, "before_cursor_execute", note)


def scans(asked: list[tuple[str, Any]]) -> list[str]:
    """Those of the statements that would go through a whole table that grows."""
    wrong = []
    with db.engine.connect() as connection:
        for statement, parameters in asked:
            if statement.split()[0] not in ("SELECT", "UPDATE", "DELETE", "INSERT"):
                continue
            plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)
            wrong += [f"{row.detail}: {statement}" for row in plan if GROWN.search(row.detail)]
    return wrong


def send(tablet: Tablet, events: list[dict[str, Any]], **more: Any) -> None:
    body = {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": events, **more}
    take_batch(body, tablet.hands.at, lambda token: None)


@pytest.fixture
def busy(tablet: Tablet, larkspur: str) -> tuple[Tablet, str]:
    """A tablet in the middle of a run, with a gap and something refused behind it."""
    tablet.walk(larkspur, "prepare")
    tablet.send()
    run = tablet.walk(larkspur, "front-left", (1,), stop=9)
    tablet.send()
    tablet.send([{"seq": 7}])
    tablet.hands.seq += 3
    return tablet, run


def test_a_tap_a_repeat_a_refusal_a_gap_and_a_ping_are_taken_without_a_scan(
    busy: tuple[Tablet, str],
) -> None:
    tablet, run = busy
    tap = tablet.tap(run, "note", 9, text="one tap")
    problem = tablet.tap(run, "problem", 9, problem="thread-break")
    tablet.hands.seq += 1
    later = tablet.tap(run, "undo", 9, event=problem["id"])
    clock = {"offset_ms": 5, "round_trip_ms": 9, "adrift": []}
    with statements() as asked:
        send(tablet, [tap])
        send(tablet, [tap], clock=clock)
        send(tablet, [{**tap, "at": 1}, {"what": 1}, {**tap, "id": later["id"]}, problem])
        send(tablet, [later], lost=[tap["seq"] - 1])
        send(tablet, [], clock=clock)
    assert sum(statement.startswith("INSERT INTO event") for statement, _ in asked) == 3
    assert sum(statement.startswith("INSERT INTO refusal") for statement, _ in asked) >= 1
    assert scans(asked) == []


def test_a_scan_would_be_seen(busy: tuple[Tablet, str]) -> None:
    with statements() as asked:
        db.session.execute(text("SELECT id FROM refusal WHERE reason = 'x'")).all()
        db.session.execute(text("SELECT count(*) FROM event WHERE at > 5")).all()
    assert len(scans(asked)) == 2
