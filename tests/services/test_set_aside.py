"""A supervisor settles what was set aside: once, with a reason, and as the rows and the log then say."""

from __future__ import annotations

import uuid
from typing import Any

import pytest

from floor.domain.events import MAX_TEXT
from floor.queries.events import OFFICE_DEVICE
from floor.services.projection import everything, stored
from floor.services.proof import check, rebuild
from floor.services.settling import CannotSettle, How, Settling, UnknownTap, settle, take_back
from floor.store.models import EventRow, PhaseTimeRow, RunRow, VerdictRow, db
from tests.conftest import SUPERVISOR, Tablet, make_tablet
from tests.services.test_settling import same_in_any_order

ELSEWHERE = "Ines has this run in hand at another tablet; to go on at this one, take it over first."


def verdict_of(event: str) -> VerdictRow:
    db.session.expire_all()
    return db.session.get_one(VerdictRow, event)


def row_of(run: str) -> RunRow:
    db.session.expire_all()
    return db.session.get_one(RunRow, run)


def settled(tap: str, how: How, tablet: Tablet, why: str = "seen by eye", by: str = SUPERVISOR) -> Settling:
    tablet.hands.at += 60_000
    return settle(tap, how, why, by, tablet.hands.at, str(uuid.uuid4()))


def taken_back(settling: str, tablet: Tablet) -> None:
    tablet.hands.at += 1_000
    take_back(settling, SUPERVISOR, tablet.hands.at, str(uuid.uuid4()))


def whole() -> None:
    assert stored() == everything()
    assert check().whole
    rebuild()
    assert stored() == everything()


@pytest.fixture
def crossed(tablet: Tablet, larkspur: str) -> tuple[str, dict[str, Any]]:
    """A run at its first phase, and a done of that phase from a tablet that does not have it in hand."""
    run = tablet.open(larkspur, "prepare")
    tablet.send()
    other = make_tablet(seed=2, at=tablet.hands.at)
    done = other.tap(run, "done", 0)
    other.send()
    assert verdict_of(done["id"]).reason == ELSEWHERE
    return run, done


