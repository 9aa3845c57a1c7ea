"""The printed ticket: one page for the job, and a label for each garment.

A QR code holds the ticket's address in upper case, which needs fewer modules than lower case, at level H, so
that it still reads with a corner torn off or glue on it. A module is printed 0.75 mm wide, for a tablet's camera
at arm's length. What the address's length does: up to 35 characters ("HTTP://192.168.1.20:8000/T/K7Q2M4" has 33)
fit version 3, 28 mm wide with its quiet zone; up to 50 version 4 (31 mm), up to 64 version 5 (34 mm), and so on.
A long host's name therefore makes a larger code on the ticket. On the labels the code may be at most
LABEL_QR_MM wide; beyond that its modules shrink, so a shop with a long name does better to set a short address.
The address's host may be in any case; a folder after it may not, for paths are not read without regard to case.
"""

from __future__ import annotations

import base64
from dataclasses import dataclass

import qrcode
from flask import render_template
from qrcode.constants import ERROR_CORRECT_H

from floor.places import page_folder
from floor.queries.plan_pictures import plan_pictures, plan_svg
from floor.queries.plan_words import looks_alike
from floor.queries.ticket import ticket_page
from floor.queries.views import JobView

MODULE_MM = 0.75
QUIET_MODULES = 4
LABEL_QR_MM = 34.0
STYLE_SHEETS = ("base.css", "ticket.css")


@dataclass(frozen=True)
class Qr:
    """A QR code for a template to draw: `path` in units of one module, `size_mm` with its quiet zone."""

    text: str
    modules: int
    size_mm: float
    path: str


def qr_of(text: str, most_mm: float | None = None) -> Qr:
    """The code of `text` at level H; its modules are smaller than MODULE_MM only if `most_mm` asks for it."""
    code = qrcode.QRCode(error_correction=ERROR_CORRECT_H, border=QUIET_MODULES)
    code.add_data(text, optimize=0)
    code.make(fit=True)
    rows = code.get_matrix()
    size = MODULE_MM * len(rows)
    return Qr(text, len(rows), size if most_mm is None else min(size, most_mm), _path(rows))


def _path(rows: list[list[bool]]) -> str:
    """The dark modules as one path: a rectangle for each run of them in a row."""
    parts = []
    for y, row in enumerate(rows):
        start = None
        for x, dark in enumerate([*row, False]):
            if dark and start is None:
                start = x
            elif not dark and start is not None:
                parts.append(f"M{start} {y}h{x - start}v1h-{x - start}z")
                start = None
    return "".join(parts)


def ticket_qr(address: str, code: str, number: int | None = None) -> Qr:
    """The code of a job's ticket, or of one garment's label."""
    garment = "" if number is None else f"/{number}"
    text = f"{address.rstrip('/')}/T/{code}{garment}".upper()
    return qr_of(text, None if number is None else LABEL_QR_MM)


@dataclass(frozen=True)
class Picture:
    """`src`: the whole picture as an address of its own, so that a single file holds it too."""

    src: str
    words: str


def pictures_of(view: JobView) -> tuple[Picture, ...]:
    """The job's pictures in its first garment's size."""
    size = view.job.garments[0].size
    several, found = len(looks_alike(view.sums)) > 1, []
    for picture in plan_pictures(view.job, view.plan.house):
        svg = plan_svg(view.row, view.revision, picture.what, size)
        assert svg is not None, picture.what
        encoded = base64.b64encode(svg.encode()).decode()
        words = f"{picture.words}, size {size}" if several else picture.words
        found.append(Picture(f"data:image/svg+xml;base64,{encoded}", words))
    return tuple(found)


def ticket_html(view: JobView, address: str, standalone: bool) -> str:
    """The whole page. `address`: what the codes begin with. `standalone`: one file with its styles inside, to be
    opened from a folder; otherwise the page links to the server's own styles."""
    page = ticket_page(view)
    return render_template(
        "ticket/ticket.html",
        ticket=page,
        qr=ticket_qr(address, page.code),
        pictures=pictures_of(view),
        labels=[(garment, ticket_qr(address, page.code, garment.number)) for garment in page.garments],
        styles=_styles() if standalone else None,
    )


def _styles() -> str:
    """The style sheets' text; without the fonts, which a single file does not bring along."""
    folder = page_folder("static") / "css"
    text = "\n".join((folder / name).read_text(encoding="utf-8") for name in STYLE_SHEETS)
    return "\n".join(line for line in text.splitlines() if not line.startswith("@font-face"))
