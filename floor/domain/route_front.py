"""One front of one load, as the plan has it: its cloth, its machine stops, whether it needs marks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from floor.domain.english import listed
from floor.domain.fronts import FrontPlan
from floor.domain.job import Front
from floor.domain.pieces import Piece
from floor.domain.plan import JobPlan
from floor.domain.stops import Stop, longest_border


@dataclass(frozen=True)
class FrontOfLoad:
    """`front` of garments of `sizes`, each size once. What is listed comes as (size, what), and leaves out
    sizes that have none of it."""

    plan: JobPlan
    front: Front
    sizes: tuple[str, ...]

    @property
    def plans(self) -> list[tuple[str, FrontPlan]]:
        return [(size, self.plan.sizes[size].fronts[self.front]) for size in self.sizes]

    @property
    def needs_marks(self) -> bool:
        return any(found.marks for _, found in self.plans)

    @property
    def stop_counts(self) -> list[tuple[str, int]]:
        """How many stops the machine makes."""
        counts = [(size, len(self.plan.stops[size, self.front])) for size in self.sizes]
        return [(size, count) for size, count in counts if count]

    @property
    def longest_border(self) -> int:
        """Stitches of the longest border on this front, of any size."""
        return max((longest_border(self.plan.stops[size, self.front]) for size in self.sizes), default=0)

    def pieces(self, layer: int) -> list[tuple[str, Piece]]:
        pieces = [(size, found.pieces[layer]) for size, found in self.plans]
        return [(size, piece) for size, piece in pieces if not piece.empty]

    def below(self, layer: int) -> int | None:
        """The layer that this one lies on; None where it lies on no other here."""
        return max((lower for lower in range(layer) if self.pieces(lower)), default=None)

    def stops(self, sews: str, layer: int | None) -> list[tuple[str, Stop]]:
        """The stop at which this line is sewn."""
        found = []
        for size in self.sizes:
            stop = self.plan.stop(size, self.front, sews, layer)
            if stop is not None:
                found.append((size, stop))
        return found


def by_size(found: Iterable[tuple[str, str]]) -> str:
    """What holds for each size: "200 x 155 mm", or "200 x 155 mm on M and 210 x 155 mm on XL" where it differs.

    `found`: (size, words). "" when there is none.
    """
    sizes: dict[str, list[str]] = {}
    for size, words in found:
        sizes.setdefault(words, []).append(size)
    if len(sizes) < 2:
        return "".join(sizes)
    return listed(f"{words} on {listed(of)}" for words, of in sizes.items())
