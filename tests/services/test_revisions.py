"""A job is changed by a new revision: what has begun goes on by its own, what begins is made by the newest."""

from __future__ import annotations

import dataclasses
import uuid
from datetime import date

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import inspect

from floor.domain.job import HouseRules
from floor.domain.run_state import Status
from floor.jobfile.writing import data_of
from floor.queries.planned import NothingToSew
from floor.queries.views import revision_plan
from floor.services.intake import approve_from_office
from floor.services.jobs import AlreadyImported, RevisionRefused, import_job, remove_job
from floor.services.proof import check, rebuild
from floor.services.rehearsal import open_run, walk
from floor.store.models import RunRow, db
from tests.conftest import OPERATOR, START, SUPERVISOR, Tablet, demo_source, make_tablet, view_of
from tests.services.revised import revise_job, revised, without_route

LARK = demo_source("larkspur-jackets")
LAYERS = data_of(LARK.toml_text)["layer"]
TRIM = {
    "name": "Trim", "fabric": "felt", "colour": "gold", "offset": "10 mm", "placement_line": False, "tack": "run",
    "border": {"width": "3 mm", "spacing": "0.4 mm", "thread": "gold 40"},
}  # fmt: skip
NO_AREA = '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0 L40 40 Z"/></svg>'
LATER = START + 100_000_000
COLUMNS = tuple(column.key for column in inspect(RunRow).column_attrs)
PAGES = (
    "/office/", "/office/time-log", "/office/set-aside", "/office/problems", "/office/jobs",
    "/office/jobs/{code}", "/office/jobs/{code}/time", "/office/export/phases.csv", "/office/export/runs.csv",
    "/office/export/events.csv", "/office/export/problems.csv", "/tablet", "/T/{code}", "/T/{code}/1",
    "/office/runs/{run}", "/tablet/run/{run}", "/tablet/run/{run}.json",
)  # fmt: skip


def run_row(run: str) -> RunRow:
    db.session.expire_all()
    return db.session.get_one(RunRow, run)


def assert_pages_open(browser: FlaskClient, code: str, run: str) -> None:
    for address in PAGES:
        with browser.get(address.format(code=code, run=run)) as page:
            assert page.text, address
            assert page.status_code == 200, address


