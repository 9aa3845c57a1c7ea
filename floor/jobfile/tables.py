"""Reading the tables of a job file: every problem is kept with its line, none stops the reading.

A getter that records a problem gives a stand-in of the right type (NaN for a length), which never leaves the
reader: a file with problems gives no job.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from typing import Any

from floor.domain.lengths import LengthError, format_mm, parse_length
from floor.domain.plain_text import text_fault
from floor.domain.quoting import ordinal, quoted
from floor.jobfile.errors import Problems, instead, listed, shown
from floor.jobfile.lines import Path

MAX_SIZE_MM = 3000.0
MAX_BARE_NUMBER = 1e6


class Table:
    """One table of the file. `title` names it in sentences: "[hoop]", "layer \\"Letters\\"", "the file"."""

    def __init__(self, data: Mapping[str, Any], path: Path, title: str, problems: Problems) -> None:
        self.data = data
        self.path = path
        self.title = title
        self._problems = problems
        self._known: set[str] = set()

    def has(self, key: str) -> bool:
        self._known.add(key)
        return key in self.data

    def wrong(self, key: str, message: str) -> None:
        """Records a problem of `key`; the sentence names the key and the table itself."""
        self._problems.add((*self.path, key), message)

    def wrong_at(self, path: Path, message: str) -> None:
        """Records a problem of what lies deeper in this table."""
        self._problems.add((*self.path, *path), message)

    def text(self, key: str) -> str:
        value = self._value(key, str, 'text in quotes, as "…"')
        return "" if value is None else self._clean((*self.path, key), value, f"the {key} of {self.title}")

    def texts(self, key: str) -> tuple[str, ...]:
        """The texts of an array; none where the file has no such key."""
        if not self.has(key):
            return ()
        values = self._value(key, list, 'a list of texts, as ["…", "…"]') or []
        texts = []
        for i, value in enumerate(values):
            label = f"the {ordinal(i + 1)} of the {key} of {self.title}"
            if isinstance(value, str):
                texts.append(self._clean((*self.path, key, i), value, label))
            else:
                self._problems.add(
                    (*self.path, key, i), f"{label} is {shown(value)}; write it as text in quotes"
                )
        return tuple(texts)

    def choice(self, key: str, choices: Sequence[str]) -> str:
        value = self._value(key, str, f"one of {listed(choices)}")
        if value is not None and value not in choices:
            self.wrong(key, f"the {key} of {self.title} is {quoted(value)}; {instead(value, choices)}")
            return choices[0]
        return choices[0] if value is None else str(value)

    def flag(self, key: str) -> bool:
        return bool(self._value(key, bool, "true or false"))

    def whole(self, key: str, low: int, high: int) -> int:
        value = self._value(key, int, f"a whole number from {low} to {high}")
        if value is None or low <= value <= high:
            return low if value is None else int(value)
        self.wrong(key, f"the {key} of {self.title} is {shown(value)}; it must be from {low} to {high}")
        return low

    def length(self, key: str, low: float, high: float = MAX_SIZE_MM, *, above: bool = False) -> float:
        """A length from `low` to `high` mm; `above`: more than `low`. NaN once a problem is recorded."""
        if not self.has(key):
            self._missing(key)
            return math.nan
        return self._length((*self.path, key), self.data[key], f"the {key} of {self.title}", low, high, above)

    def quiet_length(self, key: str) -> float:
        """The length as far as it can be read, else NaN; `length` records what is wrong with it."""
        try:
            return parse_length(self.data[key])
        except (KeyError, TypeError, AttributeError, LengthError):
            return math.nan

    def pair(
        self, key: str, low: float, high: float = MAX_SIZE_MM, *, above: bool = False
    ) -> tuple[float, float]:
        """Two lengths, as ["360 mm", "200 mm"]."""
        value = self._value(key, list, 'two lengths, as ["360 mm", "200 mm"]')
        if value is None:
            return math.nan, math.nan
        if len(value) != 2:
            self.wrong(
                key, f'the {key} of {self.title} has {len(value)} entries; write two, as ["360 mm", "200 mm"]'
            )
            return math.nan, math.nan
        first, second = (
            self._length(
                (*self.path, key, i),
                v,
                f"the {ordinal(i + 1)} of the {key} of {self.title}",
                low,
                high,
                above,
            )
            for i, v in enumerate(value)
        )
        return first, second

    def day(self, key: str) -> Any:
        """What TOML read for `key`, for the caller to judge; None once a problem is recorded."""
        if not self.has(key):
            self._missing(key)
            return None
        return self.data[key]

    def table(self, key: str, title: str) -> Table | None:
        """The table under `key`; None where it is missing or no table, which is recorded."""
        self._known.add(key)
        value = self.data.get(key)
        if isinstance(value, dict):
            return Table(value, (*self.path, key), title, self._problems)
        if value is None:
            self.wrong(key, f"{self.title} has no {title}; add that table")
        else:
            self.wrong(key, f"{key} in {self.title} is {shown(value)}; write it as the table {title}")
        return None

    def tables(self, key: str) -> list[Table]:
        """The entries of [[key]]; empty where there are none, which is recorded."""
        self._known.add(key)
        value = self.data.get(key)
        if isinstance(value, list) and value and all(isinstance(entry, dict) for entry in value):
            return [
                Table(entry, (*self.path, key, i), f"the {ordinal(i + 1)} {key}", self._problems)
                for i, entry in enumerate(value)
            ]
        found = "has no" if value in (None, []) else f"has {shown(value)} in place of"
        self.wrong(key, f"{self.title} {found} [[{key}]]; write at least one [[{key}]] table")
        return []

    def close(self) -> None:
        """Refuses the keys that nobody asked for. To be called when all known keys were read."""
        for key in self.data:
            if key not in self._known:
                hint = instead(key, sorted(self._known))
                self.wrong(key, f"{self.title} has an unknown key {quoted(key)}; {hint}")

    def _value(self, key: str, kind: type, wanted: str) -> Any:
        """The value where it is of the kind, else None and a problem."""
        if not self.has(key):
            self._missing(key)
            return None
        value = self.data[key]
        if isinstance(value, kind) and (kind is bool or not isinstance(value, bool)):
            return value
        self.wrong(key, f"the {key} of {self.title} is {shown(value)}; write {wanted}")
        return None

    def _missing(self, key: str) -> None:
        near = difflib.get_close_matches(key, [k for k in self.data if k not in self._known], 1)
        hint = f"is {quoted(near[0])} meant?" if near else f"add {key} = …"
        self.wrong(key, f"{self.title} has no {key}; {hint}")

    def _clean(self, path: Path, value: str, label: str) -> str:
        """The text without blanks around it; "" once a problem is recorded."""
        fault = text_fault(value, label)
        if fault:
            self._problems.add(path, fault)
        return "" if fault else value.strip()

    def _length(self, path: Path, value: Any, label: str, low: float, high: float, above: bool) -> float:
        if not isinstance(value, str):
            hint = f'with a unit, as "{value} mm"' if _is_small_number(value) else 'as "142 mm"'
            self._problems.add(path, f"{label} is {shown(value)}; write a length {hint}")
            return math.nan
        try:
            mm = parse_length(value)
        except LengthError as error:
            self._problems.add(path, f"{label} cannot be read: {error}")
            return math.nan
        if mm > high or mm < low or (above and mm == low):
            limits = f"{'more than' if above else 'at least'} {format_mm(low)} and at most {format_mm(high)}"
            self._problems.add(path, f"{label} is {quoted(value)}; it must be {limits}")
            return math.nan
        return mm


def _is_small_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < MAX_BARE_NUMBER
