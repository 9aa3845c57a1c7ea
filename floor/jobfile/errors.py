"""What is wrong with a job file: each problem with its line, all of them at once."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from typing import Any

from floor.domain.quoting import quoted
from floor.jobfile.lines import Path


class JobFileError(ValueError):
    """One problem of a job file. `line` is None where no line is to blame, as for a file that is missing.

    `path`: the key that is to blame, there or missing; () where none is.
    """

    def __init__(self, line: int | None, message: str, path: Path = ()) -> None:
        super().__init__(message if line is None else f"line {line}: {message}")
        self.line = line
        self.message = message
        self.path = path


class JobFileErrors(ValueError):
    """All problems of a job file, in the order of its lines; never empty."""

    def __init__(self, errors: Sequence[JobFileError]) -> None:
        self.errors = tuple(sorted(errors, key=lambda error: error.line or 0))
        super().__init__("\n".join(str(error) for error in self.errors))


class Problems:
    """Collects what is wrong, by the path of the key that is to blame."""

    def __init__(self, lines: Mapping[Path, int]) -> None:
        self._lines = lines
        self.errors: list[JobFileError] = []

    def add(self, path: Path, message: str) -> None:
        """Blames the key at `path`, or what it stands in where the file has no such key."""
        nearest = path
        while nearest not in self._lines:
            nearest = nearest[:-1]
        self.errors.append(JobFileError(self._lines[nearest], message, path))


def shown(value: Any) -> str:
    """What TOML read, as a sentence can say it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, int) and abs(value) > 10**15:
        return "a very large number"
    return quoted(value) if isinstance(value, str) else str(value)


def as_key(key: str) -> str:
    """A key as the file would write it."""
    return key if key.isascii() and key.replace("-", "_").isidentifier() else quoted(key)


def listed(choices: Sequence[str]) -> str:
    """ "a, b or c"."""
    return ", ".join(choices[:-1]) + f" or {choices[-1]}" if len(choices) > 1 else "".join(choices)


def instead(found: str, choices: Sequence[str]) -> str:
    """What would do in place of `found`: the likeliest of the choices, or all of them."""
    near = difflib.get_close_matches(found, choices, 1)
    return f"did you mean {quoted(near[0])}?" if near else f"what would do: {listed(choices)}"
