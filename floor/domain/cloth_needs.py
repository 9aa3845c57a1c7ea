"""Cloth for a whole order: the blanks of each fabric and colour, nested on what such cloth is sold as."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

from floor.domain.job import Front, Layer
from floor.domain.nesting import Blank, fits, length_of, nest_on_roll, nest_on_sheets, sheets_of
from floor.domain.plan import JobPlan

SHEET_MM: Blank = (300, 450)  # felt is commonly sold in such sheets
ROLL_WIDTH_MM = 900  # other cloth, and felt for what is larger than a sheet, comes on such a roll
ROLL_STEP_MM = 10  # a length of roll is rounded up to this
SHEET_FABRICS = frozenset({"felt"})
TURNED_FABRICS = frozenset({"felt", "fleece"})  # have no direction that shows; woven cloth has
SPARE_SHARE = 0.05  # spare blanks of each fabric and colour, one at least
ROUNDING = 1e-9


@dataclass(frozen=True)
class Blanks:
    """`count` blanks of `width` x `height` mm for a layer of one front and size, spares not counted."""

    layer: str
    front: Front
    size: str
    width: int
    height: int
    count: int

    def as_json(self) -> dict[str, object]:
        return {
            "layer": self.layer,
            "front": self.front,
            "size": self.size,
            "width_mm": self.width,
            "height_mm": self.height,
            "count": self.count,
        }


@dataclass(frozen=True)
class ClothNeed:
    """What the order needs of one fabric in one colour.

    `spares`: so many blanks more, each as `spare`, the largest one. `sheets`: of SHEET_MM; `roll`: length from
    a roll of ROLL_WIDTH_MM, mm; 0 where none is needed. `waste_share`: the share of those sheets and that roll
    that ends in no finished piece: what is trimmed off, spares and offcuts; None where no cloth is cut.
    `too_wide`: blanks that no roll is wide enough for; they are left out of the cloth.
    """

    fabric: str
    colour: str
    blanks: tuple[Blanks, ...]
    spare: Blank | None
    spares: int
    sheets: int
    roll: int
    waste_share: float | None
    too_wide: int

    def as_json(self) -> dict[str, object]:
        return {
            "kind": "cloth",
            "fabric": self.fabric,
            "colour": self.colour,
            "blanks": [blanks.as_json() for blanks in self.blanks],
            "spare_mm": list(self.spare) if self.spare else None,
            "spares": self.spares,
            "sheets": self.sheets,
            "sheet_mm": list(SHEET_MM),
            "roll_length_mm": self.roll,
            "roll_width_mm": ROLL_WIDTH_MM,
            "waste_share": None if self.waste_share is None else round(self.waste_share, 3),
            "too_wide": self.too_wide,
        }


def cloth_needs(plan: JobPlan) -> tuple[ClothNeed, ...]:
    """One for each fabric and colour, the bottom layer's first; a layer without cloth anywhere needs none."""
    counts = Counter(garment.size for garment in plan.job.garments)
    by_cloth: dict[tuple[str, str], list[int]] = {}
    for index, layer in enumerate(plan.job.layers):
        by_cloth.setdefault(_same_cloth(layer), []).append(index)
    needs = (_need(plan, counts, indices) for indices in by_cloth.values())
    return tuple(need for need in needs if need.blanks)


def spares_for(count: int) -> int:
    """Spares beside `count` of something: 5 %, one at least; none beside nothing."""
    return max(1, ceil(count * SPARE_SHARE - ROUNDING)) if count else 0


def _same_cloth(layer: Layer) -> tuple[str, str]:
    return " ".join(layer.fabric.lower().split()), " ".join(layer.colour.lower().split())


def _need(plan: JobPlan, counts: Mapping[str, int], layers: list[int]) -> ClothNeed:
    first = plan.job.layers[layers[0]]
    fabric = frozenset(re.findall(r"[a-z]+", first.fabric.lower()))
    turned = bool(fabric & TURNED_FABRICS)
    found: list[Blanks] = []
    wanted: Counter[Blank] = Counter()
    finished, too_wide = 0.0, 0
    for index in layers:
        for size, count in counts.items():
            for front, planned in plan.sizes[size].fronts.items():
                piece = planned.pieces[index]
                if piece.blank is None:
                    continue
                blank = round(piece.blank[0]), round(piece.blank[1])
                found.append(Blanks(plan.job.layers[index].name, front, size, *blank, count))
                if fits(blank, (ROLL_WIDTH_MM, max(blank)), turned=turned):
                    wanted[blank] += count
                    finished += count * piece.area
                else:
                    too_wide += count
    spare = max(wanted, key=lambda blank: (blank[0] * blank[1], blank), default=None)
    spares = spares_for(wanted.total())
    if spare is not None:
        wanted[spare] += spares
    sheets, roll = _bought(wanted, in_sheets=bool(fabric & SHEET_FABRICS), turned=turned)
    area = sheets * SHEET_MM[0] * SHEET_MM[1] + roll * ROLL_WIDTH_MM
    return ClothNeed(
        fabric=first.fabric,
        colour=first.colour,
        blanks=tuple(found),
        spare=spare,
        spares=spares,
        sheets=sheets,
        roll=roll,
        waste_share=1 - finished / area if area else None,
        too_wide=too_wide,
    )


def _bought(wanted: Mapping[Blank, int], *, in_sheets: bool, turned: bool) -> tuple[int, int]:
    """Sheets, and mm of roll."""
    on_sheets = {blank for blank in wanted if in_sheets and fits(blank, SHEET_MM, turned=turned)}
    flat = nest_on_sheets({blank: wanted[blank] for blank in on_sheets}, SHEET_MM, turned=turned)
    rolled = nest_on_roll(
        {blank: count for blank, count in wanted.items() if blank not in on_sheets},
        ROLL_WIDTH_MM,
        turned=turned,
    )
    return sheets_of(flat), ROLL_STEP_MM * ceil(length_of(rolled) / ROLL_STEP_MM)
