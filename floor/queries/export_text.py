"""Rows as lines of CSV or of JSON, one at a time, so that a long log never has to fit in memory."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TextIO

RUN_BY_A_SPREADSHEET = ("=", "+", "-", "@", "\t", "\r")

Row = dict[str, object]


def csv_lines(rows: Iterable[Mapping[str, object]], columns: Sequence[str]) -> Iterator[str]:
    """A head line, then a line a row (RFC 4180)."""
    buffer = io.StringIO()
    writer = csv.writer(buffer)
    writer.writerow(columns)
    for row in rows:
        yield _taken(buffer)
        writer.writerow([_cell(row[column]) for column in columns])
    yield _taken(buffer)


def jsonl_lines(rows: Iterable[Mapping[str, object]]) -> Iterator[str]:
    """One JSON object a line."""
    for row in rows:
        yield json.dumps(row, ensure_ascii=False) + "\n"


def write_csv(rows: Iterable[Mapping[str, object]], columns: Sequence[str], out: TextIO) -> None:
    """`out` must have been opened with newline=""."""
    out.writelines(csv_lines(rows, columns))


def write_jsonl(rows: Iterable[Mapping[str, object]], out: TextIO) -> None:
    out.writelines(jsonl_lines(rows))


def _taken(buffer: io.StringIO) -> str:
    text = buffer.getvalue()
    buffer.seek(0)
    buffer.truncate()
    return text


def _cell(value: object) -> str:
    """None is an empty cell. Text that a spreadsheet would run gets an apostrophe first."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " ".join(map(str, value))
    if isinstance(value, dict):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, str) and value.startswith(RUN_BY_A_SPREADSHEET):
        return "'" + value
    return str(value)
