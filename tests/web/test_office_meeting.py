"""How the halves meet: what the supervisor's page answers, with nothing, little and much to go by."""

from __future__ import annotations

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from floor.domain.capability import share_beyond
from floor.queries.office.meeting import MeetingPage, meeting_page
from floor.queries.office.meeting_chart import MOST_POINTS
from floor.queries.office.meeting_rows import Asked
from floor.store.database import writing
from tests.conftest import OPERATOR, START, SUPERVISOR, Tablet
from tests.services.met import garments_met

PLAIN_STEPS = [0.3, 0.5, 0.2, 0.4, 0.6, 0.3, 0.5, 0.4, 0.2, 0.5]
BEYOND = "among the newest lies beyond what is usual here"
ONCE = "lay beyond what is usual here, but none of the newest"


def words_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", page.split("<main", 1)[1]))


def page_of(**asked: object) -> MeetingPage:
    return meeting_page(Asked(**asked), START)  # type: ignore[arg-type]


def test_with_nothing_closed_the_page_says_how_it_will_fill(supervisor: FlaskClient) -> None:
    page = supervisor.get("/office/meeting").text
    assert "No garment has been closed and compared yet." in page
    assert 'href="/office/jobs"' in page
    assert "<select" not in page


def test_fronts_that_were_laid_are_shown_before_any_garment_is_closed(
    supervisor: FlaskClient, tablet: Tablet, larkspur: str
) -> None:
    tablet.walk(larkspur, "prepare")
    tablet.walk(larkspur, "front-left", (1,))
    tablet.send()
    words = words_of(supervisor.get("/office/meeting").text)
    assert "No garment has been closed and compared yet." in words
    assert "left front" in words
    assert "so nothing was foretold of it" in words


def test_a_run_from_its_tablet_comes_to_be_a_garment_on_the_page(
    supervisor: FlaskClient, tablet: Tablet, larkspur: str
) -> None:
    tablet.walk(larkspur, "prepare")
    for section in ("front-left", "front-right", "finish"):
        tablet.walk(larkspur, section, (1,))
    tablet.send()
    page = meeting_page(Asked(), tablet.hands.at)
    assert page.meet[0].startswith("Of 1 garment none stepped by more than 1.0 mm: 0 % (0 to ")
    (line,) = page.lines
    assert (line.number, line.size, line.place) == (1, "M", "360 x 200")
    assert line.foretold != ""
    assert f"/office/runs/{line.run}" in supervisor.get("/office/meeting").text


def test_the_first_sentence_has_the_figures(supervisor: FlaskClient) -> None:
    garments_met([*PLAIN_STEPS, 1.4], outcome="conceded")
    share = share_beyond([*PLAIN_STEPS, 1.4], 1.0)
    words = words_of(supervisor.get("/office/meeting").text)
    assert "Of 11 garments 1 stepped by more than 1.0 mm: 9 % (2 to 38 %)." in words
    low, high = (f"{100 * end:.0f}" for end in (share.low or 0, share.high or 0))
    assert (
        f"By their spread at the upper crossing, where they step most, {low} to {high} % are to be" in words
    )
    assert "Of them 1 was let stand by a supervisor." in words


def test_a_step_of_just_the_tolerance_passes(app: Flask) -> None:
    garments_met([1.0, 1.0])
    assert page_of().meet[0].startswith("Of 2 garments none stepped by more than 1.0 mm")


def test_few_garments_get_no_limits_and_no_forecast(app: Flask) -> None:
    garments_met([0.3, 0.6, 1.2])
    page = page_of()
    assert page.chart is not None
    assert [level.kind for level in page.chart.levels] == ["passes"]
    assert "shows from 8 garments on" in page.worse
    assert "shows from 8 garments on" in page.meet[1]


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (PLAIN_STEPS, "Nothing says that it is getting worse"),
        ([*PLAIN_STEPS, 2.4], BEYOND),
        ([*PLAIN_STEPS[:3], 2.4, *PLAIN_STEPS, *PLAIN_STEPS], ONCE),
        ([0.1] * 8 + [0.4, 0.1] * 4 + [0.5, 0.3] * 4, "The newest 8 all lie above the average"),
    ],
)
def test_whether_it_gets_worse_is_said_in_one_sentence(app: Flask, steps: list[float], says: str) -> None:
    garments_met(steps)
    assert says in page_of().worse


