"""All pictures: how many, which came last, and of how many one half is missing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Select, func, select

from floor.domain.english import plain
from floor.domain.photo import LOST_AFTER_MS
from floor.queries.office.jobs import load_words
from floor.queries.office.photos import A_PICTURE, is_of_event
from floor.queries.office.words import moment_words
from floor.store.models import EventRow, JobRow, PhotoRow, RunRow, VerdictRow, db

MOST_SHOWN = 48


@dataclass(frozen=True)
class KeptPhoto:
    """A picture that is here. `place`: its run, in words; "" where the run has not come."""

    id: str
    run: str
    when: str
    place: str
    width: int
    height: int


@dataclass(frozen=True)
class PhotosPage:
    """`kept`: how many pictures are here; `coming`, `lost`: of how many a half is still expected, or is not any more;
    `newest`: those that came last."""

    kept: int
    coming: int
    lost: int
    newest: tuple[KeptPhoto, ...]


def photos_page(now_ms: int) -> PhotosPage:
    halves = [*db.session.scalars(_told_alone()), *db.session.scalars(_came_alone())]
    lost = sum(now_ms - since > LOST_AFTER_MS for since in halves)
    return PhotosPage(photo_count(), len(halves) - lost, lost, tuple(_newest()))


def photo_count() -> int:
    return db.session.scalar(select(func.count(PhotoRow.id)).where(PhotoRow.deleted_at.is_(None))) or 0


def _told_alone() -> Select[Any]:
    """When the server got each event whose picture has not come."""
    return (
        select(EventRow.received_at)
        .join(VerdictRow, VerdictRow.event_id == EventRow.id)
        .outerjoin(PhotoRow, is_of_event())
        .where(EventRow.kind == A_PICTURE, VerdictRow.in_force, PhotoRow.id.is_(None))
    )


def _came_alone() -> Select[Any]:
    """When the server got each picture whose event has not come."""
    event = select(EventRow.id).where(EventRow.run == PhotoRow.run, EventRow.kind == A_PICTURE, is_of_event())
    return select(PhotoRow.received_at).where(PhotoRow.deleted_at.is_(None), ~event.exists())


def _newest() -> Iterator[KeptPhoto]:
    rows = db.session.execute(
        select(PhotoRow, RunRow, JobRow)
        .outerjoin(RunRow, RunRow.id == PhotoRow.run)
        .outerjoin(JobRow, JobRow.id == RunRow.job_id)
        .where(PhotoRow.deleted_at.is_(None))
        .order_by(PhotoRow.received_at.desc(), PhotoRow.id)
        .limit(MOST_SHOWN)
    )
    for photo, run, job in rows:
        place = f"{job.title}: {load_words(run.garments)}, {plain(run.title)}" if run and job else ""
        when = moment_words(photo.received_at)
        yield KeptPhoto(photo.id, photo.run, when, place, photo.width, photo.height)
