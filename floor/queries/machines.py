"""The names of the shop's machines, as its tablets offer them."""

from __future__ import annotations

import json

from floor.store.models import Setting, db

MACHINES = "machines"


def machines() -> list[str]:
    """In the order in which they were entered; none where nobody entered one."""
    setting = db.session.get(Setting, MACHINES)
    return list(json.loads(setting.value)) if setting is not None else []
