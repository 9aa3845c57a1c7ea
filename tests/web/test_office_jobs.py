"""Jobs, time log, runs and problems as the supervisor sees them."""

from __future__ import annotations

import hashlib
import html
import re
from dataclasses import dataclass
from uuid import uuid4

import pytest
from flask import Flask
from flask.testing import FlaskClient

from floor.domain import plan
from floor.domain.plan_warnings import PlanWarning
from floor.queries import views
from floor.queries.office.counts import Counts
from floor.queries.office.minutes import minutes_chart
from floor.queries.office.revisions import revision_lines
from floor.queries.office.spent import fates_of
from floor.queries.office.timelog import PARTS, TimeLog, time_log_of
from floor.queries.views import find_job
from floor.services.intake import approve_from_office, take_in
from floor.services.jobs import import_job
from floor.services.rehearsal import walk
from floor.store.models import EventRow, JobRevision, PhaseTimeRow, RunRow, db
from floor.web import office_jobs
from tests.conftest import START, SUPERVISOR, Tablet, demo_source, view_of


@dataclass
class Finished:
    """A garment that went through every section, its first piece approved by the office."""

    code: str
    runs: list[str]


@pytest.fixture
def finished(larkspur: str, tablet: Tablet) -> Finished:
    runs = []
    for section in view_of(larkspur).sections:
        load = (1,) if section.scope == "load" else ()
        runs.append(tablet.walk(larkspur, section.key, load))
        tablet.send()
    finish = db.session.get_one(RunRow, runs[-1])
    assert finish.approval_owed
    at = finish.phase
    tablet.hands.at += 200_000
    approve_from_office(finish.id, SUPERVISOR, tablet.hands.at, str(uuid4()))
    checklist = view_of(larkspur).plan.checklist(finish.section, (1,), True)
    tablet.hands.at += 1_000
    walk(tablet.hands, finish.id, checklist, start=at, approved=True)
    tablet.send()
    assert view_of(larkspur).progress.garments[1].finished
    return Finished(larkspur, runs)


def log_of(code: str) -> TimeLog:
    row = find_job(code)
    assert row is not None
    return time_log_of(row, {g.number: g.size for g in view_of(code).job.garments})


def test_every_line_of_the_time_log_adds_up_to_its_runs_span(finished: Finished) -> None:
    log = log_of(finished.code)
    runs = [run for load in log.loads for run in load.runs]
    assert {run.run for run in runs} == set(finished.runs)
    for run in runs:
        row = db.session.get_one(RunRow, run.run)
        assert row.ended_at is not None
        assert run.span == round((row.ended_at - row.opened_at) / 1000)
        assert run.seconds.total == run.span
        assert run.unlogged == 0
        for at, _ in enumerate(PARTS):
            assert sum(phase.seconds.parts[at] for phase in run.phases) == run.seconds.parts[at]
    assert log.seconds.total == sum(load.seconds.total for load in log.loads) == sum(r.span for r in runs)


def test_no_shown_second_is_a_whole_second_off_what_was_logged(finished: Finished) -> None:
    shown = {
        (run.run, phase.title): phase.seconds.parts
        for load in log_of(finished.code).loads
        for run in load.runs
        for phase in run.phases
    }
    for row in db.session.scalars(db.select(PhaseTimeRow)):
        exact = (row.work_s, row.rework_s, row.waiting_s, row.pause_s, row.problem_s)
        for seconds, cell in zip(exact, shown[row.run_id, row.title], strict=True):
            assert abs(seconds - cell) < 1.0


