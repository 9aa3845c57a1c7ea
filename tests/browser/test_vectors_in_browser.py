"""The tablet's reading of the rules, held to the same vectors as the server's."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

VECTORS = Path(__file__).parents[1] / "vectors"
NO_GROUPS = ("catalogue.json", "place.json", "progress.json")
GROUPS = sorted(path.name for path in VECTORS.glob("*.json") if path.name not in NO_GROUPS)
TOLERANCE = 1e-9
PLACE_TOLERANCE = 1e-6
LINEAR_TOLERANCE_MM = 0.02  # what a tangent for its angle makes of two degrees, and more

REPLAY_ALL = """async ({group, catalogue}) => {
    const {replay} = await import("/static/js/run.js");
    const {timeLog} = await import("/static/js/run_time.js");
    return group.cases.map(({opening, refusal, too_late, until, events}) => {
        const {state, steps, verdicts} = replay(group.checklist, opening, events, catalogue, refusal, too_late);
        const log = timeLog(group.checklist, steps, until);
        return JSON.stringify({
            state,
            in_force: steps.map(({event}) => event.id),
            verdicts: Object.fromEntries(
                Object.entries(verdicts).map(([id, v]) => [id, [v.applied, v.reason, v.settled]])),
            time_log: {keys: Object.keys(log[0] ?? {}), rows: log.map((row) => Object.values(row))},
            last: steps.length ? steps.at(-1).after : null,
        });
    });
}"""

JUDGE_ALL = """async ({sums, cases}) => {
    const {weigh, linearSteps} = await import("/static/js/place.js");
    const {advice} = await import("/static/js/place_words.js");
    return cases.map(({sums: at, hand, tries, against}) => {
        const weighed = weigh(sums[at], hand, tries, against);
        const {verdict, cause, nudge, skew_deg, lie, past_after} = weighed;
        return JSON.stringify({
            steps: linearSteps(sums[at], tries.at(-1).readings, against && against[0]),
            weighed,
            again: weigh(sums[at], hand, tries, against),
            advice: advice(sums[at], verdict, cause, nudge, skew_deg, lie.stretch.mean, past_after),
        });
    });
}"""


def read(name: str) -> Any:
    return json.loads((VECTORS / name).read_text(encoding="ascii"))


def same(found: Any, expected: Any, tolerance: float = TOLERANCE) -> bool:
    """Equal, numbers to `tolerance`; true and 1 are not the same."""
    if isinstance(expected, bool) or isinstance(found, bool):
        return found is expected
    if isinstance(expected, (int, float)) and isinstance(found, (int, float)):
        return abs(found - expected) <= tolerance
    if isinstance(expected, dict) and isinstance(found, dict):
        return found.keys() == expected.keys() and all(
            same(found[key], expected[key], tolerance) for key in expected
        )
    if isinstance(expected, list) and isinstance(found, list):
        return len(found) == len(expected) and all(
            same(one, other, tolerance) for one, other in zip(found, expected, strict=True)
        )
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


def test_the_tablet_judges_places_as_the_vectors_have_them(page: Page) -> None:
    cases = read("place.json")["cases"]
    found = [json.loads(text) for text in page.evaluate(JUDGE_ALL, read("place.json"))]
    assert len(found) == len(cases)
    for judged, case in zip(found, cases, strict=True):
        expected = case["expected"]
        where = f"{case['name']}: {judged}\nexpected {expected}"
        assert same(judged["steps"], expected["steps"], LINEAR_TOLERANCE_MM), where
        assert same(judged["weighed"], expected["weighed"], PLACE_TOLERANCE), where
        assert judged["again"] == judged["weighed"], where
        assert judged["advice"] == expected["advice"], where


def test_the_comparison_tells_a_slip_of_a_millionth() -> None:
    assert same({"a": [1, 2.0]}, {"a": [1, 2.0 + 1e-10]})
    assert not same({"a": [1, 2.0]}, {"a": [1, 2.000001]})
    assert not same([True], [1])
    assert not same({"a": None}, {"a": 0})
