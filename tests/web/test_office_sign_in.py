"""Who may see a supervisor's pages."""

from __future__ import annotations

import sqlite3
from dataclasses import replace

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy.exc import OperationalError

from floor.services.people import set_active
from floor.store.models import Person, db
from floor.web import sign_in
from tests.conftest import OPERATOR, PASSWORD, SUPERVISOR

OPEN_TO_ALL = {"sign_in.page", "sign_in.sign_in", "sign_in.sign_out", "sign_in.demo_sign_in"}
FILLED = {
    "code": "K7Q2M4", "run": "00000000-0000-4000-8000-000000000009", "person": "1", "what": "runs", "form": "csv",
    "revision": "1", "draft": "1", "version": "0a", "kind": "closed",
    "tap": "00000000-0000-4000-8000-000000000008", "photo": "00000000-0000-4000-8000-000000000007",
    "settling": "00000000-0000-4000-8000-000000000006",
}  # fmt: skip


def office_rules(app: Flask) -> list[tuple[str, str, str]]:
    """(endpoint, method, path) of every rule under /office, with its placeholders filled."""
    found = []
    adapter = app.url_map.bind("localhost")
    for rule in app.url_map.iter_rules():
        if rule.rule.startswith("/office"):
            values = {name: FILLED[name] for name in rule.arguments}
            for method in rule.methods or ():
                if method in ("GET", "POST"):
                    found.append((rule.endpoint, method, adapter.build(rule.endpoint, values, method=method)))
    return found


def test_no_page_of_a_supervisors_opens_without_sign_in(app: Flask, client: FlaskClient) -> None:
    checked = 0
    for endpoint, method, path in office_rules(app):
        if endpoint in OPEN_TO_ALL:
            continue
        answer = client.open(path, method=method)
        assert answer.status_code == 302, f"{method} {path} answered {answer.status_code}"
        assert answer.location.startswith("/office/sign-in"), f"{method} {path} went to {answer.location}"
        checked += 1
    assert checked >= 20


def test_after_the_sign_in_the_page_that_was_asked_for_opens(client: FlaskClient) -> None:
    away = client.get("/office/problems?kind=thread-break")
    shown = client.get(away.location)
    assert 'value="/office/problems?kind=thread-break"' in shown.text
    form = {"name": SUPERVISOR, "password": PASSWORD, "next": "/office/problems?kind=thread-break"}
    assert client.post("/office/sign-in", data=form).location == "/office/problems?kind=thread-break"


@pytest.mark.parametrize(
    "elsewhere",
    [
        "https://evil.example/office/",
        "//evil.example/office/",
        "/\\evil.example",
        "/office/\\x",
        "/tablet",
        "//[",
    ],
)
def test_the_sign_in_never_leads_out_of_the_office(client: FlaskClient, elsewhere: str) -> None:
    form = {"name": SUPERVISOR, "password": PASSWORD, "next": elsewhere}
    assert client.post("/office/sign-in", data=form).location == "/office/"


@pytest.mark.parametrize(
    ("name", "password"),
    [(SUPERVISOR, "wrong"), ("Nobody", PASSWORD), (OPERATOR, PASSWORD), (OPERATOR, ""), ("", "")],
)
def test_a_wrong_name_or_password_gets_one_sentence(client: FlaskClient, name: str, password: str) -> None:
    answer = client.post("/office/sign-in", data={"name": name, "password": password})
    assert answer.status_code == 403
    assert "Name and password do not belong together" in answer.text
    assert client.get("/office/").status_code == 302


def test_signing_in_begins_a_new_session(client: FlaskClient) -> None:
    with client.session_transaction() as session:
        session["planted"] = "by somebody before"
    client.post("/office/sign-in", data={"name": SUPERVISOR, "password": PASSWORD})
    with client.session_transaction() as session:
        assert "planted" not in session


def test_signing_out_closes_the_office(supervisor: FlaskClient) -> None:
    assert supervisor.get("/office/").status_code == 200
    supervisor.post("/office/sign-out")
    assert supervisor.get("/office/").status_code == 302


def test_a_supervisor_who_left_is_signed_out_at_once(supervisor: FlaskClient) -> None:
    person = db.session.scalar(db.select(Person).where(Person.name == SUPERVISOR))
    assert person is not None
    set_active(person.id, False)
    assert supervisor.get("/office/").status_code == 302


def test_a_form_from_another_site_is_refused(supervisor: FlaskClient, larkspur: str) -> None:
    answer = supervisor.post(f"/office/jobs/{larkspur}/remove", headers={"Origin": "https://evil.example"})
    assert answer.status_code == 403
    assert (
        supervisor.post(f"/office/jobs/{larkspur}/remove", headers={"Origin": "http://localhost"}).status_code
        == 302
    )


def test_one_tap_signs_in_only_in_the_demo(app: Flask, client: FlaskClient) -> None:
    assert client.post("/office/demo-sign-in").status_code == 404
    app.config["FLOOR"] = replace(app.config["FLOOR"], demo=True)
    assert client.post("/office/demo-sign-in").location == "/office/"
    assert "Maren, supervisor" in client.get("/office/").text


def test_the_first_page_offers_both_seats_in_the_demo_and_the_tablet_otherwise(
    app: Flask, client: FlaskClient, larkspur: str
) -> None:
    assert client.get("/").location == "/tablet"
    app.config["FLOOR"] = replace(app.config["FLOOR"], demo=True)
    page = client.get("/").text
    assert f"/T/{larkspur}" in page
    assert "Sit down as Maren, supervisor" in page
    assert f"QR code of HTTP://LOCALHOST/T/{larkspur}" in page
    assert "Tap it" in page
    assert "Scan it" not in page  # a tablet elsewhere cannot reach the demo


def test_help_is_open_to_all_and_defers_to_the_makers_manuals(client: FlaskClient) -> None:
    page = client.get("/help")
    assert page.status_code == 200
    assert "makers' manuals" in page.text.replace("&#39;", "'")


def test_a_busy_database_is_said_on_a_page_that_does_not_ask_it(
    supervisor: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy() -> None:
        locked = sqlite3.OperationalError("database is locked")
        locked.sqlite_errorcode = sqlite3.SQLITE_BUSY
        raise OperationalError("SELECT", {}, locked)

    monkeypatch.setattr(sign_in, "current_supervisor", busy)
    answer = supervisor.get("/office/")
    assert answer.status_code == 503
    assert "database is busy" in answer.text


def test_an_unknown_page_says_so_and_leads_on(client: FlaskClient) -> None:
    answer = client.get("/nothing/here")
    assert answer.status_code == 404
    assert "There is no such page here" in answer.text
    assert 'href="/tablet"' in answer.text
