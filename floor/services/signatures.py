"""Who stands behind a tap that only a supervisor may make, weighed as of when the tap was made.

A tablet may hold a tap back for as long as it has no network. A password typed beside the machine then counts as
it did there: what matters is how old it was when the tap was made, if the tablet's clock is known.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import select

from floor.domain.events import Authority, Event, Kind
from floor.queries.views import one_person_shop
from floor.store.models import Person, db

NEEDS_AUTHORITY = (Kind.APPROVE, Kind.ACCEPT, Kind.CLEARED)
HOLDS_MS = 3_600_000
HELD_BACK_MS = 7 * 86_400_000  # a tap that comes later than this after its password is signed by nobody
CLOCK_GRACE_MS = 60_000  # a tablet's clock, corrected, may be a little behind the server's


@dataclass(frozen=True)
class Signature:
    """That a supervisor gave a password. `given_at`: when, ms by the server's clock; None: it does not age."""

    name: str
    given_at: int | None = None


TokenReader = Callable[[str], Signature | str | None]
"""Reads the token that a supervisor's password gave: whose it is (a bare name does not age), or None when it is
not ours or its supervisor works here no more."""


def authority_of(
    event: Event, token: object, read_token: TokenReader, now_ms: int, clock_known: bool
) -> tuple[Authority | None, str | None]:
    """What stands behind an event, and who. `clock_known`: whether the tablet measured the event's offset."""
    if event.kind not in NEEDS_AUTHORITY:
        return None, None
    if isinstance(token, str):
        found = read_token(token)
        signature = Signature(found) if isinstance(found, str) else found
        if signature is not None and _held(signature, event.when if clock_known else now_ms, now_ms):
            return "supervisor", signature.name
    if one_person_shop():
        return "self", db.session.scalar(select(Person.name).where(Person.active))
    return None, None


def _held(signature: Signature, tapped_at: int, now_ms: int) -> bool:
    if signature.given_at is None:
        return True
    age = tapped_at - signature.given_at
    return -CLOCK_GRACE_MS <= age <= HOLDS_MS and now_ms - signature.given_at <= HELD_BACK_MS
