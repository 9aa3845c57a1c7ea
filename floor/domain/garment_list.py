"""The list of a job's garments, as it is pasted from a spreadsheet or a mail, and written out again.

One line a garment, or a number of them; blank lines are passed over; the order is kept. A line is parted into
columns at its tabs; where it has none, at its semicolons; where it has none of these either, at its commas.

A header is a first line with a column "size" and one of names or numbers, or with that column alone. It says what
each column is, in any order; a column of another heading is not read, and several columns of names are put together.

Without a header a line is one of
    M                     one garment
    M x 4, 4 x M, M 4, M: 4, 4 M, or in two columns M, 4    so many; of two numbers the first is the size
    M, Odile              a garment with a name; a size that holds spaces needs a column, or an "x"
    M, Odile, 2           two garments for Odile
A number beside a size is always a count: numbers as names need a header. The second column holds the sizes if the
header says so, or if all in it are sizes that shops commonly have (`COMMON_SIZES`) and not all in the first are.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from floor.domain.garment_line import (
    MAX_GARMENTS,
    Columns,
    Line,
    LineWrong,
    cells_of,
    columns_without_header,
    header_of,
    read_line,
)

MAX_FAULTS = 20
"""As many as somebody mends in one go; a list that is no list would fill the page."""


@dataclass(frozen=True)
class GarmentEntry:
    """One [[garment]] of a job file: `count` garments of a size; `names` are those of its first."""

    size: str
    count: int
    names: tuple[str, ...] = ()


class GarmentListError(ValueError):
    """The list cannot be read. `sentences`: one for each line that is wrong, naming it."""

    def __init__(self, sentences: Sequence[str]) -> None:
        super().__init__("\n".join(sentences))
        self.sentences = tuple(sentences)


def read_garment_list(text: str) -> list[GarmentEntry]:
    """The garments that the list orders, in its order: lines of one size that follow each other make one entry, as
    long as no name comes after a garment without one. Empty where nothing is listed.

    Raises GarmentListError with a sentence for each line that cannot be read, or when there are more than
    MAX_GARMENTS.
    """
    rows = [(number, cells_of(line)) for number, line in enumerate(text.split("\n"), start=1) if line.strip()]
    rows = [(number, cells) for number, cells in rows if any(cells)]
    header = header_of(rows[0][1]) if rows else None
    if header is not None:
        rows = rows[1:]
    return _gathered(_read_rows(rows, header or columns_without_header([cells for _, cells in rows])))


def _read_rows(rows: Sequence[tuple[int, tuple[str, ...]]], columns: Columns) -> list[Line]:
    lines: list[Line] = []
    faults: list[str] = []
    total = 0
    for number, cells in rows:
        try:
            lines.append(read_line(cells, columns))
            total += lines[-1].count
        except LineWrong as wrong:
            faults.append(f"Line {number}{wrong}.")
        if total > MAX_GARMENTS:
            faults.append(f"By line {number} there are more than {MAX_GARMENTS} garments; make it two jobs.")
        if total > MAX_GARMENTS or len(faults) == MAX_FAULTS:
            break
    if faults:
        raise GarmentListError(faults)
    return lines


def garment_list_text(entries: Iterable[GarmentEntry]) -> str:
    """The entries as a list from which the same garments are read, a line a name: under a header only where
    something in it would be understood otherwise."""
    wanted = list(entries)
    plain = "\n".join(
        [row for e in wanted for row in (*(f"{e.size}\t{n}" for n in e.names), *_nameless(e, "{} x {}"))]
    )
    try:
        if _alike(read_garment_list(plain), wanted):
            return plain
    except GarmentListError:
        # A name that is a number, or a size that holds a comma: the header says which is which.
        pass
    return "\n".join(
        ["size\tname\tcount"]
        + [
            row
            for e in wanted
            for row in (*(f"{e.size}\t{n}\t1" for n in e.names), *_nameless(e, "{}\t\t{}"))
        ]
    )


def _nameless(entry: GarmentEntry, form: str) -> list[str]:
    rest = entry.count - len(entry.names)
    return [form.format(entry.size, rest)] if rest else []


def _alike(some: Iterable[GarmentEntry], others: Iterable[GarmentEntry]) -> bool:
    """Whether both number the same garments, however they are gathered into entries."""
    return _gathered(_lines_of(some)) == _gathered(_lines_of(others))


def _lines_of(entries: Iterable[GarmentEntry]) -> list[Line]:
    found = []
    for entry in entries:
        found += [Line(entry.size, name, 1) for name in entry.names]
        if entry.count > len(entry.names):
            found.append(Line(entry.size, "", entry.count - len(entry.names)))
    return found


def _gathered(lines: Iterable[Line]) -> list[GarmentEntry]:
    """Neighbours of one size together, and never a name behind a garment without one, since an entry's names go
    to its first garments."""
    entries: list[GarmentEntry] = []
    for line in lines:
        names = (line.name,) * line.count if line.name else ()
        last = entries[-1] if entries else None
        if last and last.size == line.size and (not names or len(last.names) == last.count):
            entries[-1] = GarmentEntry(last.size, last.count + line.count, (*last.names, *names))
        else:
            entries.append(GarmentEntry(line.size, line.count, names))
    return entries
