"""How the database is opened: SQLite with every acknowledged commit on the disk, migrated to the newest form."""

from __future__ import annotations

import secrets
import sqlite3
from typing import Any

from flask import Flask
from flask_migrate import Migrate, upgrade
from sqlalchemy import event
from sqlalchemy.engine import Engine

from floor.config import Settings
from floor.places import PACKAGE
from floor.store.models import Setting, db

MIGRATIONS = PACKAGE / "store" / "migrations"
BUSY_TIMEOUT_MS = 5_000


def open_database(app: Flask, settings: Settings) -> None:
    """Bind `db` to the shop's file, migrate it, and give the app its secret key."""
    settings.data.mkdir(parents=True, exist_ok=True)
    app.config["SQLALCHEMY_DATABASE_URI"] = f"sqlite:///{settings.database_file}"
    app.config["SQLALCHEMY_ENGINE_OPTIONS"] = {"connect_args": {"timeout": BUSY_TIMEOUT_MS / 1000}}
    db.init_app(app)
    Migrate(app, db, directory=str(MIGRATIONS))
    with app.app_context():
        _prepare(db.engine)
        upgrade()
        app.config["SECRET_KEY"] = _secret_key()


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
        connection.exec_driver_sql("BEGIN IMMEDIATE" if connection.info.get("writes") else "BEGIN")


def _secret_key() -> str:
    setting = db.session.get(Setting, "secret_key")
    if setting is None:
        setting = Setting(name="secret_key", value=secrets.token_urlsafe(48))
        db.session.add(setting)
        db.session.commit()
    return setting.value
