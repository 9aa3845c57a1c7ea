"""The names of the shop's machines: a run says at which one it was sewn."""

from __future__ import annotations

import json

from floor.queries.machines import MACHINES, machines
from floor.services.people import NameRefused, NameTaken
from floor.store.database import writing
from floor.store.models import Setting, db

MAX_NAME = 40
MOST_MACHINES = 60


def add_machine(name: str) -> str:
    """Another machine on the tablets' list; its name as it is kept. Raises NameRefused or NameTaken."""
    name = " ".join(name.split())
    if not name or len(name) > MAX_NAME or not name.isprintable():
        raise NameRefused(
            f"A machine's name must have 1 to {MAX_NAME} printable characters; found {name[:60]!r}."
        )
    with writing():
        have = machines()
        if name.lower() in (one.lower() for one in have):
            raise NameTaken(f"{name} is already on the list; give each machine a name of its own.")
        if len(have) >= MOST_MACHINES:
            raise NameRefused(f"The list holds {MOST_MACHINES} machines; take one off it first.")
        _keep([*have, name])
    return name


def drop_machine(name: str) -> bool:
    """Take a machine off the tablets' list; whether it was on it. What was sewn at it keeps the name."""
    with writing():
        have = machines()
        _keep([one for one in have if one != name])
    return name in have


def _keep(names: list[str]) -> None:
    db.session.merge(Setting(name=MACHINES, value=json.dumps(names, ensure_ascii=False)))
