"""A shop whose rows an earlier Floor made has them made again when it is opened: once, and all or nothing."""

from __future__ import annotations

import logging
import os
import sqlite3
import subprocess
import sys

import pytest
from sqlalchemy import text, update

from floor import create_app
from floor.config import Settings
from floor.services import renewal
from floor.services.projection import Projection, stored
from floor.services.proof import check
from floor.services.renewal import renew_projections
from floor.store.database import DatabaseRefused
from floor.store.models import JobRevision, PhaseTimeRow, Setting, db
from tests.conftest import Tablet

OPENERS = 4


@pytest.fixture
def log(tablet: Tablet, larkspur: str) -> Projection:
    """What the tables hold of a job prepared and half a front sewn."""
    tablet.walk(larkspur, "prepare")
    tablet.walk(larkspur, "front-left", (1,), stop=12)
    tablet.send()
    return stored()


def as_an_earlier_floor_left_it(version: str | None) -> None:
    """Other expected times in the rows, and the version that made them."""
    db.session.execute(update(PhaseTimeRow).values(expected_s=1.0, waiting_s=999.0))
    db.session.execute(text("DELETE FROM setting WHERE name = 'projection_version'"))
    if version is not None:
        db.session.add(Setting(name="projection_version", value=version))
    db.session.commit()
    assert not check().whole
    db.session.rollback()


def opened_again(settings: Settings) -> Projection:
    with create_app(settings).app_context():
        found = stored()
        db.session.remove()
        db.engine.dispose()
    return found


@pytest.mark.parametrize("version", [None, "1", "99"])
def test_rows_of_another_version_are_made_again_at_the_opening(
    log: Projection, settings: Settings, version: str | None
) -> None:
    as_an_earlier_floor_left_it(version)
    assert opened_again(settings) == log


def test_rows_of_this_version_are_left_as_they_are(log: Projection, settings: Settings) -> None:
    db.session.execute(update(PhaseTimeRow).values(waiting_s=999.0))
    db.session.commit()
    assert {row["waiting_s"] for row in opened_again(settings).times.values()} == {999.0}
    assert not renew_projections()


OPENER = """
from floor import create_app
from floor.services import renewal
real, made = renewal.make_again, []
renewal.make_again = lambda: made.append(real())
create_app()
print(len(made))
"""


def test_several_that_open_at_once_make_them_again_once(log: Projection, settings: Settings) -> None:
    as_an_earlier_floor_left_it("1")
    db.session.remove()
    db.engine.dispose()
    opening = [
        subprocess.Popen(
            [sys.executable, "-c", OPENER],
            env={**os.environ, "FLOOR_DATA": str(settings.data), "PYTHONPATH": os.getcwd()},
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(OPENERS)
    ]  # fmt: skip
    said = [process.communicate(timeout=60) for process in opening]
    assert [errors for _, errors in said] == [""] * OPENERS
    assert sorted(out.strip() for out, _ in said) == ["0"] * (OPENERS - 1) + ["1"]
    assert stored() == log


def test_whoever_waits_longer_than_the_database_does_waits_on(
    log: Projection, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other's transaction outlasts SQLite's own patience: a refusal would keep the shop shut for nothing."""
    as_an_earlier_floor_left_it("1")
    other = sqlite3.connect(settings.database_file, isolation_level=None, timeout=0)
    other.execute("BEGIN IMMEDIATE")
    db.session.execute(text("PRAGMA busy_timeout = 1"))
    tries: list[int] = []

    def busy(error: object) -> bool:
        tries.append(1)
        if len(tries) == 3:
            other.execute("COMMIT")
        return True

    monkeypatch.setattr(renewal, "_busy", busy)
    try:
        assert renew_projections()
    finally:
        other.close()
    assert len(tries) == 3
    assert stored() == log


def test_a_database_that_stays_busy_is_refused_with_nothing_changed(
    log: Projection, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    as_an_earlier_floor_left_it("1")
    before = stored()
    monkeypatch.setattr(renewal, "RENEWED_WITHIN_S", 0.0)
    other = sqlite3.connect(settings.database_file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    db.session.execute(text("PRAGMA busy_timeout = 1"))
    try:
        with pytest.raises(DatabaseRefused, match="could not be brought up to date"):
            renew_projections()
    finally:
        other.close()
    assert stored() == before


def test_a_power_cut_midway_leaves_the_rows_to_be_made_again_next_time(
    log: Projection, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    as_an_earlier_floor_left_it("1")
    before = stored()

    def cut() -> int:
        real()
        raise KeyboardInterrupt

    real = renewal.make_again
    monkeypatch.setattr(renewal, "make_again", cut)
    with pytest.raises(KeyboardInterrupt):
        renew_projections()
    assert stored() == before
    monkeypatch.undo()
    assert opened_again(settings) == log


def test_one_job_that_cannot_be_read_any_more_does_not_shut_the_shop(
    log: Projection, settings: Settings, caplog: pytest.LogCaptureFixture
) -> None:
    as_an_earlier_floor_left_it("1")
    before = stored()
    db.session.execute(update(JobRevision).values(digest="unknown", outline_text="<svg/>"))
    db.session.commit()
    with caplog.at_level(logging.ERROR):
        assert opened_again(settings) == before
    assert "a job cannot be read: " in caplog.text
    assert db.session.get_one(Setting, "projection_version").value == "1"
