"""A front's place as a person reads it in a terminal: `floor place`, what to do first."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from floor.domain.lengths import format_mm
from floor.domain.place_json import plain_advice, weighed_advice
from floor.domain.place_sums import PlaceSums
from floor.domain.place_words import SHOWN_MM, moved_words
from floor.domain.placement import Placement
from floor.queries.place import JudgedPlace
from floor.queries.text_table import paragraph, text_table

SHOWN_DEG = 0.005


def place_text(found: JudgedPlace) -> str:
    return "\n".join(_lines(found)) + "\n"


def _lines(found: JudgedPlace) -> Iterator[str]:
    sums, plain, weighed = found.sums, found.judgement, found.weighed
    yield from paragraph(f"{plain.verdict.upper()}: {plain_advice(sums, found.readings, plain)}", 0)
    for question in found.questions:
        yield from paragraph(f"LOOK AGAIN: {question}", 0)
    yield ""
    yield from paragraph(f"{_title(found)}: {lie_words(sums, plain.placement)}", 0)
    left = f"; {plain.after_nudge:.2f} mm once nudged" if plain.verdict != "sew" else ""
    passes = f"up to {format_mm(sums.tolerance)} passes"
    yield from paragraph(f"Worst {_what(sums)} {plain.worst:.2f} mm{left}; {passes}.")
    rows = [
        (found.job.layers[at.layer].name, f"{at.y:.1f}", f"{abs(step):.2f}", f"{abs(likely):.2f}")
        for at, step, likely in zip(sums.steps, plain.steps, weighed.steps, strict=True)
        if at.layer is not None
    ]
    if rows:
        yield from text_table(("Crosses the seam", ">At y mm", ">Step mm", ">Weighed mm"), rows, indent=2)
    yield ""
    yield from paragraph(
        f"Weighed against how a shop usually lays ({weighed.sure}): {weighed_advice(sums, weighed)}", 0
    )
    moved = weighed.nudge != (0.0, 0.0) and weighed.verdict != "sew"
    after = f", {_chance(weighed.risk_after)} once moved {moved_words(sums, weighed.nudge)}" if moved else ""
    yield from paragraph(
        f"Chance of more than {format_mm(sums.tolerance)}: {_chance(weighed.risk)} as it lies{after}."
    )


def lie_words(sums: PlaceSums, placement: Placement) -> str:
    """ "1.2 mm toward the collar, turned 0.30 degrees clockwise"; "on its place"."""
    parts = []
    moved = moved_words(sums, (placement.along, placement.across))
    if max(abs(placement.along), abs(placement.across)) >= SHOWN_MM:
        parts.append(moved)
    turned = degrees(placement.skew)
    if abs(turned) >= SHOWN_DEG:
        parts.append(f"turned {abs(turned):.2f} degrees {'counter-clockwise' if turned > 0 else 'clockwise'}")
    if abs(placement.stretch) >= SHOWN_MM:
        closer = "closer together" if placement.stretch > 0 else "farther apart"
        between = "the buttons" if sums.side else "the drawn lines"
        parts.append(f"{between} {format_mm(abs(placement.stretch))} {closer} than planned")
    return ", ".join(parts) or "on its place"


def _chance(risk: float) -> str:
    return f"{round(100 * risk)} %"


def _what(sums: PlaceSums) -> str:
    return "step" if any(at.layer is not None for at in sums.steps) else "distance off at the window's lines"


def _title(found: JudgedPlace) -> str:
    if not found.sums.side:
        return f"The design, size {found.size}, against the drawn lines"
    against = "the other front as sewn" if found.against else "its drawn place"
    return f"{found.sums.front.capitalize()} front, size {found.size}, against {against}"
