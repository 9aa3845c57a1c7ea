"""Setting a job up on the office's pages: drafts, faults beside their fields, the plan, saving."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from flask.testing import FlaskClient

from floor.jobfile import read_job_bytes
from floor.queries.drafts import find_draft, open_drafts
from floor.queries.shop_routes import route_needs
from floor.queries.views import find_job, job_view
from floor.store.models import DraftRow, JobRow, db
from tests.conftest import demo_source

LARK = demo_source("larkspur-jackets")
NEEDED = {
    "title": "Band jackets, LARK across the opening", "customer": "Larkspur Lane Marching Band",
    "due": "2026-12-11", "unit": "mm", "opening.span": "180", "opening.overlap": "20",
    "design.centre.0": "20", "layer.0.colour": "purple", "layer.0.border.thread": "purple 40",
    "layer.1.colour": "cream", "layer.1.border.thread": "cream 40", "opening.sizes.XL.span": "200",
    "garments": "M\tOdile\r\nM\tBram\r\nM\tTansy\r\nM\r\nXL\tCorwin\r\nXL",
}  # fmt: skip


def begin(client: FlaskClient, route: str = "split-front") -> int:
    answer = client.post("/office/setup", data={"route": route})
    assert answer.status_code == 302
    return int(answer.location.rpartition("/")[2])


def draw(client: FlaskClient, draft: int, fields: dict[str, Any]) -> dict[str, Any]:
    answer = client.post(f"/office/setup/{draft}/draw.json", data=fields)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json
    return found


def outline(text: str = LARK.svg_text, name: str = "lark.svg") -> tuple[io.BytesIO, str]:
    return io.BytesIO(text.encode()), name


def filled(client: FlaskClient) -> int:
    draft = begin(client)
    draw(client, draft, {**NEEDED, "outline": outline()})
    return draft


def jobs() -> list[JobRow]:
    return list(db.session.scalars(db.select(JobRow)))


def test_the_start_offers_each_route_the_earlier_jobs_and_open_drafts(
    supervisor: FlaskClient, larkspur: str
) -> None:
    begin(supervisor)
    page = supervisor.get("/office/setup").text
    for words in (
        "Split front",
        "Crest or patch",
        "Go on with a draft",
        "Band jackets, LARK",
        "Start from it",
    ):
        assert words in page


def test_a_usual_job_needs_the_outline_the_tape_colours_and_garments_alone(supervisor: FlaskClient) -> None:
    draft = begin(supervisor)
    first = draw(supervisor, draft, {})
    assert first["faults"] == {}
    assert "Still needed: the title, the customer, the due date" in first["words"]["part-missing"]
    found = draw(supervisor, draft, {**NEEDED, "outline": outline()})
    assert (found["faults"], found["words"]["part-missing"]) == ({}, "")
    assert "6 garments: M 4, XL 2" in found["words"]["part-understood"]
    answer = supervisor.post(f"/office/setup/{draft}/save", data=NEEDED)
    (row,) = jobs()
    assert answer.location == f"/office/jobs/{row.code}"
    assert job_view(row).job == LARK.job


def test_the_plan_is_drawn_with_its_pictures_warnings_and_sums(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    found = draw(supervisor, draft, {"opening.under_cover": "3 mm", "hoop.field.0": "150 mm"})
    assert "3 mm" in found["preview"]
    assert "short" in found["preview"] or "cover" in found["preview"]
    assert "does not fit the hoop" in found["preview"]
    addresses = re.findall(r'src="([^"]+)"', found["preview"])
    assert len(addresses) == 4 or len(addresses) == 8
    for address in addresses:
        answer = supervisor.get(address.replace("&amp;", "&"))
        assert answer.mimetype == "image/svg+xml"
        assert answer.text.startswith("<svg")
    assert "style=" not in found["preview"]


def test_a_bad_number_stands_beside_its_field_and_the_last_plan_stays(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    found = draw(supervisor, draft, {"opening.span": "wide", "machine.heads": "two"})
    assert set(found["faults"]) == {"opening.span", "machine.heads"}
    assert found["preview"] is None
    assert "once what is marked has been put right" in found["stale"]
    page = supervisor.get(f"/office/setup/{draft}").text
    assert 'value="wide"' in page
    assert page.count('aria-invalid="true"') == 2


def test_saving_too_early_lists_what_is_missing_with_links_and_keeps_all(supervisor: FlaskClient) -> None:
    draft = begin(supervisor)
    answer = supervisor.post(f"/office/setup/{draft}/save", data={"title": "Half a job"})
    assert answer.status_code == 422
    assert "Not saved yet" in answer.text
    for key in ("customer", "opening-span", "garments"):
        assert f'href="#f-{key}' in answer.text.replace("_2e_", "-"), key
    assert 'value="Half a job"' in answer.text
    assert jobs() == []


def test_the_list_on_top_names_each_field_and_keeps_the_order_of_the_page(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    typed = {
        **NEEDED,
        "customer": "",
        "machine.speed": "",
        "opening.sizes.S.overlap": "9",
        "layer.1.colour": " ",
    }
    page = supervisor.post(f"/office/setup/{draft}/save", data=typed).text
    told = re.findall(r'<li><a href="#[^"]+">([^<]+)</a>', page)
    assert told[0] == "Fill in the customer."
    assert "for a size that no garment has" in told[1]
    assert told[2:] == ["Fill in the colour of Letters.", "Fill in the machine&#39;s speed."]


def test_what_cannot_be_sewn_is_not_saved(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    answer = supervisor.post(f"/office/setup/{draft}/save", data={**NEEDED, "design.centre.0": "230"})
    assert answer.status_code == 422
    assert "Nothing of the design lies on the right front" in answer.text
    assert jobs() == []


def test_two_saves_at_once_make_one_job(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    first, second = (supervisor.post(f"/office/setup/{draft}/save", data=NEEDED) for _ in range(2))
    assert first.location == second.location
    assert len(jobs()) == 1


def test_a_job_is_changed_by_a_revision_and_its_file_comes_back_as_the_same_job(
    supervisor: FlaskClient, larkspur: str
) -> None:
    draft = int(supervisor.post(f"/office/jobs/{larkspur}/change").location.rpartition("/")[2])
    assert "Saving makes revision 2" in supervisor.get(f"/office/setup/{draft}").text
    answer = supervisor.post(f"/office/setup/{draft}/save", data={"design.height": "110 mm"})
    assert answer.location == f"/office/jobs/{larkspur}"
    assert "is now revision 2" in supervisor.get(answer.location).text
    row = find_job(larkspur)
    assert row is not None
    assert job_view(row).job.design.height == 110
    packed = supervisor.get(f"/office/jobs/{larkspur}/file")
    assert packed.mimetype == "application/zip"
    assert packed.headers["Content-Disposition"].startswith("attachment")
    source = read_job_bytes({"job.zip": packed.data}, route_needs())
    assert (source.job, source.svg_text) == (job_view(row).job, LARK.svg_text)


def test_a_change_that_changes_nothing_is_said(supervisor: FlaskClient, larkspur: str) -> None:
    draft = int(supervisor.post(f"/office/jobs/{larkspur}/change").location.rpartition("/")[2])
    answer = supervisor.post(f"/office/setup/{draft}/save", data={})
    assert answer.status_code == 422
    assert "Nothing is changed" in answer.text


def test_a_new_order_from_a_job_asks_for_its_day_and_garments(supervisor: FlaskClient, larkspur: str) -> None:
    draft = int(supervisor.post(f"/office/jobs/{larkspur}/again").location.rpartition("/")[2])
    found = draw(supervisor, draft, {})
    assert found["words"]["part-missing"] == "Still needed: the due date and the garments."
    assert found["preview"] is not None


def test_layers_are_added_moved_and_taken_out(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)

    def names(deed: str) -> list[str]:
        assert supervisor.post(f"/office/setup/{draft}/layers", data={"deed": deed}).status_code == 302
        row = find_draft(draft)
        assert row is not None
        return [row.form[key] for key in sorted(row.form) if re.fullmatch(r"layer\.\d+\.name", key)]

    assert names("add") == ["Ground", "Letters", ""]
    assert names("remove 2") == ["Ground", "Letters"]
    assert names("up 0") == ["Letters", "Ground"]
    assert names("down 1") == ["Ground", "Letters"]
    assert names("remove 99") == names("sideways x") == ["Ground", "Letters"]


def test_a_dropped_draft_can_be_taken_back(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    page = supervisor.post(f"/office/setup/{draft}/drop", follow_redirects=True).text
    assert f'action="/office/setup/{draft}/take-up"' in page
    assert open_drafts() == []
    again = supervisor.post(f"/office/setup/{draft}/take-up", follow_redirects=True).text
    assert 'value="Larkspur Lane Marching Band"' in again


def test_a_draft_gives_its_job_file_once_it_is_one(supervisor: FlaskClient) -> None:
    early = begin(supervisor)
    page = supervisor.get(f"/office/setup/{early}/file", follow_redirects=True)
    assert "It is no job file yet" in page.text
    packed = supervisor.get(f"/office/setup/{filled(supervisor)}/file")
    assert read_job_bytes({"job.zip": packed.data}, route_needs()).job == LARK.job


def test_another_page_that_typed_in_the_draft_is_told_of(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    seen = draw(supervisor, draft, {"title": "One"})["seen"]
    row = db.session.get(DraftRow, draft)
    assert row is not None
    row.changed_at += 5
    db.session.commit()
    assert "also typed in" in draw(supervisor, draft, {"seen": seen})["words"]["elsewhere"]


@pytest.mark.parametrize(
    ("svg", "says"),
    [
        ('<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg"/>', "entities"),
        ("\x89PNG not a drawing", "not XML"),
        ('<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', "no closed shape"),
        ('<svg xmlns="http://www.w3.org/2000/svg"><text id="Zanzabelle">Zanzabelle</text></svg>', "is text"),
    ],
)
def test_a_hostile_outline_gets_one_sentence_and_nothing_of_it_comes_back(
    supervisor: FlaskClient, svg: str, says: str
) -> None:
    draft = begin(supervisor)
    found = draw(supervisor, draft, {"outline": outline(svg, "<b>drawing</b>.svg")})
    sentence = found["faults"]["design.outline"]
    assert says in sentence
    whole = str(found) + supervisor.get(f"/office/setup/{draft}").text
    for echoed in ("Zanzabelle", "alert(1)", "<b>drawing"):
        assert echoed not in whole


def test_markup_in_a_field_is_shown_as_text(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    nasty = '"><script>alert(1)</script>'
    found = draw(supervisor, draft, {"title": nasty, "layer.0.name": nasty, "garments": f"{nasty}\tX"})
    page = supervisor.get(f"/office/setup/{draft}").text
    assert "<script>alert" not in page + (found["preview"] or "") + "".join(found["parts"].values())


def test_forty_garments_and_two_thousand(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    forty = "\n".join(f"{'M' if i % 2 else 'XL'}\tName {i}" for i in range(40))
    assert "40 garments" in draw(supervisor, draft, {"garments": forty})["words"]["part-understood"]
    assert "2000 garments" in draw(supervisor, draft, {"garments": "M x 2000"})["words"]["part-understood"]
    assert "garments" in draw(supervisor, draft, {"garments": "M x 2001"})["faults"]


def test_an_unknown_draft_route_or_picture_answers_one_sentence(supervisor: FlaskClient) -> None:
    assert supervisor.get("/office/setup/999").status_code == 404
    assert "no route" in supervisor.post("/office/setup", data={"route": "sideways"}).text
    assert supervisor.get(f"/office/setup/{begin(supervisor)}/picture/0a/closed.svg").status_code == 404
    too_much = supervisor.post(f"/office/setup/{begin(supervisor)}/draw.json", data={"title": "x" * 250_000})
    assert too_much.status_code == 413
    assert "bring a job as large as this in as a job file" in too_much.json["error"]["message"]


def test_a_saved_draft_leads_to_its_job(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    location = supervisor.post(f"/office/setup/{draft}/save", data=NEEDED).location
    assert supervisor.get(f"/office/setup/{draft}").location == location


def test_a_stranger_and_another_site_change_nothing(supervisor: FlaskClient, client: FlaskClient) -> None:
    draft = begin(supervisor)
    for path in ("", "/draw.json", "/layers", "/save", "/drop", "/take-up"):
        answer = client.post(f"/office/setup/{draft}{path}", data={"title": "Not yours"})
        assert (answer.status_code, answer.location[:15]) == (302, "/office/sign-in"), path
    elsewhere = {"Origin": "http://elsewhere.test"}
    answer = supervisor.post(f"/office/setup/{draft}", data={"title": "Not yours"}, headers=elsewhere)
    assert answer.status_code == 403
    row = find_draft(draft)
    assert row is not None
    assert row.form["title"] == ""
    assert row.dropped_at is None


def test_a_new_layer_is_where_the_page_goes_on(supervisor: FlaskClient) -> None:
    answer = supervisor.post(f"/office/setup/{filled(supervisor)}/layers", data={"deed": "add"})
    assert answer.location.endswith("#layer-2")


def test_the_address_of_a_dropped_draft_says_so(supervisor: FlaskClient) -> None:
    draft = filled(supervisor)
    supervisor.post(f"/office/setup/{draft}/drop")
    assert "was dropped" in supervisor.get(f"/office/setup/{draft}", follow_redirects=True).text
