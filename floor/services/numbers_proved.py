"""The numbers of all tablets as their events have them: what is kept of them is made again and proved by these."""

from __future__ import annotations

from sqlalchemy import Select, func, select

from floor.domain.english import plural
from floor.domain.gaps import Numbers, Ranges, common, how_many, less, without
from floor.services.numbers import keep_numbers, numbers_of, refused_numbers
from floor.store.models import Device, EventRow, db

MAX_NAMED = 5


def numbers_from_events() -> dict[str, Numbers]:
    """By device. Only that a number was told lost is in no event, so that is believed of what is missing."""
    told = {row.id: numbers_of(row).lost for row in db.session.scalars(select(Device))}
    newest = select(EventRow.device, func.max(EventRow.seq)).group_by(EventRow.device)
    gaps: dict[str, Ranges] = {}
    for device, before, after in db.session.execute(_gaps()):
        gaps[device] = (*gaps.get(device, ()), (before + 1, after - 1))
    found = {device: Numbers(highest) for device, highest in db.session.execute(newest)}
    for device, absent in gaps.items():
        for number in refused_numbers(device, absent[0][0] - 1, absent[-1][1] + 1):
            absent = without(absent, number)
        lost = common(absent, told.get(device, ()))
        found[device] = Numbers(found[device].newest, less(absent, lost), lost)
    return found


def count_again() -> None:
    """Make what is kept of each device's numbers what its events say. Inside the caller's transaction."""
    for device, numbers in numbers_from_events().items():
        row = db.session.get(Device, device)
        if row is None:
            row = _newly_met(device)
        if numbers_of(row) != numbers:
            keep_numbers(row, numbers)


def number_faults() -> list[str]:
    """A sentence for each device whose numbers 1, 2, 3… are not all here, or are not kept as its events say."""
    kept = {row.id: numbers_of(row) for row in db.session.scalars(select(Device))}
    faults = []
    for device, numbers in sorted(numbers_from_events().items()):
        of_all = f"of its {plural(numbers.newest, 'event')}"
        if numbers.missing:
            faults.append(
                f"Tablet {device}: {how_many(numbers.missing)} {of_all} never arrived "
                f"({named(numbers.missing)}). Switch it on beside the network with Floor's page open: "
                "it is asked for them, and sends them if it has them still."
            )
        if numbers.lost:
            faults.append(
                f"Tablet {device}: {how_many(numbers.lost)} {of_all} are lost ({named(numbers.lost)}): "
                "it was asked for them and no longer has them. The page Tablets says between which taps; "
                "ask who worked then, and have what is missing written as a note in the run."
            )
        if kept.get(device) != numbers:
            faults.append(
                f"Tablet {device}: what is kept of its numbers is not what its events say; "
                "floor rebuild puts it right."
            )
    return faults


def named(ranges: Ranges) -> str:
    """ "number 3", "numbers 3, 7 to 9 …"."""
    parts = [
        str(first) if first == last else f"{first}{',' if last == first + 1 else ' to'} {last}"
        for first, last in ranges[:MAX_NAMED]
    ]
    more = " …" if len(ranges) > MAX_NAMED else ""
    return f"number{'s' if how_many(ranges) > 1 else ''} {', '.join(parts)}{more}"


def _gaps() -> Select[str, int, int]:
    """Device, number, and the next number that is here, wherever some are missing between."""
    before = func.lag(EventRow.seq, 1, 0).over(partition_by=EventRow.device, order_by=EventRow.seq)
    pairs = select(EventRow.device, before.label("before"), EventRow.seq).subquery()
    return (
        select(pairs.c.device, pairs.c.before, pairs.c.seq)
        .where(pairs.c.seq > pairs.c.before + 1)
        .order_by(pairs.c.device, pairs.c.seq)
    )


def _newly_met(device: str) -> Device:
    newest = select(EventRow).where(EventRow.device == device).order_by(EventRow.seq.desc()).limit(1)
    event = db.session.scalars(newest).one()
    row = Device(
        id=device, offset_ms=event.offset_ms, seen_at=event.received_at, newest=0, missing=[], lost=[]
    )
    db.session.add(row)
    return row
