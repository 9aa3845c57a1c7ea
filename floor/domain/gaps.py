"""The numbers of one tablet's events: the newest, those that never came, and those that never will.

A tablet numbers its events 1, 2, 3… without a gap, so that what is missing can be asked for. Numbers are kept as
ranges, [first, last] both counted, in order and apart: a tablet with a million events has as few as it has gaps.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice

Ranges = tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Numbers:
    """`newest`: the highest number of an event that came, 0 for none. `missing`: below it, not here and not told
    lost. `lost`: below it, and told by the tablet that it no longer has them."""

    newest: int = 0
    missing: Ranges = ()
    lost: Ranges = ()

    def came(self, number: int) -> Numbers:
        """With an event of this number: what lies between the newest and it is missing for now."""
        if number > self.newest:
            between = ((self.newest + 1, number - 1),) if number > self.newest + 1 else ()
            return replace(self, newest=number, missing=self.missing + between)
        return self.answered(number)

    def answered(self, number: int) -> Numbers:
        """With this number accounted for, be it by an event or because what came could not be taken."""
        return replace(self, missing=without(self.missing, number), lost=without(self.lost, number))

    def told_lost(self, number: int) -> Numbers:
        """The tablet no longer has it. A number that nobody misses is not lost, whatever a tablet says."""
        if not holds(self.missing, number):
            return self
        return replace(
            self, missing=without(self.missing, number), lost=joined([*self.lost, (number, number)])
        )

    def wanted(self, most: int) -> list[int]:
        """The lowest numbers that are missing, at most so many."""
        return list(islice(numbers_in(self.missing), most))


def holds(ranges: Ranges, number: int) -> bool:
    at = bisect_right(ranges, (number, number)) - 1
    if at >= 0 and ranges[at][0] <= number <= ranges[at][1]:
        return True
    return at + 1 < len(ranges) and ranges[at + 1][0] == number


def without(ranges: Ranges, number: int) -> Ranges:
    if not holds(ranges, number):
        return ranges
    parts: list[tuple[int, int]] = []
    for first, last in ranges:
        if first <= number <= last:
            parts += [(a, b) for a, b in ((first, number - 1), (number + 1, last)) if a <= b]
        else:
            parts.append((first, last))
    return tuple(parts)


def joined(ranges: Iterable[tuple[int, int]]) -> Ranges:
    """In order, those that touch made one."""
    parts: list[tuple[int, int]] = []
    for first, last in sorted(ranges):
        if parts and first <= parts[-1][1] + 1:
            parts[-1] = (parts[-1][0], max(parts[-1][1], last))
        else:
            parts.append((first, last))
    return tuple(parts)


def common(some: Ranges, others: Ranges) -> Ranges:
    """What is in both."""
    found, at = [], 0
    for first, last in some:
        while at < len(others) and others[at][1] < first:
            at += 1
        for low, high in others[at:]:
            if low > last:
                break
            found.append((max(first, low), min(last, high)))
    return tuple(found)


def less(some: Ranges, others: Ranges) -> Ranges:
    """What is in the first alone."""
    found = []
    for first, last in some:
        for low, high in common(((first, last),), others):
            if first < low:
                found.append((first, low - 1))
            first = high + 1
        if first <= last:
            found.append((first, last))
    return tuple(found)


def numbers_in(ranges: Ranges) -> Iterator[int]:
    for first, last in ranges:
        yield from range(first, last + 1)


def how_many(ranges: Ranges) -> int:
    return sum(last - first + 1 for first, last in ranges)
