"""A job file's tables -> the job, with each sum that a wrong number would spoil checked against its line."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from floor.domain.garment_line import MAX_GARMENTS
from floor.domain.job import Backing, Design, Garment, Hoop, Job, Machine
from floor.domain.lengths import format_mm
from floor.domain.quoting import quoted
from floor.jobfile.errors import as_key
from floor.jobfile.layers import check_layers, layer_of
from floor.jobfile.needs import MAX_SHIFT_MM, RouteNeeds
from floor.jobfile.opening import opening_of
from floor.jobfile.tables import Table

SPEED_STITCHES_A_MINUTE = (100, 1500)
MAX_HEADS = 64
MAX_SHEETS = 6
YEARS = (2000, 2100)


def job_of(file: Table, routes: Mapping[str, RouteNeeds]) -> Job:
    """The job that the whole file describes. Good only if no problem was recorded in the reading."""
    title, customer, due = file.text("title"), file.text("customer"), _due(file)
    route = file.choice("route", sorted(routes))
    needs = routes[route]
    # A route that cannot be read says nothing about the opening.
    route_is_sure = file.data.get("route") == route
    opening = opening_of(file, route, needs, route_is_sure)
    design = _design(file)
    layers = tuple(layer_of(table) for table in file.tables("layer"))
    check_layers(file, layers, route, needs if route_is_sure else RouteNeeds(needs.opening, 1))
    job = Job(
        title=title,
        customer=customer,
        due=due,
        route=route,
        opening=opening,
        design=design,
        layers=layers,
        hoop=_hoop(file),
        backing=_backing(file),
        machine=_machine(file),
        garments=_garments(file),
    )
    _check_sizes(file, job)
    file.close()
    return job


def _due(file: Table) -> date:
    value = file.day("due")
    if isinstance(value, date) and not isinstance(value, datetime):
        if YEARS[0] <= value.year <= YEARS[1]:
            return value
        file.wrong(
            "due", f"the job is due in the year {value.year}; Floor plans from {YEARS[0]} to {YEARS[1]}"
        )
    elif value is not None:
        file.wrong("due", f"the due date is {quoted(str(value))}; write a bare date, as due = 2026-12-11")
    return date.min


def _design(file: Table) -> Design:
    table = file.table("design", "[design]")
    if table is None:
        return Design("", 0.0)
    design = Design(
        outline=table.text("outline"),
        height=table.length("height", 0, above=True),
        centre=table.pair("centre", -3000, 3000) if table.has("centre") else (0.0, 0.0),
    )
    table.close()
    return design


def _hoop(file: Table) -> Hoop:
    table = file.table("hoop", "[hoop]")
    if table is None:
        return Hoop((0.0, 0.0), 0.0)
    hoop = Hoop(
        field=table.pair("field", 0, above=True), clearance=table.length("clearance", 0, MAX_SHIFT_MM)
    )
    if 2 * hoop.clearance >= min(hoop.field):
        table.wrong(
            "clearance",
            f"the clearance of [hoop] is {format_mm(hoop.clearance)} all round, which leaves nothing of its"
            f" field of {format_mm(hoop.field[0])} by {format_mm(hoop.field[1])}; measure it again",
        )
    table.close()
    return hoop


def _backing(file: Table) -> Backing:
    table = file.table("backing", "[backing]")
    if table is None:
        return Backing("", 0)
    backing = Backing(kind=table.text("kind"), sheets=table.whole("sheets", 0, MAX_SHEETS))
    table.close()
    return backing


def _machine(file: Table) -> Machine:
    table = file.table("machine", "[machine]")
    if table is None:
        return Machine(0, 0)
    machine = Machine(
        speed=table.whole("speed", *SPEED_STITCHES_A_MINUTE), heads=table.whole("heads", 1, MAX_HEADS)
    )
    table.close()
    return machine


def _garments(file: Table) -> tuple[Garment, ...]:
    """Numbered from 1 in the order of the file; an entry's names go to its first garments."""
    garments: list[Garment] = []
    total = 0
    for table in file.tables("garment"):
        size, count, names = table.text("size"), table.whole("count", 1, MAX_GARMENTS), table.texts("names")
        count_is_sure = table.data.get("count") == count
        if count_is_sure and len(names) > count:
            table.wrong(
                "names", f"{table.title} has {len(names)} names for a count of {count}; leave some out"
            )
        table.close()
        total += count
        if total > MAX_GARMENTS:
            table.wrong(
                "count", f"the job has more than {MAX_GARMENTS} garments by {table.title}; make it two jobs"
            )
            break
        first = len(garments) + 1
        garments += [Garment(first + i, size, names[i] if i < len(names) else None) for i in range(count)]
    return tuple(garments)


def _check_sizes(file: Table, job: Job) -> None:
    worn = sorted({garment.size for garment in job.garments if garment.size})
    if job.opening is None or not worn:
        return
    shown = ", ".join(as_key(size) for size in worn)
    for size in job.opening.sizes:
        if size not in worn:
            file.wrong_at(
                ("opening", "sizes", size),
                f"[opening.sizes.{as_key(size)}] is for a size that no garment has; they have {shown}:"
                " leave its numbers out, or add a garment of it",
            )
