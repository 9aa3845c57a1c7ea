"""The tablet's reading of a job's progress, held to the same vectors as the server's; and what it says of a run."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

VECTORS = Path(__file__).parents[1] / "vectors"
sys.path.insert(0, str(VECTORS.parent / "domain"))

from read_back import read_back  # noqa: E402

from floor.domain.checklist import Checklist  # noqa: E402
from floor.domain.events import Event  # noqa: E402
from floor.domain.history import approvals, scrapped_at  # noqa: E402
from floor.domain.payloads import Opened, read_payload  # noqa: E402
from floor.domain.run import replay  # noqa: E402

NO_GROUPS = ("catalogue.json", "place.json", "progress.json")
GROUPS = sorted(path.name for path in VECTORS.glob("*.json") if path.name not in NO_GROUPS)

SETTLE_ALL = """async ({terms, keys, cases}) => {
    const {settle} = await import("/static/js/progress.js");
    return cases.map(({terms: used, runs}) => {
        const facts = runs.map((row) => Object.fromEntries(keys.map((key, at) => [key, row[at]])));
        const termsOf = ({revision}) => terms[used[revision - 1]];
        const {terms: newest, ...found} = settle(terms[used.at(-1)], facts, termsOf);
        return JSON.stringify(found);
    });
}"""

FACTS_OF_ALL = """async ({group, catalogue}) => {
    const {replay} = await import("/static/js/run.js");
    const {factsOf} = await import("/static/js/run_facts.js");
    return group.cases.map(({opening, too_late, events}) =>
        JSON.stringify(factsOf("run", opening, replay(group.checklist, opening, events, catalogue, "", too_late))));
}"""


def read(name: str) -> Any:
    return json.loads((VECTORS / name).read_text(encoding="ascii"))


def test_the_tablet_settles_jobs_as_the_vectors_have_them(page: Page) -> None:
    file = read("progress.json")
    found = page.evaluate(SETTLE_ALL, file)
    assert len(found) == len(file["cases"])
    for text, case in zip(found, file["cases"], strict=True):
        assert json.loads(text) == case["expected"], case["name"]


@pytest.mark.parametrize("name", GROUPS)
def test_the_tablet_tells_a_runs_facts_as_the_server_does(page: Page, name: str) -> None:
    group = read(name)
    found = page.evaluate(FACTS_OF_ALL, {"group": group, "catalogue": read("catalogue.json")})
    checklist = read_back(Checklist, group["checklist"])
    for text, case in zip(found, group["cases"], strict=True):
        opened = read_payload(Event("", "", "", 1, "open", 0, 0, case["opening"]))
        assert isinstance(opened, Opened)
        alone = replay(
            checklist, opened, [Event(run="run", **one) for one in case["events"]], "", case["too_late"]
        )
        lost = scrapped_at(alone)
        facts = json.loads(text)
        assert facts["garments"] == list(opened.garments)
        assert facts["opened_at"] == (alone.opened_at or 0), case["name"]
        assert facts["status"] == alone.state.status, case["name"]
        assert facts["scrapped"] == list(alone.state.scrapped), case["name"]
        assert facts["scrapped_at"] == [lost[number] for number in alone.state.scrapped], case["name"]
        assert facts["ended_at"] == alone.ended_at, case["name"]
        assert facts["sent_back"] == alone.state.sent_back, case["name"]
        assert facts["approvals"] == [list(span) for span in approvals(alone)], case["name"]
