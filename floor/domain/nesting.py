"""Blanks laid out on sheets of cloth, or along a roll of it, so that little is wasted.

Sides are whole mm; a blank is width and height as it lies on the garment, its height along the cloth's grain.
What is laid out is a tuple of patterns, each cut so many times. The work is bounded whatever the order's size:
one pattern is laid out and repeated, and only the rest is laid out blank by blank.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil
from typing import NamedTuple

import rectpack

Blank = tuple[int, int]
LAID_AT_ONCE = 100  # blanks laid out one by one in one go: more take too long, and gain nothing
FEW_ON_A_SHEET = 40  # where more equal blanks than this go on a sheet, plain rows of them waste little
SETS_IN_PATTERN = (1, 2, 3, 4)
EQUAL_PATTERNS_KEPT = 512


class Placed(NamedTuple):
    """A blank on the cloth: its lower left corner, and its sides as it lies, mm."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True)
class Pattern:
    """`placed` on a sheet, or on a stretch of roll, of `width` x `length` mm, cut `times` times over."""

    placed: tuple[Placed, ...]
    width: int
    length: int
    times: int = 1


Layout = tuple[Pattern, ...]


def fits(blank: Blank, sheet: Blank, *, turned: bool) -> bool:
    """Whether the blank lies within the sheet, by 90 degrees turned where it may be `turned`."""
    ways = (blank, blank[::-1]) if turned else (blank,)
    return any(way[0] <= sheet[0] and way[1] <= sheet[1] for way in ways)


def nest_on_sheets(blanks: Mapping[Blank, int], sheet: Blank, *, turned: bool) -> Layout:
    """The blanks, so many of each, on sheets: as few as were found. ValueError for one that does not fit."""
    return _nest(_Cloth(sheet[0], sheet[1], turned), blanks)


def nest_on_roll(blanks: Mapping[Blank, int], width: int, *, turned: bool) -> Layout:
    """The blanks, so many of each, along a roll of `width`: as short as was found. ValueError for one that is
    too wide."""
    return _nest(_Cloth(width, None, turned), blanks)


def sheets_of(layout: Layout) -> int:
    return sum(pattern.times for pattern in layout)


def length_of(layout: Layout) -> int:
    """All stretches of roll one after another, mm."""
    return sum(pattern.length * pattern.times for pattern in layout)


@dataclass(frozen=True)
class _Cloth:
    """`length`: of a sheet; None for a roll, which is as long as it is needed."""

    width: int
    length: int | None
    turned: bool

    @property
    def cost(self) -> Callable[[Layout], int]:
        return length_of if self.length is None else sheets_of


def _nest(cloth: _Cloth, blanks: Mapping[Blank, int]) -> Layout:
    """The best of several ways: sizes apart, sizes apart with their rests together, sizes mixed."""
    wanted = {blank: count for blank, count in sorted(blanks.items()) if count > 0}
    for blank in wanted:
        if not fits(blank, (cloth.width, cloth.length or max(blank)), turned=cloth.turned):
            raise ValueError(f"A blank of {blank[0]} x {blank[1]} mm does not fit this cloth.")
    if not wanted:
        return ()
    ways = [_apart(cloth, wanted), _rests_together(cloth, wanted)]
    ways += [_mixed(cloth, wanted, times) for times in _repeats(wanted)]
    return min(ways, key=cloth.cost)


def _apart(cloth: _Cloth, blanks: Mapping[Blank, int]) -> Layout:
    """Each size by itself, its last pattern cut short."""
    return tuple(pattern for blank, count in blanks.items() for pattern in _alone(cloth, blank, count))


def _alone(cloth: _Cloth, blank: Blank, count: int) -> Iterator[Pattern]:
    pattern = _equal(cloth, blank)
    times, rest = divmod(count, len(pattern.placed))
    if times:
        yield replace(pattern, times=times)
    if rest:
        yield replace(pattern, placed=pattern.placed[:rest])


