"""Intake: what tablets send becomes events, once each, in one transaction with what pages read.

A repeat gets the same answer. The same id with another body is refused loudly. Nothing well formed is thrown
away, and what is not well formed is kept as a refusal for a supervisor to see.
"""

from __future__ import annotations

from dataclasses import dataclass

from floor.services.answers import Answer, answers_for
from floor.services.batch import BatchRefused, read_batch
from floor.services.meeting_devices import meet
from floor.services.numbers import MOST_WANTED, answered_up_to, count_in
from floor.services.office_taps import NotOwed, approve_from_office
from floor.services.projection import project
from floor.services.refusals import MAX_BODY_BYTES
from floor.services.signatures import TokenReader
from floor.services.taking import Taking
from floor.store.database import writing

__all__ = [
    "MAX_BODY_BYTES",
    "Answer",
    "BatchRefused",
    "NotOwed",
    "Taken",
    "approve_from_office",
    "take_batch",
    "take_in",
]


@dataclass(frozen=True)
class Taken:
    """What a tablet is told of a batch. `newest`: the highest number of its that was answered for; `wanted`: those
    below its newest event here that never came, the lowest first."""

    answers: list[Answer]
    newest: int
    wanted: list[int]


def take_batch(body: object, now_ms: int, read_token: TokenReader) -> Taken:
    """Take a batch, as floor/services/batch.py reads it. Raises BatchRefused when it is no batch at all."""
    batch = read_batch(body)
    with writing():
        row, offset_ms = meet(batch, now_ms)
        taking = Taking(batch, offset_ms, now_ms, read_token)
        taken = taking.take()
        numbers = count_in(row, taking.came, taking.refused, batch.lost)
        project(taking.touched)
        found = answers_for(taking.stored)
        answers = [found[one] if isinstance(one, str) else one for one in taken]
        newest = answered_up_to(batch.device, numbers.newest)
        return Taken(answers, newest, numbers.wanted(MOST_WANTED))


def take_in(body: object, now_ms: int, read_token: TokenReader) -> list[Answer]:
    """What became of each event of a batch: `take_batch` without the numbers."""
    return take_batch(body, now_ms, read_token).answers
