"""A kept picture, and how much room pictures have."""

from __future__ import annotations

import shutil

from sqlalchemy import func, select

from floor.config import Settings
from floor.domain.photo import PhotoRoom
from floor.store.models import PhotoRow, db


def photo_jpeg(photo: str) -> bytes | None:
    """The picture; None when it has not come or was deleted."""
    return db.session.scalar(select(PhotoRow.data).where(PhotoRow.id == photo))


def photo_room(settings: Settings) -> PhotoRoom:
    used = db.session.scalar(select(func.sum(PhotoRow.size))) or 0
    return PhotoRoom(used, settings.photo_budget, shutil.disk_usage(settings.data).free)
