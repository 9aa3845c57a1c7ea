"""The page of the tablets: what each has sent, what is missing of it, and its clock, in plain words."""

from __future__ import annotations

import re
import time
import uuid
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlalchemy import select

from floor.services.intake import approve_from_office
from floor.store.models import Device, EventRow, RunRow, db
from floor.web import office_tablets, sync
from tests.conftest import OPERATOR, PASSWORD, SUPERVISOR, Tablet

HOUR_MS = 3_600_000


class Desk:
    """A tablet whose messages go by HTTP, and the supervisor's page; `now`: the server's clock."""

    def __init__(self, client: FlaskClient, supervisor: FlaskClient, tablet: Tablet) -> None:
        self.client, self.supervisor, self.tablet = client, supervisor, tablet
        self.now = tablet.hands.at

    def send(self, events: list[dict[str, Any]], **more: Any) -> Any:
        body = {"device": self.tablet.hands.device, "sent_at": self.tablet.hands.at, "events": events, **more}
        answer = self.client.post("/sync", json=body)
        assert answer.status_code == 200, answer.text
        return answer.json

    def measured(self, offset_ms: int, round_trip_ms: int = 60) -> None:
        self.send([], clock={"offset_ms": offset_ms, "round_trip_ms": round_trip_ms, "adrift": []})

    def shown(self) -> str:
        """The page's own words, without its tags."""
        page = self.supervisor.get("/office/tablets")
        assert page.status_code == 200
        main = page.text.partition("<main")[2]
        return " ".join(re.sub(r"<[^>]+>", " ", main).split())


