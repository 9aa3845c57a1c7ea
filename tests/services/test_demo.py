"""The demo's folder: made-up people, three jobs, a little history; all of it through the ordinary intake."""

from __future__ import annotations

import uuid
from collections.abc import Iterator

import pytest
from flask import Flask
from sqlalchemy import select

from floor import create_app
from floor.config import Settings
from floor.services.demo import HISTORY_GARMENTS, demo, seed_demo
from floor.services.people import check_password
from floor.services.proof import check
from floor.store.models import EventRow, JobRow, ProblemRow, RunRow, db
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
    codes = db.session.scalars(select(JobRow.code)).all()
    assert len(codes) == 3
    progress = {code: view_of(code).progress for code in codes}
    assert sum(g.finished for p in progress.values() for g in p.garments.values()) == HISTORY_GARMENTS
    proof = check()
    assert proof.whole
    assert (proof.aside, proof.refusals) == (0, 0)
    assert db.session.scalars(select(ProblemRow.kind)).all() == ["thread-break"]
    assert all(row.at + row.offset_ms < START for row in db.session.scalars(select(EventRow)))


def test_a_folder_that_was_filled_stays_as_it_is(empty: Flask) -> None:
    first = seed_demo(START, new_id)
    runs = db.session.scalars(select(RunRow.id)).all()
    assert seed_demo(START + 1, new_id) == first
    assert db.session.scalars(select(RunRow.id)).all() == runs


def test_a_real_shop_is_no_demo(empty: Flask) -> None:
    assert demo() is None