def test_pauses_problems_and_rework_stand_in_their_own_columns(larkspur: str, tablet: Tablet) -> None:
    tablet.walk(larkspur, "prepare")
    tablet.send()
    section = view_of(larkspur).progress.load_sections[0].key
    run = tablet.walk(larkspur, section, (1,), stop=2)
    tablet.tap(run, "pause", 2, reason="break")
    tablet.hands.at += 59_000
    tablet.tap(run, "resume", 2)
    met = tablet.tap(run, "problem", 2, problem="hoop-slipped")
    tablet.hands.at += 29_000
    tablet.tap(run, "cleared", 2, problem=met["id"], how="hooped again")
    tablet.tap(run, "redo", 2, cause="hoop-slipped", to=0)
    tablet.hands.at += 9_000
    tablet.tap(run, "note", 0, text="once more")
    tablet.send()
    seconds = next(r.seconds for load in log_of(larkspur).loads for r in load.runs if r.run == run)
    assert (seconds.pause, seconds.problem, seconds.rework) == (60, 30, 10)


def test_the_chart_has_each_phase_once_with_the_mean_over_garments(finished: Finished) -> None:
    view = view_of(finished.code)
    chart = minutes_chart(view, fates_of(view.row.id))
    bars = [bar for section in chart.sections for bar in section.bars]
    assert all(bar.count == 1 and bar.usual is not None for bar in bars)
    logged = db.session.scalars(
        db.select(PhaseTimeRow)
        .join(RunRow, RunRow.id == PhaseTimeRow.run_id)
        .where(RunRow.id.in_(finished.runs[1:]))
    )
    together = sum(bar.total_s for bar in bars)
    assert together == pytest.approx(sum(r.work_s + r.rework_s + r.waiting_s for r in logged))
    widest = max(bar.total_s for bar in bars)
    assert float(chart.percent(widest).rstrip("%")) <= 80.0


def test_the_time_page_shows_chart_and_tables(supervisor: FlaskClient, finished: Finished) -> None:
    page = supervisor.get(f"/office/jobs/{finished.code}/time").text
    assert "Where a garment's minutes go" in page
    assert "Garment 1" in page
    assert "The whole job" in page
    assert "1 finished" in page
    assert "style=" not in page


def test_a_job_with_nothing_logged_leads_on_to_its_ticket(supervisor: FlaskClient, larkspur: str) -> None:
    page = supervisor.get(f"/office/jobs/{larkspur}/time").text
    assert "Nothing was logged for this job yet" in page
    assert f"/office/jobs/{larkspur}/ticket" in page


def test_an_empty_shop_leads_on_to_bringing_in_a_job(supervisor: FlaskClient) -> None:
    for path in ("/office/", "/office/jobs", "/office/time-log"):
        assert "/office/import" in supervisor.get(path).text
    for path in ("/office/problems", "/office/set-aside", "/office/export", "/office/people"):
        assert supervisor.get(path).status_code == 200


def test_the_list_says_how_far_a_job_is_and_how_late(supervisor: FlaskClient, finished: Finished) -> None:
    row = find_job(finished.code)
    assert row is not None
    page = supervisor.get("/office/jobs").text
    assert "1 finished, 5 to start" in page
    row.due = row.due.replace(year=2020)
    db.session.commit()
    assert re.search(r"\d+ days late", supervisor.get("/office/jobs").text)


def test_every_garment_is_counted_once() -> None:
    counts = Counts(finished=9, under_way=1, scrapped=1, to_start=1)
    assert counts.sentence == "9 finished, 1 in work, 1 scrapped, 1 to start"
    assert len(counts.stitches) == counts.total == 12
    assert Counts(2, 0, 0, 0).sentence == "all 2 finished"
    assert Counts(0, 0, 0, 1).sentence == "1 garment, none started"


def test_a_removed_job_leaves_the_list_and_can_be_put_back(supervisor: FlaskClient, larkspur: str) -> None:
    after = supervisor.post(f"/office/jobs/{larkspur}/remove", follow_redirects=True).text
    assert "off the lists" in after
    assert f'action="/office/jobs/{larkspur}/restore"' in after
    assert "1 removed job" in after
    assert "Removed by Maren" in supervisor.get(f"/office/jobs/{larkspur}").text
    supervisor.post(f"/office/jobs/{larkspur}/restore")
    assert "1 removed job" not in supervisor.get("/office/jobs").text