def test_a_lean_that_is_hardly_chance_is_told_with_its_way(supervisor: FlaskClient) -> None:
    garments_met(PLAIN_STEPS * 2, lean=0.8)
    said = " ".join(page_of().source)
    assert re.search(r"the left front lies 0\.[789] mm toward the hem before anything is moved", said)
    assert "the right front lies" in said
    assert "toward the hem</b>" in supervisor.get("/office/meeting").text


def test_a_machine_that_steps_too_far_more_often_is_named(app: Flask) -> None:
    garments_met([0.2, 1.5] * 12, machines=("The old one", "The new one"))
    assert "The new one steps too far more often than the others." in page_of().source


def test_nudges_and_lays_are_counted_a_garment(app: Flask) -> None:
    garments_met([0.3] * 9)  # every third has both its fronts nudged once
    (left, right) = page_of().fronts.groups
    assert (left.name, left.lays, left.nudges, left.relays) == ("left front", 9, pytest.approx(3 / 9), 0.0)
    assert right.share.count == 3  # what was nudged would have stepped too far as it lay


def test_predictions_are_held_against_what_was_found(app: Flask) -> None:
    garments_met([0.8] * 8, foretold_off=0.2)
    page = page_of()
    assert page.trust == [
        "Of 8 garments 8 stepped within half a millimetre of what was foretold: 100 %.",
        "On average it came 0.2 mm worse than foretold.",
    ]
    assert page.scatter is not None
    assert len(page.scatter.points) == 8


def test_the_filters_ask_for_less(supervisor: FlaskClient) -> None:
    job = garments_met(
        PLAIN_STEPS, machines=("Machine 1", "Machine 2"), hoops=("360 x 200", "240 x 240"), sizes=("M", "XL")
    )
    assert len(page_of(machine="Machine 2").lines) == 5
    assert len(page_of(hoop="240 x 240", size="XL").lines) == 5
    assert page_of(hoop="240 x 240", size="M").lines == ()
    assert len(page_of(job=job.code).lines) == 10
    assert page_of(job="000000").lines == ()
    assert len(meeting_page(Asked(days=30), START + 22 * 86_400_000).lines) == 9
    page = supervisor.get("/office/meeting?machine=Machine+2").text
    assert '<option value="Machine 2" selected>' in page
    assert 'href="/office/meeting">Show all' in page


def test_choices_that_none_fits_say_so_and_lead_back(supervisor: FlaskClient) -> None:
    garments_met(PLAIN_STEPS)
    for query in ("size=XS", "days=nonsense&machine=none", "job=zzz"):
        answer = supervisor.get(f"/office/meeting?{query}")
        assert answer.status_code == 200
        assert "fits these choices" in answer.text
        assert 'href="/office/meeting">Show all' in answer.text


def test_nobody_is_ranked(supervisor: FlaskClient) -> None:
    garments_met(PLAIN_STEPS)
    page = supervisor.get("/office/meeting").text
    assert OPERATOR not in page
    assert "never by person" in page


def test_the_chart_has_the_newest_and_the_table_says_the_same(app: Flask) -> None:
    garments_met([round(0.1 + (at % 7) / 10, 1) for at in range(MOST_POINTS + 5)])
    page = page_of()
    assert page.chart is not None
    assert (len(page.chart.points), page.chart.left_out) == (MOST_POINTS, 5)
    assert len(page.lines) == MOST_POINTS + 5


def test_a_job_that_was_taken_off_the_lists_still_teaches(app: Flask) -> None:
    job = garments_met(PLAIN_STEPS)
    with writing():
        job.removed_at, job.removed_by = START, SUPERVISOR
    assert len(page_of().lines) == 10


def test_the_page_is_in_the_offices_navigation(supervisor: FlaskClient) -> None:
    page = supervisor.get("/office/meeting").text
    assert '<a href="/office/meeting" aria-current="page">Meeting</a>' in page
