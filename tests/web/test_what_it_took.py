"""What a job took, what of it came to nothing, and why it stopped: checked against the export, summed anew."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from flask.testing import FlaskClient

from floor.queries.export import export_rows
from floor.queries.office.minutes import PhaseBar, minutes_chart
from floor.queries.office.set_aside import aside_runs
from floor.queries.office.spent import WhatItTook, fates_of, what_it_took
from floor.queries.office.stops import stop_lines
from floor.queries.office.timelog import time_log_of
from floor.queries.office.words import minute_words
from floor.services.rehearsal import walk
from tests.conftest import Tablet, view_of

PAUSED_S, PROBLEM_S = 600, 400


@dataclass
class Messy:
    """Garment 1: a pause, a wrong cut and a redo on its first front. Garment 1 again: its second front is
    scrapped midway, and its new piece has both fronts anew."""

    code: str
    scrapped: list[str]
    redone: str


@pytest.fixture
def messy(larkspur: str, tablet: Tablet) -> Messy:
    tablet.walk(larkspur, "prepare")
    tablet.send()
    first, second = (s.key for s in view_of(larkspur).progress.load_sections[:2])
    redone = _front_with_a_redo(larkspur, first, tablet)
    lost = tablet.walk(larkspur, second, (1,), stop=6)
    tablet.tap(lost, "scrap", 6, garments=[1], cause="cloth-cut")
    tablet.send()
    for section in (first, second):
        tablet.walk(larkspur, section, (1,))
        tablet.send()
    return Messy(larkspur, [redone, lost], redone)


def _front_with_a_redo(code: str, section: str, tablet: Tablet) -> str:
    checklist = view_of(code).plan.checklist(section, (1,), True)
    trim = next(i for i, phase in enumerate(checklist.phases) if phase.key.startswith("trim"))
    run = tablet.walk(code, section, (1,), stop=trim)
    tablet.tap(run, "pause", trim, reason="break")
    tablet.hands.at += (PAUSED_S - 1) * 1_000
    tablet.tap(run, "resume", trim)
    met = tablet.tap(run, "problem", trim, problem="wrong-layer-cut")
    tablet.hands.at += (PROBLEM_S - 1) * 1_000
    tablet.tap(run, "cleared", trim, problem=met["id"], how="new cloth cut")
    tablet.tap(run, "redo", trim, cause="wrong-layer-cut", to=trim - 2)
    walk(tablet.hands, run, checklist, start=trim - 2)
    tablet.send()
    return run


def took(code: str) -> WhatItTook:
    view = view_of(code)
    log = time_log_of(view.row, {g.number: g.size for g in view.job.garments})
    return what_it_took(view, log, fates_of(view.row.id))


def phase_rows() -> Iterator[dict[str, Any]]:
    yield from export_rows("phases", None)


def test_what_it_took_is_what_the_export_adds_up_to(messy: Messy) -> None:
    said, rows = took(messy.code).all, list(phase_rows())
    machine = [row for row in rows if row["who"] == "machine"]
    hands = [row for row in rows if row["who"] != "machine"]
    # Whole seconds that add up may be a few seconds off in one column and on in the next.
    assert said.machine == pytest.approx(sum(r["work_s"] + r["rework_s"] for r in machine), abs=10)
    assert said.hands == pytest.approx(sum(r["work_s"] + r["rework_s"] for r in hands), abs=10)
    assert said.waiting == pytest.approx(sum(r["waiting_s"] for r in rows), abs=10)
    assert (said.problem, said.pause) == (PROBLEM_S, PAUSED_S)
    assert said.together == said.hands + said.machine + said.waiting + said.problem


def test_a_scrapped_piece_costs_all_that_went_into_it(messy: Messy) -> None:
    lost = took(messy.code).by_fate["scrapped"]
    sunk = [row for row in phase_rows() if row["run"] in messy.scrapped]
    parts = ("work_s", "rework_s", "waiting_s", "problem_s")
    assert lost.together == pytest.approx(sum(row[part] for row in sunk for part in parts), abs=2)
    assert lost.pause == PAUSED_S


def test_a_section_done_again_on_the_same_piece_is_counted_apart(messy: Messy, tablet: Tablet) -> None:
    before = took(messy.code)
    assert before.by_fate["again"].together == 0
    section = view_of(messy.code).progress.load_sections[1].key
    run = tablet.open(messy.code, section, (1,), cause="the halves do not meet")
    walk(tablet.hands, run, view_of(messy.code).plan.checklist(section, (1,), True))
    tablet.send()
    after = took(messy.code)
    redone = sum(r["work_s"] + r["waiting_s"] for r in phase_rows() if r["run"] == run)
    assert after.by_fate["again"].together == pytest.approx(redone, abs=2)
    assert after.by_fate["once"] == before.by_fate["once"]


def test_the_bars_are_a_garments_mean_however_often_it_came_through(messy: Messy) -> None:
    view = view_of(messy.code)
    chart = minutes_chart(view, fates_of(view.row.id))
    sums: dict[tuple[str, str], float] = defaultdict(float)
    for row in phase_rows():
        if row["garments"] and row["ended"]:
            sums[row["section_title"], row["phase_title"]] += (
                row["work_s"] + row["rework_s"] + row["waiting_s"]
            )
    bars = {(section.title, bar.title): bar for section in chart.sections for bar in section.bars}
    assert bars.keys() == sums.keys()
    for key, bar in bars.items():
        assert bar.count == 1
        assert bar.total_s == pytest.approx(sums[key])
        assert bar.usual is not None
        assert bar.usual[0] < bar.expected_s * 2
    trim = next(bar for (section, title), bar in bars.items() if title.startswith("Trim"))
    assert trim.again_s > 0
    assert trim.label.endswith(" again")


def test_why_it_stopped_names_problems_and_pauses_with_their_time(messy: Messy, tablet: Tablet) -> None:
    lines = stop_lines(view_of(messy.code).row.id, tablet.hands.at)
    assert [(line.words, line.pause, line.count, line.seconds) for line in lines] == [
        ("The wrong layer is cut", False, 1, PROBLEM_S),
        ("a break", True, 1, PAUSED_S),
    ]


def test_a_pause_that_goes_on_counts_to_now(messy: Messy, tablet: Tablet) -> None:
    finish = view_of(messy.code).progress.load_sections[2].key
    run = tablet.open(messy.code, finish, (1,))
    tablet.tap(run, "pause", 0, reason="question")
    tablet.send()
    lines = stop_lines(view_of(messy.code).row.id, tablet.hands.at + 90_000)
    (question,) = [line for line in lines if line.words == "a question for the office"]
    assert (question.seconds, question.open) == (90, True)


@pytest.mark.parametrize(("took_s", "over"), [(121.0, False), (122.9, False), (124.0, True)])
def test_a_bar_is_over_only_where_the_shown_tenths_say_so(took_s: float, over: bool) -> None:
    bar = PhaseBar("Pack it", "hands", 2, took_s, 0, 0, 0, 0, 85.0, (60.0, 120.0))
    assert bar.over == over
    assert bar.label == minute_words(took_s) + (" over" if over else "")


def test_the_time_page_answers_at_its_top(supervisor: FlaskClient, messy: Messy) -> None:
    page = supervisor.get(f"/office/jobs/{messy.code}/time").text
    assert page.index("What it took") < page.index("Where a garment's minutes go")
    for words in (
        "By hands",
        "By machine",
        "Waiting",
        "Problems",
        "Lost with scrapped pieces",
        "Why it stopped",
    ):
        assert words in page
    assert "attempt 2" in page
    assert "lost with a scrapped piece" in page
    assert re.search(r"Pause: a break</b>, once, <span[^>]*>10:00<", page)


def test_a_run_set_aside_as_a_whole_is_one_line(messy: Messy, tablet: Tablet) -> None:
    finish = view_of(messy.code).progress.load_sections[2].key
    run = tablet.open(messy.code, finish, (2,))
    for words in ("one", "two"):
        tablet.tap(run, "note", 0, text=words)
    tablet.send()
    found = [aside for aside in aside_runs() if aside.run == run]
    assert [(aside.count, aside.whole) for aside in found] == [(3, True)]
    assert "began" in found[0].first.sentence
    assert found[0].place.startswith("Garment 2, finish")
