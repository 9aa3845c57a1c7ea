"""The first reading of the rules, held to tests/vectors; tests/browser holds the tablet's reading to the same."""

from __future__ import annotations

import ast
import inspect
import json
import re
from dataclasses import asdict
from pathlib import Path
from typing import Any, get_args

import pytest
from read_back import read_back

from floor.domain import rules, rules_of_phase, settling
from floor.domain.checklist import Checklist
from floor.domain.events import Event, Kind
from floor.domain.fronts import Readings
from floor.domain.hand import Hand
from floor.domain.payloads import Opened, read_payload
from floor.domain.place_lie import How, Try
from floor.domain.place_sums import PlaceSums
from floor.domain.place_words import advice
from floor.domain.placement import Verdict, judge
from floor.domain.problems import PAUSE_REASONS, PROBLEMS, REDO_CAUSES, SCRAP_CAUSES
from floor.domain.run import replay
from floor.domain.timing import time_log
from floor.domain.weighing import Sure, weigh

VECTORS = Path(__file__).parents[1] / "vectors"
NO_GROUPS = ("catalogue.json", "place.json", "progress.json")
GROUPS = sorted(path.name for path in VECTORS.glob("*.json") if path.name not in NO_GROUPS)
MOST_BYTES = 1_900_000
MOST_BYTES_OF_PLACES = 400_000
ROUNDED_MM = 1e-8  # the file has nine digits


