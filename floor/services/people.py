"""The people of the shop: names for the tablet, passwords for supervisors."""

from __future__ import annotations

from sqlalchemy import func, select
from werkzeug.security import check_password_hash, generate_password_hash

from floor.store.database import writing
from floor.store.models import Person, db

MIN_PASSWORD = 8
MAX_NAME = 60


class NameTaken(ValueError):
    pass


class NameRefused(ValueError):
    pass


class PasswordRefused(ValueError):
    pass


def add_person(name: str, supervisor: bool, password: str | None) -> Person:
    """A new person. A supervisor needs a password. Raises NameRefused, NameTaken or PasswordRefused."""
    name = " ".join(name.split())
    if not name or len(name) > MAX_NAME or not name.isprintable():
        raise NameRefused(f"A name must have 1 to {MAX_NAME} printable characters; found {name[:80]!r}.")
    if supervisor and len(password or "") < MIN_PASSWORD:
        raise PasswordRefused(f"A supervisor's password needs at least {MIN_PASSWORD} characters.")
    with writing():
        if db.session.scalar(select(Person.id).where(func.lower(Person.name) == name.lower())) is not None:
            raise NameTaken(f"{name} is already on the list; use another name, such as one with an initial.")
        hashed = generate_password_hash(password) if supervisor and password else None
        person = Person(name=name, supervisor=supervisor, password_hash=hashed, active=True)
        db.session.add(person)
    return person


def set_active(person_id: int, active: bool) -> Person | None:
    """Take a person off the tablets' list of names, or put one back; what they did stays in the log."""
    with writing():
        person = db.session.get(Person, person_id)
        if person is not None:
            person.active = active
    return person


def check_password(name: str, password: str) -> Person | None:
    """The supervisor of this name when the password is right; None otherwise, after the same work."""
    person = db.session.scalar(select(Person).where(Person.name == name, Person.active, Person.supervisor))
    if person is None or person.password_hash is None:
        check_password_hash(_NOBODY, password)
        return None
    return person if check_password_hash(person.password_hash, password) else None


def is_supervisor(name: str) -> bool:
    """Whether a supervisor of this name works here now."""
    found = db.session.scalar(select(Person.id).where(Person.name == name, Person.active, Person.supervisor))
    return found is not None


_NOBODY = generate_password_hash("nobody's password, so that an unknown name takes as long")
