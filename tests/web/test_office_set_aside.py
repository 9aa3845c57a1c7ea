"""The supervisor's page of what was set aside: what waits, what could count by now, and what was decided."""

from __future__ import annotations

import re
import uuid
from typing import Any

import pytest
from flask.testing import FlaskClient

from floor.store.models import EventRow, RunRow, VerdictRow, db
from floor.web import office_set_aside
from tests.conftest import SUPERVISOR, Tablet, make_tablet

PAGE = "/office/set-aside"


@pytest.fixture
def crossed(tablet: Tablet, larkspur: str, monkeypatch: pytest.MonkeyPatch) -> tuple[str, list[str]]:
    """A run in one tablet's hands, and two taps of another: the one after the other would carry it on."""
    run = tablet.open(larkspur, "prepare")
    tablet.send()
    other = make_tablet(seed=2, at=tablet.hands.at)
    taps = [other.tap(run, "done", 0)["id"], other.tap(run, "pause", 1, reason="break")["id"]]
    other.send()
    monkeypatch.setattr(office_set_aside, "now_ms", lambda: tablet.hands.at + 3_600_000)
    return run, taps


def settle(supervisor: FlaskClient, tap: str, how: str, why: str = "Bo stood there") -> str:
    return supervisor.post(f"{PAGE}/{tap}/settle", data={"how": how, "why": why}, follow_redirects=True).text


def part(page: str, heading: str) -> str:
    """The page's card with this heading."""
    found = re.search(rf"<h2>{heading}</h2>.*?(?=<h2>|</main>)", page, re.S)
    return found[0] if found else ""


def buttons(page: str, tap: str) -> list[str]:
    form = re.search(rf"/{tap}/settle.*?</form>", page, re.S)
    assert form is not None
    return re.findall(r'value="(apply|keep)"', form[0])


def test_an_empty_page_says_so(supervisor: FlaskClient) -> None:
    page = supervisor.get(PAGE).text
    assert "Nothing waits to be settled." in page
    assert part(page, "Settled") == ""


def test_a_run_s_taps_are_listed_in_their_order_with_who_had_it(
    supervisor: FlaskClient, crossed: tuple[str, list[str]]
) -> None:
    page = part(supervisor.get(PAGE).text, "To settle")
    first, second = (page.index(f"/{tap}/settle") for tap in crossed[1])
    assert first < second
    assert "Ines has this run in hand at another tablet" in page
    assert "in the hands of Ines then" in page
    assert "2 taps were set aside" in supervisor.get("/office/").text


def test_each_says_whether_it_could_count_as_the_run_stands(
    supervisor: FlaskClient, crossed: tuple[str, list[str]], tablet: Tablet
) -> None:
    run, (done, pause) = crossed
    assert buttons(supervisor.get(PAGE).text, done) == ["apply", "keep"]
    tablet.tap(run, "done", 0)
    tablet.send()
    page = supervisor.get(PAGE).text
    assert buttons(page, done) == ["keep"]
    assert "It cannot count now. It was said of phase 1 while the run was at phase 2." in page
    assert buttons(page, pause) == ["apply", "keep"]


def test_a_tap_let_count_carries_the_run_on_and_is_shown_with_who_and_why(
    supervisor: FlaskClient, crossed: tuple[str, list[str]]
) -> None:
    run, (done, _) = crossed
    page = settle(supervisor, done, "apply")
    assert "The tap counts from now on." in page
    settled = part(page, "Settled")
    assert "let count" in settled
    assert SUPERVISOR in settled
    assert "Bo stood there" in settled
    assert f"/{done}/settle" not in page
    assert db.session.get_one(RunRow, run).phase == 1
    assert "Maren let it count: Bo stood there" in supervisor.get(f"/office/runs/{run}").text


def test_a_tap_kept_as_a_note_leaves_the_run_as_it_is(
    supervisor: FlaskClient, crossed: tuple[str, list[str]]
) -> None:
    run, (done, _) = crossed
    page = settle(supervisor, done, "keep", why="was done twice")
    assert "kept as a note" in part(page, "Settled")
    assert "was done twice" in page
    assert db.session.get_one(RunRow, run).phase == 0
    assert "1 tap was set aside" in supervisor.get("/office/").text


def test_a_second_tap_on_the_button_settles_nothing_more(
    supervisor: FlaskClient, crossed: tuple[str, list[str]]
) -> None:
    run, (done, _) = crossed
    settle(supervisor, done, "apply")
    assert "Maren had said so already" in settle(supervisor, done, "apply")
    assert "Maren let it count meanwhile" in settle(supervisor, done, "keep")
    assert db.session.query(EventRow).filter_by(run=run, kind="settle").count() == 1


