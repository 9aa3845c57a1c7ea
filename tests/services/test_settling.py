"""Runs of one job, weighed against each other: nobody loses his work to somebody else's later tap, and the answer
is the same in whatever order the taps arrive."""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterable
from typing import Any

import pytest

from floor.domain.problems import REDO_CAUSES, SCRAP_CAUSES
from floor.services.intake import approve_from_office, take_in
from floor.services.jobs import import_job, remove_job
from floor.services.projection import everything, stored
from floor.services.proof import check
from floor.store.models import EventRow, RunRow, VerdictRow, db
from tests.conftest import START, SUPERVISOR, Tablet, demo_source, make_tablet, view_of
from tests.services.forgetting import forget_everything

REDO, SCRAP = next(iter(REDO_CAUSES)), next(iter(SCRAP_CAUSES))
TEN_MINUTES_S = 600


def row_of(run: str) -> RunRow:
    db.session.expire_all()
    return db.session.get_one(RunRow, run)


def later(tablet: Tablet, seconds: float = TEN_MINUTES_S) -> None:
    tablet.hands.at += round(seconds * 1000)


def reason_of(event: dict[str, Any]) -> str:
    """Why the event was set aside; "" when it counts."""
    db.session.expire_all()
    verdict = db.session.get_one(VerdictRow, event["id"])
    assert verdict.applied == (not verdict.reason)
    return verdict.reason


def whole() -> None:
    assert stored() == everything()
    assert check().whole


def same_in_any_order(seeds: Iterable[int] = range(6)) -> None:
    """All events again, one by one and shuffled, into emptied tables: the same rows come of it."""
    before = stored()
    bodies = [
        {"id": e.id, "run": e.run, "device": e.device, "seq": e.seq, "kind": e.kind, "phase": e.phase, "at": e.at,
         "data": e.data}
        for e in db.session.query(EventRow)
    ]  # fmt: skip
    signed = {e.id: (e.authority, e.by, e.offset_ms, e.received_at) for e in db.session.query(EventRow)}
    for seed in seeds:
        forget_everything()
        shuffled = list(bodies)
        random.Random(seed).shuffle(shuffled)
        for body in shuffled:
            authority, by, offset, received = signed[body["id"]]
            _arrive(body, authority, by, offset, received)
        assert stored() == before, f"seed {seed}"


def _arrive(body: dict[str, Any], authority: str | None, by: str | None, offset: int, received: int) -> None:
    from floor.services.projection import project
    from floor.store.database import writing

    with writing():
        db.session.add(EventRow(**body, received_at=received, offset_ms=offset, authority=authority, by=by))
        db.session.flush()
        project({body["run"]})


@pytest.fixture
def prepared(tablet: Tablet, larkspur: str) -> Tablet:
    tablet.walk(larkspur, "prepare")
    tablet.send()
    later(tablet)
    return tablet


class TestAScrappedGarment:
    def test_a_run_opened_while_it_was_still_in_another_load_stays_refused(
        self, prepared: Tablet, larkspur: str
    ) -> None:
        other = make_tablet(seed=2, at=prepared.hands.at)
        old = prepared.walk(larkspur, "front-left", (1,), stop=3)
        prepared.send()
        other.hands.at = prepared.hands.at + 1_000
        early = other.open(larkspur, "front-left", (1,))
        other.send()
        later(prepared)
        prepared.tap(old, "scrap", 3, garments=[1], cause=SCRAP)
        prepared.send()
        assert "already under way" in row_of(early).refusal
        later(prepared)
        fresh = prepared.open(larkspur, "front-left", (1,))
        assert prepared.send()[0].verdict == "applied"
        assert row_of(fresh).attempt == 2
        whole()
        same_in_any_order()

    def test_it_cannot_be_put_back_once_a_new_piece_was_begun(self, prepared: Tablet, larkspur: str) -> None:
        old = prepared.walk(larkspur, "front-left", (1,), stop=3)
        lost = prepared.tap(old, "scrap", 3, garments=[1], cause=SCRAP)
        prepared.send()
        later(prepared)
        fresh = prepared.open(larkspur, "front-left", (1,))
        later(prepared)
        back = prepared.tap(old, "undo", 3, event=lost["id"])
        prepared.send()
        assert reason_of(back) == (
            "“Sew the left front” had been begun with garment 1 since; the tap before that can no longer be taken back."
        )
        assert (row_of(old).status, row_of(fresh).refusal) == ("scrapped", "")
        whole()
        same_in_any_order()

    def test_it_is_put_back_where_nobody_began_a_new_piece(self, prepared: Tablet, larkspur: str) -> None:
        old = prepared.walk(larkspur, "front-left", (1,), stop=3)
        lost = prepared.tap(old, "scrap", 3, garments=[1], cause=SCRAP)
        back = prepared.tap(old, "undo", 3, event=lost["id"])
        prepared.send()
        assert (reason_of(back), row_of(old).status) == ("", "working")
        whole()


