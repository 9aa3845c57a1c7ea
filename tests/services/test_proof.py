"""`floor check` proves the log whole, and `floor rebuild` makes the same tables from events alone."""

from __future__ import annotations

import random
from typing import Any

import pytest
from sqlalchemy import text, update

from floor.queries.office.set_aside import aside_runs, why_not
from floor.services.intake import take_in
from floor.services.projection import everything, stored
from floor.services.proof import check, rebuild
from floor.services.settling import CannotSettle, settle, take_back
from floor.store.models import PhaseTimeRow, RunRow, db
from tests.conftest import SUPERVISOR, Tablet, view_of
from tests.services.several_tablets import SIGNED, SeveralTablets


@pytest.fixture
def sewn(tablet: Tablet, larkspur: str) -> Tablet:
    """A tablet that has prepared the job and sewn one front of its first garment, with a problem on the way."""
    tablet.walk(larkspur, "prepare")
    tablet.send()
    run = tablet.walk(larkspur, "front-left", (1,), stop=6)
    problem = tablet.tap(run, "problem", 6, problem="thread-break")
    tablet.tap(run, "cleared", 6, problem=problem["id"], how="threaded again")
    tablet.tap(run, "redo", 6, to=4, cause=next(iter(_causes())))
    tablet.send()
    return tablet


def _causes() -> Any:
    from floor.domain.problems import REDO_CAUSES

    return REDO_CAUSES


def test_a_whole_log_is_said_to_be_whole(sewn: Tablet) -> None:
    proof = check()
    assert proof.whole
    assert (proof.events, proof.devices, proof.runs) == (len(sewn.sent), 1, 2)


def test_a_number_that_never_arrived_is_found(sewn: Tablet) -> None:
    sewn.hands.seq += 2
    sewn.tap(sewn.sent[-1]["run"], "note", 0, text="two are missing before this")
    sewn.send()
    [fault] = check().faults
    assert "2 of its" in fault
    assert f"numbers {len(sewn.sent)}, {len(sewn.sent) + 1}" in fault
    assert "Switch it on" in fault


def test_a_number_that_was_refused_is_not_called_missing(sewn: Tablet) -> None:
    sewn.tap(sewn.sent[-1]["run"], "note", 0, text="x" * 600, other=1)
    sewn.hands.events[-1]["phase"] = -1
    sewn.tap(sewn.sent[-1]["run"], "note", 0, text="good")
    answers = sewn.send()
    assert [a.verdict for a in answers] == ["refused", "applied"]
    assert check().whole


def test_a_table_that_was_tampered_with_is_found_and_rebuilt(sewn: Tablet) -> None:
    db.session.execute(update(PhaseTimeRow).values(work_s=PhaseTimeRow.work_s + 60))
    db.session.execute(update(RunRow).values(status="finished"))
    db.session.commit()
    assert len(check().faults) > 2
    rebuild()
    assert check().whole


def test_rebuild_makes_the_same_tables_from_events_alone(sewn: Tablet) -> None:
    before = stored()
    for table in ("verdict", "placing", "meeting", "problem", "phase_time", "run"):
        db.session.execute(text(f"DELETE FROM {table}"))
    db.session.commit()
    rebuild()
    assert stored() == before


def settle_some(several: SeveralTablets, chance: random.Random) -> None:
    """What a supervisor may do about taps that are set aside, and takes back at once now and then."""
    runs = aside_runs()
    fits = [tap for tap, why in why_not(runs).items() if not why]
    some = [chance.choice(run.taps).event for run in runs]
    for tap, how in ((fits, "apply"), (some, chance.choice(("apply", "keep")))):
        if not tap:
            continue
        now = several.clock + chance.choice((0, 60_000))
        try:
            done = settle(chance.choice(tap), how, "so", SUPERVISOR, now, several.new_id())  # type: ignore[arg-type]
            if chance.random() < 0.3:
                take_back(done.event, SUPERVISOR, now, several.new_id())
        except CannotSettle:
            assert how != "apply" or tap is not fits


@pytest.mark.parametrize("seed", range(12))
def test_whatever_tablets_send_the_tables_equal_the_replay(tablet: Tablet, larkspur: str, seed: int) -> None:
    """Several tablets, several runs, random taps, shuffled and repeated, and a supervisor who settles in between:
    tables written bit by bit are those that the events alone give."""
    chance = random.Random(seed)
    tablet.walk(larkspur, "prepare")
    tablet.send()
    several = SeveralTablets(larkspur, view_of(larkspur).plan, tablet.hands.at, chance)
    several.wander(taps=60)
    parcels = [e for e in several.events for _ in range(chance.choice((1, 1, 2)))]
    for at in range(0, len(parcels), 40):  # late by a while, rather than from the other end of the day
        late = parcels[at : at + 80]
        chance.shuffle(late)
        parcels[at : at + 80] = late
    while parcels:
        device = parcels[0]["device"]
        batch = [e for e in parcels[: chance.randint(1, 40)] if e["device"] == device]
        for event in batch:
            parcels.remove(event)
        take_in(
            {"device": device, "sent_at": several.clock, "events": batch},
            several.clock,
            {SIGNED: SUPERVISOR}.get,
        )
        settle_some(several, chance)
    wanted, have = everything(), stored()
    assert have == wanted
    proof = check()
    assert proof.whole, proof.faults
