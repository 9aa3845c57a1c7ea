"""The export, by the functions and by the office's page."""

from __future__ import annotations

import csv
import io
import json
from datetime import UTC, datetime

import pytest
from flask.testing import FlaskClient

from floor.queries.export import (
    COLUMNS,
    UnknownExport,
    columns_of,
    export_rows,
    write_csv,
    write_jsonl,
)
from floor.store.models import RunRow, db
from tests.conftest import Tablet, make_tablet


@pytest.fixture
def worked(larkspur: str, tablet: Tablet) -> str:
    """A run with a problem and a note that a spreadsheet would take for a formula."""
    run = tablet.walk(larkspur, "prepare", stop=1)
    met = tablet.tap(run, "problem", 1, problem="other", note='=HYPERLINK("x")')
    tablet.tap(run, "cleared", 1, problem=met["id"], how="-fixed, with a comma\nand a second line")
    tablet.send()
    return run


def as_csv(what: str) -> list[dict[str, str]]:
    out = io.StringIO(newline="")
    write_csv(export_rows(what), columns_of(what), out)
    return list(csv.DictReader(io.StringIO(out.getvalue(), newline="")))


@pytest.mark.parametrize("what", COLUMNS)
def test_every_row_has_exactly_the_named_columns(worked: str, what: str) -> None:
    rows = list(export_rows(what))
    assert rows
    assert all(tuple(row) == columns_of(what) for row in rows)


def test_phase_times_come_in_seconds_that_add_up_to_the_runs_span(worked: str) -> None:
    phases = list(export_rows("phases"))
    parts = ("work_s", "rework_s", "waiting_s", "pause_s", "problem_s")
    total = sum(float(str(row[part])) for row in phases for part in parts)
    run = db.session.get_one(RunRow, worked)
    assert total == pytest.approx((run.last_at - run.opened_at) / 1000)
    (exported,) = export_rows("runs")
    assert exported["span_s"] == pytest.approx(total)
    assert exported["ended"] is None


def test_a_spreadsheet_runs_nothing_that_somebody_typed(worked: str) -> None:
    (row,) = as_csv("problems")
    assert row["note"] == '\'=HYPERLINK("x")'
    assert row["how"] == "'-fixed, with a comma\nand a second line"


@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r"])
def test_each_sign_that_begins_a_formula_is_disarmed(sign: str) -> None:
    out = io.StringIO(newline="")
    write_csv([{"note": f"{sign}1", "work_s": -1.5, "garments": [1, 2], "ended": None}],
              ["note", "work_s", "garments", "ended"], out)  # fmt: skip
    (row,) = csv.DictReader(io.StringIO(out.getvalue(), newline=""))
    assert row == {"note": f"'{sign}1", "work_s": "-1.5", "garments": "1 2", "ended": ""}


def test_json_lines_keep_texts_as_they_were(worked: str) -> None:
    out = io.StringIO()
    write_jsonl(export_rows("problems"), out)
    (line,) = out.getvalue().splitlines()
    assert json.loads(line)["note"] == '=HYPERLINK("x")'


def test_an_empty_export_still_names_its_columns(app: object) -> None:
    out = io.StringIO(newline="")
    write_csv(export_rows("runs"), columns_of("runs"), out)
    assert out.getvalue() == ",".join(COLUMNS["runs"]) + "\r\n"


def test_since_leaves_out_what_began_before(larkspur: str, tablet: Tablet) -> None:
    early = tablet.walk(larkspur, "prepare")
    tablet.send()
    late_tablet = make_tablet(2, tablet.hands.at + 86_400_000)
    late = late_tablet.open(larkspur, "prepare", cause="again")
    late_tablet.send()
    since = datetime.fromtimestamp((tablet.hands.at + 3_600_000) / 1000, tz=UTC)
    assert {row["run"] for row in export_rows("runs")} == {early, late}
    for what in ("runs", "phases", "events"):
        assert {row["run"] for row in export_rows(what, since)} == {late}


def test_an_unknown_export_is_refused_before_the_first_row(app: object) -> None:
    with pytest.raises(UnknownExport, match="there are phases, runs, events, problems"):
        export_rows("prices")


@pytest.mark.parametrize("what", COLUMNS)
@pytest.mark.parametrize("form", ["csv", "jsonl"])
def test_the_page_sends_the_same_rows(supervisor: FlaskClient, worked: str, what: str, form: str) -> None:
    out = io.StringIO(newline="")
    if form == "csv":
        write_csv(export_rows(what), columns_of(what), out)
    else:
        write_jsonl(export_rows(what), out)
    answer = supervisor.get(f"/office/export/{what}.{form}")
    assert answer.text == out.getvalue()
    assert f'filename="floor-{what}.{form}"' in answer.headers["Content-Disposition"]


def test_the_pages_form_leads_to_the_same_file(supervisor: FlaskClient, worked: str) -> None:
    chosen = supervisor.get("/office/export/file?what=events&format=jsonl&since=")
    assert chosen.text == supervisor.get("/office/export/events.jsonl").text


@pytest.mark.parametrize("since", ["yesterday", "2026-13-01", "0001-01-01x", "2026-11-25; x"])
def test_what_is_no_day_is_answered_in_one_sentence(supervisor: FlaskClient, since: str) -> None:
    answer = supervisor.get("/office/export/runs.csv", query_string={"since": since})
    assert answer.status_code == 400
    assert "is not a day" in answer.text


def test_a_day_before_all_time_exports_everything(supervisor: FlaskClient, worked: str) -> None:
    for since in ("0001-01-01", "1970-01-01"):
        answer = supervisor.get(f"/office/export/runs.csv?since={since}")
        assert answer.status_code in (200, 400)
    assert worked in answer.text


@pytest.mark.parametrize("path", ["prices.csv", "runs.xlsx", "file?what=runs&format=exe"])
def test_an_export_that_does_not_exist_says_which_do(supervisor: FlaskClient, path: str) -> None:
    answer = supervisor.get(f"/office/export/{path}")
    assert answer.status_code == 404
    assert "phases, runs, events, problems" in answer.text
