"""The people of the shop as the supervisor's page lists them."""

from __future__ import annotations

from sqlalchemy import select

from floor.store.models import Person, db


def people(active: bool) -> list[Person]:
    """Those at work here, or those who no longer are, by name."""
    query = select(Person).where(Person.active.is_(active)).order_by(Person.name)
    return list(db.session.scalars(query))


def supervisors() -> list[Person]:
    """Those who can sign in."""
    return [person for person in people(active=True) if person.supervisor]


def first_supervisor() -> Person | None:
    """Whom the demo signs in with one tap."""
    return next(iter(sorted(supervisors(), key=lambda person: person.id)), None)
