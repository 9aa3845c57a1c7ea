"""How the database is opened: SQLite with every acknowledged commit on the disk, migrated to the newest form."""

from __future__ import annotations

import secrets
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from flask import Flask
from flask_migrate import Migrate
from sqlalchemy import event
from sqlalchemy.engine import Engine
from sqlalchemy.exc import DatabaseError

from floor.config import Settings
from floor.places import PACKAGE
from floor.store.models import Setting, db

MIGRATIONS = PACKAGE / "store" / "migrations"
BUSY_TIMEOUT_MS = 5_000
WRITES = "floor_writes"


class DatabaseRefused(Exception):
    """The shop's folder or file cannot be used; the message says what was found and what would do."""


def open_database(app: Flask, settings: Settings) -> bool:
    """Bind `db` to the shop's file, bring its tables up to date, and give the app its secret key.

    Returns whether a shop's tables were of an older form: what is made from events must then be made again.
    Raises DatabaseRefused.
    """
    try:
        settings.data.mkdir(parents=True, exist_ok=True)
    except OSError as wrong:
        raise DatabaseRefused(
            f"The shop's folder {settings.data} cannot be used: {wrong.strerror}."
        ) from None
    app.config["SQLALCHEMY_DATABASE_URI"] = f"sqlite:///{settings.database_file}"
    app.config["SQLALCHEMY_ENGINE_OPTIONS"] = {"connect_args": {"timeout": BUSY_TIMEOUT_MS / 1000}}
    db.init_app(app)
    Migrate(app, db, directory=str(MIGRATIONS))
    with app.app_context():
        _prepare(db.engine)
        try:
            older = migrate_to_newest(db.engine)
            app.config["SECRET_KEY"] = _secret_key()
        except DatabaseError as wrong:
            db.engine.dispose()
            raise DatabaseRefused(
                f"The shop's database {settings.database_file} cannot be used: {wrong.orig}."
            ) from None
        except CommandError:
            db.engine.dispose()
            raise DatabaseRefused(
                f"The shop's database {settings.database_file} was written by a newer Floor; use that one."
            ) from None
    return older


def migrate_to_newest(engine: Engine) -> bool:
    """Bring the tables to the form that this Floor uses; whether there were tables of an older one."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    scripts = ScriptDirectory.from_config(config)
    with engine.connect() as connection:
        if MigrationContext.configure(connection).get_current_revision() == scripts.get_current_head():
            return False
    # Two that start at once on one folder: the second waits here, and then finds nothing left to do.
    with engine.connect().execution_options(**{WRITES: True}) as connection:
        before = MigrationContext.configure(connection).get_current_revision()
        if before is not None:
            scripts.get_revision(before)
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        connection.commit()
    return before not in (None, scripts.get_current_head())


def _prepare(engine: Engine) -> None:
    """SQLite as DEVELOPERS.md, "Storage" has it: WAL, FULL, foreign keys, and transactions that begin at once."""

    @event.listens_for(engine, "connect")
    def pragmas(connection: Any, record: Any) -> None:
        if isinstance(connection, sqlite3.Connection):
            connection.isolation_level = None  # the "begin" below is ours, not the driver's
            _write_ahead(connection)
            for pragma in ("synchronous=FULL", "foreign_keys=ON"):
                connection.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        # A deferred transaction that turns writer midway can fail at once as "locked"; this one waits its turn.
        writes = connection.get_execution_options().get(WRITES)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _write_ahead(connection: sqlite3.Connection) -> None:
    """SQLite does not wait for its turn to change the journal's mode: two that open a new file at once would
    find it locked."""
    until = time.monotonic() + BUSY_TIMEOUT_MS / 1000
    while True:
        try:
            connection.execute("PRAGMA journal_mode=WAL")
            return
        except sqlite3.OperationalError as wrong:
            if wrong.sqlite_errorcode != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.02)


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
            # Another that started at the same moment may have been first.
            setting = db.session.get(Setting, "secret_key")
            if setting is None:
                setting = Setting(name="secret_key", value=secrets.token_urlsafe(48))
                db.session.add(setting)
    return setting.value
