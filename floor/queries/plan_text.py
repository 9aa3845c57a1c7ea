"""A plan as a person reads it in a terminal: `floor plan`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from floor.domain.english import plural
from floor.domain.fronts import FrontPlan, SizePlan
from floor.domain.job import HouseRules, Job
from floor.domain.lengths import format_mm
from floor.domain.plan import JobPlan
from floor.domain.stops import Stop
from floor.queries.office.words import clock_words, day_words
from floor.queries.plan_words import (
    MM2_PER_CM2,
    front_words,
    sewn_alike,
    size_words,
    stop_words,
    under_first_words,
    warning_about,
)
from floor.queries.text_table import paragraph, text_table


def plan_text(
    plan: JobPlan, materials: Sequence[Sequence[str]], left_out: Sequence[str], house: HouseRules
) -> str:
    """`materials`: the pull list's rows; `left_out`: the outline's sentences on what is no part of it."""
    return "\n".join(_lines(plan, materials, left_out, house)) + "\n"


def _lines(
    plan: JobPlan, materials: Sequence[Sequence[str]], left_out: Sequence[str], house: HouseRules
) -> Iterator[str]:
    job = plan.job
    yield from paragraph(job.title, 0)
    count = plural(len(job.garments), "garment" if job.opening else "piece")
    yield from paragraph(f"{job.customer}, due {day_words(job.due)}, route {job.route}, {count}", 0)
    yield ""
    yield "WARNINGS"
    for warning in plan.warnings:
        about = warning_about(warning)
        yield from paragraph(f"{warning.code}: {about + ': ' if about else ''}{warning.text}")
    if not plan.warnings:
        yield "  none"
    costs = under_first_words(job, house)
    if costs:
        yield from paragraph(costs)
    for sentence in left_out:
        yield from paragraph(f"left out of the outline: {sentence}")
    for alike in sewn_alike(plan):
        yield ""
        yield from _size(plan, alike, house)
    yield ""
    yield "MATERIALS"
    yield from text_table(("What", "How much", "For what"), materials, indent=2)


def _size(plan: JobPlan, alike: tuple[str, ...], house: HouseRules) -> Iterator[str]:
    job, size = plan.job, plan.sizes[alike[0]]
    kind, _, names = size_words(alike).partition(" ")
    yield from paragraph(f"{kind.upper()}: {names}", 0)
    y0, y1 = size.window
    facts = [f"trace window y {_mm(y0)} to {_mm(y1)} mm"]
    if size.opening is not None and size.cover is not None:
        facts = [
            f"span {_spans(plan, alike)}",
            f"overlap {format_mm(size.opening.overlap)}",
            *facts,
            f"under front sewn {format_mm(size.cover)} beyond the seam",
        ]
    yield from paragraph("; ".join(facts))
    yield from _seam(job, size)
    for front in job.sewn_in_order(house):
        yield ""
        yield from _front(plan, size, size.fronts[front], house)


def _spans(plan: JobPlan, alike: tuple[str, ...]) -> str:
    """ "180 mm", or where they differ "M 180 mm, XL 200 mm"."""
    spans = {size: opening.span for size in alike if (opening := plan.sizes[size].opening)}
    shown = [f"{size} {format_mm(span)}" for size, span in spans.items()]
    return ", ".join(shown) if len(set(spans.values())) > 1 else format_mm(spans[alike[0]])


def _seam(job: Job, size: SizePlan) -> Iterator[str]:
    if size.seam is None:
        return
    heights = {
        index: [_mm(crossing.y) for crossing in size.seam.crossings if crossing.layer == index]
        for index in range(len(job.layers))
    }
    yield f"  seam at x {_mm(size.seam.x)} mm"
    for index, found in heights.items():
        crosses = f"crosses it at y {', '.join(found)} mm" if found else "does not cross it"
        yield from paragraph(f"{job.layers[index].name} {crosses}", 4)


def _front(plan: JobPlan, size: SizePlan, front: FrontPlan, house: HouseRules) -> Iterator[str]:
    job = plan.job
    yield from paragraph(f"{front_words(plan, front.front, house)}: {'; '.join(_front_facts(front))}")
    yield from text_table(
        ("Layer", ">Area cm2", ">Cut length mm", ">Corners", ">Holes", ">Blank mm"),
        [
            (
                f"{piece.layer + 1} {job.layers[piece.layer].name}",
                f"{piece.area / MM2_PER_CM2:.1f}",
                f"{piece.cut_length:.1f}",
                str(piece.corners),
                str(piece.holes),
                f"{piece.blank[0]:g} x {piece.blank[1]:g}" if piece.blank else "none",
            )
            for piece in front.pieces
        ],
    )
    yield from text_table(
        (">Stop", "Sews", "Thread", ">Stitches", ">Likely", "Before it"),
        [_stop(job, stop) for stop in plan.stops[size.size, front.front]],
    )


def _front_facts(front: FrontPlan) -> Iterator[str]:
    if front.edge_x is not None and front.reach is not None:
        way = "past" if front.reach >= 0 else "inside"
        yield f"edge at x {_mm(front.edge_x)}, sewn to {format_mm(abs(front.reach))} {way} it"
    if front.extent is not None:
        x0, y0, x1, y1 = front.extent
        yield f"extent {_mm(x1 - x0)} x {_mm(y1 - y0)} mm (x {_mm(x0)} to {_mm(x1)}, y {_mm(y0)} to {_mm(y1)})"
    yield "fits the hoop" if front.fits_hoop else "DOES NOT FIT the hoop"
    if front.marks:
        (x, low), (_, high) = front.marks
        yield f"marks at x {_mm(x)}, y {_mm(low)} and {_mm(high)}"


def _stop(job: Job, stop: Stop) -> tuple[str, ...]:
    return (
        str(stop.no),
        stop_words(job, stop),
        stop.thread or "",
        f"{stop.stitches:,}",
        clock_words(round(stop.likely_s)),
        stop.before,
    )


def _mm(mm: float) -> str:
    return format_mm(mm).removesuffix(" mm")