def test_it_is_taken_back_from_the_list_while_nothing_newer_has_happened(
    supervisor: FlaskClient, crossed: tuple[str, list[str]], tablet: Tablet
) -> None:
    run, (done, _) = crossed
    page = settle(supervisor, done, "apply")
    found = re.search(r'action="([^"]+/take-back)"', part(page, "Settled"))
    assert found is not None
    page = supervisor.post(found[1], follow_redirects=True).text
    assert "It is open again" in page
    assert buttons(page, done) == ["apply", "keep"]
    settle(supervisor, done, "apply")
    tablet.hands.at += 7_200_000
    tablet.tap(run, "note", 1, text="goes on")
    tablet.send()
    page = supervisor.get(PAGE).text
    assert "take-back" not in part(page, "Settled")
    assert "the run has gone on" in part(page, "Settled")
    settling = db.session.get_one(VerdictRow, done).settled
    late = supervisor.post(f"{PAGE}/{settling}/take-back", follow_redirects=True).text
    assert "Something newer had happened since" in late


def test_a_run_set_aside_as_a_whole_is_one_deed(
    supervisor: FlaskClient, tablet: Tablet, larkspur: str, crossed: tuple[str, list[str]]
) -> None:
    run = tablet.open(larkspur, "front-left", (1,))
    opening = tablet.hands.events[-1]["id"]
    tablet.tap(run, "note", 0, text="so")
    tablet.send()
    page = supervisor.get(PAGE).text
    assert "2 taps together" in page
    assert buttons(page, opening) == ["keep"]
    page = settle(supervisor, opening, "keep")
    assert "2 taps together" in part(page, "Settled")
    assert "2 taps together" not in part(page, "To settle")


def test_taps_of_a_run_that_nothing_opened_can_be_kept(supervisor: FlaskClient, tablet: Tablet) -> None:
    note = tablet.tap(tablet.hands.new_run(), "note", 0, text="of nothing")
    tablet.send()
    assert "A run that was never opened here" in supervisor.get(PAGE).text
    page = settle(supervisor, note["id"], "keep")
    assert "Nothing waits to be settled." in page
    assert "A run that was never opened here" in part(page, "Settled")


def test_taps_that_come_late_can_overtake_a_settling_and_the_page_says_so(
    supervisor: FlaskClient, crossed: tuple[str, list[str]], tablet: Tablet
) -> None:
    run, (done, _) = crossed
    settle(supervisor, done, "apply")
    tablet.tap(run, "done", 0)  # tapped an hour before the supervisor settled, and held back by the network
    tablet.send()
    page = supervisor.get(PAGE).text
    assert "Maren had let it count; taps that came later say otherwise" in page
    assert buttons(page, done) == ["keep"]


def test_what_cannot_be_done_is_said(supervisor: FlaskClient, crossed: tuple[str, list[str]]) -> None:
    assert "a few words why" in settle(supervisor, crossed[1][0], "keep", why=" ")
    answer = supervisor.post(f"{PAGE}/{uuid.uuid4()}/settle", data={"how": "keep", "why": "so"})
    assert (answer.status_code, "No such tap" in answer.text) == (404, True)
    assert supervisor.post(f"{PAGE}/{crossed[1][0]}/settle", data={"how": "no"}).status_code == 404
    assert supervisor.post(f"{PAGE}/{crossed[1][0]}/take-back").status_code == 404


def test_an_outsider_settles_nothing(client: FlaskClient, crossed: tuple[str, list[str]]) -> None:
    data: dict[str, Any] = {"how": "keep", "why": "so"}
    assert client.post(f"{PAGE}/{crossed[1][0]}/settle", data=data).status_code in (302, 401, 403)
    assert not db.session.get_one(VerdictRow, crossed[1][0]).settled


def test_enter_in_the_reason_decides_nothing(supervisor: FlaskClient, crossed: tuple[str, list[str]]) -> None:
    """A browser presses a form's first button on Enter, and nothing where that one is disabled."""
    form = re.search(rf"/{crossed[1][0]}/settle.*?</form>", supervisor.get(PAGE).text, re.S)
    assert form is not None
    assert re.findall(r"<button[^>]*>", form[0])[0] == '<button type="submit" disabled hidden>'
    refused = supervisor.post(f"{PAGE}/{crossed[1][0]}/settle", data={"why": "Bo stood there"})
    assert "use one of the two buttons" in refused.text


def test_the_run_s_log_puts_no_name_to_a_tap_of_a_tablet_that_did_not_have_it(
    supervisor: FlaskClient, crossed: tuple[str, list[str]]
) -> None:
    log = supervisor.get(f"/office/runs/{crossed[0]}").text
    assert re.findall(r"<td>(Ines|another tablet)</td>", log) == ["Ines", "another tablet", "another tablet"]
