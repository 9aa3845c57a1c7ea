"""The stop sheet of each front, as a page or a ticket shows it."""

from __future__ import annotations

from dataclasses import dataclass

from floor.domain.job import USUAL_HOUSE, HouseRules, Job
from floor.domain.plan import JobPlan
from floor.domain.stops import Stop
from floor.queries.office.words import clock_words
from floor.queries.plan_words import front_words, sewn_alike, size_words, stop_words

SHORT_ROWS = 10


@dataclass(frozen=True)
class StopRow:
    """`before`: what hands do before it. `stitches`, `likely`: "" for what is never sewn."""

    no: int
    before: str
    sews: str
    thread: str
    stitches: str
    likely: str


@dataclass(frozen=True)
class StopSheet:
    """All stops of one front. `title` names the sizes where others are sewn differently; `together`: the stitches
    and times of all stops, in words."""

    title: str
    together: str
    rows: tuple[StopRow, ...]

    @property
    def short(self) -> bool:
        """Whether it is better moved to the next page than cut."""
        return len(self.rows) <= SHORT_ROWS


def stop_sheets(plan: JobPlan, house: HouseRules = USUAL_HOUSE) -> tuple[StopSheet, ...]:
    """One for each front and each overlap: front by front, in the order they are sewn."""
    groups = sewn_alike(plan)
    found = []
    for front in plan.job.sewn_in_order(house):
        for group in groups:
            title = front_words(plan, front, house)
            if len(groups) > 1:
                title += f"; {size_words(group)}"
            found.append(_sheet(plan.job, title, plan.stops[group[0], front]))
    return tuple(found)


def _sheet(job: Job, title: str, stops: tuple[Stop, ...]) -> StopSheet:
    stitches = sum(stop.stitches for stop in stops)
    likely, at_speed = (
        clock_words(round(sum(seconds)))
        for seconds in ((stop.likely_s for stop in stops), (stop.at_speed_s for stop in stops))
    )
    together = f"{stitches:,} stitches, likely {likely}, {at_speed} at the set speed throughout"
    return StopSheet(title, together, tuple(_row(job, stop) for stop in stops))


def _row(job: Job, stop: Stop) -> StopRow:
    return StopRow(
        no=stop.no,
        before=stop.before,
        sews=stop_words(job, stop),
        thread=stop.thread or "",
        stitches=f"{stop.stitches:,}" if stop.stitches else "",
        likely=clock_words(round(stop.likely_s)) if stop.stitches else "",
    )
