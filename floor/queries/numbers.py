"""A job's own numbers in words, as its job file gives them: opening, layers, hoop, machine."""

from __future__ import annotations

from dataclasses import dataclass

from floor.domain.english import plural, unique
from floor.domain.job import HouseRules, Job, Opening
from floor.domain.lengths import format_mm
from floor.domain.route_text import TACKS
from floor.queries.plan_words import turn_words


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
    """`opening`: one line a size; none for work without an opening.
    `opening_facts`, `machine`: (what, how much)."""

    opening: tuple[OpeningLine, ...]
    opening_facts: tuple[tuple[str, str], ...]
    layers: tuple[LayerLine, ...]
    machine: tuple[tuple[str, str], ...]


def numbers_of(job: Job, house: HouseRules) -> Numbers:
    return Numbers(
        opening=_opening_lines(job),
        opening_facts=_opening_facts(job, job.opening, house) if job.opening else (),
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


def _opening_facts(job: Job, opening: Opening, house: HouseRules) -> tuple[tuple[str, str], ...]:
    past = "past" if opening.over_edge >= 0 else "inside"
    facts = [
        ("Top front", f"{opening.top_front}, sewn {turn_words(job, opening.top_front, house)}"),
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
