"""A supervisor settles what was set aside, and takes that back: events of the office, after all others of the run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sqlalchemy import func, select

from floor.domain.events import MAX_TEXT, Kind
from floor.services.office_taps import say_from_office
from floor.store.database import writing
from floor.store.models import EventRow, VerdictRow, db

How = Literal["apply", "keep"]


class UnknownTap(ValueError):
    """No such tap, or no such settling, has reached the server."""


class CannotSettle(ValueError):
    """It cannot be settled so, or not be taken back; the message says why, and what would do."""


@dataclass(frozen=True)
class Settling:
    """What became of a tap that was set aside. `event`: the settling; `again`: it had been settled so before."""

    event: str
    how: How
    by: str
    again: bool


def settle(tap: str, how: How, why: str, by: str, now_ms: int, new_id: str) -> Settling:
    """Let a tap that was set aside count from now on, or keep it as a note; taps of a run that was set aside as a
    whole are kept together. Whoever asks twice settles once. Raises UnknownTap, CannotSettle."""
    why = " ".join(why.split())
    if not why:
        raise CannotSettle("Say in a few words why; they stay with the tap for whoever reads the log.")
    if len(why) > MAX_TEXT:
        raise CannotSettle(f"The reason may have {MAX_TEXT} letters; this one is longer.")
    with writing():
        event, verdict = _found(tap)
        if verdict.settled:
            return _before(verdict.settled, how)
        if verdict.applied:
            raise CannotSettle("That tap counts by now; there is nothing to settle.")
        data = {"event": tap, "how": how, "why": why}
        _said(event.run, Kind.SETTLE, data, by, now_ms, new_id)
        return Settling(new_id, how, by, again=False)


def take_back(settling: str, by: str, now_ms: int, new_id: str) -> str:
    """What was settled is open again; its run. Only while nothing newer has happened to the run. Whoever asks twice
    takes back once. Raises UnknownTap, CannotSettle."""
    with writing():
        event, verdict = _found(settling)
        if event.kind != Kind.SETTLE:
            raise UnknownTap("That was no settling; only what a supervisor settled is taken back here.")
        if verdict.in_force:
            _said(event.run, Kind.UNDO, {"event": settling}, by, now_ms, new_id)
        return event.run


def _found(id: str) -> tuple[EventRow, VerdictRow]:
    event, verdict = db.session.get(EventRow, id), db.session.get(VerdictRow, id)
    if event is None or verdict is None:
        raise UnknownTap("No such tap has reached the server; look at what is set aside now.")
    return event, verdict


def _before(settling: str, how: How) -> Settling:
    """The settling that stands, for one who asks for the same again."""
    event = db.session.get_one(EventRow, settling)
    if event.data["how"] != how:
        did = "let it count" if event.data["how"] == "apply" else "kept it as a note"
        raise CannotSettle(f"{event.by} {did} meanwhile; take that back first, if it was wrong.")
    return Settling(event.id, how, event.by or "", again=True)


def _said(run: str, kind: Kind, data: dict[str, str], by: str, now_ms: int, new_id: str) -> None:
    """Say it after everything else that is known of the run, whatever its tablets' clocks say. Raises CannotSettle,
    and nothing is kept, where it does not apply."""
    newest = select(func.max(EventRow.at + EventRow.offset_ms)).where(EventRow.run == run)
    at = max(now_ms, (db.session.scalar(newest) or 0) + 1)
    answer = say_from_office(run, kind, data, by, at, now_ms, new_id)
    if answer.verdict != "applied":
        raise CannotSettle(answer.reason)
