"""A draft's reading -> the set-up page: what was understood, what is wrong where, and the plan."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from floor.domain.english import listed, plural, unique
from floor.domain.job import HouseRules
from floor.domain.outline import OutlineError
from floor.domain.ticket import show_code
from floor.jobfile.form_layers import layer_count
from floor.queries.begun import begun_loads
from floor.queries.drafts import DraftReading, read_draft
from floor.queries.office.setup_fields import layer_key, page_keys, placed
from floor.queries.office.setup_page import LayerPart, OutlinePart, SetupPage
from floor.queries.office.setup_plan import Preview, drawn, preview_of
from floor.queries.office.setup_summary import summaries
from floor.queries.views import plan_of
from floor.store.models import DraftRow

MOST_SIZES = 40  # rows of their own; a job of more comes as a file
MOST_NAMES = 6
_SIZE_KEY = re.compile(r"opening\.sizes\.(.+)\.(?:span|overlap)")


def page_of(
    row: DraftRow, house: HouseRules, *, tried: bool = False, refused: str = "", elsewhere: str = ""
) -> SetupPage:
    """The draft's page. `house`: as it is today. `tried`, `refused`, `elsewhere`: as SetupPage has them."""
    reading = read_draft(row)
    form = reading.form
    route = reading.route
    sizes = sizes_of(reading) if route.opening else []
    shown = tuple(sizes[:MOST_SIZES]) if len(sizes) > 1 or _typed_sizes(form) else ()
    count = layer_count(form)
    keys = page_keys(form, shown, route.opening)
    summed = summaries(form, count)
    return SetupPage(
        draft=row.id,
        heading="Change the job" if row.job else "Set up a job",
        lead=f"{route.title}. What you type is kept by itself; nothing is lost if you go away.",
        changes=_changes(row),
        form=form,
        all_faults=tuple(placed(reading.faults, keys)),
        opens=route.opening,
        sizes=shown,
        more_sizes=max(0, len(sizes) - MOST_SIZES),
        layers=tuple(_layer(form, index, count, summed) for index in range(count)),
        summaries=summed,
        outline=outline_part(reading),
        understood=understood(reading),
        preview=preview(reading, _house_for(row, house)),
        seen=str(row.changed_at),
        tried=tried,
        refused=refused,
        elsewhere=elsewhere,
    )


def _house_for(row: DraftRow, house: HouseRules) -> HouseRules:
    """The rules that the draft is saved with: a job that runs have begun keeps the order of its fronts."""
    if row.job is None or not begun_loads(row.job):
        return house
    return replace(house, under_first=plan_of(row.job.revisions[-1]).house.under_first)


def _changes(row: DraftRow) -> str:
    if row.job is None:
        return ""
    newest = row.job.revisions[-1].number
    return (
        f"Saving makes revision {newest + 1} of {show_code(row.job.code)}. Runs that have begun keep the revision "
        "that they began with; print the ticket again for those that come."
    )


def _layer(form: Mapping[str, str], index: int, count: int, summed: Mapping[str, str]) -> LayerPart:
    name = form.get(layer_key(index, "name"), "").strip()
    title = f"{index + 1} {name}" if name else f"Layer {index + 1}"
    return LayerPart(index, title, summed[f"layer-{index}"], lowest=index == 0, highest=index == count - 1)


def _typed_sizes(form: Mapping[str, str]) -> list[str]:
    return [found[1] for key in form if (found := _SIZE_KEY.fullmatch(key)) and form[key].strip()]


def sizes_of(reading: DraftReading) -> list[str]:
    """Those that garments have, and those that numbers were typed for: neither may vanish from the page."""
    worn = [size for size, _, _ in _entries(reading.data)]
    return unique([*worn, *_typed_sizes(reading.form)])


def understood(reading: DraftReading) -> str:
    """What the list of garments says: "6 garments: M 4, XL 2; names Odile, Bram and 2 more"."""
    counts: dict[str, int] = {}
    names: list[str] = []
    for size, count, named in _entries(reading.data):
        counts[size] = counts.get(size, 0) + count
        names += named
    if not counts:
        return ""
    sizes = ", ".join(f"{size} {count}" for size, count in counts.items())
    words = f"Understood: {plural(sum(counts.values()), 'garment')}: {sizes}"
    if not names:
        return f"{words}; no names."
    more = len(names) - MOST_NAMES
    return f"{words}; {plural(len(names), 'name')}: {listed([*names[:MOST_NAMES], *[f'{more} more'] * (more > 0)])}."


def _entries(data: Mapping[str, Any]) -> list[tuple[str, int, list[str]]]:
    return [
        (entry["size"], entry["count"], list(entry.get("names", ()))) for entry in data.get("garment", ())
    ]


def outline_part(reading: DraftReading) -> OutlinePart:
    state = reading.outline
    if state.outline is None:
        return OutlinePart(state.digest, state.name, "", ())
    x0, y0, x1, y1 = state.outline.bounds
    points = sum(len(ring) for ring in state.outline.rings)
    lines = plural(len(state.outline.rings), "closed line")
    words = f"{lines}, {points:,} points, {(x1 - x0) / (y1 - y0):.2f} times as wide as tall"
    return OutlinePart(state.digest, state.name, words, state.outline.left_out)


def preview(reading: DraftReading, house: HouseRules) -> Preview | None:
    """The plan as far as the numbers allow one; None while they do not."""
    if reading.sketch is None or reading.outline.outline is None:
        return None
    try:
        found = drawn(reading.sketch, reading.route, reading.outline.outline, reading.outline.digest)
    except OutlineError:  # which is said at the outline
        return None
    return preview_of(found, reading.outline.outline.left_out, house)