class TestLetCount:
    def test_the_run_goes_on_and_the_tap_says_who_let_it(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        run, done = crossed
        settling = settled(done["id"], "apply", tablet, why="Bo did it")
        found = verdict_of(done["id"])
        assert (found.applied, found.in_force, found.settled) == (True, True, settling.event)
        assert found.reason == "Maren let it count: Bo did it"
        assert (row_of(run).phase, row_of(run).jumps) == (1, 1)
        whole()

    def test_the_stretch_before_it_counts_nothing(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        run, done = crossed
        before = db.session.get_one(PhaseTimeRow, (run, 0))
        parts = (before.work_s, before.waiting_s)
        tablet.hands.at += 3_600_000
        settled(done["id"], "apply", tablet)
        db.session.expire_all()
        after = db.session.get_one(PhaseTimeRow, (run, 0))
        assert ((after.work_s, after.waiting_s), after.jumps) == (parts, 1)

    def test_it_is_an_event_of_the_office_after_all_others(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        run, done = crossed
        ahead = make_tablet(seed=3, at=tablet.hands.at + 90_000)
        ahead.tap(run, "note", 1, text="from a clock that is a little ahead")
        ahead.send(now=ahead.hands.at)
        settling = settle(done["id"], "apply", "so", SUPERVISOR, tablet.hands.at, str(uuid.uuid4()))
        event = db.session.get_one(EventRow, settling.event)
        assert (event.device, event.authority, event.by) == (OFFICE_DEVICE, "supervisor", SUPERVISOR)
        assert event.at > ahead.hands.at
        assert verdict_of(settling.event).applied

    def test_the_tablet_hears_that_its_tap_counts_when_it_sends_it_again(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        _, done = crossed
        settled(done["id"], "apply", tablet)
        again = make_tablet(seed=2, at=tablet.hands.at)
        [answer] = again.send([done])
        assert answer.verdict == "applied"

    def test_what_the_run_has_left_behind_cannot_count_and_nothing_is_kept_of_it(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]], larkspur: str
    ) -> None:
        run, done = crossed
        tablet.rest(larkspur, run, "prepare", (), 0)
        tablet.send()
        events = db.session.query(EventRow).count()
        with pytest.raises(CannotSettle, match="had already ended"):
            settled(done["id"], "apply", tablet)
        assert db.session.query(EventRow).count() == events
        whole()


class TestKept:
    def test_it_stays_as_it_was_and_is_settled(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        run, done = crossed
        settling = settled(done["id"], "keep", tablet)
        found = verdict_of(done["id"])
        assert (found.applied, found.reason, found.settled) == (False, ELSEWHERE, settling.event)
        assert (row_of(run).phase, row_of(run).jumps) == (0, 0)
        whole()

    def test_a_run_set_aside_as_a_whole_is_kept_with_all_its_taps(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.open(larkspur, "front-left", (1,))
        tablet.tap(run, "note", 0, text="so")
        taps = [event["id"] for event in tablet.hands.events]
        tablet.send()
        assert row_of(run).refusal
        with pytest.raises(CannotSettle, match="comes first"):
            settled(taps[0], "apply", tablet)
        settling = settled(taps[0], "keep", tablet)
        assert {verdict_of(tap).settled for tap in taps} == {settling.event}
        late = tablet.tap(run, "note", 0, text="later on")
        tablet.send()
        assert not verdict_of(late["id"]).settled
        whole()

    def test_so_are_taps_of_a_run_that_nothing_opened(self, tablet: Tablet, larkspur: str) -> None:
        run = tablet.hands.new_run()
        taps = [tablet.tap(run, "note", 0, text=words)["id"] for words in ("one", "two")]
        tablet.send()
        settling = settled(taps[1], "keep", tablet)
        assert {verdict_of(tap).settled for tap in taps} == {settling.event}
        assert verdict_of(settling.event).in_force
        whole()
        taken_back(settling.event, tablet)
        assert {verdict_of(tap).settled for tap in taps} == {""}
        whole()


class TestOnce:
    def test_whoever_taps_twice_settles_once(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        run, done = crossed
        first = settled(done["id"], "apply", tablet)
        second = settled(done["id"], "apply", tablet, why="again", by="Tomas")
        assert (second.event, second.by, second.again) == (first.event, SUPERVISOR, True)
        assert db.session.query(EventRow).filter_by(run=run, kind="settle").count() == 1

    def test_who_decides_otherwise_meanwhile_is_told_who_was_first(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        settled(crossed[1]["id"], "keep", tablet)
        with pytest.raises(CannotSettle, match="Maren kept it as a note meanwhile"):
            settled(crossed[1]["id"], "apply", tablet)

    def test_a_tap_that_counts_by_now_is_not_settled(self, tablet: Tablet, larkspur: str) -> None:
        tablet.open(larkspur, "prepare")
        opening = tablet.hands.events[-1]["id"]
        tablet.send()
        with pytest.raises(CannotSettle, match="counts by now"):
            settled(opening, "keep", tablet)

    @pytest.mark.parametrize(
        ("why", "says"), [(" \n ", "few words why"), ("x" * (MAX_TEXT + 1), "500 letters")]
    )
    def test_a_reason_is_asked_for(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]], why: str, says: str
    ) -> None:
        with pytest.raises(CannotSettle, match=says):
            settled(crossed[1]["id"], "keep", tablet, why=why)

    def test_what_never_came_cannot_be_settled_or_taken_back(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        unknown = str(uuid.uuid4())
        with pytest.raises(UnknownTap):
            settled(unknown, "keep", tablet)
        with pytest.raises(UnknownTap):
            taken_back(unknown, tablet)
        with pytest.raises(UnknownTap):
            taken_back(crossed[1]["id"], tablet)


class TestTakenBack:
    def test_it_is_open_again_as_it_was_and_can_be_settled_anew(
        self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]
    ) -> None:
        run, done = crossed
        first = settled(done["id"], "apply", tablet)
        taken_back(first.event, tablet)
        taken_back(first.event, tablet)  # a second tap changes nothing
        found = verdict_of(done["id"])
        assert (found.applied, found.in_force, found.reason, found.settled) == (False, False, ELSEWHERE, "")
        assert (row_of(run).phase, row_of(run).jumps) == (0, 0)
        assert not settled(done["id"], "keep", tablet).again
        whole()

    def test_not_once_the_run_has_gone_on(self, tablet: Tablet, crossed: tuple[str, dict[str, Any]]) -> None:
        run, done = crossed
        settling = settled(done["id"], "apply", tablet)
        tablet.tap(run, "note", 1, text="goes on")
        tablet.send()
        with pytest.raises(CannotSettle, match="Something newer had happened since"):
            taken_back(settling.event, tablet)
        whole()


def test_the_order_of_arrival_changes_nothing(
    tablet: Tablet, crossed: tuple[str, dict[str, Any]], larkspur: str
) -> None:
    run, done = crossed
    refused = tablet.open(larkspur, "front-left", (1,))
    opening = tablet.hands.events[-1]["id"]
    early = tablet.tap(run, "done", 1)
    tablet.send()
    taken_back(settled(opening, "keep", tablet).event, tablet)
    settled(opening, "keep", tablet)
    settled(done["id"], "apply", tablet)
    settled(early["id"], "keep", tablet)
    tablet.tap(run, "note", 1, text="goes on")
    tablet.send()
    assert row_of(refused).refusal
    whole()
    same_in_any_order(range(3))


def test_a_tablet_cannot_settle_anything(tablet: Tablet, crossed: tuple[str, dict[str, Any]]) -> None:
    run, done = crossed
    tablet.tap(run, "settle", 1, event=done["id"], how="apply", why="so", token="secret")
    [answer] = tablet.send()
    assert (answer.verdict, answer.reason) == ("aside", "Only a supervisor can settle what was set aside.")
    assert not verdict_of(done["id"]).settled
