"""Pictures come in once each, within what room there is, and go when a supervisor says so."""

from __future__ import annotations

import uuid

import pytest
from flask import Flask
from pictures_taken import jpeg
from sqlalchemy import select

from floor.domain.photo import (
    FREE_DISK_BYTES,
    LOST,
    LOST_AFTER_MS,
    MOST_OF_A_RUN,
    STILL_COMING,
    UNTOLD,
    UNTOLD_YET,
    PhotoRoom,
    half_words,
)
from floor.queries.photos import photo_jpeg, photo_room
from floor.services.photos import NoRoomForPhotos, OtherPhoto, Sent, TooManyPhotos, keep_photo
from floor.store.models import PhotoRow, db
from tests.conftest import START

GB = 1_000_000_000
RUN, DEVICE = str(uuid.UUID(int=1)), str(uuid.UUID(int=2))


def plenty() -> PhotoRoom:
    return PhotoRoom(0, 2 * GB, 100 * GB)


def sent(number: int = 1, data: bytes = b"", run: str = RUN) -> Sent:
    return Sent(str(uuid.UUID(int=100 + number)), run, DEVICE, data or jpeg())


def kept_ids() -> set[str]:
    return set(db.session.scalars(select(PhotoRow.id)))


def test_a_picture_is_kept_as_it_was_made_clean(app: Flask) -> None:
    assert keep_photo(sent(), START, plenty)
    row = db.session.get_one(PhotoRow, sent().id)
    data = photo_jpeg(sent().id)
    assert data is not None
    assert (row.run, row.device, row.width, row.height, row.size) == (RUN, DEVICE, 64, 48, len(data))
    assert row.received_at == START


def test_the_same_picture_sent_again_is_kept_once(app: Flask) -> None:
    assert keep_photo(sent(), START, plenty)
    assert not keep_photo(sent(), START + 9_000, plenty)
    assert db.session.get_one(PhotoRow, sent().id).received_at == START


@pytest.mark.parametrize(
    "other", [sent(data=jpeg(colour="red")), sent(run=str(uuid.UUID(int=3)))], ids=["picture", "run"]
)
def test_another_picture_under_the_same_id_is_refused_and_the_first_stands(app: Flask, other: Sent) -> None:
    keep_photo(sent(), START, plenty)
    before = photo_jpeg(sent().id)
    with pytest.raises(OtherPhoto, match="came before and was another one"):
        keep_photo(other, START, plenty)
    assert photo_jpeg(sent().id) == before


def test_a_run_has_at_most_twelve(app: Flask) -> None:
    for number in range(MOST_OF_A_RUN):
        keep_photo(sent(number), START, plenty)
    with pytest.raises(TooManyPhotos, match="A run may have 12 pictures"):
        keep_photo(sent(MOST_OF_A_RUN), START, plenty)
    assert not keep_photo(sent(3), START, plenty)  # a repeat is no thirteenth
    assert keep_photo(sent(50, run=str(uuid.UUID(int=4))), START, plenty)


def test_when_the_room_is_full_new_ones_are_refused_and_a_repeat_is_not(app: Flask) -> None:
    keep_photo(sent(), START, plenty)
    used = db.session.get_one(PhotoRow, sent().id).size

    def full() -> PhotoRoom:
        return PhotoRoom(used, used + 10, 100 * GB)

    with pytest.raises(NoRoomForPhotos, match="new ones are refused and stay on their tablets"):
        keep_photo(sent(2), START, full)
    assert not keep_photo(sent(), START, full)
    assert kept_ids() == {sent().id}


def test_the_last_of_the_disk_is_left_for_taps(app: Flask) -> None:
    with pytest.raises(NoRoomForPhotos, match="what is left is kept for taps"):
        keep_photo(sent(), START, lambda: PhotoRoom(0, 2 * GB, FREE_DISK_BYTES))
    assert kept_ids() == set()


def test_the_room_is_what_the_kept_pictures_take_up(app: Flask) -> None:
    settings = app.config["FLOOR"]
    assert photo_room(settings).used == 0
    keep_photo(sent(1), START, plenty)
    keep_photo(sent(2), START, plenty)
    room = photo_room(settings)
    assert room.used == sum(len(photo_jpeg(sent(n).id) or b"") for n in (1, 2))
    assert room.budget == 2 * GB
    assert room.disk_free > 0


@pytest.mark.parametrize(
    ("room", "says"),
    [
        (PhotoRoom(0, 2 * GB, 50 * GB), ""),
        (PhotoRoom(1_599_000_000, 2 * GB, 50 * GB), ""),
        (PhotoRoom(1_600_000_000, 2 * GB, 50 * GB), "Pictures take up 1.6 GB of the 2 GB that they may"),
        (PhotoRoom(2 * GB, 2 * GB, 50 * GB), "The room for pictures is full (2 GB of 2 GB)"),
        (PhotoRoom(0, 2 * GB, 900_000_000), "The server's disk has 900 MB left"),
        (PhotoRoom(0, 2 * GB, 400_000_000), "The server's disk is nearly full"),
    ],
)
def test_the_office_is_warned_before_pictures_are_refused(room: PhotoRoom, says: str) -> None:
    assert room.warning.startswith(says)
    assert bool(room.warning) == bool(says)


def test_half_a_picture_is_expected_for_a_while_and_then_told_as_lost() -> None:
    then, late = START + LOST_AFTER_MS, START + LOST_AFTER_MS + 1
    assert half_words(START, None, then) == STILL_COMING
    assert half_words(START, None, late) == LOST
    assert half_words(None, START, then) == UNTOLD_YET
    assert half_words(None, START, late) == UNTOLD
    assert half_words(START, START, late) == ""
