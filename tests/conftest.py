"""The cast and the stage: a fresh shop for each test, an operator, a supervisor, an outsider."""

from __future__ import annotations

import random
import shutil
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import settings as hypothesis_settings
from sqlalchemy import create_engine
from werkzeug.security import generate_password_hash

from floor import create_app
from floor.config import Settings
from floor.domain.job import HouseRules
from floor.jobfile import JobSource, read_job_folder
from floor.places import page_folder
from floor.queries.shop_routes import route_needs
from floor.queries.views import JobView, find_job, job_view
from floor.services import people
from floor.services.intake import Answer, take_in
from floor.services.jobs import import_job
from floor.services.people import add_person
from floor.services.rehearsal import Hands, open_run, walk
from floor.store.database import migrate_to_newest
from floor.store.models import db

# How fast the machine is today is no property of the code.
hypothesis_settings.register_profile("floor", deadline=None)
hypothesis_settings.load_profile("floor")

START = 1_796_000_000_000
OPERATOR, SUPERVISOR, PASSWORD = "Ines", "Maren", "chalk-and-felt-7"


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return Settings(data=tmp_path / "shop", house=HouseRules(edge_sealing=True))


@pytest.fixture(scope="session", autouse=True)
def passwords_hashed_in_a_moment() -> Iterator[None]:
    """What guards a shop against guessing takes longer than most tests; a method that Floor names still holds."""
    quickly = partial(generate_password_hash, method="scrypt:256:8:1")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(people, "generate_password_hash", quickly)
        patch.setattr(people, "_NOBODY", quickly("nobody's"))
        yield


@pytest.fixture(scope="session")
def tables(tmp_path_factory: pytest.TempPathFactory) -> Path | None:
    """The file that every new shop begins with: the newest tables, made once by the migrations, nothing in them.
    Where it is None a shop makes its own."""
    file = tmp_path_factory.mktemp("tables") / "floor.sqlite3"
    engine = create_engine(f"sqlite:///{file}")
    migrate_to_newest(engine)
    engine.dispose()
    return file


@pytest.fixture
def app(settings: Settings, tables: Path | None) -> Iterator[Flask]:
    if tables is not None:
        settings.data.mkdir(parents=True, exist_ok=True)
        shutil.copy(tables, settings.database_file)
    app = create_app(settings)
    app.config["TESTING"] = False
    with app.app_context():
        add_person(OPERATOR, False, None)
        add_person(SUPERVISOR, True, PASSWORD)
        yield app
        db.session.remove()
        db.engine.dispose()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """An outsider: nobody has signed in."""
    return app.test_client()


@pytest.fixture
def supervisor(app: Flask) -> FlaskClient:
    """A signed-in supervisor's browser."""
    client = app.test_client()
    answer = client.post("/office/sign-in", data={"name": SUPERVISOR, "password": PASSWORD})
    assert answer.status_code == 302, answer.text
    return client


def demo_source(folder: str) -> JobSource:
    return read_job_folder(page_folder("demo_jobs") / folder, route_needs())


@pytest.fixture
def larkspur(app: Flask) -> str:
    """The ticket code of the split-front demo job."""
    source = demo_source("larkspur-jackets")
    return import_job(source, SUPERVISOR, START, HouseRules(edge_sealing=True)).code


@pytest.fixture
def clock() -> Clock:
    return Clock()


@dataclass
class Clock:
    now: int = START + 3_600_000

    def forward(self, seconds: float) -> int:
        self.now += round(seconds * 1000)
        return self.now


@dataclass
class Tablet:
    """An operator's tablet without its page: makes events, and sends them when told."""

    hands: Hands
    sent: list[dict[str, Any]] = field(default_factory=list)

    def tap(self, run: str, kind: str, phase: int = 0, **data: Any) -> dict[str, Any]:
        self.hands.at += 1_000
        return self.hands.tap(run, kind, phase, data)

    def send(self, events: list[dict[str, Any]] | None = None, now: int | None = None) -> list[Answer]:
        """Send what was not sent yet, or just `events`."""
        if events is None:
            events, self.hands.events = self.hands.events, []
            self.sent += events
        body = {"device": self.hands.device, "sent_at": self.hands.at, "events": events}
        return take_in(body, self.hands.at if now is None else now, lambda token: None)

    def open(self, code: str, section: str, garments: tuple[int, ...] = (), cause: str = "") -> str:
        view = view_of(code)
        run = self.hands.new_run()
        first = bool(garments) and view.progress.approval_owed
        opening = {
            "job": code, "revision": view.revision, "section": section, "garments": list(garments),
            "first_piece": first, "operator": self.hands.operator, "cause": cause,
        }  # fmt: skip
        open_run(self.hands, run, opening)
        return run

    def walk(self, code: str, section: str, garments: tuple[int, ...] = (), stop: int | None = None) -> str:
        """Open a section and do its phases as a clean run does."""
        view = view_of(code)
        first = bool(garments) and view.progress.approval_owed
        run = self.open(code, section, garments)
        walk(self.hands, run, view.plan.checklist(section, garments, first), stop=stop)
        return run

    def rest(self, code: str, run: str, section: str, garments: tuple[int, ...], start: int) -> None:
        """Do the phases of an open run from `start` on, up to an approval."""
        plan = view_of(code).plan
        walk(self.hands, run, plan.checklist(section, garments, plan.approval_needed), start=start)


def view_of(code: str) -> JobView:
    row = find_job(code)
    assert row is not None
    return job_view(row)


def make_tablet(seed: int = 1, at: int = START + 3_600_000) -> Tablet:
    chance = random.Random(seed)
    device = str(uuid.UUID(int=chance.getrandbits(128), version=4))
    return Tablet(Hands(device, OPERATOR, at, chance))


@pytest.fixture
def tablet(app: Flask) -> Tablet:
    return make_tablet()
