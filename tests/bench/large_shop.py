"""A shop's file with any number of events in it, made quickly: years of finished jobs, written by SQL alone."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from floor import create_app
from floor.config import Settings
from floor.domain.job import HouseRules
from floor.jobfile import read_job_folder
from floor.places import page_folder
from floor.queries.shop_routes import route_needs
from floor.services.jobs import import_job
from floor.services.people import add_person
from floor.store.models import db

START_MS = 1_796_000_000_000
EVENTS_A_RUN = 100
RUNS_A_JOB = 100


def large_shop(folder: Path, events: int) -> str:
    """Make the shop; the code of its one job that is not over. The rest is finished and off the lists."""
    app = create_app(Settings(data=folder))
    with app.app_context():
        add_person("Ines", False, None)
        source = read_job_folder(page_folder("demo_jobs") / "larkspur-jackets", route_needs())
        code = import_job(source, "Ines", START_MS, HouseRules(first_piece=False)).code
        db.session.remove()
        db.engine.dispose()
    with sqlite3.connect(folder / "floor.sqlite3", isolation_level=None) as file:
        file.execute("PRAGMA foreign_keys = OFF")
        file.execute("PRAGMA synchronous = OFF")
        file.execute("BEGIN")
        _jobs(file, -(-events // (EVENTS_A_RUN * RUNS_A_JOB)))
        _runs(file, -(-events // EVENTS_A_RUN))
        _events(file, events)
        file.execute("COMMIT")
    file.close()
    return code


def _copy(file: sqlite3.Connection, table: str, count: int, changed: dict[str, str], source: str) -> None:
    """`count` rows numbered i = 0, 1, …, each like the row of `source` but for what `changed` says."""
    columns = [row[1] for row in file.execute(f"PRAGMA table_info({table})")]
    wanted = ", ".join(changed.get(column, f'one."{column}"') for column in columns)
    names = ", ".join(f'"{column}"' for column in columns)
    file.execute(
        f"WITH RECURSIVE n(i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i + 1 < {count}) "
        f"INSERT INTO {table} ({names}) SELECT {wanted} FROM n, ({source}) AS one"
    )


def _jobs(file: sqlite3.Connection, count: int) -> None:
    _copy(
        file, "job", count,
        {"id": "1000 + i", "code": "'J' || i", "removed_at": str(START_MS), "removed_by": "'Ines'"},
        "SELECT * FROM job WHERE id = 1",
    )  # fmt: skip
    _copy(
        file, "job_revision", count, {"id": "1000 + i", "job_id": "1000 + i"},
        "SELECT * FROM job_revision WHERE job_id = 1",
    )  # fmt: skip


def _runs(file: sqlite3.Connection, count: int) -> None:
    columns = file.execute("PRAGMA table_info(run)").fetchall()
    blank = {row[1]: "'[]'" if "JSON" in row[2] else "''" if "TEXT" in row[2] else "0" for row in columns}
    known = {
        "id": "printf('%08x-0000-4000-8000-000000000000', i)", "job_id": f"1000 + i / {RUNS_A_JOB}",
        "revision": "1", "section": "'prepare'", "status": "'finished'", "own_status": "'finished'",
        "opened_at": f"{START_MS} + i", "ended_at": f"{START_MS} + i + 60", "last_at": f"{START_MS} + i",
        "approved_at": "NULL", "own_ended_at": f"{START_MS} + i + 60",
    }  # fmt: skip
    _copy(file, "run", count, blank | known, "SELECT 1")


def _events(file: sqlite3.Connection, count: int) -> None:
    columns = file.execute("PRAGMA table_info(event)").fetchall()
    blank = {row[1]: "''" if "TEXT" in row[2] else "0" for row in columns}
    run = f"printf('%08x-0000-4000-8000-000000000000', i / {EVENTS_A_RUN})"
    known = {
        "id": "printf('%08x-0000-4000-8000-000000000001', i)", "run": run,
        "device": "printf('%08x-0000-4000-8000-00000000000d', i % 5)", "seq": "1 + i / 5", "kind": "'note'",
        "data": """'{"text": "felt"}'""", "at": f"{START_MS} + i", "received_at": f"{START_MS} + i",
        "authority": "NULL", "by": "NULL",
    }  # fmt: skip
    _copy(file, "event", count, blank | known, "SELECT 1")
    columns = file.execute("PRAGMA table_info(verdict)").fetchall()
    blank = {row[1]: "''" if "TEXT" in row[2] else "0" for row in columns}
    known = {
        "event_id": "printf('%08x-0000-4000-8000-000000000001', i)", "run": run,
        "position": f"i % {EVENTS_A_RUN}", "applied": "1", "in_force": "1", "sentence": "'Note: felt.'",
    }  # fmt: skip
    _copy(file, "verdict", count, blank | known, "SELECT 1")
