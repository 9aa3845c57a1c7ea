"""A database that is full, locked, slow or not to be written: each is told plainly, nothing acknowledged is lost,
and the same taps are taken once it is well again."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import event, select
from werkzeug.test import TestResponse

from floor.config import Settings
from floor.services.proof import check
from floor.store import database
from floor.store.models import EventRow, db
from tests.conftest import Tablet

WITHIN_MS = 200
LARGE = "x" * 400


@pytest.fixture
def tapped(tablet: Tablet, larkspur: str) -> dict[str, Any]:
    """A batch that was not sent yet: the job's preparation and many notes."""
    run = tablet.walk(larkspur, "prepare", stop=2)
    for _ in range(60):
        tablet.tap(run, "note", 2, text=LARGE)
    return {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": tablet.hands.events}


def sent(client: FlaskClient, batch: dict[str, Any]) -> TestResponse:
    return client.post("/sync", json=batch)


def kept() -> set[str]:
    db.session.rollback()
    return set(db.session.scalars(select(EventRow.id)))


@contextmanager
def each_connection(
    do: Callable[[sqlite3.Connection], object], after: Callable[[sqlite3.Connection], object]
) -> Iterator[None]:
    """What is done to every connection that the server takes meanwhile, and undone when it is well again."""
    touched: list[sqlite3.Connection] = []

    def taken(connection: Any, record: Any, proxy: Any) -> None:
        do(connection)
        touched.append(connection)

    db.session.remove()
    event.listen(db.engine, "checkout", taken)
    try:
        yield
    finally:
        event.remove(db.engine, "checkout", taken)
        db.session.remove()
        for connection in touched:
            after(connection)


def no_more_pages(connection: sqlite3.Connection) -> None:
    pages = connection.execute("PRAGMA page_count").fetchone()[0]
    connection.execute(f"PRAGMA max_page_count = {pages}")


def pages_again(connection: sqlite3.Connection) -> None:
    connection.execute("PRAGMA max_page_count = 1073741823")


def test_a_full_disk_is_told_and_nothing_of_the_batch_is_kept_or_acknowledged(
    client: FlaskClient, tapped: dict[str, Any]
) -> None:
    with each_connection(no_more_pages, pages_again):
        answer = sent(client, tapped)
        assert answer.status_code == 503
        assert answer.json["error"]["kind"] == "DiskFull"
        assert "disk is full" in answer.json["error"]["message"]
        assert "results" not in answer.json
    assert not kept()
    assert {one["verdict"] for one in sent(client, tapped).json["results"]} == {"applied"}
    assert kept() == {one["id"] for one in tapped["events"]}
    assert check().whole


def test_a_folder_that_cannot_be_written_is_told_and_pages_can_still_be_read(
    client: FlaskClient, tapped: dict[str, Any], larkspur: str
) -> None:
    with each_connection(
        lambda one: one.execute("PRAGMA query_only = ON"), lambda one: one.execute("PRAGMA query_only = OFF")
    ):
        answer = sent(client, tapped)
        assert answer.status_code == 503
        assert answer.json["error"]["kind"] == "ReadOnly"
        assert "cannot be written" in answer.json["error"]["message"]
        assert client.get(f"/T/{larkspur}").status_code == 200
    assert {one["verdict"] for one in sent(client, tapped).json["results"]} == {"applied"}


def test_a_database_held_by_somebody_else_is_busy_and_takes_the_same_taps_later(
    client: FlaskClient, tapped: dict[str, Any], settings: Settings, larkspur: str
) -> None:
    """As when a backup program copies the file under a lock of its own."""
    holder = sqlite3.connect(settings.database_file, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    with each_connection(
        lambda one: one.execute(f"PRAGMA busy_timeout = {WITHIN_MS}"),
        lambda one: one.execute(f"PRAGMA busy_timeout = {database.BUSY_TIMEOUT_MS}"),
    ):
        answer = sent(client, tapped)
        assert (answer.status_code, answer.json["error"]["kind"]) == (503, "DatabaseBusy")
        assert client.get(f"/T/{larkspur}").status_code == 200
        holder.execute("ROLLBACK")
        assert {one["verdict"] for one in sent(client, tapped).json["results"]} == {"applied"}
    holder.close()


def test_a_backup_by_the_databases_own_means_keeps_nobody_waiting(
    client: FlaskClient, tapped: dict[str, Any], settings: Settings
) -> None:
    source, copy = sqlite3.connect(settings.database_file), sqlite3.connect(":memory:")
    taken = []

    def between(status: int, left: int, total: int) -> None:
        if not taken:
            taken.append(sent(client, tapped).status_code)

    source.backup(copy, pages=1, progress=between)
    source.close()
    copy.close()
    assert taken == [200]


def test_a_slow_disk_answers_late_and_a_tablet_that_gave_up_gets_the_same_answer(
    app: Flask, tapped: dict[str, Any]
) -> None:
    goes_on = threading.Event()
    reached = threading.Event()
    answers = []

    def slow(connection: Any) -> None:
        reached.set()
        goes_on.wait(30)

    event.listen(db.engine, "commit", slow)
    try:
        first = threading.Thread(target=lambda: answers.append(sent(app.test_client(), tapped)))
        first.start()
        assert reached.wait(30)
        assert not answers, "it was acknowledged before the disk had it"
        assert not kept_in_another(app)
        goes_on.set()
        first.join(30)
    finally:
        goes_on.set()
        event.remove(db.engine, "commit", slow)
    again = sent(app.test_client(), tapped)
    assert again.json["results"] == answers[0].json["results"]
    assert kept() == {one["id"] for one in tapped["events"]}


def kept_in_another(app: Flask) -> int:
    """How many events another connection sees."""
    path = app.config["FLOOR"].database_file
    with sqlite3.connect(path) as other:
        return int(other.execute("SELECT count(*) FROM event").fetchone()[0])
