"""A house that sews the under front first: everything goes in that order, and what it costs is said."""

from __future__ import annotations

from math import sqrt

import pytest
from flask import Flask, render_template
from flask.testing import FlaskClient

from floor.domain.job import HouseRules
from floor.domain.route import expand, sections_of
from floor.drawing import phase_picture
from floor.places import page_folder
from floor.queries.office.job import job_page
from floor.queries.office.setup_reading import page_of
from floor.queries.plan_words import under_first_words
from floor.queries.planned import planned_file, planned_text
from floor.queries.ticket import ticket_page
from floor.services.drafts import draft_from_job
from floor.services.jobs import RevisionRefused, import_job
from floor.ticket_page import pictures_of
from tests.conftest import START, SUPERVISOR, Tablet, demo_source, view_of
from tests.services.drawing_cases import (
    assert_apart_and_whole,
    discs,
    job_on,
    plan_of,
    read,
    route_of,
    sewn_box,
)
from tests.services.revised import revise_job, revised

UNDER_FIRST = HouseRules(under_first=True)
LARK = demo_source("larkspur-jackets")  # its left front lies on top
LATER = START + 100_000_000
COSTS = "lies 1.4 times as far off its drawn place on average"


@pytest.fixture
def under(app: Flask) -> str:
    return import_job(LARK, SUPERVISOR, START, UNDER_FIRST).code


class TestItSaysWhatItCosts:
    def test_in_two_sentences_and_only_there(self) -> None:
        said = under_first_words(LARK.job, UNDER_FIRST)
        assert said.count(". ") == 1
        assert f"{sqrt(2):.1f} times" in said
        assert "FLOOR_FIRST_FRONT=top" in said
        assert under_first_words(LARK.job, HouseRules()) == ""
        assert under_first_words(demo_source("tinhill-pullovers").job, UNDER_FIRST) == ""

    def test_on_the_job_s_page_and_on_its_ticket(self, under: str, supervisor: FlaskClient) -> None:
        assert COSTS in supervisor.get(f"/office/jobs/{under}").text
        assert COSTS in supervisor.get(f"/office/jobs/{under}/ticket").text

    def test_nowhere_where_the_top_front_comes_first(self, larkspur: str, supervisor: FlaskClient) -> None:
        for address in (f"/office/jobs/{larkspur}", f"/office/jobs/{larkspur}/ticket"):
            assert "times as far off" not in supervisor.get(address).text

    def test_on_the_page_where_a_job_is_set_up(self, app: Flask, larkspur: str) -> None:
        draft = draft_from_job(larkspur, SUPERVISOR, LATER, change=False)
        for house, said in ((UNDER_FIRST, True), (HouseRules(), False)):
            page = page_of(draft, house)
            with app.test_request_context():
                assert (COSTS in render_template("office/setup_preview.html", page=page)) == said

    def test_in_the_plan_that_a_terminal_shows(self) -> None:
        planned = planned_file(page_folder("demo_jobs") / "larkspur-jackets")
        text = planned_text(planned, UNDER_FIRST)
        assert "FLOOR_FIRST_FRONT=top" in text
        assert text.index("Right front, sewn first") < text.index("Left front, sewn second")
        assert "FLOOR_FIRST_FRONT" not in planned_text(planned)


