"""What the whole order needs: garments, cloth, thread, bobbins, backing and adhesive."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import ceil

from floor.domain.cloth_needs import ClothNeed, cloth_needs, spares_for
from floor.domain.job import Job
from floor.domain.plan import JobPlan
from floor.domain.thread import Thread, bobbins_for, thread_of

BACKING_BEYOND_MM = 25.0  # backing beyond the hoop, all round
BACKING_STEP_MM = 5.0  # its sheets are rounded up to what a hand can mark
SPRAY_G = 1.5  # adhesive for one front, once hooped
SPRAY_RANGE_G = (1.0, 2.0)


@dataclass(frozen=True)
class GarmentsNeed:
    size: str
    count: int

    def as_json(self) -> dict[str, object]:
        return {"kind": "garments", "size": self.size, "count": self.count}


@dataclass(frozen=True)
class ThreadNeed:
    """Upper thread of one colour, as the job file names it; cuts and waste included."""

    colour: str
    upper_m: float

    def as_json(self) -> dict[str, object]:
        return {"kind": "thread", "colour": self.colour, "upper_m": round(self.upper_m, 1)}


@dataclass(frozen=True)
class BobbinNeed:
    """`count` prewound bobbins for all `stitches` of the order, and the thread that these draw from them."""

    count: int
    stitches: int
    thread_m: float

    def as_json(self) -> dict[str, object]:
        return {
            "kind": "bobbin",
            "count": self.count,
            "stitches": self.stitches,
            "bobbin_m": round(self.thread_m, 1),
        }


@dataclass(frozen=True)
class BackingNeed:
    """`sheets_each` sheets of `width` x `height` mm in each of `hoopings`, and `spares` more."""

    backing: str
    hoopings: int
    sheets_each: int
    spares: int
    width: int
    height: int

    @property
    def count(self) -> int:
        """All sheets, spares included."""
        return self.hoopings * self.sheets_each + self.spares

    def as_json(self) -> dict[str, object]:
        return {
            "kind": "backing",
            "backing": self.backing,
            "count": self.count,
            "spares": self.spares,
            "hoopings": self.hoopings,
            "width_mm": self.width,
            "height_mm": self.height,
        }


@dataclass(frozen=True)
class AdhesiveNeed:
    """Spray for `hoopings` fronts hooped: what is usual, and the least and the most."""

    hoopings: int

    @property
    def grams(self) -> float:
        return SPRAY_G * self.hoopings

    @property
    def between(self) -> tuple[float, float]:
        return SPRAY_RANGE_G[0] * self.hoopings, SPRAY_RANGE_G[1] * self.hoopings

    def as_json(self) -> dict[str, object]:
        least, most = self.between
        return {"kind": "adhesive", "usual_g": self.grams, "least_g": least, "most_g": most}


@dataclass(frozen=True)
class Materials:
    """`garments`: by size, none where the work is sewn on backing alone; `adhesive`: None there."""

    garments: tuple[GarmentsNeed, ...]
    cloths: tuple[ClothNeed, ...]
    threads: tuple[ThreadNeed, ...]
    bobbins: BobbinNeed
    backing: BackingNeed
    adhesive: AdhesiveNeed | None

    def as_json(self) -> list[dict[str, object]]:
        """Each need as a program reads it, told apart by "kind"; the unit is in the key's name."""
        adhesive = (self.adhesive,) if self.adhesive else ()
        needs = (*self.garments, *self.cloths, *self.threads, self.bobbins, self.backing, *adhesive)
        return [need.as_json() for need in needs]


def materials_of(plan: JobPlan, pieces_per_hooping: int = 1) -> Materials:
    """All garments, sizes, fronts and layers of the job together. `pieces_per_hooping`: how many one hoop holds
    at a time, on one head. ValueError when that is none."""
    if pieces_per_hooping < 1:
        raise ValueError(f"A hooping holds one piece at least; found {pieces_per_hooping}.")
    job = plan.job
    counts = Counter(garment.size for garment in job.garments)
    hoopings = len(job.fronts) * ceil(len(job.garments) / pieces_per_hooping)
    threads, bobbins = _thread(plan, counts)
    return Materials(
        garments=() if plan.on_backing else tuple(GarmentsNeed(*found) for found in counts.items()),
        cloths=cloth_needs(plan),
        threads=threads,
        bobbins=bobbins,
        backing=_backing(job, hoopings),
        adhesive=None if plan.on_backing else AdhesiveNeed(hoopings),
    )


def _thread(plan: JobPlan, counts: Counter[str]) -> tuple[tuple[ThreadNeed, ...], BobbinNeed]:
    by_colour: dict[str, Thread] = {}
    stitches = 0
    for (size, _), stops in plan.stops.items():
        for stop in stops:
            if stop.thread is None:
                continue
            used = thread_of(plan.job, stop).times(counts[size])
            by_colour[stop.thread] = by_colour.get(stop.thread, Thread()) + used
            stitches += stop.stitches * counts[size]
    heads = min(plan.job.machine.heads, len(plan.job.garments))
    bobbin_m = sum(thread.bobbin_m for thread in by_colour.values())
    threads = tuple(ThreadNeed(colour, thread.upper_m) for colour, thread in by_colour.items())
    return threads, BobbinNeed(bobbins_for(stitches, heads), stitches, bobbin_m)


def _backing(job: Job, hoopings: int) -> BackingNeed:
    width, height = (
        round(BACKING_STEP_MM * ceil((side + 2 * BACKING_BEYOND_MM) / BACKING_STEP_MM))
        for side in job.hoop.field
    )
    sheets = job.backing.sheets
    return BackingNeed(job.backing.kind, hoopings, sheets, spares_for(hoopings * sheets), width, height)
