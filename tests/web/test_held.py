"""What tablets keep of the shop ahead of need, as the server gives it."""

from __future__ import annotations

import gzip
from typing import Any

from flask.testing import FlaskClient

from floor.domain.job import HouseRules
from floor.services.jobs import import_job, remove_job
from tests.conftest import START, SUPERVISOR, Tablet, demo_source, view_of
from tests.services.revised import revise_job, revised

MOST_BYTES = 20_000  # of a bundle as it travels, compressed


def held_of(client: FlaskClient, code: str) -> dict[str, Any]:
    found: dict[str, Any] = next(
        one for one in client.get("/tablet/held.json").json["jobs"] if one["code"] == code
    )
    return found


def finish_everything(tablet: Tablet, code: str) -> None:
    view = view_of(code)
    for section in view.sections:
        if section.scope == "job":
            tablet.walk(code, section.key)
            tablet.send()
            continue
        for garment in view.job.garments:
            tablet.walk(code, section.key, (garment.number,))
            tablet.send()


class TestPagesAsJson:
    def test_the_first_page_and_a_job_come_as_json(self, client: FlaskClient, larkspur: str) -> None:
        home, job = client.get("/tablet/home.json").json, client.get(f"/tablet/job/{larkspur}.json").json
        assert home is not None
        assert job is not None
        assert (home["screen"], job["screen"], job["chosen"]) == ("home", "job", None)
        assert home["server_time"] > START
        assert job["job"]["code"] == larkspur

    def test_a_garments_ticket_chooses_its_garment(self, client: FlaskClient, larkspur: str) -> None:
        assert client.get(f"/tablet/job/{larkspur}.json?garment=3").json["chosen"] == 3
        assert client.get(f"/tablet/job/{larkspur}.json?garment=99").json["chosen"] is None

    def test_an_unknown_job_is_told_in_a_sentence(self, client: FlaskClient) -> None:
        answer = client.get("/tablet/job/000000.json")
        assert answer.status_code == 404
        assert "no job with it" in answer.json["error"]["message"]


class TestWhatIsHeld:
    def test_open_jobs_are_held_the_soonest_due_first(self, client: FlaskClient, larkspur: str) -> None:
        crest = import_job(demo_source("quarry-crest"), SUPERVISOR, START, HouseRules()).code
        dues = {code: view_of(code).job.due for code in (larkspur, crest)}
        page = client.get("/tablet/held.json").json
        assert [one["code"] for one in page["jobs"]] == sorted(dues, key=lambda code: dues[code])
        assert page["catalogue"]["problems"]
        assert page["shop"]["people"]

    def test_a_removed_job_is_held_only_while_a_run_is_under_way(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.walk(larkspur, "prepare", stop=2)
        tablet.send()
        remove_job(larkspur, SUPERVISOR, tablet.hands.at)
        assert held_of(client, larkspur)
        bundle = client.get(f"/tablet/held/{larkspur}.json").json
        assert bundle["removed_by"] == SUPERVISOR
        tablet.rest(larkspur, run, "prepare", (), start=2)
        tablet.send()
        assert client.get("/tablet/held.json").json["jobs"] == []

    def test_a_finished_job_is_held_no_more(self, client: FlaskClient, tablet: Tablet) -> None:
        house = HouseRules(first_piece=False)
        code = import_job(demo_source("tinhill-pullovers"), SUPERVISOR, START, house).code
        assert held_of(client, code)
        finish_everything(tablet, code)
        assert client.get("/tablet/held.json").json["jobs"] == []

    def test_an_event_changes_the_stamp_and_no_picture(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        before = held_of(client, larkspur)
        assert client.get(f"/tablet/held/{larkspur}.json").json["stamp"] == before["stamp"]
        tablet.walk(larkspur, "prepare", stop=1)
        tablet.send()
        after = held_of(client, larkspur)
        assert after["stamp"] != before["stamp"]
        assert after["pictures"] == before["pictures"]

    def test_what_a_tablet_has_is_not_sent_again(self, client: FlaskClient, larkspur: str) -> None:
        for address in (
            "/tablet/held.json",
            f"/tablet/held/{larkspur}.json",
            f"/tablet/held/{larkspur}/pictures.json",
        ):
            answer = client.get(address)
            again = client.get(address, headers={"If-None-Match": answer.headers["ETag"]})
            assert (again.status_code, again.data) == (304, b"")


class TestBundles:
    def test_a_bundle_travels_light(self, client: FlaskClient, larkspur: str) -> None:
        answer = client.get(f"/tablet/held/{larkspur}.json")
        assert 5_000 < len(gzip.compress(answer.data)) < MOST_BYTES

    def test_a_bundle_has_the_facts_of_its_runs(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        done = tablet.walk(larkspur, "prepare")
        going = tablet.walk(larkspur, "front-left", (1,), stop=3)
        tablet.send()
        bundle = client.get(f"/tablet/held/{larkspur}.json").json
        assert [(one["run"], one["status"]) for one in bundle["facts"]] == [
            (done, "finished"),
            (going, "working"),
        ]
        assert [(one["run"], one["phase"]) for one in bundle["runs"]] == [(going, 3)]

    def test_every_picture_of_every_load_is_there_once(self, client: FlaskClient, larkspur: str) -> None:
        found = client.get(f"/tablet/held/{larkspur}/pictures.json").json["1"]
        assert len(set(found["svgs"])) == len(found["svgs"])
        assert set(found["at"].values()) == set(range(len(found["svgs"])))
        for ending in ("closed.svg", "front-right/4.svg?size=XL&load=1&first=0"):
            served = client.get(f"/tablet/picture/{larkspur}/1/{ending}").text
            assert served == found["svgs"][found["at"][ending]]

    def test_pictures_are_those_that_the_server_draws(self, client: FlaskClient) -> None:
        """Of loads of several too, which share what is drawn the same."""
        code = import_job(demo_source("quarry-crest"), SUPERVISOR, START, HouseRules(edge_sealing=True)).code
        found = client.get(f"/tablet/held/{code}/pictures.json").json["1"]
        assert any("load=3" in ending for ending in found["at"])
        for ending, at in found["at"].items():
            assert client.get(f"/tablet/picture/{code}/1/{ending}").text == found["svgs"][at], ending

    def test_a_run_under_way_keeps_the_checklists_of_its_revision(
        self, client: FlaskClient, tablet: Tablet, larkspur: str
    ) -> None:
        run = tablet.walk(larkspur, "prepare", stop=1)
        tablet.send()
        revise_job(larkspur, revised(demo_source("larkspur-jackets"), title="Larks"), SUPERVISOR, START)
        bundle = client.get(f"/tablet/held/{larkspur}.json").json
        pictures = client.get(f"/tablet/held/{larkspur}/pictures.json").json
        assert bundle["revision"] == 2
        assert ["layouts" in bundle["revisions"][number] for number in ("1", "2")] == [True, True]
        assert set(pictures) == {"1", "2"}
        tablet.rest(larkspur, run, "prepare", (), start=1)
        tablet.send()
        bundle = client.get(f"/tablet/held/{larkspur}.json").json
        assert ["layouts" in bundle["revisions"][number] for number in ("1", "2")] == [False, True]
