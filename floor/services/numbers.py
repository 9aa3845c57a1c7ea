"""Keeping count of a tablet's numbers: what is missing is asked for, what it lost is not asked for again."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import func, select

from floor.domain.gaps import Numbers, Ranges
from floor.store.models import Device, Refusal, db

MOST_WANTED = 100
MOST_AHEAD = 10_000  # a refused number further ahead is none that a tablet gave


def numbers_of(row: Device) -> Numbers:
    return Numbers(row.newest, _ranges(row.missing), _ranges(row.lost))


def keep_numbers(row: Device, numbers: Numbers) -> None:
    row.newest = numbers.newest
    row.missing = [[first, last] for first, last in numbers.missing]
    row.lost = [[first, last] for first, last in numbers.lost]


def count_in(row: Device, came: Iterable[int], refused: Iterable[int], lost: Iterable[int]) -> Numbers:
    """The device's numbers with those of one batch: of new events, of what was refused, and told lost."""
    before = now = numbers_of(row)
    for number in sorted(came):
        now = now.came(number)
    answered = set(refused)
    if now.missing and now.missing[-1][1] > before.newest:
        answered |= set(refused_numbers(row.id, before.newest, now.newest))
    for number in answered:
        now = now.answered(number)
    for number in lost:
        now = now.told_lost(number)
    if now != before:
        keep_numbers(row, now)
    return now


def refused_numbers(device: str, above: int, below: int) -> Iterable[int]:
    """Numbers of what this device sent that could not be taken: it is kept, not missing."""
    found = db.session.scalars(
        select(Refusal.seq).where(Refusal.device == device, Refusal.seq > above, Refusal.seq < below)
    )
    return [number for number in found if number is not None]


def answered_up_to(device: str, newest: int) -> int:
    """The highest number that this device was answered for, where `newest` is its newest event here. What was refused
    above it counts too, and so does an event that came again under a second number: told less, the tablet would
    take it for lost here and send it for ever."""
    refused = db.session.scalar(
        select(func.max(Refusal.seq)).where(
            Refusal.device == device, Refusal.seq > newest, Refusal.seq <= newest + MOST_AHEAD
        )
    )
    return max(newest, refused or 0)


def _ranges(kept: list[list[int]]) -> Ranges:
    return tuple((first, last) for first, last in kept)
