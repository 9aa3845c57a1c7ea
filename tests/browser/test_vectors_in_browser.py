"""The tablet's reading of the rules, held to the same vectors as the server's."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from modules import open_page, serve_modules
from playwright.sync_api import Browser, Page

VECTORS = Path(__file__).parents[1] / "vectors"
GROUPS = sorted(path.name for path in VECTORS.glob("*.json") if path.name != "catalogue.json")
TOLERANCE = 1e-9

REPLAY_ALL = """async ({group, catalogue}) => {
    const {replay} = await import("/static/js/run.js");
    const {timeLog} = await import("/static/js/run_time.js");
    return group.cases.map(({opening, refusal, too_late, until, events}) => {
        const {state, steps, verdicts} = replay(group.checklist, opening, events, catalogue, refusal, too_late);
        const log = timeLog(group.checklist, steps, until);
        return JSON.stringify({
            state,
            in_force: steps.map(({event}) => event.id),
            verdicts: Object.fromEntries(Object.entries(verdicts).map(([id, v]) => [id, [v.applied, v.reason]])),
            time_log: {keys: Object.keys(log[0] ?? {}), rows: log.map((row) => Object.values(row))},
            last: steps.length ? steps.at(-1).after : null,
        });
    });
}"""


@pytest.fixture(scope="module")
def page(chromium: Browser) -> Iterator[Page]:
    context = chromium.new_context()
    serve_modules(context)
    yield open_page(context)
    context.close()


def read(name: str) -> Any:
    return json.loads((VECTORS / name).read_text(encoding="ascii"))


def same(found: Any, expected: Any) -> bool:
    """Equal, numbers to `TOLERANCE`; true and 1 are not the same."""
    if isinstance(expected, bool) or isinstance(found, bool):
        return found is expected
    if isinstance(expected, (int, float)) and isinstance(found, (int, float)):
        return abs(found - expected) <= TOLERANCE
    if isinstance(expected, dict) and isinstance(found, dict):
        return found.keys() == expected.keys() and all(same(found[key], expected[key]) for key in expected)
    if isinstance(expected, list) and isinstance(found, list):
        return len(found) == len(expected) and all(map(same, found, expected))
    return type(found) is type(expected) and found == expected


@pytest.mark.parametrize("name", GROUPS)
def test_the_tablet_reads_the_rules_as_the_vectors_have_them(page: Page, name: str) -> None:
    group = read(name)
    found = page.evaluate(REPLAY_ALL, {"group": group, "catalogue": read("catalogue.json")})
    assert len(found) == len(group["cases"])
    for text, case in zip(found, group["cases"], strict=True):
        replayed, expected = json.loads(text), case["expected"]
        for part in ("state", "in_force", "verdicts", "time_log"):
            where = f"{part} of {case['name']}: {replayed[part]}\nexpected {expected[part]}"
            assert same(replayed[part], expected[part]), where
        assert replayed["last"] is None or replayed["last"] == replayed["state"]


def test_the_comparison_tells_a_slip_of_a_millionth() -> None:
    assert same({"a": [1, 2.0]}, {"a": [1, 2.0 + 1e-10]})
    assert not same({"a": [1, 2.0]}, {"a": [1, 2.000001]})
    assert not same([True], [1])
    assert not same({"a": None}, {"a": 0})
