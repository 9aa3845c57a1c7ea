"""The tables that are made from events: what they hold, and making them hold what they ought to."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import select

from floor.services.projected_rows import Projection, Row
from floor.store.models import MeetingRow, PhaseTimeRow, PlacingRow, ProblemRow, RunRow, VerdictRow, db

TABLES: tuple[tuple[str, type[Any], str, tuple[str, ...]], ...] = (
    ("runs", RunRow, "id", ("id",)),
    ("times", PhaseTimeRow, "run_id", ("run_id", "phase")),
    ("problems", ProblemRow, "run_id", ("id",)),
    ("placings", PlacingRow, "run_id", ("run_id", "phase", "number")),
    ("meetings", MeetingRow, "run_id", ("run_id", "phase")),
    ("verdicts", VerdictRow, "run", ("event_id",)),
)


def stored(runs: Iterable[str] | None = None) -> Projection:
    """What the tables hold, of these runs or of all."""
    found = Projection()
    for name, model, run_column, keys in TABLES:
        for row in _rows(model, run_column, runs):
            values = {column.key: getattr(row, column.key) for column in model.__table__.columns}
            getattr(found, name)[_key(values, keys)] = values
    return found


def write(wanted: Projection, runs: Iterable[str] | None = None) -> None:
    """Make the tables hold `wanted` for these runs (None: for all), touching only rows that differ."""
    have: dict[str, dict[Any, Any]] = {}
    for name, model, run_column, keys in reversed(TABLES):  # children go before the run that they belong to
        have[name] = {
            _key({k: getattr(row, k) for k in keys}, keys): row for row in _rows(model, run_column, runs)
        }
        for key in have[name].keys() - getattr(wanted, name).keys():
            db.session.delete(have[name].pop(key))
        db.session.flush()
    for name, model, _, _ in TABLES:
        for key, values in getattr(wanted, name).items():
            row = have[name].get(key)
            if row is None:
                db.session.add(model(**values))
                continue
            for column, value in values.items():
                if getattr(row, column) != value:
                    setattr(row, column, value)
        db.session.flush()


def _rows(model: type[Any], run_column: str, runs: Iterable[str] | None) -> list[Any]:
    query = select(model)
    if runs is not None:
        query = query.where(getattr(model, run_column).in_(sorted(runs)))
    return list(db.session.scalars(query))


def _key(values: Row, keys: tuple[str, ...]) -> Any:
    return values[keys[0]] if len(keys) == 1 else tuple(values[key] for key in keys)
