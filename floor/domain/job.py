"""What a job is: the customer's order as read from its job file.

All lengths are mm (floats). Frame and words are fixed in DEVELOPERS.md, "Words and frames".
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

Side = Literal["right", "left"]
Front = Literal["right", "left", "whole"]
Tack = Literal["run", "double run", "zigzag"]


@dataclass(frozen=True)
class OpeningSize:
    """What the tape says of one size's opening: `span` upper to lower button centre, `overlap` of the fronts."""

    span: float
    overlap: float


@dataclass(frozen=True)
class Opening:
    """Where the two fronts meet. `over_edge`: how far the sewing goes past the folded edge, + outward.

    `under_cover`: how far the under front is sewn beyond the seam (None: `over_edge` holds for it too).
    """

    span: float
    overlap: float
    over_edge: float
    button_size: float
    under_cover: float | None
    buttons: int
    top_front: Side
    sizes: Mapping[str, OpeningSize]

    def of(self, size: str) -> OpeningSize:
        """Span and overlap of `size`; the opening's own where the size names none."""
        return self.sizes.get(size, OpeningSize(self.span, self.overlap))

    def reach(self, front: Side, size: str) -> float:
        """Distance from the folded edge of `front` to the end of its sewing, mm, + outward.

        The under front with `under_cover` c ends c beyond the seam, which is the top front's edge, so its
        own edge lies overlap beyond that seam: reach = c - overlap.
        """
        if front == self.top_front or self.under_cover is None:
            return self.over_edge
        return self.under_cover - self.of(size).overlap


@dataclass(frozen=True)
class Border:
    """The satin border: `width`, `spacing` between stitches on the same side, both mm; and its thread."""

    width: float
    spacing: float
    thread: str


@dataclass(frozen=True)
class Stitches:
    """Measured stitch counts of a layer's lines; None: not measured."""

    placement: int | None = None
    tack: int | None = None
    border: int | None = None


@dataclass(frozen=True)
class Layer:
    """One appliqué fabric. `offset`: how far its cloth is grown beyond the outline, mm."""

    name: str
    fabric: str
    colour: str
    offset: float
    placement_line: bool
    tack: Tack
    border: Border
    stitches: Stitches = Stitches()


@dataclass(frozen=True)
class Design:
    """`outline`: the SVG's file name; `height` of its bounding box and `centre` of that box, mm."""

    outline: str
    height: float
    centre: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True)
class Hoop:
    """`field`: what the machine can sew in this hoop, width and height; `clearance` kept all round. mm."""

    field: tuple[float, float]
    clearance: float


@dataclass(frozen=True)
class Backing:
    kind: str
    sheets: int


@dataclass(frozen=True)
class Machine:
    """`speed` in stitches a minute; `heads` that sew at once."""

    speed: int
    heads: int


@dataclass(frozen=True)
class Garment:
    """One piece of the job: `number` counts from 1 within the job."""

    number: int
    size: str
    name: str | None = None


@dataclass(frozen=True)
class HouseRules:
    """What the shop has decided for all its jobs; frozen into a job when it is imported.

    `under_first`: the under front is sewn before the top front. `step_pass`, `step_fail`: a step or gap of the
    closed garment up to the first passes, beyond the second fails, and between a supervisor decides; mm.
    """

    edge_sealing: bool = False
    first_piece: bool = True
    under_first: bool = False
    step_pass: float = 1.0
    step_fail: float = 2.0


USUAL_HOUSE = HouseRules()


@dataclass(frozen=True)
class Job:
    title: str
    customer: str
    due: date
    route: str
    opening: Opening | None
    design: Design
    layers: tuple[Layer, ...]
    hoop: Hoop
    backing: Backing
    machine: Machine
    garments: tuple[Garment, ...]

    def garment(self, number: int) -> Garment:
        """The garment with this number; KeyError when the job has none."""
        for garment in self.garments:
            if garment.number == number:
                return garment
        raise KeyError(number)

    @property
    def fronts(self) -> tuple[Front, ...]:
        """The fronts, the top front first."""
        if self.opening is None:
            return ("whole",)
        return ("left", "right") if self.opening.top_front == "left" else ("right", "left")

    def sewn_in_order(self, house: HouseRules) -> tuple[Front, ...]:
        """The fronts in the order they are sewn: the top front first, for people see its edge, unless the house
        works the other way."""
        return self.fronts[::-1] if house.under_first else self.fronts