class TestTheLastDoneTakenBack:
    def finished_and_gone_on(self, tablet: Tablet, code: str) -> tuple[str, dict[str, Any], str]:
        left = tablet.walk(code, "front-left", (1,))
        done = tablet.hands.events[-1]
        tablet.send()
        later(tablet)
        right = tablet.walk(code, "front-right", (1,), stop=2)
        tablet.send()
        later(tablet)
        return left, done, right

    def test_is_set_aside_once_the_garment_has_gone_on(self, prepared: Tablet, larkspur: str) -> None:
        left, done, right = self.finished_and_gone_on(prepared, larkspur)
        phases = len(view_of(larkspur).plan.checklist("front-left", (1,), True).phases)
        back = prepared.tap(left, "undo", phases, event=done["id"])
        prepared.send()
        assert "“Sew the right front” had been begun with garment 1 since" in reason_of(back)
        assert (row_of(left).status, row_of(right).refusal, row_of(right).phase) == ("finished", "", 2)
        whole()
        same_in_any_order()

    def test_counts_again_when_the_later_run_was_itself_taken_back(
        self, prepared: Tablet, larkspur: str
    ) -> None:
        left = prepared.walk(larkspur, "front-left", (1,))
        done = prepared.hands.events[-1]
        right = prepared.open(larkspur, "front-right", (1,))
        opened = prepared.hands.events[-1]
        back = prepared.tap(left, "undo", 0, event=done["id"])
        prepared.send()
        assert reason_of(back)
        prepared.tap(right, "undo", 0, event=opened["id"])
        prepared.send()
        assert (reason_of(back), row_of(left).status, row_of(right).status) == ("", "working", "void")
        whole()
        same_in_any_order()

    def test_counts_where_the_other_run_is_of_another_garment_or_began_later(
        self, prepared: Tablet, larkspur: str
    ) -> None:
        left = prepared.walk(larkspur, "front-left", (1,))
        done = prepared.hands.events[-1]
        back = prepared.tap(left, "undo", 0, event=done["id"])
        prepared.send()
        prepared.open(larkspur, "front-right", (1,))
        [answer] = prepared.send()
        assert (reason_of(back), row_of(left).status) == ("", "working")
        assert answer.reason == "Garment 1 was already under way: Sew the left front."
        whole()
        same_in_any_order()

    def test_of_the_jobs_preparation_is_set_aside_once_any_garment_has_begun(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        prepare = tablet.walk(larkspur, "prepare")
        done = tablet.hands.events[-1]
        tablet.send()
        left = tablet.open(larkspur, "front-left", (1,))
        later(tablet)
        back = tablet.tap(prepare, "undo", 0, event=done["id"])
        tablet.send()
        assert reason_of(back) == (
            "“Sew the left front” had been begun since; the tap before that can no longer be taken back."
        )
        assert row_of(left).refusal == ""
        whole()
        same_in_any_order()


class TestTheApproval:
    @pytest.fixture
    def approved(self, prepared: Tablet, larkspur: str) -> tuple[Tablet, str, dict[str, Any], int]:
        """The first piece is approved at the tablet by a supervisor's signature."""
        for section in ("front-left", "front-right"):
            prepared.walk(larkspur, section, (1,))
            prepared.send()
            later(prepared)
        run = prepared.walk(larkspur, "finish", (1,))
        prepared.send()
        phase = row_of(run).phase
        event = prepared.tap(run, "approve", phase, token="signed")
        self.signed(prepared)
        assert row_of(run).approved_at is not None
        later(prepared)
        return prepared, run, event, phase

    def signed(self, tablet: Tablet) -> None:
        events, tablet.hands.events = tablet.hands.events, []
        body = {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": events}
        take_in(body, tablet.hands.at, {"signed": SUPERVISOR}.get)

    def test_taken_back_stands_for_what_was_begun_while_it_stood(
        self, approved: tuple[Tablet, str, dict[str, Any], int], larkspur: str
    ) -> None:
        tablet, run, event, phase = approved
        batch = tablet.open(larkspur, "front-left", (2,))
        tablet.send()
        later(tablet)
        back = tablet.tap(run, "undo", phase, event=event["id"])
        tablet.send()
        later(tablet)
        after = tablet.open(larkspur, "front-left", (3,))
        tablet.send()
        assert (reason_of(back), row_of(batch).refusal) == ("", "")
        assert "not approved yet" in row_of(after).refusal
        assert view_of(larkspur).progress.approval_owed
        whole()
        same_in_any_order()

    def test_a_redo_to_before_it_holds_the_batch_until_it_is_given_again(
        self, approved: tuple[Tablet, str, dict[str, Any], int], larkspur: str
    ) -> None:
        tablet, run, _, phase = approved
        batch = tablet.open(larkspur, "front-left", (2,))
        later(tablet)
        tablet.tap(run, "redo", phase, to=max(0, phase - 1), cause=REDO)
        later(tablet)
        held = tablet.open(larkspur, "front-left", (3,))
        tablet.send()
        assert row_of(batch).refusal == ""
        assert "not approved yet" in row_of(held).refusal
        tablet.rest(larkspur, run, "finish", (1,), max(0, phase - 1))
        tablet.send()
        later(tablet)
        approve_from_office(run, SUPERVISOR, tablet.hands.at, str(uuid.uuid4()))
        later(tablet)
        goes_on = tablet.open(larkspur, "front-left", (4,))
        tablet.send()
        assert row_of(goes_on).refusal == ""
        assert "not approved yet" in row_of(held).refusal
        whole()
        same_in_any_order()

    def test_sending_the_first_piece_back_holds_the_batch_again(
        self, approved: tuple[Tablet, str, dict[str, Any], int], larkspur: str
    ) -> None:
        tablet, run, _, phase = approved
        tablet.tap(run, "redo", phase, section="front-left", cause=REDO)
        later(tablet)
        held = tablet.open(larkspur, "front-left", (2,))
        tablet.send()
        assert row_of(run).status == "sent back"
        assert "not approved yet" in row_of(held).refusal
        again = tablet.open(larkspur, "front-left", (1,))
        tablet.send()
        assert row_of(again).refusal == ""
        whole()
        same_in_any_order()

    def test_scrapping_the_approved_piece_leaves_the_batch_going(
        self, approved: tuple[Tablet, str, dict[str, Any], int], larkspur: str
    ) -> None:
        tablet, run, _, phase = approved
        tablet.tap(run, "scrap", phase, garments=[1], cause=SCRAP)
        later(tablet)
        batch = tablet.open(larkspur, "front-left", (2,))
        tablet.send()
        assert row_of(batch).refusal == ""
        whole()
        same_in_any_order()


class TestSentBack:
    def test_a_later_section_begun_before_it_is_refused_and_a_garment_that_went_on_is_not_sent_back(
        self, prepared: Tablet, larkspur: str
    ) -> None:
        left = prepared.walk(larkspur, "front-left", (1,))
        prepared.send()
        later(prepared)
        right = prepared.walk(larkspur, "front-right", (1,), stop=3)
        other = make_tablet(seed=2, at=prepared.hands.at - 5_000)
        early = other.open(larkspur, "finish", (1,))
        back = prepared.tap(right, "redo", 3, section="front-left", cause=REDO)
        prepared.send()
        other.send()
        assert (reason_of(back), row_of(right).status) == ("", "sent back")
        assert row_of(early).refusal == "Sew the left front comes first for garment 1."
        late = prepared.tap(left, "redo", 3, section="prepare", cause=REDO)
        prepared.send()
        assert reason_of(late) == "The run had already ended (finished)."
        whole()
        same_in_any_order()


def test_a_run_that_a_late_opening_moves_to_another_job_lets_the_first_jobs_garment_go(
    prepared: Tablet, larkspur: str
) -> None:
    crest = import_job(demo_source("quarry-crest"), SUPERVISOR, START).code
    first = prepared.open(larkspur, "front-left", (1,))
    opening = prepared.hands.events[-1]
    second = prepared.open(larkspur, "front-left", (1,))
    prepared.send()
    assert "already under way" in row_of(second).refusal
    other = make_tablet(seed=2, at=opening["at"] - 5_000)
    section = view_of(crest).sections[0]
    garments = [] if section.scope == "job" else [1]
    moved = {**opening["data"], "job": crest, "section": section.key, "garments": garments}
    other.tap(first, "open", 0, **moved)
    other.send()
    assert row_of(second).refusal == ""
    assert row_of(first).job_id != row_of(second).job_id
    whole()


def test_a_run_that_a_fast_clock_opened_after_its_jobs_removal_is_weighed_when_it_is_removed(
    prepared: Tablet, larkspur: str
) -> None:
    early = prepared.hands.at
    later(prepared)
    run = prepared.open(larkspur, "front-left", (1,))
    prepared.send()
    remove_job(larkspur, SUPERVISOR, early)
    assert row_of(run).refusal == f"The job had been removed by {SUPERVISOR}."
    whole()
