"""One job for the supervisor: its garments through the sections, and what was decided about it."""

from __future__ import annotations

from dataclasses import dataclass

from floor.domain.english import listed
from floor.domain.progress import GarmentProgress
from floor.domain.pull_list import PullLine
from floor.domain.route import Section
from floor.queries.numbers import Numbers, numbers_of
from floor.queries.office.jobs import JobLine, RunLine, job_line, runs_going_on
from floor.queries.office.problems import ProblemLine, problem_lines
from floor.queries.office.revisions import RevisionLine, revision_lines
from floor.queries.office.set_aside import AsideRun, aside_runs
from floor.queries.office.words import local_day, moment_words
from floor.queries.plan_page import PlanPage, plan_page
from floor.queries.plan_pictures import PlanPicture, plan_pictures
from floor.queries.plan_words import looks_alike
from floor.queries.pull import pull_of
from floor.queries.views import JobView


@dataclass(frozen=True)
class Cell:
    """One section of one garment. `state`: "done", "under way", "next" or "later"."""

    state: str
    run: str | None
    attempts: int


@dataclass(frozen=True)
class GarmentLine:
    number: int
    size: str
    name: str
    cells: tuple[Cell, ...]
    finished: bool
    scraps: int
    awaits_restart: bool


@dataclass(frozen=True)
class SizeChoice:
    """Sizes that one set of pictures shows; `size`: the one to ask for."""

    size: str
    words: str
    chosen: bool


@dataclass(frozen=True)
class JobPage(JobLine):
    """`job_sections`: those done once for the whole job, as (title, cell); `approval`: why the batch waits,
    "" when it does not; `size`: what the pictures show, with `choices` of others where they look different."""

    route: str
    removed: str
    revision: int
    numbers: Numbers
    plan: PlanPage
    pictures: tuple[PlanPicture, ...]
    size: str
    choices: tuple[SizeChoice, ...]
    pull: tuple[PullLine, ...]
    job_sections: tuple[tuple[str, Cell], ...]
    sections: tuple[str, ...]
    garments: tuple[GarmentLine, ...]
    revisions: tuple[RevisionLine, ...]
    approval: str
    runs: tuple[RunLine, ...]
    problems: tuple[ProblemLine, ...]
    aside: tuple[AsideRun, ...]


def job_page(view: JobView, now_ms: int, size: str = "") -> JobPage:
    """`size`: which one's pictures to show; the first of the job where it has no such size."""
    row = view.row
    shown = size if size in view.sums.sizes else next(iter(view.sums.sizes))
    loads = view.progress.load_sections
    removed = ""
    if row.removed_at is not None:
        removed = f"Removed by {row.removed_by}, {moment_words(row.removed_at)}."
    return JobPage(
        **vars(job_line(view, local_day(now_ms))),
        route=view.route.title,
        removed=removed,
        revision=view.revision,
        numbers=numbers_of(view.job, view.plan.house),
        plan=plan_page(view.sums, view.outline.left_out, view.plan.house),
        pictures=plan_pictures(view.job, view.plan.house),
        size=shown,
        choices=_choices(view, shown),
        pull=pull_of(view),
        job_sections=tuple((s.title, _job_cell(view, s)) for s in view.sections if s.scope == "job"),
        sections=tuple(section.title for section in loads),
        garments=tuple(
            _garment_line(view, view.progress.garments[garment.number]) for garment in view.job.garments
        ),
        revisions=revision_lines(row),
        approval=_approval(view),
        runs=tuple(runs_going_on(now_ms, row.id)),
        problems=tuple(problem_lines(now_ms, job_id=row.id)),
        aside=tuple(aside_runs(row.id)),
    )


def _job_cell(view: JobView, section: Section) -> Cell:
    progress = view.progress
    if section.key in progress.job_done:
        return Cell("done", progress.job_done[section.key], 1)
    if section.key in progress.job_under_way:
        return Cell("under way", progress.job_under_way[section.key], 1)
    return Cell("next" if progress.open_job_section == section else "later", None, 0)


def _garment_line(view: JobView, progress: GarmentProgress) -> GarmentLine:
    garment = view.job.garment(progress.number)
    upcoming = view.progress.next_section(progress.number)
    cells = []
    for section in view.progress.load_sections:
        attempts = progress.attempts.get(section.key, 0)
        if progress.under_way and progress.under_way_section == section.key:
            cells.append(Cell("under way", progress.under_way, attempts))
        elif section.key in progress.done:
            cells.append(Cell("done", progress.done[section.key], attempts))
        else:
            cells.append(Cell("next" if section == upcoming else "later", None, attempts))
    return GarmentLine(
        garment.number,
        garment.size,
        garment.name or "",
        tuple(cells),
        progress.finished,
        progress.scraps,
        progress.awaits_restart,
    )


def _approval(view: JobView) -> str:
    progress = view.progress
    if not progress.approval_owed:
        return ""
    if progress.first_piece:
        return f"The batch waits until the first piece, garment {progress.first_piece[0]}, is approved."
    return "The first garment will be the first piece: the batch waits until it is approved."


def _choices(view: JobView, shown: str) -> tuple[SizeChoice, ...]:
    """One for each look that the job's sizes have; none where all look alike."""
    groups = looks_alike(view.sums)
    if len(groups) == 1:
        return ()
    return tuple(SizeChoice(group[0], listed(group), shown in group) for group in groups)