@pytest.fixture
def desk(
    client: FlaskClient, supervisor: FlaskClient, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> Desk:
    made = Desk(client, supervisor, tablet)
    monkeypatch.setattr(sync, "now_ms", lambda: made.now)
    monkeypatch.setattr(office_tablets, "now_ms", lambda: made.now)
    return made


@pytest.fixture
def taps(tablet: Tablet, larkspur: str) -> list[dict[str, Any]]:
    run = tablet.open(larkspur, "prepare")
    for count in range(9):
        tablet.tap(run, "note", 0, text=f"note {count}")
    return tablet.hands.events


def test_the_answer_tells_the_newest_and_what_is_wanted(desk: Desk, taps: list[dict[str, Any]]) -> None:
    answer = desk.send([taps[0], taps[3]])
    assert set(answer) == {"server_time", "results", "newest", "wanted"}
    assert (answer["server_time"], answer["newest"], answer["wanted"]) == (desk.now, 4, [2, 3])
    twin = {**taps[3], "id": str(uuid.uuid4())}
    assert [result["verdict"] for result in desk.send([twin])["results"]] == ["again"]


def test_a_shop_that_heard_of_no_tablet_is_led_on(desk: Desk) -> None:
    assert "None has sent anything yet" in desk.shown()
    assert 'href="/tablet"' in desk.supervisor.get("/office/tablets").text


def test_a_tablet_with_which_all_is_well_is_said_to_be_well(desk: Desk, taps: list[dict[str, Any]]) -> None:
    desk.send(taps)
    desk.measured(-40)
    desk.now += 12 * 60_000
    shown = desk.shown()
    assert "1 tablet; no tap is missing, and all clocks go right." in shown
    assert "12 min ago" in shown
    assert "Newest: number 10." in shown
    assert f"last in {OPERATOR}’s hands" in shown
    assert "Right, measured to 0.1 s." in shown


def test_what_is_missing_is_named_with_the_taps_around_it_and_the_run(
    desk: Desk, taps: list[dict[str, Any]]
) -> None:
    desk.send([taps[0], taps[3], taps[9]])
    shown = desk.shown()
    assert "Missing: numbers 2 and 3, tapped between" in shown
    assert "Missing: numbers 5 to 9, tapped between" in shown
    assert "It is asked for them" in shown
    assert desk.supervisor.get("/office/tablets").text.count(f'href="/office/runs/{taps[0]["run"]}"') == 2


def test_what_is_lost_says_what_to_do(desk: Desk, taps: list[dict[str, Any]]) -> None:
    desk.send([taps[0], taps[2]], lost=[2])
    shown = desk.shown()
    assert "Lost: number 2, tapped between" in shown
    assert "Missing" not in shown
    assert "have it written as a note in the run" in shown


@pytest.mark.parametrize(
    ("offset_ms", "says"),
    [
        (365 * 24 * HOUR_MS, "365 days behind, measured to 0.1 s. Its times are put right by that."),
        (-2 * HOUR_MS - 180_000, "2 h 03 min ahead, measured to 0.1 s."),
        (-2_001, "2.0 s ahead, measured to 0.1 s."),
        (2_000, "Right, measured to 0.1 s."),
    ],
)
def test_a_clock_that_is_off_by_more_than_two_seconds_is_said_to_be(
    desk: Desk, offset_ms: int, says: str
) -> None:
    desk.measured(offset_ms)
    shown = desk.shown()
    assert says in shown
    assert ("Look at this one." in shown) == (abs(offset_ms) > 2_000)


def test_a_jump_is_said_with_when_and_how_far_and_is_news_for_a_week(desk: Desk) -> None:
    desk.measured(0)
    desk.measured(90_500)
    desk.measured(90_400)
    desk.measured(300)
    shown = desk.shown()
    assert "It jumped on by 1 min 30 s, found" in shown
    assert "Look at this one." in shown
    desk.now += 8 * 24 * HOUR_MS
    assert "all clocks go right" in desk.shown()


def test_a_clock_that_was_never_measured_is_not_called_right(desk: Desk, taps: list[dict[str, Any]]) -> None:
    desk.now = desk.tablet.hands.at
    desk.send(taps)
    assert "Not measured; it goes right as far as its messages tell." in desk.shown()
    desk.now += HOUR_MS
    desk.send(taps)
    assert "Not measured; by its messages 1 h 00 min behind." in desk.shown()


def test_the_office_itself_is_no_tablet(desk: Desk, tablet: Tablet, larkspur: str) -> None:
    for section, garments in (("prepare", ()), ("front-left", (1,)), ("front-right", (1,)), ("finish", (1,))):
        tablet.walk(larkspur, section, garments)
        tablet.send()
    run = db.session.scalars(select(RunRow.id).where(RunRow.approval_owed)).one()
    approve_from_office(run, SUPERVISOR, tablet.hands.at, str(uuid.uuid4()))
    assert db.session.query(Device).count() == 2
    assert "1 tablet;" in desk.shown()


def test_an_outsider_reads_nothing_of_it(client: FlaskClient, taps: list[dict[str, Any]]) -> None:
    answer = client.get("/office/tablets")
    assert answer.status_code == 302
    assert "Newest" not in answer.text


def test_a_password_given_an_hour_and_more_ago_holds_for_what_was_tapped_in_time(
    desk: Desk, tablet: Tablet, larkspur: str
) -> None:
    """By the real clock: the token says when it was given."""
    given = desk.client.post("/tablet/authority", json={"name": SUPERVISOR, "password": PASSWORD}).json
    desk.now = time.time_ns() // 1_000_000
    tablet.hands.at = desk.now + 30_000
    run = tablet.open(larkspur, "prepare")
    signed = tablet.tap(run, "accept", 0, what="check", name="x", reason="so", token=given["token"])
    tablet.hands.at += 2 * HOUR_MS
    late = tablet.tap(run, "accept", 0, what="check", name="x", reason="so", token=given["token"])
    desk.now += 30 * HOUR_MS
    desk.send(tablet.hands.events, clock={"offset_ms": 0, "round_trip_ms": 9, "adrift": []})
    assert db.session.get_one(EventRow, signed["id"]).by == SUPERVISOR
    assert db.session.get_one(EventRow, late["id"]).by is None