class TestARevision:
    def test_is_kept_beside_the_earlier_ones_with_the_route_and_rules_of_its_day(self, larkspur: str) -> None:
        source = revised(LARK, title="More jackets", customer="Larkspur Lane", due=date(2027, 1, 15))
        row = revise_job(larkspur, source, "Noor", LATER, HouseRules(first_piece=False))
        assert (row.title, row.customer, row.due) == ("More jackets", "Larkspur Lane", date(2027, 1, 15))
        first, second = row.revisions
        assert (first.job_text, first.house["first_piece"]) == (LARK.toml_text, True)
        assert (second.number, second.created_by, second.created_at) == (2, "Noor", LATER)
        assert (second.job_text, second.house["first_piece"]) == (source.toml_text, False)
        assert second.route_text == first.route_text
        assert view_of(larkspur).job == source.job

    def test_that_changes_nothing_is_refused_whatever_the_files_look_like(self, larkspur: str) -> None:
        rules = HouseRules(edge_sealing=True)
        for same in (LARK, revised(LARK)):
            with pytest.raises(RevisionRefused, match="Nothing is changed against revision 1"):
                revise_job(larkspur, same, SUPERVISOR, LATER, rules)
        assert len(revise_job(larkspur, LARK, SUPERVISOR, LATER, HouseRules()).revisions) == 2
        spaced = dataclasses.replace(LARK, svg_text=LARK.svg_text + "\n")
        assert len(revise_job(larkspur, spaced, SUPERVISOR, LATER, HouseRules()).revisions) == 3

    def test_can_go_back_to_the_jobs_own_earlier_files(self, larkspur: str) -> None:
        revise_job(larkspur, revised(LARK, title="Other"), SUPERVISOR, LATER)
        row = revise_job(larkspur, LARK, SUPERVISOR, LATER)
        assert [r.job_text == LARK.toml_text for r in row.revisions] == [True, False, True]
        with pytest.raises(AlreadyImported):
            import_job(LARK, SUPERVISOR, LATER)

    def test_with_the_very_files_of_another_job_is_refused(self, larkspur: str) -> None:
        order = revised(LARK, title="A second order")
        second = import_job(order, SUPERVISOR, START).code
        with pytest.raises(AlreadyImported, match="A second order") as refused:
            revise_job(larkspur, order, SUPERVISOR, LATER)
        assert refused.value.code == second
        with pytest.raises(AlreadyImported) as refused:
            revise_job(second, LARK, SUPERVISOR, LATER)
        assert refused.value.code == larkspur
        assert [view_of(code).revision for code in (larkspur, second)] == [1, 1]

    def test_of_which_nothing_can_be_sewn_is_refused(self, larkspur: str) -> None:
        flat = dataclasses.replace(LARK, svg_text=NO_AREA)
        thin = revised(LARK, layer=[LAYERS[0] | {"offset": "-80 mm"}, *LAYERS[1:]])
        for source in (flat, thin):
            with pytest.raises(NothingToSew):
                revise_job(larkspur, source, SUPERVISOR, LATER)
        assert view_of(larkspur).revision == 1

    def test_of_a_job_that_was_removed_is_refused(self, larkspur: str) -> None:
        remove_job(larkspur, "Noor", START)
        with pytest.raises(RevisionRefused, match="was removed by Noor; put it back"):
            revise_job(larkspur, revised(LARK, title="Other"), SUPERVISOR, LATER)

    def test_may_take_another_route_until_a_run_has_begun(self, tablet: Tablet, larkspur: str) -> None:
        closed = revised(LARK, route="closed", opening=None)
        revise_job(larkspur, closed, SUPERVISOR, LATER)
        assert view_of(larkspur).route.id == "closed"
        tablet.open(larkspur, "prepare")
        tablet.send()
        with pytest.raises(RevisionRefused, match='begun on the route "closed", which it must keep'):
            revise_job(larkspur, LARK, SUPERVISOR, LATER)

    def test_works_where_the_shop_has_done_away_with_the_route(
        self, tablet: Tablet, larkspur: str, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        source = revised(LARK, title="Other")
        without_route(monkeypatch, "split-front")
        row = revise_job(larkspur, source, SUPERVISOR, LATER)
        assert row.revisions[1].route_text == row.revisions[0].route_text
        tablet.walk(larkspur, "prepare")
        assert {answer.verdict for answer in tablet.send()} == {"applied"}

    @pytest.mark.parametrize(
        ("garments", "says"),
        [
            ([{"size": "M", "count": 1}], "Garment 2 has been begun and the list now ends with 1"),
            ([{"size": "M", "count": 1}, {"size": "XL", "count": 5}],
             'begun in size "M" and the list now has it in "XL"'),
            ([{"size": "M", "count": 4, "names": ["Bram", "Tansy"]}, {"size": "XL", "count": 2}],
             "Garment 2, Bram, has been begun and the list now has Bram as garment 1"),
        ],
    )  # fmt: skip
    def test_keeps_begun_garments_in_their_places(
        self, tablet: Tablet, larkspur: str, garments: list[dict[str, object]], says: str
    ) -> None:
        opening = {key: value for key, value in data_of(LARK.toml_text)["opening"].items() if key != "sizes"}
        source = revised(LARK, garment=garments, opening=opening)
        tablet.walk(larkspur, "prepare")
        tablet.open(larkspur, "front-left", (2,))
        tablet.send()
        with pytest.raises(RevisionRefused, match=says):
            revise_job(larkspur, source, SUPERVISOR, LATER)

    def test_may_put_names_right_and_change_garments_that_were_not_begun(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        taken_back = tablet.open(larkspur, "front-left", (5,))
        tablet.tap(taken_back, "undo", 0, event=tablet.hands.events[-1]["id"])
        tablet.walk(larkspur, "front-left", (1,))
        tablet.send()
        source = revised(
            LARK,
            garment=[
                {"size": "M", "count": 2, "names": ["Odile W."]},
                {"size": "L", "count": 1},
                {"size": "XL", "count": 1},
            ],
        )
        revise_job(larkspur, source, SUPERVISOR, LATER)
        view = view_of(larkspur)
        assert [garment.size for garment in view.job.garments] == ["M", "M", "L", "XL"]
        assert set(view.progress.garments) == {1, 2, 3, 4}
        assert check().whole


class TestRunsOfAnEarlierRevision:
    def test_go_on_by_it_while_new_runs_open_on_the_newest(
        self, tablet: Tablet, larkspur: str, supervisor: FlaskClient
    ) -> None:
        tablet.walk(larkspur, "prepare")
        old = tablet.walk(larkspur, "front-left", (1,), stop=4)
        tablet.send()
        before = view_of(larkspur)
        revise_job(larkspur, revised(LARK, layer=[TRIM, *LAYERS]), SUPERVISOR, tablet.hands.at)
        view = view_of(larkspur)
        assert view.revision == 2
        assert run_row(old).status == Status.WORKING
        checklist = before.plan.checklist("front-left", (1,), True)
        assert run_row(old).phase_count == len(checklist.phases)
        assert len(view.plan.checklist("front-left", (1,), True).phases) > len(checklist.phases)
        reached = walk(tablet.hands, old, checklist, start=4)
        assert reached == len(checklist.phases)
        assert {answer.verdict for answer in tablet.send()} == {"applied"}
        assert run_row(old).status == Status.FINISHED
        new = tablet.walk(larkspur, "front-right", (1,))
        assert {answer.verdict for answer in tablet.send()} == {"applied"}
        assert [run_row(run).revision for run in (old, new)] == [1, 2]
        assert view_of(larkspur).progress.garments[1].done == {"front-left": old, "front-right": new}
        proof = check()
        assert proof.whole, proof.faults
        assert_pages_open(supervisor, larkspur, old)

    def test_may_still_be_opened_by_a_tablet_that_has_not_heard_of_the_newest(
        self, tablet: Tablet, larkspur: str
    ) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        revise_job(larkspur, revised(LARK, layer=[TRIM, *LAYERS]), SUPERVISOR, tablet.hands.at)
        away = make_tablet(seed=2, at=tablet.hands.at + 60_000)
        old_plan = revision_plan(view_of(larkspur).row, 1)
        assert old_plan is not None
        checklist = old_plan.checklist("front-left", (1,), True)
        run = away.hands.new_run()
        opening = {
            "job": larkspur, "revision": 1, "section": "front-left", "garments": [1],
            "first_piece": True, "operator": OPERATOR, "cause": "",
        }  # fmt: skip
        open_run(away.hands, run, opening)
        walk(away.hands, run, checklist)
        assert {answer.verdict for answer in away.send()} == {"applied"}
        assert (run_row(run).revision, run_row(run).status) == (1, Status.FINISHED)
        assert run_row(run).phase_count == len(checklist.phases)
        assert view_of(larkspur).progress.garments[1].done == {"front-left": run}
        assert check().whole

    def test_are_made_again_from_their_events_as_they_were(self, tablet: Tablet, larkspur: str) -> None:
        tablet.walk(larkspur, "prepare")
        old = tablet.walk(larkspur, "front-left", (1,), stop=4)
        tablet.send()
        revise_job(larkspur, revised(LARK, layer=[TRIM, *LAYERS]), SUPERVISOR, tablet.hands.at)
        before = {column: getattr(run_row(old), column) for column in COLUMNS}
        assert check().whole
        assert rebuild() == 2
        assert {column: getattr(run_row(old), column) for column in COLUMNS} == before
        assert check().whole

    def test_stay_what_they_were_when_the_fronts_change_places(self, tablet: Tablet, larkspur: str) -> None:
        tablet.walk(larkspur, "prepare")
        left = tablet.walk(larkspur, "front-left", (1,))
        tablet.send()
        opening = {**data_of(LARK.toml_text)["opening"], "top_front": "right"}
        revise_job(larkspur, revised(LARK, opening=opening), SUPERVISOR, tablet.hands.at)
        assert run_row(left).refusal == ""
        right = tablet.walk(larkspur, "front-right", (1,))
        assert {answer.verdict for answer in tablet.send()} == {"applied"}
        progress = view_of(larkspur).progress
        assert progress.garments[1].done == {"front-left": left, "front-right": right}
        assert progress.next_section(1) == view_of(larkspur).sections[-1]
        assert check().whole

    def test_keep_their_loads_when_heads_are_taken_away(self, tablet: Tablet, app: Flask) -> None:
        two_heads = revised(LARK, machine={"speed": 650, "heads": 2})
        code = import_job(two_heads, SUPERVISOR, START).code
        tablet.walk(code, "prepare")
        both = tablet.walk(code, "front-left", (1, 2))
        tablet.send()
        revise_job(code, LARK, SUPERVISOR, tablet.hands.at)
        assert view_of(code).load_size == 1
        assert (run_row(both).refusal, run_row(both).status) == ("", Status.FINISHED)
        assert check().whole

    def test_need_no_approval_that_only_the_newest_asks_for(self, tablet: Tablet, app: Flask) -> None:
        opening = {key: value for key, value in data_of(LARK.toml_text)["opening"].items() if key != "sizes"}
        alone = revised(LARK, garment=[{"size": "M", "count": 1}], opening=opening)
        code = import_job(alone, SUPERVISOR, START).code
        assert not view_of(code).plan.approval_needed
        runs = [tablet.walk(code, "prepare")]
        runs += [tablet.walk(code, section, (1,)) for section in ("front-left", "front-right", "finish")]
        tablet.send()
        assert view_of(code).progress.garments[1].finished
        revise_job(code, revised(alone, garment=[{"size": "M", "count": 3}]), SUPERVISOR, tablet.hands.at)
        assert [run_row(run).refusal for run in runs] == [""] * 4
        view = view_of(code)
        assert view.progress.garments[1].finished
        assert view.progress.approval_owed
        first = tablet.walk(code, "front-left", (2,))
        assert {answer.verdict for answer in tablet.send()} == {"applied"}
        assert run_row(first).first_piece
        assert check().whole

    def test_are_set_aside_when_they_come_late_with_a_garment_that_is_gone(
        self, tablet: Tablet, larkspur: str, supervisor: FlaskClient
    ) -> None:
        tablet.walk(larkspur, "prepare")
        tablet.send()
        late = tablet.open(larkspur, "front-left", (6,))
        revise_job(
            larkspur,
            revised(LARK, garment=[{"size": "M", "count": 4}, {"size": "XL", "count": 1}]),
            SUPERVISOR,
            tablet.hands.at,
        )
        [answer] = tablet.send()
        assert answer.verdict == "aside"
        assert "Garment 6 was taken off this job by a newer revision" in answer.reason
        assert_pages_open(supervisor, larkspur, late)
        assert check().whole
        rebuild()
        assert "Garment 6 was taken off" in run_row(late).refusal
        assert check().whole
        revise_job(larkspur, LARK, SUPERVISOR, tablet.hands.at)
        assert run_row(late).refusal == ""
        assert check().whole

    def test_keep_an_approval_that_was_given(self, tablet: Tablet, larkspur: str) -> None:
        tablet.walk(larkspur, "prepare")
        for section in ("front-left", "front-right", "finish"):
            last = tablet.walk(larkspur, section, (1,))
            tablet.send()
        tablet.hands.at += 60_000
        approve_from_office(last, SUPERVISOR, tablet.hands.at, str(uuid.uuid4()))
        assert not view_of(larkspur).progress.approval_owed
        revise_job(larkspur, revised(LARK, layer=[TRIM, *LAYERS]), SUPERVISOR, tablet.hands.at)
        assert not view_of(larkspur).progress.approval_owed
        assert check().whole
