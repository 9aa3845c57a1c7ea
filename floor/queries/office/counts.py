"""How far a job is, in counts and in words."""

from __future__ import annotations

from dataclasses import dataclass

from floor.domain.english import plural
from floor.domain.progress import GarmentProgress, JobProgress


@dataclass(frozen=True)
class Counts:
    """Every garment of a job is in exactly one of the four; `scrapped` ones wait for a new piece."""

    finished: int
    under_way: int
    scrapped: int
    to_start: int

    @property
    def total(self) -> int:
        return self.finished + self.under_way + self.scrapped + self.to_start

    @property
    def all_finished(self) -> bool:
        return self.finished == self.total

    @property
    def sentence(self) -> str:
        """ "9 finished, 1 in work, 1 scrapped, 1 to start"."""
        if self.all_finished:
            return f"all {self.total} finished" if self.total > 1 else "finished"
        if self.to_start == self.total:
            return f"{plural(self.total, 'garment')}, none started"
        parts = (
            (self.finished, "finished"),
            (self.under_way, "in work"),
            (self.scrapped, "scrapped"),
            (self.to_start, "to start"),
        )
        return ", ".join(f"{count} {word}" for count, word in parts if count)

    @property
    def stitches(self) -> list[str]:
        """A mark for each garment, sewn ones first: "sewn", "needle", "scrap" or "ahead"."""
        return (
            ["sewn"] * self.finished
            + ["needle"] * self.under_way
            + ["scrap"] * self.scrapped
            + ["ahead"] * self.to_start
        )


def counts_of(progress: JobProgress) -> Counts:
    where = [_where(garment) for garment in progress.garments.values()]
    return Counts(*(where.count(place) for place in ("finished", "under way", "scrapped", "to start")))


def _where(garment: GarmentProgress) -> str:
    if garment.finished:
        return "finished"
    if garment.awaits_restart:
        return "scrapped"
    return "under way" if garment.under_way or garment.done else "to start"
