"""One table of a route's TOML: each key taken once, of the right type, and none left over."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, TypeVar, get_args

from floor.domain.route_parts import RouteError

Choice = TypeVar("Choice", bound=str)
MISSING = object()
KINDS = {
    bool: "true or false", int: "a number", float: "a number", str: "a text", list: "a list", dict: "a table"
}  # fmt: skip


class Table:
    """Hands out values by key, and refuses with a sentence that names `place`."""

    def __init__(self, values: Mapping[str, Any], place: str) -> None:
        self.values = values
        self.place = place
        self.taken: list[str] = []

    def refuse(self, what: str) -> RouteError:
        return RouteError(f"{self.place}: {what}")

    def has(self, key: str) -> bool:
        return key in self.values

    def text(self, key: str, limit: int, default: str | None = None) -> str:
        found = self._take(key, default)
        if not isinstance(found, str):
            raise self._wrong(key, "a text in quotes", found)
        if found != default and not found.strip():
            raise self.refuse(f'"{key}" is empty; write what it should say.')
        if len(found) > limit:
            raise self.refuse(f'"{key}" has {len(found)} characters; {limit} are the most that can be read.')
        return found

    def name(self, key: str) -> str:
        """A text of small letters, digits and single hyphens."""
        found = self.text(key, 40)
        if not all(part.isascii() and part.isalnum() and part.islower() for part in found.split("-")):
            raise self.refuse(
                f'"{key}" is "{found}"; use small letters and digits with hyphens, "lay-garment".'
            )
        return found

    def flag(self, key: str, default: bool = False) -> bool:
        found = self._take(key, default)
        if not isinstance(found, bool):
            raise self._wrong(key, "true or false", found)
        return found

    def whole(self, key: str, low: int, high: int, default: int) -> int:
        found = self._take(key, default)
        if isinstance(found, bool) or not isinstance(found, int) or not low <= found <= high:
            raise self._wrong(key, f"a whole number from {low} to {high}", found)
        return found

    def number(self, key: str) -> float:
        """A number from 0 upward."""
        return self._number(key, self._take(key, MISSING))

    def pair(self, key: str) -> tuple[float, float]:
        """Two numbers above 0, the smaller first."""
        found = self.items(key)
        if len(found) != 2:
            raise self._wrong(key, "two numbers, [low, high]", found)
        low, high = self._number(key, found[0]), self._number(key, found[1])
        if not 0 < low <= high:
            raise self.refuse(f'"{key}" is [{low:g}, {high:g}]; give the lower first, above 0.')
        return low, high

    def items(self, key: str, default: list[Any] | None = None) -> list[Any]:
        found = self._take(key, MISSING if default is None else default)
        if not isinstance(found, list):
            raise self._wrong(key, "a list in [ ]", found)
        return found

    def texts(self, key: str, most: int, limit: int, default: list[str] | None = None) -> tuple[str, ...]:
        """A list of texts, at most `most` of at most `limit` characters."""
        found = self.items(key, default)
        if len(found) > most:
            raise self.refuse(f'"{key}" has {len(found)} entries; {most} are the most.')
        return tuple(Table({key: text}, self.place).text(key, limit) for text in found)

    def tables(self, key: str, what: str, name: str = "id") -> list[Table]:
        """The tables of an array, each knowing its place by its name."""
        tables = []
        for number, found in enumerate(self.items(key, []), start=1):
            if not isinstance(found, dict):
                raise self._wrong(key, "tables", found)
            called = found.get(name)
            label = f'"{called}"' if isinstance(called, str) else f"number {number}"
            tables.append(Table(found, f"{self.place}, {what} {label}"))
        return tables

    def choice(self, key: str, choices: Any, default: Any = MISSING) -> Any:
        """One of the values of a Literal type."""
        found = self._take(key, default)
        if found is not default and found not in get_args(choices):
            raise self._wrong(key, "one of " + ", ".join(get_args(choices)), found)
        return found

    def end(self) -> None:
        """RouteError when a key was never taken: a misspelt one must not pass in silence."""
        for key in self.values:
            if key not in self.taken:
                known = ", ".join(sorted(self.taken))
                raise self.refuse(f'"{key}" is not a key that Floor knows here; known are {known}.')

    def _take(self, key: str, default: Any) -> Any:
        self.taken.append(key)
        found = self.values.get(key, default)
        if found is MISSING or (found is None and default is None):
            raise self.refuse(f'"{key}" is missing; add it.')
        return found

    def _number(self, key: str, found: Any) -> float:
        number = isinstance(found, int | float) and not isinstance(found, bool)
        if not number or not math.isfinite(found) or found < 0:
            raise self._wrong(key, "a number from 0 upward", found)
        return float(found)

    def _wrong(self, key: str, wants: str, found: Any) -> RouteError:
        shown = f'"{found}"' if isinstance(found, str) else KINDS.get(type(found), "something else")
        if isinstance(found, int | float) and not isinstance(found, bool):
            shown = f"{found:g}" if isinstance(found, float) else str(found)
        return self.refuse(f'"{key}" must be {wants}; found {shown}.')