class TestItsOrder:
    def test_is_that_of_the_sections_and_of_the_garments_on_the_job_s_page(self, under: str) -> None:
        keys = [section.key for section in view_of(under).sections]
        assert keys == ["prepare", "front-right", "front-left", "finish"]
        assert job_page(view_of(under), LATER).sections == (
            "Sew the right front", "Sew the left front", "Finish",
        )  # fmt: skip

    def test_is_that_of_the_stop_sheets_sums_numbers_and_pictures(self, under: str) -> None:
        page, ticket = job_page(view_of(under), LATER), ticket_page(view_of(under))
        order = ["Right front, sewn first", "Left front, sewn second"]
        assert [sheet.title for sheet in ticket.sheets] == order
        assert [sheet.title for sheet in page.plan.sheets] == order
        assert [front.title for front in page.plan.sizes[0].fronts] == order
        assert ("Top front", "left, sewn second") in ticket.numbers.opening_facts
        hooped = ["The right front in its hoop", "The left front in its hoop"]
        assert [picture.words for picture in page.pictures][1:] == hooped
        printed = [picture.words for picture in pictures_of(view_of(under))]
        assert printed[1:] == [f"{words}, size M" for words in hooped]

    def test_is_that_of_the_set_up_page(self, app: Flask, larkspur: str) -> None:
        draft = draft_from_job(larkspur, SUPERVISOR, LATER, change=False)
        preview = page_of(draft, UNDER_FIRST).preview
        assert preview is not None
        assert preview.plan.sheets[0].title == "Right front, sewn first"
        assert [fact.split(":")[0] for fact in preview.groups[0].facts] == ["Right front", "Left front"]

    def test_has_the_under_front_measured_before_the_top_front_is_laid(self, under: str) -> None:
        plan = view_of(under).plan
        first = {phase.key for phase in plan.checklist("front-right", (1,), True).phases}
        second = plan.checklist("front-left", (1,), True).phases
        assert "measure-other" not in first
        assert second[0].key == "measure-other"
        assert second[0].title == "Measure the right front as sewn"
        (check,) = (phase for phase in second if phase.key == "check-place")
        assert check.place is not None
        assert (check.place.sums.front, check.place.against) == ("left", "measure-other")

    def test_is_that_of_the_pictures(self) -> None:
        plan, route = plan_of(job_on("split-front")), route_of("split-front")
        assert [s.front for s in sections_of(route, plan.job, UNDER_FIRST)] == [None, "right", "left", None]
        checklist = expand(route, plan, UNDER_FIRST, "front-left", (1,), True)
        as_sewn = read(phase_picture(plan, checklist, 0, "M"))
        # The right front with its sewing, which ends 8 mm beyond the seam at x = -12.
        assert sewn_box(as_sewn, 4)[2] == pytest.approx(-4, abs=0.06)
        assert sorted(mark for mark, *_ in discs(as_sewn)) == list("1234")
        assert_apart_and_whole(as_sewn)
        index = next(i for i, phase in enumerate(checklist.phases) if phase.key == "check-place")
        assert sorted(m for m, *_ in discs(read(phase_picture(plan, checklist, index, "M")))) == list("1234")

    def test_takes_a_garment_through_to_its_end(self, under: str, tablet: Tablet) -> None:
        runs = [tablet.walk(under, "prepare")]
        for section in ("front-right", "front-left", "finish"):
            runs.append(tablet.walk(under, section, (1,)))
        assert {answer.verdict for answer in tablet.send()} == {"applied"}
        assert set(view_of(under).progress.garments[1].done) >= {"front-right", "front-left"}


class TestAJobThatRunsHaveBegun:
    """The second front of a garment is set by the first, so the order cannot turn round between them."""

    def test_keeps_its_order_whatever_the_house_has_decided_since(self, under: str, tablet: Tablet) -> None:
        tablet.walk(under, "prepare")
        tablet.walk(under, "front-right", (1,))
        tablet.send()
        revise_job(under, revised(LARK, title="More jackets"), SUPERVISOR, LATER, HouseRules())
        view = view_of(under)
        assert (view.revision, view.plan.house.under_first) == (2, True)
        upcoming = view.progress.next_section(1)
        assert upcoming is not None
        assert upcoming.key == "front-left"
        assert view.plan.checklist("front-left", (1,), True).phases[0].key == "measure-other"

    def test_is_not_changed_by_the_order_alone(self, larkspur: str, tablet: Tablet) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        rules = HouseRules(edge_sealing=True, under_first=True)
        with pytest.raises(RevisionRefused, match="Nothing is changed"):
            revise_job(larkspur, LARK, SUPERVISOR, LATER, rules)

    def test_is_set_up_anew_in_the_order_that_it_keeps(self, under: str, tablet: Tablet) -> None:
        draft = draft_from_job(under, SUPERVISOR, LATER, change=True)
        before = page_of(draft, HouseRules()).preview
        tablet.walk(under, "prepare")
        tablet.send()
        after = page_of(draft, HouseRules()).preview
        assert before is not None
        assert after is not None
        assert (before.plan.order, COSTS in after.plan.order) == ("", True)

    def test_takes_the_house_s_order_before_any_run(self, under: str) -> None:
        revise_job(under, LARK, SUPERVISOR, LATER, HouseRules())
        assert not view_of(under).plan.house.under_first


def test_a_garment_that_is_placed_by_chalked_lines_has_them_on_its_ticket(app: Flask) -> None:
    view = view_of(import_job(demo_source("tinhill-pullovers"), SUPERVISOR, START).code)
    y0, y1 = view.sums.sizes["S"].window
    facts = dict(ticket_page(view).numbers.machine)
    assert facts["Lines to chalk"].startswith(f"top and bottom {y1 - y0:.1f} mm apart")
    for folder in ("larkspur-jackets", "quarry-crest"):
        other = view_of(import_job(demo_source(folder), SUPERVISOR, START).code)
        assert "Lines to chalk" not in dict(ticket_page(other).numbers.machine)
