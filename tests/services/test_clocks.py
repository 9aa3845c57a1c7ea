"""Tablets' clocks: measured, put right, flagged where they jumped; and how old a supervisor's word is."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import select

from floor.queries.office.run import run_page
from floor.services.intake import Answer, take_in
from floor.services.signatures import HELD_BACK_MS, HOLDS_MS, Signature
from floor.store.models import Device, EventRow, RunRow, db
from tests.conftest import SUPERVISOR, Tablet

YEAR_MS = 365 * 86_400_000
HOUR_MS = 3_600_000
DAY_MS = 86_400_000


def send(
    tablet: Tablet, now: int, offset: int | None = None, adrift: tuple[str, ...] = (), **token: Signature
) -> list[Answer]:
    """What was tapped since; `now`: by the server's clock; `offset`: as the tablet measured it."""
    events, tablet.hands.events = tablet.hands.events, []
    body: dict[str, Any] = {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": events}
    if offset is not None:
        body["clock"] = {"offset_ms": offset, "round_trip_ms": 40, "adrift": list(adrift)}
    return take_in(body, now, token.get)


def device(tablet: Tablet) -> Device:
    db.session.expire_all()
    return db.session.get_one(Device, tablet.hands.device)


class TestMeasured:
    def test_what_the_tablet_measured_is_what_its_events_are_corrected_by(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        tablet.open(larkspur, "prepare")
        send(tablet, now=tablet.hands.at + 90_000, offset=-YEAR_MS)
        row = db.session.scalars(select(EventRow)).one()
        assert (row.offset_ms, row.adrift) == (-YEAR_MS, False)
        kept = device(tablet)
        assert (kept.offset_ms, kept.round_trip_ms) == (-YEAR_MS, 40)
        assert kept.seen_at == tablet.hands.at + 90_000

    def test_a_delay_of_a_tablet_that_measured_is_no_jump(self, tablet: Tablet, larkspur: str) -> None:
        now = tablet.hands.at
        send(tablet, now=now + 8_000)
        send(tablet, now=now + 30_000, offset=100)
        send(tablet, now=now + 60_000)
        send(tablet, now=now + 90_000, offset=-1_850)
        kept = device(tablet)
        assert (kept.offset_ms, kept.clock_changed_at) == (-1_850, None)

    def test_two_measurements_that_differ_by_more_than_two_seconds_are_a_jump(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        now = tablet.hands.at
        send(tablet, now=now, offset=500)
        send(tablet, now=now + 10_000, offset=-2_000)
        kept = device(tablet)
        assert (kept.clock_changed_at, kept.clock_changed_by_ms) == (now + 10_000, 2_500)
        send(tablet, now=now + 20_000, offset=-1_000)
        assert device(tablet).clock_changed_at == now + 10_000

    def test_without_a_measurement_the_time_of_sending_is_believed_and_a_jump_of_it_noted(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.open(larkspur, "prepare")
        send(tablet, now=tablet.hands.at + HOUR_MS)
        tablet.tap(run, "note", 0, text="later")
        send(tablet, now=tablet.hands.at + HOUR_MS + 1_500)
        assert device(tablet).offset_ms == HOUR_MS
        tablet.hands.at += HOUR_MS
        tablet.tap(run, "note", 0, text="the tablet's clock was put right")
        send(tablet, now=tablet.hands.at)
        assert device(tablet).clock_changed_by_ms == HOUR_MS
        assert [e.offset_ms for e in db.session.scalars(select(EventRow).order_by(EventRow.seq))] == [
            HOUR_MS, HOUR_MS, 0,
        ]  # fmt: skip


class TestTheLog:
    def test_durations_are_right_across_a_jump_that_was_measured_and_the_log_flags_it(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.open(larkspur, "prepare")
        now = tablet.hands.at
        send(tablet, now=now, offset=0)
        tablet.hands.at += YEAR_MS
        tablet.tap(run, "note", 0, text="a year ahead")
        send(tablet, now=now + 1_000, offset=-YEAR_MS)
        page = run_page(run)
        assert page is not None
        assert [event.clock for event in page.events] == [
            "", "The tablet's clock had jumped on by 365 days; its times are put right here.",
        ]  # fmt: skip
        assert db.session.get_one(RunRow, run).last_at == now + 1_000
        assert page.log.seconds.total == 1

    def test_a_clock_that_is_off_is_said_once_in_a_run(self, tablet: Tablet, larkspur: str) -> None:
        run = tablet.open(larkspur, "prepare")
        tablet.tap(run, "note", 0, text="so")
        send(tablet, now=tablet.hands.at, offset=3 * HOUR_MS + 300_000)
        page = run_page(run)
        assert page is not None
        assert [event.clock for event in page.events] == [
            "This tablet's clock was 3 h 05 min behind; its times are put right here.", "",
        ]  # fmt: skip

    def test_what_lies_before_an_event_adrift_counts_nothing_and_is_flagged(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.open(larkspur, "prepare")
        tablet.hands.at += 600_000
        after = tablet.tap(run, "note", 0, text="who knows when")
        tablet.hands.at += 4_000
        tablet.tap(run, "note", 0, text="five seconds on")
        send(tablet, now=tablet.hands.at, offset=0, adrift=(after["id"],))
        page = run_page(run)
        assert page is not None
        assert (page.log.seconds.total, page.log.jumps) == (5, 1)
        assert "nobody knows how much" in page.events[1].clock

    def test_a_repeat_that_no_longer_says_adrift_changes_nothing(self, tablet: Tablet, larkspur: str) -> None:
        run = tablet.open(larkspur, "prepare")
        after = tablet.tap(run, "note", 0, text="who knows when")
        events = list(tablet.hands.events)
        first = send(tablet, now=tablet.hands.at, offset=0, adrift=(after["id"],))
        tablet.hands.events = events
        assert send(tablet, now=tablet.hands.at, offset=77) == first
        assert db.session.get_one(EventRow, after["id"]).adrift


class TestASupervisorsWord:
    """Given at a tablet, and held back with the tap that it signs for as long as there is no network."""

    def signed(
        self, tablet: Tablet, code: str, age_ms: int, late_ms: int, offset: int | None, clock_off_ms: int = 0
    ) -> str | None:
        """Who stands behind a tap made so long after the password was given, and received so much later."""
        run = tablet.open(code, "prepare")
        given_at = tablet.hands.at + clock_off_ms
        tablet.hands.at += age_ms - 1_000
        event = tablet.tap(run, "accept", 0, what="check", name="x", reason="so", token="t")
        now = event["at"] + clock_off_ms + late_ms
        send(tablet, now=now, offset=offset, t=Signature(SUPERVISOR, given_at))
        return db.session.get_one(EventRow, event["id"]).by

    def test_counts_as_of_the_tap_however_late_it_comes(self, tablet: Tablet, larkspur: str) -> None:
        assert self.signed(tablet, larkspur, age_ms=60_000, late_ms=6 * DAY_MS, offset=0) == SUPERVISOR

    def test_counts_so_where_the_tablets_clock_is_a_year_wrong(self, tablet: Tablet, larkspur: str) -> None:
        found = self.signed(
            tablet, larkspur, age_ms=60_000, late_ms=8 * HOUR_MS, offset=YEAR_MS, clock_off_ms=YEAR_MS
        )
        assert found == SUPERVISOR

    @pytest.mark.parametrize(
        ("age_ms", "late_ms", "offset"),
        [
            (HOLDS_MS + 1_000, 0, 0),
            (60_000, HELD_BACK_MS, 0),
            (60_000, 8 * HOUR_MS, None),  # nobody knows when it was tapped, only when it came
            (60_000, 0, -2 * HOUR_MS),  # tapped before the password was given: the clock cannot be right
        ],
    )
    def test_does_not_count_longer_than_it_holds(
        self, tablet: Tablet, larkspur: str, age_ms: int, late_ms: int, offset: int | None
    ) -> None:
        assert self.signed(tablet, larkspur, age_ms, late_ms, offset) is None
