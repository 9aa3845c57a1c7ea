"""What a job's ticket says: its numbers, what to pull for it, and its garments."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from floor.domain.english import listed, plain, plural, unique
from floor.domain.job import Garment, Job, Opening
from floor.domain.lengths import format_mm
from floor.domain.route import Section
from floor.domain.route_text import TACKS
from floor.domain.ticket import show_code
from floor.queries.views import JobView


@dataclass(frozen=True)
class OpeningLine:
    size: str
    span: str
    overlap: str


@dataclass(frozen=True)
class LayerLine:
    name: str
    fabric: str
    colour: str
    offset: str
    tack: str
    placement_line: bool
    border: str
    thread: str


@dataclass(frozen=True)
class Numbers:
    """A job's own numbers, in words. `opening`: one line a size; none for work without an opening.
    `opening_facts`, `machine`: (what, how much)."""

    opening: tuple[OpeningLine, ...]
    opening_facts: tuple[tuple[str, str], ...]
    layers: tuple[LayerLine, ...]
    machine: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Pull:
    """What to fetch for the whole job: (what, how much, for what)."""

    what: str
    amount: str
    detail: str


@dataclass(frozen=True)
class TicketPage:
    code: str
    code_shown: str
    title: str
    customer: str
    due: str
    revision: int
    route: str
    piece: str
    numbers: Numbers
    pull: tuple[Pull, ...]
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
        numbers=numbers_of(view),
        pull=pull_of(view),
        sections=tuple(section for section in view.sections if section.scope == "load"),
        job_sections=tuple(section for section in view.sections if section.scope == "job"),
        garments=view.job.garments,
    )


def numbers_of(view: JobView) -> Numbers:
    job = view.job
    return Numbers(
        opening=_opening_lines(job),
        opening_facts=_opening_facts(job.opening) if job.opening else (),
        layers=tuple(
            LayerLine(
                layer.name,
                layer.fabric,
                layer.colour,
                format_mm(layer.offset),
                TACKS[layer.tack],
                layer.placement_line,
                f"{format_mm(layer.border.width)} wide, {layer.border.spacing:g} mm apart on one side",
                layer.border.thread,
            )
            for layer in job.layers
        ),
        machine=_machine(job),
    )


def _opening_lines(job: Job) -> tuple[OpeningLine, ...]:
    if job.opening is None:
        return ()
    found = []
    for size in unique(garment.size for garment in job.garments):
        own = job.opening.of(size)
        found.append(OpeningLine(size, format_mm(own.span), format_mm(own.overlap)))
    return tuple(found)


def _opening_facts(opening: Opening) -> tuple[tuple[str, str], ...]:
    past = "past" if opening.over_edge >= 0 else "inside"
    facts = [
        ("Top front", f"{opening.top_front}, sewn first"),
        ("Sewing ends", f"{format_mm(abs(opening.over_edge))} {past} the folded edge"),
    ]
    if opening.under_cover is not None:
        facts.append(("Under front", f"sewn {format_mm(opening.under_cover)} beyond the seam"))
    facts.append(("Buttons", f"{opening.buttons}, {format_mm(opening.button_size)} across"))
    return tuple(facts)


def _machine(job: Job) -> tuple[tuple[str, str], ...]:
    width, height = job.hoop.field
    facts = [
        ("Design height", format_mm(job.design.height)),
        (
            "Hoop",
            f"{format_mm(width).removesuffix(' mm')} x {format_mm(height)}, "
            f"{format_mm(job.hoop.clearance)} kept clear all round",
        ),
        ("Backing", f"{job.backing.kind}, {plural(job.backing.sheets, 'sheet')} a hooping"),
        ("Machine", f"{job.machine.speed} stitches a minute, {plural(job.machine.heads, 'head')}"),
    ]
    if job.design.centre != (0.0, 0.0):
        facts.insert(1, ("Design centre", _centre_words(*job.design.centre)))
    return tuple(facts)


def _centre_words(across: float, up: float) -> str:
    """ "20 mm to the viewer's right, 5 mm up"."""
    parts = []
    if across:
        parts.append(f"{format_mm(abs(across))} to the viewer's {'right' if across > 0 else 'left'}")
    if up:
        parts.append(f"{format_mm(abs(up))} {'up' if up > 0 else 'down'}")
    return ", ".join(parts)


def pull_of(view: JobView) -> tuple[Pull, ...]:
    """Garments by size, cloth by layer, backing and threads for the whole job, spares not counted."""
    job, route = view.job, view.route
    fronts, count = len(job.fronts), len(job.garments)
    each = f"one for each of {fronts} fronts" if fronts > 1 else f"one for each {route.piece}"
    found = []
    if route.load != "hooping":
        found.append(Pull("Garments", str(count), sizes_words(job.garments)))
    for layer in job.layers:
        found.append(
            Pull(
                f"{layer.colour} {layer.fabric}",
                plural(count * fronts, "piece"),
                f"{plain(layer.name)}: {each}; {sizes_words(job.garments)}",
            )
        )
    hoopings = count * fronts
    if route.load == "hooping":
        hoopings = ceil(count / max(1, view.load_size // job.machine.heads))
    found.append(
        Pull(
            f"{job.backing.kind} backing",
            plural(hoopings * job.backing.sheets, "sheet"),
            f"{plural(hoopings, 'hooping')}, {plural(job.backing.sheets, 'sheet')} each",
        )
    )
    threads = unique(layer.border.thread for layer in job.layers)
    found.append(Pull("Threads", str(len(threads)), listed(threads)))
    return tuple(found)


def sizes_words(garments: Iterable[Garment]) -> str:
    """ "S 1, M 3, L 2"."""
    counts: dict[str, int] = {}
    for garment in garments:
        counts[garment.size] = counts.get(garment.size, 0) + 1
    return ", ".join(f"{size} {count}" for size, count in counts.items())
