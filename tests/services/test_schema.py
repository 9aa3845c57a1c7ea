"""The database is opened so that an acknowledged commit survives, and migrations make what the models say."""

from __future__ import annotations

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from flask import Flask
from sqlalchemy import inspect, text

from floor import create_app
from floor.config import Settings
from floor.store.database import MIGRATIONS, WRITES, migrate_to_newest
from floor.store.models import Person, db


@pytest.fixture(scope="module")
def tables() -> None:
    """Here every shop makes its own tables."""


def test_every_acknowledged_commit_is_on_the_disk(app: Flask) -> None:
    pragmas = {name: db.session.execute(text(f"PRAGMA {name}")).scalar() for name in PRAGMAS}
    assert pragmas == PRAGMAS


PRAGMAS = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


def test_migrations_make_the_tables_that_the_models_describe(app: Flask) -> None:
    with db.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, db.metadata) == []


NEWER = {"draft", "placing", "meeting", "photo"}


def test_a_shop_of_the_form_before_drafts_is_brought_up_to_date_and_keeps_what_it_holds(app: Flask) -> None:
    names = set(db.session.query(Person.name).all())
    db.session.remove()
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with db.engine.connect().execution_options(**{WRITES: True}) as connection:
        config.attributes["connection"] = connection
        command.downgrade(config, "0002")
        connection.commit()
    assert not NEWER & set(inspect(db.engine).get_table_names())
    assert migrate_to_newest(db.engine)
    assert set(inspect(db.engine).get_table_names()) >= NEWER
    assert set(db.session.query(Person.name).all()) == names


def test_opening_a_shop_again_keeps_what_it_holds(app: Flask, settings: Settings) -> None:
    names = set(db.session.query(Person.name).all())
    key = app.config["SECRET_KEY"]
    db.session.remove()
    again = create_app(settings)
    with again.app_context():
        assert set(db.session.query(Person.name).all()) == names
        assert again.config["SECRET_KEY"] == key
        db.session.remove()
        db.engine.dispose()
