"""Reads the named fields of an event's data; static/js/fields.js refuses in the same words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from floor.domain.events import (
    MAX_GARMENT_NUMBER,
    MAX_GARMENTS_IN_LOAD,
    MAX_ID,
    MAX_TEXT,
    UUID,
    Event,
    UnreadableData,
)

MAX_FOUND = 60
EXACT_BELOW = 2**53  # whole numbers beyond it are not told apart on a tablet
PLAIN_FROM = 1e-4  # smaller ones are written otherwise there


def said_as_found(value: object) -> str:
    """What was found, in words that a tablet finds too: its numbers know no whole and broken kinds."""
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f"“{value[:MAX_FOUND]}”"
    if isinstance(value, (int, float)):
        return _number_as_found(value)
    return "a list" if isinstance(value, list) else "an object"


def _number_as_found(value: int | float) -> str:
    if value == 0:
        return "0"
    if not abs(value) < EXACT_BELOW:
        return "a very large number"
    if value % 1 == 0:
        return str(int(value))
    return repr(value) if abs(value) >= PLAIN_FROM else "a very small number"


def _whole(value: object) -> int | None:
    """The whole number that `value` is, 3.0 included: JSON and the tablet do not tell it from 3."""
    if type(value) is float and value.is_integer():
        return int(value)
    return value if type(value) is int else None


class Fields:
    """Reads named fields of an event's data; every refusal is one sentence."""

    def __init__(self, event: Event) -> None:
        self.kind = event.kind
        self.data: Mapping[str, Any] = event.data

    def refuse(self, name: str, wants: str) -> UnreadableData:
        found = said_as_found(self.data.get(name))
        return UnreadableData(f'A "{self.kind}" event needs {name}: {wants}; found {found}.')

    def text(self, name: str, limit: int = MAX_TEXT, *, optional: bool = False) -> str:
        value = self.data.get(name)
        if value is None and optional:
            return ""
        if not isinstance(value, str) or len(value) > limit or (not optional and not value.strip()):
            raise self.refuse(name, f"a text of 1 to {limit} characters")
        return value

    def id(self, name: str) -> str:
        return self.text(name, MAX_ID)

    def uuid(self, name: str) -> str:
        value = self.data.get(name)
        if not isinstance(value, str) or not UUID.fullmatch(value):
            raise self.refuse(name, "a lower-case UUID")
        return value

    def one_of(self, name: str, allowed: Mapping[str, Any] | tuple[str, ...]) -> str:
        value = self.data.get(name)
        if not isinstance(value, str) or value not in allowed:
            raise self.refuse(name, "one of " + ", ".join(sorted(allowed)))
        return value

    def whole(self, name: str, low: int, high: int) -> int:
        value = _whole(self.data.get(name))
        if value is None or not low <= value <= high:
            raise self.refuse(name, f"a whole number from {low} to {high}")
        return value

    def number(self, name: str, low: float, high: float) -> float:
        value: object = self.data.get(name)
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not low <= value <= high:
            raise self.refuse(name, f"a number from {low:g} to {high:g}")
        return float(value)

    def flag(self, name: str) -> bool:
        value = self.data.get(name)
        if type(value) is not bool:
            raise self.refuse(name, "true or false")
        return value

    def numbers(self, name: str, names: tuple[str, ...], low: float, high: float) -> tuple[float, ...]:
        """An object of just these numbers, in the order of `names`."""
        value = self.data.get(name)
        found: list[Any] = []
        if isinstance(value, dict) and value.keys() == {*names}:
            found = [value[one] for one in names]
        if not found or any(type(one) not in (int, float) or not low <= one <= high for one in found):
            raise self.refuse(name, f"{', '.join(names)}, each a number from {low:g} to {high:g}")
        return tuple(map(float, found))

    def garments(self, name: str) -> tuple[int, ...]:
        value = self.data.get(name)
        listed = [_whole(n) for n in value] if isinstance(value, list) else [None]
        numbers = {n for n in listed if n is not None and 1 <= n <= MAX_GARMENT_NUMBER}
        if len(numbers) != len(listed) or len(listed) > MAX_GARMENTS_IN_LOAD:
            raise self.refuse(name, f"at most {MAX_GARMENTS_IN_LOAD} different garment numbers")
        return tuple(sorted(numbers))
