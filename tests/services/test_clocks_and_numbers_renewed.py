"""A shop from before tablets' numbers were counted and their clocks measured: all that can be known is known."""

from __future__ import annotations

from alembic import command
from alembic.config import Config
from flask import Flask
from sqlalchemy import select

from floor import create_app
from floor.config import Settings
from floor.services.intake import take_batch
from floor.services.proof import check
from floor.store.database import MIGRATIONS, WRITES
from floor.store.models import Device, Refusal, db
from tests.conftest import Tablet


def test_numbers_refusals_and_when_each_was_heard_are_read_from_what_is_here(
    app: Flask, settings: Settings, tablet: Tablet, larkspur: str
) -> None:
    run = tablet.open(larkspur, "prepare")
    for count in range(5):
        tablet.tap(run, "note", 0, text=f"note {count}")
    one, two, three, four, _, six = tablet.hands.events
    bad = {**two, "phase": -1}
    tablet.send([one, bad, four, six, {"what": 1}])
    digests = set(db.session.scalars(select(Refusal.digest)))
    db.session.remove()
    _before_this_was_counted()

    again = create_app(settings)
    with again.app_context():
        [fault] = check().faults
        assert "2 of its 6 events never arrived (numbers 3, 5)" in fault
        kept = db.session.get_one(Device, tablet.hands.device)
        assert (kept.newest, kept.missing, kept.lost) == (6, [[3, 3], [5, 5]], [])
        assert kept.seen_at == tablet.hands.at
        assert set(db.session.scalars(select(Refusal.digest))) == digests
        body = {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": [bad, three]}
        taken = take_batch(body, tablet.hands.at, lambda token: None)
        assert (taken.newest, taken.wanted) == (6, [5])
        assert db.session.query(Refusal).count() == len(digests)
        db.session.remove()
        db.engine.dispose()


def _before_this_was_counted() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with db.engine.connect().execution_options(**{WRITES: True}) as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, "0004")
        connection.commit()
