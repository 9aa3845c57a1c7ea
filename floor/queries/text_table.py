"""Tables of plain text for a terminal: words to the left, figures to the right, the last column wrapped."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import wrap

WIDTH_COLUMNS = 100
GAP = "  "
LAST_LEAST_COLUMNS = 32  # narrower, sentences become ladders; names are cut first


def text_table(head: Sequence[str], rows: Iterable[Sequence[str]], indent: int = 4) -> list[str]:
    """Lines of at most WIDTH_COLUMNS. A head that begins with ">" sets its column to the right."""
    right = [title.startswith(">") for title in head]
    lines = [[title.removeprefix(">") for title in head], *map(list, rows)]
    widths = _widths(lines, WIDTH_COLUMNS - indent - len(GAP) * (len(head) - 1))
    found = []
    for *names, last in lines:
        cells = [cut(name, width) for name, width in zip(names, widths, strict=False)]
        first, *rest = wrap(last, widths[-1], break_on_hyphens=False) or [""]
        found.append(_line([*cells, first], widths, right, indent))
        found += [_line([*("" for _ in cells), more], widths, right, indent) for more in rest]
    return found


def paragraph(text: str, indent: int = 2, hang: int = 2) -> list[str]:
    """Lines of at most WIDTH_COLUMNS; all but the first stand `hang` further in."""
    further = " " * (indent + hang)
    return wrap(
        text, WIDTH_COLUMNS, initial_indent=" " * indent, subsequent_indent=further, break_on_hyphens=False
    )


def cut(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1] + "…"


def _widths(lines: Sequence[Sequence[str]], room: int) -> list[int]:
    """As wide as their texts, the widest narrowed until all fit; the last one takes what the others leave."""
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    wanted, widths[-1] = widths[-1], min(widths[-1], LAST_LEAST_COLUMNS)
    while sum(widths) > room:
        widths[widths.index(max(widths))] -= 1
    widths[-1] = min(wanted, widths[-1] + room - sum(widths))
    return widths


def _line(cells: Sequence[str], widths: Sequence[int], right: Sequence[bool], indent: int) -> str:
    padded = (
        cell.rjust(width) if to_right else cell.ljust(width)
        for cell, width, to_right in zip(cells, widths, right, strict=True)
    )
    return (" " * indent + GAP.join(padded)).rstrip()
