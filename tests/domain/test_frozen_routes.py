"""A route's text of an earlier Floor, as jobs keep it, still makes the same phases, with all its words filled.

Events name phases by their place in the checklist: one more or one less, and an old run would say another thing.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from route_cases import BANNER, PENNANT, SPLIT_JOB, all_texts, plan_for

from floor.domain.job import HouseRules, Job
from floor.domain.outline import Outline
from floor.domain.route import expand, read_route, sections_of

ROUTE = read_route((Path(__file__).parent / "frozen" / "split-front.toml").read_text(encoding="utf-8"))
LAYERS = (SPLIT_JOB.layers[0], replace(SPLIT_JOB.layers[1], offset=-4.0))
SHORT_OF_A_LAYER = replace(SPLIT_JOB, layers=LAYERS)  # the letters do not reach the pennant's right front

PHASES = {
    "prepare": "pull survey-m survey-xl survey-s threads ready",
    "front-left": "load-design bobbin hoop-backing backing-line adhesive lay-garment pin check-place "
    "line-background lay-background tack-background trim-background border-background "
    "line-letters lay-letters tack-letters trim-letters border-letters before-unhooping unhoop",
    "front-right": "measure-other load-design bobbin hoop-backing backing-line adhesive lay-garment pin "
    "check-place line-background lay-background tack-background trim-background border-background "
    "line-letters lay-letters tack-letters trim-letters border-letters before-unhooping unhoop",
    "finish": "compare approve backing tails final-look pack",
}


@pytest.mark.parametrize(
    ("job", "outline"), [(SPLIT_JOB, BANNER), (SPLIT_JOB, PENNANT), (SHORT_OF_A_LAYER, PENNANT)]
)
def test_an_old_text_makes_the_same_phases_whatever_the_plan_says(job: Job, outline: Outline) -> None:
    plan, made = plan_for(job, outline), {}
    for section in sections_of(ROUTE, job):
        checklist = expand(ROUTE, plan, HouseRules(), section.key, (1,), first_piece=True)
        made[section.key] = " ".join(phase.key for phase in checklist.phases)
        for phase in checklist.phases:
            assert 0 < phase.usual_s[0] <= phase.expected_s <= phase.usual_s[1]
            for text in all_texts(phase):
                assert text
                assert "{" not in text
    assert made == PHASES


def test_an_old_text_says_which_of_the_machines_stops_it_is_and_which_there_is_not() -> None:
    plan = plan_for(SHORT_OF_A_LAYER, PENNANT)
    phases = expand(ROUTE, plan, HouseRules(), "front-right", (1,), first_piece=False).phases
    texts = {phase.key: phase.text for phase in phases}
    assert texts["border-background"].startswith("Machine stop 4 of 5: sew the 4 mm border")
    assert texts["border-letters"].startswith("Machine stop (none on this front): sew the 3.5 mm border")
