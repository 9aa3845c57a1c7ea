"""The demo's folder: made-up people, three jobs, a little history; all of it through the ordinary intake."""

from __future__ import annotations

import uuid
from collections.abc import Iterator

import pytest
from flask import Flask
from sqlalchemy import select

from floor import create_app
from floor.config import Settings
from floor.queries.machines import machines
from floor.queries.office.meeting import meeting_page
from floor.queries.office.meeting_rows import Asked
from floor.services.demo import HISTORY_GARMENTS, MACHINES, demo, seed_demo
from floor.services.people import check_password
from floor.services.proof import check
from floor.store.models import EventRow, JobRow, MeetingRow, PlacingRow, ProblemRow, RunRow, db
from tests.conftest import START, view_of


@pytest.fixture
def empty(settings: Settings) -> Iterator[Flask]:
    app = create_app(settings)
    with app.app_context():
        yield app
        db.session.remove()
        db.engine.dispose()


def new_id() -> str:
    return str(uuid.uuid4())


def test_the_demo_has_its_jobs_people_and_a_whole_log(empty: Flask) -> None:
    found = seed_demo(START, new_id)
    assert check_password(found.supervisor, found.password) is not None
    codes = db.session.scalars(select(JobRow.code).where(JobRow.removed_at.is_(None))).all()
    assert len(codes) == 3
    progress = {code: view_of(code).progress for code in codes}
    assert sum(g.finished for p in progress.values() for g in p.garments.values()) == HISTORY_GARMENTS
    proof = check()
    assert proof.whole
    assert (proof.aside, proof.refusals) == (0, 0)
    assert db.session.scalars(select(ProblemRow.kind)).all() == ["thread-break"]
    assert all(row.at + row.offset_ms < START for row in db.session.scalars(select(EventRow)))


def test_a_job_that_was_delivered_shows_how_its_halves_met(empty: Flask) -> None:
    """Two machines, fronts that were nudged, one laid again, and a step that the supervisor let stand."""
    seed_demo(START, new_id)
    (delivered,) = db.session.scalars(select(JobRow).where(JobRow.removed_at.is_not(None)))
    progress = view_of(delivered.code).progress.garments.values()
    assert all(garment.finished for garment in progress)
    assert set(db.session.scalars(select(MeetingRow.outcome))) == {"passed", "conceded"}
    assert {"nudged", "laid again", "sewn"} <= set(db.session.scalars(select(PlacingRow.did)))
    assert set(db.session.scalars(select(RunRow.machine))) == set(MACHINES) == set(machines())
    page = meeting_page(Asked(), START)
    assert page.chart is not None
    assert page.chart.sure


def test_a_folder_that_was_filled_stays_as_it_is(empty: Flask) -> None:
    first = seed_demo(START, new_id)
    runs = db.session.scalars(select(RunRow.id)).all()
    assert seed_demo(START + 1, new_id) == first
    assert db.session.scalars(select(RunRow.id)).all() == runs


def test_a_real_shop_is_no_demo(empty: Flask) -> None:
    assert demo() is None
