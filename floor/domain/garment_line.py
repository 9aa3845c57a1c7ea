"""One line of a list of garments, under a header or without one. What a line may be heads garment_list.py."""

from __future__ import annotations

import re
from dataclasses import dataclass

from floor.domain.plain_text import MAX_TEXT_CHARACTERS, text_fault
from floor.domain.quoting import quoted

MAX_GARMENTS = 2000
MAX_COUNTED_CHARACTERS = 2 * MAX_TEXT_CHARACTERS
"""More holds no size and number, and the search for them grows with the square of the text."""

COMMON_SIZES = re.compile(r"x{1,4}s|[2-6]xs|s|m|l|x{1,5}l|[2-6]xl|small|medium|large|one size", re.IGNORECASE)

_SIZE_HEADINGS = frozenset({"size", "sizes"})
_NAME_HEADINGS = frozenset(
    {"name", "names", "first name", "last name", "surname", "wearer", "person", "member"}
)
_COUNT_HEADINGS = frozenset({"count", "qty", "qty.", "quantity", "number", "amount", "pieces", "how many"})

_COUNT = re.compile(r"(?:[x×*]\s*)?([0-9]{1,9})(?:\s*[x×*])?", re.IGNORECASE)
_SIZE_TIMES = re.compile(r"(?P<size>.*\S)(?:\s+[x×*]\s*|\s*[×*]\s*)(?P<count>[0-9]{1,9})", re.IGNORECASE)
_TIMES_SIZE = re.compile(r"(?P<count>[0-9]{1,9})(?:\s*[x×*]\s+|\s*[×*]\s*)(?P<size>\S.*)", re.IGNORECASE)
_SIZE_COLON = re.compile(r"(?P<size>[^:]*[^:\s])\s*:\s*(?P<count>[0-9]{1,9})")
_SIZE_COUNT = re.compile(r"(?P<size>\S+|one size)\s+(?P<count>[0-9]{1,9})", re.IGNORECASE)
_COUNT_SIZE = re.compile(r"(?P<count>[0-9]{1,9})\s+(?P<size>\S+|one size)", re.IGNORECASE)
_WHAT_WOULD_DO = 'write a size and a name with a comma between, or a number as "M x 4"'


class LineWrong(ValueError):
    """What is wrong with a line, as the rest of a sentence that begins with the line's number."""


@dataclass(frozen=True)
class Line:
    """`count` garments of `size`, all with `name` ("": none)."""

    size: str
    name: str
    count: int


@dataclass(frozen=True)
class Columns:
    """Which columns hold what. `headed`: a header said so."""

    size: int = 0
    names: tuple[int, ...] = (1,)
    count: int | None = None
    headed: bool = False


def cells_of(line: str) -> tuple[str, ...]:
    """The line's columns without blanks around them; of empty ones at its end only the second is kept."""
    mark = next((mark for mark in "\t;," if mark in line), None)
    cells = [cell.strip() for cell in (line.split(mark) if mark else [line])]
    while len(cells) > 2 and not cells[-1]:
        cells.pop()
    return tuple(cells)


def header_of(cells: tuple[str, ...]) -> Columns | None:
    """What the columns are, where this line is a header; else None."""
    words = [cell.casefold() for cell in cells]
    sizes = [at for at, word in enumerate(words) if word in _SIZE_HEADINGS]
    names = tuple(at for at, word in enumerate(words) if word in _NAME_HEADINGS)
    counts = [at for at, word in enumerate(words) if word in _COUNT_HEADINGS]
    if len(sizes) != 1 or len(counts) > 1 or not (names or counts or "".join(words) == words[sizes[0]]):
        return None
    return Columns(sizes[0], names, counts[0] if counts else None, headed=True)


def columns_without_header(rows: list[tuple[str, ...]]) -> Columns:
    """The size first, unless all lines that have two columns say otherwise."""
    pairs = [cells for cells in rows if len(cells) > 1 and cells[1] and not _COUNT.fullmatch(cells[1])]
    second = bool(pairs) and all(COMMON_SIZES.fullmatch(cells[1]) for cells in pairs)
    first = all(COMMON_SIZES.fullmatch(cells[0]) for cells in pairs)
    return Columns(size=1, names=(0,)) if second and not first else Columns()


def read_line(cells: tuple[str, ...], columns: Columns) -> Line:
    """What the line orders. Raises LineWrong."""
    return _headed(cells, columns) if columns.headed else _plain(cells, columns)


def _headed(cells: tuple[str, ...], columns: Columns) -> Line:
    def cell(at: int) -> str:
        return cells[at] if at < len(cells) else ""

    count = cell(columns.count) if columns.count is not None else ""
    if count and not re.fullmatch("[0-9]{1,9}", count):
        raise LineWrong(f" has {quoted(count)} in the column of numbers; write a whole number there")
    name = " ".join(found for found in (cell(at) for at in columns.names) if found)
    return _checked(cell(columns.size), name, int(count or 1))


def _plain(cells: tuple[str, ...], columns: Columns) -> Line:
    if len(cells) == 1:
        return _lone(cells[0])
    first, second = cells[:2]
    if len(cells) == 2:
        if not second:
            return _counted(first) or _checked("" if columns.size else first, "", 1)
        count = _COUNT.fullmatch(second)
        if count:
            return _checked(first, "", int(count[1]))
        count = _COUNT.fullmatch(first)
        if count:
            return _checked(second, "", int(count[1]))
        return _checked(cells[columns.size], cells[columns.names[0]], 1)
    count = _COUNT.fullmatch(cells[2])
    if len(cells) == 3 and count:
        return _checked(cells[columns.size], cells[columns.names[0]], int(count[1]))
    raise LineWrong(
        f" has {len(cells)} columns; write a size, a name and a number, or put a header line over them"
    )


def _lone(text: str) -> Line:
    """A line of one column: a size, or a size and a number."""
    counted = _counted(text)
    if counted is None and " " in text and not COMMON_SIZES.fullmatch(text):
        raise LineWrong(f", {quoted(text)}, is no size alone; {_WHAT_WOULD_DO}")
    return counted or _checked(text, "", 1)


def _counted(text: str) -> Line | None:
    """A size and a number in one column; None where it is something else."""
    if len(text) > MAX_COUNTED_CHARACTERS:
        return None
    for form in (_SIZE_TIMES, _TIMES_SIZE, _SIZE_COLON, _SIZE_COUNT, _COUNT_SIZE):
        found = form.fullmatch(text)
        if found:
            return _checked(found["size"], "", int(found["count"]))
    return None


def _checked(size: str, name: str, count: int) -> Line:
    if not size:
        raise LineWrong(f" has no size; {_WHAT_WOULD_DO}")
    if not 1 <= count <= MAX_GARMENTS:
        raise LineWrong(f" orders {count} garments; write a number from 1 to {MAX_GARMENTS}")
    for text, label in ((size, ": the size"), *([(name, ": the name")] if name else [])):
        fault = text_fault(text, label)
        if fault:
            raise LineWrong(fault)
    return Line(size, name, count)