def test_the_first_piece_is_approved_with_one_button(
    supervisor: FlaskClient, larkspur: str, tablet: Tablet, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = ""
    for section in view_of(larkspur).sections:
        run = tablet.walk(larkspur, section.key, (1,) if section.scope == "load" else ())
        tablet.send()
    assert "Approve the first piece" in supervisor.get("/office/").text
    assert "waits for your approval" in supervisor.get(f"/office/jobs/{larkspur}").text
    monkeypatch.setattr(office_jobs, "now_ms", lambda: tablet.hands.at + 60_000)
    page = supervisor.post(f"/office/runs/{run}/approve", data={"from": "run"}, follow_redirects=True).text
    assert "The first piece is approved" in page
    assert "approved the first piece" in page
    assert db.session.get_one(RunRow, run).approved_at is not None
    again = supervisor.post(f"/office/runs/{run}/approve", follow_redirects=True).text
    assert "owes no approval now" in again


def test_a_run_shows_what_holds_what_was_taken_back_and_what_was_set_aside(
    supervisor: FlaskClient, larkspur: str, tablet: Tablet
) -> None:
    run = tablet.open(larkspur, "prepare")
    note = tablet.tap(run, "note", 0, text="the wrong lot")
    tablet.tap(run, "undo", 0, event=note["id"])
    tablet.tap(run, "resume", 0)
    tablet.send()
    page = supervisor.get(f"/office/runs/{run}").text
    assert re.search(r'class="taken-back".*?noted: the wrong lot', page, re.S)
    assert re.search(r'class="set-aside".*?went on', page, re.S)
    assert "went on" in supervisor.get("/office/set-aside").text
    assert "Set aside" in supervisor.get(f"/office/jobs/{larkspur}").text


def test_what_was_refused_is_shown_whole(supervisor: FlaskClient, tablet: Tablet) -> None:
    body = {"device": tablet.hands.device, "sent_at": 1, "events": [{"id": "<b>no event</b>"}]}
    take_in(body, 1, lambda token: None)
    page = supervisor.get("/office/set-aside").text
    assert "The event lacks" in page
    assert "&lt;b&gt;no event&lt;/b&gt;" in page


def test_problems_are_listed_open_first_and_by_kind_and_job(
    supervisor: FlaskClient, larkspur: str, tablet: Tablet
) -> None:
    run = tablet.open(larkspur, "prepare")
    tablet.tap(run, "problem", 0, problem="missing-material", note="no purple felt")
    old = tablet.tap(run, "problem", 0, problem="other", note="dropped")
    tablet.tap(run, "cleared", 0, problem=old["id"], how="picked up")
    tablet.send()
    page = supervisor.get("/office/problems").text
    assert page.index("no purple felt") < page.index("picked up")
    only = supervisor.get("/office/problems?kind=other").text
    assert "picked up" in only
    assert "no purple felt" not in only
    assert "no purple felt" in supervisor.get(f"/office/problems?job={larkspur}").text
    assert "None of that kind" in supervisor.get("/office/problems?kind=bobbin-out").text
    assert "Something is missing or short" in supervisor.get("/office/").text


def test_an_unknown_job_or_run_answers_one_sentence(supervisor: FlaskClient) -> None:
    assert "no job with that code" in supervisor.get("/office/jobs/000000").text
    assert supervisor.get("/office/jobs/nonsense").status_code == 400
    unknown = supervisor.get(f"/office/runs/{uuid4()}")
    assert unknown.status_code == 404
    assert "No such run has reached the server" in unknown.text


def test_a_jobs_page_shows_its_plan(supervisor: FlaskClient, larkspur: str) -> None:
    page = supervisor.get(f"/office/jobs/{larkspur}").text
    for words in ("How it will look", "What is sewn where", "Left front, sewn first.", "200 × 155 mm",
                  "Stop sheet", "trim 1 to 2 mm outside the tack-down, 144 cm of edge", "What to pull",
                  "6 sheets 300 x 450 mm"):  # fmt: skip
        assert words in page, words
    assert "style=" not in page


def test_the_pictures_show_the_chosen_size(supervisor: FlaskClient, larkspur: str) -> None:
    def shown(query: str) -> list[str]:
        page = supervisor.get(f"/office/jobs/{larkspur}{query}").text
        return [html.unescape(src) for src in re.findall(r'<img src="([^"]+)"', page)]

    of_m, of_xl = shown(""), shown("?size=XL")
    assert len(of_m) == len(of_xl) == 3
    assert shown("?size=nonsense") == of_m
    drawn = [[supervisor.get(src) for src in found] for found in (of_m, of_xl)]
    for answer in (*drawn[0], *drawn[1]):
        assert answer.status_code == 200
        assert answer.mimetype == "image/svg+xml"
        assert answer.text.startswith("<svg")
    # XL's buttons lie further apart.
    assert drawn[0][0].text != drawn[1][0].text


def test_sizes_that_look_alike_have_no_choice_of_pictures(supervisor: FlaskClient, app: Flask) -> None:
    code = import_job(demo_source("tinhill-pullovers"), SUPERVISOR, START).code
    page = supervisor.get(f"/office/jobs/{code}").text
    assert "Size in the pictures" not in page
    assert page.count("<img") == 2


@pytest.mark.parametrize("what", ["2/closed", "1/upside-down", "1/whole"])
def test_a_picture_that_is_not_there_is_said_to_be_missing(
    supervisor: FlaskClient, larkspur: str, what: str
) -> None:
    assert supervisor.get(f"/office/jobs/{larkspur}/{what}.svg").status_code == 404
    assert supervisor.get(f"/office/jobs/000000/{what}.svg").status_code == 404


def test_what_the_plan_warns_of_stands_on_top(
    supervisor: FlaskClient, larkspur: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    warning = PlanWarning("thin-part", None, None, "The serif is thinner than its border.")
    monkeypatch.setattr(plan, "warnings_of", lambda *args: (warning,))
    views._read_plan.cache_clear()
    page = supervisor.get(f"/office/jobs/{larkspur}").text
    views._read_plan.cache_clear()
    assert page.index("Look before you sew") < page.index("<h2>Garments</h2>")
    assert "<li>The serif is thinner than its border.</li>" in page


def test_each_revision_says_what_is_different_in_it(larkspur: str, tablet: Tablet) -> None:
    tablet.open(larkspur, "prepare")
    tablet.send()
    row = find_job(larkspur)
    assert row is not None
    first = row.revisions[0]
    copied = {key: getattr(first, key) for key in ("outline_name", "route_text", "house", "created_by")}
    taller = first.job_text.replace('height = "120 mm"', 'height = "110 mm"').replace(
        "speed = 650", "speed = 600"
    )
    for number, job_text, outline in (
        (2, taller, first.outline_text),
        (3, taller + "\n", first.outline_text + " "),
    ):
        digest = hashlib.sha256(f"{job_text}{outline}".encode()).hexdigest()
        row.revisions.append(
            JobRevision(
                number=number,
                digest=digest,
                job_text=job_text,
                outline_text=outline,
                created_at=START,
                **copied,
            )
        )
    db.session.commit()
    third, second, came_in = revision_lines(row)
    assert (came_in.number, came_in.what, came_in.runs) == (1, "As the job came in.", 1)
    assert (second.what, second.runs) == ("Changed: the design's height and the machine.", 0)
    assert third.what == "Changed: the outline."


def test_names_and_titles_cannot_smuggle_markup(
    supervisor: FlaskClient, larkspur: str, tablet: Tablet
) -> None:
    tablet.hands.operator = "<script>alert(1)</script>"
    run = tablet.open(larkspur, "prepare")
    tablet.send()
    assert db.session.scalar(db.select(EventRow.id).where(EventRow.run == run)) is not None
    for path in ("/office/", f"/office/runs/{run}", f"/office/jobs/{larkspur}/time"):
        page = supervisor.get(path).text
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page
