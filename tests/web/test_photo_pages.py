"""Pictures over the web: a tablet puts them, its run's page and the office show them, a supervisor deletes old ones."""

from __future__ import annotations

import sys
import uuid
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from floor.config import LEAST_PHOTO_BYTES
from floor.domain.photo import LOST, LOST_AFTER_MS, MAX_SENT_BYTES, STILL_COMING, UNTOLD_YET
from floor.queries.office.photos import run_photos
from floor.queries.office.photos_page import photos_page
from floor.store.models import PhotoRow, db
from floor.web.clock import now_ms
from tests.conftest import START, Tablet

sys.path.append(str(Path(__file__).parents[1] / "services"))
from pictures_taken import bomb, jpeg, opened, png

PHOTO, DEVICE = str(uuid.UUID(int=7)), str(uuid.UUID(int=8))


def put(client: FlaskClient, run: str, data: bytes, photo: str = PHOTO) -> TestResponse:
    return client.put(
        f"/tablet/photo/{photo}?run={run}&device={DEVICE}", data=data, content_type="image/jpeg"
    )


def told(tablet: Tablet, run: str, **more: object) -> str:
    """The event of a picture; its id."""
    data = {"photo": PHOTO, "of": "phase", "width": 64, "height": 48, "bytes": 900, **more}
    event = tablet.tap(run, "photo", 1, **data)
    tablet.send(now=now_ms())
    return str(event["id"])


@pytest.fixture
def run(larkspur: str, tablet: Tablet) -> str:
    run = tablet.walk(larkspur, "prepare", stop=1)
    tablet.send()
    return run


def test_a_picture_is_put_once_and_a_repeat_is_answered_the_same_way(client: FlaskClient, run: str) -> None:
    first, again = put(client, run, jpeg()), put(client, run, jpeg())
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json == again.json == {"photo": PHOTO, "kept": True}


@pytest.mark.parametrize(
    ("data", "status", "kind"),
    [
        (b"<html>", 415, "NotAPhoto"),
        (jpeg()[:300], 422, "PhotoUnreadable"),
        (bomb(), 422, "PhotoUnreadable"),
        (jpeg() + bytes(MAX_SENT_BYTES), 413, "PhotoTooLarge"),
        (bytes(7 * 1024 * 1024), 413, "PhotoTooLarge"),
    ],
    ids=["not a picture", "half of one", "a bomb", "too large", "far too large"],
)
def test_what_is_no_picture_is_refused_with_one_sentence(
    client: FlaskClient, run: str, data: bytes, status: int, kind: str
) -> None:
    answer = put(client, run, data)
    assert answer.status_code == status
    assert answer.json is not None
    assert answer.json["error"]["kind"] == kind
    assert answer.json["error"]["message"].endswith(".")
    assert db.session.get(PhotoRow, PHOTO) is None


def test_another_picture_under_the_same_id_conflicts(client: FlaskClient, run: str) -> None:
    put(client, run, jpeg())
    answer = put(client, run, png())
    assert answer.status_code == 409
    assert answer.json is not None
    assert answer.json["error"]["kind"] == "OtherPhoto"


def test_a_picture_must_say_whose_it_is(client: FlaskClient) -> None:
    answer = client.put(f"/tablet/photo/{PHOTO}?run=x", data=jpeg())
    assert answer.status_code == 400
    assert answer.json == {
        "error": {"kind": "NoRun", "message": "A picture's address must name its run and its device."}
    }


def test_its_runs_page_on_a_tablet_shows_it_and_the_office_does_to_supervisors_only(
    client: FlaskClient, supervisor: FlaskClient, run: str
) -> None:
    assert client.get(f"/tablet/photo/{PHOTO}.jpg").status_code == 404
    put(client, run, jpeg())
    for answer in (client.get(f"/tablet/photo/{PHOTO}.jpg"), supervisor.get(f"/office/photo/{PHOTO}.jpg")):
        assert answer.content_type == "image/jpeg"
        assert opened(answer.data).size == (64, 48)
        assert "immutable" in answer.headers["Cache-Control"]
    assert client.get(f"/office/photo/{PHOTO}.jpg").status_code == 302


def test_the_office_shows_a_runs_pictures_with_what_when_and_who(
    client: FlaskClient, supervisor: FlaskClient, tablet: Tablet, run: str
) -> None:
    put(client, run, jpeg())
    told(tablet, run)
    page = supervisor.get(f"/office/runs/{run}").text
    assert f'<img src="/office/photo/{PHOTO}.jpg"' in page
    assert "The work" in page
    assert "Ines" in page[page.index('class="photos"') : page.index("What happened")]
    assert "took a picture of the work" in page


def test_half_a_picture_is_told_as_such_whichever_half_it_is(
    client: FlaskClient, supervisor: FlaskClient, tablet: Tablet, run: str
) -> None:
    put(client, run, jpeg())
    assert UNTOLD_YET in supervisor.get(f"/office/runs/{run}").text
    told(tablet, run)
    assert UNTOLD_YET not in supervisor.get(f"/office/runs/{run}").text
    told(tablet, run, photo=str(uuid.UUID(int=9)))
    assert STILL_COMING in supervisor.get(f"/office/runs/{run}").text
    assert "Of 1 only half is here; a tablet still has the other." in supervisor.get("/office/pictures").text


