"""A front's place as a program reads it: `floor place --json`.

Lengths are mm rounded to 0.001, degrees to 0.0001, layers go by their names in the job file. Steps are unsigned. A
garment without a seam, and a design that nowhere crosses one, has no steps: `worst_step_mm` is then how far it
lies off at the window's lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees
from typing import Any

from floor.domain.fronts import Readings
from floor.domain.job import Job
from floor.domain.place_sums import PlaceSums
from floor.domain.place_words import advice
from floor.domain.placement import Judgement, Placement, past_edge
from floor.domain.weighing import Action, Weighed

LENGTH_DECIMALS = 3
DEGREE_DECIMALS = 4
RISK_DECIMALS = 4

Json = dict[str, Any]


def place_json(
    job: Job,
    sums: PlaceSums,
    readings: Readings,
    judgement: Judgement,
    weighed: Weighed,
    questions: Sequence[str],
) -> Json:
    """The plain rule's figures, and under "weighed" those of readings weighed against how a shop lays garments.

    `questions`: what looks odd about the readings, in sentences.
    """
    return {
        "front": sums.front,
        **_lie(judgement.placement),
        **_steps(job, sums, judgement.steps, judgement.worst, judgement.nudge, judgement.after_nudge),
        "verdict": judgement.verdict,
        "advice": plain_advice(sums, readings, judgement),
        "weighed": {
            **_lie(weighed.lie.mean),
            **_steps(job, sums, weighed.steps, weighed.worst, weighed.nudge, weighed.after_nudge),
            "risk": round(weighed.risk, RISK_DECIMALS),
            "risk_after": round(weighed.risk_after, RISK_DECIMALS),
            "verdict": weighed.verdict,
            "sure": weighed.sure,
            "cause": weighed.cause,
            "advice": weighed_advice(sums, weighed),
        },
        "questions": list(questions),
    }


def plain_advice(sums: PlaceSums, readings: Readings, found: Judgement) -> str:
    """What to do, by the plain rule. `readings`: those that `found` judges."""
    past = None if sums.keep_past is None else past_edge(sums, readings, found.nudge[1])
    return advice(
        sums, found.verdict, found.cause, found.nudge, found.skew_deg, found.placement.stretch, past
    )


def weighed_advice(sums: PlaceSums, found: Weighed) -> str:
    verdict: Action = found.verdict
    return advice(
        sums, verdict, found.cause, found.nudge, found.skew_deg, found.lie.mean.stretch, found.past_after
    )


def _lie(placement: Placement) -> Json:
    return {
        "along_mm": _mm(placement.along),
        "across_mm": _mm(placement.across),
        "skew_deg": _rounded(degrees(placement.skew), DEGREE_DECIMALS),
        "stretch_mm": _mm(placement.stretch),
    }


def _steps(
    job: Job,
    sums: PlaceSums,
    steps: Sequence[float],
    worst: float,
    nudge: tuple[float, float],
    after: float,
) -> Json:
    return {
        "steps": [
            {"layer": job.layers[at.layer].name, "y_mm": _mm(at.y), "step_mm": _mm(abs(step))}
            for at, step in zip(sums.steps, steps, strict=True)
            if at.layer is not None
        ],
        "worst_step_mm": _mm(worst),
        "nudge_mm": {"along": _mm(nudge[0]), "across": _mm(nudge[1])},
        "after_nudge_mm": _mm(after),
    }


def _mm(value: float) -> float:
    return _rounded(value, LENGTH_DECIMALS)


def _rounded(value: float, decimals: int) -> float:
    return round(value, decimals) + 0.0  # never -0.0
