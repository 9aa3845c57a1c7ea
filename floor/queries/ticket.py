"""What a job's ticket says: its numbers, its stops, what to pull for it, and its garments."""

from __future__ import annotations

from dataclasses import dataclass, replace

from floor.domain.job import Garment
from floor.domain.lengths import format_mm
from floor.domain.pull_list import PullLine
from floor.domain.route import Section
from floor.domain.ticket import show_code
from floor.queries.numbers import Numbers, numbers_of
from floor.queries.plan_page import WarningLine, warning_lines
from floor.queries.plan_words import under_first_words
from floor.queries.pull import pull_of
from floor.queries.stop_sheet import StopSheet, stop_sheets
from floor.queries.views import JobView


@dataclass(frozen=True)
class TicketPage:
    """`order`: what the order of the fronts costs, "" for nothing."""

    code: str
    code_shown: str
    title: str
    customer: str
    due: str
    revision: int
    route: str
    piece: str
    warnings: tuple[WarningLine, ...]
    order: str
    numbers: Numbers
    sheets: tuple[StopSheet, ...]
    pull: tuple[PullLine, ...]
    sections: tuple[Section, ...]
    job_sections: tuple[Section, ...]
    garments: tuple[Garment, ...]

    @property
    def named(self) -> bool:
        """Whether any garment bears a name."""
        return any(garment.name for garment in self.garments)


def ticket_page(view: JobView) -> TicketPage:
    due = view.row.due
    return TicketPage(
        code=view.row.code,
        code_shown=show_code(view.row.code),
        title=view.row.title,
        customer=view.row.customer,
        due=f"{due:%A} {due.day} {due:%B %Y}",
        revision=view.revision,
        route=view.route.title,
        piece=view.route.piece,
        warnings=warning_lines(view.sums),
        order=under_first_words(view.job, view.plan.house),
        numbers=_numbers(view),
        sheets=stop_sheets(view.sums, view.plan.house),
        pull=pull_of(view),
        sections=tuple(section for section in view.sections if section.scope == "load"),
        job_sections=tuple(section for section in view.sections if section.scope == "job"),
        garments=view.job.garments,
    )


def _numbers(view: JobView) -> Numbers:
    """The job's own; of a garment that is placed against chalked lines how far apart these are, too."""
    found = numbers_of(view.job, view.plan.house)
    if view.job.opening is not None or view.sums.on_backing:
        return found
    y0, y1 = next(iter(view.sums.sizes.values())).window
    lines = "Lines to chalk", f"top and bottom {format_mm(y1 - y0)} apart, the level centre line midway"
    return replace(found, machine=(*found.machine, lines))
