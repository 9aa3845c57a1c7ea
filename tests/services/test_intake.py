"""What tablets send becomes events once each, and nothing that arrives is lost."""

from __future__ import annotations

import random
import uuid
from typing import Any

import pytest
from sqlalchemy import func, select, text
from sqlalchemy.exc import IntegrityError

from floor.domain.ticket import show_code
from floor.queries.events import OFFICE_DEVICE
from floor.services.intake import BatchRefused, NotOwed, approve_from_office, take_in
from floor.services.jobs import remove_job
from floor.services.projection import stored
from floor.store.models import Device, EventRow, PhaseTimeRow, Refusal, RunRow, db
from tests.conftest import SUPERVISOR, Tablet, make_tablet, view_of


def events_kept() -> int:
    return db.session.scalar(select(func.count()).select_from(EventRow)) or 0


def refusals() -> list[str]:
    return list(db.session.scalars(select(Refusal.reason).order_by(Refusal.id)))


def run_row(run: str) -> RunRow:
    db.session.expire_all()
    row = db.session.get(RunRow, run)
    assert row is not None
    return row


class TestExactlyOnce:
    def test_a_repeated_tap_is_recorded_once_and_gets_the_same_answer(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        tablet.walk(larkspur, "prepare")
        first = tablet.send()
        again = tablet.send(tablet.sent)
        assert again == first
        assert events_kept() == len(tablet.sent)

    def test_the_same_id_with_another_body_is_refused_and_kept(self, tablet: Tablet, larkspur: str) -> None:
        tablet.open(larkspur, "prepare")
        tablet.send()
        changed = {**tablet.sent[0], "at": tablet.sent[0]["at"] + 1}
        [answer] = tablet.send([changed])
        assert answer.verdict == "refused"
        assert "came before with another body" in answer.reason
        assert db.session.get(EventRow, changed["id"]).at == tablet.sent[0]["at"]  # type: ignore[union-attr]
        assert str(changed["at"]) in db.session.scalars(select(Refusal.body)).one()

    def test_a_number_used_twice_by_one_tablet_is_to_come_again_and_nothing_of_it_is_kept(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        tablet.open(larkspur, "prepare")
        tablet.send()
        twin = {**tablet.sent[0], "id": str(uuid.uuid4())}
        [answer] = tablet.send([twin])
        assert (answer.id, answer.verdict) == (twin["id"], "again")
        assert "number 1" in answer.reason
        assert (events_kept(), refusals()) == (1, [])

    def test_a_refusal_sent_again_is_kept_once(self, tablet: Tablet) -> None:
        broken: dict[str, Any] = {"id": "x"}
        assert tablet.send([broken])[0].verdict == "refused"
        assert tablet.send([broken])[0].verdict == "refused"
        assert len(refusals()) == 1

    def test_one_bad_event_does_not_keep_the_others_out(self, tablet: Tablet, larkspur: str) -> None:
        tablet.open(larkspur, "prepare")
        good = tablet.hands.events[0]
        tablet.hands.events = []
        answers = tablet.send([{"what": 1}, good, 7])  # type: ignore[list-item]
        assert [a.verdict for a in answers] == ["refused", "applied", "refused"]
        assert len(refusals()) == 2

    def test_events_cannot_be_changed_or_deleted(self, tablet: Tablet, larkspur: str) -> None:
        tablet.open(larkspur, "prepare")
        tablet.send()
        for statement in ("UPDATE event SET at = 0", "DELETE FROM event"):
            with pytest.raises(IntegrityError, match="never changed and never deleted"):
                db.session.execute(text(statement))
            db.session.rollback()
        assert events_kept() == 1


class TestOrderOfDelivery:
    @pytest.mark.parametrize("seed", range(6))
    def test_one_by_one_in_any_order_leaves_the_same_tables(
        self, tablet: Tablet, larkspur: str, seed: int
    ) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        run = tablet.walk(larkspur, "front-left", (1,), stop=9)
        tablet.tap(run, "pause", 9, reason="break")
        tablet.tap(run, "resume", 9)
        taken = tablet.tap(run, "note", 9, text="mistaken")
        tablet.tap(run, "undo", 9, event=taken["id"])
        events, tablet.hands.events = tablet.hands.events, []
        shuffled = list(events)
        random.Random(seed).shuffle(shuffled)
        for event in shuffled:
            tablet.send([event], now=tablet.hands.at)
            if seed % 2:
                tablet.send([event], now=tablet.hands.at)
        tables = stored()
        assert run_row(run).phase == 9
        assert all(v["applied"] for v in tables.verdicts.values())

    def test_an_event_before_its_opening_waits_set_aside_and_then_counts(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.open(larkspur, "prepare")
        opening, tablet.hands.events = tablet.hands.events[0], []
        note = tablet.tap(run, "note", 0, text="early")
        tablet.hands.events = []
        [answer] = tablet.send([note])
        assert (answer.verdict, answer.reason) == ("aside", "No run was opened that this could belong to.")
        assert tablet.send([opening])[0].verdict == "applied"
        assert tablet.send([note])[0].verdict == "applied"


class TestWhatCannotApply:
    def test_an_unknown_kind_is_kept_and_set_aside(self, tablet: Tablet, larkspur: str) -> None:
        run = tablet.open(larkspur, "prepare")
        tablet.tap(run, "dance")
        answer = tablet.send()[1]
        assert answer.verdict == "aside"
        assert 'no event kind "dance"' in answer.reason
        assert events_kept() == 2

    def test_an_unknown_phase_is_kept_and_set_aside(self, tablet: Tablet, larkspur: str) -> None:
        run = tablet.open(larkspur, "prepare")
        tablet.tap(run, "done", 99)
        answer = tablet.send()[1]
        assert answer.verdict == "aside"
        assert "There is no phase 100 in this run" in answer.reason

    def test_an_unknown_job_section_or_garment_is_kept_and_set_aside(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        opening = {
            "job": larkspur, "revision": 1, "section": "prepare", "garments": [], "first_piece": False,
            "operator": "Ines", "cause": "",
        }  # fmt: skip
        for change, says in (
            ({"job": "ZZZZZZ"}, "no job with the code"),
            ({"revision": 9}, "no revision 9"),
            ({"section": "iron"}, 'no section "iron"'),
            ({"section": "front-left", "garments": [99]}, "99"),
        ):
            tablet.tap(tablet.hands.new_run(), "open", 0, **{**opening, **change})
            [answer] = tablet.send()
            assert answer.verdict == "aside"
            assert says in answer.reason

    def test_done_without_what_the_phase_asks_for_is_set_aside(self, tablet: Tablet, larkspur: str) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        checklist = view_of(larkspur).plan.checklist("front-left", (1,), True)
        asking = next(i for i, phase in enumerate(checklist.phases) if phase.checks)
        run = tablet.walk(larkspur, "front-left", (1,), stop=asking)
        tablet.tap(run, "done", asking)
        assert tablet.send()[-1].verdict == "aside"
        assert run_row(run).phase == asking

    def test_an_event_too_large_is_refused_with_its_size(self, tablet: Tablet, larkspur: str) -> None:
        run = tablet.open(larkspur, "prepare")
        tablet.tap(run, "note", 0, text="x" * 9000)
        answer = tablet.send()[1]
        assert answer.verdict == "refused"
        assert "8192 bytes" in answer.reason

    @pytest.mark.parametrize(
        "body",
        [
            [],
            {"device": "x"},
            {"device": "x", "sent_at": 1, "events": []},
            {"device": str(uuid.UUID(int=1, version=4)), "sent_at": "now", "events": []},
            {"device": str(uuid.UUID(int=1, version=4)), "sent_at": 1, "events": [1] * 501},
        ],
    )
    def test_what_is_no_batch_is_refused_as_a_whole(self, app: object, body: object) -> None:
        with pytest.raises(BatchRefused):
            take_in(body, 1, lambda token: None)
        assert events_kept() == 0

    def test_no_tablet_speaks_for_the_office(self, app: object) -> None:
        body = {"device": OFFICE_DEVICE, "sent_at": 1, "events": []}
        with pytest.raises(BatchRefused, match="device is the office's own"):
            take_in(body, 1, lambda token: None)


class TestTwoTablets:
    def test_the_second_tablet_that_opens_a_garments_section_is_set_aside(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        other = make_tablet(seed=2, at=tablet.hands.at + 5_000)
        tablet.open(larkspur, "front-left", (1,))
        other.open(larkspur, "front-left", (1,))
        tablet.send()
        [answer] = other.send()
        assert answer.verdict == "aside"
        assert "Garment 1 was already under way" in answer.reason

    def test_who_was_first_does_not_depend_on_who_sent_first(self, tablet: Tablet, larkspur: str) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        other = make_tablet(seed=2, at=tablet.hands.at + 5_000)
        mine = tablet.open(larkspur, "front-left", (1,))
        others = other.open(larkspur, "front-left", (1,))
        assert other.send()[0].verdict == "applied"
        assert tablet.send(now=tablet.hands.at)[0].verdict == "applied"
        assert run_row(mine).refusal == ""
        assert "already under way" in run_row(others).refusal
        assert other.send(other.sent)[0].verdict == "aside"

    def test_a_done_that_crossed_another_tablets_is_set_aside(self, tablet: Tablet, larkspur: str) -> None:
        run = tablet.walk(larkspur, "prepare", stop=1)
        tablet.send()
        other = make_tablet(seed=2, at=tablet.hands.at)
        checklist = view_of(larkspur).plan.checklist("prepare", (), False)
        assert not checklist.phases[0].checks
        other.tap(run, "done", 0)
        [answer] = other.send()
        assert answer.verdict == "aside"
        assert answer.reason == (
            "Ines has this run in hand at another tablet; to go on at this one, take it over first."
        )

    def test_the_run_goes_on_at_the_tablet_that_took_it_over_with_what_both_had_done(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.walk(larkspur, "prepare", stop=1)
        tablet.send()
        other = make_tablet(seed=2, at=tablet.hands.at)
        other.tap(run, "take_over", 1, operator="Bo")
        tablet.hands.at += 5_000
        tablet.tap(run, "done", 1)  # not knowing of it
        other.hands.at += 60_000
        other.tap(run, "note", 1, text="goes on here")
        assert [answer.verdict for answer in other.send()] == ["applied", "applied"]
        [answer] = tablet.send()
        assert answer.reason == (
            "Bo has this run in hand at another tablet; to go on at this one, take it over first."
        )
        assert (run_row(run).operator, run_row(run).phase) == ("Bo", 1)


class TestTheBatchWaitsForItsFirstPiece:
    def approval_at(self, tablet: Tablet, code: str) -> str:
        for section, garments in (("prepare", ()), ("front-left", (1,)), ("front-right", (1,))):
            tablet.walk(code, section, garments)
            tablet.send()
        run = tablet.walk(code, "finish", (1,))
        tablet.send()
        assert run_row(run).approval_owed
        return run

    def test_the_next_garment_waits_and_goes_on_once_it_is_approved(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = self.approval_at(tablet, larkspur)
        tablet.open(larkspur, "front-left", (2,))
        [answer] = tablet.send()
        assert answer.verdict == "aside"
        assert "first piece (garment 1) is not approved yet" in answer.reason
        tablet.hands.at += 3_600_000
        assert approve_from_office(run, SUPERVISOR, tablet.hands.at, str(uuid.uuid4())).verdict == "applied"
        tablet.open(larkspur, "front-left", (2,))
        assert tablet.send()[0].verdict == "applied"

    def test_an_approval_without_a_supervisor_is_set_aside(self, tablet: Tablet, larkspur: str) -> None:
        run = self.approval_at(tablet, larkspur)
        tablet.tap(run, "approve", run_row(run).phase)
        [answer] = tablet.send()
        assert (answer.verdict, answer.reason) == ("aside", "Only a supervisor can approve the first piece.")

    def test_a_token_that_holds_names_its_supervisor_and_is_not_stored(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = self.approval_at(tablet, larkspur)
        event = tablet.tap(run, "approve", run_row(run).phase, token="secret")
        tablet.hands.events = []
        body = {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": [event]}
        [answer] = take_in(body, tablet.hands.at, {"secret": SUPERVISOR}.get)
        assert answer.verdict == "applied"
        row = db.session.get(EventRow, event["id"])
        assert row is not None
        assert (row.authority, row.by, row.data) == ("supervisor", SUPERVISOR, {})

    def test_the_office_approves_though_its_clock_is_behind_the_tablets(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = self.approval_at(tablet, larkspur)
        behind = tablet.hands.at - 1_500
        assert approve_from_office(run, SUPERVISOR, behind, str(uuid.uuid4())).verdict == "applied"
        assert not run_row(run).approval_owed

    def test_approving_twice_is_refused_with_a_sentence(self, tablet: Tablet, larkspur: str) -> None:
        run = self.approval_at(tablet, larkspur)
        approve_from_office(run, SUPERVISOR, tablet.hands.at + 1, str(uuid.uuid4()))
        with pytest.raises(NotOwed, match="no approval now"):
            approve_from_office(run, SUPERVISOR, tablet.hands.at + 2, str(uuid.uuid4()))


class TestRemovedJobs:
    def test_a_removed_job_opens_no_new_runs_but_those_under_way_go_on(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.walk(larkspur, "prepare", stop=1)
        tablet.send()
        remove_job(larkspur, SUPERVISOR, tablet.hands.at)
        tablet.tap(run, "note", 1, text="still here")
        assert tablet.send()[0].verdict == "applied"
        tablet.hands.at += 600_000
        tablet.open(larkspur, "prepare")
        [answer] = tablet.send()
        assert answer.verdict == "aside"
        assert answer.reason == f"The job had been removed by {SUPERVISOR}."
        assert show_code(larkspur)


class TestClocks:
    def test_a_tablet_a_year_wrong_still_logs_right_durations(
        self, app: object, larkspur: str, tablet: Tablet
    ) -> None:
        wrong = make_tablet(seed=5, at=tablet.hands.at - 365 * 86_400_000)
        run = wrong.walk(larkspur, "prepare")
        span = (wrong.hands.events[-1]["at"] - wrong.hands.events[0]["at"]) / 1000
        wrong.send(now=tablet.hands.at)
        row = run_row(run)
        assert abs(row.ended_at - tablet.hands.at) <= 2_000  # type: ignore[operator]
        times = db.session.scalars(select(PhaseTimeRow).where(PhaseTimeRow.run_id == run)).all()
        parts = sum(t.work_s + t.rework_s + t.waiting_s + t.pause_s + t.problem_s for t in times)
        assert parts == pytest.approx(span, abs=1e-6)
        device = db.session.get(Device, wrong.hands.device)
        assert device is not None
        assert device.offset_ms == tablet.hands.at - wrong.hands.at
