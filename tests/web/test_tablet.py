"""The operator's pages, as the server gives them."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from floor import create_app
from floor.domain.job import HouseRules
from floor.domain.ticket import show_code
from floor.jobfile import read_job_folder
from floor.places import page_folder
from floor.queries.shop_routes import route_needs
from floor.queries.views import Plan, find_job, revision_plan
from floor.services.jobs import import_job, remove_job
from floor.store.database import writing
from floor.store.models import Setting, db
from tests.conftest import PASSWORD, START, SUPERVISOR, Tablet


def page_of(html: str) -> dict[str, Any]:
    found = re.search(r'<script type="application/json" id="page">(.*?)</script>', html, re.S)
    assert found, html[:2000]
    page: dict[str, Any] = json.loads(found.group(1))
    return page


def plan_of(code: str) -> Plan:
    job = find_job(code)
    assert job is not None
    plan = revision_plan(job, 1)
    assert plan is not None
    return plan


def with_a_wrong_character(code: str) -> str:
    return code[:2] + ("7" if code[2] != "7" else "8") + code[3:]


class TestTickets:
    def test_the_qr_codes_address_opens_the_job(self, client: FlaskClient, larkspur: str) -> None:
        answer = client.get(f"/T/{larkspur}")
        assert answer.status_code == 200
        page = page_of(answer.text)
        assert page["job"]["code_shown"] == show_code(larkspur)
        assert page["next"]["section"] == "prepare"

    @pytest.mark.parametrize(
        "form", ["{}", "{}/3", "HTTP://SHOP.EXAMPLE:8000/T/{}", "http://shop.example/T/{}/3"]
    )
    def test_a_code_typed_or_scanned_opens_the_job(
        self, client: FlaskClient, larkspur: str, form: str
    ) -> None:
        answer = client.get("/tablet/ticket", query_string={"typed": form.format(larkspur)})
        assert answer.status_code == 302
        assert answer.location == f"/T/{larkspur}" + ("/3" if form.endswith("/3") else "")

    def test_a_code_is_typed_with_hyphen_and_in_lower_case(self, client: FlaskClient, larkspur: str) -> None:
        typed = show_code(larkspur).lower()
        assert client.get("/tablet/ticket", query_string={"typed": typed}).location == f"/T/{larkspur}"

    def test_a_wrong_character_is_told_apart_from_an_unknown_code(
        self, client: FlaskClient, larkspur: str
    ) -> None:
        mistyped = client.get("/tablet/ticket", query_string={"typed": with_a_wrong_character(larkspur)})
        unknown = client.get("/tablet/ticket", query_string={"typed": "000000"})
        assert mistyped.status_code == unknown.status_code == 404
        first, second = page_of(mistyped.text)["error"], page_of(unknown.text)["error"]
        assert "no job with it" in second
        assert first != second
        assert "no job" not in first

    def test_the_ticket_of_a_removed_job_says_so(self, client: FlaskClient, larkspur: str) -> None:
        remove_job(larkspur, SUPERVISOR, START)
        answer = client.get(f"/T/{larkspur}")
        assert answer.status_code == 410
        assert f"was removed by {SUPERVISOR}" in answer.text
        typed = client.get("/tablet/ticket", query_string={"typed": larkspur})
        assert f"was removed by {SUPERVISOR}" in page_of(typed.text)["error"]


class TestHome:
    def test_tickets_lie_on_the_table_only_in_the_demo(self, client: FlaskClient, larkspur: str) -> None:
        html = client.get("/tablet").text
        assert page_of(html)["tickets"] == []
        assert larkspur not in html
        with writing():
            db.session.add(Setting(name="demo_password", value="x"))
        demo = create_app(client.application.config["FLOOR"]).test_client()
        assert [one["code"] for one in page_of(demo.get("/tablet").text)["tickets"]] == [larkspur]

    def test_a_shop_without_jobs_is_led_to_the_office(self, client: FlaskClient) -> None:
        page = client.get("/tablet")
        assert page_of(page.text)["has_jobs"] is False
        assert "No job has come in yet" in page.text
        assert 'href="/office/"' in page.text


class TestRunPage:
    def test_it_holds_all_that_the_tablet_needs(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.walk(larkspur, "prepare", stop=2)
        tablet.send()
        page = page_of(client.get(f"/tablet/run/{run}").text)
        assert [e["id"] for e in page["events"]] == [e["id"] for e in tablet.sent]
        assert len(page["pictures"]) == len(page["checklist"]["phases"])
        assert page["catalogue"]["problems"]["broken-needle"]["needs_fragments"]
        assert client.get(f"/tablet/run/{run}.json").json["run"] == run

    def test_has_the_seam_of_every_size_in_its_load(
        self, client: FlaskClient, tmp_path: Path, tablet: Tablet
    ) -> None:
        folder = tmp_path / "two-heads"
        shutil.copytree(page_folder("demo_jobs") / "larkspur-jackets", folder)
        file = folder / "larkspur-jackets.toml"
        file.write_text(file.read_text("utf-8").replace("heads = 1", "heads = 2"), "utf-8")
        source = read_job_folder(file, route_needs())
        code = import_job(source, SUPERVISOR, START, HouseRules(first_piece=False)).code
        tablet.walk(code, "prepare")
        run = tablet.open(code, "front-left", (4, 5))
        tablet.send()
        page = client.get(f"/tablet/run/{run}.json").json
        assert {garment["size"] for garment in page["garments"]} == page["seams"].keys() == {"M", "XL"}

    def test_it_offers_what_comes_once_the_run_is_over(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        offered = []
        for section, garments in (
            ("prepare", ()),
            ("front-left", (1,)),
            ("front-right", (1,)),
            ("finish", (1,)),
        ):
            run = tablet.walk(larkspur, section, garments, stop=1)
            tablet.send()
            offered.append(client.get(f"/tablet/run/{run}.json").json["next"])
            tablet.rest(larkspur, run, section, garments, start=1)
            tablet.send()
        assert [(one["section"], one["garments"]) for one in offered] == [
            ("front-left", [1]),
            ("front-right", [1]),
            ("finish", [1]),
            ("front-left", [2]),
        ]
        assert [one["first_piece"] for one in offered] == [True, True, True, False]

    def test_each_phase_has_its_picture(self, client: FlaskClient, tablet: Tablet, larkspur: str) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        run = tablet.open(larkspur, "front-left", (1,))
        tablet.send()
        page = client.get(f"/tablet/run/{run}.json").json
        for address in page["pictures"]:
            picture = client.get(address)
            assert picture.status_code == 200
            assert picture.mimetype == "image/svg+xml"

    def test_each_garment_of_a_load_has_its_phases_pictures(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        tablet.walk(larkspur, "prepare")
        one = tablet.open(larkspur, "front-left", (1,))
        tablet.send()
        single = client.get(f"/tablet/run/{one}.json").json
        several = plan_of(larkspur).checklist("front-left", (1, 2, 3), True)
        assert len(several.phases) > len(single["pictures"])
        address = single["pictures"][0].replace("load=1", "load=3")
        found = [client.get(address.replace("/0.svg", f"/{at}.svg")) for at in range(len(several.phases))]
        assert {picture.status_code for picture in found} == {200}
        alone = dict(zip((p["key"] for p in single["checklist"]["phases"]), single["pictures"], strict=True))
        for phase, picture in zip(several.phases, found, strict=True):
            if phase.key in alone:
                assert picture.text == client.get(alone[phase.key]).text
        missing = client.get(address.replace("/0.svg", f"/{len(several.phases)}.svg"))
        assert missing.status_code == 404

    def test_an_undo_that_another_run_stands_in_the_way_of_is_told_to_the_tablet(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.walk(larkspur, "prepare")
        last = tablet.hands.events[-1]
        tablet.send()
        tablet.open(larkspur, "front-left", (1,))
        undo = tablet.tap(run, "undo", 4, event=last["id"])
        assert [a.verdict for a in tablet.send()] == ["applied", "aside"]
        page = client.get(f"/tablet/run/{run}.json").json
        assert list(page["too_late"]) == [undo["id"]]
        assert "had been begun" in page["too_late"][undo["id"]]

    def test_a_run_that_the_server_does_not_know_gets_a_sentence(self, client: FlaskClient) -> None:
        answer = client.get("/tablet/run/00000000-0000-4000-8000-000000000000.json")
        assert answer.status_code == 404
        assert "No such run" in answer.json["error"]["message"]

    def test_the_scripts_in_a_page_cannot_be_broken_out_of(self, client: FlaskClient, larkspur: str) -> None:
        html = client.get("/tablet/ticket", query_string={"typed": "</script><b>x"}).text
        assert "</script><b>" not in html
        assert page_of(html)["typed"] == "</script><b>x"


class TestSync:
    def test_a_tablet_sends_its_events_as_json(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        tablet.open(larkspur, "prepare")
        body = {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": tablet.hands.events}
        answer = client.post("/sync", json=body)
        assert answer.status_code == 200
        assert [r["verdict"] for r in answer.json["results"]] == ["applied"]
        assert client.post("/sync", json=body).json["results"] == answer.json["results"]

    @pytest.mark.parametrize(
        ("send", "status"),
        [
            ({"data": "x=1"}, 415),
            ({"data": "{", "content_type": "application/json"}, 400),
            ({"json": []}, 400),
            ({"json": {"device": "x", "sent_at": 1, "events": []}}, 400),
        ],
    )
    def test_what_is_no_batch_gets_one_sentence(self, client: FlaskClient, send: Any, status: int) -> None:
        answer = client.post("/sync", **send)
        assert answer.status_code == status
        assert answer.json["error"]["message"].endswith(".")

    def test_a_batch_too_large_gets_one_sentence(self, client: FlaskClient) -> None:
        answer = client.post("/sync", data=b"[" + b"1," * 4_000_000, content_type="application/json")
        assert answer.status_code == 413
        assert "too large" in answer.json["error"]["message"]


class TestAuthority:
    def test_a_supervisors_password_gives_a_token_that_holds(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        given = client.post("/tablet/authority", json={"name": SUPERVISOR, "password": PASSWORD})
        assert given.json["name"] == SUPERVISOR
        run = tablet.open(larkspur, "prepare")
        tablet.tap(run, "approve", 0, token=given.json["token"])
        body = {"device": tablet.hands.device, "sent_at": tablet.hands.at, "events": tablet.hands.events}
        assert client.post("/sync", json=body).json["results"][1]["reason"] == "No approval was owed."

    @pytest.mark.parametrize("name", [SUPERVISOR, "Ines", "Nobody"])
    def test_a_wrong_password_or_name_gives_none(self, client: FlaskClient, app: object, name: str) -> None:
        answer = client.post("/tablet/authority", json={"name": name, "password": "wrong"})
        assert answer.status_code == 403
        assert "do not belong together" in answer.json["error"]["message"]
