"""What was acknowledged is there: after a power cut, with several processes on one file, and past a long writer."""

from __future__ import annotations

import os
import signal
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import select

from floor import create_app
from floor.config import Settings
from floor.domain.job import HouseRules
from floor.services.intake import take_in
from floor.services.jobs import import_job
from floor.services.people import add_person
from floor.services.proof import check
from floor.store import database
from floor.store.models import EventRow, db
from tests.conftest import OPERATOR, PASSWORD, START, SUPERVISOR, Tablet, demo_source, make_tablet
from tests.services.served import Sender, send, served

TABLETS = 4
NOTES = 60
DAY_MS = 86_400_000
ACKNOWLEDGED_BEFORE_THE_CUT = 100
BUSY_FOR_THIS_TEST_MS = 300


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "shop"


@pytest.fixture
def senders(folder: Path) -> list[Tablet]:
    """Tablets that have sewn a front each, none of which is sent yet, on a shop that is prepared for it."""

    def build() -> list[Tablet]:
        add_person(OPERATOR, False, None)
        add_person(SUPERVISOR, True, PASSWORD)
        code = import_job(
            demo_source("larkspur-jackets"), SUPERVISOR, START, HouseRules(first_piece=False)
        ).code
        start = time.time_ns() // 1_000_000 - DAY_MS
        tablets = [make_tablet(seed=seed, at=start) for seed in range(1, TABLETS + 1)]
        tablets[0].walk(code, "prepare")
        tablets[0].send()
        for number, tablet in enumerate(tablets, start=1):
            tablet.hands.at += 3_600_000
            run = tablet.walk(code, "front-left", (number,), stop=8)
            for count in range(NOTES):
                tablet.tap(run, "note", 8, text=f"note {count}")
            tablet.rest(code, run, "front-left", (number,), 8)
        return tablets

    found: list[Tablet] = on(folder, build)
    return found


def on(folder: Path, do: Callable[[], Any]) -> Any:
    """Do something on the shop's folder from this process, and let go of it again."""
    app = create_app(Settings(data=folder))
    with app.app_context():
        found = do()
        db.session.remove()
        db.engine.dispose()
    return found


def as_senders(tablets: list[Tablet], addresses: list[str]) -> list[Sender]:
    return [Sender(t.hands.device, t.hands.events, addresses) for t in tablets]


def kept() -> list[str]:
    return list(db.session.scalars(select(EventRow.id)))


def proved() -> None:
    proof = check()
    assert proof.whole, proof.faults


def test_after_a_power_cut_every_acknowledged_event_is_there_and_the_rest_comes_again(
    folder: Path, senders: list[Tablet]
) -> None:
    with served(folder) as server:
        storm = as_senders(senders, [server.address])
        for sender in storm:
            sender.start()
        while sum(len(sender.acknowledged) for sender in storm) < ACKNOWLEDGED_BEFORE_THE_CUT:
            assert any(sender.is_alive() for sender in storm), "the storm ended by itself"
            time.sleep(0.005)
        server.kill()
        for sender in storm:
            sender.join()
    acknowledged = {event for sender in storm for event in sender.acknowledged}
    everything = {event["id"] for tablet in senders for event in tablet.hands.events}
    assert acknowledged < everything, "the cut came after the storm"
    assert acknowledged <= set(on(folder, kept))
    on(folder, proved)
    with served(folder) as server:
        again = as_senders(senders, [server.address])
        for sender in again:
            sender.start()
        for sender in again:
            sender.join()
            assert set(sender.acknowledged.values()) == {"applied"}
    assert everything <= set(on(folder, kept))
    on(folder, proved)


def test_two_processes_on_one_file_lose_nothing_and_double_nothing(
    folder: Path, senders: list[Tablet]
) -> None:
    with served(folder) as one, served(folder) as other:
        storm = as_senders(senders, [one.address, other.address])
        twins = as_senders(senders, [other.address, one.address])  # the same events, from both sides at once
        for sender in (*storm, *twins):
            sender.start()
        on(folder, proved)  # a check amid the storm sees one moment of it
        for sender in (*storm, *twins):
            sender.join()
            assert len(sender.acknowledged) == len(sender.events)
            assert set(sender.acknowledged.values()) <= {"applied", "aside"}
    ids = on(folder, kept)
    assert len(ids) == len(set(ids))
    assert {event["id"] for tablet in senders for event in tablet.hands.events} <= set(ids)
    on(folder, proved)


def test_ctrl_c_stops_the_server_cleanly_and_a_restart_keeps_all(folder: Path, senders: list[Tablet]) -> None:
    tablet = senders[0]
    with served(folder) as server:
        send(server.address, tablet.hands.device, tablet.hands.events[:20])
        code, said = server.stop()
    assert code == 0, said
    assert "Traceback" not in said
    with served(folder) as server:
        answers = send(server.address, tablet.hands.device, tablet.hands.events[:20])
    assert {answer["verdict"] for answer in answers} == {"applied"}
    on(folder, proved)


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="workers are found as Linux lists them")
def test_a_worker_leaves_ctrl_c_to_its_server(folder: Path, senders: list[Tablet]) -> None:
    """A terminal sends it to both; a worker that stops on it and is then told again may wait for ever."""
    tablet = senders[0]
    with served(folder) as server:
        [worker] = server.workers()
        os.kill(worker, signal.SIGINT)
        time.sleep(0.5)
        answers = send(server.address, tablet.hands.device, tablet.hands.events[:4])
        assert {answer["verdict"] for answer in answers} == {"applied"}
        assert server.workers() == [worker]
        code, said = server.stop()
    assert (code, "Traceback" in said) == (0, False)


def test_a_writer_that_holds_the_file_too_long_gives_503_and_nothing_is_lost(
    folder: Path, senders: list[Tablet], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(database, "BUSY_TIMEOUT_MS", BUSY_FOR_THIS_TEST_MS)
    tablet = senders[0]
    now = time.time_ns() // 1_000_000
    body = {"device": tablet.hands.device, "sent_at": now, "events": tablet.hands.events[:10]}
    app: Flask = create_app(Settings(data=folder))
    client = app.test_client()
    hog = sqlite3.connect(folder / "floor.sqlite3", isolation_level=None)
    try:
        hog.execute("BEGIN IMMEDIATE")
        busy = client.post("/sync", json=body)
        assert busy.status_code == 503
        assert busy.json == {
            "error": {
                "kind": "DatabaseBusy",
                "message": "The shop's database is busy; nothing was saved by this tap. Try again in a moment.",
            }
        }
        hog.execute("ROLLBACK")
    finally:
        hog.close()
    answers = client.post("/sync", json=body).json
    assert [result["verdict"] for result in answers["results"]] == ["applied"] * 10
    with app.app_context():
        proved()
        again = take_in(body, now, lambda token: None)
        assert [answer.verdict for answer in again] == ["applied"] * 10
        db.session.remove()
        db.engine.dispose()
