"""Numbers and lists as people say them."""

from __future__ import annotations

from collections.abc import Iterable

NUMBERS = ("no", "one", "two", "three", "four", "five", "six")


def plain(name: str) -> str:
    """A layer's name within a sentence: "Letters" becomes "letters", "USA" stays."""
    return name[:1].lower() + name[1:] if name[1:].islower() else name


def plural(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def sheets(count: int) -> str:
    number = NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)
    return f"{number} sheet" if count == 1 else f"{number} crossed sheets"


def numbered(noun: str, numbers: list[int]) -> str:
    """ "garment 4", "garments 1 to 4", "garments 1, 3 and 5"."""
    ordered = sorted(numbers)
    if len(ordered) == 1:
        return f"{noun} {ordered[0]}"
    if len(ordered) > 2 and ordered == list(range(ordered[0], ordered[-1] + 1)):
        return f"{noun}s {ordered[0]} to {ordered[-1]}"
    return f"{noun}s {listed(str(number) for number in ordered)}"


def listed(items: Iterable[str]) -> str:
    """ "S", "S and M", "S, M and XL"."""
    found = list(items)
    return found[0] if len(found) == 1 else f"{', '.join(found[:-1])} and {found[-1]}" if found else "none"


def unique(items: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(items))
