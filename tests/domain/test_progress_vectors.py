"""The first reading of a job's progress, held to tests/vectors/progress.json; tests/browser holds the tablet's."""

from __future__ import annotations

import ast
import inspect
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from read_back import read_back
from route_cases import SPLIT_JOB

from floor.domain import progress
from floor.domain.job import Garment
from floor.domain.progress import RunFacts, Terms, settle
from floor.domain.route import Section

FILE = json.loads((Path(__file__).parents[1] / "vectors" / "progress.json").read_text(encoding="ascii"))
MOST_BYTES = 220_000


def terms_of(at: int) -> Terms:
    body = FILE["terms"][at]
    job = replace(
        SPLIT_JOB,
        garments=tuple(read_back(Garment, one) for one in body["garments"]),
        opening=SPLIT_JOB.opening if body["opens"] else None,
    )
    sections = tuple(read_back(Section, one) for one in body["sections"])
    return Terms(job, sections, body["load_size"], body["approval_needed"])


def runs_of(case: dict[str, Any]) -> list[RunFacts]:
    """Those of the newest revision have no terms of their own, as in a shop."""
    found = []
    for row in case["runs"]:
        body = dict(zip(FILE["keys"], row, strict=True))
        revision = body.pop("revision")
        terms = None if revision == len(case["terms"]) else terms_of(case["terms"][revision - 1])
        found.append(replace(read_back(RunFacts, body | {"terms": None}), terms=terms))
    return found


@pytest.mark.parametrize("case", FILE["cases"], ids=lambda case: case["name"])
def test_the_domain_settles_jobs_as_the_vectors_have_them(case: dict[str, Any]) -> None:
    newest = terms_of(case["terms"][-1])
    found = settle(newest.job, newest.sections, newest.load_size, newest.approval_needed, runs_of(case))
    expected = case["expected"]
    garments = {str(number): vars(garment) for number, garment in found.garments.items()}
    assert garments == expected["garments"]
    for name in ("job_done", "job_under_way", "refusals", "attempts", "approval_owed"):
        assert getattr(found, name) == expected[name], name
    assert list(found.first_piece) == expected["first_piece"]


def sentences_of_the_refusals() -> list[str]:
    """Every sentence that a run can be refused with, as a pattern, read from the source."""
    returned = [
        node.value
        for node in ast.walk(ast.parse(inspect.getsource(progress)))
        if isinstance(node, ast.Return)
    ]
    patterns = []
    for text in returned:
        parts = text.values if isinstance(text, ast.JoinedStr) else [text]
        found = "".join(re.escape(str(p.value)) if isinstance(p, ast.Constant) else ".*" for p in parts)
        patterns += [found] if found.endswith(r"\.") else []
    return patterns


def test_the_vectors_refuse_with_every_sentence() -> None:
    patterns = sentences_of_the_refusals()
    assert len(patterns) == 15
    said = {reason for case in FILE["cases"] for reason in case["expected"]["refusals"].values()}
    assert [one for one in patterns if not any(re.fullmatch(one, reason) for reason in said)] == []


def test_the_vectors_finish_lose_and_approve_garments() -> None:
    garments = [one for case in FILE["cases"] for one in case["expected"]["garments"].values()]
    for name in ("finished", "scraps", "awaits_restart", "under_way"):
        assert any(one[name] for one in garments), name
    assert any(max(one["attempts"].values(), default=0) > 2 for one in garments)
    spans = [row[FILE["keys"].index("approvals")] for case in FILE["cases"] for row in case["runs"]]
    assert {len(one) for one in spans} == {0, 1, 2}
    assert len(json.dumps(FILE)) < MOST_BYTES