def group(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((VECTORS / name).read_text(encoding="ascii"))
    return found


@pytest.mark.parametrize("name", GROUPS)
def test_the_domain_reads_the_rules_as_the_vectors_have_them(name: str) -> None:
    found = group(name)
    checklist = read_back(Checklist, found["checklist"])
    for case in found["cases"]:
        opened = read_payload(Event("", "", "", 1, "open", 0, 0, case["opening"]))
        assert isinstance(opened, Opened)
        events = [Event(run="run", **event) for event in case["events"]]
        replayed = replay(checklist, opened, events, case["refusal"], case["too_late"])
        log = [asdict(time) for time in time_log(checklist, replayed.steps, case["until"])]
        expected = case["expected"]
        assert json.loads(json.dumps(replayed.state.as_json())) == expected["state"], case["name"]
        assert [step.event.id for step in replayed.steps] == expected["in_force"], case["name"]
        verdicts = {id: [v.applied, v.reason, v.settled] for id, v in replayed.verdicts.items()}
        assert verdicts == expected["verdicts"], case["name"]
        assert [list(row.values()) for row in log] == expected["time_log"]["rows"], case["name"]


def test_the_domain_judges_places_as_the_vectors_have_them() -> None:
    found = group("place.json")
    fronts = [read_back(PlaceSums, sums) for sums in found["sums"]]
    for case in found["cases"]:
        sums, tries = fronts[case["sums"]], tuple(read_back(Try, one) for one in case["tries"])
        against = read_back(tuple[Readings, float] | None, case["against"])
        steps = judge(sums, tries[-1].readings, None if against is None else against[0]).steps
        weighed = weigh(sums, read_back(Hand, case["hand"]), tries, against)
        said = advice(
            sums, weighed.verdict, weighed.cause, weighed.nudge, weighed.skew_deg, weighed.lie.stretch.mean,
            weighed.past_after,
        )  # fmt: skip
        expected = case["expected"]
        assert list(steps) == pytest.approx(expected["steps"], abs=ROUNDED_MM), case["name"]
        assert flat(asdict(weighed)) == pytest.approx(flat(expected["weighed"]), abs=ROUNDED_MM), case["name"]
        assert said == expected["advice"], case["name"]


def flat(body: Any, name: str = "") -> dict[str, Any]:
    """Each value by its path."""
    if isinstance(body, dict):
        return {
            key: value for part, one in body.items() for key, value in flat(one, f"{name}.{part}").items()
        }
    if isinstance(body, (list, tuple)):
        return flat({str(at): one for at, one in enumerate(body)}, name)
    return {name: body}


def test_the_vectors_judge_places_of_every_kind() -> None:
    found = group("place.json")
    cases = found["cases"]
    said = {(c["expected"]["weighed"]["verdict"], c["expected"]["weighed"]["cause"]) for c in cases}
    assert {verdict for verdict, _ in said} == {*get_args(Verdict), "read"}
    assert {cause for verdict, cause in said if verdict == "re-lay"} == {"step", "skew", "stretch", "edge"}
    assert {c["expected"]["weighed"]["sure"] for c in cases} == set(get_args(Sure))
    assert {len(c["tries"]) for c in cases} == {1, 2, 3, 4, 5}
    assert {one["how"] for c in cases for one in c["tries"]} == {None, *get_args(How)}
    assert {c["against"] is None for c in cases} == {True, False}
    assert {sums["front"] for sums in found["sums"]} == {"right", "left", "whole"}
    assert {sums["nudges"] for sums in found["sums"]} == {True, False}
    assert {sums["keep_past"] is None for sums in found["sums"]} == {True, False}
    assert any(sums["other"]["slant_upper"] and sums["other"]["lever"] for sums in found["sums"])
    assert any(step["across"] for sums in found["sums"] for step in sums["steps"])


def test_the_vectors_know_the_problems_and_reasons_of_today() -> None:
    """Else make them again: python -m tests.vectors.make."""
    assert group("catalogue.json") == json.loads(
        json.dumps({
            "problems": {id: asdict(kind) for id, kind in PROBLEMS.items()},
            "pause_reasons": dict(PAUSE_REASONS),
            "redo_causes": dict(REDO_CAUSES),
            "scrap_causes": dict(SCRAP_CAUSES),
        })
    )  # fmt: skip


def test_the_vectors_stay_small_enough_to_look_at() -> None:
    assert sum(path.stat().st_size for path in VECTORS.glob("*.json")) < MOST_BYTES
    assert (VECTORS / "place.json").stat().st_size < MOST_BYTES_OF_PLACES


def everything_said() -> tuple[list[dict[str, Any]], set[str], set[str]]:
    events, reasons, applied = [], set(), set()
    for name in GROUPS:
        for case in group(name)["cases"]:
            verdicts = case["expected"]["verdicts"]
            events += case["events"]
            reasons |= {reason for _, reason, _ in verdicts.values()}
            applied |= {event["kind"] for event in case["events"] if verdicts[event["id"]][0]}
    return events, reasons, applied


def sentences_of_the_rules() -> list[str]:
    """Every sentence that the rules can refuse with, as a pattern, read from their source."""
    raised = [
        node.exc
        for module in (rules, rules_of_phase, settling)
        for node in ast.walk(ast.parse(inspect.getsource(module)))
        if isinstance(node, ast.Raise)
    ]
    patterns = []
    for call in raised:
        assert isinstance(call, ast.Call)
        (text,) = call.args
        parts = text.values if isinstance(text, ast.JoinedStr) else [text]
        patterns.append("".join(re.escape(p.value) if isinstance(p, ast.Constant) else ".*" for p in parts))
    return patterns


def test_the_vectors_break_every_rule_and_apply_every_kind() -> None:
    _, reasons, applied = everything_said()
    patterns = sentences_of_the_rules()
    assert len(patterns) > 25
    unbroken = [p for p in patterns if not any(re.fullmatch(p, reason, re.DOTALL) for reason in reasons)]
    assert unbroken == []
    assert set(Kind) <= applied


def test_the_vectors_cross_devices_clocks_and_authorities() -> None:
    events, reasons, _ = everything_said()
    assert {event.get("authority") for event in events} == {None, "supervisor", "self"}
    assert {event["device"] for event in events} >= {"A", "B", "C"}
    assert any(event.get("offset_ms") for event in events)
    assert any(event.get("adrift") for event in events)
    for why in (
        "was not given", "was answered otherwise", "was outside its limits", "differed from", "no two takes",
        "to be moved", "to be laid again", "to be read once more", "somebody decides",
    ):  # fmt: skip
        assert any(why in reason for reason in reasons), why
    rows = [row for name in GROUPS for case in group(name)["cases"] for row in _times(case)]
    assert any(row["jumps"] for row in rows)
    assert any(row["times"] > 1 for row in rows)
    for part in ("work_s", "rework_s", "waiting_s", "pause_s", "problem_s"):
        assert any(row[part] for row in rows)


def _times(case: dict[str, Any]) -> list[dict[str, Any]]:
    log = case["expected"]["time_log"]
    return [dict(zip(log["keys"], row, strict=True)) for row in log["rows"]]
