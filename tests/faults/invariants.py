"""What must hold once all is quiet, whatever went wrong before."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from tests.faults.seat import Seat
from tests.faults.weather import LONGEST_WAY_MS

KEPT = ("id", "run", "kind", "phase", "at", "data")


def broken_rules(found: Any, seats: Sequence[Seat]) -> list[str]:
    """A sentence for each rule that does not hold; `found`: what the shop's folder holds (findings.py)."""
    if found is None:
        return ["the shop's folder could not be read"]
    faults = [
        *_lost(found, seats),
        *_doubled(found, seats),
        *_order(found, seats),
        *_times(found, seats),
        *(f"`floor check`: {fault}" for fault in found["faults"] if not _told_lost(fault, seats)),
        *(f"a negative time: {one}" for one in found["negative"]),
    ]
    if found["verdicts"] != len(found["events"]):
        faults.append(f"{len(found['events'])} events have {found['verdicts']} verdicts")
    return faults


def _lost(found: Any, seats: Sequence[Seat]) -> Iterator[str]:
    """Nothing acknowledged is lost, nor anything else that a tablet still had."""
    here = {event["id"]: {key: event[key] for key in KEPT} for event in found["events"]}
    refused = " ".join(found["refused"])
    for seat in seats:
        for row in seat.disk.rows:
            kept = here.get(row.event["id"])
            if kept is None and row.event["id"] not in refused:
                yield f"{row.event['kind']} {row.event['id']} never arrived (answered: {row.verdict or 'not'})"
            elif kept is not None and json.dumps(kept, sort_keys=True) != json.dumps(
                row.event, sort_keys=True
            ):
                yield f"{row.event['id']} arrived as another: {kept}"
            elif not row.verdict:
                yield f"{row.event['id']} is here and its tablet was not told"
        lost = {id for id in seat.acknowledged if id not in here and id not in refused} - seat.forgotten
        yield from (f"{id} was acknowledged and is not here" for id in lost)


def _doubled(found: Any, seats: Sequence[Seat]) -> Iterator[str]:
    """Each tap is here once, and nothing is that nobody tapped."""
    ids = [event["id"] for event in found["events"]]
    numbers = [(event["device"], event["seq"]) for event in found["events"]]
    if len(set(ids)) != len(ids) or len(set(numbers)) != len(numbers):
        yield "an id or a number stands twice"
    tapped = {id for seat in seats for id in seat.truth}
    yield from (f"{id} was never tapped" for id in ids if id not in tapped)


def _order(found: Any, seats: Sequence[Seat]) -> Iterator[str]:
    """By its numbers each tablet's taps stand in the order in which they were tapped; but for those that had to be
    given new ones after its storage was set back, which cannot go before what has its number already."""
    for seat in seats:
        own = [event["id"] for event in found["events"] if event["device"] == seat.device]
        kept = [row.event["id"] for row in seat.disk.rows if not row.renumbered]
        order = {id: at for at, id in enumerate(kept)}
        told = [id for id in own if id in order]
        late = [b for a, b in pairwise(told) if order[a] > order[b]]
        yield from (f"{id} stands behind a later tap of its tablet" for id in late)


def _times(found: Any, seats: Sequence[Seat]) -> Iterator[str]:
    """Between two taps of a run as much time is told as there was, or none. An offset is measured to within half of
    the longest way, so two are off by one whole way at most; and by what the clock was changed unnoticed. A tablet
    whose storage was set back has also forgotten what it had measured of its clock: of it that is asked where it went
    by one measure."""
    allowed = {seat.device: LONGEST_WAY_MS + seat.unfelt_ms for seat in seats}
    truth = {id: at for seat in seats for id, at in seat.truth.items()}
    set_back = {seat.device for seat in seats if seat.was_set_back}
    runs: dict[tuple[str, str], list[dict[str, Any]]] = {}
    for event in found["events"]:
        runs.setdefault((event["device"], event["run"]), []).append(event)
    for own in runs.values():
        for before, after in pairwise(own):
            if before["id"] not in truth or after["id"] not in truth:
                continue
            told = after["at"] + after["offset"] - before["at"] - before["offset"]
            true = truth[after["id"]] - truth[before["id"]]
            crossed = any(e["adrift"] for e in _between(found["events"], before, after))
            forgot = before["device"] in set_back and before["offset"] != after["offset"]
            if not crossed and not forgot and abs(told - true) > allowed[before["device"]]:
                yield f"{told} ms are told between {before['id']} and {after['id']}; there were {true}"


def _between(
    events: Sequence[dict[str, Any]], before: dict[str, Any], after: dict[str, Any]
) -> list[dict[str, Any]]:
    return [e for e in events if e["device"] == after["device"] and before["seq"] < e["seq"] <= after["seq"]]


def _told_lost(fault: str, seats: Sequence[Seat]) -> bool:
    """A gap in the numbers of a tablet whose storage was set back: it told so, and nothing can bring it again."""
    return any(seat.device in fault and seat.disk.lost for seat in seats)
