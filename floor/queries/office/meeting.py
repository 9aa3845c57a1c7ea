"""The supervisor's page on how the halves meet, from what was laid, foretold and found."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import InstrumentedAttribute

from floor.domain.capability import held
from floor.domain.job import USUAL_HOUSE
from floor.domain.meetings import WHOLE_SEAM
from floor.domain.ticket import show_code
from floor.queries.hand import learned_today
from floor.queries.office.meeting_chart import Scatter, StepChart, scatter, step_chart
from floor.queries.office.meeting_groups import Grouping, by_front, groupings
from floor.queries.office.meeting_rows import DAYS, Asked, Closed, closed, rounds
from floor.queries.office.meeting_words import (
    do_predictions_hold,
    do_they_meet,
    is_it_getting_worse,
    where_from,
)
from floor.queries.office.words import moment_words
from floor.store.models import JobRow, MeetingRow, PlacingRow, RunRow, db

MOST_LINES = 200  # of the table of garments
ENDED = {"passed": "", "conceded": "let stand", "sent back": "sent back", "scrapped": "scrapped"}


@dataclass(frozen=True)
class Choice:
    """One of a filter's fields, with what can be chosen: (value, words)."""

    name: str
    words: str
    every: str
    chosen: str
    options: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Line:
    """A garment in the table behind the charts."""

    run: str
    job: str
    number: int
    size: str
    place: str
    when: str
    found: str
    steps: str
    gap: str
    foretold: str
    over: bool
    ended: str


@dataclass(frozen=True)
class MeetingPage:
    """`anything`: whether any front was ever laid or garment compared; `meet`, `worse`, `source`, `trust`: the four
    answers; `chart`: None while no garment was closed, `scatter`: None while nothing was foretold; `learned`: on
    how many fronts the shop's own hand rests."""

    choices: tuple[Choice, ...]
    filtered: bool
    anything: bool
    meet: list[str]
    worse: str
    source: list[str]
    trust: list[str]
    chart: StepChart | None
    scatter: Scatter | None
    groupings: tuple[Grouping, ...]
    fronts: Grouping
    lines: tuple[Line, ...]
    lines_left_out: int
    tolerance: float
    learned: int


def meeting_page(asked: Asked, now_ms: int) -> MeetingPage:
    garments, laid = closed(asked, now_ms), rounds(asked, now_ms)
    tolerance = garments[-1].passes if garments else USUAL_HOUSE.step_pass
    pairs = [(one.foretold, one.worst) for one in garments if one.foretold is not None]
    chart = step_chart(garments, tolerance) if garments else None
    fronts, by = by_front(laid, tolerance), groupings(garments, laid, tolerance)
    return MeetingPage(
        choices=_choices(asked),
        filtered=asked.anything,
        anything=bool(garments or laid) or (asked.anything and _any_at_all()),
        meet=do_they_meet(garments, tolerance) if garments else [],
        worse=is_it_getting_worse(chart) if chart else "",
        source=where_from(fronts, by),
        trust=do_predictions_hold(held([one for one, _ in pairs], [one for _, one in pairs])),
        chart=chart,
        scatter=scatter(pairs, tolerance) if pairs else None,
        groupings=by,
        fronts=fronts,
        lines=tuple(_line(one, tolerance) for one in reversed(garments[-MOST_LINES:])),
        lines_left_out=max(0, len(garments) - MOST_LINES),
        tolerance=tolerance,
        learned=learned_today().laid,
    )


def _any_at_all() -> bool:
    return any(db.session.scalar(select(table.run_id).limit(1)) for table in (MeetingRow, PlacingRow))


def _line(one: Closed, tolerance: float) -> Line:
    steps = [f"{name} {step:.1f}" for name, step in one.steps.items() if name != WHOLE_SEAM]
    return Line(
        run=one.run,
        job=one.job_title,
        number=one.number,
        size=one.size,
        place=", ".join(part for part in (one.hoop, one.machine) if part),
        when=moment_words(one.at),
        found=f"{one.worst:.1f}",
        steps=", ".join(steps),
        gap="" if one.gap is None else f"{one.gap:.1f}",
        foretold="" if one.foretold is None else f"{one.foretold:.1f}",
        over=one.worst > tolerance,
        ended=ENDED[one.outcome],
    )


def _choices(asked: Asked) -> tuple[Choice, ...]:
    jobs = db.session.execute(
        select(JobRow.code, JobRow.title)
        .where(JobRow.id.in_(select(RunRow.job_id).join(PlacingRow, PlacingRow.run_id == RunRow.id)))
        .order_by(JobRow.created_at.desc(), JobRow.id.desc())
    )
    titles = [(code, f"{title}, {show_code(code)}") for code, title in jobs]
    return (
        Choice("job", "Job", "every job", asked.job, tuple(titles)),
        Choice("size", "Size", "every size", asked.size, _distinct(PlacingRow.size)),
        Choice("hoop", "Hoop", "every hoop", asked.hoop, _distinct(RunRow.hoop)),
        Choice("machine", "Machine", "every machine", asked.machine, _distinct(RunRow.machine)),
        Choice("days", "Time", "all the time", str(asked.days) if asked.days else "", tuple(DAYS.items())),
    )


def _distinct(column: InstrumentedAttribute[str]) -> tuple[tuple[str, str], ...]:
    found = db.session.scalars(select(column).where(column != "").distinct())
    return tuple((one, one) for one in sorted(found))
