"""The pull list: what to fetch for the whole order, in words."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil
from typing import NamedTuple

from floor.domain.cloth_needs import ROLL_WIDTH_MM, SHEET_MM, ClothNeed
from floor.domain.english import listed, plain, plural, unique
from floor.domain.materials import AdhesiveNeed, BackingNeed, BobbinNeed, Materials
from floor.domain.nesting import Blank

MM_PER_M = 1000


class PullLine(NamedTuple):
    """What, how much of it, and for what; `detail` may be ""."""

    what: str
    amount: str
    detail: str


def pull_list(materials: Materials) -> tuple[PullLine, ...]:
    """Garments by size, cloth by colour, thread by colour, bobbins, backing, adhesive."""
    return tuple(_lines(materials))


def _lines(materials: Materials) -> Iterator[PullLine]:
    for garments in materials.garments:
        yield PullLine(f"garments, size {garments.size}", str(garments.count), "")
    for cloth in materials.cloths:
        yield PullLine(f"{cloth.colour} {cloth.fabric}", _cloth_amount(cloth), _cloth_detail(cloth))
    for thread in materials.threads:
        yield PullLine(
            f"thread {thread.colour}", f"{ceil(thread.upper_m):,} m", "upper thread, cuts and waste included"
        )
    yield _bobbins(materials.bobbins)
    yield _backing(materials.backing)
    if materials.adhesive:
        yield _adhesive(materials.adhesive)


def _cloth_amount(cloth: ClothNeed) -> str:
    """ "4 sheets 300 x 450 mm", "0.93 m of a roll 900 mm wide", both, or that none is wide enough."""
    parts = []
    if cloth.sheets:
        parts.append(f"{plural(cloth.sheets, 'sheet')} {_sides(SHEET_MM)}")
    if cloth.roll:
        parts.append(f"{cloth.roll / MM_PER_M:.2f} m of a roll {ROLL_WIDTH_MM} mm wide")
    return listed(parts) if parts else "no cloth is wide enough"


def _cloth_detail(cloth: ClothNeed) -> str:
    """Blanks of the same layer and sides together, whatever front and size they are for."""
    alike: dict[tuple[str, Blank], int] = {}
    for blanks in cloth.blanks:
        key = blanks.layer, (blanks.width, blanks.height)
        alike[key] = alike.get(key, 0) + blanks.count
    parts = []
    for layer in unique(name for name, _ in alike):
        sides = [
            f"{plural(count, 'blank')} {_sides(blank)}"
            for (name, blank), count in alike.items()
            if name == layer
        ]
        parts.append(f"{plain(layer)}: {listed(sides)}")
    if cloth.spare:
        parts.append(f"{plural(cloth.spares, 'spare')} {_sides(cloth.spare)}")
    if cloth.too_wide:
        parts.append(
            f"{plural(cloth.too_wide, 'blank')} wider than the roll, not in the cloth: join or buy wider"
        )
    if cloth.waste_share is not None:
        parts.append(f"{cloth.waste_share:.0%} of the cloth ends in no finished piece")
    return "; ".join(parts)


def _bobbins(bobbins: BobbinNeed) -> PullLine:
    return PullLine(
        "prewound bobbins",
        str(bobbins.count),
        f"{bobbins.stitches:,} stitches, {ceil(bobbins.thread_m):,} m of bobbin thread",
    )


def _backing(backing: BackingNeed) -> PullLine:
    return PullLine(
        f"{backing.backing} backing",
        f"{plural(backing.count, 'sheet')} {backing.width} x {backing.height} mm",
        f"{plural(backing.hoopings, 'hooping')}, {plural(backing.sheets_each, 'sheet')} each; "
        f"{plural(backing.spares, 'spare')}",
    )


def _adhesive(adhesive: AdhesiveNeed) -> PullLine:
    least, most = adhesive.between
    return PullLine(
        "spray adhesive",
        f"{ceil(adhesive.grams)} g",
        f"{plural(adhesive.hoopings, 'hooping')}; {least:g} to {most:g} g by how lightly it is sprayed",
    )


def _sides(sides: Blank) -> str:
    return f"{sides[0]} x {sides[1]} mm"
