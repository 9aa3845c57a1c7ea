"""A route and a job -> the sections of the job, and the checklist of a load in one of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby, takewhile
from math import ceil

from floor.domain.checklist import Checklist, Phase
from floor.domain.english import plural, unique
from floor.domain.hand import USUAL_HAND, Hand
from floor.domain.job import USUAL_HOUSE, Front, Garment, HouseRules, Job
from floor.domain.load import load_size, pieces_in_hoop
from floor.domain.plan import JobPlan
from floor.domain.route_parts import (
    PhaseTemplate,
    Route,
    RouteDoesNotFit,
    RouteError,
    Section,
    SectionTemplate,
    UnknownGarment,
    UnknownSection,
)
from floor.domain.route_phase import build_phase, slug
from floor.domain.route_read import read_route
from floor.domain.route_repeat import Repeat, holds
from floor.domain.route_text import front_words, job_words, sentence

__all__ = [
    "Route",
    "RouteDoesNotFit",
    "RouteError",
    "Section",
    "UnknownGarment",
    "UnknownSection",
    "expand",
    "lay_out",
    "load_size",
    "pieces_in_hoop",
    "read_route",
    "sections_of",
    "why_not",
]


def why_not(route: Route, job: Job) -> str | None:
    """Why the job cannot go this route, in one sentence; None when it can."""
    if route.opening and job.opening is None:
        return f'The route "{route.id}" is for garments that open in front; the job has no [opening].'
    if not route.opening and job.opening is not None:
        return f'The route "{route.id}" is for work without an opening; the job has an [opening].'
    if len(job.layers) < route.min_layers:
        needs = plural(route.min_layers, "layer")
        return f'The route "{route.id}" needs {needs} at least; the job has {len(job.layers)}.'
    return None


def sections_of(route: Route, job: Job, house: HouseRules = USUAL_HOUSE) -> tuple[Section, ...]:
    """The sections in the order they are worked; a section of each front comes once a front, the top front
    first unless the house works otherwise. Raises RouteDoesNotFit."""
    return tuple(section for section, _ in _sections(route, job, house))


def expand(
    route: Route,
    plan: JobPlan,
    house: HouseRules,
    section_key: str,
    garments: tuple[int, ...],
    first_piece: bool,
    hand: Hand = USUAL_HAND,
) -> Checklist:
    """The checklist of the load `garments` in one section: the same for the same arguments, keys unique.

    `hand`: how the shop lays and reads. A section of scope "job" is done once for all; `garments` may be empty
    there. Whether so many garments fit one load is `load_size`'s to say. Raises RouteDoesNotFit, UnknownSection,
    UnknownGarment.
    """
    section, _ = _section(route, plan.job, house, section_key)
    return lay_out(
        route, plan, house, section_key, _load(route, plan.job, section, garments), first_piece, hand
    )


def lay_out(
    route: Route,
    plan: JobPlan,
    house: HouseRules,
    section_key: str,
    load: tuple[Garment, ...],
    first_piece: bool,
    hand: Hand = USUAL_HAND,
) -> Checklist:
    """The same of garments as they are given, whether the job has them or not: each of a size of the plan.
    Raises RouteDoesNotFit, UnknownSection."""
    sections = _sections(route, plan.job, house)
    section, template = _section(route, plan.job, house, section_key)
    making = _Making(route, plan, house, hand, section, load, first_piece)
    phases = tuple(build_phase(repeat) for repeat in making.repeats(template.phases))
    return Checklist(
        section=section.key,
        title=section.title,
        place=section.place,
        front=section.front,
        phases=_with_unique_keys(phases),
        earlier=tuple(
            (one.key, one.title)
            for one, _ in takewhile(lambda found: found[0].key != section_key, sections)
            if one.scope == section.scope == "load"
        ),
    )


def _section(route: Route, job: Job, house: HouseRules, key: str) -> tuple[Section, SectionTemplate]:
    sections = _sections(route, job, house)
    found = next((one for one in sections if one[0].key == key), None)
    if found is None:
        keys = ", ".join(section.key for section, _ in sections)
        raise UnknownSection(f'There is no section "{key}" in this job; it has {keys}.')
    return found


def _sections(route: Route, job: Job, house: HouseRules) -> list[tuple[Section, SectionTemplate]]:
    wrong = why_not(route, job)
    if wrong:
        raise RouteDoesNotFit(wrong)
    found = []
    for template in route.sections:
        fronts: tuple[Front | None, ...] = job.sewn_in_order(house) if template.per_front else (None,)
        for front in fronts:
            words = job_words(route, job, job.garments) | (
                front_words(job, front, job.garments) if front else {}
            )
            key = f"{template.key}-{front}" if front else template.key
            title = sentence(template.title, words)
            found.append((Section(key, title, template.scope, template.place, front), template))
    return found


def _load(route: Route, job: Job, section: Section, numbers: tuple[int, ...]) -> tuple[Garment, ...]:
    known = {garment.number: garment for garment in job.garments}
    for number in numbers:
        if number not in known:
            highest = max(known, default=0)
            raise UnknownGarment(f"There is no {route.piece} {number} in this job; they go up to {highest}.")
        if numbers.count(number) > 1:
            raise UnknownGarment(f"The load names {route.piece} {number} twice; name each once.")
    if section.scope == "job":
        return job.garments
    if not numbers:
        raise UnknownGarment(f'The load names no {route.piece}; "{section.title}" needs one at least.')
    return tuple(known[number] for number in numbers)


@dataclass(frozen=True)
class _Making:
    """One section for one load, while it is laid out."""

    route: Route
    plan: JobPlan
    house: HouseRules
    hand: Hand
    section: Section
    load: tuple[Garment, ...]
    first_piece: bool

    @property
    def job(self) -> Job:
        return self.plan.job

    def repeats(self, templates: tuple[PhaseTemplate, ...]) -> Iterator[Repeat]:
        """Every phase to be, in order: stretches with the same `each` repeated as a group."""
        stop = 0
        for _, stretch in groupby(templates, key=lambda template: template.each):
            group = tuple(stretch)
            for about in self._around(group[0]):
                for template in group:
                    repeat = replace(about, template=template)
                    if not all(holds(condition, repeat, self.first_piece) for condition in template.when):
                        continue
                    stop += template.line is not None
                    yield replace(repeat, stop=stop)

    def _around(self, template: PhaseTemplate) -> Iterator[Repeat]:
        """What the stretch is repeated for: each layer, size or garment, or once for the whole load."""
        once = Repeat(
            self.route, self.plan, self.section, self.load, template, self.house, self.hand,
            machine_rounds=self._rounds(),
        )  # fmt: skip
        if template.each == "layer":
            for index, layer in enumerate(self.job.layers):
                yield replace(once, layer=index, suffix=slug(layer.name) or str(index + 1))
        elif template.each == "size":
            for number, size in enumerate(unique(garment.size for garment in self.job.garments), start=1):
                yield replace(once, size=size, suffix=slug(size) or str(number))
        elif template.each == "garment":
            for number, garment in enumerate(self.load, start=1):
                # The place in the load, not the garment's number: the same key in every run of the job.
                suffix = str(number) if number > 1 else ""
                yield replace(once, size=garment.size, garment=garment, suffix=suffix)
        else:
            yield once

    def _rounds(self) -> int:
        """How often the machine sews a line in one load: more than once where a hoop holds several pieces."""
        return 1 if self.section.scope == "job" else ceil(len(self.load) / self.job.machine.heads)


def _with_unique_keys(phases: tuple[Phase, ...]) -> tuple[Phase, ...]:
    """Two layers may share a name, or a name end like another phase's id: the later one gets a number."""
    used: set[str] = set()
    found = []
    for phase in phases:
        key, number = phase.key, 2
        while key in used:
            key, number = f"{phase.key}-{number}", number + 1
        used.add(key)
        found.append(replace(phase, key=key))
    return tuple(found)
