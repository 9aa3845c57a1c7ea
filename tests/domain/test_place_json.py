"""A place as a program reads it: the contract's keys, layers by name, and rounded figures."""

from __future__ import annotations

import json
from dataclasses import replace

from route_cases import SPLIT_JOB
from shapely import box
from split_cases import JOB, WHOLE, layer, planned

from floor.domain.fronts import Readings
from floor.domain.hand import USUAL_HAND
from floor.domain.job import Front, Job
from floor.domain.place_json import Json, place_json
from floor.domain.place_lie import Try
from floor.domain.place_sums import place_sums
from floor.domain.placement import judge
from floor.domain.weighing import weigh

BAR = box(-80, -50, 80, 50)  # crosses the seam level: a step there is the shift along the opening
PLACE = (
    "along_mm",
    "across_mm",
    "skew_deg",
    "stretch_mm",
    "steps",
    "worst_step_mm",
    "nudge_mm",
    "after_nudge_mm",
)


def found_by(job: Job, front: Front, off: Readings, shape: object = BAR) -> Json:
    """`off`: how far the readings are from those expected."""
    sums = place_sums(job, planned(job, shape)["M"], front)
    readings = Readings(*(at + by for at, by in zip(sums.expected, off, strict=True)))
    weighed = weigh(sums, USUAL_HAND, (Try(readings, 2.0),))
    return place_json(job, sums, readings, judge(sums, readings), weighed, ["Is it so?"])


def test_it_has_the_plain_rule_s_figures_and_those_weighed_beside_them() -> None:
    found = found_by(JOB, "left", Readings(1.5, -1.5, 0.0, 0.0))
    assert list(found) == ["front", *PLACE, "verdict", "advice", "weighed", "questions"]
    weighed = found["weighed"]
    assert list(weighed) == [*PLACE, "risk", "risk_after", "verdict", "sure", "cause", "advice"]
    assert (found["front"], found["verdict"], found["questions"]) == ("left", "nudge", ["Is it so?"])
    assert found["nudge_mm"] == {"along": -1.5, "across": 0.0}
    assert json.loads(json.dumps(found)) == found


def test_each_layer_goes_by_its_name_bottom_layer_first() -> None:
    job = replace(JOB, layers=(layer(6.0), replace(layer(0.0), name="Ümlaut letters")))
    steps = found_by(job, "left", Readings(0.0, 0.0, 0.0, 0.0))["steps"]
    assert [(step["layer"], step["y_mm"]) for step in steps] == [
        ("Ground", -56.0), ("Ground", 56.0), ("Ümlaut letters", -50.0), ("Ümlaut letters", 50.0),
    ]  # fmt: skip


def test_a_step_has_no_sign_and_a_length_three_decimals() -> None:
    found = found_by(JOB, "left", Readings(-1.00004, 1.00004, 0.0, 0.0))
    assert found["along_mm"] == -1.0
    assert [step["step_mm"] for step in found["steps"]] == [1.0, 1.0]
    assert "-0.0" not in json.dumps(found)


def test_where_nothing_crosses_a_seam_there_are_no_steps_but_how_far_it_lies_off() -> None:
    off = Readings(0.4, -0.4, 0.9, 0.9)
    closed = found_by(replace(WHOLE, garments=SPLIT_JOB.garments[:1]), "whole", off)
    beside = found_by(JOB, "left", off, box(10, -50, 80, 50))
    for found in (closed, beside):
        assert (found["steps"], found["worst_step_mm"]) == ([], 0.9)
        assert found["weighed"]["steps"] == []
