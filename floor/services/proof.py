"""`floor rebuild` and `floor check`: the projections made again from events, and the log proved whole."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select

from floor.services.numbers_proved import number_faults
from floor.services.projection import TABLES, Projection, everything, make_again, stored
from floor.store.database import writing
from floor.store.models import EventRow, Refusal, db


@dataclass(frozen=True)
class Proof:
    """What `floor check` found. `faults`: one sentence each; none when the log is whole."""

    events: int
    devices: int
    runs: int
    refusals: int
    aside: int
    faults: tuple[str, ...]

    @property
    def whole(self) -> bool:
        return not self.faults


def rebuild() -> int:
    """Make all projections again from events alone; how many runs there are."""
    with writing():
        return make_again()


def check() -> Proof:
    """Prove the log whole: no device's sequence has a gap, known or not, and all projections equal the replay."""
    wanted, have = everything(), stored()
    faults = [*number_faults(), *(fault for name, *_ in TABLES for fault in _differences(name, wanted, have))]
    count = db.session.scalar(select(func.count()).select_from(EventRow)) or 0
    devices = db.session.scalar(select(func.count(func.distinct(EventRow.device)))) or 0
    refusals = db.session.scalar(select(func.count()).select_from(Refusal)) or 0
    aside = sum(not verdict["applied"] for verdict in wanted.verdicts.values())
    return Proof(count, devices, len(wanted.runs), refusals, aside, tuple(faults))


def _differences(name: str, wanted: Projection, have: Projection) -> list[str]:
    should, does = getattr(wanted, name), getattr(have, name)
    faults = [f"{name}: {key} is in the events but not in the table." for key in should.keys() - does.keys()]
    faults += [f"{name}: {key} is in the table but not in the events." for key in does.keys() - should.keys()]
    for key in should.keys() & does.keys():
        columns = [c for c in should[key] if should[key][c] != does[key][c]]
        if columns:
            faults.append(f"{name}: {key} differs from its events in {', '.join(columns)}.")
    return sorted(faults)
