"""The shop's own hand today: learned from how its newest fronts were laid, sewn and read."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from sqlalchemy import select

from floor.domain.hand import Hand
from floor.domain.hand_learning import Laid, Learned, learn
from floor.store.models import PlacingRow, db

NEWEST = 400  # of each kind: the hand of today, and quick to learn however long the log is
DECIMALS = 3

LAID = (
    PlacingRow.along,
    PlacingRow.across,
    PlacingRow.skew_deg,
    PlacingRow.stretch,
    PlacingRow.takes,
    PlacingRow.height,
    PlacingRow.pairs,
)


def learned_today() -> Learned:
    """The hand that is sent to tablets with each page, and what it rests on."""
    laid, sewn = _newest("set"), _newest("sewn")
    return learn(_laid(laid), _laid(sewn), (pair for row in (*laid, *sewn) for pair in row.pairs))


def hand_numbers(hand: Hand) -> dict[str, float]:
    """As an opening event carries it: by the names of Hand's fields, rounded."""
    return {name: round(value, DECIMALS) for name, value in vars(hand).items()}


def _newest(kind: str) -> list[Any]:
    """The first round after each fresh lay, newest first."""
    query = (
        select(*LAID)
        .where(PlacingRow.kind == kind, PlacingRow.fresh.is_(True))
        .order_by(PlacingRow.at.desc())
        .limit(NEWEST)
    )
    return list(db.session.execute(query))


def _laid(rows: Iterable[Any]) -> list[Laid]:
    return [Laid(r.along, r.across, r.skew_deg, r.stretch, r.takes, r.height) for r in rows]
