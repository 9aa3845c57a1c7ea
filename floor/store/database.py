"""How the database is opened: SQLite with every acknowledged commit on the disk, migrated to the newest form."""

from __future__ import annotations

import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from alembic import command
from alembic.config import Config
from flask import Flask
from flask_migrate import Migrate
from sqlalchemy import event
from sqlalchemy.engine import Engine

from floor.config import Settings
from floor.places import PACKAGE
from floor.store.models import Setting, db

MIGRATIONS = PACKAGE / "store" / "migrations"
BUSY_TIMEOUT_MS = 5_000
WRITES = "floor_writes"


def open_database(app: Flask, settings: Settings) -> None:
    """Bind `db` to the shop's file, migrate it, and give the app its secret key."""
    settings.data.mkdir(parents=True, exist_ok=True)
    app.config["SQLALCHEMY_DATABASE_URI"] = f"sqlite:///{settings.database_file}"
    app.config["SQLALCHEMY_ENGINE_OPTIONS"] = {"connect_args": {"timeout": BUSY_TIMEOUT_MS / 1000}}
    db.init_app(app)
    Migrate(app, db, directory=str(MIGRATIONS))
    with app.app_context():
        _prepare(db.engine)
        migrate_to_newest(db.engine)
        app.config["SECRET_KEY"] = _secret_key()


def migrate_to_newest(engine: Engine) -> None:
    """Bring the tables to the form that this Floor uses."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    with engine.connect() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        connection.commit()


def _prepare(engine: Engine) -> None:
    """SQLite as DEVELOPERS.md, "Storage" has it: WAL, FULL, foreign keys, and transactions that begin at once."""

    @event.listens_for(engine, "connect")
    def pragmas(connection: Any, record: Any) -> None:
        if isinstance(connection, sqlite3.Connection):
            connection.isolation_level = None  # the "begin" below is ours, not the driver's
            for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
                connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        # A deferred transaction that turns writer midway can fail at once as "locked"; this one waits its turn.
        writes = connection.get_execution_options().get(WRITES)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def writing() -> Iterator[None]:
    """One transaction that writes: all of it or nothing. What the session had only read is read again."""
    db.session.rollback()
    db.session.connection(execution_options={WRITES: True})
    try:
        yield
        db.session.commit()
    except BaseException:
        db.session.rollback()
        raise


def _secret_key() -> str:
    setting = db.session.get(Setting, "secret_key")
    if setting is None:
        with writing():
            setting = Setting(name="secret_key", value=secrets.token_urlsafe(48))
            db.session.add(setting)
    return setting.value