def test_a_half_that_does_not_come_is_told_as_lost_after_a_while(tablet: Tablet, run: str) -> None:
    told(tablet, run)
    much_later = now_ms() + LOST_AFTER_MS + 1
    assert [line.told for line in run_photos(run, much_later)] == [LOST]
    page = photos_page(much_later)
    assert (page.coming, page.lost) == (0, 1)


def test_a_picture_whose_tap_was_taken_back_stays_and_says_so(
    client: FlaskClient, supervisor: FlaskClient, tablet: Tablet, run: str
) -> None:
    put(client, run, jpeg())
    event = told(tablet, run)
    tablet.tap(run, "undo", 1, event=event)
    tablet.send()
    assert "The tap was taken back." in supervisor.get(f"/office/runs/{run}").text


def test_the_page_of_problems_shows_the_pictures_of_each(
    client: FlaskClient, supervisor: FlaskClient, tablet: Tablet, run: str
) -> None:
    problem = tablet.tap(run, "problem", 1, problem="broken-needle")["id"]
    put(client, run, jpeg())
    told(tablet, run, of="problem", problem=problem)
    page = supervisor.get("/office/problems").text
    assert f'<a class="photo-small" href="/office/photo/{PHOTO}.jpg">' in page
    assert "Pictures: 1" in page


def fill(app: Flask, share: float) -> None:
    """A budget of which that share is taken."""
    budget = LEAST_PHOTO_BYTES
    app.config["FLOOR"] = replace(app.config["FLOOR"], photo_budget=budget)
    db.session.add(
        PhotoRow(
            id=str(uuid.UUID(int=70)), run=str(uuid.UUID(int=71)), device=DEVICE, digest="", received_at=START,
            width=1, height=1, size=round(share * budget), data=b"",
        )
    )  # fmt: skip
    db.session.commit()


@pytest.mark.parametrize(("share", "warned"), [(0.79, False), (0.81, True), (1.0, True)])
def test_the_office_is_warned_on_its_first_page_and_on_that_of_pictures(
    app: Flask, supervisor: FlaskClient, share: float, warned: bool
) -> None:
    fill(app, share)
    for address in ("/office/", "/office/pictures"):
        assert ('class="care' in supervisor.get(address).text) == warned


def test_a_full_budget_refuses_new_ones_with_what_would_help(
    app: Flask, client: FlaskClient, run: str
) -> None:
    fill(app, 1.0)
    answer = put(client, run, jpeg())
    assert answer.status_code == 507
    assert answer.json is not None
    assert answer.json["error"]["kind"] == "NoRoomForPhotos"
    assert "A supervisor can delete old ones in the office." in answer.json["error"]["message"]


@pytest.fixture
def finished(client: FlaskClient, larkspur: str, run: str, supervisor: FlaskClient) -> str:
    """A run with a picture whose job is over: it was removed."""
    put(client, run, jpeg())
    supervisor.post(f"/office/jobs/{larkspur}/remove")
    return run


def test_old_pictures_of_jobs_that_are_over_are_deleted_and_the_log_says_by_whom(
    client: FlaskClient, supervisor: FlaskClient, tablet: Tablet, finished: str
) -> None:
    told(tablet, finished)
    assert (
        "1 picture of finished jobs came before then"
        in supervisor.get("/office/pictures?before=2100-01-01").text
    )
    supervisor.post("/office/pictures/delete", data={"before": "2100-01-01"})
    assert "1 picture deleted; what was tapped with them stays." in supervisor.get("/office/pictures").text
    assert client.get(f"/tablet/photo/{PHOTO}.jpg").status_code == 404
    page = supervisor.get(f"/office/runs/{finished}").text
    assert "Deleted to make room: Maren, " in page
    assert "took a picture of the work" in page
    assert (
        put(client, finished, jpeg()).status_code == 200
    )  # a tablet that missed the answer is done with it too


def test_a_picture_of_a_job_under_way_or_of_later_is_not_deleted(
    client: FlaskClient, supervisor: FlaskClient, run: str, larkspur: str
) -> None:
    put(client, run, jpeg())
    supervisor.post("/office/pictures/delete", data={"before": "2100-01-01"})
    assert client.get(f"/tablet/photo/{PHOTO}.jpg").status_code == 200
    supervisor.post(f"/office/jobs/{larkspur}/remove")
    supervisor.post("/office/pictures/delete", data={"before": "2020-01-01"})
    assert client.get(f"/tablet/photo/{PHOTO}.jpg").status_code == 200


@pytest.mark.parametrize("send", ["get", "post"])
def test_a_day_that_is_none_is_refused(supervisor: FlaskClient, send: str) -> None:
    ways: dict[str, Callable[[], TestResponse]] = {
        "get": lambda: supervisor.get("/office/pictures?before=soon"),
        "post": lambda: supervisor.post("/office/pictures/delete", data={"before": "soon"}),
    }
    answer = ways[send]()
    assert answer.status_code == 422
    assert "is no day; write one as 2026-11-30." in answer.text


def test_only_a_supervisor_deletes(client: FlaskClient, finished: str) -> None:
    assert client.post("/office/pictures/delete", data={"before": "2100-01-01"}).status_code == 302
    assert client.get(f"/tablet/photo/{PHOTO}.jpg").status_code == 200
