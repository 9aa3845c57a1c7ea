"""The [opening] of a job file and what differs by size."""

from __future__ import annotations

from typing import cast

from floor.domain.job import Opening, OpeningSize, Side
from floor.domain.lengths import format_mm
from floor.domain.quoting import quoted
from floor.jobfile.errors import as_key
from floor.jobfile.needs import MAX_SHIFT_MM, RouteNeeds
from floor.jobfile.tables import Table

MAX_BUTTON_MM = 100.0
MAX_BUTTONS = 30


def opening_of(file: Table, route: str, needs: RouteNeeds, route_is_sure: bool) -> Opening | None:
    """The opening, there exactly when the route needs one. `route_is_sure`: the file's route is known."""
    if not file.has("opening"):
        if needs.opening and route_is_sure:
            file.wrong(
                "opening", f"the file has no [opening], which the route {quoted(route)} needs; add that table"
            )
        return None
    if not needs.opening and route_is_sure:
        file.wrong(
            "opening", f"the route {quoted(route)} is for garments without an opening; leave [opening] out"
        )
    table = file.table("opening", "[opening]")
    if table is None:
        return None
    opening = Opening(
        span=table.length("span", 0, above=True),
        overlap=table.length("overlap", 0),
        over_edge=table.length("over_edge", -MAX_SHIFT_MM, MAX_SHIFT_MM),
        button_size=table.length("button_size", 0, MAX_BUTTON_MM, above=True),
        under_cover=table.length("under_cover", 0, MAX_SHIFT_MM) if table.has("under_cover") else None,
        buttons=table.whole("buttons", 2, MAX_BUTTONS),
        top_front=cast(Side, table.choice("top_front", ("left", "right"))),
        sizes=_opening_sizes(table),
    )
    _check_overlap(table, opening.span, opening.overlap)
    table.close()
    return opening


def _opening_sizes(opening: Table) -> dict[str, OpeningSize]:
    """Each size's span and overlap; what a size leaves out is the opening's own."""
    sizes = opening.table("sizes", "[opening.sizes]") if opening.has("sizes") else None
    found = {}
    for size in sizes.data if sizes else ():
        assert sizes is not None
        table = sizes.table(size, f"[opening.sizes.{as_key(size)}]")
        if table is None:
            continue
        # What the opening itself has wrong is recorded where it is read, so it is asked for only once.
        has_span, has_overlap = table.has("span"), table.has("overlap")
        span = table.length("span", 0, above=True) if has_span else opening.quiet_length("span")
        overlap = table.length("overlap", 0) if has_overlap else opening.quiet_length("overlap")
        if has_span or has_overlap:
            _check_overlap(table, span, overlap)
        table.close()
        found[size] = OpeningSize(span, overlap)
    return found


def _check_overlap(table: Table, span: float, overlap: float) -> None:
    if overlap >= span:
        key = "overlap" if table.has("overlap") else "span"
        table.wrong(
            key,
            f"the overlap of {table.title} is {format_mm(overlap)} and its span {format_mm(span)};"
            " the overlap must be less than the span",
        )
