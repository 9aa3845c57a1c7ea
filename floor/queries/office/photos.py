"""The pictures that operators took of a run, and those that show a problem."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import ColumnElement, and_, literal_column, select

from floor.domain.events import UnreadableData
from floor.domain.payloads import PICTURE_OF, Pictured, read_payload
from floor.domain.photo import half_words
from floor.queries.events import event_of
from floor.queries.office.words import day_words, local_day, moment_words
from floor.store.models import EventRow, PhaseTimeRow, PhotoRow, VerdictRow, db

A_PICTURE: ColumnElement[str] = literal_column(
    "'photo'"
)  # not a parameter: only so does SQLite see that the index of pictures will do

Found = tuple[EventRow, VerdictRow, PhotoRow | None]


@dataclass(frozen=True)
class PhotoLine:
    """A picture. `shown`: it is here to be looked at; `told`: what is to be said where something is missing or does
    not count, "" otherwise; `problem`: the event of the problem that it shows, "" where it shows none."""

    id: str
    run: str
    shown: bool
    what: str
    where: str
    who: str
    when: str
    told: str
    problem: str
    width: int
    height: int


def run_photos(run: str, now_ms: int) -> list[PhotoLine]:
    """All pictures of a run, in the order of replay, and after them those whose event has not come."""
    rows = _with_halves(EventRow.run == run)
    phases = select(PhaseTimeRow.phase, PhaseTimeRow.title).where(PhaseTimeRow.run_id == run)
    titles = {phase: title for phase, title in db.session.execute(phases)}  # noqa: C416 (rows are no pairs to mypy)
    lines = list(_told(rows, titles, now_ms))
    seen = {line.id for line in lines}
    untold = db.session.scalars(select(PhotoRow).where(PhotoRow.run == run).order_by(PhotoRow.received_at))
    return lines + [untold_line(row, now_ms) for row in untold if row.id not in seen]


def photos_of_problems(runs: Iterable[str], now_ms: int) -> Mapping[str, list[PhotoLine]]:
    """By the event of the problem, the pictures that show it and count."""
    rows = _with_halves(EventRow.run.in_(set(runs)), VerdictRow.in_force.is_(True))
    found: dict[str, list[PhotoLine]] = {}
    for line in _told(rows, {}, now_ms):
        if line.problem:
            found.setdefault(line.problem, []).append(line)
    return found


def _with_halves(*where: ColumnElement[bool]) -> list[Found]:
    """Events of pictures with what became of them and, where it came, the picture; in the order of replay."""
    query = (
        select(EventRow, VerdictRow, PhotoRow)
        .join(VerdictRow, VerdictRow.event_id == EventRow.id)
        .outerjoin(PhotoRow, is_of_event())
        .where(EventRow.kind == A_PICTURE, *where)
        .order_by(VerdictRow.position)
    )
    return [(event, verdict, picture) for event, verdict, picture in db.session.execute(query)]


def is_of_event() -> ColumnElement[bool]:
    """Whether a picture is the one that an event tells of."""
    return and_(PhotoRow.id == EventRow.data["photo"].as_string(), PhotoRow.run == EventRow.run)


def _told(rows: Iterable[Found], titles: Mapping[int, str], now_ms: int) -> Iterator[PhotoLine]:
    seen = set()
    for event, verdict, picture in rows:
        try:
            said = read_payload(event_of(event))
        except UnreadableData:  # set aside, and told so among the events
            continue
        assert isinstance(said, Pictured)  # by its kind
        if said.photo in seen:
            continue
        seen.add(said.photo)
        yield PhotoLine(
            id=said.photo,
            run=event.run,
            shown=_is_shown(picture),
            what=PICTURE_OF[said.of],
            where=titles.get(event.phase, ""),
            who=verdict.operator,
            when=moment_words(event.at + event.offset_ms),
            told=_fate(verdict) or _missing(event.received_at, picture, now_ms),
            problem=said.problem,
            width=said.width,
            height=said.height,
        )


def _is_shown(picture: PhotoRow | None) -> bool:
    return picture is not None and picture.deleted_at is None


def _fate(verdict: VerdictRow) -> str:
    if not verdict.applied:
        return f"Set aside: {verdict.reason}"
    return "" if verdict.in_force else "The tap was taken back."


def _missing(told_at: int | None, picture: PhotoRow | None, now_ms: int) -> str:
    if picture is not None and picture.deleted_at is not None:
        return f"Deleted to make room: {picture.deleted_by}, {day_words(local_day(picture.deleted_at))}."
    return half_words(told_at, None if picture is None else picture.received_at, now_ms)


def untold_line(picture: PhotoRow, now_ms: int) -> PhotoLine:
    return PhotoLine(
        id=picture.id,
        run=picture.run,
        shown=_is_shown(picture),
        what="",
        where="",
        who="",
        when=moment_words(picture.received_at),
        told=_missing(None, picture, now_ms),
        problem="",
        width=picture.width,
        height=picture.height,
    )