def _rests_together(cloth: _Cloth, blanks: Mapping[Blank, int]) -> Layout:
    """Each size by itself as far as it fills patterns, what is left over of all sizes one by one."""
    rest = {blank: count % len(_equal(cloth, blank).placed) for blank, count in blanks.items()}
    full = {blank: count - rest[blank] for blank, count in blanks.items()}
    return _apart(cloth, full) + _one_by_one(cloth, rest)


def _mixed(cloth: _Cloth, blanks: Mapping[Blank, int], times: int) -> Layout:
    """An equal share of every size in each pattern, and what does not divide apart."""
    share = {blank: count // times for blank, count in blanks.items()}
    rest = {blank: count % times for blank, count in blanks.items()}
    repeated = tuple(replace(pattern, times=times) for pattern in _one_by_one(cloth, share))
    return repeated + _rests_together(cloth, rest)


def _repeats(blanks: Mapping[Blank, int]) -> set[int]:
    """How often a mixed pattern may be repeated: as seldom as can be laid out, or once for each set of blanks,
    for each two sets and so on, since an order is mostly of so many garments with the same few blanks each."""
    total, sets = sum(blanks.values()), min(blanks.values())
    fewest = ceil(total / LAID_AT_ONCE)
    return {fewest, *(times for a_pattern in SETS_IN_PATTERN if (times := sets // a_pattern) > fewest)}


@lru_cache(maxsize=EQUAL_PATTERNS_KEPT)
def _equal(cloth: _Cloth, blank: Blank) -> Pattern:
    """A full pattern of equal blanks: a sheet of them, or one row across a roll; the densest that was found."""
    found = [_grid(cloth, way) for way in ((blank, blank[::-1]) if cloth.turned else (blank,))]
    if cloth.length is not None and cloth.turned:
        room = cloth.width * cloth.length // (blank[0] * blank[1])
        if room <= FEW_ON_A_SHEET:
            found.append(_one_by_one(cloth, {blank: room})[0])
    return max(found, key=lambda pattern: len(pattern.placed) / pattern.length)


def _grid(cloth: _Cloth, blank: Blank) -> Pattern:
    across = cloth.width // blank[0]
    rows = 1 if cloth.length is None else cloth.length // blank[1]
    placed = tuple(
        Placed(blank[0] * column, blank[1] * row, *blank) for row in range(rows) for column in range(across)
    )
    return Pattern(placed, cloth.width, cloth.length or blank[1])


def _one_by_one(cloth: _Cloth, blanks: Mapping[Blank, int]) -> Layout:
    """Laid out blank by blank, the tallest first, so that those of a height lie together."""
    each = sorted((blank for blank, count in blanks.items() for _ in range(count)), key=_by_height)
    return tuple(pattern for some in _some(each) for pattern in _packed(cloth, some))


def _by_height(blank: Blank) -> tuple[int, int]:
    return -max(blank), -min(blank)


def _some(blanks: list[Blank]) -> Iterator[list[Blank]]:
    for start in range(0, len(blanks), LAID_AT_ONCE):
        yield blanks[start : start + LAID_AT_ONCE]


def _packed(cloth: _Cloth, blanks: list[Blank]) -> Iterator[Pattern]:
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=rectpack.PackingBin.BBF,
        pack_algo=rectpack.MaxRectsBl,
        sort_algo=rectpack.SORT_NONE,
        rotation=cloth.turned,
    )
    for blank in blanks:
        packer.add_rect(*blank)
    enough = len(blanks) if cloth.length is not None else 1
    packer.add_bin(cloth.width, cloth.length or sum(map(max, blanks)), count=enough)
    packer.pack()
    for packed in packer:
        placed = tuple(Placed(one.x, one.y, one.width, one.height) for one in packed)
        end = max(one.y + one.height for one in placed)
        yield Pattern(placed, cloth.width, cloth.length or end)
