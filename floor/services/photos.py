"""Pictures come in, once each, and old ones are deleted by a supervisor. What was tapped with them is an event."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import func, select

from floor.domain.photo import MOST_OF_A_RUN, PhotoRoom
from floor.queries.office.old_photos import old_photos
from floor.services.photo_bytes import jpeg_of
from floor.store.database import writing
from floor.store.models import PhotoRow, db


class OtherPhoto(ValueError):
    """A picture with this id came before and was another one."""


class TooManyPhotos(ValueError):
    pass


class NoRoomForPhotos(ValueError):
    pass


@dataclass(frozen=True)
class Sent:
    """A picture as a tablet sends it, with the run and the tablet that it belongs to."""

    id: str
    run: str
    device: str
    data: bytes

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.data).hexdigest()


def keep_photo(sent: Sent, now_ms: int, room: Callable[[], PhotoRoom]) -> bool:
    """Keep the picture; whether it is new. The same again is no harm, even after it was deleted.

    Raises OtherPhoto, TooManyPhotos, NoRoomForPhotos, and what `jpeg_of` raises.
    """
    if _is_here(sent):
        return False
    picture = jpeg_of(sent.data)  # before the transaction: others may write meanwhile
    with writing():
        if _is_here(sent):
            return False
        _weigh(sent.run, len(picture.data), room())
        db.session.add(
            PhotoRow(
                id=sent.id, run=sent.run, device=sent.device, digest=sent.digest, received_at=now_ms,
                width=picture.width, height=picture.height, size=len(picture.data), data=picture.data,
            )
        )  # fmt: skip
    return True


def _is_here(sent: Sent) -> bool:
    before = db.session.get(PhotoRow, sent.id)
    if before is not None and (before.digest, before.run) != (sent.digest, sent.run):
        raise OtherPhoto("A picture with this id came before and was another one; that one stands.")
    return before is not None


def _weigh(run: str, size: int, room: PhotoRoom) -> None:
    kept = db.session.scalar(
        select(func.count()).where(PhotoRow.run == run, PhotoRow.deleted_at.is_(None)).select_from(PhotoRow)
    )
    if (kept or 0) >= MOST_OF_A_RUN:
        raise TooManyPhotos(f"A run may have {MOST_OF_A_RUN} pictures; this one has them all.")
    refused = room.refusal(size)
    if refused:
        raise NoRoomForPhotos(refused)


def delete_photos(before_ms: int, by: str, now_ms: int) -> int:
    """Delete the pictures of finished jobs that came before then; how many. Who did it and when stays, and so does
    all that was tapped."""
    with writing():
        found = [photo.id for photo in old_photos(before_ms)]
        for row in db.session.scalars(select(PhotoRow).where(PhotoRow.id.in_(found))):
            row.data, row.size, row.deleted_at, row.deleted_by = None, 0, now_ms, by
    return len(found)
