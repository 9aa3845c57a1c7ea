"""The words of a route with the job's own numbers in them: the placeholders and their values."""

from __future__ import annotations

from collections.abc import Mapping
from string import Formatter

from floor.domain.english import listed, numbered, plain, plural, sheets, unique
from floor.domain.job import Front, Garment, Job, Layer, Opening
from floor.domain.lengths import format_mm
from floor.domain.route_front import by_size
from floor.domain.route_parts import PhaseTemplate, Route, RouteError, SectionTemplate
from floor.domain.stitching import taught_trim

Words = Mapping[str, str]

JOB_WORDS = frozenset(
    {
        "garment_count", "garments", "sizes_list", "threads", "layers_list", "backing_sheets", "backing_kind",
        "hoop", "clearance", "speed", "heads", "a_garment", "design_height",
    }
)  # fmt: skip
OPENING_WORDS = frozenset({"over_edge", "top_front"})
FRONT_WORDS = frozenset({"front"})  # a section's title has these alone; what is planned, its phases
PLANNED_WORDS = frozenset({"window", "trace", "stops", "of_sizes", "bobbin"})
OPENING_FRONT_WORDS = frozenset({"other_front", "reach_text"})
LAYER_WORDS = frozenset(
    {
        "layer", "layer_below", "fabric", "colour", "border_width", "thread", "tack", "trim", "trim_from",
        "trim_to",
    }
)  # fmt: skip
PIECE_WORDS = frozenset({"blank", "trim_length", "cut_corners"})
SIZE_WORDS = frozenset({"size"})
OPENING_SIZE_WORDS = frozenset({"overlap", "span"})
STOP_WORDS = frozenset({"stop", "stop_time"})
STITCH_WORDS = frozenset({"stitches"})

TACKS = {"run": "single run", "double run": "double run", "zigzag": "zigzag"}


def known_words(
    *, opening: bool, section: SectionTemplate | None = None, phase: PhaseTemplate | None = None
) -> frozenset[str]:
    """The placeholders that have a value here: in a section's title, or in what a phase says."""
    known = JOB_WORDS | (OPENING_WORDS if opening else frozenset())
    if section is not None and section.per_front:
        known |= FRONT_WORDS | (OPENING_FRONT_WORDS if opening else frozenset())
    on_front = section is not None and section.per_front
    if phase is not None and on_front:
        known |= PLANNED_WORDS
    if phase is not None and phase.each == "layer":
        known |= LAYER_WORDS | (PIECE_WORDS if on_front else frozenset())
    if phase is not None and phase.each in ("size", "garment"):
        known |= SIZE_WORDS | (OPENING_SIZE_WORDS if opening else frozenset())
    if phase is not None and phase.line is not None:
        known |= STOP_WORDS | (STITCH_WORDS if on_front else frozenset())
    return known


def placeholders(text: str) -> tuple[str, ...]:
    """The names in braces. ValueError for braces that do not pair or hold more than a name."""
    names = []
    for _, name, spec, conversion in Formatter().parse(text):
        if name is None:
            continue
        if spec or conversion or not name.isidentifier():
            raise ValueError(f'"{{{name}}}" is not a plain name in braces')
        names.append(name)
    return tuple(names)


def check_placeholders(text: str, known: frozenset[str], place: str) -> None:
    """RouteError unless every placeholder of `text` has a value at `place`."""
    try:
        names = placeholders(text)
    except ValueError as error:
        raise RouteError(f'{place}: cannot read the braces in "{text}" ({error}); write {{name}}.') from None
    for name in names:
        if name not in known:
            raise RouteError(
                f'{place}: there is no placeholder "{{{name}}}" here; known are {", ".join(sorted(known))}.'
            )


def fill(text: str, words: Words) -> str:
    """`text` with the words in place of their placeholders; its first letter is left as it is."""
    return text.format_map(words)


def sentence(text: str, words: Words) -> str:
    """The same, begun with a capital, for a placeholder may stand first."""
    filled = fill(text, words)
    return filled[:1].upper() + filled[1:]


def job_words(route: Route, job: Job, load: tuple[Garment, ...]) -> dict[str, str]:
    width, height = job.hoop.field
    words = {
        "garment_count": plural(len(job.garments), route.piece),
        "garments": numbered(route.piece, [garment.number for garment in load]),
        "sizes_list": listed(unique(garment.size for garment in job.garments)),
        "threads": listed(unique(layer.border.thread for layer in job.layers)),
        "layers_list": listed(unique(plain(layer.name) for layer in job.layers)),
        "backing_sheets": sheets(job.backing.sheets),
        "backing_kind": job.backing.kind,
        "hoop": f"{format_mm(width).removesuffix(' mm')} x {format_mm(height)}",
        "clearance": format_mm(job.hoop.clearance),
        "speed": str(job.machine.speed),
        "heads": str(job.machine.heads),
        "a_garment": f" a {route.piece}" if job.machine.heads > 1 else "",
        "design_height": format_mm(job.design.height),
    }
    if job.opening is not None:
        words["over_edge"] = format_mm(job.opening.over_edge)
        words["top_front"] = job.opening.top_front
    return words


def front_words(job: Job, front: Front, load: tuple[Garment, ...]) -> dict[str, str]:
    if job.opening is None or front == "whole":
        return {"front": "front"}
    return {
        "front": front,
        "other_front": "left" if front == "right" else "right",
        "reach_text": reach_text(job.opening, front, unique(garment.size for garment in load)),
    }


def layer_words(route: Route, job: Job, index: int, below: int | None) -> dict[str, str]:
    """`below`: the layer that it lies on, None where it lies on no other."""
    layer = job.layers[index]
    trim_from, trim_to = (format_mm(length) for length in taught_trim(layer.border.width))
    both = f"{trim_from.removesuffix(' mm')} to {trim_to}"
    return {
        "layer": plain(layer.name),
        "layer_below": layer_below(route, job.layers, below),
        "fabric": layer.fabric,
        "colour": layer.colour,
        "border_width": format_mm(layer.border.width),
        "thread": layer.border.thread,
        "tack": TACKS[layer.tack],
        "trim": trim_from if trim_from == trim_to else both,
        "trim_from": trim_from,
        "trim_to": trim_to,
    }


def size_words(job: Job, size: str) -> dict[str, str]:
    if job.opening is None:
        return {"size": size}
    opening = job.opening.of(size)
    return {"size": size, "overlap": format_mm(opening.overlap), "span": format_mm(opening.span)}


def layer_below(route: Route, layers: tuple[Layer, ...], below: int | None) -> str:
    """What the scissors must not touch under a layer."""
    if below is not None:
        return f"the {layers[below].colour} {plain(layers[below].name)}"
    return "the backing" if route.on_backing else f"the {route.piece}"


def reach_text(opening: Opening, front: Front, sizes: list[str]) -> str:
    """Where the sewing ends, size by size where the sizes of the load differ."""
    if front == "whole":
        return ""
    found = []
    for size in sizes:
        reach = round(opening.reach(front, size), 1)
        side = "past" if reach > 0 else "inside"
        place = f"{format_mm(abs(reach))} {side} the folded edge" if reach else "at the folded edge"
        found.append((size, place))
    return f"the sewing ends {by_size(found)}"
