"""The [[layer]] tables of a job file."""

from __future__ import annotations

from typing import cast

from floor.domain.job import Border, Layer, Stitches, Tack
from floor.domain.quoting import quoted
from floor.domain.stitching import MIN_TRIMMED_BORDER_MM
from floor.jobfile.needs import MAX_SHIFT_MM, RouteNeeds
from floor.jobfile.tables import Table

BORDER_WIDTH_MM = (MIN_TRIMMED_BORDER_MM, 12.0)
STITCH_SPACING_MM = (0.2, 5.0)
MAX_LAYERS = 12
MAX_STITCHES = 10_000_000
TACKS = ("run", "double run", "zigzag")


def layer_of(table: Table) -> Layer:
    name = table.data.get("name")
    if isinstance(name, str) and name.strip():
        table.title = f"layer {quoted(name)}"
    border = table.table("border", "[layer.border]")
    stitches = table.table("stitches", "[layer.stitches]") if table.has("stitches") else None
    layer = Layer(
        name=table.text("name"),
        fabric=table.text("fabric"),
        colour=table.text("colour"),
        offset=table.length("offset", -MAX_SHIFT_MM, MAX_SHIFT_MM),
        placement_line=table.flag("placement_line"),
        tack=cast(Tack, table.choice("tack", TACKS)),
        border=_border(border, table.title),
        stitches=_stitches(stitches, table.title),
    )
    table.close()
    return layer


def _border(table: Table | None, layer: str) -> Border:
    if table is None:
        return Border(0.0, 0.0, "")
    table.title = f"the border of {layer}"
    border = Border(
        width=table.length("width", *BORDER_WIDTH_MM),
        spacing=table.length("spacing", *STITCH_SPACING_MM),
        thread=table.text("thread"),
    )
    table.close()
    return border


def _stitches(table: Table | None, layer: str) -> Stitches:
    if table is None:
        return Stitches()
    table.title = f"the stitches of {layer}"
    placement, tack, border = (
        table.whole(key, 1, MAX_STITCHES) if table.has(key) else None
        for key in ("placement", "tack", "border")
    )
    table.close()
    return Stitches(placement, tack, border)


def check_layers(file: Table, layers: tuple[Layer, ...], route: str, needs: RouteNeeds) -> None:
    if layers and len(layers) < needs.min_layers:
        file.wrong(
            "layer",
            f"the route {quoted(route)} needs {needs.min_layers} layers or more; the file has {len(layers)}",
        )
    if len(layers) > MAX_LAYERS:
        file.wrong(
            "layer", f"the file has {len(layers)} layers; at most {MAX_LAYERS} can be sewn on one another"
        )
    seen: set[str] = set()
    for index, layer in enumerate(layers):
        name = layer.name.casefold()
        if name and name in seen:
            file.wrong_at(
                ("layer", index, "name"),
                f"two layers are named {quoted(layer.name)}; give each a name of its own",
            )
        seen.add(name)
