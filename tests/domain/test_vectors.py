"""The first reading of the rules, held to tests/vectors; tests/browser holds the tablet's reading to the same."""

from __future__ import annotations

import ast
import inspect
import json
import re
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest

from floor.domain import rules, rules_of_phase
from floor.domain.checklist import Check, Checklist, Count, Phase, Reading
from floor.domain.events import Event, Kind
from floor.domain.payloads import Opened, read_payload
from floor.domain.problems import PAUSE_REASONS, PROBLEMS, REDO_CAUSES, SCRAP_CAUSES
from floor.domain.run import replay
from floor.domain.timing import time_log

VECTORS = Path(__file__).parents[1] / "vectors"
GROUPS = sorted(path.name for path in VECTORS.glob("*.json") if path.name != "catalogue.json")
MOST_BYTES = 1_000_000


def group(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((VECTORS / name).read_text(encoding="ascii"))
    return found


def checklist_of(body: dict[str, Any]) -> Checklist:
    phases = tuple(
        Phase(**{
            **phase,
            "usual_s": tuple(phase["usual_s"]),
            "cautions": tuple(phase["cautions"]),
            "checks": tuple(Check(**{**one, "answers": tuple(one["answers"])}) for one in phase["checks"]),
            "readings": tuple(Reading(**one) for one in phase["readings"]),
            "counts": tuple(Count(**one) for one in phase["counts"]),
        })
        for phase in body["phases"]
    )  # fmt: skip
    earlier = tuple((key, title) for key, title in body["earlier"])
    return Checklist(**{**body, "phases": phases, "earlier": earlier})


@pytest.mark.parametrize("name", GROUPS)
def test_the_domain_reads_the_rules_as_the_vectors_have_them(name: str) -> None:
    found = group(name)
    checklist = checklist_of(found["checklist"])
    for case in found["cases"]:
        opened = read_payload(Event("", "", "", 1, "open", 0, 0, case["opening"]))
        assert isinstance(opened, Opened)
        events = [Event(run="run", **event) for event in case["events"]]
        replayed = replay(checklist, opened, events, case["refusal"], case["too_late"])
        log = [asdict(time) for time in time_log(checklist, replayed.steps, case["until"])]
        expected = case["expected"]
        assert json.loads(json.dumps(replayed.state.as_json())) == expected["state"], case["name"]
        assert [step.event.id for step in replayed.steps] == expected["in_force"], case["name"]
        verdicts = {id: [v.applied, v.reason] for id, v in replayed.verdicts.items()}
        assert verdicts == expected["verdicts"], case["name"]
        assert [list(row.values()) for row in log] == expected["time_log"]["rows"], case["name"]


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


def everything_said() -> tuple[list[dict[str, Any]], set[str], set[str]]:
    events, reasons, applied = [], set(), set()
    for name in GROUPS:
        for case in group(name)["cases"]:
            verdicts = case["expected"]["verdicts"]
            events += case["events"]
            reasons |= {reason for _, reason in verdicts.values()}
            applied |= {event["kind"] for event in case["events"] if verdicts[event["id"]][0]}
    return events, reasons, applied


def sentences_of_the_rules() -> list[str]:
    """Every sentence that the rules can refuse with, as a pattern, read from their source."""
    raised = [
        node.exc
        for module in (rules, rules_of_phase)
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
    for why in ("was not given", "was answered otherwise", "was outside its limits", "differed from"):
        assert any(why in reason for reason in reasons)
    rows = [row for name in GROUPS for case in group(name)["cases"] for row in _times(case)]
    assert any(row["jumps"] for row in rows)
    assert any(row["times"] > 1 for row in rows)
    for part in ("work_s", "rework_s", "waiting_s", "pause_s", "problem_s"):
        assert any(row[part] for row in rows)


def _times(case: dict[str, Any]) -> list[dict[str, Any]]:
    log = case["expected"]["time_log"]
    return [dict(zip(log["keys"], row, strict=True)) for row in log["rows"]]
