"""What the plan's pages, ticket and text table say alike: fronts, stops and the sizes that are sewn the same."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from math import sqrt

from floor.domain.english import listed
from floor.domain.job import USUAL_HOUSE, Front, HouseRules, Job, OpeningSize
from floor.domain.plan import JobPlan
from floor.domain.plan_warnings import PlanWarning
from floor.domain.stops import Stop

MM2_PER_CM2 = 100
BOTH_ERRORS = sqrt(2)  # errors that know nothing of each other, and are as large, add as squares

SEWS = {
    "backing": "line on the backing",
    "placement": "placement line",
    "tack": "tack-down",
    "border": "border",
    "marks": "marks",
}


def front_words(plan: JobPlan, front: Front, house: HouseRules = USUAL_HOUSE) -> str:
    """ "Left front, sewn first"; "The whole design" where the garment does not open, and where several are sewn in
    one hooping "One of those in the hoop"."""
    if front == "whole":
        return "One of those in the hoop" if plan.on_backing else "The whole design"
    return f"{front.capitalize()} front, sewn {turn_words(plan.job, front, house)}"


def turn_words(job: Job, front: Front, house: HouseRules) -> str:
    """ "first" or "second": when the house sews this front."""
    return "first" if front == job.sewn_in_order(house)[0] else "second"


def under_first_words(job: Job, house: HouseRules) -> str:
    """What it costs that the house sews the under front first; "" where it does not, and where nothing opens."""
    if job.opening is None or not house.under_first:
        return ""
    return (
        "The under front is sewn first, by the drawing, and the top front, whose edge people see, has to follow it: "
        f"it carries both fronts' errors, and lies {BOTH_ERRORS:.1f} times as far off its drawn place on average. "
        "The setting FLOOR_FIRST_FRONT=top avoids that."
    )


def stop_words(job: Job, stop: Stop) -> str:
    """ "Letters: tack-down", "line on the backing"."""
    words = SEWS[stop.sews]
    return words if stop.layer is None else f"{job.layers[stop.layer].name}: {words}"


def size_words(sizes: tuple[str, ...]) -> str:
    """ "size S", "sizes M and XL"."""
    return f"{'size' if len(sizes) == 1 else 'sizes'} {listed(sizes)}"


def warning_about(warning: PlanWarning) -> str:
    """Which size and front it is about, as far as its text does not say it: "Size XL"; "" where it is about all."""
    about = [f"size {warning.size}"] * bool(warning.size)
    front = f"{warning.front} front"
    if warning.front not in (None, "whole") and front not in warning.text:
        about.append(front)
    return capital(", ".join(about))


def capital(words: str) -> str:
    """With its first letter large; names within keep theirs."""
    return words[:1].upper() + words[1:]


def sewn_alike(plan: JobPlan) -> tuple[tuple[str, ...], ...]:
    """The job's sizes in groups of the same overlap: their fronts are sewn alike, whatever the buttons' distance."""
    return _sizes_by(plan, lambda opening: opening.overlap if opening else None)


def looks_alike(plan: JobPlan) -> tuple[tuple[str, ...], ...]:
    """The same in groups of one overlap and one span: one picture shows them all."""
    return _sizes_by(plan, lambda opening: opening)


def _sizes_by(plan: JobPlan, key: Callable[[OpeningSize | None], Hashable]) -> tuple[tuple[str, ...], ...]:
    groups: dict[Hashable, list[str]] = {}
    for size, found in plan.sizes.items():
        groups.setdefault(key(found.opening), []).append(size)
    return tuple(map(tuple, groups.values()))
